//! Pitches, intervals, keys, scales and chords, spelled as a musician writes them.

pub mod chord;
pub mod fit;
pub mod instrument;
pub mod interval;
pub mod key;
pub mod pitch;
pub mod scale;
pub mod spell;
pub mod symbol;
