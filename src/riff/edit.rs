//! Editing: every change gives a new riff, or says why not, and keeps what is always true of a riff.
//!
//! No edit loses a note that it does not name, but for three: a note written over others takes their place, a rest
//! silences what began in it, and a shorter riff drops what lies beyond its end and says how many that were.

use std::fmt;

use crate::rhythm::grid::Division;
use crate::riff::{Note, Ornament, Riff};
use crate::theory::pitch::Pitch;
use crate::units::Ticks;

/// Why an edit cannot be done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Error {
    /// No note has this index.
    NoSuchNote {
        /// The index asked for, from 0.
        index: usize,
        /// How many notes there are.
        notes: usize,
    },
    /// No beat has this index.
    NoSuchBeat {
        /// The index asked for, from 0.
        beat: usize,
        /// How many beats there are.
        beats: usize,
    },
    /// The place lies before the riff's start or at its end or beyond.
    OutsideRiff {
        /// The place asked for.
        at: Ticks,
        /// How long the riff is.
        length: Ticks,
    },
    /// A note must last some time.
    NoLength,
    /// The pitch lies outside MIDI's range.
    PitchOutOfRange {
        /// The pitch asked for.
        pitch: Pitch,
    },
    /// The note cannot grow: the next note begins where it ends, or the riff is over.
    NoRoom,
    /// The note is as short as its grid allows.
    Shortest,
    /// The note cannot move further: it stands at the riff's first or last step.
    Edge,
    /// More notes begin in the beat than the division has parts.
    TooManyNotes {
        /// Notes that begin in the beat.
        notes: usize,
        /// Parts of the division asked for.
        parts: u8,
    },
    /// A riff has 1 to 16 beats.
    BeatsOutOfRange {
        /// The number asked for.
        beats: usize,
    },
    /// A riff begins at most 16 beats before or after the bar line.
    StartOutOfRange,
    /// The riff holds as many notes as it can.
    Full,
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::NoSuchNote { index, notes } => {
                write!(f, "there is no note {}: the riff has {notes}", index.saturating_add(1))
            }
            Error::NoSuchBeat { beat, beats } => {
                write!(f, "there is no beat {}: the riff has {beats}", beat.saturating_add(1))
            }
            Error::OutsideRiff { at, length } => {
                write!(f, "{at} from the start lies outside the riff, which is {length} long")
            }
            Error::NoLength => write!(f, "a note must last some time"),
            Error::PitchOutOfRange { pitch } => write!(f, "{pitch} lies outside the range of MIDI notes"),
            Error::NoRoom => write!(f, "there is no room: the next note begins there, or the riff ends"),
            Error::Shortest => write!(f, "the note is as short as its grid allows"),
            Error::Edge => write!(f, "the note stands at the edge of the riff"),
            Error::TooManyNotes { notes, parts } => {
                write!(f, "{notes} notes begin in this beat, more than its {parts} parts can hold")
            }
            Error::BeatsOutOfRange { beats } => write!(f, "a riff has 1 to 16 beats, not {beats}"),
            Error::StartOutOfRange => {
                write!(f, "a riff begins at most {} beats before or after the bar line", Riff::MOST_BEATS)
            }
            Error::Full => write!(f, "the riff is full: it holds {} notes", Riff::MOST_NOTES),
        }
    }
}

impl std::error::Error for Error {}

/// A riff in which a note was put somewhere, and the index that it has there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Placed {
    /// The new riff.
    pub riff: Riff,
    /// The note's index in it.
    pub index: usize,
}

/// A riff made longer or shorter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Resized {
    /// The new riff.
    pub riff: Riff,
    /// How many notes lay beyond its end and are gone.
    pub dropped: usize,
}

/// The longest name, in characters.
pub const LONGEST_NAME: usize = 60;

/// Writes `note`. What begins while it lasts is gone, what sounded before it ends where it begins, and the note
/// itself ends with the riff at the latest.
pub fn insert(riff: &Riff, note: Note) -> Result<Placed, Error> {
    check_pitch(note.pitch)?;
    check_ornament(note.ornament)?;
    if note.length <= Ticks::ZERO {
        return Err(Error::NoLength);
    }
    let mut riff = silence(riff, note.onset, note.length)?;
    if riff.notes.len() >= Riff::MOST_NOTES {
        return Err(Error::Full);
    }
    let length = note.length.min(riff.length() - note.onset);
    let index = riff.notes.partition_point(|other| other.onset < note.onset);
    riff.notes.insert(index, Note { length, ..note });
    Ok(Placed { riff, index })
}

