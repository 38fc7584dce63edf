//! Bass: root on the first beat of a chord, its fifth between, and a half step into each change.

use crate::band::{BandNote, BarContext, note};
use crate::rhythm::grid::Division;
use crate::theory::chord::Chord;
use crate::theory::pitch::NoteName;

/// The lowest note that the bass plays, E1: the open lowest string of a bass (common practice, no source).
const LOWEST: i32 = 28;

/// One bar of bass, a note a beat. Common practice, no source: the root on the change, the fifth half-way, the root
/// again or a tone between, and before a change a half step above or below the new root.
pub fn bar(context: &BarContext) -> Vec<BandNote> {
    let metre = context.bar.metre;
    if context.closes {
        let root = lowest_of(context.chord_at(context.beat(0)).root);
        return note(context.beat(0), metre.bar(), Division::HALVES, root, 92).into_iter().collect();
    }
    let mut since_change = 0_i32;
    (0..metre.beats())
        .filter_map(|beat| {
            let chord = context.chord_at(context.beat(beat));
            let changed = beat == 0 || context.bar.chords.iter().any(|place| place.at == context.beat(beat));
            since_change = if changed { 0 } else { since_change + 1 };
            let (next, changes) = context.chord_after(beat);
            let midi =
                if since_change > 0 && changes { approach(chord, next) } else { tone(chord, since_change) };
            let velocity = if since_change == 0 { 92 } else { 78 };
            note(context.beat(beat), metre.beat() * 15 / 16, Division::HALVES, midi, velocity)
        })
        .collect()
}

/// Root, third, fifth, third: how far above the root the beats after a change stand.
fn tone(chord: &Chord, since_change: i32) -> i32 {
    let root = lowest_of(chord.root);
    let intervals = chord.quality.intervals();
    let of_steps =
        |wanted: i32| intervals.iter().find(|interval| interval.steps == wanted).map(|i| i.semitones);
    let third = of_steps(2).or(of_steps(3)).unwrap_or(0);
    let fifth = of_steps(4).unwrap_or(7);
    root + [0, third, fifth, third][since_change.rem_euclid(4) as usize]
}

/// A half step from the new root, on the side from which the line comes.
fn approach(chord: &Chord, next: &Chord) -> i32 {
    let target = lowest_of(next.root);
    if tone(chord, 2) > target { target + 1 } else { target - 1 }
}

/// The name in the octave from E1 upwards.
fn lowest_of(name: NoteName) -> i32 {
    LOWEST + (name.pitch_class() - LOWEST).rem_euclid(12)
}
