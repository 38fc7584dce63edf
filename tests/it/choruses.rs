//! Choruses on the desk: built, changed on the spot, kept, shared, and played with the band.

use proptest::prelude::*;
use riffloom::chorus::check::{self, Problem};
use riffloom::chorus::course::Course;
use riffloom::chorus::kept::{self, Chorus, ChorusId, LaidOut};
use riffloom::chorus::placement::{Alteration, Placed};
use riffloom::desk::chorus::{Answer, Question};
use riffloom::desk::command::Command;
use riffloom::desk::score::What;
use riffloom::desk::{Brought, Desk, Done, Refusal};
use riffloom::files::link::{self, Link};
use riffloom::files::record;
use riffloom::notebook::choruses::ChorusEntry;
use riffloom::perform::{Event, Part, Parts, Score};
use riffloom::riff::variation::How;
use riffloom::riff::{RiffId, write_id};
use riffloom::theory::interval::Interval;
use riffloom::units::Ticks;
use riffloom::view::model::ChorusView;
use riffloom::view::screen::Screen;

fn id(number: u64) -> String {
    write_id(RiffId(number))
}

/// A desk with three riffs: *Porch light* (1, the demo's), *Ferry bell* (2, G D in one bar) and *Long stairs* (3, a
/// pickup of a beat). The form is the demo's: twelve bars with IV in bar 2.
fn desk() -> Desk {
    let mut desk = Desk::new(RiffId(9));
    let write = |desk: &mut Desk, number: u64, name: &str, beats: usize, notes: &[u8]| {
        desk.apply(Command::NewRiff { id: id(number) }).unwrap();
        desk.apply(Command::SetRiffBeats { beats }).unwrap();
        desk.apply(Command::PlaceCursor { tick: 0 }).unwrap();
        for midi in notes {
            desk.apply(Command::EnterNote { midi: *midi }).unwrap();
        }
        desk.apply(Command::RenameRiff { id: id(number), name: name.to_owned() }).unwrap();
    };
    write(&mut desk, 3, "Long stairs", 5, &[62, 64, 67, 70, 71, 67]);
    desk.apply(Command::SetRiffStart { quarters: -1.0 }).unwrap();
    write(&mut desk, 2, "Ferry bell", 4, &[67, 74]);
    desk.apply(Command::OpenDemo { id: id(1) }).unwrap();
    desk
}

fn put(desk: &mut Desk, number: u64, bar: usize) {
    desk.apply(Command::PlaceRiff { id: id(number), bar: bar - 1, half_beats: 0 }).unwrap();
}

/// "Porch light@1" for what begins with bar 1; quarters into the bar behind a plus.
fn stands(desk: &Desk) -> String {
    let over = desk.over();
    let told = over.placed.iter().map(|placed| {
        let (bar, into) = over.course.bar_at(placed.at());
        let into = if into == Ticks::ZERO { String::new() } else { format!("+{}", into.in_quarters()) };
        format!("{}@{}{into}", placed.riff.name, bar + 1)
    });
    told.collect::<Vec<_>>().join(" ")
}

fn changes(desk: &Desk, index: usize) -> Vec<Alteration> {
    desk.chorus().spots()[index].placement.changes.clone()
}

#[test]
fn riffs_are_put_in_one_after_the_other() {
    let mut desk = desk();
    assert_eq!(desk.chorus().spots().len(), 0);
    put(&mut desk, 1, 1);
    // Porch light lasts six beats: the next one goes into bar 3.
    assert_eq!(desk.weaving().bar, 2);
    put(&mut desk, 3, 5);
    put(&mut desk, 2, 3);
    assert_eq!(stands(&desk), "Porch light@1 Ferry bell@3 Long stairs@4+3");
    desk.apply(Command::Undo).unwrap();
    assert_eq!(stands(&desk), "Porch light@1 Long stairs@4+3");
    desk.apply(Command::Redo).unwrap();
    assert_eq!(stands(&desk), "Porch light@1 Ferry bell@3 Long stairs@4+3");
}

/// Whoever comes back to a chorus, or gets one by a link, does not lay a riff over another.
#[test]
fn the_next_riff_goes_where_there_is_room() {
    let mut desk = desk();
    put(&mut desk, 2, 1);
    let room = desk.weaving().bar;
    assert!(room > 0);
    desk.apply(Command::SelectPlacement { index: None }).unwrap();
    desk.apply(Command::ChooseChorusBar { bar: 0 }).unwrap();
    assert_eq!(desk.weaving().bar, 0, "what is pointed to is meant");
    desk.apply(Command::Go { place: "riff".into() }).unwrap();
    desk.apply(Command::Go { place: "chorus".into() }).unwrap();
    assert_eq!(desk.weaving().bar, room);
    let chorus = desk.chorus().id;
    desk.apply(Command::PickChorus { id: id(chorus.0) }).unwrap();
    assert_eq!(desk.weaving().bar, room);
}

