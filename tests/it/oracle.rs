//! The best that any pairing can do: the most likely one, for someone who knows the made-up player's habits exactly.
//!
//! A plain dynamic programme with the generator's own chances and its own bias, drift and spread, told where the player
//! stopped. What it gets wrong cannot be told from pitches and times; it is the yardstick for what the aligner, which
//! knows none of this, gets wrong.

use riffloom::practice::TimedNote;
use riffloom::practice::align::Pair;

use crate::player::{Habits, Played, Stop};

/// The most likely pairs of `performed`.
pub fn pairs(target: &[TimedNote], performed: &[Played], habits: Habits) -> Vec<Pair> {
    let played: Vec<TimedNote> = performed.iter().map(|played| played.note).collect();
    let whole = |first: usize| Stretch { target, played: &played, habits, first, late: 0.0 };
    let (broken, again) = match habits.stops {
        None => return whole(0).pairs(0..target.len(), 0..played.len()),
        Some(Stop::LateStart) => (0, 0),
        Some(Stop::FalseStart) => (target.len() / 4, 0),
        Some(Stop::GoesBack) => (target.len() / 2, target.len() * 3 / 8),
    };
    let pause = (target[broken].onset - target[again].onset).0 + 1.2;
    let split = match habits.stops {
        Some(Stop::LateStart) => 0,
        _ => played.partition_point(|note| note.onset.0 < target[broken].onset.0),
    };
    let mut pairs = whole(0).pairs(0..broken, 0..split);
    pairs.retain(|pair| pair.target < again);
    let after = Stretch { late: pause, first: again, ..whole(0) };
    pairs.extend(after.pairs(again..target.len(), split..played.len()));
    pairs
}

struct Stretch<'a> {
    target: &'a [TimedNote],
    played: &'a [TimedNote],
    habits: Habits,
    /// The first target note that is meant here.
    first: usize,
    /// How much later everything is than the target, beside bias and drift.
    late: f64,
}

#[derive(Clone, Copy, PartialEq)]
enum Last {
    Pair,
    Other,
}

impl Stretch<'_> {
    fn pairs(&self, goals: std::ops::Range<usize>, plays: std::ops::Range<usize>) -> Vec<Pair> {
        let columns = goals.len() + 1;
        let mut price = vec![[f64::INFINITY; 2]; columns * (plays.len() + 1)];
        let mut from = vec![[(0, Last::Other); 2]; price.len()];
        price[0][1] = 0.0;
        for row in 0..=plays.len() {
            for column in 0..columns {
                let here = row * columns + column;
                let mut offer = |to: Last, cell: usize, by: Last, cost: f64| {
                    let total = price[cell][by as usize] + cost;
                    if total < price[here][to as usize] {
                        price[here][to as usize] = total;
                        from[here][to as usize] = (cell, by);
                    }
                };
                for by in [Last::Pair, Last::Other] {
                    if column > 0 {
                        offer(Last::Other, here - 1, by, -(self.habits.missed + 1e-9).ln());
                    }
                    if row > 0 {
                        let note = plays.start + row - 1;
                        offer(Last::Other, here - columns, by, self.extra(note, by));
                    }
                    if row > 0 && column > 0 {
                        let cost = self.pair(goals.start + column - 1, plays.start + row - 1);
                        offer(Last::Pair, here - columns - 1, by, cost);
                    }
                }
            }
        }
        let mut here = price.len() - 1;
        let mut last = if price[here][0] < price[here][1] { Last::Pair } else { Last::Other };
        let mut found = Vec::new();
        while here > 0 {
            if last == Last::Pair {
                let (row, column) = (here / columns, here % columns);
                found.push(Pair { target: goals.start + column - 1, played: plays.start + row - 1 });
            }
            (here, last) = from[here][last as usize];
        }
        found.reverse();
        found
    }

    fn pair(&self, goal: usize, play: usize) -> f64 {
        let (goal, play) = (self.target[goal], self.played[play]);
        let place = self.habits.bias + self.habits.drift_per_minute * goal.onset.0 / 60.0 + self.late;
        let spread = self.habits.spread.max(0.001);
        let off = ((play.onset - goal.onset).0 - place) / spread;
        let pitch = match i32::from(play.midi.number()) - i32::from(goal.midi.number()) {
            0 => 1.0 - self.habits.wrong,
            -2..=2 => self.habits.wrong / 4.0 + 1e-9,
            _ => 1e-12,
        };
        0.5 * off * off + (spread * std::f64::consts::TAU.sqrt()).ln()
            - ((1.0 - self.habits.missed) * pitch).ln()
    }

    fn extra(&self, play: usize, by: Last) -> f64 {
        let lasts = (self.target[self.target.len() - 1].onset - self.target[self.first].onset).0;
        let anywhere = self.habits.extra * (self.target.len() - self.first) as f64 / lasts / 24.0;
        let is_near = |before: TimedNote| {
            let gap = (self.played[play].onset - before.onset).0;
            before.midi == self.played[play].midi && (0.03..=0.08).contains(&gap)
        };
        let is_doubled = by == Last::Pair && play > 0 && is_near(self.played[play - 1]);
        let doubled = if is_doubled { self.habits.doubled / 0.05 } else { 0.0 };
        -(anywhere + doubled + 1e-9).ln()
    }
}
