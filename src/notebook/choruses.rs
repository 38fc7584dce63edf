//! The choruses that a person keeps.

use std::rc::Rc;

use crate::chorus::kept::{Chorus, ChorusId};
use crate::notebook::shelf::{self, Difference, Kept};
use crate::riff::labels::Labels;

/// A chorus in the notebook, with a count of its changes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChorusEntry {
    /// The chorus.
    pub chorus: Rc<Chorus>,
    /// The labels that the person put on it.
    pub labels: Labels,
    /// Counts up with each change, as a riff's does.
    pub revision: u32,
}

impl Kept for ChorusEntry {
    type Id = ChorusId;

    fn id(&self) -> ChorusId {
        self.chorus.id
    }

    fn revision(&self) -> u32 {
        self.revision
    }

    fn revised(self, revision: u32) -> ChorusEntry {
        ChorusEntry { revision, ..self }
    }

    fn is_as(&self, other: &ChorusEntry) -> bool {
        Rc::ptr_eq(&self.chorus, &other.chorus) && self.labels == other.labels
    }
}

/// The choruses that a person keeps, newest first.
///
/// Always true: no id comes twice, and there are at most [`Choruses::MOST`].
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Choruses {
    entries: Vec<ChorusEntry>,
}

impl Choruses {
    /// The most choruses that are kept.
    pub const MOST: usize = 200;

    /// The choruses, newest first.
    pub fn entries(&self) -> &[ChorusEntry] {
        &self.entries
    }

    /// The entry with this id.
    pub fn entry(&self, id: ChorusId) -> Option<&ChorusEntry> {
        self.entries.iter().find(|entry| entry.chorus.id == id)
    }

    /// The chorus with this id.
    pub fn chorus(&self, id: ChorusId) -> Option<&Rc<Chorus>> {
        self.entry(id).map(|entry| &entry.chorus)
    }

    /// Puts a chorus in: over the one with its id, with the next revision, or as the newest. Its labels stay. `false`
    /// where there is no room.
    #[must_use]
    pub fn put(&mut self, chorus: Chorus) -> bool {
        let labels = self.entry(chorus.id).map_or_else(Labels::default, |own| own.labels.clone());
        let entry = ChorusEntry { chorus: Rc::new(chorus), labels, revision: 1 };
        shelf::put(&mut self.entries, entry, Choruses::MOST)
    }

    /// Puts these labels on a chorus instead of those that it has; nothing where it is not there.
    pub fn set_labels(&mut self, id: ChorusId, labels: Labels) {
        if let Some(entry) =
            self.entries.iter_mut().find(|entry| entry.chorus.id == id && entry.labels != labels)
        {
            (entry.labels, entry.revision) = (labels, entry.revision.saturating_add(1));
        }
    }

    /// Puts a chorus in as it was kept, behind the others; one whose id is there already gives way to a later
    /// revision. `false` where there is no room.
    #[must_use]
    pub fn restore(&mut self, entry: ChorusEntry) -> bool {
        shelf::restore(&mut self.entries, entry, Choruses::MOST)
    }

    /// How the choruses differ from those of `before`.
    pub fn since(&self, before: &Choruses) -> Difference<ChorusId> {
        shelf::difference(&before.entries, &self.entries)
    }

    /// Gives the chorus with this id another one, and its place to `other`, which has taken the id elsewhere. Where
    /// there is no room, no more is taken in.
    pub fn set_aside(&mut self, id: ChorusId, new: ChorusId, other: Option<ChorusEntry>) {
        let rename = |entry: &mut ChorusEntry| Rc::make_mut(&mut entry.chorus).id = new;
        shelf::set_aside(&mut self.entries, id, rename, other, Choruses::MOST);
    }

    /// Takes a chorus out.
    pub fn remove(&mut self, id: ChorusId) -> Option<ChorusEntry> {
        shelf::remove(&mut self.entries, id)
    }
}