#[test]
fn what_does_not_fit_is_refused_and_nothing_changes() {
    let mut desk = desk();
    put(&mut desk, 1, 1);
    let before = desk.document().clone();
    for command in [
        // Six beats do not fit into bar 12, and only a pickup's own beats come before bar 1.
        Command::PlaceRiff { id: id(1), bar: 11, half_beats: 0 },
        Command::PlaceRiff { id: id(1), bar: 0, half_beats: -1 },
        Command::PlaceRiff { id: id(3), bar: 0, half_beats: -1 },
        Command::PlaceRiff { id: id(1), bar: 12, half_beats: 0 },
        Command::PlaceRiff { id: id(7), bar: 0, half_beats: 0 },
        Command::PlaceRiff { id: id(9), bar: 0, half_beats: 0 },
        Command::VaryPlacement { index: 0, how: "sideways".to_owned(), seed: 0 },
        Command::VaryPlacement { index: 5, how: "invert".to_owned(), seed: 0 },
        Command::TransposePlacement { index: 5, semitones: 1 },
        Command::MovePlacement { index: Some(5), bars: 1, half_beats: 0, gesture: 1 },
        Command::TakeBackChange { index: 5 },
        Command::CopyLine { from: 0, to: 3 },
        Command::TakeSuggestion { index: 0 },
        Command::LoopChorus { bars: Some((4, 99)) },
        Command::PickChorus { id: id(77) },
        Command::NewChorus { id: "no id".to_owned() },
    ] {
        assert!(desk.apply(command.clone()).is_err(), "{command:?}");
        assert_eq!(*desk.document(), before);
    }
}

#[test]
fn a_placement_moves_by_bars_and_half_beats_as_far_as_the_form_goes() {
    let mut desk = desk();
    put(&mut desk, 2, 4);
    let mut step = |bars, half_beats, gesture| {
        desk.apply(Command::MovePlacement { index: Some(0), bars, half_beats, gesture }).unwrap();
        stands(&desk)
    };
    assert_eq!(step(1, 1, 1), "Ferry bell@5+0.5");
    assert_eq!(step(99, 0, 2), "Ferry bell@12");
    assert_eq!(step(-99, -9, 2), "Ferry bell@1");
    // The second drag is one step back.
    desk.apply(Command::Undo).unwrap();
    assert_eq!(stands(&desk), "Ferry bell@5+0.5");
}

#[test]
fn a_placement_is_changed_on_the_spot_and_the_riff_in_the_notebook_is_not() {
    let mut desk = desk();
    put(&mut desk, 1, 5);
    let riff = desk.document().notebook.riff(RiffId(1)).unwrap().clone();
    desk.apply(Command::TransposePlacement { index: 0, semitones: 2 }).unwrap();
    desk.apply(Command::TransposePlacement { index: 0, semitones: 3 }).unwrap();
    assert_eq!(changes(&desk, 0), [Alteration::Transposed(Interval::PERFECT_FOURTH)]);
    desk.apply(Command::TransposePlacement { index: 0, semitones: -5 }).unwrap();
    assert_eq!(changes(&desk, 0), []);
    // Bar 5 has C7, a fourth above G.
    desk.apply(Command::VaryPlacement { index: 0, how: "with-chord".to_owned(), seed: 0 }).unwrap();
    assert_eq!(changes(&desk, 0), [Alteration::Transposed(Interval::PERFECT_FOURTH)]);
    desk.apply(Command::VaryPlacement { index: 0, how: "new-ending".to_owned(), seed: 1 }).unwrap();
    let ending = Alteration::Varied { how: How::NewEnding, seed: 1 };
    assert_eq!(changes(&desk, 0), [Alteration::Transposed(Interval::PERFECT_FOURTH), ending]);
    assert_ne!(desk.over().placed[0].riff.notes(), riff.notes());
    desk.apply(Command::VaryPlacement { index: 0, how: String::new(), seed: 0 }).unwrap();
    assert_eq!(desk.over().placed[0].riff.notes(), riff.notes());
    assert_eq!(desk.document().notebook.riff(RiffId(1)), Some(&riff));
}

#[test]
fn a_chorus_stays_as_it_was_when_its_riffs_change_or_go() {
    let mut desk = desk();
    put(&mut desk, 1, 1);
    put(&mut desk, 1, 3);
    let heard = desk.over().heard;
    desk.apply(Command::PickRiff { id: id(1) }).unwrap();
    desk.apply(Command::MoveNote { index: 0, steps: 0, pitch: 2, in_scale: false }).unwrap();
    assert_eq!(desk.over().heard, heard);
    assert!(desk.chorus().is_behind(0, desk.original()));
    desk.apply(Command::RenewPlacement { index: 0 }).unwrap();
    assert!(!desk.chorus().is_behind(0, desk.original()) && !desk.chorus().is_behind(1, desk.original()));
    assert_ne!(desk.over().heard, heard);
    let heard = desk.over().heard;
    desk.apply(Command::DeleteRiff { id: id(1) }).unwrap();
    assert_eq!(desk.over().heard, heard);
    assert!(desk.apply(Command::RenewPlacement { index: 0 }).is_err());
}

#[test]
fn a_line_is_copied_instead_of_what_was_there() {
    let mut desk = desk();
    put(&mut desk, 1, 1);
    put(&mut desk, 3, 4);
    put(&mut desk, 2, 6);
    desk.apply(Command::CopyLine { from: 0, to: 1 }).unwrap();
    // The pickup to bar 4 belongs to line 1, and its copy leads to bar 8.
    assert_eq!(stands(&desk), "Porch light@1 Long stairs@3+3 Porch light@5 Long stairs@7+3");
    desk.apply(Command::ClearChorus).unwrap();
    assert_eq!(stands(&desk), "");
    desk.apply(Command::Undo).unwrap();
    desk.apply(Command::SetChorusTimes { times: 2 }).unwrap();
    desk.apply(Command::CopyLine { from: 1, to: 5 }).unwrap();
    assert_eq!(
        stands(&desk),
        "Porch light@1 Long stairs@3+3 Porch light@5 Long stairs@7+3 Porch light@21 Long stairs@23+3"
    );
    let done = desk.apply(Command::SetChorusTimes { times: 1 });
    assert_eq!(done, Ok(Done::TimesGone { riffs: 2 }));
    assert_eq!(desk.course().bars(), 12);
}

