//! The time line: which bar lies where, before the first bar line and after it.

use std::ops::Range;

use crate::chorus;
use crate::form::{Bar, Changes};
use crate::perform::solo::crushed_length;
use crate::perform::{Part, Score};
use crate::rhythm::metre::Metre;
use crate::riff::{Note, Riff};
use crate::units::{ScoreTime, Ticks};

/// A bar line that is known: where it lies on the time line, and which bar begins there.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Anchor {
    /// The bar line, not before the first one.
    pub at: ScoreTime,
    /// The looped bar that begins there, counted from the loop's start.
    pub bar: usize,
    /// How many times through have gone by before it.
    pub time: u32,
}

/// A bar on the time line.
#[derive(Clone, Debug)]
pub struct BarOnLine {
    /// Where it begins.
    pub at: ScoreTime,
    /// Its index in the form; `None` for a bar of the count-in.
    pub index: Option<usize>,
    /// How it is counted.
    pub metre: Metre,
    /// Its place within the loop.
    pub(super) place: usize,
    /// Times through before it.
    pub(super) time: u32,
}

impl BarOnLine {
    /// Where it ends.
    pub fn end(&self) -> ScoreTime {
        self.at + self.metre.bar()
    }
}

impl Score {
    /// Where the time line begins: with the intro and the count-in before it, or with the riff's pickup where that
    /// comes sooner.
    pub fn begin(&self) -> ScoreTime {
        let metre = self.cycle()[0].metre;
        let count_in = metre.bar() * i64::from(self.count_in);
        let lead_in = self.intro_begins() - count_in.max(metre.beat() * i64::from(self.pickup()));
        let riff = self.solo.riff().filter(|riff| {
            self.parts.has(Part::Solo) && self.repeats(riff).contains(&self.bar_at(ScoreTime::ZERO).place)
        });
        let pickup =
            riff.and_then(|riff| Some(ScoreTime::ZERO + riff.start + sounds_from(riff.notes().first()?)));
        pickup.into_iter().chain(self.placed_pickup()).fold(lead_in, ScoreTime::min)
    }

    /// Where the score ends, or `None` where it goes on for ever.
    pub fn end(&self) -> Option<ScoreTime> {
        let left = i64::from(self.times?.saturating_sub(self.anchor.time));
        Some(self.anchor.at + self.cycle_length() * left - self.start_of(self.anchor.bar))
    }

    /// The bar in which `at` lies; before the first bar line a bar of the intro or the count-in.
    pub fn bar_at(&self, at: ScoreTime) -> BarOnLine {
        if at < ScoreTime::ZERO {
            return self.bar_before_first(at);
        }
        let begins = self.anchor.at - self.start_of(self.anchor.bar);
        let times = (at - begins).div_floor(self.cycle_length());
        let mut start = begins + self.cycle_length() * times;
        for (place, bar) in self.cycle().iter().enumerate() {
            if at < start + bar.metre.bar() {
                let time = (i64::from(self.anchor.time) + times).max(0) as u32;
                let index = Some(self.loop_range().start + place);
                return BarOnLine { at: start, index, metre: bar.metre, place, time };
            }
            start += bar.metre.bar();
        }
        unreachable!("the remainder of a division lies within the cycle")
    }

    fn bar_before_first(&self, at: ScoreTime) -> BarOnLine {
        let mut start = ScoreTime::ZERO;
        for (index, bar) in self.intro_bars() {
            start = start - bar.metre.bar();
            if at >= start {
                return BarOnLine { at: start, index: Some(index), metre: bar.metre, place: index, time: 0 };
            }
        }
        let metre = self.cycle()[0].metre;
        let back = -(at - start).div_floor(metre.bar());
        BarOnLine { at: start - metre.bar() * back, index: None, metre, place: 0, time: 0 }
    }

    /// Whether a bar of the count-in is counted aloud; a pickup may begin sooner.
    pub(super) fn counts_in(&self, bar: &BarOnLine) -> bool {
        bar.index.is_none() && bar.at >= self.intro_begins() - bar.metre.bar() * i64::from(self.count_in)
    }

    /// The bars of the intro with their indices in the form, the last one first. Only the whole form has an intro.
    fn intro_bars(&self) -> impl Iterator<Item = (usize, &Bar)> {
        let bars = self.changes.bars();
        let count = if self.cycle().len() == bars.len() { usize::from(self.intro) } else { 0 };
        bars.iter().enumerate().rev().take(count)
    }

    /// The beats in which the drums lead in: no more than a bar, and none where they do not play.
    pub(super) fn pickup(&self) -> u8 {
        let most = if self.parts.has(Part::Drums) { self.cycle()[0].metre.beats() } else { 0 };
        self.pickup.min(most)
    }

    pub(super) fn intro_begins(&self) -> ScoreTime {
        let length: Ticks = self.intro_bars().map(|(_, bar)| bar.metre.bar()).sum();
        ScoreTime::ZERO - length
    }

    /// The looped bars.
    pub(super) fn cycle(&self) -> &[Bar] {
        &self.changes.bars()[self.loop_range()]
    }

    /// The indices of the looped bars; the whole form where what was asked for does not lie within it.
    pub(super) fn loop_range(&self) -> Range<usize> {
        let bars = self.changes.bars().len();
        if self.looped.start < self.looped.end && self.looped.end <= bars {
            self.looped.clone()
        } else {
            0..bars
        }
    }

    pub(super) fn cycle_length(&self) -> Ticks {
        self.cycle().iter().map(|bar| bar.metre.bar()).sum()
    }

    /// Where the looped bar at `place` begins, from the loop's start.
    pub(super) fn start_of(&self, place: usize) -> Ticks {
        self.cycle().iter().take(place).map(|bar| bar.metre.bar()).sum()
    }

    /// Where bar `index` of the form stands in the loop: the loop's first bar where it is not in it. Indices beyond
    /// the form are wrapped.
    pub(super) fn place_of(&self, index: usize) -> usize {
        let index = index % self.changes.bars().len();
        let looped = self.loop_range();
        if looped.contains(&index) { index - looped.start } else { 0 }
    }

    /// The places in the loop where a riff is begun.
    pub(super) fn repeats(&self, riff: &Riff) -> Vec<usize> {
        if self.cycle().len() == self.changes.bars().len() {
            return chorus::repeats(&self.changes, riff);
        }
        let cycle = Changes::new(self.changes.key(), self.cycle().to_vec());
        cycle.map_or_else(Vec::new, |cycle| chorus::repeats(&cycle, riff))
    }

    /// Where the time through the loop begins to which `bar` belongs; for the lead-in, the first one.
    pub(super) fn cycle_begins(&self, bar: &BarOnLine) -> ScoreTime {
        let bar = if bar.at < ScoreTime::ZERO { &self.bar_at(ScoreTime::ZERO) } else { bar };
        bar.at - self.start_of(bar.place)
    }
}

/// When a riff's first note is heard, from the riff's start.
fn sounds_from(note: &Note) -> Ticks {
    note.onset - crushed_length(note)
}
