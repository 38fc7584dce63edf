//! Checks: what cannot be played where it stands, and how one placement leads to the next.

use crate::chorus::course::Course;
use crate::chorus::placement::Placed;
use crate::theory::interval::Interval;
use crate::units::{MidiNote, Ticks};

/// The lowest and highest pitch that may sound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Range {
    /// The lowest.
    pub lowest: MidiNote,
    /// The highest.
    pub highest: MidiNote,
}

impl Range {
    /// Whether `semitones` above C−1 lies within it.
    pub fn holds(self, semitones: i32) -> bool {
        (i32::from(self.lowest.number())..=i32::from(self.highest.number())).contains(&semitones)
    }
}

/// A hard rule that is broken. Indices count placements in the order given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Problem {
    /// Two placements share time.
    Overlap {
        /// The one that begins first.
        first: usize,
        /// The other.
        second: usize,
        /// How much of the second's time the first takes.
        by: Ticks,
    },
    /// A pickup into bar 1 shares time with the end of another when the chorus comes again.
    OverlapAgain {
        /// The one at the end.
        last: usize,
        /// The pickup.
        pickup: usize,
        /// How much of the pickup's time the other takes.
        by: Ticks,
    },
    /// A placement has a note outside the range.
    BeyondRange {
        /// The placement.
        placement: usize,
    },
    /// A placement begins before the first bar or ends after the last.
    NoRoom {
        /// The placement.
        placement: usize,
    },
}

/// Every hard rule that is broken, by placement; empty where all of it can be played.
pub fn problems(course: &Course, range: Range, placed: &[Placed]) -> Vec<Problem> {
    let mut order: Vec<usize> = (0..placed.len()).collect();
    order.sort_by_key(|index| placed[*index].at());
    let mut problems = Vec::new();
    for (rank, &index) in order.iter().enumerate() {
        let one = &placed[index];
        if one.at() < one.own_start.min(Ticks::ZERO) || one.end() > course.length() {
            problems.push(Problem::NoRoom { placement: index });
        }
        if !one.sounds().all(|sound| range.holds(sound)) {
            problems.push(Problem::BeyondRange { placement: index });
        }
        let later = order[rank + 1..].iter().take_while(|later| placed[**later].at() < one.end());
        problems.extend(later.map(|&second| {
            let by = one.end().min(placed[second].end()) - placed[second].at();
            Problem::Overlap { first: index, second, by }
        }));
    }
    for (pickup, one) in placed.iter().enumerate().filter(|(_, one)| one.hangs_over()) {
        let begins = course.length() + one.at();
        let others = placed.iter().enumerate().filter(|(_, other)| !other.hangs_over());
        let shares = others.filter(|(_, other)| other.end() > begins);
        problems.extend(shares.map(|(last, other)| Problem::OverlapAgain {
            last,
            pickup,
            by: other.end() - begins.max(other.at()),
        }));
    }
    problems
}

/// From one placement to the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Step {
    /// The placement that comes first, by index in the order of time.
    pub from: usize,
    /// From its last note to the first of the next; `None` where one has no notes.
    pub leap: Option<Interval>,
    /// Silence from the end of its last note to the next one's first; negative where they overlap.
    pub gap: Ticks,
}

/// How each placement leads to the next; `placed` in the order of time.
pub fn steps(placed: &[Placed]) -> Vec<Step> {
    let pairs = placed.windows(2).enumerate();
    pairs
        .map(|(from, pair)| {
            let (last, first) = (pair[0].notes().next_back(), pair[1].notes().next());
            let leap = last.zip(first).map(|((_, last), (_, first))| last.pitch.interval_to(first.pitch));
            let silent_from = last.map_or(pair[0].at(), |(at, note)| at + note.length);
            let sounds_from = first.map_or(pair[1].end(), |(at, _)| at);
            Step { from, leap, gap: sounds_from - silent_from }
        })
        .collect()
}
