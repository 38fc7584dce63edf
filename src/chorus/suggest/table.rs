//! The table: for each placement, each riff that its chorus may have opened with, and how often its riff has been heard
//! in a row, the most points that any way of reaching it has.
//!
//! How a placement follows another depends on the other's end and its last pitch, on the line it stands in, and on
//! whether both are the same riff. So all placements that end alike are one row here, and all that begin alike ask only
//! once; staying with a riff is looked at for itself. What ends alike keeps the best of two different riffs, and whoever
//! asks takes the one that is not its own.

use std::collections::BTreeMap;

use crate::chorus::course::Course;
use crate::chorus::placement::Placed;
use crate::chorus::rules::{Points, Rule};
use crate::chorus::score::{beyond_fifth, off_room};
use crate::chorus::suggest::candidates::{Candidate, Needs, ranked};
use crate::chorus::suggest::{Request, longest_silence};
use crate::units::Ticks;

/// Cannot be reached. Low enough to lose against everything, high enough to add to.
pub(super) const NEVER: i32 = i32::MIN / 4;

/// What stands between a placement and what comes before it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Passage {
    /// Both belong to the same line.
    SameLine,
    /// The second opens its line.
    NewLine,
    /// The second opens its chorus.
    NewChorus,
}

/// How many times in a row are told apart: as many as a riff may run.
pub(super) const RUNS: usize = 4;

/// The candidates, and the most points of every way to reach each.
pub(super) struct Table<'a> {
    course: &'a Course,
    wished: std::ops::RangeInclusive<i64>,
    points: Points,
    longest_silence: Ticks,
    /// The longest time from where a candidate's beats begin to where they end.
    longest: Ticks,
    candidates: Vec<Candidate>,
    /// How many of the placements that stay come before each candidate.
    stay_before: Vec<usize>,
    stay: usize,
    /// The candidates by their ends.
    by_end: Vec<usize>,
    /// Beside each of those the most points of any way to reach it.
    peaks: Vec<i32>,
    /// One lane for each riff that a chorus may have opened with, and one for none.
    lanes: usize,
    /// Whether a riff may run on only so long.
    is_capped: bool,
    /// Points of each half beat that sounds.
    price: i32,
    /// The longest pickup into bar 1: what is left free for it at the end, since a chorus comes again.
    pickup: Ticks,
    values: Vec<i32>,
}

/// What all placements that end alike share: end, silence and pitch after it, line, and those that stay so far.
type Exit = (Ticks, Ticks, i32, (usize, usize), usize);

/// What all that begin alike share, at one time: sound and pitch, line, and those that stay so far.
type Entrance = (Ticks, i32, (usize, usize), usize);

/// The most points of what ends alike, and the most of those that end in another riff than the best.
#[derive(Clone, Copy)]
struct Best {
    most: i32,
    riff: usize,
    other: i32,
}

impl Best {
    const NONE: Best = Best { most: NEVER, riff: usize::MAX, other: NEVER };

    fn take(&mut self, points: i32, riff: usize) {
        if riff == self.riff {
            self.most = self.most.max(points);
        } else if points > self.most {
            *self = Best { most: points, riff, other: self.most };
        } else {
            self.other = self.other.max(points);
        }
    }

    /// Takes what another has, and `more`.
    fn merge(&mut self, other: Best, more: i32) {
        if other.most > NEVER / 2 {
            self.take(other.most + more, other.riff);
        }
        if other.other > NEVER / 2 {
            // Of another riff than `other.riff`, and whichever it is: it must not pass for the riff of `most`.
            self.other = self.other.max(other.other + more);
        }
    }

    /// The most points of those that do not end in `riff`.
    fn but_of(self, riff: usize) -> i32 {
        if self.riff == riff { self.other } else { self.most }
    }
}

/// The most points of every way up to an entrance, by what stands between.
struct Incoming {
    same_line: Vec<Best>,
    new_line: Vec<Best>,
    new_chorus: Best,
}

