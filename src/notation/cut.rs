//! Cutting what sounds and what is silent into symbols.

use std::ops::Range;

use crate::notation::cells::{Cells, FINEST, Tuplet};
use crate::notation::grid::Grid;
use crate::notation::passage::{Frame, Span};
use crate::notation::{Head, Symbol, Value};
use crate::units::Ticks;

/// The symbols of a bar, in order: its spans cut at the edges of tuplets, and each piece into values.
pub(super) fn symbols(frame: &Frame, cells: &Cells, spans: &[Span]) -> Vec<Symbol> {
    let bar = Bar { grid: Grid::of_bar(frame.metre), frame, cells };
    let mut symbols = Vec::new();
    for (from, to, index) in frame.filled(spans) {
        bar.span(from, to, index, &mut symbols);
    }
    let last_of_note =
        |index: usize| spans.iter().find(|span| span.index == index).map(|span| span.to - frame.at);
    for symbol in &mut symbols {
        let (begins, end) = (symbol.at, symbol.at + symbol.length);
        if let Some(head) = &mut symbol.note {
            head.tied_to = last_of_note(head.index).is_some_and(|last| last > end);
            head.tied_from =
                spans.iter().any(|span| span.index == head.index && span.from - frame.at < begins);
        }
    }
    symbols
}

/// The runs of symbols that make the tuplets.
pub(super) fn tuplets(cells: &Cells, symbols: &[Symbol]) -> Vec<Range<usize>> {
    let run = |tuplet: &Tuplet| {
        let first = symbols.iter().position(|symbol| symbol.at >= tuplet.from)?;
        let count = symbols[first..].iter().take_while(|symbol| symbol.at < tuplet.to).count();
        (count > 0).then(|| first..first + count)
    };
    cells.tuplets.iter().filter_map(run).collect()
}

struct Bar<'a> {
    grid: Grid,
    frame: &'a Frame<'a>,
    cells: &'a Cells,
}

impl Bar<'_> {
    /// A note, by index, or a rest.
    fn span(&self, from: Ticks, to: Ticks, index: Option<usize>, symbols: &mut Vec<Symbol>) {
        if index.is_none() && self.frame.from == Ticks::ZERO && to - from == self.frame.metre.bar() {
            // A silent bar has a whole rest in any metre.
            symbols.push(symbol(from, to, Value { part: 1, dotted: false }, None, index));
            return;
        }
        let mut at = from;
        while at < to {
            let tuplet = self.cells.tuplets.iter().find(|tuplet| tuplet.to > at);
            let next = match tuplet {
                Some(tuplet) if tuplet.from <= at => {
                    let end = tuplet.to.min(to);
                    let piece = Piece {
                        grid: &Grid::of_tuplet(tuplet.to - tuplet.from, tuplet.parts),
                        begins: tuplet.from,
                        tuplet: Some(tuplet),
                        index,
                    };
                    piece.write(at, end, symbols);
                    end
                }
                other => {
                    let end = other.map_or(to, |tuplet| tuplet.from.min(to));
                    let piece = Piece { grid: &self.grid, begins: Ticks::ZERO, tuplet: None, index };
                    piece.write(at, end, symbols);
                    end
                }
            };
            at = next;
        }
    }
}

/// A stretch of one note or rest that stands on one grid.
struct Piece<'a> {
    grid: &'a Grid,
    /// Where the grid begins in the bar.
    begins: Ticks,
    tuplet: Option<&'a Tuplet>,
    index: Option<usize>,
}

impl Piece<'_> {
    fn write(&self, from: Ticks, to: Ticks, symbols: &mut Vec<Symbol>) {
        match self.index {
            Some(_) => self.note(from, to, symbols),
            None => self.rest(from, to, symbols),
        }
    }

    fn note(&self, from: Ticks, to: Ticks, symbols: &mut Vec<Symbol>) {
        let (begin, end) = (from - self.begins, to - self.begins);
        let value = self.value(from, to);
        if let Some(value) = value.filter(|_| self.grid.may_hold(begin, end)) {
            return symbols.push(self.symbol(from, to, value));
        }
        match self.grid.best_cut(begin, end).map(|cut| cut + self.begins) {
            Some(cut) => {
                self.note(from, cut, symbols);
                self.note(cut, to, symbols);
            }
            // Between two neighbours of the finest grid there is nothing to cut.
            None => symbols.push(self.symbol(from, to, value.unwrap_or(Value { part: 128, dotted: false }))),
        }
    }

    /// Rests fill what the levels of the grid divide the bar into, so that every beat is seen.
    fn rest(&self, from: Ticks, to: Ticks, symbols: &mut Vec<Symbol>) {
        let mut at = from;
        while at < to {
            let begin = at - self.begins;
            let third = self.grid.two_thirds(begin);
            let ends = self.grid.rests(begin).chain(third).map(|end| end + self.begins);
            let fits = |end: &Ticks| {
                *end <= to
                    && self.value(at, *end).is_some_and(|value| !value.dotted || self.grid.has_thirds())
            };
            let end = ends.filter(fits).max().unwrap_or_else(|| (at + FINEST).min(to));
            let value = self.value(at, end).unwrap_or(Value { part: 128, dotted: false });
            symbols.push(self.symbol(at, end, value));
            at = end;
        }
    }

    /// How it looks: in a tuplet longer than it lasts.
    fn value(&self, from: Ticks, to: Ticks) -> Option<Value> {
        let length = to - from;
        match self.tuplet.map(|tuplet| tuplet.ratio) {
            None => Value::of(length),
            Some(ratio) => {
                let (times, over) = (length.0 * i64::from(ratio.actual), i64::from(ratio.normal));
                (times % over == 0).then(|| Value::of(Ticks(times / over)))?
            }
        }
    }

    fn symbol(&self, from: Ticks, to: Ticks, value: Value) -> Symbol {
        symbol(from, to, value, self.tuplet, self.index)
    }
}

fn symbol(from: Ticks, to: Ticks, value: Value, tuplet: Option<&Tuplet>, index: Option<usize>) -> Symbol {
    let head = |index| Head {
        index,
        // What the note says comes afterwards.
        pitch: crate::theory::pitch::Pitch::new(crate::theory::pitch::Step::C, 0, 4),
        sign: false,
        with: None,
        tied_from: false,
        tied_to: false,
        accent: false,
        crushed: None,
        scoop: false,
    };
    Symbol {
        at: from,
        length: to - from,
        value,
        ratio: tuplet.map(|tuplet| tuplet.ratio),
        note: index.map(head),
    }
}
