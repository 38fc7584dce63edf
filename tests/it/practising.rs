//! Practising as a person does it, without a browser: a scripted player hears the goals and plays them with offsets
//! that are known, so every expected figure follows from what was scripted.

use riffloom::desk::Desk;
use riffloom::desk::command::Command;
use riffloom::desk::practice::Doing;
use riffloom::files::record::{self, TuneRecord};
use riffloom::notebook::tune::Tune;
use riffloom::perform::{Asked, Part};
use riffloom::practice::Heard;
use riffloom::practice::delay::{Delay, Found};
use riffloom::practice::ladder::{Next, Went};
use riffloom::practice::run::{PassEnded, Setup};
use riffloom::practice::settings::{Settings, Sight};
use riffloom::practice::window::Room;
use riffloom::riff::{RiffId, write_id};
use riffloom::units::{AudioTime, Cents, MidiNote, ScoreTime, Seconds, Velocity};
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
fn begin(desk: &mut Desk) -> (Setup, Vec<(AudioTime, Asked)>) {
    let setup = desk.practice_setup().unwrap();
    desk.practice_begin(setup.clone(), BEGIN);
    let Doing::Run(run) = desk.practice().doing() else { panic!("no run") };
    (setup, run.wanted())
}

fn play(desk: &mut Desk, at: AudioTime, midi: i32) {
    desk.hear(Heard { at, midi: MidiNote::new(midi), above: Cents(0.0), velocity: Velocity::PLAIN });
}

/// One time through, every note late by what `late` says of it, `None` for a note that is left out.
fn pass(desk: &mut Desk, late: impl Fn(usize) -> Option<f64>) -> PassEnded {
    let (setup, goals) = begin(desk);
    for (index, (at, asked)) in goals.iter().enumerate() {
        if let Some(late) = late(index) {
            play(desk, *at + Seconds(late), i32::from(asked.midi.number()));
        }
    }
    let end = BEGIN + setup.tempo.duration(setup.score.time_through());
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
    // By hand: D on "1 and", E on 2, B flat on "3 and", B on 4, G on "1 and", swung 2:1, at 92; again after two bars.
    for (goal, beat) in [2.0 / 3.0, 1.0, 8.0 / 3.0, 3.0, 14.0 / 3.0, 8.0 + 2.0 / 3.0].into_iter().enumerate()
    {
        assert!((ended.goals[goal].note.onset - BEGIN - Seconds(beat * 60.0 / 92.0)).0.abs() < 1e-9);
    }
    let figures = ended.pass.figures;
    assert_eq!((figures.right, figures.missed, figures.extra), (30, 0, 0));
    assert!((figures.bias.unwrap().0 - 0.015).abs() < 1e-9);
    let timing = practice::view(&desk).after.unwrap().timing.unwrap();
    let texts: Vec<&str> = timing.table.iter().take(2).map(|row| row.text.as_str()).collect();
    assert_eq!(texts, ["20 ms late", "10 ms late"]);
    assert_eq!(timing.table[0].place, "bar 1, beat 1 and");
    assert!(timing.strip.iter().all(|stick| stick.late > 0.0 && stick.kind == "right"));
}

/// A voice sings the third of G that lies between B flat and B wherever either is asked for: both are right. Both in tune,
/// the one for the other, are wrong.
#[test]
fn a_blue_third_is_right_where_the_lowered_or_the_natural_one_is_asked_for() {
    for (above, right) in [(35.0, 30), (5.0, 24)] {
        let mut desk = demo();
        let (setup, goals) = begin(&mut desk);
        for (at, asked) in &goals {
            let (midi, above) = match asked.midi.number() {
                70 | 71 => (70, above),
                other => (i32::from(other), 0.0),
            };
            let midi = MidiNote::new(midi);
            desk.hear(Heard { at: *at, midi, above: Cents(above), velocity: Velocity::PLAIN });
        }
        let end = BEGIN + setup.tempo.duration(setup.score.time_through());
        let ended = desk.practice_tick(end + Seconds(2.0), Seconds(0.0)).unwrap();
        assert_eq!(ended.pass.figures.right, right, "{above} cents above B flat");
    }
}

