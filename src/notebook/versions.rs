//! Earlier versions of riffs: how each was before it was changed.
//!
//! The rule: what was heard, practised or left for another riff is kept when it is changed next, the last
//! [`Versions::MOST`] of a riff that are different music, in at most [`Versions::MOST_BYTES`].

use std::rc::Rc;

use serde::{Deserialize, Serialize};

use crate::files::record::{self, RiffFields, Unreadable};
use crate::practice::review::Day;
use crate::riff::difference::is_same_music;
use crate::riff::{Riff, RiffId, read_id, write_id};
use crate::theory::key::Key;

/// How a riff was.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Version {
    /// The riff.
    pub riff: Rc<Riff>,
    /// The key that its notes stood in, where that is known.
    pub key: Option<Key>,
    /// The day on which it was changed.
    pub day: Day,
}

impl Version {
    /// Whether it is the same music as this riff in this key.
    pub fn is(&self, riff: &Riff, key: Option<Key>) -> bool {
        self.key == key && is_same_music(&self.riff, riff)
    }
}

/// The earlier versions of all riffs, of each the last one first.
///
/// Always true: none of them is empty, and of one riff no two are the same music.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Versions {
    riffs: Vec<(RiffId, Vec<Version>)>,
}

impl Versions {
    /// The most versions of one riff.
    pub const MOST: usize = 8;
    /// The most bytes of the record of one riff's versions, as long as there are two: a full notebook of long riffs that
    /// were all changed eight times has 16 megabytes of them.
    pub const MOST_BYTES: usize = 16 << 10;

    /// The versions of a riff, the last one first.
    pub fn of(&self, id: RiffId) -> &[Version] {
        self.riffs.iter().find(|(other, _)| *other == id).map_or(&[], |(_, versions)| versions)
    }

    /// The riffs of which there are any.
    pub fn riffs(&self) -> impl Iterator<Item = RiffId> {
        self.riffs.iter().map(|(id, _)| *id)
    }

    /// Keeps how a riff was as its last version; one that is there already moves to the front. An empty riff is no version.
    pub fn keep(&mut self, version: Version) {
        self.take(version.riff.id, vec![version]);
    }

    /// Takes in what was kept elsewhere, in storage, in another tab or in a file, where riffs may have other ids here, as
    /// `here` tells. What both have counts once, by its later day. Gives the riffs of which something was new.
    pub fn join_as(&mut self, other: Versions, here: impl Fn(RiffId) -> RiffId) -> Vec<RiffId> {
        let mut grown = Vec::new();
        for (id, versions) in other.riffs {
            let (id, before) = (here(id), self.of(here(id)).to_vec());
            // Of the same music the later day counts.
            let is_new =
                |new: &Version| !before.iter().any(|own| own.is(&new.riff, new.key) && own.day >= new.day);
            if !versions.iter().any(is_new) {
                continue;
            }
            let mut all: Vec<Version> = before.iter().cloned().chain(versions).collect();
            if !before.is_empty() {
                all.sort_by_key(|version| std::cmp::Reverse(version.day));
            }
            self.take(id, all);
            if self.of(id) != before {
                grown.push(id);
            }
        }
        grown
    }

    /// Puts versions before those that are there, and lets the oldest go for which there is no room.
    fn take(&mut self, id: RiffId, first: Vec<Version>) {
        let own = self.of(id).to_vec();
        let mut versions: Vec<Version> = Vec::new();
        for Version { riff, key, day } in first.into_iter().chain(own) {
            let is_there = versions.iter().any(|version| version.is(&riff, key));
            if !is_there && !riff.notes().is_empty() && versions.len() < Versions::MOST {
                let riff = if riff.id == id { riff } else { Rc::new((*riff).clone().with_id(id)) };
                versions.push(Version { riff, key, day });
            }
        }
        while versions.len() > 1 && text(id, &versions).len() > Versions::MOST_BYTES {
            versions.pop();
        }
        self.riffs.retain(|(other, _)| *other != id);
        if !versions.is_empty() {
            self.riffs.push((id, versions));
        }
    }

    /// The record of a riff's versions, for storage; `None` where there are none.
    pub fn write(&self, id: RiffId) -> Option<String> {
        let versions = self.of(id);
        (!versions.is_empty()).then(|| text(id, versions))
    }

