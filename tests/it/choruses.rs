//! Choruses on the desk: built, changed on the spot, kept, shared, and played with the band.

use proptest::prelude::*;
use riffloom::chorus::kept::{Chorus, ChorusId};
use riffloom::chorus::placement::{Alteration, Placed};
use riffloom::desk::command::Command;
use riffloom::desk::{Brought, Desk, Done, Refusal, write_id};
use riffloom::files::link::{self, Link};
use riffloom::files::record;
use riffloom::notebook::choruses::ChorusEntry;
use riffloom::perform::{Event, Part, Parts, Score};
use riffloom::riff::RiffId;
use riffloom::riff::variation::How;
use riffloom::theory::interval::Interval;
use riffloom::units::Ticks;

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

fn change(desk: &Desk, index: usize) -> Option<Alteration> {
    desk.chorus().spots()[index].placement.change
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

#[test]
fn what_does_not_fit_is_refused_and_nothing_changes() {
    let mut desk = desk();
    put(&mut desk, 1, 1);
    let before = desk.document().clone();
    for command in [
        // A pickup has no bar before bar 1; six beats do not fit into bar 12.
        Command::PlaceRiff { id: id(3), bar: 0, half_beats: 0 },
        Command::PlaceRiff { id: id(1), bar: 11, half_beats: 0 },
        Command::PlaceRiff { id: id(1), bar: 12, half_beats: 0 },
        Command::PlaceRiff { id: id(7), bar: 0, half_beats: 0 },
        Command::PlaceRiff { id: id(9), bar: 0, half_beats: 0 },
        Command::VaryPlacement { index: 0, how: "sideways".to_owned(), seed: 0 },
        Command::VaryPlacement { index: 5, how: "invert".to_owned(), seed: 0 },
        Command::TransposePlacement { index: 5, semitones: 1 },
        Command::MovePlacement { index: Some(5), bars: 1, half_beats: 0, gesture: 1 },
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
    assert_eq!(change(&desk, 0), Some(Alteration::Transposed(Interval::PERFECT_FOURTH)));
    desk.apply(Command::TransposePlacement { index: 0, semitones: -5 }).unwrap();
    assert_eq!(change(&desk, 0), None);
    // Bar 5 has C7, a fourth above G.
    desk.apply(Command::VaryPlacement { index: 0, how: "with-chord".to_owned(), seed: 0 }).unwrap();
    assert_eq!(change(&desk, 0), Some(Alteration::Transposed(Interval::PERFECT_FOURTH)));
    desk.apply(Command::VaryPlacement { index: 0, how: "new-ending".to_owned(), seed: 1 }).unwrap();
    assert_eq!(change(&desk, 0), Some(Alteration::Varied { how: How::NewEnding, seed: 1 }));
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

#[test]
fn a_suggestion_is_looked_at_before_it_is_taken() {
    let mut desk = desk();
    put(&mut desk, 3, 11);
    desk.apply(Command::FixPlacement { index: 0, on: true }).unwrap();
    let before = desk.document().clone();
    desk.apply(Command::SuggestChorus).unwrap();
    assert_eq!(desk.weaving().suggested.len(), 10);
    assert_eq!(*desk.document(), before);
    for suggested in desk.weaving().suggested.iter() {
        let stay: Vec<_> = suggested.chorus.spots().iter().filter(|spot| spot.stays).collect();
        assert_eq!(stay.len(), 1);
        assert_eq!(stay[0].placement.at, desk.course().bar_start(10) - Ticks::QUARTER);
    }
    let best = desk.chorus().spots().len();
    assert!(best > 1);
    desk.apply(Command::ShowSuggestion { index: None }).unwrap();
    assert_eq!(desk.chorus().spots().len(), 1);
    assert_eq!(desk.apply(Command::TakeSuggestion { index: 0 }), Ok(Done::Taken));
    assert_eq!(desk.chorus().spots().len(), best);
    desk.apply(Command::Undo).unwrap();
    assert_eq!(desk.document().choruses, before.choruses);
    // Whoever changes something in a suggestion has taken it.
    desk.apply(Command::ShowSuggestion { index: Some(3) }).unwrap();
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
        assert_eq!(desk.weaving().suggested.len(), 10);
    }
    // Suggestions over another form are asked for anew.
    desk.apply(Command::SetForm { form: "8-bar".to_owned() }).unwrap();
    assert!(desk.weaving().suggested.is_empty());
}

#[test]
fn suggestions_keep_to_the_riffs_that_are_chosen() {
    let mut desk = desk();
    desk.apply(Command::AskRiff { id: id(1), on: false }).unwrap();
    desk.apply(Command::SuggestChorus).unwrap();
    let ids = |desk: &Desk| desk.weaving().suggested.iter().any(|each| each.chorus.uses(RiffId(1)));
    assert!(!ids(&desk));
    desk.apply(Command::AskRiff { id: id(1), on: true }).unwrap();
    desk.apply(Command::AskRiff { id: id(2), on: false }).unwrap();
    desk.apply(Command::AskRiff { id: id(3), on: false }).unwrap();
    desk.apply(Command::SuggestChorus).unwrap();
    assert!(ids(&desk));
    desk.apply(Command::AskRiff { id: id(1), on: false }).unwrap();
    assert_eq!(desk.apply(Command::SuggestChorus), Err(Refusal::NoRiffAsked));
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
            desk.apply(Command::SuggestChorus).unwrap();
            for (number, suggested) in desk.weaving().suggested.iter().enumerate() {
                let placed = suggested.chorus.over(desk.course()).placed;
                let said = |one: &Placed| (one.placement.riff, one.placement.change);
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
    desk.apply(Command::SuggestChorus).unwrap();
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
        (r#""at":0"#, r#""at":-1"#),
    ] {
        assert!(text.contains(from), "{from} in {text}");
        assert!(record::read_chorus(&text.replace(from, to)).is_err(), "{to}");
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
    let kept = ChorusEntry { chorus: Chorus::empty(ChorusId(4)).named("Quay").into(), revision: 2 };
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

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Whatever is done: no panic, what is refused changes nothing, and record and link read back the same.
    #[test]
    fn anything_may_be_done_in_any_order(steps in prop::collection::vec((0_u8..14, 0_usize..26, -9_i32..10), 1..24)) {
        let mut desk = desk();
        for (gesture, (what, index, by)) in (1..).zip(steps) {
            let how = How::all().nth(index % 15).map_or("", How::name).to_owned();
            let command = match what {
                0..=2 => Command::PlaceRiff { id: id(1 + index as u64 % 3), bar: index, half_beats: by },
                3 => Command::MovePlacement { index: Some(index % 4), bars: by / 2, half_beats: by, gesture },
                4 => Command::TransposePlacement { index: index % 4, semitones: by * 4 },
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
        prop_assert_eq!(kept.over(desk.course()).heard.len(), desk.over().heard.len());
        let text = desk.chorus_link().unwrap();
        let Link::Chorus(shared) = link::decode_any(&text).unwrap() else { panic!("a chorus") };
        prop_assert_eq!(link::encode_chorus(&shared.tune, &shared.chorus), Some(text));
    }
}
