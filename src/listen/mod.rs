//! Listening: the notes of one voice, from the samples of a microphone.
//!
//! [`Listener`] follows a player block by block; [`transcribe`] reads a whole take again, with more care. Times are in
//! seconds since the first sample. Nothing here knows tempo, key or target: the times are those that were measured.

mod ear;
mod echo;
mod features;
mod fft;
mod follow;
mod level;
mod model;
mod network;
pub mod pitch;
mod resample;
mod whole;

use std::fmt;

pub use follow::Listener;
pub use level::Level;
pub use model::Model;
pub use whole::transcribe;

/// One note that was heard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heard {
    /// When it began, in seconds since the first sample: when it reached a tenth of its own peak.
    pub onset: f64,
    /// When it ended, in the same seconds; `None` while it sounds.
    pub offset: Option<f64>,
    /// The nearest tempered note, as a MIDI note number.
    pub midi: u8,
    /// How far above that note it was, in cents, -50 to 50, by the A that was given.
    pub cents: f32,
    /// How loud it was, 0 to 1: 0 at -60 dBFS and below, 1 at full scale.
    pub strength: f32,
}

/// What a [`Listener`] has to tell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Event {
    /// A note began, some time ago: [`Heard::offset`] is not known yet.
    Started(Heard),
    /// The note that was told last has ended.
    Ended {
        /// When it began: the same as in [`Event::Started`].
        onset: f64,
        /// When it ended, in seconds since the first sample.
        offset: f64,
    },
}

/// Sounds that are not the player's: those of the page itself.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Known {
    /// When each click reached the microphone, in seconds since the first sample, in any order.
    pub clicks: Vec<f64>,
    /// What the page played, left and right, in the same frames as what was heard; silence where it is shorter. Empty where
    /// nothing of it came to the microphone.
    pub played: [Vec<f32>; 2],
}

/// Why nothing can be heard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ListenError {
    /// Samples come at a rate that no microphone has.
    Rate {
        /// The rate in hertz.
        found: f64,
    },
    /// The A is not one that instruments are tuned to.
    Tuning {
        /// The A in hertz.
        found: f64,
    },
    /// What was read is not the model that this version listens with.
    Model,
}

impl fmt::Display for ListenError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ListenError::Rate { found } => {
                write!(f, "a microphone gives 3000 to 768000 samples a second, not {found}")
            }
            ListenError::Tuning { found } => write!(f, "the A lies from 380 to 500 Hz, not at {found}"),
            ListenError::Model => write!(f, "the file for listening is not the one of this version"),
        }
    }
}

impl std::error::Error for ListenError {}

/// No two notes begin nearer to each other, in seconds: a crushed note is longer.
const SHORTEST_SECONDS: f64 = 0.045;
/// An onset so near to a known click, in seconds, may be the click's.
const CLICK_SECONDS: f64 = 0.025;

/// Checks what a listener is given: samples a second, and the A in hertz.
fn checked(rate: f64, a4: f64) -> Result<(), ListenError> {
    if !(3_000.0..=768_000.0).contains(&rate) {
        return Err(ListenError::Rate { found: rate });
    }
    checked_tuning(a4)
}

fn checked_tuning(a4: f64) -> Result<(), ListenError> {
    if !(380.0..=500.0).contains(&a4) {
        return Err(ListenError::Tuning { found: a4 });
    }
    Ok(())
}
