//! What a variation stands on: key, chords, notes to use, range and longest length.

use crate::form::Changes;
use crate::rhythm::grid::Division;
use crate::riff::{Note, Ornament, Riff, edit};
use crate::theory::chord::Chord;
use crate::theory::key::Key;
use crate::theory::pitch::{NoteName, Pitch};
use crate::theory::scale::ScaleKind;
use crate::theory::spell::Around;
use crate::units::{MidiNote, Ticks};

/// What a variation stands on and keeps to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ground {
    /// The chords, in the key whose tonic is the home note.
    pub changes: Changes,
    /// The bar in which the riff is begun, index from 0.
    pub bar: usize,
    /// The notes to use, in any order; none means all twelve.
    pub notes: Vec<NoteName>,
    /// The lowest pitch; a riff that goes lower itself may be varied down to its own lowest.
    pub lowest: MidiNote,
    /// The highest pitch; likewise.
    pub highest: MidiNote,
    /// The longest that a variation may be, in beats.
    pub most_beats: usize,
    /// The riff's notes that rub, by index, as `insight::roles` tells; only [`How::Fit`](super::How::Fit) asks.
    pub rubbing: Vec<usize>,
}

impl Ground {
    /// All of MIDI's range, up to the longest riff, begun in bar 1, with the notes of the scale that `riff` is in.
    pub fn of(riff: &Riff, changes: Changes) -> Ground {
        let notes = scale_of(riff, changes.key()).notes(changes.key().tonic());
        let bounds = (MidiNote::new(0), MidiNote::new(127));
        let (Some(lowest), Some(highest)) = bounds else { unreachable!("0 and 127 are MIDI notes") };
        Ground { changes, bar: 0, notes, lowest, highest, most_beats: Riff::MOST_BEATS, rubbing: Vec::new() }
    }

    /// The key.
    pub fn key(&self) -> Key {
        self.changes.key()
    }

    /// Whether `new`, made from `original`, is within the range and the length.
    pub(super) fn has_room_for(&self, new: &Riff, original: &Riff) -> bool {
        let lowest = sounds(original).min().unwrap_or(0).min(i32::from(self.lowest.number()));
        let highest = sounds(original).max().unwrap_or(127).max(i32::from(self.highest.number()));
        let longest = self.most_beats.max(original.beats());
        sounds(new).all(|sound| (lowest..=highest).contains(&sound)) && new.beats() <= longest
    }

    /// From the start of the form to `at` in the riff.
    pub(super) fn in_form(&self, riff: &Riff, at: Ticks) -> Ticks {
        self.changes.bar_start(self.bar) + riff.start + at
    }

    /// The chord that sounds at `at` in the riff.
    pub(super) fn chord_at(&self, riff: &Riff, at: Ticks) -> &Chord {
        self.changes.chord_at(self.in_form(riff, at)).chord
    }

    /// The chord of the bar after the one in which `at` lies.
    pub(super) fn chord_of_next_bar(&self, riff: &Riff, at: Ticks) -> &Chord {
        let (bar, _) = self.changes.bar_at(self.in_form(riff, at));
        &self.changes.bars()[(bar + 1) % self.changes.bars().len()].chords[0].chord
    }

    /// The notes to use, as a ladder.
    pub(super) fn ladder(&self) -> Ladder {
        Ladder::new(&self.notes, self.key())
    }

    /// How long a bar is where the riff is begun.
    pub(super) fn bar_length(&self) -> Ticks {
        self.changes.bars()[self.bar % self.changes.bars().len()].metre.bar()
    }
}

/// Everything that sounds, crushed notes too.
fn sounds(riff: &Riff) -> impl Iterator<Item = i32> {
    let crushed = |note: &Note| match note.ornament {
        Some(Ornament::Crushed(pitch)) => Some(pitch),
        Some(Ornament::Scoop) | None => None,
    };
    riff.notes()
        .iter()
        .flat_map(move |note| [Some(note.pitch), crushed(note)])
        .flatten()
        .map(Pitch::semitones)
}

/// The first scale on the home note, from few notes to many, that has every note of the riff.
fn scale_of(riff: &Riff, key: Key) -> ScaleKind {
    use ScaleKind::*;
    const FEW_TO_MANY: [ScaleKind; 9] = [
        MinorPentatonic,
        MajorPentatonic,
        MinorBlues,
        MajorBlues,
        Mixolydian,
        Dorian,
        Major,
        NaturalMinor,
        HarmonicMinor,
    ];
    let holds_all = |scale: &ScaleKind| {
        let classes: Vec<i32> = scale.notes(key.tonic()).iter().map(|name| name.pitch_class()).collect();
        riff.notes().iter().all(|note| classes.contains(&note.pitch.name.pitch_class()))
    };
    FEW_TO_MANY.into_iter().find(holds_all).unwrap_or(Chromatic)
}

/// The notes to use through all octaves, so that pitches can be counted in scale steps.
pub(super) struct Ladder {
    rungs: Vec<Pitch>,
    key: Key,
}

/// A place on the ladder: a rung, and half steps above it for a note that is not in the scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Rung {
    pub index: i32,
    pub above: i32,
}

