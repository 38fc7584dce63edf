//! A free chorus: what a person plays over the form with nothing asked for. The last ones are kept; an idea from one becomes
//! a riff once a person says so.

use std::rc::Rc;

use crate::chorus::course::Course;
use crate::desk::merged::unknown_played;
use crate::desk::practice::ToPlay;
use crate::desk::score::What;
use crate::desk::{Desk, Done, Refusal};
use crate::files::record;
use crate::found::free::FreeNote;
use crate::perform::Part;
use crate::units::{AudioTime, MidiNote, Seconds, Ticks};

/// What is being played, and what was played before.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FreePlay {
    notes: Vec<FreeNote>,
    /// The note that each held key began, by index.
    held: Vec<(MidiNote, usize)>,
    /// Whose record the notes that are being played belong to.
    id: u64,
    is_playing: bool,
    /// What was played, the newest first.
    kept: Vec<Kept>,
    /// Which of these is looked at.
    looked_at: Option<usize>,
    /// Records that are to be written, and that are to be forgotten.
    unwritten: Vec<u64>,
    gone: Vec<u64>,
    /// What the next id is made of.
    stamp: u64,
}

/// A free chorus that was played.
#[derive(Clone, Debug, PartialEq)]
struct Kept {
    id: u64,
    notes: Rc<Vec<FreeNote>>,
}

/// The most notes of one free chorus: more than anybody plays in eight times through.
const MOST_NOTES: usize = 4000;
/// How many free choruses are kept.
pub const MOST_KEPT: usize = 6;

impl FreePlay {
    /// The free chorus that is looked at.
    pub fn last(&self) -> Option<&Rc<Vec<FreeNote>>> {
        self.kept.get(self.looked_at?).map(|kept| &kept.notes)
    }

    /// The one before that.
    pub fn before(&self) -> Option<&Rc<Vec<FreeNote>>> {
        self.kept.get(self.looked_at? + 1).map(|kept| &kept.notes)
    }

    /// How many are kept, and which of them is looked at, the newest being 0.
    pub fn kept(&self) -> (usize, Option<usize>) {
        (self.kept.len(), self.looked_at)
    }

    /// How often the form was played while these notes were: as far as the last of them.
    pub fn times(notes: &[FreeNote], form: Ticks) -> usize {
        let last = notes.iter().map(|note| note.at).max().unwrap_or_default();
        last.div_floor(form).clamp(0, Course::MOST_CHORUSES as i64 - 1) as usize + 1
    }

    /// The text of the record with this id: what was played, or is being played.
    pub fn record(&self, id: &str) -> Option<String> {
        let id = record::free_of_record(id)?;
        let kept = self.kept.iter().find(|kept| kept.id == id).map(|kept| kept.notes.as_slice());
        let now = Some(self.notes.as_slice()).filter(|notes| self.id == id && !notes.is_empty());
        kept.or(now).map(record::write_free)
    }

    /// Takes what was kept, as ids and texts of records in any order. Gives how many do not read; they are left alone.
    pub fn restore(&mut self, records: &[(String, String)]) -> usize {
        let read = |(id, text): &(String, String)| {
            Some(Kept { id: record::free_of_record(id)?, notes: Rc::new(record::read_free(text).ok()?) })
        };
        let read: Vec<Kept> = records.iter().filter_map(read).collect();
        let unread = records.len() - read.len();
        // Ids ascend with the time at which they were made.
        self.kept.extend(read);
        self.kept.sort_by_key(|kept| std::cmp::Reverse(kept.id));
        self.forget_oldest();
        unread
    }

    /// The ids of the records of all that was played.
    pub fn ids(&self) -> Vec<String> {
        self.kept.iter().map(|kept| record::free_record_id(kept.id)).collect()
    }

    /// Takes in what was kept elsewhere, as [`FreePlay::restore`]; what is new here is to be written. Gives how many of
    /// these stay.
    pub(super) fn take_in(&mut self, records: &[(String, String)]) -> usize {
        let here: Vec<u64> = self.kept.iter().map(|kept| kept.id).collect();
        self.restore(&unknown_played(records, &here));
        let new = self.kept.iter().map(|kept| kept.id).filter(|id| !here.contains(id));
        let new: Vec<u64> = new.collect();
        self.unwritten.extend(&new);
        new.len()
    }

    /// The ids of records that are to be written; each is told once.
    pub fn unwritten(&mut self) -> Vec<String> {
        std::mem::take(&mut self.unwritten).into_iter().map(record::free_record_id).collect()
    }

    /// The ids of records that are to be forgotten; each is told once.
    pub fn gone(&mut self) -> Vec<String> {
        std::mem::take(&mut self.gone).into_iter().map(record::free_record_id).collect()
    }

    fn forget_oldest(&mut self) {
        while self.kept.len() > MOST_KEPT {
            self.gone.extend(self.kept.pop().map(|kept| kept.id));
        }
    }

    fn note_unwritten(&mut self) {
        if !self.unwritten.contains(&self.id) {
            self.unwritten.push(self.id);
        }
    }