/// Leaves room for `length` from `from` on: what begins there is gone, what sounded before ends there.
pub fn silence(riff: &Riff, from: Ticks, length: Ticks) -> Result<Riff, Error> {
    if from < Ticks::ZERO || from >= riff.length() {
        return Err(Error::OutsideRiff { at: from, length: riff.length() });
    }
    // Compared as distances, so that no length overflows.
    let begins_inside = |note: &Note| note.onset >= from && note.onset - from < length;
    let mut notes: Vec<Note> = riff.notes.iter().filter(|note| !begins_inside(note)).cloned().collect();
    if length > Ticks::ZERO {
        end_before(&mut notes, from);
    }
    Ok(with_notes(riff, notes))
}

/// Takes a note out; its room stays.
pub fn remove(riff: &Riff, index: usize) -> Result<Riff, Error> {
    note(riff, index)?;
    let mut notes = riff.notes.clone();
    notes.remove(index);
    Ok(with_notes(riff, notes))
}

/// Takes all notes out.
pub fn clear(riff: &Riff) -> Riff {
    with_notes(riff, Vec::new())
}

/// Makes a note `steps` grid steps longer (negative: shorter), or as many as there is room for. It grows up to the
/// next note and shrinks down to the first step after its onset.
pub fn lengthen(riff: &Riff, index: usize, steps: i32) -> Result<Riff, Error> {
    let (before, last) = (note(riff, index)?, room_end(riff, index));
    let mut end = before.end();
    for _ in 0..steps.unsigned_abs().min(MOST_STEPS) {
        let next = if steps > 0 { riff.step_after(end) } else { riff.step_before(end) };
        match next.map(|next| next.min(last)).filter(|next| *next > before.onset) {
            Some(next) => end = next,
            None => break,
        }
    }
    if steps != 0 && end == before.end() {
        return Err(if steps > 0 { Error::NoRoom } else { Error::Shortest });
    }
    Ok(changed(riff, index, |note| note.length = end - note.onset))
}

/// Makes a note end at the grid step nearest to `at`: after its onset, and before the next note at the latest.
pub fn end_at(riff: &Riff, index: usize, at: Ticks) -> Result<Riff, Error> {
    let onset = note(riff, index)?.onset;
    let last = room_end(riff, index);
    let first = riff.step_after(onset).unwrap_or(last).min(last);
    let end = riff.nearest_step(at).clamp(first, last);
    Ok(changed(riff, index, |note| note.length = end - onset))
}

/// Moves a note by `steps` grid steps (negative: earlier), or as many as there are. Where a neighbour begins on the
/// way, the two exchange places: each takes the other's time and length, so that the rhythm stays. A note that
/// comes close before another is cut short; one that sounds where it comes to ends there.
pub fn shift(riff: &Riff, index: usize, steps: i32) -> Result<Placed, Error> {
    note(riff, index)?;
    let mut placed = Placed { riff: riff.clone(), index };
    for _ in 0..steps.unsigned_abs().min(MOST_STEPS) {
        match if steps > 0 { one_step_later(&placed) } else { one_step_earlier(&placed) } {
            Some(next) => placed = next,
            None => break,
        }
    }
    if steps != 0 && placed.index == index && placed.riff.notes == riff.notes {
        return Err(Error::Edge);
    }
    Ok(placed)
}

/// Puts a note at the free grid step nearest to `at`, past its neighbours where need be: free is a step on which no
/// other note begins. A note that sounds there ends there, and the moved one ends before the next. As a drag passes
/// over other notes, begin each time from the riff before the drag, so that those that were cut grow back.
pub fn place(riff: &Riff, index: usize, at: Ticks) -> Result<Placed, Error> {
    let moved = note(riff, index)?.clone();
    let others = remove(riff, index)?.notes;
    let is_free = |step: &Ticks| *step < riff.length() && others.iter().all(|note| note.onset != *step);
    // Where the grid is full (notes off the grid can do that) the note stays where it was.
    let at = at.clamp(Ticks::ZERO, riff.length());
    let distance = |step: &Ticks| (step.0 - at.0).abs();
    let onset = riff.steps().filter(is_free).min_by_key(distance).unwrap_or(moved.onset);
    let mut notes = others;
    end_before(&mut notes, onset);
    let index = notes.partition_point(|note| note.onset < onset);
    let end = notes.get(index).map_or(riff.length(), |next| next.onset);
    notes.insert(index, Note { onset, length: moved.length.min(end - onset), ..moved });
    Ok(Placed { riff: with_notes(riff, notes), index })
}

