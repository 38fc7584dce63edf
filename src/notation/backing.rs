//! What those read who accompany while one plays alone: plain parts made from the chords of a form, that a mixed class can
//! play at sight.

use crate::band::voicing::Hands;
use crate::form::Changes;
use crate::notation::Part;
use crate::riff::Note;
use crate::theory::chord::Chord;
use crate::theory::instrument::{Clef, Reading};
use crate::theory::interval::Interval;
use crate::theory::key::{Key, Mode};
use crate::theory::pitch::{NoteName, Pitch, Step};
use crate::units::{MidiNote, Ticks};

/// A part that accompanies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Backing {
    /// The third and the seventh of each chord, or what stands for them, held through the bar.
    Chords,
    /// The root of each chord, held through the bar.
    Roots,
    /// The root of each chord, then its fifth.
    RootsAndFifths,
    /// Claps on the beats that a drummer's backbeat falls on.
    Claps,
}

/// The lowest note of the bass, E2: all of it lies within the octave above, so that nobody reaches far (common practice, no
/// source).
const LOWEST: i32 = 40;

impl Backing {
    /// Every part, in the order in which they are handed out.
    pub const ALL: [Backing; 4] = [Backing::Chords, Backing::Roots, Backing::RootsAndFifths, Backing::Claps];

    /// The name in data.
    pub fn name(self) -> &'static str {
        match self {
            Backing::Chords => "chords",
            Backing::Roots => "roots",
            Backing::RootsAndFifths => "fifths",
            Backing::Claps => "claps",
        }
    }

    /// The part with this name in data.
    pub fn named(name: &str) -> Option<Backing> {
        Backing::ALL.into_iter().find(|backing| backing.name() == name)
    }

    /// The clef that the part stands in for who reads `clef`.
    pub fn clef(self, clef: Clef) -> Clef {
        if self == Backing::Claps { Clef::Percussion } else { clef }
    }

    /// How the part is written where `key` sounds for who reads `part`: moved by octaves to where they are at home. Claps
    /// need no key.
    pub fn reading(self, part: Part, key: Key, sounding: &[Pitch]) -> (Reading, Clef) {
        let reading = match self {
            Backing::Claps => Reading::concert(Key::of_signature(0, Mode::Major)),
            _ => part.own_reading(key, sounding),
        };
        (reading, self.clef(part.clef))
    }

    /// What is played over `changes`, once through, at the pitch at which it is first thought of, and with each note the
    /// one that is struck with it. Who reads it may play it octaves higher or lower. Claps have the pitch of the middle
    /// line of their staff.
    ///
    /// Source: the third and the seventh tell a chord, the bass has its root, hands clap on 2 and 4: common practice, no
    /// source. Voices move as the band's do ([`Hands::through`]).
    pub(super) fn notes(self, changes: &Changes) -> Vec<(Note, Option<Pitch>)> {
        let stretches: Vec<Stretch> = stretches(changes);
        match self {
            Backing::Chords => two_notes(&stretches),
            Backing::Roots => roots(&stretches),
            Backing::RootsAndFifths => stretches.iter().flat_map(root_and_fifth).collect(),
            Backing::Claps => claps(changes),
        }
    }
}

/// A chord from where it begins to the next one or the bar line.
struct Stretch<'a> {
    chord: &'a Chord,
    from: Ticks,
    to: Ticks,
    beat: Ticks,
}

fn stretches(changes: &Changes) -> Vec<Stretch<'_>> {
    let ends = changes.places().skip(1).map(|place| place.at).chain([changes.length()]);
    let beat = |bar: usize| changes.bars()[bar].metre.beat();
    let places = changes.places().zip(ends);
    places
        .map(|(place, to)| Stretch { chord: place.chord, from: place.at, to, beat: beat(place.bar) })
        .collect()
}

fn note(from: Ticks, to: Ticks, pitch: Pitch) -> Note {
    Note { onset: from, length: to - from, pitch, accent: false, ornament: None }
}

/// The upper note, and the lower one with it.
fn two_notes(stretches: &[Stretch]) -> Vec<(Note, Option<Pitch>)> {
    let chords: Vec<&Chord> = stretches.iter().map(|stretch| stretch.chord).collect();
    let led = Hands::NARROW.through(&chords);
    let spelled = |(stretch, voices): (&Stretch, Vec<i32>)| {
        let mut pitches = voices.iter().rev().filter_map(|midi| spelled(stretch.chord, *midi));
        let upper = pitches.next()?;
        Some((note(stretch.from, stretch.to, upper), pitches.next()))
    };
    stretches.iter().zip(led).filter_map(spelled).collect()
}

/// The chord's own name for a note that sounds so.
fn spelled(chord: &Chord, midi: i32) -> Option<Pitch> {
    let name = chord.notes().into_iter().find(|name| name.pitch_class() == midi.rem_euclid(12))?;
    Pitch::of_name(name, MidiNote::new(midi)?)
}

/// A name in the octave from [`LOWEST`] upwards.
fn low(name: NoteName) -> Option<Pitch> {
    let midi = LOWEST + (name.pitch_class() - LOWEST).rem_euclid(12);
    Pitch::of_name(name, MidiNote::new(midi)?)
}

/// The root, or the bass that the symbol names; none where no chord sounds.
fn root(chord: &Chord) -> Option<Pitch> {
    if chord.is_none() { None } else { low(chord.bass.unwrap_or(chord.root)) }
}

fn roots(stretches: &[Stretch]) -> Vec<(Note, Option<Pitch>)> {
    let one = |stretch: &Stretch| Some((note(stretch.from, stretch.to, root(stretch.chord)?), None));
    stretches.iter().filter_map(one).collect()
}

/// The root for the first half, or a beat more, then the fifth; the root again where the chord has none, and alone where
/// there is but a beat.
fn root_and_fifth(stretch: &Stretch) -> Vec<(Note, Option<Pitch>)> {
    let Some(first) = root(stretch.chord) else { return Vec::new() };
    let beats = (stretch.to - stretch.from).div_floor(stretch.beat);
    if beats < 2 {
        return vec![(note(stretch.from, stretch.to, first), None)];
    }
    let half = stretch.from + stretch.beat * ((beats + 1) / 2);
    let fifth = fifth(stretch.chord).unwrap_or(first);
    vec![(note(stretch.from, half, first), None), (note(half, stretch.to, fifth), None)]
}

/// The chord's fifth, also in the octave from [`LOWEST`] upwards: above a low root, below a high one.
fn fifth(chord: &Chord) -> Option<Pitch> {
    let intervals = chord.quality.intervals();
    let interval = intervals.iter().find(|interval| interval.steps == Interval::PERFECT_FIFTH.steps)?;
    low(chord.root.up(*interval))
}

/// A clap on every second beat of a bar, on 2 and 3 where there are three, on the only one where there is one.
fn claps(changes: &Changes) -> Vec<(Note, Option<Pitch>)> {
    let mut claps = Vec::new();
    for (index, bar) in changes.bars().iter().enumerate() {
        let (line, beat, beats) = (changes.bar_start(index), bar.metre.beat(), bar.metre.beats());
        let is_clapped = |count: &u8| match beats {
            1 => true,
            3 => *count > 1,
            _ => count.is_multiple_of(2),
        };
        for count in (1..=beats).filter(is_clapped) {
            let from = line + beat * i64::from(count - 1);
            claps.push((note(from, from + beat, MIDDLE), None));
        }
    }
    claps
}

/// The middle line of a staff for what has no pitch: as in treble clef.
const MIDDLE: Pitch = Pitch::new(Step::B, 0, 4);
