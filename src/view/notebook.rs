//! The notebook: a card a riff.

use crate::insight::roles;
use crate::practice::subject::Subject;
use crate::riff::{Riff, write_id};
use crate::view::model::{MarkView, NotebookView, RiffCardView};
use crate::view::screen::Context;
use crate::view::{count, form, past};

pub(super) fn view(context: &Context) -> NotebookView {
    let entries = context.desk.document().notebook.entries();
    NotebookView {
        riffs: entries.iter().map(|entry| card(context, &entry.riff)).collect(),
        summary: count(entries.len(), "riff", "riffs"),
    }
}

fn card(context: &Context, riff: &Riff) -> RiffCardView {
    RiffCardView {
        id: write_id(riff.id),
        name: title(riff),
        summary: summary(riff),
        marks: marks(context, riff),
        beats: riff.beats(),
        chosen: riff.id == context.desk.session().chosen,
        standing: past::standing(context.desk, Subject::Riff(riff.id)).join(" "),
        practised: !context.desk.past().of(Subject::Riff(riff.id)).is_empty(),
    }
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

/// The notes over the form's first bar; `at` and `length` are fractions of the riff.
pub(super) fn marks(context: &Context, riff: &Riff) -> Vec<MarkView> {
    let (lowest, highest) = form::range(riff);
    let length = riff.length().0 as f64;
    roles::over(context.changes, riff, 0)
        .iter()
        .map(|insight| {
            let note = &riff.notes()[insight.note];
            let bar = &context.changes.bars()[insight.bar];
            MarkView {
                at: note.onset.0 as f64 / length,
                length: note.length.0 as f64 / length,
                ..form::mark(riff, insight, bar, 0, lowest, highest)
            }
        })
        .collect()
}
