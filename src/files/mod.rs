//! Formats as bytes and text.

pub mod abc;
pub mod fields;
pub mod json;
pub mod link;
pub mod record;
pub mod wav;