/// Gives a note another pitch; a crushed note before it moves along by the same interval, or goes where it would
/// leave MIDI's range.
pub fn repitch(riff: &Riff, index: usize, pitch: Pitch) -> Result<Riff, Error> {
    let interval = note(riff, index)?.pitch.interval_to(pitch);
    check_pitch(pitch)?;
    Ok(changed(riff, index, |note| {
        note.pitch = pitch;
        if let Some(Ornament::Crushed(before)) = note.ornament {
            let before = before.up(interval);
            note.ornament = before.midi().map(|_| Ornament::Crushed(before));
        }
    }))
}

/// Accents a note, or takes its accent away.
pub fn toggle_accent(riff: &Riff, index: usize) -> Result<Riff, Error> {
    note(riff, index)?;
    Ok(changed(riff, index, |note| note.accent = !note.accent))
}

/// Gives a note an ornament, or takes it away with `None`.
pub fn ornament(riff: &Riff, index: usize, ornament: Option<Ornament>) -> Result<Riff, Error> {
    note(riff, index)?;
    check_ornament(ornament)?;
    Ok(changed(riff, index, |note| note.ornament = ornament))
}

/// Divides a beat (index from 0) anew. Notes that begin in it stay in it and in order: each goes to the nearest step
/// of the new grid that leaves a step to every other one; the later of two, so that the off-beat of a beat in halves
/// becomes the last third, where a shuffle plays it. Ends in the beat go to the nearest step after the onset.
pub fn divide(riff: &Riff, beat: usize, division: Division) -> Result<Riff, Error> {
    if beat >= riff.beats() {
        return Err(Error::NoSuchBeat { beat, beats: riff.beats() });
    }
    let start = riff.beat * beat as i64;
    let step = division.step(riff.beat);
    let nearest = |at: Ticks| (at - start + step / 2).div_floor(step);
    let inside = |at: Ticks| at >= start && at < start + riff.beat;
    let members: Vec<usize> = (0..riff.notes.len()).filter(|i| inside(riff.notes[*i].onset)).collect();
    let parts = i64::from(division.parts());
    if members.len() as i64 > parts {
        return Err(Error::TooManyNotes { notes: members.len(), parts: division.parts() });
    }
    let ends: Vec<Ticks> = riff.notes.iter().map(Note::end).collect();
    let mut notes = riff.notes.clone();
    let mut earliest = 0;
    for (done, index) in members.iter().enumerate() {
        let latest = parts - (members.len() - done) as i64;
        let part = nearest(notes[*index].onset).clamp(earliest, latest);
        notes[*index].onset = start + step * part;
        earliest = part + 1;
    }
    for index in 0..notes.len() {
        let limit = notes.get(index + 1).map_or(riff.length(), |next| next.onset);
        let onset = notes[index].onset;
        let end = if inside(ends[index]) { start + step * nearest(ends[index]) } else { ends[index] };
        let end = if end <= onset { onset + step } else { end };
        notes[index].length = end.min(limit) - onset;
    }
    let mut divided = with_notes(riff, notes);
    divided.divisions[beat] = division;
    Ok(divided)
}

/// Makes the riff `beats` long, 1 ..= 16. New beats are divided as the last one was; a note that sounds across the
/// new end stops there, and those beyond it are dropped.
pub fn resize(riff: &Riff, beats: usize) -> Result<Resized, Error> {
    let (Some(last), true) = (riff.divisions.last(), (1..=Riff::MOST_BEATS).contains(&beats)) else {
        return Err(Error::BeatsOutOfRange { beats });
    };
    let mut resized = riff.clone();
    resized.divisions.resize(beats, *last);
    let length = resized.length();
    resized.notes.retain(|note| note.onset < length);
    end_before(&mut resized.notes, length);
    let dropped = riff.notes.len() - resized.notes.len();
    Ok(Resized { riff: resized, dropped })
}

/// Begins the riff `start` after the bar line, before it where negative: at most 16 beats either way.
pub fn begin_at(riff: &Riff, start: Ticks) -> Result<Riff, Error> {
    if !Riff::may_begin(start, riff.beat) {
        return Err(Error::StartOutOfRange);
    }
    Ok(Riff { start, ..riff.clone() })
}

/// Names the riff: at most [`LONGEST_NAME`] characters, none that steer a line (control, line-separating and
/// direction-changing ones), no space at either end. Nothing left means no name.
pub fn rename(riff: &Riff, name: &str) -> Riff {
    Riff { name: clean_name(name), ..riff.clone() }
}