/// A soloist has one voice: where the next riff's first note comes, the one before falls silent.
#[test]
fn of_two_that_overlap_the_later_takes_over() {
    let mut desk = desk();
    put(&mut desk, 1, 1);
    // Porch light: D E B♭ B G in half beats 1, 2, 5, 6 (a beat long) and 9. Ferry bell begins in its half beat 7.
    desk.apply(Command::PlaceRiff { id: id(2), bar: 0, half_beats: 7 }).unwrap();
    let over = desk.over();
    assert_eq!(over.placed[0].riff.notes().len(), 5);
    let heard = over.heard[0].riff.notes();
    assert_eq!(heard.len(), 4);
    assert_eq!(heard[3].length, Ticks::QUARTER / 2);
    assert_eq!(over.heard[1], over.placed[1]);
}

#[test]
fn choruses_are_named_copied_thrown_away_and_brought_back() {
    let mut desk = desk();
    put(&mut desk, 1, 1);
    let first = write_id(RiffId(desk.chorus().id.0));
    desk.apply(Command::RenameChorus { id: first.clone(), name: " Harbour\n".to_owned() }).unwrap();
    desk.apply(Command::DuplicateChorus { id: first.clone(), copy: id(50) }).unwrap();
    assert_eq!((desk.chorus().name(), desk.chorus().id), ("Harbour again", ChorusId(50)));
    put(&mut desk, 2, 3);
    desk.apply(Command::PickChorus { id: first.clone() }).unwrap();
    assert_eq!(stands(&desk), "Porch light@1");
    let done = desk.apply(Command::DeleteChorus { id: first });
    assert_eq!(done, Ok(Done::ChorusDeleted { name: "Harbour".to_owned() }));
    assert_eq!(desk.chorus().name(), "Harbour again");
    desk.apply(Command::Undo).unwrap();
    assert_eq!(desk.chorus().name(), "Harbour");
    desk.apply(Command::DeleteChorus { id: id(50) }).unwrap();
    desk.apply(Command::NewChorus { id: id(51) }).unwrap();
    assert_eq!(desk.document().choruses.entries().len(), 2);
    assert_eq!(stands(&desk), "");
}

/// Asks, has the question answered as the page's worker does, by texts alone, and gives the answer to the desk.
#[track_caller]
fn suggest(desk: &mut Desk) {
    desk.apply(Command::SuggestChorus).unwrap();
    let looking = desk.looking().unwrap();
    let question = Question::read(&looking.question.texts()).unwrap();
    assert_eq!(question.texts(), looking.question.texts());
    let answer = question.answer().unwrap();
    assert_eq!(Answer::read(&answer.texts()), Ok(answer.clone()));
    let number = looking.number;
    assert!(desk.take_answer(number, Answer::read(&answer.texts()).unwrap()));
}

#[test]
fn a_suggestion_is_looked_at_before_it_is_taken() {
    let mut desk = desk();
    put(&mut desk, 3, 11);
    desk.apply(Command::FixPlacement { index: 0, on: true }).unwrap();
    let before = desk.document().clone();
    suggest(&mut desk);
    let found = desk.weaving().suggested.len();
    assert!((3..=10).contains(&found), "{found}");
    assert_eq!(*desk.document(), before);
    for suggested in desk.weaving().suggested.iter() {
        let stay: Vec<_> = suggested.chorus.spots().iter().filter(|spot| spot.stays).collect();
        assert_eq!(stay.len(), 1);
        assert_eq!(stay[0].placement.at, desk.course().bar_start(10) - Ticks::QUARTER);
    }
    let best = desk.chorus().spots().len();
    assert!(best > 1);
    desk.apply(Command::Go { place: "chorus".to_owned() }).unwrap();
    let trying = |desk: &Desk| Screen::of(desk).all().chorus.unwrap().trying;
    assert_eq!(trying(&desk), "Trying idea 1. Yours is safe.");
    desk.apply(Command::ShowSuggestion { index: None }).unwrap();
    assert_eq!(desk.chorus().spots().len(), 1);
    assert_eq!(trying(&desk), "");
    assert_eq!(desk.apply(Command::TakeSuggestion { index: 0 }), Ok(Done::Taken));
    assert_eq!(desk.chorus().spots().len(), best);
    desk.apply(Command::Undo).unwrap();
    assert_eq!(desk.document().choruses, before.choruses);
    // Whoever changes something in a suggestion has taken it.
    desk.apply(Command::ShowSuggestion { index: Some(2) }).unwrap();
    let fourth = desk.chorus().spots().len();
    desk.apply(Command::RemovePlacement { index: 0 }).unwrap();
    assert_eq!((desk.chosen_chorus().spots().len(), desk.weaving().shown), (fourth - 1, None));
    // Who plays, how fast and how loud is nothing to them.
    for command in [
        Command::SetLevel { part: "bass".to_owned(), decibels: -6 },
        Command::SetPart { part: "comp".to_owned(), on: true },
        Command::SetTempo { bpm: 100.0 },
    ] {
        desk.apply(command).unwrap();
        assert_eq!(desk.weaving().suggested.len(), found);
    }
    // Suggestions over another form are asked for anew.
    desk.apply(Command::SetForm { form: "8-bar".to_owned() }).unwrap();
    assert!(desk.weaving().suggested.is_empty());
}

