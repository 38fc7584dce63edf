//! Placements: a riff of the notebook, where it stands, and what is changed there.

use std::fmt;

use crate::chorus::course::Course;
use crate::insight::roles;
use crate::riff::variation::{self, Ground, How};
use crate::riff::{Note, Ornament, Riff, edit};
use crate::theory::interval::Interval;
use crate::units::Ticks;

/// A riff set into the form. The riff in the notebook is never touched.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Placement {
    /// Where the riff begins, from the first bar line of the first chorus. A pickup begins before its bar line.
    pub at: Ticks,
    /// Which riff, by its index among those that were chosen.
    pub riff: usize,
    /// What is changed on the spot.
    pub change: Option<Alteration>,
}

/// What is changed in a riff where it is placed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Alteration {
    /// Every note is moved by this much.
    Transposed(Interval),
    /// A variation: the way and the seed, over the chords at the place.
    Varied {
        /// The way; fitting to the chord and a new ending are among them.
        how: How,
        /// Which variation of that way.
        seed: u64,
    },
}

impl Alteration {
    fn order(self) -> (i32, i32, &'static str, u64) {
        match self {
            Alteration::Transposed(by) => (by.semitones, by.steps, "", 0),
            Alteration::Varied { how, seed } => (0, 0, how.name(), seed),
        }
    }
}

impl PartialOrd for Alteration {
    fn partial_cmp(&self, other: &Alteration) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Alteration {
    fn cmp(&self, other: &Alteration) -> std::cmp::Ordering {
        self.order().cmp(&other.order())
    }
}

/// A placement with the riff that sounds there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Placed {
    /// What was asked for.
    pub placement: Placement,
    /// The riff as it sounds: changed, and with its start counted from the line of the bar in which it begins.
    pub riff: Riff,
    /// Where the riff in the notebook begins relative to its bar line, negative for a pickup.
    pub own_start: Ticks,
}

impl Placed {
    /// Where its beats begin.
    pub fn at(&self) -> Ticks {
        self.placement.at
    }

    /// Where its beats end, rests included.
    pub fn end(&self) -> Ticks {
        self.placement.at + self.riff.length()
    }

    /// The notes with their onsets from the first bar line.
    pub fn notes(&self) -> impl DoubleEndedIterator<Item = (Ticks, &Note)> {
        self.riff.notes().iter().map(|note| (self.placement.at + note.onset, note))
    }

    /// Everything that sounds, in half steps above C−1, crushed notes too.
    pub fn sounds(&self) -> impl Iterator<Item = i32> {
        self.riff.notes().iter().flat_map(|note| {
            let crushed = match note.ornament {
                Some(Ornament::Crushed(pitch)) => Some(pitch.semitones()),
                Some(Ornament::Scoop) | None => None,
            };
            [Some(note.pitch.semitones()), crushed].into_iter().flatten()
        })
    }
}

/// Why a placement cannot be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Error {
    /// There is no such riff.
    NoSuchRiff {
        /// The index asked for.
        found: usize,
        /// How many riffs there are.
        riffs: usize,
    },
    /// The riff would begin before the first bar, or end after the last.
    NoRoom {
        /// Where it would begin.
        at: Ticks,
    },
    /// Transposed, it would leave the range of MIDI.
    OutOfRange,
    /// The variation cannot be made.
    Variation(variation::Error),
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::NoSuchRiff { found, riffs } => {
                write!(f, "there is no riff {found}: expected 0 to {}", riffs.saturating_sub(1))
            }
            Error::NoRoom { at } => {
                write!(f, "a riff {} quarters after the start leaves the form", at.in_quarters())
            }
            Error::OutOfRange => write!(f, "transposed so far, the riff leaves the range of MIDI"),
            Error::Variation(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for Error {}

/// The riff that sounds at a placement.
pub fn place(riffs: &[Riff], course: &Course, placement: &Placement) -> Result<Placed, Error> {
    let at = placement.at;
    let (bar, here) = here(riffs, course, placement)?;
    let own_start = riffs[placement.riff].start;
    let riff = match placement.change {
        None => here,
        Some(Alteration::Transposed(by)) => transposed(&here, by).ok_or(Error::OutOfRange)?,
        Some(Alteration::Varied { how, seed }) => {
            let ground = ground(&here, course, bar);
            variation::vary(how, &here, &ground, seed).map_err(Error::Variation)?.riff
        }
    };
    let placed = Placed { placement: placement.clone(), riff, own_start };
    if placed.end() > course.length() { Err(Error::NoRoom { at }) } else { Ok(placed) }
}

/// Every variation in the way in which a placement is varied, plainest first, and the riff that is varied there; the
/// seed counts through them. `None` where it is not varied.
pub fn variations(
    riffs: &[Riff],
    course: &Course,
    placement: &Placement,
) -> Option<(Riff, Vec<variation::Variation>)> {
    let Some(Alteration::Varied { how, .. }) = placement.change else { return None };
    let (bar, here) = here(riffs, course, placement).ok()?;
    let all = variation::variations(how, &here, &ground(&here, course, bar)).ok()?;
    Some((here, all))
}

/// From the home note to the root of the first chord of bar `bar` of the course, the shorter way: how far a riff goes
/// that moves with the chord. `None` over the home chord.
pub fn with_chord(course: &Course, bar: usize) -> Option<Interval> {
    let bars = course.form().bars().len();
    let chord = &course.changes(bar / bars).bars()[bar % bars].chords[0].chord;
    let up = course.form().key().tonic().interval_to(chord.root);
    match up.semitones {
        0 => None,
        1..=6 => Some(up),
        _ => Some(up - Interval::OCTAVE),
    }
}

/// The bar in which a placement begins, and its riff as begun there.
fn here(riffs: &[Riff], course: &Course, placement: &Placement) -> Result<(usize, Riff), Error> {
    let at = placement.at;
    let riff =
        riffs.get(placement.riff).ok_or(Error::NoSuchRiff { found: placement.riff, riffs: riffs.len() })?;
    if at < Ticks::ZERO || at > course.length() {
        return Err(Error::NoRoom { at });
    }
    let (bar, into_bar) = course.bar_at(at);
    edit::begin_at(riff, into_bar).map(|riff| (bar, riff)).map_err(|_| Error::NoRoom { at })
}

/// The chords that a variation stands on in bar `bar` of the course.
fn ground(riff: &Riff, course: &Course, bar: usize) -> Ground {
    let bars = course.form().bars().len();
    let changes = course.changes(bar / bars);
    let mut ground = Ground::of(riff, changes.clone());
    ground.bar = bar % bars;
    let insights = roles::over(changes, riff, ground.bar);
    ground.rubbing = insights.iter().filter(|insight| insight.rubs.is_some()).map(|i| i.note).collect();
    ground
}

/// Every note moved by `by`; `None` where one leaves the range of MIDI.
pub fn transposed(riff: &Riff, by: Interval) -> Option<Riff> {
    let mut new = riff.clone();
    for (index, note) in riff.notes().iter().enumerate() {
        // A crushed note moves along with its note.
        new = edit::repitch(&new, index, note.pitch.up(by)).ok()?;
    }
    Some(new)
}
