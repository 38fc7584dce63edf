//! Practising as a person does it, without a browser: a scripted player hears the goals and plays them with offsets
//! that are known, so every expected figure follows from what was scripted.

use riffloom::desk::command::Command;
use riffloom::desk::practice::Doing;
use riffloom::desk::{Desk, write_id};
use riffloom::perform::Asked;
use riffloom::practice::Heard;
use riffloom::practice::delay::{Delay, Found};
use riffloom::practice::ladder::{Next, Went};
use riffloom::practice::run::{Course, PassEnded};
use riffloom::riff::RiffId;
use riffloom::units::{AudioTime, MidiNote, ScoreTime, Seconds, Velocity};
use riffloom::view::practice;

/// *Porch light* over twelve bars: five notes, six times.
fn demo() -> Desk {
    let mut desk = Desk::new(RiffId(1));
    desk.apply(Command::OpenDemo { id: write_id(RiffId(2)) }).unwrap();
    desk
}

fn set(desk: &mut Desk, what: &str, value: &str) {
    desk.apply(Command::SetPractice { what: what.into(), value: value.into() }).unwrap();
}

/// When the first bar line of every run here is heard.
const BEGIN: AudioTime = AudioTime(10.0);

/// A run that was begun, and what it asks for in its first time through.
fn begin(desk: &mut Desk) -> (Course, Vec<(AudioTime, Asked)>) {
    let course = desk.practice_course().unwrap();
    let through = course.score.time_through();
    let asked = course.score.asked(ScoreTime::ZERO, ScoreTime::ZERO + through);
    let sounds = |position: f64| BEGIN + Seconds(position * 60.0 / course.tempo.value());
    let goals = asked.into_iter().map(|asked| (sounds(asked.position), asked)).collect();
    desk.practice_begin(course.clone(), BEGIN);
    (course, goals)
}

fn play(desk: &mut Desk, at: AudioTime, midi: i32) {
    desk.hear(Heard { at, midi: MidiNote::new(midi), velocity: Velocity::PLAIN });
}

/// One time through, every note late by what `late` says of it, `None` for a note that is left out.
fn pass(desk: &mut Desk, late: impl Fn(usize) -> Option<f64>) -> PassEnded {
    let (course, goals) = begin(desk);
    for (index, (at, asked)) in goals.iter().enumerate() {
        if let Some(late) = late(index) {
            play(desk, *at + Seconds(late), i32::from(asked.midi.number()));
        }
    }
    let end = BEGIN + course.tempo.duration(course.score.time_through());
    assert!(desk.practice_tick(end, Seconds(0.0)).is_none(), "the last note may still be late");
    (*desk.practice_tick(end + Seconds(2.0), Seconds(0.0)).unwrap()).clone()
}

fn calibrated(desk: &mut Desk, seconds: f64) {
    desk.set_delay(Delay::kept(seconds, 0.004, Found::ByTapping));
}

#[test]
fn what_was_played_is_what_is_reported() {
    let mut desk = demo();
    calibrated(&mut desk, 0.050);
    let ended = pass(&mut desk, |index| Some(0.050 + if index % 2 == 0 { 0.020 } else { 0.010 }));
    assert_eq!((ended.went, ended.complete, ended.goals.len()), (Went::Clean, true, 30));
    let figures = ended.pass.figures;
    assert_eq!((figures.right, figures.missed, figures.extra), (30, 0, 0));
    assert!((figures.bias.unwrap().0 - 0.015).abs() < 1e-9);
    let timing = practice::view(&desk).after.unwrap().timing.unwrap();
    let texts: Vec<&str> = timing.table.iter().take(2).map(|row| row.text.as_str()).collect();
    assert_eq!(texts, ["20 ms late", "10 ms late"]);
    assert_eq!(timing.table[0].place, "bar 1, beat 1 and");
    assert!(timing.strip.iter().all(|stick| stick.late > 0.0 && stick.kind == "right"));
}

/// A free loop goes on: what comes early for the next time through is not taken for this one's.
#[test]
fn times_through_follow_one_another_and_share_no_note() {
    let mut desk = demo();
    calibrated(&mut desk, 0.0);
    let (course, goals) = begin(&mut desk);
    let through = course.tempo.duration(course.score.time_through());
    for time in 0..3 {
        for (at, asked) in &goals {
            play(&mut desk, *at + through * f64::from(time) - Seconds(0.03), i32::from(asked.midi.number()));
        }
    }
    for time in 1..=3 {
        let ended =
            desk.practice_tick(BEGIN + through * f64::from(time) + Seconds(1.0), Seconds(0.0)).unwrap();
        assert_eq!((ended.went, ended.pass.figures.right), (Went::Clean, 30));
        assert!((ended.pass.figures.bias.unwrap().0 + 0.03).abs() < 1e-9);
    }
    assert!(matches!(desk.practice().doing(), Doing::Run(run) if run.done() == 3));
}

