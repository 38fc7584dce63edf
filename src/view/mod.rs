//! What the page draws: plain data, one view-model a part of the screen, and every sentence that a person reads.

pub mod along;
pub mod band;
pub mod class;
pub mod cloth;
pub mod file;
mod filename;
pub mod free;
pub mod large;
pub mod lesson_sheet;
pub mod model;
pub mod past;
pub mod practice;
pub mod screen;
pub mod staff;
pub mod starters;
pub mod takes;
pub mod taking;
pub mod track;
pub mod trouble;
pub mod variation;
pub mod words;

mod changed;
mod chorus;
mod context;
mod form;
mod keys;
pub mod message;
pub mod microphone;
mod neck;
pub mod notebook;
mod spoken;
mod strip;
mod tune;
mod under;
mod vary;
pub mod verse;
pub mod versions;

use crate::insight::roles::{NoteInsight, Role};
use crate::view::model::RoleName;

/// "1 note", "3 notes".
fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// The text with a capital in front.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The role as the page draws it.
fn role_name(insight: &NoteInsight) -> RoleName {
    match insight.told() {
        Role::InChord => RoleName::InChord,
        Role::Blue => RoleName::Blue,
        Role::NextChord => RoleName::NextChord,
        Role::Other => RoleName::Other,
    }
}
