//! A whole pass: where the player sits, how steadily, on the beat and off it; what each recurring note does; how the
//! click is met again after silence.

use std::collections::BTreeMap;
use std::ops::Range;

use crate::practice::TimedNote;
use crate::practice::align::{Alignment, Pair, align};
use crate::practice::figures::{Figures, Line, lateness, median, right_pairs, sample_deviation};
use crate::practice::swing::{OffBeat, OwnSwing};
use crate::practice::window::{Window, just_noticeable};
use crate::units::{AudioTime, Seconds};

/// A note that is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Goal {
    /// When it ought to sound, with the band's swing, and which.
    pub note: TimedNote,
    /// Where in the beat it is written.
    pub place: Place,
    /// When its beat begins.
    pub beat_start: AudioTime,
    /// How long its beat lasts; above 0.
    pub beat: Seconds,
    /// Which note of the riff it is: the same number each time the riff comes round.
    pub of_riff: usize,
}

/// Where in its beat a note is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Place {
    /// On the beat.
    OnBeat,
    /// On the second half of a beat in halves, which swing moves.
    OffBeat,
    /// Anywhere else.
    Between,
}

/// What one note does each time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Habit {
    /// Which note of the riff.
    pub of_riff: usize,
    /// Its median lateness against where the player sits; positive = late.
    pub lateness: Seconds,
    /// How often it was right.
    pub times: usize,
}

/// The first right note after a silence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReEntry {
    /// Which target note.
    pub target: usize,
    /// How late it was against where the player sat before the silence; against the beat where nothing came before.
    pub lateness: Seconds,
}

/// A pass, measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Pass {
    /// Which note stands for which.
    pub alignment: Alignment,
    /// The figures of all right notes against the target, swing and drift left in.
    pub figures: Figures,
    /// Where the player sits: the median lateness on the beat, or of all right notes where too few are on the beat;
    /// `None` without a right note.
    pub bias: Option<Seconds>,
    /// By how many whole beats the riff as a whole was begun elsewhere, positive = late; `None` where it was begun in
    /// its place. Then no note is in time.
    pub elsewhere: Option<i32>,
    /// How steadily: the deviation of what is left once the player's place and own swing are taken away; `None` for
    /// fewer than two right notes.
    pub steadiness: Option<Seconds>,
    /// The player's own swing, where there are off-beats enough.
    pub swing: Option<OwnSwing>,
    /// By how much the player moved against the beat from the first right note to the last, by a line of least squares;
    /// `None` where that is less than twice its standard error.
    pub change: Option<Seconds>,
    /// Right notes that lie in the window about the player's own place and swing.
    pub in_time: usize,
    /// Notes of the riff that are early or late again and again, the furthest first.
    pub habits: Vec<Habit>,
    /// How each silence was left, in order.
    pub re_entries: Vec<ReEntry>,
    /// The median length of the beats asked for.
    pub beat: Seconds,
}

/// Right notes on the beat that tell where a player sits.
const FEWEST_ON_BEAT: usize = 3;
/// How often a note must have come for a habit.
const FEWEST_TIMES: usize = 3;

impl Pass {
    /// Measures `played` against `goals`, both ascending by onset and no longer than
    /// [`MOST_NOTES`](crate::practice::align::MOST_NOTES). `silences` are the stretches without click or band.
    pub fn of(goals: &[Goal], played: &[TimedNote], window: Window, silences: &[Range<AudioTime>]) -> Pass {
        let target: Vec<TimedNote> = goals.iter().map(|goal| goal.note).collect();
        let alignment = align(&target, played);
        let right = Right { goals, target: &target, played, pairs: right_pairs(&target, played, &alignment) };
        let bias = right.bias();
        let swing = OwnSwing::of(&right.off_beats(bias));
        let left = right.left(bias, swing);
        let beats: Vec<f64> = goals.iter().map(|goal| goal.beat.0).collect();
        let beat = Seconds(median(&beats).unwrap_or(0.0));
        let elsewhere = bias.and_then(|bias| beats_elsewhere(bias, beat));
        let in_time = left.iter().filter(|off| window.holds(Seconds(**off))).count();
        Pass {
            figures: Figures::of(&target, played, &alignment),
            bias,
            elsewhere,
            steadiness: sample_deviation(&left).map(Seconds),
            swing,
            change: right.change(&left),
            in_time: if elsewhere.is_some() { 0 } else { in_time },
            habits: right.habits(&left, beat),
            re_entries: silences.iter().filter_map(|silence| right.re_entry(silence)).collect(),
            beat,
            alignment,
        }
    }
}

/// Beyond this share of a beat a place nearer than the meant beat is another beat; common practice, no source.
const ANOTHER_BEAT: f64 = 0.6;
/// Nearer than this a device's delay, which may not be known, can be all of it: wireless headphones reach 0.3 s.
const DELAY_AT_MOST: Seconds = Seconds(0.35);

