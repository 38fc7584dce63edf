//! The integration tests: one binary, a module per feature, public items only.

mod abc;
mod after_pass;
mod answers;
mod bad_charts;
mod band;
mod changed;
mod charts;
mod chorus;
mod choruses;
mod cli;
mod cloth;
mod desk;
mod drills;
mod ear;
mod editing;
mod family;
mod files;
mod finding;
mod forms;
mod free_play;
#[path = "../fuzz/mod.rs"]
mod fuzz;
mod fuzzing;
mod hearing;
mod labels;
mod layers;
mod lesson;
mod lesson_sheet;
mod letters;
mod link;
mod listening;
mod looped;
mod measures;
mod midi_in;
mod new_key;
mod notation;
mod oracle;
mod pairing;
mod parts;
mod past;
mod people;
mod perform;
mod performer;
mod planner;
mod player;
mod playing_in;
mod practice;
mod practising;
mod practising_chorus;
mod records;
mod render;
mod repeats;
mod roles;
mod rooms;
mod score;
mod screen;
mod sound;
mod starters;
mod stored;
mod tabs;
mod takes;
mod taking_down;
mod theory;
mod theory_laws;
mod variation;
mod varying;
mod verse;
mod versions;
mod voices;
mod way_back;
mod who_plays;
mod whole;

/// A random test that is slow: `usual` cases instead of the 256 that one has without a word. `PROPTEST_CASES`, which asks for
/// more of all of them, asks for as many times more of these.
fn cases(usual: u32) -> proptest::test_runner::Config {
    let asked = proptest::test_runner::Config::default();
    proptest::test_runner::Config { cases: (usual * asked.cases / 256).max(1), ..asked }
}
