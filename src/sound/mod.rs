//! Sound: voices rendered into buffers, and the mix that page and file share.

pub mod limit;
pub mod loudness;
pub mod mix;
pub mod mixdown;
mod noise;
mod oscillator;
pub mod room;
mod turn;
pub mod voice;
