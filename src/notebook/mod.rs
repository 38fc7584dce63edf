//! What a person keeps: riffs, the tune they are tried over, and what was practised.

pub mod band;
pub mod choruses;
pub mod demo;
pub mod past;
pub mod tune;

use std::rc::Rc;

use crate::riff::{Riff, RiffId};

/// A riff in the notebook, with a count of its changes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The riff.
    pub riff: Rc<Riff>,
    /// Counts up with each change, so that of two pages that keep the same riff the older one is known.
    pub revision: u32,
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

    /// A notebook with one riff.
    pub fn of(riff: Riff) -> Notebook {
        Notebook { entries: vec![Entry { riff: Rc::new(riff), revision: 1 }] }
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

    /// Puts a riff in: over the one with its id, with the next revision, or as the newest. `false` where the notebook
    /// is full.
    #[must_use]
    pub fn put(&mut self, riff: Riff) -> bool {
        let is_full = self.entries.len() >= Notebook::MOST_RIFFS;
        match self.entries.iter_mut().find(|entry| entry.riff.id == riff.id) {
            Some(entry) => *entry = Entry { riff: Rc::new(riff), revision: entry.revision.saturating_add(1) },
            None if is_full => return false,
            None => self.entries.insert(0, Entry { riff: Rc::new(riff), revision: 1 }),
        }
        true
    }

    /// Puts an entry in as it was kept, behind the others; one whose id is there already replaces it only with a
    /// later revision. `false` where the notebook is full.
    #[must_use]
    pub fn restore(&mut self, entry: Entry) -> bool {
        let is_full = self.entries.len() >= Notebook::MOST_RIFFS;
        match self.entries.iter_mut().find(|other| other.riff.id == entry.riff.id) {
            Some(other) if entry.revision > other.revision => *other = entry,
            Some(_) => {}
            None if is_full => return false,
            None => self.entries.push(entry),
        }
        true
    }

    /// Takes a riff out.
    pub fn remove(&mut self, id: RiffId) -> Option<Entry> {
        let index = self.entries.iter().position(|entry| entry.riff.id == id)?;
        Some(self.entries.remove(index))
    }
}
