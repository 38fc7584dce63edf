//! The commands that change the riff on the desk.

use std::rc::Rc;

use crate::desk::{Desk, Done, Refusal};
use crate::rhythm::grid::Division;
use crate::riff::{Note, Riff, edit};
use crate::theory::pitch::Pitch;
use crate::theory::spell::Around;
use crate::units::{MidiNote, Ticks};

/// How a note that is written was struck.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Stroke {
    Plain,
    Accent,
}

impl Desk {
    /// The chosen riff, to be written on: it must wait while a variation of it is being tried.
    fn riff_to_write(&self) -> Result<Riff, Refusal> {
        if self.varied().is_some() { Err(Refusal::BeingVaried) } else { Ok((**self.riff()).clone()) }
    }

    pub(super) fn move_cursor(&mut self, steps: i32) -> Result<Done, Refusal> {
        let riff = Rc::clone(self.riff());
        for _ in 0..steps.unsigned_abs().min(1000) {
            let cursor = self.session.cursor;
            let next = if steps > 0 { riff.step_after(cursor) } else { riff.step_before(cursor) };
            let Some(next) = next else { break };
            self.session.cursor = next;
        }
        self.session.selected = riff.note_at(self.session.cursor);
        Ok(Done::Quietly)
    }

    pub(super) fn place_cursor(&mut self, tick: i64) -> Result<Done, Refusal> {
        self.session.cursor = self.riff().nearest_step(Ticks(tick));
        self.session.selected = self.riff().note_at(self.session.cursor);
        Ok(Done::Quietly)
    }

    pub(super) fn select_note(&mut self, index: Option<usize>) -> Result<Done, Refusal> {
        let riff = Rc::clone(self.riff());
        let note = index.and_then(|index| riff.notes().get(index));
        self.session.selected = index.filter(|_| note.is_some());
        if let Some(note) = note {
            self.session.cursor = riff.nearest_step(note.onset);
        }
        Ok(Done::Quietly)
    }

    /// Writes a note of one grid step at the cursor and moves on. At the end of the riff there is no room; a riff of
    /// full length says so, a shorter one grows by a beat.
    pub(super) fn enter(&mut self, midi: u8, stroke: Stroke) -> Result<Done, Refusal> {
        let mut riff = self.riff_to_write()?;
        if self.session.cursor >= riff.length() {
            if riff.beats() >= Riff::MOST_BEATS {
                return Err(Refusal::AtTheEnd);
            }
            riff = edit::resize(&riff, riff.beats() + 1).map_err(Refusal::Edit)?.riff;
        }
        let onset = self.session.cursor;
        let end = riff.step_after(onset).unwrap_or(riff.length());
        let pitch = self.spelled(&riff, midi, onset).ok_or(Refusal::NoNote)?;
        let accent = stroke == Stroke::Accent;
        let note = Note { onset, length: end - onset, pitch, accent, ornament: None };
        let placed = edit::insert(&riff, note).map_err(Refusal::Edit)?;
        self.put(placed.riff)?;
        self.session.cursor = end;
        self.session.selected = None;
        Ok(Done::Quietly)
    }

    pub(super) fn rest(&mut self) -> Result<Done, Refusal> {
        let riff = self.riff_to_write()?;
        let from = self.session.cursor;
        let end = riff.step_after(from).ok_or(Refusal::AtTheEnd)?;
        self.put(edit::silence(&riff, from, end - from).map_err(Refusal::Edit)?)?;
        self.session.cursor = end;
        self.session.selected = None;
        Ok(Done::Quietly)
    }

    pub(super) fn toggle_accent(&mut self) -> Result<Done, Refusal> {
        let riff = self.riff_to_write()?;
        let index = self.target().ok_or(Refusal::NoNote)?;
        self.put(edit::toggle_accent(&riff, index).map_err(Refusal::Edit)?)
    }

    pub(super) fn lengthen(&mut self, steps: i32) -> Result<Done, Refusal> {
        let riff = self.riff_to_write()?;
        let index = self.target().ok_or(Refusal::NoNote)?;
        let longer = edit::lengthen(&riff, index, steps).map_err(Refusal::Edit)?;
        let end = longer.notes()[index].end();
        let writing_on = self.session.selected.is_none() && self.session.cursor >= riff.notes()[index].end();
        self.put(longer)?;
        if writing_on {
            // The cursor stays behind the note that is being written.
            self.session.cursor = end;
        }
        Ok(Done::Quietly)
    }

    pub(super) fn delete_note(&mut self) -> Result<Done, Refusal> {
        let riff = self.riff_to_write()?;
        let index = self.target().ok_or(Refusal::NoNote)?;
        let onset = riff.notes()[index].onset;
        self.put(edit::remove(&riff, index).map_err(Refusal::Edit)?)?;
        self.session.cursor = onset;
        self.session.selected = None;
        Ok(Done::Quietly)
    }

    pub(super) fn divide(&mut self, beat: usize, parts: u8) -> Result<Done, Refusal> {
        let riff = self.riff_to_write()?;
        let division = Division::new(parts).ok_or_else(|| Refusal::unknown(&parts.to_string()))?;
        self.put(edit::divide(&riff, beat, division).map_err(Refusal::Edit)?)
    }

