//! Which notes a beam joins: those of one beat.

use std::ops::Range;

use crate::notation::Symbol;
use crate::rhythm::metre::Metre;
use crate::units::Ticks;

/// The runs of two or more notes with flags that lie in one beat with no rest between.
///
/// Source: common practice for those who learn to read; longer runs of eighths are often joined over two beats.
pub(super) fn of(metre: Metre, symbols: &[Symbol]) -> Vec<Range<usize>> {
    let cells = cells(metre);
    let cell = |at: Ticks| cells.iter().rposition(|begin| *begin <= at);
    let mut runs: Vec<Range<usize>> = Vec::new();
    for (index, symbol) in symbols.iter().enumerate() {
        if symbol.note.is_none() || symbol.value.flags() == 0 {
            continue;
        }
        match runs.last_mut() {
            Some(run) if run.end == index && cell(symbols[run.start].at) == cell(symbol.at) => run.end += 1,
            _ => runs.push(index..index + 1),
        }
    }
    runs.retain(|run| run.len() > 1);
    runs
}

/// Where each stretch begins that is beamed together: a beat, and where the beat is an eighth or shorter, two of them or
/// three.
fn cells(metre: Metre) -> Vec<Ticks> {
    let beats = i64::from(metre.beats());
    let sizes: Vec<i64> = match (metre.beat() < Ticks::QUARTER, beats) {
        (false, _) => vec![1; beats as usize],
        (true, 3) => vec![3],
        (true, 5) => vec![3, 2],
        (true, _) => {
            let twos = beats / 2 - beats % 2;
            (0..twos).map(|_| 2).chain((beats % 2 == 1).then_some(3)).collect()
        }
    };
    let starts = sizes.iter().scan(0, |at, size| {
        *at += size;
        Some(*at - size)
    });
    starts.map(|at| metre.beat() * at).collect()
}
