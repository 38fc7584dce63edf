//! A first reading of a performance: the right notes in the right order, with the player followed as the tempo moves.
//!
//! A dynamic programme over what was played and what was meant, in which time is one price among others. Each reading
//! that is still open carries its own idea of how late the player is and how fast that changes, by a Kalman filter
//! (R. E. Kalman, "A new approach to linear filtering and prediction problems", Journal of Basic Engineering 82(1), 1960,
//! 35–45); a note is held against where that reading expects it. Of the readings that agree on how much is played and
//! what came last only the cheapest goes on. All prices are negative logarithms of probabilities, and of densities a
//! second, so that they add.

use std::ops::Range;

use crate::practice::TimedNote;
use crate::practice::align::Pair;
use crate::practice::align::drift::{PRIOR_RATE, Track};
use crate::practice::align::pairing::{Chances, Prices, is_slip};

/// Where players sit before anything is known (standard deviation, in seconds): calibration, habit and latency together.
const PRIOR_SECONDS: f64 = 0.15;
/// What it costs to stop and go on from anywhere: −ln(0.003 / 20 s · 0.8 s) or so.
pub(super) const JUMP: f64 = 9.0;
/// What it costs to stop and go on with the next note: −ln(0.003) for a chance, and ln 4 for a pause of up to 4 s.
const PAUSE: f64 = 7.2;
/// Where a beginning anywhere is made in another place than the beat asks for, this is added: ln 20 for 20 s.
const ELSEWHERE: f64 = 3.0;
/// A stop that moves the player by less is no new beginning, in seconds.
const SHIFT_SECONDS: f64 = 2.0 * PRIOR_SECONDS;
/// Readings this much dearer than the best are given up. More than two jumps.
const BEAM: f64 = 40.0;

/// What a player did between two new beginnings.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Stretch {
    /// The played notes, by index.
    pub plays: Range<usize>,
    /// Which of them stand for which target notes.
    pub pairs: Vec<Pair>,
}

/// What a reading did last.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Last {
    /// A note where it was expected.
    Pair,
    /// A note hurried or held back, that says nothing of the player's place.
    Stray,
    /// A note after a stop: the player is where this note says.
    Moved,
    /// A note that stands for nothing.
    Extra,
    /// A target note that nothing stands for.
    Missed,
}

const LASTS: [Last; 5] = [Last::Pair, Last::Stray, Last::Moved, Last::Extra, Last::Missed];

/// How a reading came to where it is.
#[derive(Clone, Copy)]
enum From {
    /// Nowhere: it begins here.
    Start,
    /// From one that did this last.
    After(Last),
    /// From the cheapest of the row before, to begin anew.
    Jump,
}

#[derive(Clone, Copy)]
struct Reading {
    price: f64,
    track: Track,
}

/// No reading.
const NONE: Reading = Reading { price: f64::INFINITY, track: Track::EMPTY };

/// The readings of so many played notes; by target notes behind, by what came last.
struct Row(Vec<[Reading; 5]>);

impl Row {
    fn new(columns: usize) -> Row {
        Row(vec![[NONE; 5]; columns])
    }

    /// The cheapest, by column and what came last; `None` where all were given up.
    fn best(&self) -> Option<(usize, Last)> {
        let cells = (0..self.0.len()).flat_map(|column| LASTS.map(|last| (column, last)));
        let price = |cell: &(usize, Last)| self.0[cell.0][cell.1 as usize].price;
        cells.min_by(|one, other| price(one).total_cmp(&price(other))).filter(|cell| price(cell).is_finite())
    }
}

struct Follower<'a> {
    target: &'a [TimedNote],
    played: &'a [TimedNote],
    prices: Prices,
    variance: f64,
    /// How each cell was reached, row by row.
    from: Vec<[From; 5]>,
    /// The cheapest cell of each row.
    best: Vec<(usize, Last)>,
}

