//! Chords: a root, a quality and perhaps another bass note.

use std::fmt;

use crate::theory::interval::Interval;
use crate::theory::pitch::NoteName;

/// A chord as a lead sheet names it.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Chord {
    /// The note that the chord is named after.
    pub root: NoteName,
    /// Which notes stand above the root.
    pub quality: Quality,
    /// The bass, where it is not the root (slash chords).
    pub bass: Option<NoteName>,
}

/// What stands above a chord's root, whatever the root is.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Quality {
    /// What is written behind the root in its one ASCII form: "" for a major triad, `m7`, `7b9`.
    suffix: String,
    /// Intervals above the root, ascending; the first is the unison. None where no chord sounds.
    intervals: Vec<Interval>,
}

/// What a chart writes where no chord sounds.
pub const NO_CHORD: &str = "N.C.";

impl Quality {
    /// Intervals above the root, ascending; the first is the unison. None where no chord sounds.
    pub fn intervals(&self) -> &[Interval] {
        &self.intervals
    }

    /// What is written behind the root, in ASCII.
    pub fn suffix(&self) -> &str {
        &self.suffix
    }

    /// Whether the chord has a minor third and no major one, so that its numeral is written small.
    pub fn is_minor(&self) -> bool {
        self.intervals.contains(&Interval::MINOR_THIRD)
    }

    pub(super) fn of(suffix: &str, intervals: &[Interval]) -> Quality {
        Quality { suffix: suffix.to_owned(), intervals: intervals.to_vec() }
    }

    /// Major triad.
    pub fn major() -> Quality {
        Quality::of("", &[Interval::UNISON, Interval::MAJOR_THIRD, Interval::PERFECT_FIFTH])
    }

    /// Minor triad.
    pub fn minor() -> Quality {
        Quality::of("m", &[Interval::UNISON, Interval::MINOR_THIRD, Interval::PERFECT_FIFTH])
    }

    /// Dominant seventh: major triad and minor seventh.
    pub fn dominant_seventh() -> Quality {
        let [root, third, fifth] = [Interval::UNISON, Interval::MAJOR_THIRD, Interval::PERFECT_FIFTH];
        Quality::of("7", &[root, third, fifth, Interval::MINOR_SEVENTH])
    }

    /// Minor seventh: minor triad and minor seventh.
    pub fn minor_seventh() -> Quality {
        let [root, third, fifth] = [Interval::UNISON, Interval::MINOR_THIRD, Interval::PERFECT_FIFTH];
        Quality::of("m7", &[root, third, fifth, Interval::MINOR_SEVENTH])
    }
}

impl Chord {
    /// A chord on its own root.
    pub fn new(root: NoteName, quality: Quality) -> Chord {
        Chord { root, quality, bass: None }
    }

    /// That no chord sounds: it has no notes. `home` is the key's home note, which notes are then told from.
    pub fn none(home: NoteName) -> Chord {
        Chord::new(home, Quality::of("", &[]))
    }

    /// Whether no chord sounds.
    pub fn is_none(&self) -> bool {
        self.quality.intervals.is_empty()
    }

    /// The chord `interval` higher.
    pub fn up(&self, interval: Interval) -> Chord {
        let root = self.root.up(interval);
        // Where more than three accidentals would be needed, root and bass may come to have the same name.
        let bass = self.bass.map(|bass| bass.up(interval)).filter(|bass| *bass != root);
        Chord { root, quality: self.quality.clone(), bass }
    }

    /// The notes from the root upwards, then the bass where it is foreign to the chord.
    pub fn notes(&self) -> Vec<NoteName> {
        let mut notes: Vec<NoteName> =
            self.quality.intervals.iter().map(|interval| self.root.up(*interval)).collect();
        notes.extend(self.bass.filter(|bass| !notes.contains(bass)));
        notes
    }

    /// The interval above the root at which the chord holds the sound of `note` (enharmonic twins count),
    /// or `None` where it does not.
    pub fn degree_of(&self, note: NoteName) -> Option<Interval> {
        let semitones = (note.pitch_class() - self.root.pitch_class()).rem_euclid(12);
        self.quality
            .intervals
            .iter()
            .copied()
            .find(|interval| interval.semitones.rem_euclid(12) == semitones)
            .or_else(|| {
                let bass = self.bass.filter(|bass| bass.pitch_class() == note.pitch_class())?;
                Some(self.root.interval_to(bass))
            })
    }

    /// The symbol as a person reads it: `G7`, `B♭m7`.
    pub fn pretty(&self) -> String {
        if self.is_none() {
            return NO_CHORD.to_owned();
        }
        let suffix = self.quality.suffix.replace('b', "♭").replace('#', "♯");
        let bass = self.bass.map_or(String::new(), |bass| format!("/{}", bass.pretty()));
        format!("{}{suffix}{bass}", self.root.pretty())
    }
}

/// The symbol in ASCII: `G7`, `Bbm7/F`, `N.C.`.
impl fmt::Display for Chord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_none() {
            return f.write_str(NO_CHORD);
        }
        write!(f, "{}{}", self.root, self.quality.suffix)?;
        self.bass.map_or(Ok(()), |bass| write!(f, "/{bass}"))
    }
}
