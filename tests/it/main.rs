//! The integration tests: one binary, a module per feature, public items only.

mod abc;
mod bad_charts;
mod band;
mod chorus;
mod cli;
mod desk;
mod editing;
mod forms;
mod layers;
mod link;
mod measures;
mod midi_in;
mod oracle;
mod perform;
mod planner;
mod player;
mod practice;
mod render;
mod roles;
mod score;
mod screen;
mod sound;
mod theory;
mod theory_laws;
mod variation;
mod varying;
