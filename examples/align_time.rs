//! Prints how long it takes to pair a performance with its target: a chorus of 200 notes, and up to a quarter of an hour;
//! the median of eleven runs, least and most.
//!
//! `cargo run --release --example align_time`

use std::time::Instant;

use riffloom::practice::TimedNote;
use riffloom::practice::align::align;
use riffloom::units::{AudioTime, MidiNote};

const RUNS: usize = 11;

fn main() {
    for count in [200, 1_000, 4_000] {
        let target = notes(count, |_| 0.0);
        // Late by a little that changes, with a stop in the middle.
        let played = notes(count, |index| {
            0.03 * (index as f64 * 1.7).sin() + if index > count / 2 { 1.5 } else { 0.0 }
        });
        let time = || {
            let begin = Instant::now();
            let pairs = align(&target, &played).pairs.len();
            (begin.elapsed().as_secs_f64() * 1e3, pairs)
        };
        let mut times: Vec<(f64, usize)> = (0..RUNS).map(|_| time()).collect();
        times.sort_by(|one, other| one.0.total_cmp(&other.0));
        let (least, (middle, pairs), most) = (times[0].0, times[RUNS / 2], times[RUNS - 1].0);
        println!("{count} notes, {pairs} pairs: {middle:.1} ms ({least:.1} to {most:.1})");
    }
}

fn notes(count: usize, late: impl Fn(usize) -> f64) -> Vec<TimedNote> {
    let note = |index: usize| TimedNote {
        onset: AudioTime(index as f64 * 0.24 + late(index)),
        midi: MidiNote::new([60, 60, 63, 65, 60, 70][index * index % 6]).unwrap_or(MidiNote::MIDDLE_C),
    };
    (0..count).map(note).collect()
}
