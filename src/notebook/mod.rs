//! What a person keeps: riffs, the tune they are tried over, and what was practised.

pub mod band;
pub mod choruses;
pub mod demo;
pub mod family;
pub mod lesson;
pub mod past;
pub mod rota;
pub mod starters;
pub mod tune;
pub mod versions;

mod shelf;

use std::rc::Rc;

pub use crate::notebook::shelf::Difference;
use crate::notebook::shelf::Kept;
use crate::riff::labels::Labels;
use crate::riff::{Riff, RiffId};
use crate::theory::key::Key;

/// A riff in the notebook, with a count of its changes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The riff.
    pub riff: Rc<Riff>,
    /// The key that its notes stand in, where that is known.
    pub key: Option<Key>,
    /// The labels that the person put on it.
    pub labels: Labels,
    /// Counts up with each change, so that of two pages that keep the same riff the older one is known.
    pub revision: u32,
}

impl Entry {
    /// A riff that is new, without labels; `key` is the one that its notes stand in, where that is known.
    pub fn new(riff: Riff, key: Option<Key>) -> Entry {
        Entry { riff: Rc::new(riff), key, labels: Labels::default(), revision: 1 }
    }
}

impl Kept for Entry {
    type Id = RiffId;

    fn id(&self) -> RiffId {
        self.riff.id
    }

    fn revision(&self) -> u32 {
        self.revision
    }

    fn revised(self, revision: u32) -> Entry {
        Entry { revision, ..self }
    }

    fn is_as(&self, other: &Entry) -> bool {
        (Rc::ptr_eq(&self.riff, &other.riff) || self.riff == other.riff) && self.labels == other.labels
    }
}

/// The riffs that a person keeps, newest first.
///
/// Always true: no id comes twice, and there are at most [`Notebook::MOST_RIFFS`].
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Notebook {
    entries: Vec<Entry>,
}

impl Notebook {
    /// The most riffs that a notebook holds.
    pub const MOST_RIFFS: usize = 1000;

    /// A notebook with one riff, whose notes stand in `key`.
    pub fn of(riff: Riff, key: Key) -> Notebook {
        Notebook { entries: vec![Entry::new(riff, Some(key))] }
    }

    /// The riffs, newest first.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// The entry with this id.
    pub fn entry(&self, id: RiffId) -> Option<&Entry> {
        self.entries.iter().find(|entry| entry.riff.id == id)
    }

    /// The riff with this id.
    pub fn riff(&self, id: RiffId) -> Option<&Rc<Riff>> {
        self.entry(id).map(|entry| &entry.riff)
    }

    /// The key that a riff's notes stand in; `None` where that is not known.
    pub fn key(&self, id: RiffId) -> Option<Key> {
        self.entry(id).and_then(|entry| entry.key)
    }

    /// Puts a riff in whose notes stand in `key`, where that is known: over the one with its id, with the next revision,
    /// or as the newest. Its labels stay. `false` where the notebook is full.
    #[must_use]
    pub fn put(&mut self, riff: Riff, key: Option<Key>) -> bool {
        let mut entry = Entry::new(riff, key);
        if let Some(own) = self.entry(entry.riff.id) {
            entry.labels = own.labels.clone();
        }
        shelf::put(&mut self.entries, entry, Notebook::MOST_RIFFS)
    }

    /// Puts these labels on a riff instead of those that it has; nothing where it is not there.
    pub fn set_labels(&mut self, id: RiffId, labels: Labels) {
        if let Some(entry) =
            self.entries.iter_mut().find(|entry| entry.riff.id == id && entry.labels != labels)
        {
            (entry.labels, entry.revision) = (labels, entry.revision.saturating_add(1));
        }
    }

    /// Puts an entry in as it was kept, behind the others; one whose id is there already replaces it only with a
    /// later revision. `false` where the notebook is full.
    #[must_use]
    pub fn restore(&mut self, entry: Entry) -> bool {
        shelf::restore(&mut self.entries, entry, Notebook::MOST_RIFFS)
    }

    /// Gives the riff with this id another one, and its place to `other`, which has taken the id elsewhere. A full
    /// notebook takes no more in.
    pub fn set_aside(&mut self, id: RiffId, new: RiffId, other: Option<Entry>) {
        let rename = |entry: &mut Entry| Rc::make_mut(&mut entry.riff).id = new;
        shelf::set_aside(&mut self.entries, id, rename, other, Notebook::MOST_RIFFS);
    }

    /// How the riffs differ from those of `before`.
    pub fn since(&self, before: &Notebook) -> Difference<RiffId> {
        shelf::difference(&before.entries, &self.entries)
    }

    /// Takes a riff out.
    pub fn remove(&mut self, id: RiffId) -> Option<Entry> {
        shelf::remove(&mut self.entries, id)
    }
}
