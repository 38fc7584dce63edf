//! The way back, kept while a page is loaded again: what each step took the place of, as a text.
//!
//! A step is written as the records that it changed, so that it can be gone back from whatever is there then; what was
//! undone before is not kept. A text that does not read is no way back.

use std::rc::Rc;

use serde::{Deserialize, Serialize};

use crate::desk::{Desk, Document, stored};
use crate::files::record::{self, chorus_of_record, chorus_record_id};
use crate::notebook::tune::Tune;
use crate::riff::{read_id, write_id};
use crate::rooms::door;

/// How many steps are kept: as many as one goes back by hand.
pub const MOST_STEPS: usize = 30;

/// What makes a document the one before it.
#[derive(Default, Serialize, Deserialize)]
struct Step {
    /// The tune's record.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    tune: Option<String>,
    /// Records of riffs that were others, or were there.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    riffs: Vec<String>,
    /// Records of choruses.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    choruses: Vec<String>,
    /// The ids of records that were not there.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    gone: Vec<String>,
}

impl Step {
    fn between(before: &Document, after: &Document, desk: &Desk) -> Step {
        let (notebook, choruses) = (&before.notebook, &before.choruses);
        // What differs from the later state as seen from the earlier one: "changed" is there, "gone" is not.
        let (riffs, woven) = (notebook.since(&after.notebook), choruses.since(&after.choruses));
        let entries = riffs.changed.iter().filter_map(|id| notebook.entry(*id));
        let gone = riffs.gone.iter().map(|id| write_id(*id));
        Step {
            tune: (before.tune != after.tune)
                .then(|| record::write_tune(&before.tune.record(desk.session().chosen, None))),
            riffs: entries.map(|entry| stored::riff_text(entry, entry.revision)).collect(),
            choruses: woven
                .changed
                .iter()
                .filter_map(|id| choruses.entry(*id))
                .map(|entry| stored::chorus_text(entry, 0))
                .collect(),
            gone: gone.chain(woven.gone.iter().map(|id| chorus_record_id(*id))).collect(),
        }
    }

    /// The document before `after`; `None` where a record does not read.
    fn undo(&self, after: &Document) -> Option<Document> {
        let mut document = after.clone();
        if let Some(tune) = &self.tune {
            document.tune = Rc::new(Tune::of_record(&record::read_tune(tune).ok()?));
        }
        for text in &self.riffs {
            let read = record::read_riff(text).ok()?;
            // Where there is no room it stays away.
            let (id, notebook) = (read.riff.id, Rc::make_mut(&mut document.notebook));
            let _ = notebook.put(read.riff, read.key);
            notebook.set_labels(id, read.labels);
        }
        for text in &self.choruses {
            let read = record::read_chorus_record(text).ok()?;
            let (id, choruses) = (read.chorus.id, Rc::make_mut(&mut document.choruses));
            let _ = choruses.put(read.chorus);
            choruses.set_labels(id, read.labels);
        }
        for id in &self.gone {
            if let Some(id) = chorus_of_record(id) {
                Rc::make_mut(&mut document.choruses).remove(id);
            } else if let Some(id) = read_id(id) {
                Rc::make_mut(&mut document.notebook).remove(id);
            }
        }
        Some(document).filter(|document| !document.notebook.entries().is_empty())
    }
}

door!(Files, files: fn written(desk: &Desk) -> String {
    let mut after = desk.document();
    let past = desk.history.past().iter().rev().take(MOST_STEPS);
    let steps: Vec<Step> = past
        .map(|before| {
            let step = Step::between(before, after, desk);
            after = before;
            step
        })
        .collect();
    serde_json::to_string(&steps).expect("plain fields can always be written")
});

door!(Files, files: fn taken(desk: &mut Desk, text: &str) -> bool {
    let steps: Vec<Step> = serde_json::from_str(text).unwrap_or_default();
    let mut documents = vec![desk.document().clone()];
    for step in steps.iter().take(MOST_STEPS) {
        let Some(before) = documents.last().and_then(|after| step.undo(after)) else { break };
        documents.push(before);
    }
    for before in documents.into_iter().skip(1).rev() {
        desk.history.remember(before);
    }
    desk.can_undo()
});

impl Desk {
    /// The last steps back, the newest first; `None` where the room that writes them has not come.
    pub fn way_back(&self) -> Option<String> {
        written(self)
    }

    /// Takes up steps back that were written, over what is there now; where something was done here already, or the text
    /// does not read, nothing happens. Gives whether there is a way back now.
    pub fn take_way_back(&mut self, text: &str) -> bool {
        !self.can_undo() && taken(self, text).unwrap_or_default()
    }
}
