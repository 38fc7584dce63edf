//! A riff from seat to seat: who came from whom, what each changed, and a laptop that goes round.

use proptest::prelude::*;
use riffloom::desk::Desk;
use riffloom::desk::class::ClassCommand;
use riffloom::desk::command::Command;
use riffloom::desk::stored::Stored;
use riffloom::files::link::{self, Answer, Lesson, LessonStep, Limits};
use riffloom::notebook::demo::{porch_light, salt_wind};
use riffloom::notebook::family::{self, Member, families};
use riffloom::notebook::tune::Tune;
use riffloom::riff::difference::{Edit, differences, edits};
use riffloom::riff::{Note, Riff, RiffId, edit, write_id};
use riffloom::theory::pitch::{Pitch, Step};
use riffloom::units::Ticks;
use riffloom::view::class::view;

fn id(number: u64) -> String {
    write_id(RiffId(number))
}

fn lesson() -> Lesson {
    Lesson {
        title: "Pass it on".to_owned(),
        tune: Tune::first().shared(),
        models: vec![salt_wind().with_id(RiffId(1))],
        steps: vec![LessonStep::Change],
        tiers: vec![Limits { beats: 0, space: 0, notes: u8::MAX }],
        locked: false,
        words: String::new(),
        can: Vec::new(),
    }
}

fn answer(who: &str, riff: &Riff) -> String {
    let (lesson, riff) = (lesson(), riff.clone().with_id(RiffId(0)));
    let number = link::lesson_number(&lesson);
    let answer = Answer { lesson: number, who: who.to_owned(), tier: 0, can: 0, tune: lesson.tune, riff };
    link::encode_answer(&answer).unwrap()
}

fn pitch(step: Step, octave: i32) -> Pitch {
    Pitch::new(step, 0, octave)
}

/// Salt wind, and four riffs of which each changed one thing of the one before.
fn chain() -> Vec<Riff> {
    let model = salt_wind();
    let one = edit::repitch(&model, 0, pitch(Step::D, 4)).unwrap();
    let two = edit::remove(&one, 2).unwrap();
    let three = edit::toggle_accent(&two, 3).unwrap();
    let four = edit::lengthen(&three, 4, 2).unwrap();
    vec![model, one, two, three, four]
}

/// In whatever order the links come, the chain is found again.
#[test]
fn a_chain_is_found_in_any_order() {
    let chain = chain();
    for order in [[1, 2, 3, 4], [4, 3, 2, 1], [3, 1, 4, 2], [2, 4, 1, 3]] {
        let riffs: Vec<Riff> = [0].iter().chain(&order).map(|place| chain[*place].clone()).collect();
        let members = families(&riffs, 1);
        let place = |riff: usize| if riff == 0 { 0 } else { order[riff - 1] };
        let found: Vec<usize> = members.iter().map(|member| place(member.riff)).collect();
        assert_eq!(found, [0, 1, 2, 3, 4], "{order:?}");
        let from: Vec<Option<usize>> = members.iter().map(|member| member.from.map(place)).collect();
        assert_eq!(from, [None, Some(0), Some(1), Some(2), Some(3)]);
    }
}

/// Two who changed different things of the model both came from it, and a riff of one's own is in no family.
#[test]
fn branches_begin_where_they_came_from() {
    let chain = chain();
    let other = edit::repitch(&chain[0], 5, pitch(Step::D, 4)).unwrap();
    let riffs = vec![chain[0].clone(), chain[1].clone(), other, chain[2].clone(), porch_light()];
    let member = |riff, from, depth| Member { riff, from, depth };
    assert_eq!(
        families(&riffs, 1),
        [member(0, None, 0), member(1, Some(0), 1), member(3, Some(1), 2), member(2, Some(0), 1)]
    );
    // Where nothing else tells, the name does: both changed the same note.
    let (first, second) = (pitch(Step::C, 4), pitch(Step::D, 4));
    let named = |riff: &Riff, at, name| edit::rename(&edit::repitch(riff, 0, at).unwrap(), name);
    let two = named(&chain[0], first, "Salt wind, 2");
    let three = named(&two, second, "Salt wind, 3");
    let members = families(&[chain[0].clone(), two, three], 1);
    assert_eq!(members[2], member(2, Some(1), 2));
    assert_eq!(family::next_name("Salt wind, 9"), "Salt wind, 10");
    assert_eq!(family::next_name("Ferry bell, slow"), "Ferry bell, slow, 2");
}

#[test]
fn what_was_changed_is_found_thing_by_thing() {
    let chain = chain();
    assert!(matches!(&edits(&chain[0], &chain[1])[..], [Edit::Other(was, is)] if was.pitch.octave == 4
        && is.pitch == pitch(Step::D, 4)));
    assert!(matches!(&edits(&chain[1], &chain[2])[..], [Edit::Gone(_)]));
    assert!(matches!(&edits(&chain[2], &chain[1])[..], [Edit::Come(_)]));
    let later = edit::begin_at(&chain[0], Ticks::QUARTER).unwrap();
    assert_eq!(edits(&chain[0], &later), [Edit::Begins { from: Ticks::ZERO, to: Ticks::QUARTER }]);
}

