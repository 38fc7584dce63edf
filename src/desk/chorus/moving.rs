//! A chorus that stands in another key than the tune's, and moving it along.

use crate::chorus::kept::Chorus;
use crate::chorus::placement;
use crate::desk::{Desk, Refusal};
use crate::notebook::past::plan::way;
use crate::riff::{Note, Riff};
use crate::rooms::door;
use crate::theory::key::Key;

door!(Chorus, chorus:
    /// The first key of a riff in the chosen chorus that is another one than the tune's, where no suggestion is looked at.
    pub(in crate::desk) fn other_key(desk: &Desk) -> Option<Key> {
        let is_other = |key: &Key| way(*key, desk.tune().key).0 != 0;
        let riffs = desk.chosen_chorus().riffs().iter().filter(|_| desk.weaving.shown.is_none());
        riffs.filter_map(|riff| stands_in(desk, riff)).find(is_other)
    }
);

door!(Chorus, chorus:
    /// The chosen chorus with every riff moved to the tune's key: those of one key by the same way, so that they stay as
    /// far apart as they were.
    pub(in crate::desk) fn moved(desk: &Desk) -> Result<Chorus, Refusal> {
        let chorus = desk.chosen_chorus();
        let keys: Vec<Option<Key>> = chorus.riffs().iter().map(|riff| stands_in(desk, riff)).collect();
        let of_key = |key: Option<Key>| -> Vec<&Note> {
            let those = chorus.riffs().iter().zip(&keys).filter(|(_, other)| **other == key);
            those.flat_map(|(riff, _)| riff.notes()).collect()
        };
        let moved = chorus.riffs().iter().zip(&keys).map(|(riff, key)| {
            let Some(from) = *key else { return Some(riff.clone()) };
            let by = desk.nearest_within_range(&of_key(*key), way(from, desk.tune().key).1)?;
            placement::transposed(riff, by)
        });
        let moved: Option<Vec<Riff>> = moved.collect();
        moved.and_then(|riffs| chorus.with_parts(riffs, chorus.spots().to_vec())).ok_or(Refusal::TooFar)
    }
);

/// The key that a riff of the chosen chorus stands in: the notebook's, where it has the same notes there; else the one
/// that the tune left the chorus in.
fn stands_in(desk: &Desk, riff: &Riff) -> Option<Key> {
    let kept = desk.document.notebook.entry(riff.id).filter(|entry| entry.riff.notes() == riff.notes());
    let left = desk.weaving.left.filter(|(id, _)| Some(*id) == desk.weaving.chosen);
    kept.and_then(|entry| entry.key).or(left.map(|(_, key)| key))
}
