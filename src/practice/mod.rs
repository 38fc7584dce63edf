//! Practice: what was played against what was meant, in figures; and what to practise next.
//!
//! In reading order: [`align`] pairs notes, [`figures`] measures the pairs.

pub mod align;
pub mod figures;

mod attempts;

use crate::units::{AudioTime, MidiNote};

/// A note that began at some moment: a target as it ought to sound, or what a player did.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TimedNote {
    /// When it begins. Target and performance share one clock.
    pub onset: AudioTime,
    /// Which note.
    pub midi: MidiNote,
}
