//! Labels and earlier versions, on the desk: what is put on riffs and choruses, and how a riff was before it was changed.

use std::rc::Rc;

use serde::Deserialize;

use crate::desk::{Desk, Document, Done, Refusal};
use crate::notebook::versions::{Version, Versions};
use crate::perform::Score;
use crate::practice::subject::Subject;
use crate::riff::difference::is_same_music;
use crate::riff::labels::Labels;
use crate::riff::{Riff, RiffId, edit as riff_edit};
use crate::rooms::{Room, door};
use crate::theory::key::Key;

/// One thing that is done in the notebook.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case", rename_all_fields = "camelCase")]
#[cfg_attr(target_arch = "wasm32", derive(tsify::Tsify))]
pub enum NotebookCommand {
    /// Put a label on riffs and choruses, or take it off them.
    Label {
        /// Their ids, as [`Subject`] has them, with a space between.
        ids: String,
        /// The label, as it was typed.
        label: String,
        /// Whether it is put on.
        on: bool,
    },
    /// Make a riff what it was in an earlier version. Its name and its labels stay.
    TakeBack {
        /// The riff's id.
        id: String,
        /// Which version, the last being 0.
        version: usize,
    },
}

/// What becomes an earlier version once it is changed.
#[derive(Clone, Debug, Default)]
pub(super) struct Settling {
    /// The riff on the desk as it was put there, heard or practised last, where it was not changed since.
    pub(super) settled: Option<Rc<Riff>>,
    /// How riffs were that have been changed since, until the room comes that keeps them.
    left: Vec<(Rc<Riff>, Option<Key>)>,
    /// Whose versions have to be written.
    unwritten: Vec<RiffId>,
}

door!(Practice, practice: fn done(desk: &mut Desk, does: &str) -> Result<Done, Refusal> {
    match serde_json::from_str(does).map_err(|_| Refusal::unknown(does))? {
        NotebookCommand::Label { ids, label, on } => desk.label(&ids, &label, on),
        NotebookCommand::TakeBack { id, version } => desk.take_back(&id, version),
    }
});

door!(Practice, practice: fn kept(desk: &mut Desk) -> () {
    for (riff, key) in std::mem::take(&mut desk.settling.left) {
        let (id, day) = (riff.id, desk.today);
        desk.versions.keep(Version { riff, key, day });
        desk.have_versions_written(&[id]);
    }
});

door!(Practice, practice: fn written(desk: &Desk, id: RiffId) -> Option<String> {
    desk.versions.write(id)
});

impl Desk {
    pub(super) fn in_notebook(&mut self, does: &str) -> Result<Done, Refusal> {
        done(self, does).unwrap_or(Err(Refusal::NotHere(Room::Practice)))
    }

    /// The earlier versions of riffs.
    pub fn versions(&self) -> &Versions {
        &self.versions
    }

    /// The record of a riff's earlier versions; `None` where there are none, or their room has not come.
    pub fn versions_record(&self, id: RiffId) -> Option<String> {
        written(self, id).flatten()
    }

    /// The riffs whose versions have to be written; each is told once.
    pub fn versions_unwritten(&mut self) -> Vec<RiffId> {
        std::mem::take(&mut self.settling.unwritten)
    }

    pub(super) fn have_versions_written(&mut self, ids: &[RiffId]) {
        let unwritten = &mut self.settling.unwritten;
        for id in ids {
            if !unwritten.contains(id) {
                unwritten.push(*id);
            }
        }
    }

    /// The riff on the desk is heard or practised: as it is now it becomes an earlier version once it is changed.
    pub fn settle(&mut self) {
        self.settling.settled = self.document.notebook.riff(self.session.chosen).cloned();
    }

    /// Keeps what was settled before something was done, where that was changed.
    pub(super) fn keep_version(&mut self, settled: Option<Rc<Riff>>, before: &Document) {
        let Some(was) = settled else { return };
        let entry = before.notebook.entry(was.id).filter(|entry| Rc::ptr_eq(&entry.riff, &was));
        let (Some(entry), Some(now)) = (entry, self.document.notebook.riff(was.id)) else { return };
        if Rc::ptr_eq(now, &was) {
            return;
        }
        let is_renamed = is_same_music(now, &was);
        if self.settling.settled.as_ref().is_some_and(|settled| Rc::ptr_eq(settled, &was)) {
            self.settling.settled = Some(Rc::clone(now)).filter(|_| is_renamed);
        }
        // An empty riff is nothing to go back to.
        if !is_renamed && !was.notes().is_empty() {
            self.settling.left.push((was, entry.key));
            kept(self);
        }
    }

    /// The riffs and choruses with these ids, a space between.
    fn subjects(&self, ids: &str) -> Result<Vec<Subject>, Refusal> {
        let subject = |text: &str| {
            let of = text.parse().ok().filter(|of| self.has(*of));
            of.ok_or_else(|| Refusal::NoSuchRiff { found: text.chars().take(20).collect() })
        };
        ids.split(' ').map(subject).collect()
    }

    /// The labels of a riff or a chorus.
    pub fn labels(&self, of: Subject) -> Labels {
        let labels = match of {
            Subject::Riff(id) => self.document.notebook.entry(id).map(|entry| &entry.labels),
            Subject::Chorus(id) => self.document.choruses.entry(id).map(|entry| &entry.labels),
        };
        labels.cloned().unwrap_or_default()
    }

    fn label(&mut self, ids: &str, label: &str, on: bool) -> Result<Done, Refusal> {
        for of in self.subjects(ids)? {
            let labels = self.labels(of);
            let labels = if on { labels.with(label) } else { Some(labels.without(label)) };
            let labels = labels.ok_or(Refusal::ManyLabels)?;
            match of {
                Subject::Riff(id) => Rc::make_mut(&mut self.document.notebook).set_labels(id, labels),
                Subject::Chorus(id) => Rc::make_mut(&mut self.document.choruses).set_labels(id, labels),
            }
        }
        Ok(Done::Quietly)
    }

    fn take_back(&mut self, id: &str, version: usize) -> Result<Done, Refusal> {
        let id = self.existing(id)?;
        let was = self.versions.of(id).get(version).cloned().ok_or(Refusal::NoSuchVersion)?;
        let now = self.document.notebook.entry(id).cloned().expect("it exists");
        let riff = riff_edit::rename(&was.riff, &now.riff.name);
        self.put_in(was.key, riff)?;
        // What is there now can be taken back later, too, whatever becomes of the way back.
        self.versions.keep(Version { riff: now.riff.clone(), key: now.key, day: self.today });
        self.have_versions_written(&[id]);
        if id == self.session.chosen {
            self.put_down(id);
        }
        Ok(Done::TakenBack { name: now.riff.name.clone() })
    }

    /// An earlier version of a riff, once and alone; `None` where there is none.
    pub fn version_score(&self, id: RiffId, version: usize) -> Option<Score> {
        let was = self.versions.of(id).get(version)?;
        Some(self.by_itself(self.changes(), Rc::clone(&was.riff), self.session.bar))
    }
}