/// Up after two clean times through, down after two poor ones, and the page says so.
#[test]
fn a_ladder_goes_up_and_down_and_says_so() {
    let mut desk = demo();
    for (what, value) in
        [("speed", "slow-to-fast"), ("start", "60"), ("goal", "66"), ("step", "4"), ("clean", "2")]
    {
        set(&mut desk, what, value);
    }
    let tempo = |desk: &Desk| desk.practice_tempo().value();
    let next = |desk: &Desk| practice::view(desk).after.unwrap().next;
    assert_eq!(tempo(&desk), 60.0);
    pass(&mut desk, |_| Some(0.0));
    assert_eq!((desk.practice().next(), tempo(&desk)), (Some(Next::Again(1)), 60.0));
    assert_eq!(next(&desk), "One more time, then a little faster.");
    pass(&mut desk, |_| Some(0.2));
    assert_eq!((desk.practice().next(), tempo(&desk)), (Some(Next::Up), 64.0));
    pass(&mut desk, |_| None);
    pass(&mut desk, |_| None);
    assert_eq!((desk.practice().next(), tempo(&desk)), (Some(Next::Down), 60.0));
    assert_eq!(next(&desk), "A little slower, until it is easy.");
    assert_eq!(desk.tune().tempo.value(), 92.0, "the tune's own tempo is left alone");
}

/// Timing counts towards a clean time through only where it is asked for.
#[test]
fn only_who_asks_for_time_is_held_to_it() {
    let mut desk = demo();
    calibrated(&mut desk, 0.0);
    let ragged = |index: usize| Some(0.014 * ((7 * index % 11) as f64 - 5.0));
    assert_eq!(pass(&mut desk, ragged).went, Went::Clean);
    set(&mut desk, "asks", "notes-in-time");
    assert_ne!(pass(&mut desk, ragged).went, Went::Clean);
}

#[test]
fn taps_play_the_rhythm_alone() {
    let mut desk = demo();
    calibrated(&mut desk, 0.0);
    set(&mut desk, "plays", "rhythm");
    let (course, goals) = begin(&mut desk);
    for (at, _) in &goals {
        desk.hear(Heard { at: *at + Seconds(0.01), midi: None, velocity: Velocity::PLAIN });
    }
    let end = BEGIN + course.tempo.duration(course.score.time_through());
    let ended = desk.practice_tick(end + Seconds(2.0), Seconds(0.0)).unwrap();
    assert_eq!((ended.went, ended.rhythm_alone, ended.pass.figures.right), (Went::Clean, true, 30));
}

#[test]
fn nothing_is_said_of_early_and_late_without_a_caution() {
    let mut desk = demo();
    pass(&mut desk, |_| Some(0.15));
    let view = practice::view(&desk);
    let after = view.after.unwrap();
    assert!(after.caution.contains("delay is not known"));
    assert!(!view.delay.known && view.delay.text.contains("Tap along"));
    let sits = after.timing.unwrap().rows.into_iter().find(|row| row.name == "Where you sit").unwrap();
    assert!(sits.text.contains("not known"));
    assert!(!after.said.concat().contains("behind"));
}

#[test]
fn in_a_mode_without_figures_nothing_is_measured_aloud() {
    let mut desk = demo();
    set(&mut desk, "figures", "off");
    pass(&mut desk, |_| Some(0.15));
    let after = practice::view(&desk).after.unwrap();
    assert_eq!(after.said, ["That was one time through."]);
    assert!(after.timing.is_none() && after.to_try.is_empty() && after.caution.is_empty());
}

/// General advice after 25 minutes, by a clock that is given; five minutes away from it are a rest.
#[test]
fn a_rest_is_suggested_after_25_minutes_of_practice() {
    let mut desk = demo();
    begin(&mut desk);
    let mut at = |minutes: f64| {
        desk.practice_tick(BEGIN, Seconds(60.0 * minutes));
        practice::view(&desk).rest
    };
    assert_eq!(at(3.0), "");
    (4..28).for_each(|minute| assert_eq!(at(f64::from(minute)), ""));
    assert!(at(28.0).contains("general advice"));
    assert_eq!(at(34.0), "");
}

#[test]
fn a_riff_without_notes_cannot_be_practised_and_bad_names_are_refused() {
    let mut desk = Desk::new(RiffId(1));
    assert!(desk.practice_course().is_err());
    assert!(!practice::view(&desk).can_start);
    for (what, value) in [("click", "loud"), ("fly", "on"), ("goal", "fast"), ("goal", "NaN"), ("speed", "")]
    {
        let before = *desk.practice().settings();
        assert!(desk.apply(Command::SetPractice { what: what.into(), value: value.into() }).is_err());
        assert_eq!(*desk.practice().settings(), before);
    }
    set(&mut desk, "goal", "1e300");
    assert_eq!(desk.practice().settings().ladder.unwrap().goal.value(), 240.0);
}