fn any_riff() -> impl Strategy<Value = Riff> {
    proptest::collection::vec((0_usize..8, 0_i32..3), 0..6).prop_map(|changes| {
        changes.into_iter().fold(salt_wind(), |riff, (index, what)| {
            let changed = match what {
                0 => edit::remove(&riff, index),
                1 => edit::repitch(&riff, index, pitch(Step::E, 4)),
                _ => edit::shift(&riff, index, 1).map(|placed| placed.riff),
            };
            changed.unwrap_or(riff)
        })
    })
}

/// The most notes that both have in the same order.
fn in_common(one: &[Note], other: &[Note]) -> usize {
    match (one, other) {
        ([first, one @ ..], [second, others @ ..]) if first == second => 1 + in_common(one, others),
        ([_, rest @ ..], [_, others @ ..]) => in_common(rest, other).max(in_common(one, others)),
        _ => 0,
    }
}

fn apart(one: &Riff, other: &Riff) -> usize {
    let most = one.notes().len().max(other.notes().len());
    most - in_common(one.notes(), other.notes()) + usize::from(one.start != other.start)
}

proptest! {
    #![proptest_config(crate::cases(128))]

    /// Two ways to count: what both have in common, by trying everything as the definition of a longest common
    /// subsequence has it, and thing by thing.
    #[test]
    fn as_many_things_are_told_as_are_counted(one in any_riff(), other in any_riff()) {
        prop_assert_eq!(edits(&one, &other).len(), apart(&one, &other));
        prop_assert_eq!(edits(&other, &one).len(), apart(&one, &other));
        prop_assert_eq!(differences(&one, &other), apart(&one, &other));
    }

    /// Everybody at most once, nobody before the one they came from.
    #[test]
    fn a_family_is_in_order(riffs in proptest::collection::vec(any_riff(), 0..12)) {
        let members = families(&riffs, 1);
        for (place, member) in members.iter().enumerate() {
            let before = &members[..place];
            prop_assert!(before.iter().all(|other| other.riff != member.riff));
            prop_assert_eq!(member.from.is_none(), member.depth == 0);
            let parent = member.from.map(|from| before.iter().find(|other| other.riff == from));
            prop_assert!(parent.is_none_or(|parent| parent.is_some_and(|each| each.depth + 1 == member.depth)));
        }
    }
}

#[test]
fn a_family_is_told_in_words_and_plays_through_in_order() {
    let mut desk = Desk::new(RiffId(1));
    let chain = chain();
    let links: Vec<String> =
        [3, 1, 4, 2].iter().map(|seat| answer(&format!("Seat {seat}"), &chain[*seat])).collect();
    let text = format!("{}\n{}", link::encode_lesson(&lesson()).unwrap(), links.join("\n"));
    desk.do_in_class(ClassCommand::Paste { text, id: id(10), among_words: false });
    let lesson_id = view(&desk).lessons[0].id.clone();
    desk.do_in_class(ClassCommand::Choose { id: lesson_id });
    let family = view(&desk).board.family;
    let told: Vec<(&str, &str, String)> =
        family.iter().map(|each| (each.name.as_str(), each.from.as_str(), each.changed.join(" "))).collect();
    assert_eq!(
        told,
        [
            ("The model: Salt wind", "", String::new()),
            ("Seat 1", "from the model", "G on beat 1 became D.".to_owned()),
            ("Seat 2", "from Seat 1", "G on beat 3 is gone.".to_owned()),
            ("Seat 3", "from Seat 2", "B♭ on beat 5 has an accent.".to_owned()),
            ("Seat 4", "from Seat 3", "G on beat 6 is longer.".to_owned()),
        ]
    );
    let play = desk.class_plays("family").unwrap();
    assert_eq!(play.ids.len(), 5);
    assert_eq!(play.turns.len(), 6, "each turn begins where the one before ends");
    desk.do_in_class(ClassCommand::ShowNames { on: false });
    let hidden = view(&desk).board.family;
    assert!(
        hidden.iter().all(|each| !each.name.contains("Seat") && !each.from.contains("Seat")),
        "{hidden:?}"
    );
}