impl<'a> Table<'a> {
    /// The table over `candidates`, which stand in the order of time, not filled yet.
    pub fn new(request: &Request<'a>, candidates: Vec<Candidate>) -> Table<'a> {
        let mut stay_before = Vec::with_capacity(candidates.len());
        let mut stay = 0;
        for candidate in &candidates {
            stay_before.push(stay);
            stay += usize::from(candidate.is_fixed);
        }
        let mut by_end: Vec<usize> = (0..candidates.len()).collect();
        by_end.sort_by_key(|index| candidates[*index].end);
        Table {
            course: request.course,
            wished: request.taste.room.wished(),
            points: Points::at(request.taste.adventure),
            longest_silence: longest_silence(request.course),
            longest: candidates.iter().map(|one| one.end - one.at).max().unwrap_or(Ticks::ZERO),
            is_capped: request.taste.adventure.most_running().is_some() && has_two_riffs(&candidates),
            price: 0,
            pickup: candidates.iter().map(|one| -one.at).max().unwrap_or(Ticks::ZERO).max(Ticks::ZERO),
            values: Vec::new(),
            candidates,
            stay_before,
            stay,
            by_end,
            peaks: Vec::new(),
            lanes: request.riffs.len() + 1,
        }
    }

    /// How many values are compared when the table is filled, counted without comparing them.
    pub fn work(&self) -> u64 {
        let mut exits: Vec<Exit> = (0..self.candidates.len()).map(|index| self.exit(index)).collect();
        exits.sort_unstable();
        exits.dedup();
        let entrance = |index: usize| (self.candidates[index].at, self.entrance(index));
        let mut entrances: Vec<(Ticks, Entrance)> = (0..self.candidates.len()).map(entrance).collect();
        entrances.sort_unstable();
        entrances.dedup();
        let met = |(at, entrance): &(Ticks, Entrance)| {
            let from = exits.partition_point(|exit| exit.0 < entrance.0 - self.longest_silence);
            exits.partition_point(|exit| exit.0 <= *at).saturating_sub(from) as u64
        };
        let others: u64 = entrances.iter().map(met).sum();
        let mut by_riff: Vec<Vec<usize>> = vec![Vec::new(); self.lanes];
        let mut same = 0;
        for (index, one) in self.candidates.iter().enumerate() {
            same += self.within_reach(&by_riff[one.riff], index).len() as u64;
            by_riff[one.riff].push(index);
        }
        (others + same * self.runs() as u64) * self.lanes as u64
    }

    /// How many times in a row are told apart.
    fn runs(&self) -> usize {
        if self.is_capped { RUNS } else { 1 }
    }

    /// Sets what each half beat that sounds is worth. The table must be filled anew.
    pub fn set_price(&mut self, price: i32) {
        self.price = price;
    }

    /// Lets a riff run on as long as it likes; `false` where it may already.
    pub fn allow_running(&mut self) -> bool {
        std::mem::take(&mut self.is_capped)
    }

    /// How many candidates the bar has that has the most.
    pub fn most_in_a_bar(&self) -> usize {
        self.by_bar().iter().map(Vec::len).max().unwrap_or(0)
    }

    /// Of each bar the `most` candidates that promise most, as a mark for each candidate.
    pub fn best_of_bars(&self, most: usize) -> Vec<bool> {
        let best = |bar: &Vec<usize>| -> Vec<usize> {
            let candidates: Vec<&Candidate> = bar.iter().map(|index| &self.candidates[*index]).collect();
            ranked(&candidates).into_iter().take(most).map(|place| bar[place]).collect()
        };
        let mut marks = vec![false; self.candidates.len()];
        self.by_bar().iter().flat_map(best).for_each(|index| marks[index] = true);
        marks
    }

    /// The candidates that do not stay, by the bar that they belong to.
    fn by_bar(&self) -> Vec<Vec<usize>> {
        let mut bars = vec![Vec::new(); self.course.bars()];
        for (index, one) in self.candidates.iter().enumerate().filter(|(_, one)| !one.is_fixed) {
            bars[one.bar].push(index);
        }
        bars
    }

    /// Allows a silence twice as long between neighbours; `false` where it is as long as everything already.
    pub fn allow_more_silence(&mut self) -> bool {
        let more = self.longest_silence <= self.course.length();
        if more {
            self.longest_silence = self.longest_silence * 2;
        }
        more
    }

    /// The same table, of which only the candidates that `keeps` says are left.
    pub fn of_those(self, request: &Request<'a>, keeps: impl Fn(usize) -> bool) -> Table<'a> {
        let Table { longest_silence, price, is_capped, .. } = self;
        let kept =
            self.candidates.into_iter().enumerate().filter(|(index, one)| one.is_fixed || keeps(*index));
        let kept = kept.map(|(_, candidate)| candidate).collect();
        let new = Table::new(request, kept);
        let is_capped = is_capped && new.is_capped;
        Table { longest_silence, price, is_capped, ..new }
    }

    /// Another table, not filled, with the `most` candidates of each bar that promise most.
    pub fn sample(&self, request: &Request<'a>, most: usize) -> Table<'a> {
        let marks = self.best_of_bars(most);
        let kept = self.candidates.iter().zip(marks).filter(|(one, mark)| one.is_fixed || *mark);
        let new = Table::new(request, kept.map(|(one, _)| one.clone()).collect());
        let is_capped = self.is_capped && new.is_capped;
        Table { longest_silence: self.longest_silence, price: self.price, is_capped, ..new }
    }

    /// Fills the table; says whether any way leads through to the end.
    pub fn fill(&mut self) -> bool {
        self.values = vec![NEVER; self.candidates.len() * self.lanes * self.runs()];
        self.run();
        self.peaks = self.by_end.iter().map(|index| most(self.values(*index))).collect();
        self.is_reached()
    }

    pub fn candidates(&self) -> &[Candidate] {
        &self.candidates
    }

    pub fn placed(&self, index: usize) -> &Placed {
        &self.candidates[index].placed
    }

    /// By lane and run, the most points with which `index` is reached, its own among them.
    pub fn values(&self, index: usize) -> &[i32] {
        let each = self.slots();
        &self.values[index * each..(index + 1) * each]
    }

    /// How many ways to be reached are told apart: lanes times runs.
    pub fn slots(&self) -> usize {
        self.lanes * self.runs()
    }

    /// The lane of a slot.
    pub fn lane_of(&self, slot: usize) -> usize {
        slot / self.runs()
    }

    /// The slots of a lane.
    pub fn slots_of(&self, lane: usize) -> std::ops::Range<usize> {
        lane * self.runs()..(lane + 1) * self.runs()
    }

    /// How often the riff of `index` has then been heard in a row, from 0, where it follows `before` that has been heard
    /// as `slot` says; `None` where it may not run on.
    pub fn run_after(&self, before: usize, slot: usize, index: usize) -> Option<usize> {
        if !self.is_capped || self.candidates[before].riff != self.candidates[index].riff {
            return Some(0);
        }
        let run = slot % RUNS + 1;
        // What stays is not asked.
        if self.candidates[index].is_fixed {
            Some(run.min(RUNS - 1))
        } else {
            Some(run).filter(|run| *run < RUNS)
        }
    }

    /// How often the riff of a candidate has been heard in a row, from 0, by its slot.
    pub fn run_of(&self, slot: usize) -> usize {
        slot % self.runs()
    }

    /// Whether `index` has before it what it needs, where it follows `before` in a chorus that opened with `lane`; `None`
    /// where it opens its chorus itself.
    pub fn has_its_call(&self, before: usize, index: usize, lane: Option<usize>) -> bool {
        let (one, other) = (&self.candidates[before], &self.candidates[index]);
        let is_same = one.riff == other.riff;
        match other.needs {
            Needs::Nothing | Needs::AnOpening => true,
            Needs::ItsRiff => is_same || lane == Some(other.riff),
            Needs::ItsCall => is_same && !one.is_answer(),
        }
    }

    /// The points that a candidate has by itself.
    pub fn own(&self, index: usize) -> i32 {
        let one = &self.candidates[index];
        one.own + self.price * one.sounds
    }

    /// Whether a candidate stays as it is.
    pub fn stays(&self, index: usize) -> bool {
        self.candidates[index].is_fixed
    }

    /// The candidates that stay as they are, as a mark for each candidate.
    pub fn all_that_stay(&self) -> Vec<bool> {
        self.candidates.iter().map(|one| one.is_fixed).collect()
    }

    /// Where those that `index` may follow stand in the order of their ends, for [`Table::step_from`].
    pub fn before(&self, index: usize) -> std::ops::Range<usize> {
        let at = self.candidates[index].at;
        let earliest = self.candidates[index].entrance.0 - self.longest_silence;
        let from = self.by_end.partition_point(|other| self.candidates[*other].end < earliest);
        // A riff whose first note comes late may begin where no silence that is allowed reaches to.
        from..self.by_end.partition_point(|other| self.candidates[*other].end <= at).max(from)
    }

    /// The most points of any way to reach what stands at `place` in the order of ends.
    pub fn peak(&self, place: usize) -> i32 {
        self.peaks[place]
    }

    /// What stands at `place` in the order of ends, and what the step from it to `index` gives; `None` where that cannot
    /// be done.
    pub fn step_from(&self, place: usize, index: usize) -> Option<(usize, i32)> {
        let before = self.by_end[place];
        Some((before, self.step(before, index)?))
    }

    /// No step gives more. Silence and leaps only take: their points are for what is too much.
    pub fn most_of_a_step(&self) -> i32 {
        self.points.of(Rule::Switch, 1).max(self.points.of(Rule::Same, 1)).max(0)
    }

    /// What the first placement gives for standing where it does; `None` where it cannot be the first.
    pub fn first(&self, index: usize) -> Option<i32> {
        let one = &self.candidates[index];
        let silence = one.entrance.0;
        let may_open = one.needs == Needs::Nothing;
        (may_open && self.stay_before[index] == 0 && silence <= self.longest_silence)
            .then(|| self.edge(silence))
    }

    /// What the last placement gives for being the last; `None` where it cannot be.
    pub fn last(&self, index: usize) -> Option<i32> {
        let one = &self.candidates[index];
        let silence = self.course.length() - one.exit.0;
        let is_free = one.is_fixed || one.at < Ticks::ZERO || one.end + self.pickup <= self.course.length();
        (is_free && self.stay_through(index) == self.stay && silence <= self.longest_silence)
            .then(|| self.edge(silence) + one.as_last)
    }

    /// What stands between two candidates.
    pub fn passage(&self, before: usize, index: usize) -> Passage {
        passage(self.candidates[before].line, self.candidates[index].line)
    }

    /// The lane of a candidate that opens its chorus.
    pub fn opening_lane(&self, index: usize) -> usize {
        let one = &self.candidates[index];
        if one.line.1 == 0 { one.riff } else { self.lanes - 1 }
    }

    /// What opening its chorus gives a candidate.
    pub fn opens_chorus(&self, index: usize) -> i32 {
        self.candidates[index].as_opener
    }

    /// What opening its line gives a candidate in a chorus that opened with `lane`.
    pub fn opens_line(&self, index: usize, lane: usize) -> i32 {
        let one = &self.candidates[index];
        let (is_last, is_same) = (one.line.1 + 1 == self.course.lines(), one.riff == lane);
        let says = match (lane + 1 == self.lanes, is_last, is_same) {
            (false, true, false) => self.points.of(Rule::Answer, 1),
            (false, false, true) => self.points.of(Rule::Repeat, 1),
            _ => 0,
        };
        says + one.as_opener
    }

    fn is_reached(&self) -> bool {
        (0..self.candidates.len()).any(|index| {
            self.last(index).is_some() && self.values(index).iter().any(|value| *value > NEVER / 2)
        })
    }

    fn stay_through(&self, index: usize) -> usize {
        self.stay_before[index] + usize::from(self.candidates[index].is_fixed)
    }

    fn edge(&self, silence: Ticks) -> i32 {
        self.points.of(Rule::Room, off_room(self.course, 0..=*self.wished.end(), silence.max(Ticks::ZERO)))
    }

    /// What it gives to come from an exit to an entrance, apart from the riffs; `None` where it cannot be done.
    fn between(&self, exit: (Ticks, i32), entrance: (Ticks, i32)) -> Option<i32> {
        let gap = entrance.0 - exit.0;
        (gap <= self.longest_silence).then(|| {
            self.points.of(Rule::Room, off_room(self.course, self.wished.clone(), gap))
                + self.points.of(Rule::Leap, beyond_fifth(entrance.1 - exit.1))
        })
    }

    fn step(&self, before: usize, index: usize) -> Option<i32> {
        let (one, other) = (&self.candidates[before], &self.candidates[index]);
        let skips_none = self.stay_through(before) == self.stay_before[index];
        let said_again = one.placed.placement.changes == other.placed.placement.changes;
        let switch = match (one.riff == other.riff, said_again && one.line == other.line) {
            (false, _) => self.points.of(Rule::Switch, 1),
            (true, true) => self.points.of(Rule::Same, 1),
            (true, false) => 0,
        };
        let between = self.between(one.exit, other.entrance).filter(|_| one.end <= other.at && skips_none)?;
        Some(between + switch)
    }

    fn run(&mut self) {
        let mut exits: BTreeMap<Exit, Vec<Best>> = BTreeMap::new();
        let mut by_riff: Vec<Vec<usize>> = vec![Vec::new(); self.lanes];
        let mut entrances: BTreeMap<Entrance, Incoming> = BTreeMap::new();
        let mut now = Ticks(i64::MIN);
        let (slots, runs) = (self.slots(), self.runs());
        for index in 0..self.candidates.len() {
            let one = &self.candidates[index];
            if one.at != now {
                entrances.clear();
                now = one.at;
                // Nothing that comes reaches back to what ended before this.
                exits = exits.split_off(&first_exit(now - self.longest_silence));
            }
            let entrance = self.entrance(index);
            let incoming =
                entrances.entry(entrance).or_insert_with(|| self.incoming(&exits, one.at, entrance));
            let reached = self.reached(index, incoming, self.within_reach(&by_riff[one.riff], index));
            let row = exits.entry(self.exit(index)).or_insert_with(|| vec![Best::NONE; self.lanes]);
            for (best, values) in row.iter_mut().zip(reached.chunks(runs)) {
                best.take(most(values), one.riff);
            }
            by_riff[one.riff].push(index);
            self.values[index * slots..(index + 1) * slots].copy_from_slice(&reached);
        }
    }

    fn exit(&self, index: usize) -> Exit {
        let one = &self.candidates[index];
        (one.end, one.exit.0, one.exit.1, one.line, self.stay_through(index))
    }

    fn entrance(&self, index: usize) -> Entrance {
        let one = &self.candidates[index];
        (one.entrance.0, one.entrance.1, one.line, self.stay_before[index])
    }

    /// Of candidates in the order of time those that do not lie too far back for `index` to follow them.
    fn within_reach<'b>(&self, before: &'b [usize], index: usize) -> &'b [usize] {
        let earliest = self.candidates[index].entrance.0 - self.longest_silence - self.longest;
        &before[before.partition_point(|other| self.candidates[*other].at < earliest)..]
    }

    /// Every way up to an entrance, as from another riff.
    fn incoming(&self, exits: &BTreeMap<Exit, Vec<Best>>, at: Ticks, entrance: Entrance) -> Incoming {
        let (sounds, pitch, line, stay_before) = entrance;
        let mut incoming = Incoming {
            same_line: vec![Best::NONE; self.lanes],
            new_line: vec![Best::NONE; self.lanes],
            new_chorus: Best::NONE,
        };
        let earliest = sounds - self.longest_silence;
        if earliest > at {
            // Its first note comes so late that the silence before it is too long, whatever it follows.
            return incoming;
        }
        let earliest = first_exit(earliest);
        let latest = (at, Ticks(i64::MAX), i32::MAX, (usize::MAX, 0), 0);
        let switch = self.points.of(Rule::Switch, 1);
        for ((_, silent, exit_pitch, exit_line, stay_through), row) in exits.range(earliest..=latest) {
            let Some(between) = self.between((*silent, *exit_pitch), (sounds, pitch)) else { continue };
            if *stay_through != stay_before {
                continue;
            }
            match passage(*exit_line, line) {
                Passage::SameLine => {
                    for (best, other) in incoming.same_line.iter_mut().zip(row) {
                        best.merge(*other, between + switch);
                    }
                }
                Passage::NewLine => {
                    for (best, other) in incoming.new_line.iter_mut().zip(row) {
                        best.merge(*other, between + switch);
                    }
                }
                Passage::NewChorus => {
                    row.iter().for_each(|other| incoming.new_chorus.merge(*other, between + switch));
                }
            }
        }
        incoming
    }

    /// The most points of reaching `index`, by lane and run.
    fn reached(&self, index: usize, incoming: &Incoming, same_riff: &[usize]) -> Vec<i32> {
        let one = &self.candidates[index];
        let runs = self.runs();
        let opening = self.opening_lane(index);
        let mut reached = vec![NEVER; self.slots()];
        let mut raise = |lane: usize, run: usize, points: i32| {
            let slot = &mut reached[lane * runs + run];
            *slot = (*slot).max(points);
        };
        // From another riff.
        let needs_nothing = matches!(one.needs, Needs::Nothing | Needs::AnOpening);
        for lane in 0..self.lanes {
            if needs_nothing || (one.needs == Needs::ItsRiff && lane == one.riff) {
                let new_line = incoming.new_line[lane].but_of(one.riff) + self.opens_line(index, lane);
                raise(lane, 0, incoming.same_line[lane].but_of(one.riff).max(new_line));
            }
        }
        let mut new_chorus = self.first(index).unwrap_or(NEVER);
        if needs_nothing {
            new_chorus = new_chorus.max(incoming.new_chorus.but_of(one.riff));
        }
        raise(opening, 0, new_chorus + self.opens_chorus(index));
        // From the same one.
        for &before in same_riff {
            let Some(step) = self.step(before, index) else { continue };
            let passage = self.passage(before, index);
            for (slot, value) in
                self.values(before).iter().enumerate().filter(|(_, value)| **value > NEVER / 2)
            {
                let lane = self.lane_of(slot);
                let opened = (passage != Passage::NewChorus).then_some(lane);
                let Some(run) = self.run_after(before, slot, index) else { continue };
                if !self.has_its_call(before, index, opened) {
                    continue;
                }
                match passage {
                    Passage::SameLine => raise(lane, run, value + step),
                    Passage::NewLine => raise(lane, run, value + step + self.opens_line(index, lane)),
                    Passage::NewChorus => raise(opening, run, value + step + self.opens_chorus(index)),
                }
            }
        }
        let own = self.own(index);
        reached.iter_mut().for_each(|value| *value = if *value > NEVER / 2 { *value + own } else { NEVER });
        reached
    }
}

/// Whether there is more than one riff among them.
fn has_two_riffs(candidates: &[Candidate]) -> bool {
    candidates.iter().any(|one| one.riff != candidates[0].riff)
}

/// Where the exits that end at `end` or later begin.
fn first_exit(end: Ticks) -> Exit {
    (end, Ticks(i64::MIN), i32::MIN, (0, 0), 0)
}

fn passage(before: (usize, usize), after: (usize, usize)) -> Passage {
    if before == after {
        Passage::SameLine
    } else if before.0 == after.0 {
        Passage::NewLine
    } else {
        Passage::NewChorus
    }
}

fn most(row: &[i32]) -> i32 {
    row.iter().copied().max().unwrap_or(NEVER)
}
