//! Right notes in the right order are right, whatever the tempo does.
//!
//! The truth is what the generator meant (`looped.rs`, `player.rs`); the floors are those of the whole table, which
//! `cargo run --release --example pairing_table` prints with its seeds.

use riffloom::practice::TimedNote;
use riffloom::practice::align::{Pair, align};
use riffloom::practice::figures::right_pairs;
use riffloom::units::{AudioTime, Seconds};

use crate::looped::{Cell, Looped, Moves, perform};
use crate::player::{Draw, note};

/// The F-measure of the right pairs that are found, beside those that were meant.
pub fn f_measure(looped: &Looped) -> f64 {
    let played: Vec<TimedNote> = looped.played.iter().map(|played| played.note).collect();
    let found = right_pairs(&looped.target, &played, &align(&looped.target, &played));
    let meant = looped.right_pairs();
    let shared = found.iter().filter(|pair| meant.contains(pair)).count();
    2.0 * shared as f64 / (found.len() + meant.len()) as f64
}

/// A part of the table: F at least 0.99 without errors, 0.97 with, in the mean of each cell.
#[test]
fn a_moving_tempo_loses_no_note() {
    const SEEDS: u64 = 3;
    for moves in Moves::ALL {
        for (errors, floor) in [(0.0, 0.99), (0.1, 0.97)] {
            for jitter in [0.0, 0.02, 0.04] {
                for slower in [-0.06, -0.03, -0.015, 0.0, 0.015, 0.03, 0.06] {
                    let cell = Cell { slower, moves, jitter, errors };
                    let sum: f64 = (1..=SEEDS).map(|seed| f_measure(&perform(cell, seed))).sum();
                    assert!(sum / SEEDS as f64 >= floor, "{cell:?}: {}", sum / SEEDS as f64);
                }
            }
        }
    }
}

/// A riff of five notes over twelve bars at 100 a minute, twice as long as a bar.
fn five_notes() -> Vec<TimedNote> {
    let riff = [(0.0, 67), (0.5, 70), (1.0, 72), (1.5, 74), (3.0, 67)];
    let round = |round: i32| riff.map(|(beat, midi)| note(0.6 * (f64::from(round) * 8.0 + beat), midi));
    (0..6).flat_map(round).collect()
}

/// Pairs each note with itself, right and in order, whatever `change` does to it; `transposed` is found.
#[track_caller]
fn check(what: &str, transposed: i32, change: impl Fn(usize, TimedNote) -> TimedNote) {
    let target = five_notes();
    let played: Vec<TimedNote> =
        target.iter().enumerate().map(|(index, note)| change(index, *note)).collect();
    let found = align(&target, &played);
    let all: Vec<Pair> = (0..target.len()).map(|index| Pair { target: index, played: index }).collect();
    assert_eq!(found.pairs, all, "{what}: {found:?}");
    assert_eq!(found.transposed, transposed, "{what}");
    assert_eq!(right_pairs(&target, &played, &found), all, "{what}");
}

fn at(seconds: f64, note: TimedNote) -> TimedNote {
    TimedNote { onset: AudioTime(seconds), ..note }
}

#[test]
fn slower_and_faster_is_the_same_riff() {
    for per_cent in -16..=16 {
        let share = f64::from(per_cent) / 100.0;
        check(&format!("{per_cent} % slower"), 0, |_, note| at((1.0 + share) * note.onset.0, note));
    }
    // Rushed by 14 ms a beat of 600 ms.
    check("rushed", 0, |_, note| at((1.0 - 0.014 / 0.6) * note.onset.0, note));
}

#[test]
fn rubato_a_slow_start_and_a_stop_are_the_same_riff() {
    let round = std::f64::consts::TAU / 19.2;
    check("rubato", 0, |_, note| {
        at(note.onset.0 + 0.06 / round * (1.0 - (round * note.onset.0).cos()), note)
    });
    check("a slow start", 0, |_, note| at(note.onset.0 + 0.15 * note.onset.0.min(4.8), note));
    for stop in [0.5, 1.2, 4.0] {
        let moved = |index| if index < 13 { 0.0 } else { stop };
        check(&format!("a stop of {stop} s"), 0, |index, note| at(note.onset.0 + moved(index), note));
        let slower = |index, note: TimedNote| at(1.03 * note.onset.0 + moved(index), note);
        check(&format!("a stop of {stop} s, and slower"), 0, slower);
    }
    for beats in [-2.0, -1.0, 1.0, 2.0, 8.0, 12.0] {
        check(&format!("{beats} beats late"), 0, |_, note| at(note.onset.0 + 0.6 * beats, note));
    }
}

#[test]
fn a_riff_moved_as_a_whole_is_the_same_riff() {
    let higher =
        |by: i32, note: TimedNote| crate::player::note(note.onset.0, i32::from(note.midi.number()) + by);
    for by in [-24, -12, -7, -2, -1, 1, 2, 5, 12, 24] {
        check(&format!("{by} half steps"), by, |_, note| higher(by, note));
        check(&format!("{by} half steps, slower and late"), by, |_, note| {
            at(1.02 * note.onset.0 + 0.1, higher(by, note))
        });
    }
}

/// Who comes in after two rounds is in time, and has left out two rounds.
#[test]
fn a_late_entry_in_its_place_leaves_out_what_came_before() {
    let target = five_notes();
    for slower in [0.0, 0.02] {
        let moved = |note: &TimedNote| TimedNote {
            onset: note.onset + Seconds(slower * (note.onset.0 - 9.6)),
            ..*note
        };
        let played: Vec<TimedNote> = target[10..].iter().map(moved).collect();
        let found = align(&target, &played);
        assert_eq!(found.missed, (0..10).collect::<Vec<_>>(), "{slower}");
        assert_eq!(found.extra, Vec::<usize>::new(), "{slower}");
    }
}

/// Notes that have nothing to do with the riff are no transposition of it.
#[test]
fn other_notes_are_no_transposition() {
    let target = five_notes();
    for seed in 0..20 {
        let mut draw = Draw(seed);
        let played: Vec<TimedNote> =
            (0..50).map(|_| note(28.8 * draw.part(), 60 + draw.one_of(18) as i32)).collect();
        assert_eq!(align(&target, &played).transposed, 0, "{seed}");
    }
}
