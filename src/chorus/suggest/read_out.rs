//! Reading the best chorus out of the table, from its end to its start.

use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap};

use crate::chorus::suggest::table::{NEVER, Passage, Table};

/// Where a chorus is settled up to, seen from its end.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Settled {
    /// Nothing is settled.
    Nothing,
    /// From this candidate, reached as this slot of the table says, to the end.
    From { index: usize, slot: usize },
    /// All of it.
    Whole,
}

#[derive(Clone, Copy)]
struct Node {
    settled: Settled,
    /// How many settled placements are new, counted up to as many as are asked for.
    news: usize,
    /// The points of what follows the candidate up to which it is settled.
    after: i32,
    /// The node of what follows, if anything does.
    next: Option<usize>,
    /// Whether it has come up before.
    is_open: bool,
}

/// The chorus with the most points of those with at least `news` placements that are not `known` (by the candidates'
/// indices), as candidates in the
/// order of time, and its points; or nothing, or that more than `most` steps would have to be held to tell.
///
/// A*: P. Hart, N. Nilsson and B. Raphael, "A formal basis for the heuristic determination of minimum cost paths",
/// IEEE Transactions on Systems Science and Cybernetics 4(2), 1968, doi:10.1109/TSSC.1968.300136. The estimate is the
/// table's value, exact but for what is asked of news, so that it never promises too little. Of a node's many
/// continuations only those that keep its promise are taken up; it waits for the rest with the next best promise.
pub(super) fn best(table: &Table, known: &[bool], news: usize, most: Most) -> Outcome {
    let slots = table.slots();
    // No more of them than of steps that are held.
    let mut closed = BTreeSet::new();
    let mut search = Search::new(table, known, news);
    search.open.push((i32::MAX, 0, Reverse(0)));
    while let Some((promise, _, Reverse(number))) = search.open.pop() {
        let node = search.nodes[number];
        match node.settled {
            Settled::Whole => return Outcome::Best(search.path(number), promise),
            Settled::From { index, slot } if !node.is_open => {
                // The first that gets here has the most points after it; a later one is no better.
                if !closed.insert((index * slots + slot, node.news)) {
                    continue;
                }
            }
            Settled::From { .. } | Settled::Nothing => {}
        }
        search.nodes[number].is_open = true;
        search.expand(number, promise);
        if search.nodes.len() > most.nodes || search.looked_at > most.work {
            // Where nothing need be new the estimate is exact, and any way that keeps its promise is one of the best.
            return if news == 0 { straight(table, known) } else { Outcome::TooMuch };
        }
    }
    Outcome::None
}

/// A chorus with the most points, by taking up the first continuation that keeps the promise.
fn straight(table: &Table, known: &[bool]) -> Outcome {
    let mut search = Search::new(table, known, 0);
    // Nothing keeps a promise above all: what is left open for later is the best that there is.
    search.expand(0, i32::MAX);
    let Some((promise, ..)) = search.open.pop() else { return Outcome::None };
    let mut number = 0;
    loop {
        let next = search.nodes.len();
        search.expand(number, promise);
        match search.nodes.get(next).map(|node| node.settled) {
            Some(Settled::Whole) => return Outcome::Best(search.path(next), promise),
            Some(_) => number = next,
            None => return Outcome::None,
        }
    }
}

/// How much reading out may take.
#[derive(Clone, Copy)]
pub(super) struct Most {
    /// Steps that are held.
    pub nodes: usize,
    /// Continuations that are looked at.
    pub work: u64,
}

/// What reading out comes to.
pub(super) enum Outcome {
    /// The best chorus, and its points.
    Best(Vec<usize>, i32),
    /// There is none.
    None,
    /// There may be one; telling would take more than is held.
    TooMuch,
}

struct Search<'a> {
    table: &'a Table<'a>,
    known: &'a [bool],
    news: usize,
    nodes: Vec<Node>,
    /// How many continuations have been looked at.
    looked_at: u64,
    /// The most that a node can come to, its news, and its number.
    open: BinaryHeap<(i32, usize, Reverse<usize>)>,
}

