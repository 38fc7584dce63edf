//! A riff: a short idea of a few beats, rests included.

pub mod difference;
pub mod edit;
pub mod labels;
pub mod steps;
pub mod taken;
pub mod variation;

use crate::rhythm::grid::Division;
use crate::rhythm::metre::Metre;
use crate::theory::pitch::Pitch;
use crate::units::Ticks;

/// A riff's id for life, 64 random bits made outside the core.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RiffId(pub u64);

/// Reads an id of 16 hexadecimal digits.
pub fn read_id(text: &str) -> Option<RiffId> {
    let hex = text.len() == 16 && text.bytes().all(|byte| byte.is_ascii_hexdigit());
    hex.then(|| u64::from_str_radix(text, 16).ok().map(RiffId)).flatten()
}

/// An id as 16 hexadecimal digits.
pub fn write_id(id: RiffId) -> String {
    format!("{:016x}", id.0)
}

/// One note of a riff.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Note {
    /// When it begins, counted from the riff's start; 0 or more.
    pub onset: Ticks,
    /// How long it lasts; more than 0.
    pub length: Ticks,
    /// What sounds.
    pub pitch: Pitch,
    /// Whether it is played louder.
    pub accent: bool,
    /// How it is entered, where not plainly.
    pub ornament: Option<Ornament>,
}

impl Note {
    /// When it ends, counted from the riff's start.
    pub fn end(&self) -> Ticks {
        self.onset + self.length
    }
}

/// How a note is entered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ornament {
    /// A crushed (grace) note right before it, as short as can be.
    Crushed(Pitch),
    /// Slid into from a little below.
    Scoop,
}

impl Ornament {
    /// Whether its own note, if it has one, lies within MIDI's range.
    fn is_playable(self) -> bool {
        match self {
            Ornament::Crushed(pitch) => pitch.midi().is_some(),
            Ornament::Scoop => true,
        }
    }
}

/// A short idea: a whole number of beats, a division for each, and notes of one voice in order.
///
/// Always true, whatever a riff was read from (a record, a link, ABC text) and whatever was done to it:
///
/// - there is at least one beat and at most [`Riff::MOST_BEATS`], each as long as a beat of some metre;
/// - it begins at most as many beats before or after the bar line ([`Riff::may_begin`]);
/// - there are at most [`Riff::MOST_NOTES`] notes, sorted, without overlap, within the riff, all of them notes of MIDI;
/// - its name is one that [`edit::rename`] gives.
///
/// These are the bounds of every reader: each reads into [`Riff::from_parts`], and every riff can be written in each
/// format.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Riff {
    /// Its id.
    pub id: RiffId,
    /// Its name, as a person wrote it.
    pub name: String,
    /// Where it begins relative to a bar line; negative is a pickup.
    pub start: Ticks,
    /// The length of a beat: a quarter, or a dotted quarter in compound metres.
    beat: Ticks,
    divisions: Vec<Division>,
    notes: Vec<Note>,
}

impl Riff {
    /// The longest that a riff may be, in beats.
    pub const MOST_BEATS: usize = 16;
    /// The most notes: as many as a link counts in a byte, and nearly twice as many as the finest grid has steps.
    pub const MOST_NOTES: usize = 255;

    /// An empty riff of `beats` beats (brought to 1 ..= 16), each in halves (thirds where the beat is dotted).
    pub fn empty(id: RiffId, beat: Ticks, beats: usize) -> Riff {
        let division = if beat == Ticks::QUARTER { Division::HALVES } else { Division::THIRDS };
        let beats = beats.clamp(1, Riff::MOST_BEATS);
        Riff {
            id,
            name: String::new(),
            start: Ticks::ZERO,
            beat,
            divisions: vec![division; beats],
            notes: Vec::new(),
        }
    }

    /// A riff from its parts, or `None` where they break what is always true of a riff. The name is brought to what a
    /// name may be.
    pub fn from_parts(
        id: RiffId,
        name: String,
        start: Ticks,
        beat: Ticks,
        divisions: Vec<Division>,
        notes: Vec<Note>,
    ) -> Option<Riff> {
        let riff = Riff { id, name: edit::clean_name(&name), start, beat, divisions, notes };
        riff.is_sound().then_some(riff)
    }

    /// The same under another id.
    #[must_use]
    pub fn with_id(self, id: RiffId) -> Riff {
        Riff { id, ..self }
    }

    /// The notes, in order.
    pub fn notes(&self) -> &[Note] {
        &self.notes
    }

    /// The division of each beat, in order.
    pub fn divisions(&self) -> &[Division] {
        &self.divisions
    }

    /// The length of a beat.
    pub fn beat(&self) -> Ticks {
        self.beat
    }

    /// How many beats long.
    pub fn beats(&self) -> usize {
        self.divisions.len()
    }

    /// How long, rests included.
    pub fn length(&self) -> Ticks {
        self.beat * self.divisions.len() as i64
    }

    /// The division of the beat in which `at`, counted from the riff's start, lies; beyond the end that of the last.
    pub fn division_at(&self, at: Ticks) -> Division {
        let beat = at.div_floor(self.beat).clamp(0, self.divisions.len() as i64 - 1);
        self.divisions[beat as usize]
    }

    /// Whether a riff in beats of this length may begin `start` after the bar line, before it where negative: at most
    /// [`Riff::MOST_BEATS`] beats either way.
    pub fn may_begin(start: Ticks, beat: Ticks) -> bool {
        let furthest = beat * Riff::MOST_BEATS as i64;
        (-furthest..=furthest).contains(&start)
    }

    fn is_sound(&self) -> bool {
        // In this order: what is out of bounds is refused before it is added up, so that no sum overflows.
        Metre::of_beat(self.beat).is_some()
            && (1..=Riff::MOST_BEATS).contains(&self.divisions.len())
            && Riff::may_begin(self.start, self.beat)
            && self.notes.len() <= Riff::MOST_NOTES
            && self.notes.iter().all(|note| self.holds(note))
            && self.notes.windows(2).all(|pair| pair[0].end() <= pair[1].onset)
    }

    fn holds(&self, note: &Note) -> bool {
        note.onset >= Ticks::ZERO
            && note.onset < self.length()
            && note.length > Ticks::ZERO
            && note.length <= self.length() - note.onset
            && note.pitch.midi().is_some()
            && note.ornament.is_none_or(Ornament::is_playable)
    }
}
