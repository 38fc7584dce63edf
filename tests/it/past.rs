//! What was practised: keeping it, what is known, when it comes back, and ten minutes of it.
//!
//! What counts as known follows Duke, Simmons and Cash 2009 and Simmons 2012, as `notebook::past::known` says; intervals
//! of 1, 6 and 15 days are those of SM-2 (Woźniak 1990) at a quality of 4 or 5. Plan and bounds are our own, so their
//! expected values are worked by hand.

use std::collections::HashSet;

use proptest::prelude::*;
use riffloom::desk::Desk;
use riffloom::desk::command::Command;
use riffloom::desk::practice::Doing;
use riffloom::notebook::past::known::{Standing, known, review, standing};
use riffloom::notebook::past::plan::{Turn, Why, home_key, plan, way};
use riffloom::notebook::past::{KeptPass, Past};
use riffloom::practice::Heard;
use riffloom::practice::ladder::Went;
use riffloom::practice::review::{Day, Extent, Help};
use riffloom::practice::settings::{Plays, Sight};
use riffloom::practice::subject::Subject;
use riffloom::riff::{RiffId, write_id};
use riffloom::theory::key::Key;
use riffloom::units::{AudioTime, Cents, QuartersPerMinute, Seconds, Velocity};
use riffloom::view::past::plan_view;

const RIFF: Subject = Subject::Riff(RiffId(7));

fn riff(number: u64) -> Subject {
    Subject::Riff(RiffId(number))
}

/// A clean pass by heart over the form in G at 92.
fn pass(day: i64) -> KeptPass {
    KeptPass {
        order: 0,
        stamp: 1,
        day: Day(day),
        key: "G".parse().unwrap(),
        moved: 0,
        tempo: QuartersPerMinute::new(92.0).unwrap(),
        went: Went::Clean,
        help: Help::NotesHidden,
        over: Extent::Form,
        rhythm_alone: false,
        asked: 24,
        right: 24,
        extra: 0,
        bias_ms: Some(-14),
        spread_ms: Some(21),
    }
}

fn past(passes: &[KeptPass]) -> Past {
    let mut past = Past::default();
    passes.iter().for_each(|pass| past.keep(RIFF, *pass));
    past
}

fn known_in(passes: &[KeptPass]) -> Vec<String> {
    let past = past(passes);
    known(past.of(RIFF)).iter().map(|known| format!("{} {}", known.key, known.tempo.value())).collect()
}

#[test]
fn one_evening_is_no_knowing_however_long_the_row() {
    assert_eq!(known_in(&[pass(10); 20]), [""; 0]);
    assert_eq!(known_in(&[pass(10), pass(11)]), ["G 92"]);
}

#[test]
fn seen_notes_a_part_a_slip_and_the_rhythm_alone_do_not_count() {
    for other in [
        KeptPass { help: Help::NotesShown, ..pass(12) },
        KeptPass { over: Extent::Loop, ..pass(12) },
        KeptPass { went: Went::Fair, ..pass(12) },
        KeptPass { rhythm_alone: true, ..pass(12) },
    ] {
        assert_eq!(known_in(&[pass(10), other]), [""; 0], "{other:?}");
    }
}

#[test]
fn key_and_tempo_stand_beside_it() {
    let in_c = KeptPass { key: "C".parse().unwrap(), ..pass(12) };
    let fast = KeptPass { tempo: QuartersPerMinute::new(120.0).unwrap(), ..pass(11) };
    assert_eq!(known_in(&[pass(10), fast, pass(11), in_c]), ["G 120", "C 92"]);
}

#[test]
fn a_clock_that_is_set_back_makes_nothing_known_and_loses_nothing() {
    // One evening: the clock is set back a day and put right again.
    assert_eq!(known_in(&[pass(10), pass(9), pass(10)]), [""; 0]);
    // The same with a clock that lost its date and found it.
    assert_eq!(known_in(&[pass(20_000), pass(0), pass(20_000)]), [""; 0]);
    assert_eq!(past(&[pass(20_000), pass(0)]).of(RIFF).len(), 2);
    // A day later it counts, also where the date was wrong by a year before.
    assert_eq!(known_in(&[pass(10), pass(9), pass(11)]), ["G 92"]);
    assert_eq!(known_in(&[pass(20_365), pass(20_000), pass(20_001)]), ["G 92"]);
    assert_eq!(review(past(&[pass(20_365), pass(20_000)]).of(RIFF)).unwrap().due(), Day(20_001));
}

