//! The cheapest explanation of some played notes by a target, where the player's place is known: a dynamic programme
//! over the notes that lie within reach of each other.
//!
//! All prices are negative logarithms of probabilities, and of densities per second, so that they add.

use std::ops::RangeInclusive;

use crate::practice::TimedNote;
use crate::practice::align::Pair;
use crate::practice::align::drift::Place;

/// Chances of what a player does at a note.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Chances {
    /// Spread about the player's place (standard deviation), in seconds.
    pub spread: f64,
    /// A target note is missed.
    pub miss: f64,
    /// One is missed after another: who drops out stays out for a while.
    pub miss_on: f64,
    /// A played note has another pitch.
    pub wrong: f64,
    /// Extra notes a second.
    pub extra: f64,
}

/// The same note again by a slip of the hand, within [`SLIP_SECONDS`]: how often a second.
const SLIP: f64 = 0.02 / SLIP_SECONDS;
/// A repeated note sooner than this may be a slip: the fastest that two hits are meant is about a tenth of a second
/// (B. H. Repp, "Rate limits of sensorimotor synchronization", Advances in Cognitive Psychology 2(2–3), 2006, 163–181).
const SLIP_SECONDS: f64 = 0.1;
/// Wrong and extra pitches are drawn from about as many.
const PITCHES: f64 = 12.0;
/// A note far from the player's own place, hurried or held back: how often, and how far (standard deviation).
const STRAY: f64 = 0.02;
pub(super) const STRAY_SECONDS: f64 = 0.12;
/// No note stands for another that is further than this from the player's own place.
const REACH_SECONDS: f64 = 0.6;

/// Whether `now` repeats `before` within [`SLIP_SECONDS`].
pub(super) fn is_slip(before: TimedNote, now: TimedNote) -> bool {
    before.midi == now.midi && (now.onset - before.onset).0 < SLIP_SECONDS
}

/// What came last.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Last {
    Pair,
    Extra,
    Missed,
}

const LASTS: [Last; 3] = [Last::Pair, Last::Extra, Last::Missed];

/// How a cell was reached: what came last before, and whether two played notes changed places.
#[derive(Clone, Copy)]
struct From {
    last: Last,
    is_swap: bool,
}

const START: From = From { last: Last::Pair, is_swap: false };

/// The explanations of as many played notes: those that end with target notes within reach.
struct Row {
    /// The first column that is within reach; a column is how many target notes are behind.
    first: usize,
    /// By column, by what came last.
    price: Vec<[f64; 3]>,
    from: Vec<[From; 3]>,
}

impl Row {
    fn new(columns: RangeInclusive<usize>) -> Row {
        let count = columns.end() - columns.start() + 1;
        Row { first: *columns.start(), price: vec![[f64::INFINITY; 3]; count], from: vec![[START; 3]; count] }
    }

    fn at(&self, column: usize, last: Last) -> f64 {
        let cell = column.checked_sub(self.first).and_then(|index| self.price.get(index));
        cell.map_or(f64::INFINITY, |price| price[last as usize])
    }

    fn offer(&mut self, column: usize, last: Last, price: f64, from: From) {
        let here = column - self.first;
        if price < self.price[here][last as usize] {
            self.price[here][last as usize] = price;
            self.from[here][last as usize] = from;
        }
    }
}

/// What a player does who may begin, or stop, anywhere in the target.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Ends {
    /// Target notes before the first pair are not missed: they were not meant.
    pub begins_anywhere: bool,
    /// Nor are those after the last pair.
    pub stops_anywhere: bool,
}

/// The cheapest pairs of `played` with `target`, both ascending by onset, for a player at `place`.
pub(super) fn pairs(
    target: &[TimedNote],
    played: &[TimedNote],
    place: &Place,
    chances: Chances,
    ends: Ends,
) -> Vec<Pair> {
    let table = Table::new(target, played, place, chances, ends);
    table.trace(&table.fill())
}

