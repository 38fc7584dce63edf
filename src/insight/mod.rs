//! What a riff does over the chords: the role of each note, with its reason as data.

pub mod reasons;
pub mod rhythm;
pub mod roles;
pub mod shape;