impl<'a> Search<'a> {
    fn new(table: &'a Table<'a>, known: &'a [bool], news: usize) -> Search<'a> {
        let nothing = Node { settled: Settled::Nothing, news: 0, after: 0, next: None, is_open: false };
        Search { table, known, news, nodes: vec![nothing], looked_at: 0, open: BinaryHeap::new() }
    }

    /// Takes up the continuations of a node that keep `promise`, and leaves those that promise less for later.
    fn expand(&mut self, number: usize, promise: i32) {
        let (node, table, asked) = (self.nodes[number], self.table, self.news);
        let mut sweep = Sweep { promise, later: NEVER, kept: Vec::new(), looked_at: 0 };
        match node.settled {
            Settled::Nothing => {
                for index in 0..table.candidates().len() {
                    if let Some(last) = table.last(index) {
                        sweep.look(table, index, 0..table.slots(), last);
                    }
                }
            }
            Settled::From { index, slot } => {
                let (lane, run) = (table.lane_of(slot), table.run_of(slot));
                let after = node.after + table.own(index);
                let opens_chorus = table.opening_lane(index) == lane;
                let opens_line = table.opens_line(index, lane);
                let as_first = table.opens_chorus(index);
                let first = table
                    .first(index)
                    .map(|first| first + as_first)
                    .filter(|_| opens_chorus && run == 0 && node.news == asked);
                if let Some(first) = first {
                    sweep.take(Settled::Whole, after + first, after + first);
                }
                let most_more = after + table.most_of_a_step() + opens_line.max(as_first).max(0);
                for place in table.before(index) {
                    if sweep.passes_over(table.peak(place) + most_more) {
                        continue;
                    }
                    let Some((before, step)) = table.step_from(place, index) else { continue };
                    let after = after + step;
                    let (slots, more, opened) = match table.passage(before, index) {
                        Passage::SameLine => (table.slots_of(lane), 0, Some(lane)),
                        Passage::NewLine => (table.slots_of(lane), opens_line, Some(lane)),
                        Passage::NewChorus if opens_chorus => (0..table.slots(), as_first, None),
                        Passage::NewChorus => continue,
                    };
                    if table.has_its_call(before, index, opened) {
                        let comes = |slot: &usize| table.run_after(before, *slot, index) == Some(run);
                        sweep.look(table, before, slots.filter(comes), after + more);
                    }
                }
            }
            Settled::Whole => {}
        }
        let Sweep { later, kept, looked_at, .. } = sweep;
        self.looked_at += looked_at;
        for (settled, after) in kept {
            self.settle(number, settled, after, promise);
        }
        if later > NEVER / 2 {
            self.open.push((later, node.news, Reverse(number)));
        }
    }

    fn settle(&mut self, next: usize, settled: Settled, after: i32, most: i32) {
        let is_new = matches!(settled, Settled::From { index, .. } if !self.known[index]);
        let news = (self.nodes[next].news + usize::from(is_new)).min(self.news);
        self.nodes.push(Node { settled, news, after, next: Some(next), is_open: false });
        self.open.push((most, news, Reverse(self.nodes.len() - 1)));
    }

    /// The candidates from a whole chorus's node on.
    fn path(&self, number: usize) -> Vec<usize> {
        let follow = |node: &&Node| node.next.map(|next| &self.nodes[next]);
        let index = |node: &Node| match node.settled {
            Settled::From { index, .. } => Some(index),
            Settled::Nothing | Settled::Whole => None,
        };
        std::iter::successors(Some(&self.nodes[number]), follow).filter_map(index).collect()
    }
}

/// The continuations of one node, as they are looked at.
struct Sweep {
    promise: i32,
    /// The most that one comes to which does not keep the promise.
    later: i32,
    /// Those that keep it, with the points of what follows them.
    kept: Vec<(Settled, i32)>,
    looked_at: u64,
}

impl Sweep {
    /// Takes a continuation up where it keeps the promise. One that promises more was taken up when the node came up before.
    fn take(&mut self, settled: Settled, after: i32, most: i32) {
        self.looked_at += 1;
        if most == self.promise {
            self.kept.push((settled, after));
        } else if most < self.promise {
            self.later = self.later.max(most);
        }
    }

    /// Whether what comes to `most` at best can be passed over: it neither keeps the promise nor is it the next best.
    fn passes_over(&mut self, most: i32) -> bool {
        self.looked_at += 1;
        most <= self.later
    }

    /// Looks at `index` in those of `slots` in which it is reached.
    fn look(&mut self, table: &Table, index: usize, slots: impl Iterator<Item = usize>, after: i32) {
        for slot in slots {
            let reached = table.values(index)[slot];
            if reached != NEVER {
                self.take(Settled::From { index, slot }, after, reached + after);
            }
        }
    }
}
