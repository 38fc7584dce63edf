//! Formats as bytes and text.

pub mod link;
pub mod record;
pub mod wav;