/// For 0 to all of the played notes, what the first so many cost to a player who stops after them.
pub(super) fn prefixes(
    target: &[TimedNote],
    played: &[TimedNote],
    place: &Place,
    chances: Chances,
) -> Vec<f64> {
    let ends = Ends { begins_anywhere: true, stops_anywhere: true };
    let rows = Table::new(target, played, place, chances, ends).fill();
    rows.iter().map(|row| row.price.iter().flatten().copied().fold(f64::INFINITY, f64::min)).collect()
}

/// Prices that hold for a whole stretch.
pub(super) struct Prices {
    /// The spread of a note near its place and of a stray one, squared.
    spread: (f64, f64),
    pub right: f64,
    pub wrong: f64,
    pub miss: f64,
    pub miss_on: f64,
    pub extra: f64,
    pub slip: f64,
}

impl Prices {
    pub(super) fn new(chances: Chances) -> Prices {
        let price = |chance: f64| -chance.ln();
        let hit = 1.0 - chances.miss;
        let stray = STRAY_SECONDS.max(2.0 * chances.spread);
        Prices {
            spread: (chances.spread * chances.spread, stray * stray),
            right: price(hit * (1.0 - chances.wrong)),
            wrong: price(hit * chances.wrong / PITCHES),
            miss: price(chances.miss),
            miss_on: price(chances.miss_on),
            extra: price(chances.extra / PITCHES),
            slip: price(SLIP),
        }
    }

    /// Of a note so many seconds off a place that is known within the root of `variance`.
    pub(super) fn near(&self, off: f64, variance: f64) -> f64 {
        normal(off, self.spread.0 + variance, 1.0 - STRAY)
    }

    /// The same where it was hurried or held back.
    pub(super) fn stray(&self, off: f64, variance: f64) -> f64 {
        normal(off, self.spread.1 + variance, STRAY)
    }

    fn timing(&self, off: f64) -> f64 {
        if off.abs() > REACH_SECONDS {
            return f64::INFINITY;
        }
        self.near(off, 0.0).min(self.stray(off, 0.0))
    }
}

/// Minus the logarithm of a normal density that has `chance` of being the one.
fn normal(off: f64, variance: f64, chance: f64) -> f64 {
    0.5 * (off * off / variance + (std::f64::consts::TAU * variance).ln()) - chance.ln()
}

struct Table<'a> {
    target: &'a [TimedNote],
    played: &'a [TimedNote],
    /// When each target note ought to come from this player.
    expected: Vec<f64>,
    /// The same, or the latest before where that is later.
    ascending: Vec<f64>,
    prices: Prices,
    ends: Ends,
}

