//! The integration tests: one binary, a module per feature, public items only.

mod cli;
mod layers;
mod perform;
