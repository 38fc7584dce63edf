//! The notebook: all riffs by name, and a card for each that is in sight.

use std::collections::HashMap;
use std::rc::Rc;

use crate::desk::Desk;
use crate::insight::roles;
use crate::practice::subject::Subject;
use crate::riff::{Riff, RiffId, write_id};
use crate::theory::key::Key;
use crate::view::context::Context;
use crate::view::model::{MarkView, NotebookView, RiffCardView, RiffRowView};
use crate::view::{count, form, past, versions};

pub(super) fn view(context: &Context) -> NotebookView {
    let entries = context.desk.document().notebook.entries();
    let row = |riff: &Riff| RiffRowView { id: write_id(riff.id), name: title(riff) };
    NotebookView {
        riffs: entries.iter().map(|entry| row(&entry.riff)).collect(),
        summary: count(entries.len(), "riff", "riffs"),
    }
}

/// The cards of these riffs, in this order; those that are not in the notebook are left out.
pub fn cards(desk: &Desk, ids: &[RiffId]) -> Vec<RiffCardView> {
    let entries = desk.document().notebook.entries();
    let riffs: HashMap<RiffId, &Rc<Riff>> =
        entries.iter().map(|entry| (entry.riff.id, &entry.riff)).collect();
    let changes = desk.changes();
    let context =
        Context { desk, changes: &changes, reading: desk.tune().instrument.reading(desk.tune().key) };
    ids.iter().filter_map(|id| riffs.get(id)).map(|riff| card(&context, riff)).collect()
}

fn card(context: &Context, riff: &Riff) -> RiffCardView {
    let of = Subject::Riff(riff.id);
    let key = context.desk.document().notebook.key(riff.id);
    RiffCardView {
        id: write_id(riff.id),
        summary: summary_in(context, riff, key),
        marks: marks(context, riff),
        beats: riff.beats(),
        chosen: riff.id == context.desk.session().chosen,
        standing: past::standing(context.desk, of).join(" "),
        practised: !context.desk.past().of(of).is_empty(),
        labels: context.desk.labels(of).texts().to_vec(),
        versions: !versions::earlier(context.desk, riff.id).is_empty(),
    }
}

/// "6 beats, 5 notes · in G".
pub(super) fn summary_in(context: &Context, riff: &Riff, key: Option<Key>) -> String {
    let reading = |key| context.desk.tune().instrument.reading(key).key().pretty();
    let key = key.filter(|_| !riff.notes().is_empty());
    summary(riff) + &key.map_or_else(String::new, |key| format!(" · in {}", reading(key)))
}

/// "6 beats, 5 notes".
pub(super) fn summary(riff: &Riff) -> String {
    format!("{}, {}", count(riff.beats(), "beat", "beats"), count(riff.notes().len(), "note", "notes"))
}

/// The riff's name, or what it is.
pub(super) fn title(riff: &Riff) -> String {
    match (riff.name.as_str(), riff.notes().len()) {
        ("", 0) => "Empty riff".to_owned(),
        ("", notes) => format!("Riff of {}", count(notes, "note", "notes")),
        (name, _) => name.to_owned(),
    }
}

/// The notes over the form's first bar, in the key in which the riff stands: its cloth stays the same whatever key the
/// desk is in. `at` and `length` are fractions of the riff.
pub(super) fn marks(context: &Context, riff: &Riff) -> Vec<MarkView> {
    marks_in(context, riff, context.desk.document().notebook.key(riff.id))
}

/// The same of a riff that stands in this key, where that is known.
pub(super) fn marks_in(context: &Context, riff: &Riff, key: Option<Key>) -> Vec<MarkView> {
    let tune = context.desk.tune();
    let own = key.filter(|key| *key != tune.key).map(|key| tune.in_key(key).changes());
    let changes = own.as_ref().unwrap_or(context.changes);
    let (lowest, highest) = form::range(riff);
    let length = riff.length().0 as f64;
    roles::over(changes, riff, 0)
        .iter()
        .map(|insight| {
            let note = &riff.notes()[insight.note];
            let bar = &changes.bars()[insight.bar];
            MarkView {
                at: note.onset.0 as f64 / length,
                length: note.length.0 as f64 / length,
                ..form::mark(riff, insight, bar, 0, lowest, highest)
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::command::Command;

    #[test]
    fn every_riff_is_listed_and_a_card_is_made_of_those_that_are_asked_for() {
        let mut desk = Desk::new(RiffId(1));
        for id in 2..5 {
            desk.apply(Command::NewRiff { id: write_id(RiffId(id)) }).unwrap();
        }
        desk.apply(Command::EnterNote { midi: 67 }).unwrap();
        let changes = desk.changes();
        let context = Context {
            desk: &desk,
            changes: &changes,
            reading: desk.tune().instrument.reading(desk.tune().key),
        };
        let listed = view(&context);
        let names: Vec<&str> = listed.riffs.iter().map(|row| row.name.as_str()).collect();
        assert_eq!(names, ["Riff of 1 note", "Empty riff", "Empty riff", "Empty riff"]);
        assert_eq!(listed.summary, "4 riffs");
        let cards = cards(&desk, &[RiffId(2), RiffId(99), RiffId(4)]);
        let made: Vec<(&str, usize, bool)> =
            cards.iter().map(|card| (card.id.as_str(), card.marks.len(), card.chosen)).collect();
        assert_eq!(
            (cards[0].summary.as_str(), cards[1].summary.as_str()),
            ("8 beats, 0 notes", "8 beats, 1 note · in G")
        );
        assert_eq!(made, [(write_id(RiffId(2)).as_str(), 0, false), (write_id(RiffId(4)).as_str(), 1, true)]);
    }
}