/// A free loop goes on: what comes early for the next time through is not taken for this one's.
#[test]
fn times_through_follow_one_another_and_share_no_note() {
    let mut desk = demo();
    calibrated(&mut desk, 0.0);
    let (setup, goals) = begin(&mut desk);
    let through = setup.tempo.duration(setup.score.time_through());
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
    assert_eq!(next(&desk), "Once more with all the notes, then the next tempo.");
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
    let ragged = |index: usize| Some(if index.is_multiple_of(3) { 0.09 } else { -0.04 });
    assert_eq!(pass(&mut desk, ragged).went, Went::Clean);
    set(&mut desk, "asks", "notes-in-time");
    assert_ne!(pass(&mut desk, ragged).went, Went::Clean);
}

#[test]
fn taps_play_the_rhythm_alone() {
    let mut desk = demo();
    calibrated(&mut desk, 0.0);
    set(&mut desk, "plays", "rhythm");
    let (setup, goals) = begin(&mut desk);
    for (at, _) in &goals {
        desk.hear(Heard {
            at: *at + Seconds(0.01),
            midi: None,
            above: Cents(0.0),
            velocity: Velocity::PLAIN,
        });
    }
    let end = BEGIN + setup.tempo.duration(setup.score.time_through());
    let ended = desk.practice_tick(end + Seconds(2.0), Seconds(0.0)).unwrap();
    assert_eq!((ended.went, ended.rhythm_alone, ended.pass.figures.right), (Went::Clean, true, 30));
}

#[test]
fn no_figure_of_lateness_stands_where_the_delay_is_not_known() {
    let mut desk = demo();
    pass(&mut desk, |_| Some(0.15));
    let view = practice::view(&desk);
    let after = view.after.unwrap();
    assert!(!view.delay.known && view.delay.text.contains("Tap along"));
    // The test is asked for once, beside its button.
    assert!(!after.to_try.contains("Tap along"), "{}", after.to_try);
    let timing = after.timing.unwrap();
    let sits = timing.rows.iter().find(|row| row.name == "Early or late").unwrap();
    assert_eq!(sits.value, "not known yet");
    // All were as late as each other, so that none is early or late of the player's own place.
    assert!(timing.strip.iter().all(|stick| stick.late.abs() < 0.01), "{:?}", timing.strip);
    assert!(!after.said.concat().contains("behind"));
}

