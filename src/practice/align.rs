//! Which played note stands for which target note: alignment by dynamic programming.
//!
//! The best explanation of a performance is found as E. W. Large describes for sequence errors ("Dynamic programming
//! for the analysis of serial behaviors", Behavior Research Methods, Instruments & Computers 25(2), 1993, 238–241;
//! from memory): notes are right, wrong, missed or extra, each with a price. Two things are added for music in time.
//! A pair also pays for how far it lies from where the player has been against the beat, which is tracked note by note
//! with a Kalman filter (R. E. Kalman, "A new approach to linear filtering and prediction problems", Journal of Basic
//! Engineering 82(1), 1960, 35–45); and the player may stop and go on elsewhere in the target, at another time.
//!
//! All prices are negative logarithms of probabilities and densities per second, so that they add.

use crate::practice::TimedNote;
use crate::practice::attempts::{self, Step};

/// A played note that stands for a target note, by their places in the two lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Pair {
    /// Which target note.
    pub target: usize,
    /// Which played note.
    pub played: usize,
}

/// A performance explained: every target note is in a pair or missed, every played note in a pair or extra.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Alignment {
    /// Right and wrong pitches, ascending by target; the played notes ascend too, but for two that changed places.
    pub pairs: Vec<Pair>,
    /// Target notes that nothing stands for, ascending.
    pub missed: Vec<usize>,
    /// Played notes that stand for nothing, ascending.
    pub extra: Vec<usize>,
}

/// The most notes in either list: sixteen minutes at four a second. Time and memory grow with the product.
pub const MOST_NOTES: usize = 4_000;

/// Chances of what a player does at a note; tuned by hand on generated performances (`tests/it/practice.rs`).
struct Chances;

impl Chances {
    const RIGHT: f64 = 0.93;
    /// A wrong pitch, spread over the twelve that are likely.
    const WRONG: f64 = 0.03 / 12.0;
    /// A first missed note, and one after another: who drops out stays out for a while.
    const MISS: f64 = 0.03;
    const MISS_ON: f64 = 0.7;
    /// Extra notes a second, of one pitch of twelve.
    const EXTRA: f64 = 0.3 / 12.0;
    /// The same note again by a slip of the hand, within `SLIP_SECONDS`.
    const SLIP: f64 = 0.02 / SLIP_SECONDS;
    /// Stopping and going on from another note, at any moment of the next twenty seconds.
    const RESTART: f64 = 0.003 / 20.0;
    /// A note far from the player's own place: hurried, or held back.
    const STRAY: f64 = 0.05;
}

/// A repeated note sooner than this may be a slip: the fastest that two hits are meant is about a tenth of a second
/// (B. H. Repp, "Rate limits of sensorimotor synchronization", Advances in Cognitive Psychology 2(2–3), 2006, 163–181).
const SLIP_SECONDS: f64 = 0.1;
/// How far from the beat players sit before anything is known: calibration, habit and latency together.
const PRIOR_SECONDS: f64 = 0.15;
/// How far stray notes lie from the player's own place (standard deviation).
const STRAY_SECONDS: f64 = 0.12;
/// No note stands for another that is further than this from the player's own place.
const REACH_SECONDS: f64 = 0.6;
/// How fast a player's place wanders: variance a second, in s². Ten milliseconds in a second.
const WANDER: f64 = 1e-4;
/// Spread that is assumed at first, and what later estimates are kept between.
const FIRST_SPREAD: f64 = 0.05;
const SPREADS: (f64, f64) = (0.008, 0.08);

/// The best explanation of `played` as a performance of `target`. Both must ascend by onset (equal onsets may stand
/// in any order) and be no longer than [`MOST_NOTES`].
///
/// # Panics
///
/// Where a list is longer than [`MOST_NOTES`].
pub fn align(target: &[TimedNote], played: &[TimedNote]) -> Alignment {
    assert!(target.len() <= MOST_NOTES && played.len() <= MOST_NOTES, "more than {MOST_NOTES} notes");
    let mut spread = FIRST_SPREAD;
    let mut steps = Table::fill(target, played, spread).trace();
    // The spread decides what is near: twice is enough, a third time changes nothing in the tests.
    for _ in 0..2 {
        let Some(found) = attempts::local_spread(target, played, &steps) else { break };
        spread = found.0.clamp(SPREADS.0, SPREADS.1);
        steps = Table::fill(target, played, spread).trace();
    }
    explained(attempts::settle(&steps), target.len(), played.len())
}