#[test]
fn suggestions_keep_to_the_riffs_that_are_chosen() {
    let mut desk = desk();
    desk.apply(Command::AskRiff { id: id(1), on: false }).unwrap();
    suggest(&mut desk);
    let ids = |desk: &Desk| desk.weaving().suggested.iter().any(|each| each.chorus.uses(RiffId(1)));
    assert!(!ids(&desk));
    desk.apply(Command::AskRiff { id: id(1), on: true }).unwrap();
    desk.apply(Command::AskRiff { id: id(2), on: false }).unwrap();
    desk.apply(Command::AskRiff { id: id(3), on: false }).unwrap();
    suggest(&mut desk);
    assert!(ids(&desk));
    desk.apply(Command::AskRiff { id: id(1), on: false }).unwrap();
    assert_eq!(desk.apply(Command::SuggestChorus), Err(Refusal::NoRiffAsked));
}

/// The riff that a person is working at is asked for first, and where another does just as well it is the one that leads.
#[test]
fn the_riff_on_the_desk_leads_where_another_is_as_good() {
    let mut desk = desk();
    let asked = |desk: &Desk| desk.asked().iter().map(|id| id.0).collect::<Vec<_>>();
    let begins_with = |desk: &Desk| desk.weaving().suggested[0].chorus.riffs()[0].id.0;
    desk.apply(Command::PickRiff { id: id(3) }).unwrap();
    assert_eq!(asked(&desk), [3, 1, 2]);
    desk.apply(Command::PickRiff { id: id(2) }).unwrap();
    assert_eq!(asked(&desk), [2, 1, 3]);
    // A copy is as good as its model to the note, so that only the order in which they are asked for can part them.
    desk.apply(Command::DuplicateRiff { id: id(1), copy: id(4) }).unwrap();
    for other in [2, 3] {
        desk.apply(Command::DeleteRiff { id: id(other) }).unwrap();
    }
    for own in [1, 4] {
        desk.apply(Command::PickRiff { id: id(own) }).unwrap();
        suggest(&mut desk);
        assert_eq!(begins_with(&desk), own);
    }
}

/// Whoever changes their mind, or the form, is not shown what was looked for before.
#[test]
fn looking_can_be_stopped_and_follows_what_is_asked() {
    let mut desk = desk();
    desk.apply(Command::Go { place: "chorus".to_owned() }).unwrap();
    let shown = |desk: &Desk| Screen::of(desk).all().chorus.unwrap().ask.looking;
    desk.apply(Command::SuggestChorus).unwrap();
    let (number, answer) = (shown(&desk), desk.looking().unwrap().question.answer().unwrap());
    assert_eq!(number, 1);
    desk.apply(Command::StopLooking).unwrap();
    assert_eq!(shown(&desk), 0);
    assert!(!desk.take_answer(number, answer.clone()) && desk.weaving().suggested.is_empty());
    // How fast it is played changes nothing; the form does, and is looked into anew.
    desk.apply(Command::SuggestChorus).unwrap();
    desk.apply(Command::SetTempo { bpm: 100.0 }).unwrap();
    assert_eq!(shown(&desk), 2);
    desk.apply(Command::SetForm { form: "8-bar".to_owned() }).unwrap();
    assert_eq!(shown(&desk), 3);
    assert!(!desk.take_answer(2, answer.clone()));
    assert_eq!(shown(&desk), 3);
    // Put away, nothing is looked for; nor where no riff is left to ask about.
    desk.apply(Command::AskForChorus { on: false }).unwrap();
    assert_eq!(desk.looking(), None);
    desk.apply(Command::SuggestChorus).unwrap();
    for number in [1, 2, 3] {
        desk.apply(Command::AskRiff { id: id(number), on: false }).unwrap();
    }
    assert_eq!(desk.looking(), None);
}

/// With three riffs nobody has to hear one of them, unchanged, for eight bars running: over every form, however
/// adventurous, in all ten.
#[test]
fn no_suggestion_says_the_same_for_eight_bars() {
    for form in ["12-bar", "12-bar-quick-change", "12-bar-minor", "8-bar", "16-bar"] {
        for adventure in ["plain", "some", "bold"] {
            let mut desk = desk();
            desk.apply(Command::SetForm { form: form.to_owned() }).unwrap();
            desk.apply(Command::SetAdventure { adventure: adventure.to_owned() }).unwrap();
            suggest(&mut desk);
            for (number, suggested) in desk.weaving().suggested.iter().enumerate() {
                let placed = suggested.chorus.over(desk.course()).placed;
                let said = |one: &Placed| (one.placement.riff, one.placement.changes.clone());
                for run in placed.chunk_by(|one, other| said(one) == said(other)) {
                    let span = run[run.len() - 1].end() - run[0].at();
                    assert!(
                        run.len() == 1 || span < Ticks::quarters(32),
                        "{form}, {adventure}, {number}: {run:?}"
                    );
                }
            }
        }
    }
}

