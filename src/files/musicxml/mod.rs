//! MusicXML 4.0: written music that programs for notation open, as text or packed.
//!
//! What is written follows from a [`Written`](crate::notation::Written): its values, ties, tuplets, beams and signs, each
//! once, as they stand on the staff.
//!
//! Source: W3C Music Notation Community Group, "MusicXML 4.0", 2021, final community group report; elements are named
//! where they matter.

mod container;
mod harmony;
mod read;
mod write;
mod xml;

pub use container::{claims_to_be_packed, pack, unpack};
pub use read::{Error, MOST_BYTES, claims_to_be, read};
pub use write::{About, write};
