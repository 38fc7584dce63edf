//! The choruses that a person keeps.

use std::rc::Rc;

use crate::chorus::kept::{Chorus, ChorusId};

/// A chorus in the notebook, with a count of its changes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChorusEntry {
    /// The chorus.
    pub chorus: Rc<Chorus>,
    /// Counts up with each change, as a riff's does.
    pub revision: u32,
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

    /// The chorus with this id.
    pub fn chorus(&self, id: ChorusId) -> Option<&Rc<Chorus>> {
        self.entries.iter().map(|entry| &entry.chorus).find(|chorus| chorus.id == id)
    }

    /// Puts a chorus in: over the one with its id, with the next revision, or as the newest. `false` where there is no
    /// room.
    #[must_use]
    pub fn put(&mut self, chorus: Chorus) -> bool {
        let is_full = self.entries.len() >= Choruses::MOST;
        match self.entries.iter_mut().find(|entry| entry.chorus.id == chorus.id) {
            Some(entry) => {
                let revision = entry.revision.saturating_add(1);
                *entry = ChorusEntry { chorus: Rc::new(chorus), revision };
            }
            None if is_full => return false,
            None => self.entries.insert(0, ChorusEntry { chorus: Rc::new(chorus), revision: 1 }),
        }
        true
    }

    /// Puts a chorus in as it was kept, behind the others; one whose id is there already gives way to a later
    /// revision. `false` where there is no room.
    #[must_use]
    pub fn restore(&mut self, entry: ChorusEntry) -> bool {
        let is_full = self.entries.len() >= Choruses::MOST;
        match self.entries.iter_mut().find(|other| other.chorus.id == entry.chorus.id) {
            Some(other) if entry.revision > other.revision => *other = entry,
            Some(_) => {}
            None if is_full => return false,
            None => self.entries.push(entry),
        }
        true
    }

    /// Takes a chorus out.
    pub fn remove(&mut self, id: ChorusId) -> Option<ChorusEntry> {
        let index = self.entries.iter().position(|entry| entry.chorus.id == id)?;
        Some(self.entries.remove(index))
    }
}