/// By how many beats a player who sits `bias` from the beat has begun elsewhere.
fn beats_elsewhere(bias: Seconds, beat: Seconds) -> Option<i32> {
    let is_elsewhere = beat.0 > 0.0 && bias.0.abs() >= (ANOTHER_BEAT * beat.0).max(DELAY_AT_MOST.0);
    is_elsewhere.then(|| {
        let beats = (bias.0 / beat.0).round() as i32;
        if beats == 0 { bias.0.signum() as i32 } else { beats }
    })
}

/// The right notes of a pass.
struct Right<'a> {
    goals: &'a [Goal],
    target: &'a [TimedNote],
    played: &'a [TimedNote],
    pairs: Vec<Pair>,
}

impl Right<'_> {
    fn late(&self, pair: Pair) -> f64 {
        lateness(self.target, self.played, pair).0
    }

    fn bias(&self) -> Option<Seconds> {
        let on_beat = self.pairs.iter().filter(|pair| self.goals[pair.target].place == Place::OnBeat);
        let on_beat: Vec<f64> = on_beat.map(|pair| self.late(*pair)).collect();
        if on_beat.len() >= FEWEST_ON_BEAT {
            return median(&on_beat).map(Seconds);
        }
        median(&self.pairs.iter().map(|pair| self.late(*pair)).collect::<Vec<_>>()).map(Seconds)
    }

    fn off_beats(&self, bias: Option<Seconds>) -> Vec<OffBeat> {
        let off = self.pairs.iter().filter(|pair| self.goals[pair.target].place == Place::OffBeat);
        off.filter_map(|pair| Some(self.off_beat(*pair, bias?))).collect()
    }

    fn off_beat(&self, pair: Pair, bias: Seconds) -> OffBeat {
        let goal = self.goals[pair.target];
        let since_beat = self.played[pair.played].onset - goal.beat_start - bias;
        OffBeat { since_beat, beat: goal.beat }
    }

    /// For each pair how late it is once the player's place and own swing are taken away, in seconds.
    fn left(&self, bias: Option<Seconds>, swing: Option<OwnSwing>) -> Vec<f64> {
        let bias = bias.unwrap_or_default();
        let off = |pair: &Pair| match (self.goals[pair.target].place, swing) {
            (Place::OffBeat, Some(swing)) => swing.lateness(self.off_beat(*pair, bias)).0,
            _ => self.late(*pair) - bias.0,
        };
        self.pairs.iter().map(off).collect()
    }

    /// A note has a habit where its median can be heard, and lies further out than twice the standard error of a
    /// median: 1.2533·σ/√n for normal deviates (M. G. Kendall and A. Stuart, "The Advanced Theory of Statistics",
    /// vol. 1, 1958, section 10.10; from memory).
    fn habits(&self, left: &[f64], beat: Seconds) -> Vec<Habit> {
        let mut by_note: BTreeMap<usize, Vec<f64>> = BTreeMap::new();
        for (pair, off) in self.pairs.iter().zip(left) {
            by_note.entry(self.goals[pair.target].of_riff).or_default().push(*off);
        }
        let habit = |(of_riff, off): (usize, Vec<f64>)| {
            let (middle, deviation) = (median(&off)?, sample_deviation(&off)?);
            let error = 1.2533 * deviation / (off.len() as f64).sqrt();
            let is_habit = off.len() >= FEWEST_TIMES
                && middle.abs() > just_noticeable(beat).0
                && middle.abs() > 2.0 * error;
            is_habit.then_some(Habit { of_riff, lateness: Seconds(middle), times: off.len() })
        };
        let mut habits: Vec<Habit> = by_note.into_iter().filter_map(habit).collect();
        habits.sort_by(|one, other| other.lateness.0.abs().total_cmp(&one.lateness.0.abs()));
        habits
    }

    fn change(&self, left: &[f64]) -> Option<Seconds> {
        let when: Vec<f64> = self.pairs.iter().map(|pair| self.target[pair.target].onset.0).collect();
        let line = Line::through(&when, left).filter(|line| line.slope.abs() > 2.0 * line.error)?;
        Some(Seconds(line.slope * (when.last()? - when.first()?)))
    }

    fn re_entry(&self, silence: &Range<AudioTime>) -> Option<ReEntry> {
        let onset = |pair: &&Pair| self.target[pair.target].onset;
        let before = self.pairs.iter().filter(|pair| onset(pair) < silence.start);
        let before: Vec<f64> = before.map(|pair| self.late(*pair)).collect();
        let first = self.pairs.iter().find(|pair| onset(pair) >= silence.end)?;
        let lateness = Seconds(self.late(*first) - median(&before).unwrap_or(0.0));
        Some(ReEntry { target: first.target, lateness })
    }
}
