//! A riff played in at the desk: what is listened to, what becomes of it, and the way back.

use riffloom::desk::command::Command;
use riffloom::desk::{Desk, Refusal};
use riffloom::riff::{RiffId, write_id};
use riffloom::units::{AudioTime, MidiNote, Ticks};
use riffloom::view::taking;

const BEGIN: AudioTime = AudioTime(10.0);

fn desk() -> Desk {
    let mut desk = Desk::new(RiffId(1));
    desk.apply(Command::SetTempo { bpm: 60.0 }).unwrap();
    desk.apply(Command::SetFeel { feel: "straight".to_owned() }).unwrap();
    desk
}

fn at(seconds: f64) -> AudioTime {
    AudioTime(BEGIN.0 + seconds)
}

/// Keys as onset and end in seconds from bar 1, and number; a second is a beat.
fn play(desk: &mut Desk, keys: &[(f64, f64, i32)]) {
    desk.taking_begin(BEGIN, desk.tune().tempo);
    for (onset, end, midi) in keys {
        let midi = MidiNote::new(*midi).unwrap();
        desk.taking_down(at(*onset), Some(midi), None);
        desk.taking_up(at(*end), midi);
    }
}

fn take_down(desk: &mut Desk, id: u64) {
    desk.apply(Command::TakeDown { id: write_id(RiffId(id)) }).unwrap();
}

/// Onset and length in halves of a beat, and number.
fn written(desk: &Desk) -> Vec<(i64, i64, u8)> {
    let half = Ticks::QUARTER / 2;
    let one = |note: &riffloom::riff::Note| {
        let midi = note.pitch.midi().map_or(0, MidiNote::number);
        ((desk.riff().start + note.onset).div_floor(half), note.length.div_floor(half), midi)
    };
    desk.riff().notes().iter().map(one).collect()
}

const KEYS: [(f64, f64, i32); 4] = [(0.01, 0.93, 67), (1.02, 1.46, 70), (1.5, 1.95, 72), (3.01, 3.9, 67)];
const WRITTEN: [(i64, i64, u8); 4] = [(0, 2, 67), (2, 1, 70), (3, 1, 72), (6, 2, 67)];

#[test]
fn what_is_played_in_fills_the_empty_riff_and_is_one_step_back() {
    let mut desk = desk();
    play(&mut desk, &KEYS);
    assert_eq!((desk.taking().is_listening(), desk.taking().count()), (true, 4));
    take_down(&mut desk, 2);
    assert_eq!(desk.riff().id, RiffId(1), "the empty riff was there to be filled");
    assert_eq!((written(&desk), desk.riff().beats()), (WRITTEN.to_vec(), 4));
    desk.apply(Command::Undo).unwrap();
    assert!(desk.riff().notes().is_empty());
}

#[test]
fn a_riff_that_is_there_stays_and_the_new_one_stands_beside_it() {
    let mut desk = desk();
    desk.apply(Command::EnterNote { midi: 67 }).unwrap();
    play(&mut desk, &KEYS);
    take_down(&mut desk, 2);
    assert_eq!(desk.riff().id, RiffId(2));
    assert_eq!(desk.document().notebook.riff(RiffId(1)).unwrap().notes().len(), 1);
    assert_eq!(desk.taking().take().unwrap().played.len(), 4, "what was played is kept beside it");
}

#[test]
fn another_reading_is_one_step_and_keeps_the_name() {
    let mut desk = desk();
    play(&mut desk, &[(0.0, 0.7, 67), (0.71, 0.97, 70), (1.0, 1.9, 72)]);
    take_down(&mut desk, 2);
    desk.apply(Command::RenameRiff { id: write_id(desk.riff().id), name: "Low tide".to_owned() }).unwrap();
    let view = taking::view(&desk);
    assert!(view.readings.len() >= 2 && view.readings[0].chosen, "{:?}", view.readings);
    let first = desk.riff().notes().to_vec();
    desk.apply(Command::TakeReading { index: 1 }).unwrap();
    assert_ne!(desk.riff().notes(), first);
    assert_eq!(desk.riff().name, "Low tide");
    assert!(taking::view(&desk).readings[1].chosen);
    desk.apply(Command::Undo).unwrap();
    assert_eq!(desk.riff().notes(), first);
}