/// Three riffs and a suggested chorus with a change on the spot, in at most 400 characters; what comes out of the link is
/// the same but for ids.
#[test]
fn a_chorus_travels_in_a_link_and_adds_what_is_missing() {
    let mut desk = desk();
    suggest(&mut desk);
    desk.apply(Command::TakeSuggestion { index: 0 }).unwrap();
    desk.apply(Command::VaryPlacement { index: 1, how: "new-ending".to_owned(), seed: 0 }).unwrap();
    let chorus = write_id(RiffId(desk.chorus().id.0));
    desk.apply(Command::RenameChorus { id: chorus, name: "Harbour evening".to_owned() }).unwrap();
    let text = desk.chorus_link().unwrap();
    assert!(text.len() <= 400, "{} characters", text.len());

    let mut elsewhere = Desk::new(RiffId(100));
    let open = |number| Command::OpenLink { text: format!("#{text}"), id: id(number), take_tune: true };
    let done = elsewhere.apply(open(200)).unwrap();
    let riffs = desk.chorus().riffs().iter().filter(|riff| desk.chorus().uses(riff.id)).count();
    let tune = Some(Brought { key: desk.tune().key, bpm: 92 });
    assert_eq!(done, Done::ChorusAdded { name: "Harbour evening".to_owned(), riffs, tune });
    let sounds = |desk: &Desk| -> Vec<_> {
        let over = desk.over();
        let notes = |placed: &Placed| placed.riff.notes().to_vec();
        over.heard.iter().map(|placed| (placed.at(), placed.riff.name.clone(), notes(placed))).collect()
    };
    assert_eq!(sounds(&elsewhere), sounds(&desk));
    assert_eq!(elsewhere.tune().shared(), desk.tune().shared());
    assert_eq!(elsewhere.document().notebook.entries().len(), 1 + riffs);
    assert_eq!(elsewhere.chorus_link().unwrap(), text);
    // Opened again it adds another chorus, and no riff a second time.
    let done = elsewhere.apply(open(201)).unwrap();
    assert_eq!(done, Done::ChorusAdded { name: "Harbour evening".to_owned(), riffs: 0, tune: None });
    assert_eq!(elsewhere.document().choruses.entries().len(), 2);
    assert!(matches!(link::decode(&text), Err(link::Error::IsChorus)));
}

#[test]
fn a_link_that_is_changed_anywhere_is_refused() {
    let mut desk = desk();
    put(&mut desk, 1, 1);
    desk.apply(Command::TransposePlacement { index: 0, semitones: -12 }).unwrap();
    let text = desk.chorus_link().unwrap();
    for place in 0..text.len() {
        let other = if text.as_bytes()[place] == b'A' { 'B' } else { 'A' };
        let mut changed = text.clone();
        changed.replace_range(place..=place, &other.to_string());
        assert!(link::decode_any(&changed).is_err(), "{place}");
        assert!(link::decode_any(&text[..place]).is_err(), "{place}");
    }
    assert!(matches!(link::decode_any(&text), Ok(Link::Chorus(_))));
}

