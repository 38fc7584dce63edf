//! The click: a wood block on every beat, higher on the first.

use crate::band::{BandNote, BarContext, note};
use crate::rhythm::grid::Division;
use crate::rhythm::metre::Metre;

/// General MIDI percussion: high and low wood block (MMA RP-003, General MIDI level 1 percussion map).
const HIGH_WOOD_BLOCK: i32 = 76;
const LOW_WOOD_BLOCK: i32 = 77;

/// A click on every beat of the bar.
pub fn bar(context: &BarContext) -> Vec<BandNote> {
    count(context.bar.metre)
}

/// A click on every beat of a bar in `metre`, as for counting in.
pub fn count(metre: Metre) -> Vec<BandNote> {
    let beat = |index: u8| {
        let (midi, velocity) = if index == 0 { (HIGH_WOOD_BLOCK, 110) } else { (LOW_WOOD_BLOCK, 84) };
        note(metre.beat() * i64::from(index), metre.beat() / 8, Division::HALVES, midi, velocity)
    };
    (0..metre.beats()).filter_map(beat).collect()
}
