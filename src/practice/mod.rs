//! Practice: what was played against what was meant, in figures; and what to practise next.
//!
//! In reading order: [`align`] pairs notes, [`figures`] measures the pairs, [`window`] says how near is in time,
//! [`swing`] finds the player's own, [`pass`] puts these together; [`ladder`] goes from slow to fast, [`review`] says
//! when an idea comes back. [`onsets`] scores onsets without pitches; [`midi_in`] reads a MIDI keyboard.

pub mod align;
pub mod figures;
pub mod ladder;
pub mod midi_in;
pub mod onsets;
pub mod pass;
pub mod review;
pub mod swing;
pub mod window;

mod attempts;
mod course;
mod drift;
mod pairing;

use crate::units::{AudioTime, MidiNote};

/// A note that began at some moment: a target as it ought to sound, or what a player did.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TimedNote {
    /// When it begins. Target and performance share one clock.
    pub onset: AudioTime,
    /// Which note.
    pub midi: MidiNote,
}
