//! Answers that came from one another, each with what was changed.

use super::notes;
use crate::desk::Desk;
use crate::notebook::family::Member;
use crate::riff::{Riff, RiffId, write_id};
use crate::view::model::RelativeView;
use crate::view::{changed, notebook};

/// The families on the board, each member after the one it came from.
pub(super) fn rows(desk: &Desk) -> Vec<RelativeView> {
    let (members, riffs, models) = desk.class_families();
    let (class, answers) = (desk.class(), desk.class().answers());
    let Some(tune) = desk.class_tune() else { return Vec::new() };
    let (changes, reading) = (tune.changes(), tune.instrument.reading(tune.key));
    let answer = |riff: usize| riff.checked_sub(models).and_then(|place| answers.get(place));
    let name = |riff: usize| match answer(riff) {
        None => "the model".to_owned(),
        Some(_) if class.hides_names() => format!("Riff {}", riff - models + 1),
        Some(kept) => kept.answer().map_or_else(String::new, |answer| answer.who.clone()),
    };
    let row = |member: &Member| {
        let riff: &Riff = &riffs[member.riff];
        let said = member.from.map(|from| changed::sentences(&riffs[from], riff, reading));
        let changed = match said {
            Some(said) if said.is_empty() => vec!["Nothing is changed.".to_owned()],
            said => said.unwrap_or_default(),
        };
        RelativeView {
            id: write_id(RiffId(answer(member.riff).map_or(0, |kept| kept.id))),
            name: match answer(member.riff) {
                None => format!("The model: {}", notebook::title(riff)),
                Some(_) => name(member.riff),
            },
            from: member.from.map_or_else(String::new, |from| format!("from {}", name(from))),
            changed,
            depth: member.depth,
            notes: notes(desk, &changes, riff),
            beats: riff.beats(),
        }
    };
    members.iter().map(row).collect()
}