impl Ladder {
    fn new(notes: &[NoteName], key: Key) -> Ladder {
        let all = ScaleKind::Chromatic.notes(key.tonic());
        let names = if notes.is_empty() { &all } else { notes };
        let every = MIDI.filter_map(|sound| {
            let midi = MidiNote::new(sound)?;
            names.iter().find_map(|name| Pitch::of_name(*name, midi))
        });
        Ladder { rungs: every.collect(), key }
    }

    /// Where `pitch` stands; `None` below the lowest rung.
    pub fn rung(&self, pitch: Pitch) -> Option<Rung> {
        let below =
            self.rungs.partition_point(|rung| rung.semitones() <= pitch.semitones()).checked_sub(1)?;
        let above = pitch.semitones() - self.rungs[below].semitones();
        Some(Rung { index: below as i32, above })
    }

    /// The pitch of a rung, spelled as the notes to use are, or as blues in the key is; `None` off the ladder.
    pub fn pitch(&self, rung: Rung) -> Option<Pitch> {
        let base = self.rungs.get(usize::try_from(rung.index).ok()?)?;
        if rung.above == 0 {
            return Some(*base);
        }
        spelled(self.key, base.semitones() + rung.above)
    }

    /// `pitch` moved by scale steps; a note that is not in the scale keeps its distance to the note beneath it.
    pub fn moved(&self, pitch: Pitch, steps: i32) -> Option<Pitch> {
        let rung = self.rung(pitch)?;
        self.pitch(Rung { index: rung.index + steps, ..rung })
    }

    /// The nearest scale note above `pitch`.
    pub fn above(&self, pitch: Pitch) -> Option<Pitch> {
        self.rungs.iter().copied().find(|rung| rung.semitones() > pitch.semitones())
    }

    /// The nearest scale note below `pitch`.
    pub fn below(&self, pitch: Pitch) -> Option<Pitch> {
        self.rungs.iter().rev().copied().find(|rung| rung.semitones() < pitch.semitones())
    }
}

const MIDI: std::ops::RangeInclusive<i32> = 0..=127;

/// The pitch that sounds `semitones` above C−1, spelled as blues in `key` spells it; `None` outside MIDI's range.
pub(super) fn spelled(key: Key, semitones: i32) -> Option<Pitch> {
    Some(Around::key(key).spell(MidiNote::new(semitones)?))
}

/// The pitch called `name` that is nearest to `pitch`, the lower of two; `None` where it leaves MIDI's range.
pub(super) fn nearest(name: NoteName, pitch: Pitch) -> Option<Pitch> {
    let up = (name.pitch_class() - pitch.semitones()).rem_euclid(12);
    let by = if up < 6 { up } else { up - 12 };
    Pitch::of_name(name, MidiNote::new(pitch.semitones() + by)?)
}

/// `original` with other notes: sorted, in as many beats, each divided as the original's beat was where the notes
/// in it allow that, and otherwise as plainly as they do. `None` where no division fits or the notes do not.
pub(super) fn with_notes(original: &Riff, notes: Vec<Note>) -> Option<Riff> {
    rebuilt(original, original.start, original.divisions(), notes)
}

/// As [`with_notes`], begun at `start`, and with the divisions that are wished for, one a beat.
pub(super) fn rebuilt(
    original: &Riff,
    start: Ticks,
    wished: &[Division],
    mut notes: Vec<Note>,
) -> Option<Riff> {
    notes.sort_by_key(|note| note.onset);
    let beat = original.beat();
    let divisions = wished.iter().enumerate().map(|(index, division)| {
        let from = beat * index as i64;
        let onsets: Vec<Ticks> = notes.iter().map(|note| note.onset - from).collect();
        let inside = onsets.iter().filter(|at| (Ticks::ZERO..beat).contains(at));
        division_for(beat, *division, inside.copied().collect::<Vec<_>>().as_slice())
    });
    let divisions: Vec<Division> = divisions.collect::<Option<_>>()?;
    Riff::from_parts(original.id, original.name.clone(), start, beat, divisions, notes)
}

/// The division of a beat in which every onset stands on a step: the wished one where it does, else the plainest.
fn division_for(beat: Ticks, wished: Division, onsets: &[Ticks]) -> Option<Division> {
    const PLAINEST_FIRST: [u8; 7] = [2, 3, 4, 6, 8, 5, 7];
    let holds =
        |division: &Division| onsets.iter().all(|at| at.rem_floor(division.step(beat)) == Ticks::ZERO);
    let others = PLAINEST_FIRST.into_iter().filter_map(Division::new);
    [wished].into_iter().chain(others).find(holds)
}

/// Every note with its pitch changed; `None` where one cannot be. A crushed note moves along.
pub(super) fn repitched(riff: &Riff, change: impl Fn(usize, Pitch) -> Option<Pitch>) -> Option<Riff> {
    let mut new = riff.clone();
    for (index, note) in riff.notes().iter().enumerate() {
        new = edit::repitch(&new, index, change(index, note.pitch)?).ok()?;
    }
    Some(new)
}