/// What a copy is called: `Salt wind again`, then `Salt wind again 2`, never "again again".
pub fn another_name(name: &str) -> String {
    let (first, number) = match name.rsplit_once(" again") {
        Some((first, "")) => (first, Some(2)),
        Some((first, number)) => {
            (first, number.trim().parse().ok().map(|number: u16| number.saturating_add(1)))
        }
        None => (name, None),
    };
    number.map_or_else(|| format!("{name} again"), |number| format!("{first} again {number}"))
}

/// A name as [`rename`] gives it.
pub fn clean_name(name: &str) -> String {
    let kept: String = name.chars().filter(|c| !steers_text(*c)).collect();
    let name: String = kept.trim().chars().take(LONGEST_NAME).collect();
    name.trim_end().to_owned()
}

/// More steps than any riff has: sixteen beats in eighths, and its end.
const MOST_STEPS: u32 = 129;

/// Unicode's control characters, its two line separators, and the marks that change the direction of writing
/// (UAX #9, explicit formatting characters).
pub(crate) fn steers_text(c: char) -> bool {
    c.is_control() || matches!(c, '\u{2028}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{200E}' | '\u{200F}')
}

fn check_pitch(pitch: Pitch) -> Result<(), Error> {
    pitch.midi().map(|_| ()).ok_or(Error::PitchOutOfRange { pitch })
}

fn check_ornament(ornament: Option<Ornament>) -> Result<(), Error> {
    match ornament {
        Some(Ornament::Crushed(pitch)) => check_pitch(pitch),
        Some(Ornament::Scoop) | None => Ok(()),
    }
}

fn note(riff: &Riff, index: usize) -> Result<&Note, Error> {
    riff.notes.get(index).ok_or(Error::NoSuchNote { index, notes: riff.notes.len() })
}

fn with_notes(riff: &Riff, notes: Vec<Note>) -> Riff {
    let riff = Riff { notes, ..riff.clone() };
    debug_assert!(riff.is_sound(), "an edit must leave a sound riff: {riff:?}");
    riff
}

fn changed(riff: &Riff, index: usize, change: impl FnOnce(&mut Note)) -> Riff {
    let mut notes = riff.notes.clone();
    change(&mut notes[index]);
    with_notes(riff, notes)
}

/// Cuts the note that sounds across `at`, if one does, so that it ends there.
fn end_before(notes: &mut [Note], at: Ticks) {
    for note in notes.iter_mut().filter(|note| note.onset < at && note.end() > at) {
        note.length = at - note.onset;
    }
}

/// Until when note `index` may last: the next note's onset or the riff's end.
fn room_end(riff: &Riff, index: usize) -> Ticks {
    riff.notes.get(index + 1).map_or(riff.length(), |next| next.onset)
}

fn one_step_later(placed: &Placed) -> Option<Placed> {
    let Placed { riff, index } = placed;
    let target = riff.step_after(riff.notes[*index].onset)?;
    let end = room_end(riff, *index);
    if *index + 1 < riff.notes.len() && end <= target {
        return Some(Placed { riff: exchanged(riff, *index), index: index + 1 });
    }
    (target < end).then(|| Placed {
        riff: changed(riff, *index, |note| {
            note.length = note.length.min(end - target);
            note.onset = target;
        }),
        index: *index,
    })
}

fn one_step_earlier(placed: &Placed) -> Option<Placed> {
    let Placed { riff, index } = placed;
    let target = riff.step_before(riff.notes[*index].onset)?;
    if let Some(before) = index.checked_sub(1).filter(|before| riff.notes[*before].onset >= target) {
        return Some(Placed { riff: exchanged(riff, before), index: before });
    }
    let mut notes = riff.notes.clone();
    end_before(&mut notes[..*index], target);
    notes[*index].onset = target;
    Some(Placed { riff: with_notes(riff, notes), index: *index })
}

/// Notes `index` and `index + 1` with their pitches, accents and ornaments exchanged.
fn exchanged(riff: &Riff, index: usize) -> Riff {
    let mut notes = riff.notes.clone();
    notes.swap(index, index + 1);
    let (first, second) = (notes[index + 1].onset, notes[index].onset);
    let (first_length, second_length) = (notes[index + 1].length, notes[index].length);
    notes[index].onset = first;
    notes[index].length = first_length;
    notes[index + 1].onset = second;
    notes[index + 1].length = second_length;
    with_notes(riff, notes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn copies_are_counted() {
        for (name, expected) in [
            ("Salt wind", "Salt wind again"),
            ("Salt wind again", "Salt wind again 2"),
            ("Salt wind again 2", "Salt wind again 3"),
            ("Never against", "Never against again"),
        ] {
            assert_eq!(another_name(name), expected);
        }
    }
}
