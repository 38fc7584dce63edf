//! Metric complexity: how far the notes stay from the strongest places of the metre.

use super::Pattern;

/// How much weight the notes of a pattern miss: the sum of the weights of as many pulses as there are notes, the
/// strongest there are, less the sum of the weights of the pulses where the notes do begin. 0 where they begin on the
/// strongest.
///
/// Source: G. T. Toussaint, "A mathematical analysis of African, Brazilian, and Cuban clave rhythms", Proceedings of
/// BRIDGES 2002, 157–168, "metrical complexity". Weights there are 5 1 2 1 3 1 2 1 4 1 2 1 3 1 2 1; ours are five
/// less, which the difference does not see.
pub fn metric_complexity(pattern: &Pattern) -> i32 {
    let notes = pattern.onsets().len();
    let mut strongest = pattern.weights().to_vec();
    strongest.sort_unstable_by(|a, b| b.cmp(a));
    let most: i32 = strongest.iter().take(notes).sum();
    most - pattern.onsets().iter().map(|onset| pattern.weights()[*onset]).sum::<i32>()
}
