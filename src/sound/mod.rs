//! Sound: voices rendered into buffers, and the mix that page and file share.

pub mod mix;
pub mod noise;
pub mod oscillator;
pub mod voice;
