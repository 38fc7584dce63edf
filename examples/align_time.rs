//! Prints how long it takes to pair a performance of a chorus with its target: 200 notes, and a quarter of an hour.
//!
//! `cargo run --release --example align_time`

use std::time::Instant;

use riffloom::practice::TimedNote;
use riffloom::practice::align::align;
use riffloom::units::{AudioTime, MidiNote};

fn main() {
    for count in [200, 1_000, 4_000] {
        let target = notes(count, |_| 0.0);
        // Late by a little that changes, with a stop in the middle.
        let played = notes(count, |index| {
            0.03 * (index as f64 * 1.7).sin() + if index > count / 2 { 1.5 } else { 0.0 }
        });
        let begin = Instant::now();
        let found = align(&target, &played);
        let took = begin.elapsed().as_secs_f64() * 1e3;
        println!("{count} notes: {took:.1} ms, {} pairs", found.pairs.len());
    }
}

fn notes(count: usize, late: impl Fn(usize) -> f64) -> Vec<TimedNote> {
    let note = |index: usize| TimedNote {
        onset: AudioTime(index as f64 * 0.24 + late(index)),
        midi: MidiNote::new([60, 60, 63, 65, 60, 70][index * index % 6]).unwrap_or(MidiNote::MIDDLE_C),
    };
    (0..count).map(note).collect()
}
