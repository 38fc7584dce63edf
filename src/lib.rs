//! The core of Riffloom, a practice pad for blues improvisation.

pub mod form;
pub mod rhythm;
pub mod riff;
pub mod theory;
pub mod units;
