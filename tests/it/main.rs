//! The integration tests: one binary, a module per feature, public items only.

mod cli;
mod editing;
mod layers;
mod measures;
mod perform;
mod sound;
mod theory;