    /// Takes in a record.
    pub fn read(&mut self, text: &str) -> Result<(), Unreadable> {
        let kept: Record = record::read(text)?;
        let id = read_id(&kept.riff).ok_or_else(|| record::bad("its riff has no number"))?;
        let version = |state: State| {
            let kept = state.was.riff()?;
            Ok(Version { riff: kept.riff.into(), key: kept.key, day: Day(state.day) })
        };
        let versions =
            kept.versions.into_iter().map(version).collect::<Result<Vec<Version>, Unreadable>>()?;
        self.join_as(Versions { riffs: vec![(id, versions)] }, |id| id);
        Ok(())
    }
}

fn text(id: RiffId, versions: &[Version]) -> String {
    let state =
        |version: &Version| State { day: version.day.0, was: RiffFields::of(&version.riff, version.key, 0) };
    let versions = versions.iter().map(state).collect();
    record::write(&Record { version: record::VERSION, riff: write_id(id), versions })
}

/// The versions of a riff as they stand in their record, the last one first.
#[derive(Serialize, Deserialize)]
struct Record {
    version: u32,
    /// Of which riff.
    riff: String,
    versions: Vec<State>,
}

#[derive(Serialize, Deserialize)]
struct State {
    /// The day on which it was changed, from 1 January 1970.
    day: i64,
    was: RiffFields,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notebook::demo::salt_wind;
    use crate::rhythm::grid::Division;
    use crate::riff::{Note, edit};
    use crate::units::Ticks;
    use proptest::prelude::*;

    /// Salt wind in one of several states.
    fn version((state, day): (usize, i64)) -> Version {
        let riff = edit::begin_at(&salt_wind(), Ticks(state as i64 * 5040)).unwrap();
        Version { riff: Rc::new(riff.with_id(RiffId(1))), key: None, day: Day(day) }
    }

    fn kept(states: &[(usize, i64)]) -> Versions {
        let mut versions = Versions::default();
        states.iter().for_each(|state| versions.keep(version(*state)));
        versions
    }

    fn days(versions: &Versions) -> Vec<i64> {
        versions.of(RiffId(1)).iter().map(|version| version.day.0).collect()
    }

    #[test]
    fn the_last_eight_that_are_different_stay_and_the_last_comes_first() {
        assert_eq!(days(&kept(&[(0, 1), (1, 2), (0, 3)])), [3, 2]);
        let many: Vec<(usize, i64)> = (0..12).map(|state| (state, state as i64)).collect();
        assert_eq!(days(&kept(&many)), [11, 10, 9, 8, 7, 6, 5, 4]);
        let mut versions = kept(&[(0, 1)]);
        versions.keep(Version {
            riff: Rc::new(Riff::empty(RiffId(1), Ticks::QUARTER, 4)),
            key: None,
            day: Day(2),
        });
        assert_eq!(days(&versions), [1]);
    }

    #[test]
    fn long_riffs_keep_fewer() {
        let note = |step: i64| Note {
            onset: Ticks(step * 1260),
            length: Ticks(1260),
            pitch: "Bb4".parse().unwrap(),
            accent: true,
            ornament: None,
        };
        let (divisions, notes) = (vec![Division::new(8).unwrap(); 16], (0..128).map(note).collect());
        let long = Riff::from_parts(RiffId(1), String::new(), Ticks::ZERO, Ticks::QUARTER, divisions, notes)
            .unwrap();
        let mut versions = Versions::default();
        for begin in 0..8 {
            let riff = Rc::new(edit::begin_at(&long, Ticks(begin * 5040)).unwrap());
            versions.keep(Version { riff, key: None, day: Day(begin) });
            assert!(versions.write(RiffId(1)).unwrap().len() <= Versions::MOST_BYTES);
        }
        assert!((1..8).contains(&versions.of(RiffId(1)).len()));
        assert_eq!(days(&versions)[0], 7);
    }

    proptest! {
        #[test]
        fn versions_read_back_and_come_together_once(
            one in proptest::collection::vec((0..12_usize, 0..5_i64), 0..10),
            other in proptest::collection::vec((0..12_usize, 0..5_i64), 0..10),
        ) {
            let (mut one, other) = (kept(&one), kept(&other));
            if let Some(text) = one.write(RiffId(1)) {
                let mut again = Versions::default();
                again.read(&text).unwrap();
                prop_assert_eq!(&again, &one);
            }
            let all = one.of(RiffId(1)).len() + other.of(RiffId(1)).len();
            one.join_as(other.clone(), |id| id);
            prop_assert!(one.of(RiffId(1)).len() <= all.min(Versions::MOST));
            let once = one.clone();
            prop_assert_eq!(one.join_as(other, |id| id), Vec::new());
            prop_assert_eq!(one, once);
        }
    }
}
