//! Practice: what was played against what was meant, in figures; and what to practise next.
//!
//! In reading order: [`align`] pairs notes, [`figures`] measures the pairs about the tempo that was really
//! played (`own_tempo`), [`window`] says how near is in time, [`swing`] finds the player's own, [`pass`] puts these
//! together and [`remarks`] finds what is worth a word; [`ladder`] goes from slow to fast, [`review`] says
//! when an idea comes back. [`onsets`] scores onsets without pitches; [`midi_in`] reads a MIDI keyboard. [`settings`]
//! says what a run is to be like, [`subject`] what is practised, [`run`] follows the player through it, pass by pass,
//! and [`delay`] finds how late a device hears, by taps, or [`loopback`] by its own sound; [`tuner`] how a player lies
//! beside the band. [`drill`] has the games of listening and answering with the band.

pub mod align;
pub mod delay;
pub mod drill;
pub mod figures;
pub mod ladder;
pub mod loopback;
pub mod midi_in;
pub mod onsets;
pub mod pass;
pub mod remarks;
pub mod review;
pub mod run;
pub mod settings;
pub mod subject;
pub mod swing;
pub mod tuner;
pub mod window;

mod own_tempo;

use crate::units::{AudioTime, Cents, MidiNote, Velocity};

/// A note that began at some moment: a target as it ought to sound, or what a player did.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TimedNote {
    /// When it begins. Target and performance share one clock.
    pub onset: AudioTime,
    /// Which note.
    pub midi: MidiNote,
}

/// What a player was heard to do, from any source: a key, a tap, MIDI, a microphone. The one way in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heard {
    /// When, on the audio clock as it is heard: what the loudspeaker gave out at that moment, as far as the browser
    /// knows. The rest of the delay is taken off later, by [`delay`].
    pub at: AudioTime,
    /// Which note; `None` for a tap, which has a rhythm alone.
    pub midi: Option<MidiNote>,
    /// How far above that note it was, −50 to 50; 0 where whatever heard it knows notes alone.
    pub above: Cents,
    /// How hard.
    pub velocity: Velocity,
}
