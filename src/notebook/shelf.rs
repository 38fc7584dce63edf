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

    /// Whether what is kept of both is the same; cheap where neither was touched.
    fn is_as(&self, other: &Self) -> bool;
}

/// How a list differs from what it was before.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference<Id> {
    /// What is new or was changed, in the order of the list.
    pub changed: Vec<Id>,
    /// What was there before and is not there any more, in the order of the list before.
    pub gone: Vec<Id>,
}

/// How `now` differs from `before`. One command changes a few entries in one place: what is the same before and behind
/// that place is only walked over.
pub(super) fn difference<E: Kept>(before: &[E], now: &[E]) -> Difference<E::Id> {
    let same = |(old, new): &(&E, &E)| old.id() == new.id() && old.is_as(new);
    let head = before.iter().zip(now).take_while(same).count();
    let (before, now) = (&before[head..], &now[head..]);
    let tail = before.iter().rev().zip(now.iter().rev()).take_while(same).count();
    let (before, now) = (&before[..before.len() - tail], &now[..now.len() - tail]);
    let old = |entry: &E| before.iter().find(|old| old.id() == entry.id());
    let is_new = |entry: &&E| old(entry).is_none_or(|old| !old.is_as(entry));
    let is_gone = |entry: &&E| now.iter().all(|new| new.id() != entry.id());
    Difference {
        changed: now.iter().filter(is_new).map(E::id).collect(),
        gone: before.iter().filter(is_gone).map(E::id).collect(),
    }
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

/// Has the one with this id renamed, and puts `other`, which has taken the id elsewhere, behind it, or last. Where there
/// are `most` already, no more is taken in.
pub(super) fn set_aside<E: Kept>(
    entries: &mut Vec<E>,
    id: E::Id,
    rename: impl FnOnce(&mut E),
    other: Option<E>,
    most: usize,
) {
    let own = entries.iter().position(|entry| entry.id() == id);
    if let Some(own) = own {
        rename(&mut entries[own]);
    }
    if let Some(other) = other.filter(|_| entries.len() < most) {
        entries.insert(own.map_or(entries.len(), |own| own + 1), other);
    }
}

/// Takes one out.
pub(super) fn remove<E: Kept>(entries: &mut Vec<E>, id: E::Id) -> Option<E> {
    let index = entries.iter().position(|entry| entry.id() == id)?;
    Some(entries.remove(index))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[derive(Clone, Debug, PartialEq)]
    struct Thing {
        id: u8,
        text: u8,
    }

    impl Kept for Thing {
        type Id = u8;

        fn id(&self) -> u8 {
            self.id
        }

        fn revision(&self) -> u32 {
            1
        }

        fn revised(self, _: u32) -> Thing {
            self
        }

        fn is_as(&self, other: &Thing) -> bool {
            self.text == other.text
        }
    }

    /// A list in which no id comes twice.
    fn list() -> impl Strategy<Value = Vec<Thing>> {
        let things = proptest::collection::vec((0..12_u8, 0..3_u8), 0..12);
        things.prop_map(|things| {
            let mut list: Vec<Thing> = Vec::new();
            for (id, text) in things {
                if list.iter().all(|thing| thing.id != id) {
                    list.push(Thing { id, text });
                }
            }
            list
        })
    }

    proptest! {
        /// Against every entry compared with every other.
        #[test]
        fn a_difference_names_what_is_new_what_changed_and_what_is_gone(before in list(), now in list()) {
            let found = difference(&before, &now);
            let changed: Vec<u8> = now.iter().filter(|thing| !before.contains(thing)).map(|thing| thing.id).collect();
            let has = |id: u8| now.iter().any(|thing| thing.id == id);
            let gone: Vec<u8> = before.iter().map(|thing| thing.id).filter(|id| !has(*id)).collect();
            prop_assert_eq!(found, Difference { changed, gone });
        }
    }
}