fn explained(mut pairs: Vec<Pair>, targets: usize, plays: usize) -> Alignment {
    pairs.sort_unstable();
    let mut is_hit = vec![false; targets];
    let mut is_used = vec![false; plays];
    for pair in &pairs {
        is_hit[pair.target] = true;
        is_used[pair.played] = true;
    }
    let absent = |flags: &[bool]| (0..flags.len()).filter(|index| !flags[*index]).collect();
    Alignment { missed: absent(&is_hit), extra: absent(&is_used), pairs }
}

/// The cheapest way to explain some played notes by some target notes, and where the player stands by then.
#[derive(Clone, Copy)]
struct Cell {
    price: f64,
    /// Estimated seconds behind the beat, and the variance of that estimate.
    place: f64,
    variance: f64,
}

impl Cell {
    const NEVER: Cell = Cell { price: f64::INFINITY, place: 0.0, variance: 0.0 };

    fn paying(self, price: f64) -> Cell {
        Cell { price: self.price + price, ..self }
    }

    fn after(self, wait: f64) -> Cell {
        Cell { variance: self.variance + WANDER * wait, ..self }
    }
}

/// What came last. Kept apart, so that a likely pair and a likely extra note do not push each other out where they
/// lead to different places against the beat.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Last {
    Pair,
    Extra,
    Missed,
}

impl Last {
    const ALL: [Last; 3] = [Last::Pair, Last::Extra, Last::Missed];
}

/// How a cell was reached: from the cell before, by what came last there, or otherwise.
#[derive(Clone, Copy, PartialEq)]
enum From {
    Start,
    AfterPair,
    AfterExtra,
    AfterMissed,
    /// A pair after a stop, from the cheapest cell with as many played notes.
    Stop,
    /// Two pairs whose played notes changed places.
    SwapAfterPair,
    SwapAfterExtra,
    SwapAfterMissed,
}

impl From {
    fn after(last: Last) -> From {
        [From::AfterPair, From::AfterExtra, From::AfterMissed][last as usize]
    }

    fn swap_after(last: Last) -> From {
        [From::SwapAfterPair, From::SwapAfterExtra, From::SwapAfterMissed][last as usize]
    }

    /// What came last before.
    fn last(self) -> Last {
        match self {
            From::AfterExtra | From::SwapAfterExtra => Last::Extra,
            From::AfterMissed | From::SwapAfterMissed => Last::Missed,
            _ => Last::Pair,
        }
    }
}

/// Prices that hold for a whole performance.
struct Prices {
    /// Variance of one onset about the player's place.
    near: f64,
    right: f64,
    wrong: f64,
    miss: f64,
    miss_on: f64,
    extra: f64,
    slip: f64,
    restart: f64,
    stray: f64,
}

impl Prices {
    fn new(spread: f64) -> Prices {
        let price = |chance: f64| -chance.ln();
        Prices {
            near: spread * spread,
            right: price(Chances::RIGHT),
            wrong: price(Chances::WRONG),
            miss: price(Chances::MISS),
            miss_on: price(Chances::MISS_ON),
            extra: price(Chances::EXTRA),
            slip: price(Chances::SLIP),
            restart: price(Chances::RESTART),
            stray: price(Chances::STRAY),
        }
    }

    /// `cell` after an onset `late` seconds behind the beat: what that costs, and the new estimate of the place.
    fn timed(&self, cell: Cell, late: f64) -> Cell {
        let off = late - cell.place;
        if !cell.price.is_finite() || off.abs() > REACH_SECONDS {
            return Cell::NEVER;
        }
        let near = normal_price(off, cell.variance + self.near);
        let stray = self.stray + normal_price(off, cell.variance + STRAY_SECONDS * STRAY_SECONDS);
        let (price, noise) =
            if near <= stray { (near, self.near) } else { (stray, STRAY_SECONDS * STRAY_SECONDS) };
        let gain = cell.variance / (cell.variance + noise);
        Cell {
            price: cell.price + price,
            place: cell.place + gain * off,
            variance: (1.0 - gain) * cell.variance,
        }
    }
}

/// Minus the logarithm of the normal density.
fn normal_price(off: f64, variance: f64) -> f64 {
    0.5 * (off * off / variance + (std::f64::consts::TAU * variance).ln())
}

/// The explanations of as many played notes, by how many target notes they have passed and what came last.
struct Row {
    cells: [Vec<Cell>; 3],
}

impl Row {
    fn new(columns: usize) -> Row {
        Row { cells: std::array::from_fn(|_| vec![Cell::NEVER; columns]) }
    }

    fn at(&self, last: Last, column: usize) -> Cell {
        self.cells[last as usize][column]
    }

    fn put(&mut self, last: Last, column: usize, cell: Cell) {
        self.cells[last as usize][column] = cell;
    }

