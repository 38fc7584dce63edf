//! A free chorus: what a person plays over the form with nothing asked for. It is looked at afterwards and not kept; an
//! idea from it is, once a person says so.

use std::rc::Rc;

use crate::chorus::course::Course;
use crate::chorus::free::FreeNote;
use crate::desk::command::Command;
use crate::desk::{Desk, Done, Refusal};
use crate::units::{MidiNote, Ticks};

/// What is being played, and what was played before.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FreePlay {
    notes: Vec<FreeNote>,
    /// The note that each held key began, by index.
    held: Vec<(MidiNote, usize)>,
    last: Option<Rc<Vec<FreeNote>>>,
    before: Option<Rc<Vec<FreeNote>>>,
}

/// Fewer notes than this say nothing.
const FEWEST_NOTES: usize = 5;
/// The most notes of one free chorus: more than anybody plays in eight times through.
const MOST_NOTES: usize = 4000;

impl FreePlay {
    /// The last free chorus, once it is over and while it is looked at.
    pub fn last(&self) -> Option<&Rc<Vec<FreeNote>>> {
        self.last.as_ref()
    }

    /// The one before that.
    pub fn before(&self) -> Option<&Rc<Vec<FreeNote>>> {
        self.before.as_ref()
    }

    /// How often the form was played while these notes were: as far as the last of them.
    pub fn times(notes: &[FreeNote], form: Ticks) -> usize {
        let last = notes.iter().map(|note| note.at).max().unwrap_or_default();
        last.div_floor(form).clamp(0, Course::MOST_CHORUSES as i64 - 1) as usize + 1
    }
}

impl Desk {
    /// What is and was played freely.
    pub fn free(&self) -> &FreePlay {
        &self.free
    }

    /// A key went down `at` this place of the form, counted on through all times.
    pub fn free_down(&mut self, at: Ticks, midi: MidiNote) {
        if self.free.notes.len() < MOST_NOTES {
            self.free.held.push((midi, self.free.notes.len()));
            self.free.notes.push(FreeNote { at, length: self.changes().bars()[0].metre.beat(), midi });
        }
    }

    /// A key was let go.
    pub fn free_up(&mut self, at: Ticks, midi: MidiNote) {
        let Some(place) = self.free.held.iter().position(|(held, _)| *held == midi) else { return };
        let (_, index) = self.free.held.swap_remove(place);
        if let Some(note) = self.free.notes.get_mut(index) {
            note.length = Ticks((at - note.at).0.max(1));
        }
    }

    pub(super) fn play_freely(&mut self, command: &Command) -> Option<Result<Done, Refusal>> {
        match command {
            Command::BeginFreeChorus => {
                let before = self.free.last.take().or(self.free.before.take());
                self.free = FreePlay { before, ..FreePlay::default() };
            }
            Command::EndFreeChorus => {
                let notes = std::mem::take(&mut self.free.notes);
                self.free.held.clear();
                self.free.last = (notes.len() >= FEWEST_NOTES).then(|| Rc::new(notes));
            }
            Command::ForgetFreeChorus => self.free.before = self.free.last.take(),
            _ => return None,
        }
        Some(Ok(Done::Quietly))
    }
}