#[test]
fn in_a_mode_without_figures_nothing_is_measured_aloud() {
    let mut desk = demo();
    set(&mut desk, "figures", "off");
    pass(&mut desk, |_| Some(0.15));
    let after = practice::view(&desk).after.unwrap();
    assert_eq!(after.said, ["That was one time through."]);
    assert!(after.timing.is_none() && after.to_try.is_empty());
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

/// Drills are practice too, and each one that is begun goes on counting.
#[test]
fn a_new_drill_does_not_begin_the_25_minutes_anew() {
    let mut desk = demo();
    set(&mut desk, "drill", "echo");
    for minute in 0..26 {
        if minute % 10 == 0 {
            let setup = desk.drill_setup(minute).unwrap();
            desk.drill_begin(setup, BEGIN);
            desk.drill_tick(BEGIN);
        }
        desk.practice_tick(BEGIN, Seconds(60.0 * (1000 + minute) as f64));
        assert_eq!(practice::view(&desk).rest.is_empty(), minute < 25, "minute {minute}");
    }
}

/// However the riff is phrased, practice has the written grid: whole beats, and off-beats two thirds along as a shuffle of
/// 2 : 1 has them. At 240 the band's own line is 1.7019 : 1 (rules by Friberg, see `among_people`), and practice asks for
/// what is heard. What is asked for, what the riff plays along and the click lie on it.
#[test]
fn practice_has_the_riff_as_it_is_written() {
    for (bpm, phrasing) in [(72.0, "sings"), (120.0, "shaped"), (240.0, "sings")] {
        let mut desk = demo();
        desk.apply(Command::SetTempo { bpm }).unwrap();
        for (what, value) in [("phrasing", phrasing), ("timing", "loose"), ("laid-back", "laid-back")] {
            desk.apply(Command::SetBand { what: what.into(), value: value.into() }).unwrap();
        }
        for what in ["band", "along"] {
            set(&mut desk, what, "on");
        }
        set(&mut desk, "click", "beats");
        let (setup, goals) = begin(&mut desk);
        let grid = |at: ScoreTime| {
            let quarters = at.since_start().in_quarters();
            assert!([0.0, 0.5].contains(&quarters.fract()), "the demo has halves of beats");
            let ratio = if bpm < 240.0 { 2.0 } else { 1.7019 };
            if quarters.fract() == 0.0 { quarters } else { quarters.floor() + ratio / (1.0 + ratio) }
        };
        for (at, asked) in &goals {
            assert!(((*at - BEGIN).0 * bpm / 60.0 - grid(asked.at)).abs() < 1e-9, "{bpm}: {asked:?}");
        }
        let events = setup.score.events(0.0, 48.0);
        let of = |part: Part| events.iter().filter(move |event| event.part == part);
        assert!(of(Part::Solo).count() >= goals.len() - 1);
        for event in of(Part::Solo) {
            assert!((event.position - grid(event.at)).abs() < 1e-9, "{bpm}: {event:?}");
            assert!([Velocity::PLAIN, Velocity::ACCENT].contains(&event.velocity), "{bpm}: {event:?}");
        }
        assert_eq!(of(Part::Click).count(), 48);
        assert!(of(Part::Click).all(|event| event.position.fract() == 0.0));
        // The drums are people all the same, off-beats with the riff's.
        let rides = of(Part::Drums).filter(|event| event.at.since_start().in_quarters().fract() == 0.5);
        let late: Vec<f64> = rides.map(|event| (event.position - grid(event.at)) * 60_000.0 / bpm).collect();
        assert!(!late.is_empty() && late.iter().all(|late| (0.0..=50.0).contains(late)), "{bpm}: {late:?}");
        assert!(late.iter().any(|late| *late > 1.0), "{bpm}: {late:?}");
    }
}

#[test]
fn a_riff_without_notes_cannot_be_practised_and_bad_names_are_refused() {
    let mut desk = Desk::new(RiffId(1));
    assert!(desk.practice_setup().is_err());
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

/// One bar after the other, as the riff lies there over the whole form: four notes in bar 1, the fifth in bar 2.
#[test]
fn one_bar_is_practised_after_the_other() {
    let mut desk = demo();
    calibrated(&mut desk, 0.0);
    set(&mut desk, "one-bar", "on");
    let asked: Vec<usize> = (0..4).map(|_| pass(&mut desk, |_| Some(0.01)).goals.len()).collect();
    assert_eq!(asked, [4, 1, 4, 1]);
    assert_eq!(desk.practice().bar(), 4);
    pass(&mut desk, |_| None);
    assert_eq!(desk.practice().bar(), 4, "it stays until all the notes are there");
    desk.apply(Command::ChooseBar { bar: 8 }).unwrap();
    let ended = pass(&mut desk, |_| Some(0.01));
    assert!(ended.asked.iter().all(|asked| asked.bar == Some(8)) && ended.pass.figures.right == 4);
}

/// The click alone, silent in bars 3, 4, 7, 8 …: what comes first after a silence is told by itself.
#[test]
fn coming_back_after_silent_bars_is_measured() {
    let mut desk = demo();
    calibrated(&mut desk, 0.0);
    set(&mut desk, "band", "off");
    set(&mut desk, "silent", "two-of-four");
    // The notes of bars 5 and 6 are the third time of the riff: the first of them comes late.
    let ended = pass(&mut desk, |index| Some(if index == 10 { 0.08 } else { 0.005 }));
    let back = &ended.pass.re_entries;
    assert_eq!(back.len(), 2, "the last silence ends with the form");
    assert_eq!(back[0].target, 10);
    assert!((back[0].lateness.0 - 0.075).abs() < 1e-9 && back[1].lateness.0.abs() < 1e-9);
    set(&mut desk, "band", "on");
    assert!(pass(&mut desk, |_| Some(0.0)).pass.re_entries.is_empty(), "with the band there is no silence");
}

#[test]
fn who_stops_on_the_way_hears_of_what_was_played() {
    let mut desk = demo();
    calibrated(&mut desk, 0.0);
    let (_, goals) = begin(&mut desk);
    for (at, asked) in &goals[..7] {
        play(&mut desk, *at, i32::from(asked.midi.number()));
    }
    // The eighth note could still come.
    let ended = desk.practice_stop(goals[7].0 + Seconds(0.05)).unwrap();
    assert_eq!((ended.complete, ended.goals.len(), ended.pass.figures.right), (false, 7, 7));
    assert!(!desk.practice().is_busy());
    assert_eq!(practice::view(&desk).after.unwrap().title, "As far as you went");
    begin(&mut desk);
    assert!(desk.practice_stop(BEGIN + Seconds(3.0)).is_none(), "who breaks off at once is told nothing");
    begin(&mut desk);
    desk.practice_stop(goals[9].0 + Seconds(1.0)).unwrap();
    assert_eq!(practice::view(&desk).after.unwrap().said[0], "You listened this time.");
}

/// Tapping along, then a pass: the same person's delay is taken off, and the words are "than you tapped".
#[test]
fn tapping_along_finds_what_every_press_has_in_common() {
    let mut desk = demo();
    desk.tapping_begin(BEGIN);
    assert!(practice::view(&desk).tapping && practice::view(&desk).hint.contains("four clicks"));
    for click in 0..20 {
        let at = BEGIN + Seconds(0.6 * f64::from(click) + 0.19 + 0.004 * f64::from(click % 3));
        desk.hear(Heard { at, midi: None, above: Cents(0.0), velocity: Velocity::PLAIN });
        // Twenty clicks, of which four are only listened to; nothing is said aloud on the way.
        let delay = practice::view(&desk).delay;
        assert_eq!(delay.progress, format!("{} of 16 taps", (click - 3).max(0)));
        assert_eq!(delay.spoken, "");
    }
    desk.practice_tick(BEGIN + Seconds(13.0), Seconds(0.0));
    let delay = practice::view(&desk).delay;
    assert_eq!(delay.progress, "");
    assert!(delay.spoken.starts_with("16 of 16 taps. ") && delay.spoken.ends_with(&delay.sure));
    assert!(delay.known && (delay.seconds - 0.194).abs() < 1e-6);
    assert!(delay.warning.contains("wireless") && delay.text.contains("how you tapped"));
    pass(&mut desk, |_| Some(0.194 + 0.045));
    assert_eq!(practice::view(&desk).after.unwrap().said[1], "Steady, and a little later than you tapped.");
    // Someone who taps nothing keeps what was known, and is told.
    desk.tapping_begin(BEGIN);
    desk.practice_tick(BEGIN + Seconds(13.0), Seconds(0.0));
    let delay = practice::view(&desk).delay;
    assert!(delay.known && delay.sure.starts_with("Too few taps"));
    assert!(delay.spoken.starts_with("0 of 16 taps. "));
    // Broken off, nothing came of it.
    desk.tapping_begin(BEGIN);
    desk.practice_stop(BEGIN + Seconds(3.0));
    assert_eq!(practice::view(&desk).delay.spoken, "");
}

#[test]
fn a_little_faster_is_offered_once_all_the_notes_are_there() {
    let mut desk = demo();
    pass(&mut desk, |index| (index != 4).then_some(0.0));
    assert_eq!(practice::view(&desk).after.unwrap().faster, 0.0);
    pass(&mut desk, |_| Some(0.0));
    assert_eq!(practice::view(&desk).after.unwrap().faster, 96.0);
}

/// At 92 a beat lasts 60/92 s. Who plays every note a beat late has not played the riff in its place: it is said, and
/// nothing faster is offered; a delay of a third of a second may be the device's own, and is not called a beat.
#[test]
fn a_riff_begun_on_another_beat_is_told_and_not_praised() {
    let beat = 60.0 / 92.0;
    for (late, said) in [
        (beat, "You came in a beat late and stayed there."),
        (3.0 * beat, "You came in three beats late and stayed there."),
        (-beat, "You came in a beat early and stayed there."),
    ] {
        let mut desk = demo();
        let ended = pass(&mut desk, |_| Some(late));
        assert_eq!((ended.went, ended.pass.in_time_in_place()), (Went::Fair, 0), "{said}");
        let after = practice::view(&desk).after.unwrap();
        assert_eq!((after.said[1].as_str(), after.faster), (said, 0.0));
        assert!(after.to_try.starts_with("Listen to the count-in"), "{}", after.to_try);
    }
    let mut desk = demo();
    let ended = pass(&mut desk, |_| Some(0.3));
    assert_eq!((ended.went, ended.pass.elsewhere), (Went::Clean, None));
}

/// The strip draws every note about the player's own place. Where that is another beat, none is in time, and the row says
/// why, and what the notes come to from there.
#[test]
fn the_row_of_notes_in_time_agrees_with_the_strip() {
    let row = |desk: &Desk| {
        let timing = practice::view(desk).after.unwrap().timing.unwrap();
        let row = timing.rows.iter().find(|row| row.name == "In time").unwrap();
        // At 92 the window is 54 ms, and the strip's half height 60 ms at least.
        let drawn =
            timing.strip.iter().filter(|stick| stick.kind == "right" && stick.late.abs() < 0.9).count();
        (row.value.clone(), row.text.clone(), drawn)
    };
    let beat = 60.0 / 92.0;
    let mut desk = demo();
    pass(&mut desk, |index| (index % 5 == 2 || index % 5 == 4).then_some(0.0));
    let text = "within 54 ms of your usual place and swing";
    assert_eq!(row(&desk), ("12 of 30".to_owned(), text.to_owned(), 12));
    let mut desk = demo();
    pass(&mut desk, |_| Some(beat));
    let text = "your notes came about a beat late; counted from there it is 30 of 30, within 54 ms";
    assert_eq!(row(&desk), ("0 of 30".to_owned(), text.to_owned(), 30));
}

/// A pickup belongs to the time through in which it is written, the first one to the count-in.
#[test]
fn a_pickup_is_asked_for_before_the_first_bar_line() {
    let mut desk = demo();
    calibrated(&mut desk, 0.0);
    desk.apply(Command::SetRiffStart { quarters: -1.0 }).unwrap();
    let (setup, goals) = begin(&mut desk);
    let beat = setup.tempo.duration(riffloom::units::Ticks::QUARTER);
    // D is written half a beat into the riff: before the bar line, two thirds into the last beat counted in.
    let pickup = BEGIN - beat * (1.0 / 3.0);
    for (at, asked) in &goals {
        play(&mut desk, *at, i32::from(asked.midi.number()));
    }
    let end = BEGIN + setup.tempo.duration(setup.score.time_through());
    let ended = desk.practice_tick(end + Seconds(2.0), Seconds(0.0)).unwrap();
    assert_eq!(ended.asked[0].bar, None);
    assert!((ended.goals[0].note.onset - pickup).0.abs() < 1e-9);
    assert_eq!(ended.pass.figures.right, ended.goals.len());
}

/// What is heard is never believed blindly: no time, no end, thousands of presses.
#[test]
fn nonsense_is_heard_without_harm() {
    let mut desk = demo();
    let (setup, _) = begin(&mut desk);
    for at in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1e300, 1e300] {
        play(&mut desk, AudioTime(at), 60);
    }
    (0..10_000).for_each(|index| play(&mut desk, BEGIN + Seconds(f64::from(index) * 0.001), 60 + index % 5));
    let end = BEGIN + setup.tempo.duration(setup.score.time_through());
    let ended = desk.practice_tick(end + Seconds(2.0), Seconds(f64::NAN)).unwrap();
    assert!(ended.played.len() <= 4_000);
    let _ = practice::view(&desk);
}

/// Every choice that the sentence offers, kept in the tune's record and taken up again on another desk.
#[test]
fn how_one_practises_is_kept() {
    let mut plain = demo();
    set(&mut plain, "speed", "slow-to-fast");
    let parts = practice::view(&plain).parts;
    let offered = parts
        .iter()
        .flat_map(|part| &part.groups)
        .filter(|group| !["loop", "subject"].contains(&group.what.as_str()));
    let choices = offered.flat_map(|group| group.choices.iter().map(|choice| (&group.what, &choice.value)));
    let numbers = [("start", "50"), ("goal", "120"), ("step", "7"), ("clean", "3"), ("numbers", "on")];
    let numbers = numbers.map(|(what, value)| (what.to_owned(), value.to_owned()));
    for (what, value) in choices.chain(numbers.iter().map(|(what, value)| (what, value))) {
        let mut desk = demo();
        set(&mut desk, what, value);
        let tune = TuneRecord { practice: desk.practice_record(), ..desk.tune().record(RiffId(2), None) };
        let read = record::read_tune(&record::write_tune(&tune)).unwrap();
        let mut again = Desk::restored(Some(Tune::of_record(&read)), Vec::new(), None, RiffId(2));
        again.read_practice(&read.practice);
        assert_eq!(again.practice().settings(), desk.practice().settings(), "{what} {value}");
    }
    assert_eq!(demo().practice_record(), "", "who sets nothing keeps nothing");
}

/// What a newer page wrote stays where it is; what is damaged costs nothing else.
#[test]
fn a_record_of_practising_that_does_not_read_costs_nothing_else() {
    let mut desk = demo();
    let damaged =
        "sight=chords sight=upside plays= =rhythm click room=most light=blue silent=one-of-four start=NaN";
    desk.read_practice(damaged);
    let settings = *desk.practice().settings();
    assert_eq!((settings.sight, settings.room), (Sight::Chords, Room::Most));
    assert!(settings.silent.is_some() && settings.ladder.is_none());
    set(&mut desk, "sight", "all");
    let written = desk.practice_record();
    assert!(written.contains("light=blue") && !written.contains("sight=chords"), "{written}");
    let long = format!("{} {}", "x".repeat(100_000), "y=1 ".repeat(10_000));
    desk.read_practice(&long);
    assert!(desk.practice_record().len() < 1000);
    // The tune is there whatever stands in its field.
    let text = record::write_tune(&demo().tune().record(RiffId(2), None));
    for field in ["17", "null", "[]", "{\"sight\":1}", "\"=\""] {
        let damaged = text.replace("\"practice\":\"\"", &format!("\"practice\":{field}"));
        assert!(damaged != text && record::read_tune(&damaged).is_ok(), "{field}");
    }
    let without = text.replace("\"practice\":\"\",", "");
    assert!(without != text && record::read_tune(&without).unwrap().practice.is_empty());
}

proptest::proptest! {
    #[test]
    fn any_text_is_read_as_settings(text: String) {
        let tempo = demo().tune().tempo;
        let (settings, unknown) = Settings::read(&text, tempo);
        let again = Settings::read(&[settings.write(), unknown].join(" "), tempo);
        proptest::prop_assert_eq!(again.0, settings);
    }
}
