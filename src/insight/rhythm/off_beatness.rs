//! Off-beatness: notes that begin where no even division of the cycle has a pulse.

use super::{Pattern, gcd};

/// How many onsets stand on pulses whose number shares no divisor with the length of the cycle, so that no regular
/// polygon of fewer corners, laid from the first pulse, reaches them. It depends on the grid: a finer one has fewer such
/// notes.
///
/// Source: G. T. Toussaint, "Mathematical features for recognizing preference in Sub-Saharan African traditional
/// rhythm timelines", ICAPR 2005, LNCS 3686, 18–27.
pub fn off_beatness(pattern: &Pattern) -> u32 {
    let cycle = pattern.pulses();
    pattern.onsets().iter().filter(|onset| gcd(**onset, cycle) == 1 && cycle > 1).count() as u32
}
