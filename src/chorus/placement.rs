//! Placements: a riff of the notebook, where it stands, and what is changed there.

use std::fmt;

use crate::chorus::course::Course;
use crate::insight::roles;
use crate::riff::variation::{self, Ground, How, Variation};
use crate::riff::{Note, Ornament, Riff, edit};
use crate::theory::interval::Interval;
use crate::units::Ticks;

/// A riff set into the form. The riff in the notebook is never touched.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Placement {
    /// Where the riff begins, from the first bar line of the first chorus. A pickup begins before its bar line, and one
    /// into bar 1 before the first: over the count-in, and over the end of the time before where it comes again.
    pub at: Ticks,
    /// Which riff, by its index among those that were chosen.
    pub riff: usize,
    /// What is changed on the spot, in the order in which it was.
    pub changes: Vec<Alteration>,
}

impl Placement {
    /// The most changes of one placement.
    pub const MOST_CHANGES: usize = 8;
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
    /// The furthest that a riff is moved, in steps of the staff and in half steps: more than any riff can be played.
    pub const FURTHEST: i32 = 127;

    /// Whether it is moved no further than [`Alteration::FURTHEST`].
    pub fn is_in_reach(&self) -> bool {
        let is_near = |by: i32| (-Alteration::FURTHEST..=Alteration::FURTHEST).contains(&by);
        match self {
            Alteration::Transposed(by) => is_near(by.steps) && is_near(by.semitones),
            Alteration::Varied { .. } => true,
        }
    }

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

    /// Whether it hangs over the count-in.
    pub fn hangs_over(&self) -> bool {
        self.at() < Ticks::ZERO
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
    /// The riff would begin before the first bar, other than as a pickup to it, or end after the last.
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
    let (bar, mut riff) = here(riffs, course, placement)?;
    let own_start = riffs[placement.riff].start;
    for change in &placement.changes {
        riff = changed(&riff, course, bar, *change)?.0;
    }
    let placed = Placed { placement: placement.clone(), riff, own_start };
    if placed.end() > course.length() { Err(Error::NoRoom { at }) } else { Ok(placed) }
}

/// One change of a placement as it was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Made {
    /// The riff that was changed.
    pub before: Riff,
    /// What was changed.
    pub change: Alteration,
    /// The variation, where it is one.
    pub variation: Option<Variation>,
}

/// What each change of a placement did, in order, up to the first that cannot be made.
pub fn made(riffs: &[Riff], course: &Course, placement: &Placement) -> Vec<Made> {
    let mut all = Vec::new();
    let Ok((bar, mut before)) = here(riffs, course, placement) else { return all };
    for change in placement.changes.iter().copied() {
        let Ok((riff, variation)) = changed(&before, course, bar, change) else { break };
        all.push(Made { before: std::mem::replace(&mut before, riff), change, variation });
    }
    all
}

/// How many variations there are in the way in which a placement was varied last; the seed counts through them. 0 where
/// its last change is no variation.
pub fn tries(riffs: &[Riff], course: &Course, placement: &Placement) -> usize {
    let Some(Alteration::Varied { how, .. }) = placement.changes.last() else { return 0 };
    let all_made = made(riffs, course, placement);
    let last = all_made.last().filter(|_| all_made.len() == placement.changes.len());
    let (Some(last), Ok((bar, _))) = (last, here(riffs, course, placement)) else { return 0 };
    variation::variations(*how, &last.before, &ground(&last.before, course, bar)).map_or(0, |all| all.len())
}

/// The riff with one change, made over bar `bar` of the course, and the variation where it is one.
fn changed(
    riff: &Riff,
    course: &Course,
    bar: usize,
    change: Alteration,
) -> Result<(Riff, Option<Variation>), Error> {
    match change {
        Alteration::Transposed(by) => Ok((transposed(riff, by).ok_or(Error::OutOfRange)?, None)),
        Alteration::Varied { how, seed } => {
            let ground = ground(riff, course, bar);
            let variation = variation::vary(how, riff, &ground, seed).map_err(Error::Variation)?;
            Ok((variation.riff.clone(), Some(variation)))
        }
    }
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
    if at < riff.start.min(Ticks::ZERO) || at > course.length() {
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