impl<'a> Table<'a> {
    fn new(
        target: &'a [TimedNote],
        played: &'a [TimedNote],
        place: &Place,
        chances: Chances,
        ends: Ends,
    ) -> Table<'a> {
        let expected: Vec<f64> = target.iter().map(|note| note.onset.0 + place.at(note.onset.0)).collect();
        let mut latest = f64::NEG_INFINITY;
        let ascending = expected.iter().map(|expected| {
            latest = expected.max(latest);
            latest
        });
        let ascending = ascending.collect();
        Table { target, played, ascending, expected, prices: Prices::new(chances), ends }
    }

    /// The columns that matter once `row` notes are played: from what can no longer be played to what cannot yet.
    fn reach(&self, row: usize) -> RangeInclusive<usize> {
        let behind = |onset: f64| self.ascending.partition_point(|expected| *expected < onset);
        let first = match row.checked_sub(1).and_then(|index| self.played.get(index)) {
            None => 0,
            Some(note) => behind(note.onset.0 - REACH_SECONDS).saturating_sub(1),
        };
        // What lies between this note and the next is missed by then.
        let next =
            self.played.get(row).map_or(self.target.len(), |next| behind(next.onset.0 + REACH_SECONDS));
        first..=next.max(first)
    }

    fn fill(&self) -> Vec<Row> {
        let mut rows: Vec<Row> = Vec::with_capacity(self.played.len() + 1);
        for row in 0..=self.played.len() {
            let reach = self.reach(row);
            let mut next = Row::new(reach.clone());
            for column in reach {
                if row == 0 && (column == 0 || self.ends.begins_anywhere) {
                    next.offer(column, Last::Pair, 0.0, START);
                }
                if row > 0 {
                    self.offer_extra(row, column, &rows, &mut next);
                    if column > 0 {
                        self.offer_pair(row, column, &rows, &mut next);
                        self.offer_swap(row, column, &rows, &mut next);
                    }
                }
                self.offer_miss(column, &mut next);
            }
            rows.push(next);
        }
        rows
    }

    fn offer_extra(&self, row: usize, column: usize, rows: &[Row], next: &mut Row) {
        for last in LASTS {
            let is_slip = last == Last::Pair && self.is_again(row);
            let price = if is_slip { self.prices.slip } else { self.prices.extra };
            let from = From { last, is_swap: false };
            next.offer(column, Last::Extra, rows[row - 1].at(column, last) + price, from);
        }
    }

    /// Whether played note `row` − 1 repeats the one before it within [`SLIP_SECONDS`].
    fn is_again(&self, row: usize) -> bool {
        row > 1 && is_slip(self.played[row - 2], self.played[row - 1])
    }

    fn offer_pair(&self, row: usize, column: usize, rows: &[Row], next: &mut Row) {
        let (target, played) = (self.target[column - 1], self.played[row - 1]);
        let pitch = if target.midi == played.midi { self.prices.right } else { self.prices.wrong };
        let price = self.prices.timing(played.onset.0 - self.expected[column - 1]) + pitch;
        for last in LASTS {
            let from = From { last, is_swap: false };
            next.offer(column, Last::Pair, rows[row - 1].at(column - 1, last) + price, from);
        }
    }

    /// Offers that the last two played notes are the last two target notes in the other order.
    fn offer_swap(&self, row: usize, column: usize, rows: &[Row], next: &mut Row) {
        if row < 2 || column < 2 {
            return;
        }
        let (first, second) = (self.target[column - 2], self.target[column - 1]);
        let (sooner, later) = (self.played[row - 2], self.played[row - 1]);
        if first.midi == second.midi || first.midi != later.midi || second.midi != sooner.midi {
            return;
        }
        let price = self.prices.timing(later.onset.0 - self.expected[column - 2])
            + self.prices.timing(sooner.onset.0 - self.expected[column - 1])
            + 2.0 * self.prices.right;
        for last in LASTS {
            let from = From { last, is_swap: true };
            next.offer(column, Last::Pair, rows[row - 2].at(column - 2, last) + price, from);
        }
    }

    fn offer_miss(&self, column: usize, next: &mut Row) {
        if column <= next.first {
            return;
        }
        for last in LASTS {
            let price = if last == Last::Missed { self.prices.miss_on } else { self.prices.miss };
            let from = From { last, is_swap: false };
            next.offer(column, Last::Missed, next.at(column - 1, last) + price, from);
        }
    }

    /// The pairs on the cheapest way, ascending by target.
    fn trace(&self, rows: &[Row]) -> Vec<Pair> {
        let mut row = self.played.len();
        let first = if self.ends.stops_anywhere { rows[row].first } else { self.target.len() };
        let cells = (first..=self.target.len()).flat_map(|column| LASTS.map(|last| (column, last)));
        let price = |(column, last): &(usize, Last)| rows[row].at(*column, *last);
        let cheapest = cells.min_by(|one, other| price(one).total_cmp(&price(other)));
        let Some((mut column, mut here)) = cheapest else { return Vec::new() };
        let mut found = Vec::new();
        // What is left without played notes is missed, or was never meant.
        while row > 0 {
            let Some(from) = column.checked_sub(rows[row].first).and_then(|c| rows[row].from.get(c)) else {
                break;
            };
            let from = from[here as usize];
            let was = std::mem::replace(&mut here, from.last);
            match was {
                Last::Extra => row -= 1,
                Last::Missed => column -= 1,
                Last::Pair if from.is_swap => {
                    found.push(Pair { target: column - 1, played: row - 2 });
                    found.push(Pair { target: column - 2, played: row - 1 });
                    (row, column) = (row - 2, column - 2);
                }
                Last::Pair => {
                    found.push(Pair { target: column - 1, played: row - 1 });
                    (row, column) = (row - 1, column - 1);
                }
            }
        }
        found.reverse();
        found
    }
}