/// The likeliest stretches of `played`, both lists ascending by onset.
pub(super) fn follow(target: &[TimedNote], played: &[TimedNote], chances: Chances) -> Vec<Stretch> {
    if target.is_empty() || played.is_empty() {
        return Vec::new();
    }
    let mut follower = Follower {
        target,
        played,
        prices: Prices::new(chances),
        variance: chances.spread * chances.spread,
        from: vec![[From::Start; 5]; (target.len() + 1) * (played.len() + 1)],
        best: Vec::with_capacity(played.len() + 1),
    };
    let last = follower.fill();
    follower.trace(&last)
}

impl Follower<'_> {
    /// Fills row after row, and gives the last.
    fn fill(&mut self) -> Row {
        let columns = self.target.len() + 1;
        let mut before = Row::new(columns);
        let start = Track::expected(PRIOR_SECONDS, PRIOR_RATE);
        before.0[0][Last::Pair as usize] = Reading { price: 0.0, track: start };
        self.miss(0, &mut before);
        self.best.push((0, Last::Pair));
        for row in 1..=self.played.len() {
            let mut next = Row::new(columns);
            let (best_column, best_last) = self.best[row - 1];
            let limit = before.0[best_column][best_last as usize].price;
            for column in 0..columns {
                for last in LASTS {
                    let reading = before.0[column][last as usize];
                    if reading.price <= limit + BEAM {
                        self.go_on(row, column, last, reading, &mut next);
                    }
                }
            }
            self.jump(row, limit + JUMP, &mut next);
            self.miss(row, &mut next);
            self.best.push(next.best().unwrap_or((0, Last::Extra)));
            before = next;
        }
        before
    }

    fn offer(&mut self, row: usize, column: usize, last: Last, reading: Reading, from: From, next: &mut Row) {
        let here = &mut next.0[column][last as usize];
        if reading.price < here.price {
            *here = reading;
            self.from[row * (self.target.len() + 1) + column][last as usize] = from;
        }
    }

    /// What the played note before `row` can be to a reading that has `column` target notes behind it.
    fn go_on(&mut self, row: usize, column: usize, last: Last, reading: Reading, next: &mut Row) {
        let (note, from) = (self.played[row - 1], From::After(last));
        let is_again = matches!(last, Last::Pair | Last::Stray | Last::Moved)
            && row > 1
            && is_slip(self.played[row - 2], note);
        let extra = if is_again { self.prices.slip } else { self.prices.extra };
        let extra = Reading { price: reading.price + extra, ..reading };
        self.offer(row, column, Last::Extra, extra, from, next);
        let Some(goal) = self.target.get(column).copied() else { return };
        let pitch = if goal.midi == note.midi { self.prices.right } else { self.prices.wrong };
        let at = goal.onset.0;
        let late = note.onset.0 - at;
        let price = reading.price + pitch;
        let expected = reading.track.at(at);
        let off = late - expected.late();
        let near = self.prices.near(off, expected.variance());
        let pair = Reading { price: price + near, track: expected.seen(late, self.variance) };
        self.offer(row, column + 1, Last::Pair, pair, from, next);
        let stray = self.prices.stray(off, expected.variance());
        let stray = Reading { price: price + stray, track: expected };
        self.offer(row, column + 1, Last::Stray, stray, from, next);
        let pause = PAUSE + (off.abs() / 4.0).max(1.0).ln();
        let moved = Reading { price: price + pause, track: expected.moved_to(late, self.variance) };
        self.offer(row, column + 1, Last::Moved, moved, from, next);
    }

    /// New beginnings at every target note that has the pitch.
    fn jump(&mut self, row: usize, price: f64, next: &mut Row) {
        let note = self.played[row - 1];
        let target = self.target;
        for (column, goal) in target.iter().enumerate() {
            if goal.midi != note.midi {
                continue;
            }
            let late = note.onset.0 - goal.onset.0;
            // Who comes back with the band is where the band is; anybody else may be anywhere.
            let place = (0.5 * (late / PRIOR_SECONDS).powi(2)).min(ELSEWHERE);
            let track = Track::begun(goal.onset.0, late, self.variance, PRIOR_RATE);
            let reading = Reading { price: price + place + self.prices.right, track };
            self.offer(row, column + 1, Last::Moved, reading, From::Jump, next);
        }
    }

    fn miss(&mut self, row: usize, next: &mut Row) {
        for column in 1..=self.target.len() {
            for last in LASTS {
                let reading = next.0[column - 1][last as usize];
                if reading.price.is_finite() {
                    let price = if last == Last::Missed { self.prices.miss_on } else { self.prices.miss };
                    let reading = Reading { price: reading.price + price, ..reading };
                    self.offer(row, column, Last::Missed, reading, From::After(last), next);
                }
            }
        }
    }

    /// The stretches on the cheapest way, in the order of time. Who stops before the end leaves out what follows, and
    /// that costs no more than a jump.
    fn trace(&self, last: &Row) -> Vec<Stretch> {
        let columns = self.target.len() + 1;
        let tail = |column: usize| ((self.target.len() - column) as f64 * self.prices.miss_on).min(JUMP);
        let cells = (0..columns).flat_map(|column| LASTS.map(|one| (column, one)));
        let price = |cell: &(usize, Last)| last.0[cell.0][cell.1 as usize].price + tail(cell.0);
        let end = cells.min_by(|one, other| price(one).total_cmp(&price(other)));
        let Some((mut column, mut here)) = end else { return Vec::new() };
        let mut row = self.played.len();
        let (mut stretches, mut pairs, mut ends) = (Vec::new(), Vec::new(), row);
        while row > 0 {
            let from = self.from[row * columns + column][here as usize];
            if matches!(here, Last::Pair | Last::Stray | Last::Moved) {
                pairs.push(Pair { target: column - 1, played: row - 1 });
            }
            let is_jump = matches!(from, From::Jump);
            (column, row) = match here {
                _ if is_jump => (self.best[row - 1].0, row - 1),
                Last::Extra => (column, row - 1),
                Last::Missed => (column - 1, row),
                Last::Pair | Last::Stray | Last::Moved => (column - 1, row - 1),
            };
            if is_jump || here == Last::Moved {
                pairs.reverse();
                stretches.push(Stretch { plays: row..ends, pairs: std::mem::take(&mut pairs) });
                ends = row;
            }
            here = match from {
                From::After(last) => last,
                From::Jump => self.best[row].1,
                From::Start => break,
            };
        }
        pairs.reverse();
        stretches.push(Stretch { plays: 0..ends, pairs });
        stretches.reverse();
        stretches.retain(|stretch| !stretch.plays.is_empty());
        self.joined(stretches)
    }

    /// Joins stretches between which the player hardly moved.
    fn joined(&self, stretches: Vec<Stretch>) -> Vec<Stretch> {
        let late = |pair: Option<&Pair>| {
            pair.map(|pair| (self.played[pair.played].onset - self.target[pair.target].onset).0)
        };
        let mut all: Vec<Stretch> = Vec::new();
        for next in stretches {
            match all.last_mut() {
                Some(before)
                    if goes_on(before, &next, late(before.pairs.last()), late(next.pairs.first())) =>
                {
                    before.plays.end = next.plays.end;
                    before.pairs.extend(next.pairs);
                }
                _ => all.push(next),
            }
        }
        all
    }
}

/// Whether `next` goes on where `before` stopped, about as late.
fn goes_on(before: &Stretch, next: &Stretch, was: Option<f64>, is: Option<f64>) -> bool {
    let forward = before.pairs.last().zip(next.pairs.first()).is_some_and(|(a, b)| a.target < b.target);
    forward && was.zip(is).is_some_and(|(was, is)| (is - was).abs() < SHIFT_SECONDS)
}