#[test]
fn it_comes_back_at_growing_intervals() {
    let due = |days: &[i64]| {
        let passes: Vec<KeptPass> = days.iter().map(|day| pass(*day)).collect();
        review(past(&passes).of(RIFF)).unwrap().due().0 - days.last().unwrap()
    };
    assert_eq!((due(&[10]), due(&[10, 10, 10]), due(&[10, 11])), (1, 1, 6));
    // At quality 5 the factor grows from 2.5 to 2.6 and 2.7: 6 · 2.7 = 16.2, rounded up.
    assert_eq!(due(&[10, 11, 17]), 17);
    let lost = KeptPass { went: Went::Poor, ..pass(17) };
    assert_eq!(review(past(&[pass(10), pass(11), lost]).of(RIFF)).unwrap().due(), Day(18));
    assert_eq!(review(&[]), None);
}

#[test]
fn a_record_reads_back_the_same_and_a_bad_line_costs_no_other() {
    let odd = KeptPass { key: "F#m".parse().unwrap(), moved: -3, bias_ms: None, spread_ms: None, ..pass(11) };
    let first = past(&[pass(10), odd]);
    let mut again = Past::default();
    again.read(&first.write(RIFF)).unwrap();
    assert_eq!(again, first);
    let spoilt = first.write(RIFF).replacen("clean", "splendid", 1);
    let mut rest = Past::default();
    rest.read(&spoilt).unwrap();
    assert_eq!(rest.of(RIFF), &first.of(RIFF)[1..]);
    for text in
        ["", "{}", "[]", r#"{"version":2,"riff":"7","passes":[]}"#, r#"{"version":1,"riff":"x","passes":[]}"#]
    {
        assert!(Past::default().read(text).is_err(), "{text}");
    }
}

/// Two tabs each keep a pass of the same order: storage holds both, whoever writes last.
#[test]
fn two_tabs_lose_nothing() {
    let begun = past(&[pass(10)]);
    let (mut one, mut other) = (begun.clone(), begun);
    one.keep(RIFF, KeptPass { stamp: 5, ..pass(11) });
    other.keep(RIFF, KeptPass { stamp: 6, ..pass(11) });
    let (mut left, mut right) = (one.clone(), other.clone());
    left.read(&other.write(RIFF)).unwrap();
    right.read(&one.write(RIFF)).unwrap();
    assert_eq!(left, right);
    assert_eq!(left.of(RIFF).len(), 3);
    left.read(&right.write(RIFF)).unwrap();
    assert_eq!(left, right);
}

#[test]
fn it_is_bounded_and_keeps_its_weeks() {
    let mut past = Past::default();
    for day in 0..20 {
        (0..30).for_each(|_| past.keep(RIFF, KeptPass { went: Went::Fair, ..pass(day) }));
        past.keep(RIFF, pass(day));
    }
    assert_eq!(past.of(RIFF).len(), Past::MOST_PASSES);
    for day in 0..20 {
        let clean = past.of(RIFF).iter().any(|pass| pass.day == Day(day) && pass.went == Went::Clean);
        assert!(clean, "day {day} kept its clean pass");
    }
    assert!(past.write(RIFF).len() < 30_000, "{}", past.write(RIFF).len());
    // A pass a day for longer than fits: the oldest go.
    let mut long = Past::default();
    (0..400).for_each(|day| long.keep(RIFF, pass(day)));
    assert_eq!((long.of(RIFF).len(), long.of(RIFF)[0].day), (Past::MOST_PASSES, Day(40)));
}

#[test]
fn ten_minutes_mix_riffs_and_keys() {
    let mut past = Past::default();
    let (due, begun, rests) = (riff(1), riff(2), riff(3));
    [pass(1), pass(2)].into_iter().for_each(|pass| past.keep(due, pass));
    past.keep(begun, pass(29));
    [pass(28), pass(29)].into_iter().for_each(|pass| past.keep(rests, pass));
    let here: Key = "G".parse().unwrap();
    let turns = |riffs: &[Subject]| {
        let riffs: Vec<_> = riffs.iter().map(|riff| (*riff, None)).collect();
        let number = |of: Subject| match of {
            Subject::Riff(id) => id.0,
            Subject::Chorus(id) => 100 + id.0,
        };
        let turn = |turn: Turn| (number(turn.of), turn.key.to_string(), turn.why);
        plan(&past, &riffs, here, Day(30)).into_iter().map(turn).collect::<Vec<_>>()
    };
    let [g, c] = ["G", "C"].map(str::to_owned);
    assert_eq!(
        turns(&[riff(4), rests, begun, due]),
        [
            (1, g.clone(), Why::Due),
            (2, g.clone(), Why::Begun),
            (3, c.clone(), Why::AnotherKey),
            (1, c.clone(), Why::AnotherKey),
            (2, g.clone(), Why::Begun),
        ]
    );
    // However few there are, no two turns are alike.
    for riffs in [&[riff(4)][..], &[due], &[begun], &[rests], &[riff(4), due]] {
        let riffs: Vec<_> = riffs.iter().map(|riff| (*riff, None)).collect();
        let plan = plan(&past, &riffs, here, Day(30));
        let ways: HashSet<_> = plan.iter().map(|turn| (turn.of, turn.key, turn.how)).collect();
        assert_eq!((plan.len(), ways.len()), (5, 5), "{plan:?}");
    }
    assert_eq!(turns(&[riff(4)]), [(); 5].map(|()| (4, g.clone(), Why::New)));
    assert_eq!(turns(&[]), []);
    let minutes: u32 = plan(&past, &[(due, None)], here, Day(30)).iter().map(|turn| turn.minutes).sum();
    assert_eq!(minutes, 10);
    assert_eq!(standing(past.of(riff(4))), Standing::New);
}

/// The circle of fifths; half steps counted on a keyboard.
#[test]
fn keys_are_reached_by_the_nearest_way() {
    let way = |from: &str, to: &str| way(from.parse().unwrap(), to.parse().unwrap()).0;
    assert_eq!(
        [way("G", "C"), way("C", "G"), way("G", "G"), way("Bb", "B"), way("F", "B")],
        [5, -5, 0, 1, 6]
    );
    let moved = KeptPass { key: "C".parse().unwrap(), moved: 5, ..pass(3) };
    assert_eq!(home_key(None, &[pass(1), moved], "D".parse().unwrap()).to_string(), "G");
    assert_eq!(home_key(None, &[], "D".parse().unwrap()).to_string(), "D");
    // The notes may have been moved since it was practised.
    assert_eq!(home_key("A".parse().ok(), &[pass(1)], "D".parse().unwrap()).to_string(), "A");
}

/// *Porch light* over twelve bars in G at 92, as number 2 of the notebook.
fn demo() -> Desk {
    let mut desk = Desk::new(RiffId(1));
    desk.apply(Command::OpenDemo { id: write_id(RiffId(2)) }).unwrap();
    desk.set_today(Day(20));
    desk
}

/// Begins a run and plays every note that is asked for, on time.
fn play_all(desk: &mut Desk) -> AudioTime {
    let (course, begin) = (desk.practice_setup().unwrap(), AudioTime(10.0));
    desk.practice_begin(course.clone(), begin);
    let Doing::Run(run) = desk.practice().doing() else { panic!("no run") };
    for (at, asked) in run.wanted() {
        desk.hear(Heard { at, midi: Some(asked.midi), above: Cents(0.0), velocity: Velocity::PLAIN });
    }
    begin + course.tempo.duration(course.score.time_through())
}

#[test]
fn a_time_through_is_kept_once_it_was_played_to_its_end() {
    let mut desk = demo();
    let end = play_all(&mut desk);
    let ended = desk.practice_tick(end + Seconds(2.0), Seconds(0.0)).unwrap();
    assert_eq!(desk.remember(&ended, 9), Some(riff(2)));
    let [kept] = desk.past().of(riff(2)) else { panic!("one is kept") };
    let figures = (kept.order, kept.stamp, kept.day, kept.key.to_string(), kept.tempo.value(), kept.moved);
    assert_eq!(figures, (1, 9, Day(20), "G".to_owned(), 92.0, 0));
    assert_eq!((kept.went, kept.help, kept.over), (Went::Clean, Help::NotesShown, Extent::Form));
    assert_eq!(
        (kept.asked, kept.right, kept.extra, kept.bias_ms),
        (30, 30, 0, None),
        "the delay is not known"
    );
    // Broken off in the middle: it was played, and is not kept.
    let end = play_all(&mut desk);
    let stopped = desk.practice_stop(end - Seconds(8.0)).unwrap();
    assert_eq!((stopped.complete, desk.remember(&stopped, 9)), (false, None));
    assert_eq!(desk.past().of(riff(2)).len(), 1);
}

#[test]
fn a_riff_is_practised_in_another_key_and_stays_where_it_stands() {
    let mut desk = demo();
    let written = desk.riff().clone();
    desk.apply(Command::PractiseIn { id: write_id(RiffId(2)), key: "C".into(), how: String::new() }).unwrap();
    assert_eq!((desk.tune().key.to_string(), desk.riff()), ("C".to_owned(), &written));
    let course = desk.practice_setup().unwrap();
    let by: Vec<i32> = course
        .score
        .solo
        .riff()
        .unwrap()
        .notes()
        .iter()
        .zip(written.notes())
        .map(|(asked, note)| asked.pitch.semitones() - note.pitch.semitones())
        .collect();
    assert_eq!(by, [5; 5]);
    assert_eq!(course.sight, Sight::Chords, "the notes in sight would be the wrong ones");
    let end = play_all(&mut desk);
    let ended = desk.practice_tick(end + Seconds(2.0), Seconds(0.0)).unwrap();
    desk.remember(&ended, 9);
    let kept = desk.past().of(riff(2))[0];
    assert_eq!((kept.went, kept.key.to_string(), kept.moved), (Went::Clean, "C".to_owned(), 5));
    // Another key of the tune is not where it was moved to; home again it is as it is written.
    desk.apply(Command::SetKey { key: "D".into() }).unwrap();
    assert_eq!(desk.moved(), None);
    desk.apply(Command::PractiseIn { id: write_id(RiffId(2)), key: "G".into(), how: String::new() }).unwrap();
    assert_eq!((desk.moved(), desk.practice_setup().unwrap().score.solo.riff()), (None, Some(&written)));
    for (id, key) in [("00", "C"), ("0000000000000002", "H")] {
        assert!(
            desk.apply(Command::PractiseIn { id: id.into(), key: key.into(), how: String::new() }).is_err(),
            "{id} {key}"
        );
    }
}

/// What each row says is what is set when it is taken up; the words are our own.
#[test]
fn each_turn_says_how_and_sets_it() {
    let mut desk = demo();
    // What was chosen before does not stay.
    for (what, value) in [("drill", "echo"), ("one-bar", "on"), ("sight", "nothing")] {
        desk.apply(Command::SetPractice { what: what.into(), value: value.into() }).unwrap();
    }
    let turns = plan_view(&desk).turns;
    let says: Vec<&str> = turns.iter().map(|turn| turn.text.as_str()).collect();
    assert_eq!(
        says,
        [
            "Porch light, in G: hear it and play along",
            "Porch light, in G: the rhythm alone",
            "Porch light, in G: slow to fast",
            "Porch light, in G: only the chords in sight",
            "Porch light, in G: nothing in sight",
        ]
    );
    let set = turns.into_iter().map(|turn| {
        desk.apply(Command::PractiseIn { id: turn.of, key: turn.key, how: turn.how }).unwrap();
        let now = desk.practice().settings();
        assert!(now.drill.is_none() && !now.one_bar);
        (now.along, now.plays, now.ladder.is_some(), now.sight)
    });
    assert_eq!(
        set.collect::<Vec<_>>(),
        [
            (true, Plays::Notes, false, Sight::All),
            (false, Plays::Rhythm, false, Sight::All),
            (false, Plays::Notes, true, Sight::All),
            (false, Plays::Notes, false, Sight::Chords),
            (false, Plays::Notes, false, Sight::Nothing),
        ]
    );
    let unknown = Command::PractiseIn { id: write_id(RiffId(2)), key: "C".into(), how: "upside-down".into() };
    assert!(desk.apply(unknown).is_err());
    assert_eq!(desk.tune().key.to_string(), "G", "nothing is changed");
}

proptest! {
    #[test]
    fn any_text_reads_or_is_refused(line: String) {
        let _ = KeptPass::read(&line);
        let _ = Past::default().read(&line);
    }

    /// Whatever the clock shows, knowing needs two dates, and a record reads back the same.
    #[test]
    fn days_in_any_order(days in proptest::collection::vec(-3_i64..40, 1..40)) {
        let passes: Vec<KeptPass> = days.iter().map(|day| pass(*day)).collect();
        let past = past(&passes);
        let different = days.iter().collect::<std::collections::HashSet<_>>().len();
        prop_assert!(different > 1 || known(past.of(RIFF)).is_empty());
        prop_assert!(review(past.of(RIFF)).is_some());
        let mut again = Past::default();
        again.read(&past.write(RIFF)).unwrap();
        prop_assert_eq!(again, past);
    }
}
