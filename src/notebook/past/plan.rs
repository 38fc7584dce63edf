//! Ten minutes for today: what is due and what was begun, in turns, and a known riff in another key.
//!
//! Turns of two minutes that alternate, since going back and forth between pieces tended to serve better the next day
//! than one long block each (C. E. Carter and J. A. Grahn, "Optimizing music learning: exploring how blocked and
//! interleaved practice schedules affect advanced performance", Frontiers in Psychology 7:1251, 2016: ten clarinettists,
//! turns of three minutes; others found no difference, so this is a habit to offer and no law). Two minutes are our own.

use crate::notebook::past::known::{Standing, known, review, standing};
use crate::notebook::past::{KeptPass, Past};
use crate::practice::review::Day;
use crate::practice::subject::Subject;
use crate::theory::interval::Interval;
use crate::theory::key::Key;

/// Why a riff is in the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Why {
    /// It rested long enough: worth bringing back.
    Due,
    /// It was begun and is not known yet.
    Begun,
    /// It is known here, and new in this key.
    AnotherKey,
    /// It was never practised.
    New,
}

/// How a turn is practised. No turn of a plan is like another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum How {
    /// It is played along.
    Along,
    /// The rhythm alone.
    Rhythm,
    /// Slow to fast.
    SlowToFast,
    /// With only the chords in sight.
    Chords,
    /// With nothing in sight.
    Nothing,
}

impl How {
    /// Every way with its name in data.
    pub const NAMES: [(How, &str); 5] = [
        (How::Along, "along"),
        (How::Rhythm, "rhythm"),
        (How::SlowToFast, "slow-to-fast"),
        (How::Chords, "chords"),
        (How::Nothing, "nothing"),
    ];

    /// What it sets of a run, as [`Settings::with`](crate::practice::settings::Settings::with) takes it; a drill and one
    /// bar at a time are put away.
    pub fn sets(self) -> [(&'static str, &'static str); 6] {
        let on_off = |on| if on { "on" } else { "off" };
        let sight = match self {
            How::Chords => "chords",
            How::Nothing => "nothing",
            _ => "all",
        };
        [
            ("drill", "none"),
            ("one-bar", "off"),
            ("speed", if self == How::SlowToFast { "slow-to-fast" } else { "free" }),
            ("along", on_off(self == How::Along)),
            ("plays", if self == How::Rhythm { "rhythm" } else { "notes" }),
            ("sight", sight),
        ]
    }
}

/// The ways in which one riff is practised, turn by turn; the orders are our own.
fn ways(why: Why) -> [How; 5] {
    use How::{Along, Chords, Nothing, Rhythm, SlowToFast};
    match why {
        Why::New => [Along, Rhythm, SlowToFast, Chords, Nothing],
        Why::Begun => [SlowToFast, Chords, Rhythm, Nothing, Along],
        // Every second turn is in another key.
        Why::Due => [Chords, Along, Nothing, SlowToFast, Rhythm],
        Why::AnotherKey => [Along, SlowToFast, Chords, Nothing, Rhythm],
    }
}

/// One turn of the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Turn {
    /// Which riff, or which chorus.
    pub of: Subject,
    /// In which key.
    pub key: Key,
    /// How.
    pub how: How,
    /// Why.
    pub why: Why,
    /// For how long.
    pub minutes: u32,
}

/// How long a plan is, in minutes.
pub const PLAN_MINUTES: u32 = 10;
/// How long a turn is, in minutes.
const TURN_MINUTES: u32 = 2;
/// The most riffs in a plan: each then has its turn more than once or nearly so.
const MOST_RIFFS: usize = 3;

/// A plan for `today` over what a notebook holds, the ones that come first being the newest, each with the key that it was
/// written in where that is known; `here` is the tune's key. Empty for an empty notebook.
pub fn plan(past: &Past, subjects: &[(Subject, Option<Key>)], here: Key, today: Day) -> Vec<Turn> {
    let mut wanted: Vec<(Why, i64, usize)> = Vec::new();
    for (place, (of, _)) in subjects.iter().enumerate() {
        let passes = past.of(*of);
        let due = review(passes).map_or(today.0, |review| review.due().0);
        let why = match standing(passes) {
            Standing::New => Why::New,
            Standing::Begun => Why::Begun,
            Standing::Known if due <= today.0 => Why::Due,
            Standing::Known => Why::AnotherKey,
        };
        // What has waited longest comes first, then what is newest in the notebook.
        wanted.push((why, due, place));
    }
    wanted.sort_unstable();
    wanted.truncate(MOST_RIFFS);
    let turns = (PLAN_MINUTES / TURN_MINUTES) as usize;
    let mut plan = Vec::new();
    while plan.len() < turns && !wanted.is_empty() {
        let round = plan.len() / wanted.len();
        let (why, _, place) = wanted[plan.len() % wanted.len()];
        let (of, written) = subjects[place];
        let how = ways(why)[round];
        let home = home_key(written, past.of(of), here);
        // The second time round what is known moves on to another key.
        let moves = why == Why::AnotherKey || (why == Why::Due && round % 2 == 1);
        let (key, why) = if moves { (next_key(past.of(of), home), Why::AnotherKey) } else { (home, why) };
        plan.push(Turn { of, key, how, why, minutes: TURN_MINUTES });
    }
    plan
}

/// The key in which a riff's notes stand: the one they were `written` in, else where it was practised last, with what it
/// was moved by taken off; `here` before.
pub fn home_key(written: Option<Key>, passes: &[KeptPass], here: Key) -> Key {
    written.unwrap_or_else(|| {
        passes.last().map_or(here, |last| match last.moved {
            0 => last.key,
            moved => moved_key(last.key, -i32::from(moved)),
        })
    })
}

/// The next key round the circle of fourths in which the riff is not known yet; a fourth up from home once it is known in
/// all twelve. The order by fourths is common practice.
fn next_key(passes: &[KeptPass], home: Key) -> Key {
    let known = known(passes);
    let same = |one: Key, other: Key| one.tonic().pitch_class() == other.tonic().pitch_class();
    let mut key = home;
    for _ in 0..11 {
        key = moved_key(key, 5);
        if !known.iter().any(|known| same(known.key, key)) {
            return key;
        }
    }
    moved_key(home, 5)
}

/// The key so many half steps higher, spelled with the fewest sharps or flats.
fn moved_key(key: Key, half_steps: i32) -> Key {
    // Seven half steps are one fifth round the circle, twelve fifths are home again.
    let fifths = (key.fifths() + 7 * half_steps + 5).rem_euclid(12) - 5;
    Key::of_signature(fifths, key.mode())
}

/// How a riff written in `from` is moved to sound in `to`: by the nearest way, at most six half steps.
pub fn way(from: Key, to: Key) -> (i8, Interval) {
    let up = from.tonic().interval_to(to.tonic()).within_octave();
    let by = if up.semitones > 6 { up - Interval::OCTAVE } else { up };
    (by.semitones as i8, by)
}