    /// From where the player may go on at a column after a stop: the cheapest cell that has passed all target notes
    /// before it. What was skipped is thus paid for as missed, and what is played again costs nothing more. The
    /// columns ascend, and so do the prices.
    fn stops(&self) -> Vec<Stop> {
        let mut stops = Vec::new();
        let mut price = f64::INFINITY;
        for column in (0..self.cells[0].len()).rev() {
            for last in Last::ALL {
                if self.at(last, column).price < price {
                    price = self.at(last, column).price;
                    stops.push(Stop { end: End { column, last }, price });
                }
            }
        }
        stops.reverse();
        stops
    }
}

/// Where a player stopped.
#[derive(Clone, Copy)]
struct Stop {
    end: End,
    price: f64,
}

/// The stop after which the player may go on with target note `column`, if there is one.
fn stop_before(stops: &[Stop], column: usize) -> Option<Stop> {
    stops.get(stops.partition_point(|stop| stop.end.column < column)).copied()
}

/// A cell of a row.
#[derive(Clone, Copy)]
struct End {
    column: usize,
    last: Last,
}

/// The cheapest of what has been offered, and how it was reached.
struct Best(Cell, From);

impl Best {
    const NONE: Best = Best(Cell::NEVER, From::Start);

    fn offer(&mut self, cell: Cell, from: From) {
        if cell.price < self.0.price {
            *self = Best(cell, from);
        }
    }
}

/// All explanations by their ends: rows count played notes, columns target notes.
struct Table<'a> {
    target: &'a [TimedNote],
    played: &'a [TimedNote],
    prices: Prices,
    /// By what came last, then row by row.
    from: [Vec<From>; 3],
    /// For each row where the player may have stopped.
    stops: Vec<Vec<Stop>>,
    end: End,
}