    /// From now on everything that is played belongs to a new free chorus.
    pub(super) fn begin(&mut self, form: Ticks) {
        self.end(form);
        self.looked_at = None;
        self.is_playing = true;
        self.id = self.stamp.max(self.id + 1);
    }

    /// What was played is over and stands there, however short it was.
    pub(super) fn end(&mut self, form: Ticks) {
        self.held.clear();
        self.is_playing = false;
        let notes = newest_times(std::mem::take(&mut self.notes), form);
        if notes.is_empty() {
            return;
        }
        self.note_unwritten();
        self.kept.insert(0, Kept { id: self.id, notes: Rc::new(notes) });
        self.looked_at = Some(0);
        self.forget_oldest();
    }
}

/// Of what was played longer than a course can be, the last times through the form, moved to its beginning.
fn newest_times(mut notes: Vec<FreeNote>, form: Ticks) -> Vec<FreeNote> {
    let last = notes.iter().map(|note| note.at.div_floor(form)).max().unwrap_or_default();
    let over = last - (Course::MOST_CHORUSES as i64 - 1);
    // Times that are nowhere near are no music, and moving by them could overflow.
    if (1..1000).contains(&over) {
        notes.retain(|note| note.at >= form * over);
        for note in &mut notes {
            note.at -= form * over;
        }
    }
    notes
}

impl Desk {
    /// What is and was played freely.
    pub fn free(&self) -> &FreePlay {
        &self.free
    }

    /// The same, to be restored and written.
    pub fn free_mut(&mut self) -> &mut FreePlay {
        &mut self.free
    }

    /// Takes a number from which the id of the next free chorus is made: a larger one each time, and no other page's.
    pub fn set_free_stamp(&mut self, stamp: u64) {
        self.free.stamp = stamp;
    }

    /// A key went down `at` this place of the form, counted on through all times.
    pub fn free_down(&mut self, at: Ticks, midi: MidiNote) {
        if self.free.is_playing && self.free.notes.len() < MOST_NOTES {
            self.free.held.push((midi, self.free.notes.len()));
            self.free.notes.push(FreeNote { at, length: self.changes().bars()[0].metre.beat(), midi });
            self.free.note_unwritten();
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

    /// What plays while a free chorus is heard again: the band over the bars in which something was played, once through.
    /// Beside it the place of the form at which that begins.
    pub fn free_plays(&self) -> Option<(ToPlay, Ticks)> {
        let notes = self.free.last()?;
        let mut score = self.score(What::Band);
        let changes = self.changes();
        let form = changes.length();
        (score.count_in, score.intro, score.pickup) = (0, 0, 0);
        score.parts = score.parts.without(Part::Solo);
        let first = notes.iter().map(|note| note.at).min()?;
        let last = notes.iter().map(|note| note.end()).max()?;
        let from = first.max(Ticks::ZERO);
        let times = FreePlay::times(notes, form);
        score.times = Some(times as u32);
        score.looped = 0..changes.bars().len();
        let begins = |bar: usize| changes.bar_start(bar);
        let mut shift = Ticks::ZERO;
        if from.div_floor(form) == (last - Ticks(1)).div_floor(form) {
            // Within one time through: only the bars that were played.
            let time = form * from.div_floor(form);
            let bars = changes.bars().len();
            let bar = (0..bars).rev().find(|bar| begins(*bar) <= from - time).unwrap_or(0);
            let until = (bar + 1..=bars).find(|until| begins(*until) >= last - time).unwrap_or(bars);
            score.looped = bar..until;
            score.times = Some(1);
            shift = time + begins(bar);
        }
        Some((ToPlay { score, tempo: self.tune().tempo }, shift))
    }

    /// What was played, as it is heard again where `begin` is the beginning that [`Desk::free_plays`] gives.
    pub fn free_again(&self, begin: AudioTime, shift: Ticks) -> Vec<(AudioTime, Seconds, MidiNote)> {
        let tempo = self.tune().tempo;
        let one = |note: &FreeNote| {
            (
                begin + tempo.duration(note.at - shift),
                Seconds(tempo.duration(note.length).0.max(0.03)),
                note.midi,
            )
        };
        self.free.last().map_or_else(Vec::new, |notes| notes.iter().map(one).collect())
    }

    pub(super) fn begin_free_chorus(&mut self) -> Result<Done, Refusal> {
        let form = self.changes().length();
        self.free.begin(form);
        Ok(Done::Quietly)
    }

    pub(super) fn end_free_chorus(&mut self) -> Result<Done, Refusal> {
        let form = self.changes().length();
        self.free.end(form);
        Ok(Done::Quietly)
    }

    pub(super) fn forget_free_chorus(&mut self) -> Result<Done, Refusal> {
        self.free.looked_at = None;
        Ok(Done::Quietly)
    }

    pub(super) fn look_at_free_chorus(&mut self, index: usize) -> Result<Done, Refusal> {
        self.free.looked_at = Some(index).filter(|index| *index < self.free.kept.len());
        Ok(Done::Quietly)
    }
}
