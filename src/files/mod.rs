//! Formats as bytes and text.

pub mod wav;