#[test]
fn taps_are_a_rhythm_whose_notes_are_given_one_by_one() {
    let mut desk = desk();
    desk.taking_begin(BEGIN, desk.tune().tempo);
    for onset in [0.0, 1.0, 1.5, 2.0] {
        desk.taking_down(at(onset), None, None);
    }
    take_down(&mut desk, 2);
    assert!(taking::view(&desk).tapped);
    let rhythm: Vec<(i64, i64)> = written(&desk).iter().map(|note| (note.0, note.1)).collect();
    assert_eq!(rhythm, [(0, 2), (2, 1), (3, 1), (4, 2)]);
    desk.apply(Command::NameNotes { on: true }).unwrap();
    for midi in [67, 70, 72, 70] {
        assert!(taking::view(&desk).naming);
        desk.apply(Command::EnterNote { midi }).unwrap();
    }
    assert!(!taking::view(&desk).naming, "the last note has its pitch");
    let pitches: Vec<u8> = written(&desk).iter().map(|note| note.2).collect();
    assert_eq!(pitches, [67, 70, 72, 70]);
    let now: Vec<(i64, i64)> = written(&desk).iter().map(|note| (note.0, note.1)).collect();
    assert_eq!(now, rhythm, "the rhythm stays");
}

#[test]
fn it_is_over_when_the_bars_are_or_when_a_bar_was_silent() {
    let mut desk = desk();
    play(&mut desk, &KEYS);
    assert!(!desk.taking_is_over(at(7.9)), "the second bar is still going on");
    assert!(desk.taking_is_over(at(8.1)), "it was silent");
    desk.apply(Command::SetPlayIn { what: "bars".to_owned(), value: "2".to_owned() }).unwrap();
    play(&mut desk, &KEYS);
    assert!(!desk.taking_is_over(at(8.1)) && desk.taking_is_over(at(8.6)));
    take_down(&mut desk, 2);
    assert_eq!(desk.riff().beats(), 8, "two bars were asked for");
    desk.taking_begin(BEGIN, desk.tune().tempo);
    assert!(!desk.taking_is_over(at(3.0)));
}

#[test]
fn warming_up_in_the_count_in_is_no_pickup() {
    let mut desk = desk();
    play(&mut desk, &[(-3.5, -3.2, 60), (-0.5, -0.06, 62), (0.0, 0.95, 67)]);
    take_down(&mut desk, 2);
    assert_eq!(written(&desk), [(-1, 1, 62), (0, 2, 67)]);
}

#[test]
fn nothing_played_changes_nothing_and_is_said() {
    let mut desk = desk();
    let before = desk.document().clone();
    assert_eq!(desk.apply(Command::TakeDown { id: write_id(RiffId(2)) }), Err(Refusal::NothingPlayed));
    desk.taking_begin(BEGIN, desk.tune().tempo);
    assert_eq!(desk.apply(Command::TakeDown { id: write_id(RiffId(2)) }), Err(Refusal::NothingPlayed));
    assert_eq!(desk.apply(Command::TakeReading { index: 0 }), Err(Refusal::NothingPlayed));
    assert_eq!(*desk.document(), before);
}

/// What was played is heard again at the same distances.
#[test]
fn what_was_played_is_heard_again_as_it_was() {
    let mut desk = desk();
    play(&mut desk, &KEYS);
    take_down(&mut desk, 2);
    let again = desk.take_again(AudioTime(100.0));
    let times: Vec<(i64, u8)> = again
        .iter()
        .map(|(when, _, midi, _)| (((when.0 - 100.0) * 1e3).round() as i64, midi.unwrap().number()))
        .collect();
    assert_eq!(times, [(10, 67), (1020, 70), (1500, 72), (3010, 67)]);
    let play = desk.take_plays(true).unwrap();
    assert_eq!((play.score.times, play.score.looped), (Some(1), 0..1));
}