    /// Divides the beat at the cursor and the empty beats behind it.
    pub(super) fn divide_from_here(&mut self, parts: u8) -> Result<Done, Refusal> {
        let riff = self.riff_to_write()?;
        let division = Division::new(parts).ok_or_else(|| Refusal::unknown(&parts.to_string()))?;
        let here = self.session.cursor.div_floor(riff.beat()).clamp(0, riff.beats() as i64 - 1) as usize;
        let mut divided = edit::divide(&riff, here, division).map_err(Refusal::Edit)?;
        for beat in here + 1..riff.beats() {
            let (from, to) = (riff.beat() * beat as i64, riff.beat() * (beat as i64 + 1));
            if riff.notes().iter().any(|note| note.onset < to && from < note.end()) {
                break;
            }
            divided = edit::divide(&divided, beat, division).map_err(Refusal::Edit)?;
        }
        self.put(divided)
    }

    pub(super) fn move_note(
        &mut self,
        mut index: usize,
        steps: i32,
        pitch: i32,
        in_scale: bool,
    ) -> Result<Done, Refusal> {
        let mut riff = self.riff_to_write()?;
        if steps != 0 {
            let placed = edit::shift(&riff, index, steps).map_err(Refusal::Edit)?;
            (riff, index) = (placed.riff, placed.index);
        }
        if pitch != 0 {
            let note = riff.notes().get(index).ok_or(Refusal::NoNote)?;
            let now = note.pitch.semitones();
            let target =
                if in_scale { self.in_material(now, pitch, note.onset) } else { now.saturating_add(pitch) };
            let midi = u8::try_from(target).map_err(|_| Refusal::NoNote)?;
            let spelled = self.spelled(&riff, midi, note.onset).ok_or(Refusal::NoNote)?;
            riff = edit::repitch(&riff, index, spelled).map_err(Refusal::Edit)?;
        }
        self.put(riff)?;
        self.session.selected = Some(index);
        Ok(Done::Quietly)
    }

    pub(super) fn drag(&mut self, index: usize, tick: i64, midi: u8) -> Result<Done, Refusal> {
        let riff = self.riff_to_write()?;
        let placed = edit::place(&riff, index, riff.nearest_step(Ticks(tick))).map_err(Refusal::Edit)?;
        let onset = placed.riff.notes()[placed.index].onset;
        let pitch = self.spelled(&placed.riff, midi, onset).ok_or(Refusal::NoNote)?;
        self.put(edit::repitch(&placed.riff, placed.index, pitch).map_err(Refusal::Edit)?)?;
        self.session.selected = Some(placed.index);
        Ok(Done::Quietly)
    }

    pub(super) fn stretch(&mut self, index: usize, tick: i64) -> Result<Done, Refusal> {
        let riff = self.riff_to_write()?;
        let end = riff.nearest_step(Ticks(tick));
        self.put(edit::end_at(&riff, index, end).map_err(Refusal::Edit)?)?;
        self.session.selected = Some(index);
        Ok(Done::Quietly)
    }

    pub(super) fn set_beats(&mut self, beats: usize) -> Result<Done, Refusal> {
        let resized = edit::resize(&self.riff_to_write()?, beats).map_err(Refusal::Edit)?;
        self.put(resized.riff)?;
        Ok(if resized.dropped > 0 { Done::Dropped { notes: resized.dropped } } else { Done::Quietly })
    }

    pub(super) fn set_start(&mut self, quarters: f64) -> Result<Done, Refusal> {
        let start = Ticks::from_quarters(quarters).ok_or(Refusal::Edit(edit::Error::StartOutOfRange))?;
        self.put(edit::begin_at(&self.riff_to_write()?, start).map_err(Refusal::Edit)?)
    }

    pub(super) fn clear_riff(&mut self) -> Result<Done, Refusal> {
        self.put(edit::clear(&self.riff_to_write()?))?;
        self.session.cursor = Ticks::ZERO;
        self.session.selected = None;
        Ok(Done::Quietly)
    }

    /// The note in use that lies `steps` notes above `from`.
    fn in_material(&self, from: i32, steps: i32, onset: Ticks) -> i32 {
        let changes = self.changes();
        let chord = changes.chord_at(self.at_in_form(&changes, onset)).chord.clone();
        let used = self.tune().material.notes(self.tune().key, &chord);
        let is_used = |midi: i32| used.iter().any(|name| name.pitch_class() == midi.rem_euclid(12));
        let mut midi = from;
        for _ in 0..steps.unsigned_abs().min(24) {
            midi += steps.signum();
            while !is_used(midi) && (0..128).contains(&midi) {
                midi += steps.signum();
            }
        }
        midi
    }

    fn at_in_form(&self, changes: &crate::form::Changes, onset: Ticks) -> Ticks {
        changes.bar_start(self.session.bar) + self.riff().start + onset
    }

    /// How a note that comes without a spelling is written at `onset` of `riff`.
    pub(super) fn spelled(&self, riff: &Riff, midi: u8, onset: Ticks) -> Option<Pitch> {
        let midi = MidiNote::new(i32::from(midi))?;
        let changes = self.changes();
        let chord = changes.chord_at(self.at_in_form(&changes, onset)).chord;
        let before = riff.notes().iter().rev().find(|note| note.onset < onset);
        let after = riff.notes().iter().find(|note| note.onset > onset);
        let around = Around {
            key: self.tune().key,
            chord: Some(chord),
            before: before.and_then(|note| note.pitch.midi()),
            after: after.and_then(|note| note.pitch.midi()),
        };
        Some(around.spell(midi))
    }
}
