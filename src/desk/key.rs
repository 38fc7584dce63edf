//! A new key, and the riff that stays where it was written until it is moved along.

use crate::chorus::placement;
use crate::desk::{Desk, Done, Refusal};
use crate::notebook::past::plan::{home_key, way};
use crate::practice::subject::Subject;
use crate::riff::Riff;
use crate::theory::interval::Interval;
use crate::theory::key::Key;

impl Desk {
    /// The key that a riff of the notebook stands in: the one it was written in, else where it was practised last;
    /// `None` where nothing tells.
    pub(super) fn stands_in(&self, riff: &Riff) -> Option<Key> {
        let left = self.session.left.filter(|(id, _)| *id == riff.id).map(|(_, key)| key);
        let practised = self.past.of(Subject::Riff(riff.id));
        self.document
            .notebook
            .key(riff.id)
            .or(left)
            .or_else(|| practised.last().map(|last| home_key(None, practised, last.key)))
    }

    /// The key in which the riff on the desk stands, where that is another one than the tune's and it has notes to move.
    pub fn other_key(&self) -> Option<Key> {
        let riff = self.original();
        let stands = self.stands_in(riff).filter(|_| !riff.notes().is_empty())?;
        (way(stands, self.tune().key).0 != 0).then_some(stands)
    }

    /// What is to be said of a riff that stands in another key than the tune's.
    pub(super) fn left_behind(&self) -> Done {
        let Some(from) = self.other_key() else { return Done::Quietly };
        let read = |key| self.tune().instrument.reading(key).key();
        Done::InAnotherKey { name: self.original().name.clone(), from: read(from), to: read(self.tune().key) }
    }

    /// Puts the tune in another key; the riff on the desk stays as it is written.
    pub(super) fn set_key(&mut self, key: &str) -> Result<Done, Refusal> {
        let key = key.parse().map_err(Refusal::Key)?;
        let (riff, before) = (self.session.chosen, self.tune().key);
        if key == before {
            return Ok(Done::Quietly);
        }
        if self.stands_in(self.original()).is_none() {
            self.session.left = Some((riff, before));
        }
        self.document.tune = self.tune().in_key(key).into();
        Ok(self.left_behind())
    }

    /// Moves the riff on the desk from the key that it stands in to the tune's.
    pub(super) fn move_to_key(&mut self) -> Result<Done, Refusal> {
        let riff = self.original();
        let Some(from) = self.other_key() else { return Ok(Done::Quietly) };
        let by = self.nearest_within_range(riff, way(from, self.tune().key).1);
        let moved = by.and_then(|by| placement::transposed(riff, by)).ok_or(Refusal::TooFar)?;
        let name = moved.name.clone();
        self.put_in(Some(self.tune().key), moved)?;
        self.session.left = None;
        self.practice.moved = None;
        self.vary_again();
        Ok(Done::Moved { name, to: self.tune().instrument.reading(self.tune().key).key() })
    }

    /// Of the octaves of `by` the one that takes the fewest notes out of the instrument's range, and of those the
    /// smallest move; `None` where each leaves the range of MIDI.
    fn nearest_within_range(&self, riff: &Riff, by: Interval) -> Option<Interval> {
        const OCTAVES: [i32; 7] = [0, -1, 1, -2, 2, -3, 3];
        let octave = |octaves: i32| Interval::new(7 * octaves, 12 * octaves);
        let instrument = self.tune().instrument;
        let beyond = |by: &Interval| {
            riff.notes().iter().filter(|note| instrument.beyond(note.pitch.up(*by)).is_some()).count()
        };
        let moves = OCTAVES.map(|octaves| by + octave(octaves)).into_iter();
        let within_midi = |by: &Interval| riff.notes().iter().all(|note| note.pitch.up(*by).midi().is_some());
        moves.filter(within_midi).min_by_key(|by| (beyond(by), by.semitones.abs()))
    }
}
