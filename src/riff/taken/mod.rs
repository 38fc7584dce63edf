//! Taking down: from notes as they were played, in seconds, to the riff that they most likely were.
//!
//! A generative model read backwards. A riff has a rhythm, simple ones being likelier (`prior`); a player plays it at
//! about the tempo that was counted in, a little late or early throughout, with a swing of their own, and each note a
//! little off (`search`); they let go of a note a little before its written end (`ends`). What comes out are the
//! likeliest readings, the best first, each a riff with notes, rests, accents and a pickup (`build`).
//!
//! Source: the switching state space that is searched with a beam of hypotheses is that of A. T. Cemgil and B. Kappen,
//! "Monte Carlo methods for tempo tracking and rhythm quantization", Journal of Artificial Intelligence Research 18,
//! 2003, 45–81; the state and the prior are our own.

mod accents;
mod build;
mod ends;
mod prior;
mod search;

use std::fmt;

use crate::rhythm::metre::Metre;
use crate::riff::Riff;
use crate::theory::key::Key;
use crate::units::{MidiNote, QuartersPerMinute, Seconds, Velocity};

/// A note as it was played, from keys, MIDI, taps or a microphone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Played {
    /// When it began, counted from the bar line of bar 1; negative for what came before it.
    pub onset: Seconds,
    /// When it was let go, on the same clock; `None` where that is not known, as of a tap.
    pub end: Option<Seconds>,
    /// Which note; `None` for a tap, which has a rhythm alone.
    pub midi: Option<MidiNote>,
    /// How hard; `None` where that is not known.
    pub velocity: Option<Velocity>,
}

/// How well the tempo is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tempo {
    /// It was heard while playing: a click or a band.
    Heard,
    /// It was counted in and then kept in mind: within 5 % of it.
    About,
}

/// What is known before anything was played.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Basis {
    /// How fast.
    pub tempo: QuartersPerMinute,
    /// How well that is known.
    pub known: Tempo,
    /// How beats are counted.
    pub metre: Metre,
    /// The key, which the notes are spelled in.
    pub key: Key,
    /// The swing that the player heard, as the place of the off-beat in a beat (see `SwingRatio::off_beat`); `None`
    /// where there was none to hear.
    pub off_beat: Option<f64>,
    /// Whether beats fall into three parts: in a compound metre they always do, in others where the feel is that of 12/8.
    pub thirds: bool,
    /// How many bars the riff is to have from its first bar line on; `None` where what was played decides.
    pub bars: Option<usize>,
}

/// One way to read what was played.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    /// It as a riff, without a name; its id is 0. A tap sounds as the home note.
    pub riff: Riff,
    /// How it differs from the best reading.
    pub way: Way,
    /// How likely it is against the best reading, as a negative natural logarithm: 0 for the best.
    pub cost: f64,
    /// By how much the player was late throughout; negative = early.
    pub late: Seconds,
    /// How fast it was played.
    pub tempo: f64,
    /// Where the player put the second half of a beat, as a fraction of it.
    pub off_beat: f64,
    /// The note that each played note became, by index in the riff; `None` for a crushed one, one of a chord, and one
    /// beyond the longest riff. In the order of `played`.
    pub notes: Vec<Option<usize>>,
}

/// How a reading differs from the best one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Way {
    /// It is the best one.
    Best,
    /// Fewer beats in thirds or quarters.
    Straighter,
    /// More beats in thirds.
    Triplets,
    /// More beats in quarters.
    Finer,
    /// The first note comes earlier.
    Earlier,
    /// The first note comes later.
    Later,
    /// Longer notes, fewer rests.
    Longer,
    /// Shorter notes, more rests.
    Shorter,
    /// Other places in the same divisions.
    Other,
}

impl Way {
    /// Every way with its name in data.
    pub const NAMES: [(Way, &str); 9] = [
        (Way::Best, "best"),
        (Way::Straighter, "straighter"),
        (Way::Triplets, "triplets"),
        (Way::Finer, "finer"),
        (Way::Earlier, "earlier"),
        (Way::Later, "later"),
        (Way::Longer, "longer"),
        (Way::Shorter, "shorter"),
        (Way::Other, "other"),
    ];

    /// Its name in data.
    pub fn name(self) -> &'static str {
        Way::NAMES.iter().find(|(way, _)| *way == self).map_or("other", |(_, name)| name)
    }
}

/// Why nothing can be taken down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Error {
    /// Nothing was played.
    Nothing,
    /// More was played than one riff can hold.
    TooMany {
        /// How many notes.
        found: usize,
    },
    /// A time is not a number, or further than an hour from bar 1.
    Time {
        /// The note, counted from 0.
        index: usize,
    },
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::Nothing => write!(f, "nothing was played"),
            Error::TooMany { found } => {
                write!(f, "{found} notes are more than one riff can hold: {MOST_NOTES} at most")
            }
            Error::Time { index } => write!(f, "note {index}: its time is not within an hour of bar 1"),
        }
    }
}

impl std::error::Error for Error {}

/// The most notes that are taken down at once: every quarter of every beat of the longest riff.
pub const MOST_NOTES: usize = 64;
/// The furthest time, in seconds.
const FURTHEST: f64 = 3600.0;

/// The likeliest readings of `played` (in any order), the best first, at least one and at most `most`. No two are the
/// same riff.
pub fn take_down(played: &[Played], basis: &Basis, most: usize) -> Result<Vec<Taken>, Error> {
    let is_far = |time: f64| !time.is_finite() || time.abs() > FURTHEST;
    let far = |note: &Played| is_far(note.onset.0) || note.end.is_some_and(|end| is_far(end.0));
    if let Some(index) = played.iter().position(far) {
        return Err(Error::Time { index });
    }
    let line = build::line(played);
    if line.is_empty() {
        return Err(Error::Nothing);
    }
    if line.len() > MOST_NOTES {
        return Err(Error::TooMany { found: line.len() });
    }
    let search = search::Search::of(&line, basis);
    let wholes = ends::with_ends(&search, &search.readings());
    let mut taken: Vec<Taken> = Vec::new();
    for whole in &wholes {
        let best = taken.first().zip(wholes.first()).map(|(best, whole)| (best, whole.cost));
        let one = build::taken(&search, &line, played.len(), basis, whole, best);
        if taken.iter().all(|other| !is_same(&other.riff, &one.riff)) {
            taken.push(one);
        }
        if taken.len() >= most.max(1) {
            break;
        }
    }
    Ok(taken)
}

/// Whether two readings are the same to whoever hears or reads them.
fn is_same(one: &Riff, other: &Riff) -> bool {
    (one.start, one.length(), one.notes()) == (other.start, other.length(), other.notes())
}
