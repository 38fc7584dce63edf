//! The core of Riffloom, a practice pad for blues improvisation.
//!
//! Everything that can be computed is computed here, without a browser: what a riff is, what each of its notes is to
//! the chords under it, when each sounds, and what is said about it. The page sends [`desk::command::Command`]s to a
//! [`desk::Desk`] and draws what [`view::screen::Screen`] shows of it; [`perform::planner::Planner`] hands out what
//! sounds, in time.
//!
//! ```
//! use riffloom::desk::{Desk, command::Command};
//! use riffloom::riff::RiffId;
//! use riffloom::view::screen::Screen;
//!
//! let mut desk = Desk::new(RiffId(1));
//! desk.apply(Command::EnterNote { midi: 70 })?;
//! let strip = Screen::of(&desk).all().strip.unwrap();
//! assert_eq!(strip.tokens[0].name, "B♭");
//! # Ok::<(), riffloom::desk::Refusal>(())
//! ```
//!
//! In reading order, each module building on those before: [`units`]; [`theory`], [`rhythm`]; [`riff`], [`form`];
//! [`insight`], [`chorus`], [`band`], [`notation`], [`files`]; [`perform`]; [`sound`], [`listen`]; [`practice`];
//! [`notebook`]; [`desk`];
//! [`view`]; and `web`, the edge to the browser. `DEVELOPERS.md` has the map and what is never there.

pub mod band;
pub mod chorus;
pub mod desk;
pub mod files;
pub mod form;
pub mod found;
pub mod insight;
pub mod listen;
pub mod notation;
pub mod notebook;
pub mod perform;
pub mod practice;
pub mod rhythm;
pub mod riff;
pub mod rooms;
pub mod sound;
pub mod theory;
pub mod units;
pub mod view;
#[cfg(target_arch = "wasm32")]
pub mod web;
