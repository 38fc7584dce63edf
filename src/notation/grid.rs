//! Which moments of a bar are strong: bar line, middle, beats, their parts, and halves of those.

use crate::rhythm::metre::Metre;
use crate::units::Ticks;

/// The strength of every moment of a bar, or of a tuplet.
///
/// A level is a number: 0 is where the bar begins and ends, 1 where its groups of beats do (the middle of 4/4), 2 a
/// beat, 3 a third of a dotted beat; each further one halves what was before.
#[derive(Clone, Debug)]
pub(super) struct Grid {
    length: Ticks,
    /// Where groups of beats begin, but for the first.
    groups: Vec<Ticks>,
    /// Whether each group has two beats.
    in_pairs: bool,
    beat: Ticks,
    /// A third of a dotted beat.
    third: Option<Ticks>,
}

/// The levels that are told apart: bar, groups, beats, parts, and halves down to a 128th and beyond.
const LEVELS: usize = 12;

impl Grid {
    /// The grid of a bar.
    pub fn of_bar(metre: Metre) -> Grid {
        let beat = metre.beat();
        let sizes = groups(metre.beats());
        let mut edges = Vec::new();
        let mut at = Ticks::ZERO;
        for size in &sizes {
            edges.extend((at > Ticks::ZERO).then_some(at));
            at += beat * i64::from(*size);
        }
        Grid {
            length: metre.bar(),
            in_pairs: sizes.iter().all(|size| *size == 2),
            groups: edges,
            beat,
            third: metre.is_compound().then(|| beat / 3),
        }
    }

    /// The grid of a tuplet of so many parts.
    pub fn of_tuplet(length: Ticks, parts: i64) -> Grid {
        Grid { length, groups: Vec::new(), in_pairs: false, beat: length / parts, third: None }
    }

    /// The level of a moment; a large number for one that lies on none.
    pub fn level(&self, at: Ticks) -> usize {
        (0..LEVELS).find(|level| self.is_on(at, *level)).unwrap_or(LEVELS)
    }

    fn is_on(&self, at: Ticks, level: usize) -> bool {
        match level {
            0 => at == Ticks::ZERO || at == self.length,
            1 => self.groups.contains(&at),
            _ => self.unit(level).is_some_and(|unit| at.rem_floor(unit) == Ticks::ZERO),
        }
    }

    /// What a level divides the bar into, from the beat on; `None` where that is no whole number of ticks.
    fn unit(&self, level: usize) -> Option<Ticks> {
        let (first, base) = match self.third {
            Some(_) if level == 2 => (2, self.beat),
            Some(third) => (3, third),
            None => (2, self.beat),
        };
        let halves = 1_i64 << level.saturating_sub(first);
        (base.0 % halves == 0).then(|| base / halves)
    }

    /// Whether two of what `level` begins with lie in one of the level before: only across such a moment may a note be
    /// held that begins or ends on that level.
    fn halves(&self, level: usize) -> bool {
        match level {
            0 | 1 => false,
            2 => self.in_pairs,
            3 => self.third.is_none(),
            _ => true,
        }
    }

    /// The moments of `level` and of all stronger ones strictly between `from` and `to`.
    fn edges(&self, level: usize, from: Ticks, to: Ticks) -> Vec<Ticks> {
        let groups = self.groups.iter().copied().filter(|at| (from < *at) && (*at < to));
        match self.unit(level).filter(|_| level >= 2) {
            None => groups.collect(),
            Some(unit) => {
                let first = from.div_floor(unit) + 1;
                (first..).map(|count| unit * count).take_while(|at| *at < to).collect()
            }
        }
    }

    /// Whether one note may be held from `from` to `to`.
    ///
    /// What it is held across may be one level stronger than where it begins and ends, and only where that level halves
    /// the one before: an eighth, a quarter, an eighth; a quarter, a half, a quarter in 4/4. And of what is stronger than
    /// its own beginning, or its own end, it hides no more than one.
    pub fn may_hold(&self, from: Ticks, to: Ticks) -> bool {
        let (begins, ends) = (self.level(from), self.level(to));
        let weakest = begins.max(ends);
        (1..weakest).all(|level| {
            let hidden = self.edges(level, from, to);
            let own = hidden.iter().filter(|at| self.level(**at) == level).count();
            let reached = if self.halves(level + 1) { level + 1 } else { level };
            own == 0 || weakest <= reached
        }) && [begins, ends]
            .iter()
            .all(|level| *level == 0 || self.edges(level - 1, from, to).len() <= 1 || *level <= 1)
    }

    /// Where a note from `from` to `to` is best cut: at the strongest moment between. Of several the first where it
    /// begins weakly, else the last, so that the longest piece stands where the strong moment is.
    pub fn best_cut(&self, from: Ticks, to: Ticks) -> Option<Ticks> {
        let strongest =
            (1..LEVELS).map(|level| self.edges(level, from, to)).find(|edges| !edges.is_empty())?;
        if self.level(from) > self.level(to) { strongest.first().copied() } else { strongest.last().copied() }
    }

    /// What a rest that begins at `from` may fill, longest first: what each level divides the bar into.
    pub fn rests(&self, from: Ticks) -> impl Iterator<Item = Ticks> {
        let begins = self.level(from);
        let divides =
            |level: &usize| if *level == 1 { !self.groups.is_empty() } else { self.unit(*level).is_some() };
        let levels = (begins.max(1)..LEVELS).filter(divides);
        levels.map(move |level| self.edges(level, from, self.length).first().copied().unwrap_or(self.length))
    }

    /// Whether beats are dotted, so that dotted rests show them.
    pub fn has_thirds(&self) -> bool {
        self.third.is_some()
    }

    /// Whether `from` begins something that has three parts, of which a rest may take the first two; gives their end.
    pub fn two_thirds(&self, from: Ticks) -> Option<Ticks> {
        match self.third {
            Some(third) => (from.rem_floor(self.beat) == Ticks::ZERO).then(|| from + third * 2),
            None => (self.length == self.beat * 3 && self.groups.is_empty() && from == Ticks::ZERO)
                .then(|| self.beat * 2),
        }
    }
}

/// How many beats each group of a bar has.
///
/// Source: common practice, no source; for five and seven one of the usual ways.
fn groups(beats: u8) -> Vec<u8> {
    match beats {
        0..=3 => vec![beats],
        4 => vec![2, 2],
        _ => vec![beats.div_ceil(2), beats / 2],
    }
}
