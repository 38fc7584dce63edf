//! The integration tests: one binary, a module per feature, public items only.

mod layers;
mod perform;