impl<'a> Table<'a> {
    fn fill(target: &'a [TimedNote], played: &'a [TimedNote], spread: f64) -> Table<'a> {
        let size = (target.len() + 1) * (played.len() + 1);
        let mut table = Table {
            target,
            played,
            prices: Prices::new(spread),
            from: std::array::from_fn(|_| vec![From::Start; size]),
            stops: Vec::with_capacity(played.len() + 1),
            end: End { column: 0, last: Last::Pair },
        };
        let mut last = table.first_row();
        table.stops.push(last.stops());
        let mut earlier = None;
        for row in 1..=played.len() {
            let next = table.next_row(row, &last, earlier.as_ref());
            table.stops.push(next.stops());
            earlier = Some(std::mem::replace(&mut last, next));
        }
        table.end = table.cheapest_end(&last);
        table
    }

    fn first_row(&mut self) -> Row {
        let mut row = Row::new(self.columns());
        row.put(Last::Pair, 0, Cell { price: 0.0, place: 0.0, variance: PRIOR_SECONDS * PRIOR_SECONDS });
        for column in 1..self.columns() {
            self.miss(0, column, &mut row);
        }
        row
    }

    /// Row `row` from the one before it and, but for the first, the one before that.
    fn next_row(&mut self, row: usize, last: &Row, earlier: Option<&Row>) -> Row {
        let mut next = Row::new(self.columns());
        for column in 0..self.columns() {
            let extra = self.best_extra(row, column, last);
            self.keep(row, column, Last::Extra, extra, &mut next);
            if column > 0 {
                let mut pair = self.best_pair(row, column, last);
                if let Some(earlier) = earlier {
                    self.offer_swap(row, column, earlier, &mut pair);
                }
                self.keep(row, column, Last::Pair, pair, &mut next);
                self.miss(row, column, &mut next);
            }
        }
        next
    }

    fn keep(&mut self, row: usize, column: usize, last: Last, best: Best, into: &mut Row) {
        into.put(last, column, best.0);
        let here = self.place(row, column);
        self.from[last as usize][here] = best.1;
    }

    /// The cheapest explanation in which played note `row` − 1 is extra.
    fn best_extra(&self, row: usize, column: usize, last: &Row) -> Best {
        let mut best = Best::NONE;
        for before in Last::ALL {
            let is_slip = before == Last::Pair && self.is_again(row);
            let price = if is_slip { self.prices.slip } else { self.prices.extra };
            best.offer(last.at(before, column).paying(price), From::after(before));
        }
        best
    }

    /// Whether played note `row` − 1 repeats the one before it within [`SLIP_SECONDS`].
    fn is_again(&self, row: usize) -> bool {
        row > 1 && {
            let (before, now) = (self.played[row - 2], self.played[row - 1]);
            before.midi == now.midi && (now.onset - before.onset).0 < SLIP_SECONDS
        }
    }

    /// The cheapest explanation in which played note `row` − 1 stands for target note `column` − 1.
    fn best_pair(&self, row: usize, column: usize, last: &Row) -> Best {
        let mut best = Best::NONE;
        let (target, played) = (self.target[column - 1], self.played[row - 1]);
        let is_right = target.midi == played.midi;
        let pitch = if is_right { self.prices.right } else { self.prices.wrong };
        let late = (played.onset - target.onset).0;
        let wait = self.wait(column);
        for before in Last::ALL {
            let cell = last.at(before, column - 1).after(wait);
            best.offer(self.prices.timed(cell, late).paying(pitch), From::after(before));
        }
        if is_right && let Some(stop) = stop_before(&self.stops[row - 1], column - 1) {
            let price = stop.price + self.prices.restart + pitch;
            best.offer(Cell { price, place: late, variance: self.prices.near }, From::Stop);
        }
        best
    }

    /// Offers that the last two played notes are the last two target notes in the other order.
    fn offer_swap(&self, row: usize, column: usize, earlier: &Row, best: &mut Best) {
        if column < 2 {
            return;
        }
        let (first, second) = (self.target[column - 2], self.target[column - 1]);
        let (sooner, later) = (self.played[row - 2], self.played[row - 1]);
        if first.midi == second.midi || first.midi != later.midi || second.midi != sooner.midi {
            return;
        }
        for before in Last::ALL {
            let cell = earlier.at(before, column - 2).after(self.wait(column - 1));
            let cell = self.prices.timed(cell, (later.onset - first.onset).0).after(self.wait(column));
            let cell = self.prices.timed(cell, (sooner.onset - second.onset).0);
            best.offer(cell.paying(2.0 * self.prices.right), From::swap_after(before));
        }
    }

    /// Puts the cheapest explanation in which target note `column` − 1 is missed.
    fn miss(&mut self, row: usize, column: usize, into: &mut Row) {
        let mut best = Best::NONE;
        for before in Last::ALL {
            let price = if before == Last::Missed { self.prices.miss_on } else { self.prices.miss };
            let cell = into.at(before, column - 1).after(self.wait(column));
            best.offer(cell.paying(price), From::after(before));
        }
        self.keep(row, column, Last::Missed, best, into);
    }

    /// Seconds from the target note before to the one that column `column` ends with.
    fn wait(&self, column: usize) -> f64 {
        match column {
            0 | 1 => 0.0,
            _ => (self.target[column - 1].onset - self.target[column - 2].onset).0,
        }
    }

    fn columns(&self) -> usize {
        self.target.len() + 1
    }

    fn place(&self, row: usize, column: usize) -> usize {
        row * self.columns() + column
    }

    /// Where the whole performance ends most cheaply, with the target notes after it missed.
    fn cheapest_end(&self, row: &Row) -> End {
        let mut best = (End { column: 0, last: Last::Pair }, f64::INFINITY);
        for column in 0..self.columns() {
            for last in Last::ALL {
                let price = row.at(last, column).price + self.unplayed(self.target.len() - column, last);
                if price < best.1 {
                    best = (End { column, last }, price);
                }
            }
        }
        best.0
    }

    /// What it costs to miss the last `count` target notes.
    fn unplayed(&self, count: usize, last: Last) -> f64 {
        let first = if last == Last::Missed { self.prices.miss_on } else { self.prices.miss };
        if count == 0 { 0.0 } else { first + (count - 1) as f64 * self.prices.miss_on }
    }

    /// The pairs on the cheapest way, in the order in which they were played, with the stops between them.
    fn trace(&self) -> Vec<Step> {
        let (mut row, mut end) = (self.played.len(), self.end);
        let mut steps = Vec::new();
        let pair = |target: usize, played: usize| Step::Pair(Pair { target: target - 1, played: played - 1 });
        loop {
            let (column, last) = (end.column, end.last);
            let from = self.from[last as usize][self.place(row, column)];
            let back = |by: usize| End { column: column - by, last: from.last() };
            match (last, from) {
                (_, From::Start) => break,
                (Last::Extra, _) => (row, end) = (row - 1, back(0)),
                (Last::Missed, _) => end = back(1),
                (Last::Pair, From::Stop) => {
                    steps.extend([pair(column, row), Step::Stop]);
                    let Some(stop) = stop_before(&self.stops[row - 1], column - 1) else { break };
                    (row, end) = (row - 1, stop.end);
                }
                (Last::Pair, From::AfterPair | From::AfterExtra | From::AfterMissed) => {
                    steps.push(pair(column, row));
                    (row, end) = (row - 1, back(1));
                }
                (Last::Pair, _) => {
                    steps.extend([pair(column - 1, row), pair(column, row - 1)]);
                    (row, end) = (row - 2, back(2));
                }
            }
        }
        steps.reverse();
        steps
    }
}