#[test]
fn a_record_reads_back_the_same_and_is_never_taken_for_a_riff() {
    let mut desk = desk();
    put(&mut desk, 1, 1);
    put(&mut desk, 3, 5);
    desk.apply(Command::TransposePlacement { index: 0, semitones: -12 }).unwrap();
    desk.apply(Command::VaryPlacement { index: 1, how: "answer".to_owned(), seed: 2 }).unwrap();
    desk.apply(Command::FixPlacement { index: 1, on: true }).unwrap();
    let text = record::write_chorus(desk.chorus(), 7);
    assert_eq!(record::read_chorus(&text), Ok(((**desk.chorus()).clone(), 7)));
    let id = record::chorus_record_id(desk.chorus().id);
    assert_eq!(record::chorus_of_record(&id), Some(desk.chorus().id));
    assert_eq!(record::chorus_of_record(&write_id(RiffId(5))), None);
    assert!(record::read_riff(&text).is_err());
    for (from, to) in [
        (r#""version":1"#, r#""version":2"#),
        (r#""times":1"#, r#""times":9"#),
        (r#""riff":1"#, r#""riff":64"#),
        (r#""how":"answer""#, r#""how":"question""#),
        (r#""at":0"#, r#""at":-1000000"#),
    ] {
        assert!(text.contains(from), "{from} in {text}");
        assert!(record::read_chorus(&text.replace(from, to)).is_err(), "{to}");
    }
}

/// A second instance of the core measures how loud the chorus is: told the same bars, it plays the same.
#[test]
fn the_loop_of_what_is_played_is_told_to_another_desk() {
    let mut first = desk();
    put(&mut first, 1, 1);
    put(&mut first, 3, 5);
    first.apply(Command::LoopChorus { bars: Some((4, 6)) }).unwrap();
    first.apply(Command::SetLoop { bars: Some((0, 2)) }).unwrap();
    for (what, bars) in [(What::Chorus, 4..6), (What::Form, 0..2)] {
        let mut second = desk();
        put(&mut second, 1, 1);
        put(&mut second, 3, 5);
        second.apply(Desk::loop_command(what, first.looped(what).unwrap())).unwrap();
        assert_eq!(second.score(what).looped, bars);
        assert_eq!(first.score(what).looped, second.score(what).looped);
    }
}

/// Records of a page that knew no choruses: the tune names none, and the desk opens.
#[test]
fn storage_without_choruses_still_opens() {
    let tune = record::write_tune(&desk().tune().record(RiffId(1), None));
    assert!(!tune.contains("chorus"));
    assert_eq!(record::read_tune(&tune).unwrap().chorus, None);
    let desk = Desk::restored(None, Vec::new(), None, RiffId(3)).with_choruses(Vec::new(), Some(ChorusId(4)));
    assert_eq!(desk.weaving().chosen, None);
    let kept = ChorusEntry {
        chorus: Chorus::empty(ChorusId(4)).named("Quay").into(),
        labels: Default::default(),
        revision: 2,
    };
    let desk = Desk::restored(None, Vec::new(), None, RiffId(3)).with_choruses(vec![kept], None);
    assert_eq!(desk.chorus().name(), "Quay");
    let with = record::write_tune(&desk.tune().record(RiffId(1), desk.weaving().chosen));
    assert_eq!(record::read_tune(&with).unwrap().chorus, Some(ChorusId(4)));
}

/// The solo's events of one time through: where each is written, in quarters, and what sounds.
fn solo(score: &Score) -> Vec<(f64, u8)> {
    let all = score.events(-8.0, score.changes.length().in_quarters() - 0.01);
    let solo = all.iter().filter(|event| event.part == Part::Solo);
    solo.map(|event: &Event| (event.at.since_start().in_quarters(), event.midi.number())).collect()
}

#[test]
fn the_band_plays_a_chorus_where_it_stands() {
    let mut desk = desk();
    desk.apply(Command::SetChorusTimes { times: 2 }).unwrap();
    put(&mut desk, 2, 2);
    put(&mut desk, 3, 5);
    put(&mut desk, 2, 24);
    let score = Score::of_chorus(&desk.over(), desk.tune().swing, Parts::of(&[Part::Solo, Part::Drums]));
    assert_eq!((score.changes.bars().len(), score.forms), (24, 2));
    let stairs =
        [62, 64, 67, 70, 71, 67].iter().zip(0..).map(|(midi, half)| (15.0 + f64::from(half) / 2.0, *midi));
    let expected: Vec<(f64, u8)> =
        [(4.0, 67), (4.5, 74)].into_iter().chain(stairs).chain([(92.0, 67), (92.5, 74)]).collect();
    assert_eq!(solo(&score), expected);
    // The last bar of the last time is the home chord.
    assert_eq!(score.changes.bars()[23].chords[0].chord.to_string(), "G7");
}

/// A pickup to the first looped bar sounds in the count-in, and before each time that follows.
#[test]
fn a_loop_keeps_the_pickup_that_leads_into_it() {
    let mut desk = desk();
    put(&mut desk, 3, 5);
    put(&mut desk, 2, 8);
    let mut score = Score::of_chorus(&desk.over(), desk.tune().swing, Parts::of(&[Part::Solo]));
    score.looped = 4..8;
    score.count_in = 1;
    let played = score.events(-8.0, 31.0);
    let solo = played.iter().filter(|event| event.part == Part::Solo);
    let at: Vec<f64> = solo.map(|event| event.at.since_start().in_quarters()).collect();
    let once = [0.0, 0.5, 1.0, 1.5, 12.0, 12.5];
    let pickup = [-1.0, -0.5];
    let expected: Vec<f64> = pickup
        .into_iter()
        .chain(once)
        .chain(pickup.map(|at| at + 16.0))
        .chain(once.map(|at| at + 16.0))
        .collect();
    assert_eq!(at, expected);
}

/// The Chorus screen.
fn shown(desk: &mut Desk) -> ChorusView {
    desk.apply(Command::Go { place: "chorus".to_owned() }).unwrap();
    Screen::of(desk).all().chorus.unwrap()
}

/// Onsets of the soloist in quarters from the first bar line, with their lengths.
fn played(score: &Score, until: f64) -> Vec<(f64, f64)> {
    let events = score.events(-8.0, until).into_iter().filter(|event| event.part == Part::Solo);
    events.map(|event| (event.at.since_start().in_quarters(), event.length)).collect()
}

/// By hand: the pickup of a beat sounds over the count-in the first time, over the last beat of bar 12 each time after,
/// and not after the last. Twelve bars are 48 quarters.
#[test]
fn a_pickup_into_bar_1_hangs_over_the_count_in_and_later_over_the_end() {
    let mut desk = desk();
    put(&mut desk, 3, 1);
    put(&mut desk, 2, 8);
    assert_eq!(stands(&desk), "Long stairs@1+-1 Ferry bell@8");
    let mut score = Score::of_chorus(&desk.over(), desk.tune().swing, Parts::of(&[Part::Solo]));
    score.times = Some(2);
    let once = [-1.0, -0.5, 0.0, 0.5, 1.0, 1.5, 28.0, 28.5];
    let expected: Vec<f64> = once.into_iter().chain(once.map(|at| at + 48.0)).collect();
    let onsets = |score: &Score| played(score, 200.0).into_iter().map(|(at, _)| at).collect::<Vec<_>>();
    for count_in in [0, 1] {
        score.count_in = count_in;
        assert_eq!(onsets(&score), expected);
        // Nothing sounds before the score begins.
        assert_eq!(score.begin().since_start().in_quarters(), if count_in == 0 { -1.0 } else { -4.0 });
    }
    // With bars 8 and 9 looped nobody hears it.
    score.looped = 7..9;
    assert_eq!(onsets(&score), [0.0, 0.5, 8.0, 8.5]);
    // Moved, it goes no further than a pickup may, and a copy of line 1 leads to bar 5.
    let by = Command::MovePlacement { index: Some(0), bars: -9, half_beats: -9, gesture: 1 };
    desk.apply(by).unwrap();
    assert_eq!(stands(&desk), "Long stairs@1+-1 Ferry bell@8");
    desk.apply(Command::CopyLine { from: 0, to: 1 }).unwrap();
    assert_eq!(stands(&desk), "Long stairs@1+-1 Long stairs@4+3");
    desk.apply(Command::CopyLine { from: 1, to: 0 }).unwrap();
    assert_eq!(stands(&desk), "Long stairs@1+-1 Long stairs@4+3");
    // A suggestion leaves it where it is, and fills the bar that it takes only where it does not sound.
    desk.apply(Command::FixPlacement { index: 0, on: true }).unwrap();
    suggest(&mut desk);
    assert!(stands(&desk).starts_with("Long stairs@1+-1 "), "{}", stands(&desk));
    assert!(desk.over().placed.iter().all(|placed| placed.end() <= Ticks::QUARTER * 47));
}

/// *Porch light* fills bar 12 and is six beats long where a bar is added; here *Ferry bell*, with a note held through bar
/// 12, meets the pickup on beat 4 when the chorus comes again, and gives way there.
#[test]
fn a_pickup_that_meets_the_end_of_the_time_before_takes_over_and_is_told_of() {
    let mut desk = desk();
    desk.apply(Command::NewRiff { id: id(4) }).unwrap();
    desk.apply(Command::SetRiffBeats { beats: 4 }).unwrap();
    for midi in [67, 70, 67, 70, 72, 70, 67, 65] {
        desk.apply(Command::EnterNote { midi }).unwrap();
    }
    put(&mut desk, 3, 1);
    put(&mut desk, 4, 12);
    let mut score = Score::of_chorus(&desk.over(), desk.tune().swing, Parts::of(&[Part::Solo]));
    score.times = Some(2);
    let onsets: Vec<f64> = played(&score, 200.0).into_iter().map(|(at, _)| at).collect();
    let pickup = [-1.0, -0.5, 0.0, 0.5, 1.0, 1.5];
    let bar_12: Vec<f64> = (0..8).map(|half| 44.0 + f64::from(half) / 2.0).collect();
    let expected: Vec<f64> = pickup
        .into_iter()
        .chain(bar_12[..6].to_vec())
        .chain(pickup.map(|at| at + 48.0))
        .chain(bar_12.iter().map(|at| at + 48.0))
        .collect();
    assert_eq!(onsets, expected);
    let riff = desk.document().notebook.riff(RiffId(4)).unwrap();
    let problems = check::problems(&desk.course(), desk.range(), &desk.over().placed);
    let expected = Problem::OverlapAgain { last: 1, pickup: 0, by: Ticks::QUARTER };
    assert_eq!(problems, [expected], "{}", riff.beats());
    let chorus = shown(&mut desk);
    assert_eq!(chorus.warnings.len(), 1, "{:?}", chorus.warnings);
    assert!(chorus.warnings[0].contains("“Long stairs” leads into bar 1"), "{:?}", chorus.warnings);
}

/// Held notes are cut where the pickup comes: no two notes of one voice at once, however the chorus is looped.
#[test]
fn a_note_that_is_held_into_the_pickup_ends_there() {
    let mut desk = desk();
    desk.apply(Command::NewRiff { id: id(4) }).unwrap();
    desk.apply(Command::SetRiffBeats { beats: 4 }).unwrap();
    desk.apply(Command::EnterNote { midi: 67 }).unwrap();
    desk.apply(Command::StretchNote { index: 0, tick: Ticks::PER_QUARTER * 4, gesture: 1 }).unwrap();
    put(&mut desk, 3, 1);
    put(&mut desk, 4, 12);
    let mut score = Score::of_chorus(&desk.over(), desk.tune().swing, Parts::of(&[Part::Solo]));
    score.times = Some(2);
    let held = |at: f64| played(&score, 200.0).into_iter().find(|(onset, _)| *onset == at).unwrap().1;
    assert_eq!((held(44.0), held(92.0)), (3.0, 4.0));
}

/// The pickup is drawn in bar 12, taken hold of in bar 1, and said of in words.
#[test]
fn a_pickup_into_bar_1_is_shown_at_both_ends() {
    let mut desk = desk();
    put(&mut desk, 3, 1);
    let chorus = shown(&mut desk);
    let marks: Vec<usize> =
        chorus.lines.iter().flat_map(|line| line.bars.iter().map(|bar| bar.marks.len())).collect();
    assert_eq!(marks, [4, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 2]);
    let bands = |line: usize| -> Vec<(f64, f64, bool)> {
        chorus.lines[line].bands.iter().map(|band| (band.at, band.length, band.begins)).collect()
    };
    assert_eq!(bands(0), [(0.0, 0.25, true)]);
    assert_eq!(bands(1), []);
    assert_eq!(bands(2), [(15.0 / 16.0, 1.0 / 16.0, false)]);
    let place =
        "From the bar before bar 1, beat 4 to bar 1, beat 4: over the count-in, and later over the last bar.";
    assert_eq!(chorus.chosen.unwrap().place, place);
    assert!(
        chorus.lines[2].bars[3].label.ends_with(": free, with the pickup to bar 1"),
        "{}",
        chorus.lines[2].bars[3].label
    );
}

/// Moved up and given another ending: both sound, in that order; each is a step back, and can be taken back by itself.
#[test]
fn a_placement_takes_several_changes_in_the_order_made() {
    let mut desk = desk();
    put(&mut desk, 1, 5);
    let sounds = |desk: &Desk| -> Vec<i32> {
        desk.over().heard[0].notes().map(|(_, note)| note.pitch.semitones() - 12).collect()
    };
    let plain = sounds(&desk);
    desk.apply(Command::TransposePlacement { index: 0, semitones: 5 }).unwrap();
    let moved = sounds(&desk);
    assert_eq!(moved, plain.iter().map(|midi| midi + 5).collect::<Vec<_>>());
    desk.apply(Command::VaryPlacement { index: 0, how: "new-ending".to_owned(), seed: 0 }).unwrap();
    let both = sounds(&desk);
    // Only the ending is another: the notes before it stay moved.
    assert_eq!(both[..both.len() - 1], moved[..moved.len() - 1]);
    assert_ne!(both, moved);
    let ending = Alteration::Varied { how: How::NewEnding, seed: 0 };
    let fourth = Alteration::Transposed(Interval::PERFECT_FOURTH);
    assert_eq!(changes(&desk, 0), [fourth, ending]);
    // In words, all of them.
    let chorus = shown(&mut desk);
    let words = chorus.chosen.unwrap().change;
    assert!(
        words.starts_with("1. Every note a fourth up. 2. Same until the last note: it ends on "),
        "{words}"
    );
    assert_eq!(chorus.lines[1].bands[0].change, "a fourth up, another ending");
    // Kept and sent as it is.
    let kept = record::read_chorus(&record::write_chorus(desk.chorus(), 1)).unwrap().0;
    assert_eq!(kept.spots(), desk.chorus().spots());
    let text = desk.chorus_link().unwrap();
    let Link::Chorus(shared) = link::decode_any(&text).unwrap() else { panic!("a chorus") };
    assert_eq!(shared.chorus.spots()[0].placement.changes, [fourth, ending]);
    // Another try takes the place of the last change, and half steps in a row are one.
    desk.apply(Command::VaryPlacement { index: 0, how: "new-ending".to_owned(), seed: 1 }).unwrap();
    assert_eq!(changes(&desk, 0), [fourth, Alteration::Varied { how: How::NewEnding, seed: 1 }]);
    desk.apply(Command::Undo).unwrap();
    assert_eq!(changes(&desk, 0), [fourth, ending]);
    desk.apply(Command::TakeBackChange { index: 0 }).unwrap();
    assert_eq!((changes(&desk, 0), sounds(&desk)), (vec![fourth], moved.clone()));
    desk.apply(Command::Undo).unwrap();
    desk.apply(Command::Undo).unwrap();
    assert_eq!(sounds(&desk), moved);
    desk.apply(Command::Undo).unwrap();
    assert_eq!(sounds(&desk), plain);
    // There is an end to it, said kindly, and nothing is lost.
    for how in ["invert", "retrograde"].into_iter().cycle().take(8) {
        desk.apply(Command::VaryPlacement { index: 0, how: how.to_owned(), seed: 0 }).unwrap();
    }
    let before = desk.document().clone();
    let refused = desk.apply(Command::TransposePlacement { index: 0, semitones: 1 });
    assert_eq!(refused, Err(Refusal::Chorus(kept::Error::TooManyChanges)));
    assert_eq!(*desk.document(), before);
    desk.apply(Command::VaryPlacement { index: 0, how: String::new(), seed: 0 }).unwrap();
    assert_eq!(sounds(&desk), plain);
}

/// A chorus that is full cannot take a copied line; what was there is still there.
#[test]
fn a_line_that_does_not_fit_into_a_full_chorus_changes_nothing() {
    let riff = (**desk().document().notebook.riff(RiffId(2)).unwrap()).clone();
    let course = Course::new((*desk().changes()).clone(), 8);
    let mut chorus = Chorus::empty(ChorusId(1));
    for _ in 0..Chorus::MOST_SPOTS {
        chorus.put(&riff, Ticks::ZERO, Vec::new()).unwrap();
    }
    let before = chorus.clone();
    assert_eq!(chorus.copy_line(&course, 0, 1), Err(kept::Error::TooManySpots));
    assert_eq!(chorus, before);
}

proptest! {
    #![proptest_config(crate::cases(48))]

    /// Whatever is done: no panic, what is refused changes nothing, and record and link read back the same.
    #[test]
    fn anything_may_be_done_in_any_order(steps in prop::collection::vec((0_u8..15, 0_usize..26, -9_i32..10), 1..24)) {
        let mut desk = desk();
        for (gesture, (what, index, by)) in (1..).zip(steps) {
            let how = How::all().nth(index % 15).map_or("", How::name).to_owned();
            let command = match what {
                0..=2 => Command::PlaceRiff { id: id(1 + index as u64 % 3), bar: index, half_beats: by },
                3 => Command::MovePlacement { index: Some(index % 4), bars: by / 2, half_beats: by, gesture },
                4 => Command::TransposePlacement { index: index % 4, semitones: by * 4 },
                14 => Command::TakeBackChange { index: index % 4 },
                5 => Command::VaryPlacement { index: index % 4, how, seed: by.unsigned_abs() },
                6 => Command::RemovePlacement { index: index % 4 },
                7 => Command::CopyLine { from: index % 6, to: by.unsigned_abs() as usize % 6 },
                8 => Command::SetChorusTimes { times: index % 4 },
                9 => Command::FixPlacement { index: index % 4, on: by > 0 },
                10 => Command::SetForm { form: ["8-bar", "12-bar", "12-bar-jazz"][index % 3].to_owned() },
                11 => Command::Undo,
                12 => Command::Redo,
                _ => Command::SelectPlacement { index: Some(index) },
            };
            let before = desk.document().clone();
            if desk.apply(command).is_err() {
                prop_assert_eq!(desk.document(), &before);
            }
            let over = desk.over();
            prop_assert_eq!(over.placed.len() + over.misfits.len(), desk.chorus().spots().len());
            let notes = over.heard.iter().flat_map(|placed| placed.notes().map(|(at, note)| (at, at + note.length)));
            let mut notes: Vec<_> = notes.collect();
            notes.sort();
            prop_assert!(notes.windows(2).all(|pair| pair[0].1 <= pair[1].0));
        }
        let kept = record::read_chorus(&record::write_chorus(desk.chorus(), 1)).unwrap().0;
        let sounds = |over: &LaidOut| -> Vec<_> {
            let notes = |placed: &Placed| placed.riff.notes().to_vec();
            over.heard.iter().map(|placed| (placed.at(), placed.placement.changes.clone(), notes(placed))).collect()
        };
        prop_assert_eq!(sounds(&kept.over(desk.course())), sounds(&desk.over()));
        let text = desk.chorus_link().unwrap();
        let Link::Chorus(shared) = link::decode_any(&text).unwrap() else { panic!("a chorus") };
        prop_assert_eq!(link::encode_chorus(&shared.tune, &shared.chorus), Some(text));
    }
}
