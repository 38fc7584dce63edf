//! The core of Riffloom, a practice pad for blues improvisation.

pub mod band;
pub mod chorus;
pub mod desk;
pub mod files;
pub mod form;
pub mod insight;
pub mod notebook;
pub mod perform;
pub mod rhythm;
pub mod riff;
pub mod sound;
pub mod theory;
pub mod units;
pub mod view;
#[cfg(target_arch = "wasm32")]
pub mod web;
