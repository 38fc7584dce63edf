//! Formats as bytes and text.

pub mod abc;
pub mod link;
pub mod midi;
pub mod qr;
pub mod record;
pub mod wav;
pub mod whole;
