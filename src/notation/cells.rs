//! Which parts of a bar are written plainly and which as tuplets.

use std::ops::Range;

use crate::notation::Ratio;
use crate::rhythm::metre::Metre;
use crate::units::Ticks;

/// A 128th note: the shortest that is written, and what is written plainly begins and ends on multiples of it.
pub(super) const FINEST: Ticks = Ticks(Ticks::PER_QUARTER / 32);

/// A tuplet: where it stands in its bar, and its numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Tuplet {
    /// Where it begins.
    pub from: Ticks,
    /// Where it ends.
    pub to: Ticks,
    /// The numbers.
    pub ratio: Ratio,
    /// Into how many equal parts its beats are felt: 3 for a sextuplet, too.
    pub parts: i64,
}

/// The tuplets of a bar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Cells {
    /// In order, without overlap.
    pub tuplets: Vec<Tuplet>,
    /// The stretches in which something begins or ends where nothing can be written.
    pub rough: Vec<Range<Ticks>>,
}

/// Finds the tuplets of a bar in which something begins or ends at `points`, counted from the bar line.
pub(super) fn of_bar(metre: Metre, points: &[Ticks]) -> Cells {
    let cell = if metre.is_compound() { metre.beat() } else { metre.beat().min(Ticks::QUARTER) };
    let mut cells = Cells { tuplets: Vec::new(), rough: Vec::new() };
    let mut from = Ticks::ZERO;
    while from < metre.bar() {
        let pair = cell * 2;
        let may_pair = !metre.is_compound()
            && from.rem_floor(pair) == Ticks::ZERO
            && from + pair <= metre.bar()
            && (metre.lower() == 2 || metre.beats().is_multiple_of(2));
        let two = within(points, from, pair);
        // Three in the time of two beats are three only where all three are there: else each beat shows its own.
        if may_pair && two == [pair / 3, pair / 3 * 2] {
            cells.tuplets.push(Tuplet {
                from,
                to: from + pair,
                ratio: Ratio { actual: 3, normal: 2 },
                parts: 3,
            });
            from += pair;
            continue;
        }
        cells.beat(points, from, cell, metre.is_compound());
        from += cell;
    }
    cells
}

/// What lies strictly within a cell, from its start.
fn within(points: &[Ticks], from: Ticks, length: Ticks) -> Vec<Ticks> {
    let inside = points.iter().filter(|at| from < **at && **at < from + length);
    inside.map(|at| *at - from).collect()
}

fn all_on(points: &[Ticks], step: Ticks) -> bool {
    points.iter().all(|at| at.rem_floor(step) == Ticks::ZERO)
}

impl Cells {
    /// One beat, which begins at `from`.
    fn beat(&mut self, points: &[Ticks], from: Ticks, length: Ticks, dotted: bool) {
        let inside = within(points, from, length);
        let Some(found) = whole(&inside, length, dotted) else {
            return self.parts(points, from, length, dotted);
        };
        let Some((ratio, parts)) = found else { return };
        let half = length / 2;
        // Half a beat that needs no tuplet is not drawn into one.
        let halves = [Ticks::ZERO, half].map(|at| whole(&within(points, from + at, half), half, false));
        let one_plain = halves.contains(&Some(None)) && !halves.contains(&None);
        if !dotted && inside.contains(&half) && one_plain {
            return self.parts(points, from, length, false);
        }
        self.tuplets.push(Tuplet { from, to: from + length, ratio, parts });
    }

    /// A beat of which each half, or each third, is written by itself.
    fn parts(&mut self, points: &[Ticks], from: Ticks, length: Ticks, dotted: bool) {
        let count = if dotted { 3 } else { 2 };
        let part = length / count;
        for from in (0..count).map(|index| from + part * index) {
            match whole(&within(points, from, part), part, false) {
                Some(Some((ratio, parts))) => {
                    self.tuplets.push(Tuplet { from, to: from + part, ratio, parts });
                }
                Some(None) => {}
                None => self.rough.push(from..from + part),
            }
        }
    }
}

/// How a stretch is written as one: plainly, or as a tuplet with its parts; `None` where neither does.
///
/// A plain stretch divided by 3, 5, 6 or 7 is written 3:2, 5:4, 6:4, 7:4; a dotted one divided by 4, 5, 7 or 8 is written
/// 4:3, 5:3, 7:6, 8:6. Source: the rule that a tuplet's notes are those of the next lower plain division; for dotted ones
/// the ABC standard 2.1, section 4.13, has the same numbers in compound metres.
#[expect(clippy::option_option, reason = "written plainly is an answer, and another one than not at all")]
fn whole(inside: &[Ticks], length: Ticks, dotted: bool) -> Option<Option<(Ratio, i64)>> {
    // A half of a dotted beat has a value of its own, a quarter of it has none that is read at sight.
    let quadruple = dotted && all_on(inside, length / 8) && !all_on(inside, length / 6);
    let quadruple = quadruple && !all_on(inside, length / 2);
    if all_on(inside, FINEST) && !quadruple {
        return Some(None);
    }
    let bases: &[(u8, u8)] =
        if dotted { &[(4, 3), (5, 3), (7, 6)] } else { &[(3, 2), (5, 4), (7, 4), (9, 8)] };
    // As few parts as do.
    let by_size = (0..4).flat_map(|power| bases.iter().map(move |(parts, normal)| (power, *parts, *normal)));
    let mut all: Vec<(u32, u8, u8)> = by_size.collect();
    all.sort_by_key(|(power, parts, _)| u32::from(*parts) << power);
    let fits = |(power, parts, _): &&(u32, u8, u8)| {
        let count = i64::from(*parts) << power;
        length.0 % count == 0 && length.0 / count >= FINEST.0 * 2 / 3 && all_on(inside, length / count)
    };
    let (power, parts, normal) = *all.iter().find(fits)?;
    let ratio = Ratio { actual: parts << power, normal: normal << power };
    Some(Some((ratio, i64::from(parts))))
}