/// Our own rule: on one laptop each seat begins with what the one before left, and everything stays.
#[test]
fn one_laptop_goes_from_seat_to_seat() {
    let mut desk = Desk::new(RiffId(1));
    let text = link::encode_lesson(&lesson()).unwrap();
    desk.do_in_class(ClassCommand::Paste { text, id: id(10), among_words: false });
    let lesson_id = view(&desk).lessons[0].id.clone();
    desk.do_in_class(ClassCommand::Relay { id: lesson_id });
    for seat in 1..=4_u64 {
        desk.apply(Command::TakeLesson { id: id(100 + seat) }).unwrap();
        let work = view(&desk).work.unwrap();
        assert!(work.passes && work.writes, "{work:?}");
        let from = if seat == 1 { "the model".to_owned() } else { format!("Seat {}’s riff", seat - 1) };
        assert_eq!(work.say, format!("This is {from}: change one thing."));
        assert_eq!(desk.riff().name, format!("Salt wind, {}", seat + 1));
        let pass = |who: &str| ClassCommand::PassOn { who: who.to_owned(), id: id(200 + seat) };
        desk.do_in_class(pass("Seat"));
        assert_eq!(view(&desk).told, "Still as it came: change one thing first.");
        desk.apply(Command::SelectNote { index: Some(0) }).unwrap();
        desk.apply(Command::DeleteNote).unwrap();
        assert!(view(&desk).work.unwrap().good);
        desk.do_in_class(pass(" "));
        assert_eq!(view(&desk).made, "");
        desk.do_in_class(pass(&format!("Seat {seat}")));
        assert!(!view(&desk).made.is_empty(), "{}", view(&desk).told);
    }
    let family = view(&desk).board.family;
    let names: Vec<&str> = family.iter().map(|each| each.name.as_str()).collect();
    assert_eq!(names[1..], ["Seat 1", "Seat 2", "Seat 3", "Seat 4"]);
    // It is kept: who loads the page again goes on.
    let records: Vec<(String, String)> =
        desk.class().ids().into_iter().map(|id| (id.clone(), desk.class().record(&id).unwrap())).collect();
    let mut again = Desk::opened(Stored::read(&records), RiffId(2));
    again.do_in_class(ClassCommand::Look);
    assert!(view(&again).work.unwrap().passes);
    again.do_in_class(ClassCommand::Leave);
    assert!(view(&again).work.is_none());
    assert_eq!(view(&again).board.answers.len(), 4);
}

/// The link of the seat before is enough: nothing else of the lesson is on this device.
#[test]
fn a_link_goes_from_seat_to_seat() {
    let mut desk = Desk::new(RiffId(1));
    let text = answer("Otter", &chain()[1]);
    desk.apply(Command::OpenLink { text, id: id(3), take_tune: true }).unwrap();
    desk.do_in_class(ClassCommand::Relay { id: id(4) });
    desk.apply(Command::TakeLesson { id: id(5) }).unwrap();
    assert_eq!(view(&desk).work.unwrap().say, "This is Otter’s riff: change one thing.");
    desk.apply(Command::SelectNote { index: Some(1) }).unwrap();
    desk.apply(Command::DeleteNote).unwrap();
    desk.do_in_class(ClassCommand::PassOn { who: "Heron".to_owned(), id: id(6) });
    let made = view(&desk).made;
    let Ok(link::Link::Answer(passed)) = link::decode_any(&made) else { panic!("{made}") };
    assert_eq!(passed.lesson, link::lesson_number(&lesson()));
    assert_eq!(passed.riff.notes().len(), chain()[1].notes().len() - 1);
}

#[test]
fn the_rota_of_a_class_is_a_table() {
    let mut desk = Desk::new(RiffId(1));
    assert!(view(&desk).rota.turns.is_empty());
    let ask = |seats: &str, plays: &[&str]| {
        let plays = plays.iter().map(|name| (*name).to_owned()).collect();
        ClassCommand::Rota { seats: seats.to_owned(), plays }
    };
    desk.do_in_class(ask("4", &["claps", "chords"]));
    let rota = view(&desk).rota;
    assert_eq!(rota.parts, ["Two-note chords", "Claps"]);
    assert_eq!(rota.turns.iter().map(|turn| turn.solo.as_str()).collect::<Vec<_>>(), ["1", "2", "3", "4"]);
    for turn in &rota.turns {
        let mut seats: Vec<&str> =
            turn.plays.iter().flat_map(|each| each.split(", ")).chain([&*turn.solo]).collect();
        seats.sort_unstable();
        assert_eq!(seats, ["1", "2", "3", "4"], "everybody plays");
    }
    desk.do_in_class(ask("Otter, Heron; Fox", &["roots"]));
    assert_eq!(view(&desk).rota.turns[0].plays, ["Heron, Fox"]);
    for (seats, plays, told) in [
        ("1", &["claps"][..], "Write how many seats there are, 2 to 30, or their names with commas between."),
        ("5", &[], "Tick at least one part for those who accompany."),
    ] {
        desk.do_in_class(ask(seats, plays));
        let rota = view(&desk).rota;
        assert_eq!((rota.told.as_str(), rota.turns.len()), (told, 0));
    }
}
