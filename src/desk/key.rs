//! A new key, and the riff, or the chorus, that stays where it was written until it is moved along.

use crate::chorus::placement;
use crate::desk::chorus::moving;
use crate::desk::session::Place;
use crate::desk::{Desk, Done, Refusal};
use crate::notebook::past::plan::{home_key, way};
use crate::practice::subject::Subject;
use crate::riff::{Note, Riff};
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

    /// What can be moved to the tune's key where the person is, the chorus on its page and the riff elsewhere: whether it
    /// is the chorus, its name, and the key in which it stands.
    pub fn to_move(&self) -> Option<(bool, &str, Key)> {
        if self.session.place == Place::Chorus
            && let Some(from) = moving::other_key(self).flatten()
        {
            return Some((true, self.chosen_chorus().name(), from));
        }
        self.other_key().map(|from| (false, self.original().name.as_str(), from))
    }

    /// What is to be said of a riff or a chorus that stands in another key than the tune's.
    pub(super) fn left_behind(&self) -> Done {
        let Some((chorus, name, from)) = self.to_move() else { return Done::Quietly };
        let read = |key| self.tune().instrument.reading(key).key();
        Done::InAnotherKey { name: name.to_owned(), chorus, from: read(from), to: read(self.tune().key) }
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
        self.leave_key(before);
        self.document.tune = self.tune().in_key(key).into();
        Ok(self.left_behind())
    }

    /// Moves the riff on the desk, or on its page the chorus, from the key that it stands in to the tune's.
    pub(super) fn move_to_key(&mut self) -> Result<Done, Refusal> {
        let Some((chorus, _, from)) = self.to_move() else { return Ok(Done::Quietly) };
        if chorus {
            return self.move_chorus_to_key();
        }
        let riff = self.original();
        let notes: Vec<&Note> = riff.notes().iter().collect();
        let by = self.nearest_within_range(&notes, way(from, self.tune().key).1);
        let moved = by.and_then(|by| placement::transposed(riff, by)).ok_or(Refusal::TooFar)?;
        let name = moved.name.clone();
        self.put_in(Some(self.tune().key), moved)?;
        self.session.left = None;
        self.practice.moved = None;
        self.vary_again();
        Ok(Done::Moved { name, chorus: false, to: self.tune().instrument.reading(self.tune().key).key() })
    }

    /// Of the octaves of `by` the one that takes the fewest notes out of the instrument's range, and of those the
    /// smallest move; `None` where each leaves the range of MIDI.
    pub(super) fn nearest_within_range(&self, notes: &[&Note], by: Interval) -> Option<Interval> {
        const OCTAVES: [i32; 7] = [0, -1, 1, -2, 2, -3, 3];
        let octave = |octaves: i32| Interval::new(7 * octaves, 12 * octaves);
        let instrument = self.tune().instrument;
        let beyond = |by: &Interval| {
            notes.iter().filter(|note| instrument.beyond(note.pitch.up(*by)).is_some()).count()
        };
        let moves = OCTAVES.map(|octaves| by + octave(octaves)).into_iter();
        let within_midi = |by: &Interval| notes.iter().all(|note| note.pitch.up(*by).midi().is_some());
        moves.filter(within_midi).min_by_key(|by| (beyond(by), by.semitones.abs()))
    }
}
