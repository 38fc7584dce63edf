//! Syncopation after Keith, counted: notes that begin where a note of their length would not.

use super::Pattern;

/// How many notes of a pattern are syncopated: a note lasts until the next one, its length is rounded down to a power
/// of two, and it ought to begin at a multiple of that. `None` where the cycle is not a power of two: in thirds the
/// question has no meaning.
///
/// Source: M. Keith, "From Polychords to Pólya: Adventures in Musical Combinatorics", 1991, in the form in which
/// F. Gómez, A. Melvin, D. Rappaport and G. T. Toussaint count it ("Mathematical measures of syncopation",
/// Proceedings of BRIDGES 2005, 73–84): each such note once, without Keith's weights for how it starts and ends.
pub fn syncopation(pattern: &Pattern) -> Option<u32> {
    let off = |(onset, gap): &(usize, usize)| !onset.is_multiple_of(1 << gap.ilog2());
    pattern.pulses().is_power_of_two().then(|| pattern.gaps().filter(off).count() as u32)
}
