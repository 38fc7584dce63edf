//! Chords behind the soloist: shells of third and seventh, short, off the first beat.

use crate::band::{BandNote, BarContext, note};
use crate::rhythm::grid::Division;
use crate::theory::chord::Chord;
use crate::units::Ticks;

/// The lowest note of a shell, E3: below the soloist, above the bass (common practice, no source).
const LOWEST: i32 = 52;

/// One bar of chords: on 1 (held) and on the second half of beat 2 (short). Common practice, no source.
pub fn bar(context: &BarContext) -> Vec<BandNote> {
    let metre = context.bar.metre;
    let half = metre.beat() / 2;
    let mut strokes: Vec<(Ticks, Ticks)> =
        context.bar.chords.iter().map(|place| (place.at, metre.beat() * 5 / 4)).collect();
    if context.closes {
        strokes = vec![(Ticks::ZERO, metre.bar())];
    } else if context.bar.chords.len() == 1 && metre.beats() >= 3 {
        strokes = vec![(Ticks::ZERO, metre.beat()), (metre.beat() + half, half)];
    }
    strokes
        .into_iter()
        .flat_map(|(at, length)| {
            let shell = shell(context.chord_at(at));
            shell.into_iter().filter_map(move |midi| note(at, length, Division::HALVES, midi, 66))
        })
        .collect()
}

/// The third (or fourth, or second, where there is none) and the seventh (or sixth, or fifth) of the chord, each in
/// the octave from E3 upwards, so that a voice moves less than an octave and mostly by a step.
pub fn shell(chord: &Chord) -> Vec<i32> {
    let intervals = chord.quality.intervals();
    let first_of = |wanted: &[i32]| {
        wanted.iter().find_map(|steps| intervals.iter().find(|interval| interval.steps == *steps)).copied()
    };
    [first_of(&[2, 3, 1]), first_of(&[6, 5, 4])]
        .into_iter()
        .flatten()
        .map(|interval| {
            let class = chord.root.up(interval).pitch_class();
            LOWEST + (class - LOWEST).rem_euclid(12)
        })
        .collect()
}
