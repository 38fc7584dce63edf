//! A list of what is kept, newest first, in which no id comes twice: how riffs and choruses get in and out.

/// One thing that is kept, with a count of its changes.
pub(super) trait Kept: Sized {
    /// What tells it from the others.
    type Id: Copy + PartialEq;

    /// Its id.
    fn id(&self) -> Self::Id;

    /// How often it was changed.
    fn revision(&self) -> u32;

    /// The same with another count of its changes.
    fn revised(self, revision: u32) -> Self;
}

/// Puts a new version in: over the one with its id, with the next revision, or as the newest. `false` where there are
/// `most` already.
pub(super) fn put<E: Kept>(entries: &mut Vec<E>, entry: E, most: usize) -> bool {
    let is_full = entries.len() >= most;
    match entries.iter_mut().find(|other| other.id() == entry.id()) {
        Some(other) => *other = entry.revised(other.revision().saturating_add(1)),
        None if is_full => return false,
        None => entries.insert(0, entry),
    }
    true
}

/// Puts an entry in as it was kept, behind the others; one whose id is there already gives way to a later revision.
/// `false` where there are `most` already.
pub(super) fn restore<E: Kept>(entries: &mut Vec<E>, entry: E, most: usize) -> bool {
    let is_full = entries.len() >= most;
    match entries.iter_mut().find(|other| other.id() == entry.id()) {
        Some(other) if entry.revision() > other.revision() => *other = entry,
        Some(_) => {}
        None if is_full => return false,
        None => entries.push(entry),
    }
    true
}

/// Takes one out.
pub(super) fn remove<E: Kept>(entries: &mut Vec<E>, id: E::Id) -> Option<E> {
    let index = entries.iter().position(|entry| entry.id() == id)?;
    Some(entries.remove(index))
}
