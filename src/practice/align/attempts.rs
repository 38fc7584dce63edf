//! Attempts: what a player played between two new beginnings, and which attempt counts.

use crate::practice::align::Pair;

/// The pairs that count, of attempts in the order of time. An attempt that gets further than all before it replaces
/// what it plays again, whose notes become extra; one that gets no further is a repetition and extra itself.
///
/// Our own rule: without it a false start and an echo of the riff in a rest look alike.
pub(super) fn settle(attempts: impl Iterator<Item = Vec<Pair>>) -> Vec<Pair> {
    let mut kept: Vec<Pair> = Vec::new();
    for attempt in attempts {
        let furthest = |pairs: &[Pair]| pairs.iter().map(|pair| pair.target + 1).max().unwrap_or(0);
        if furthest(&attempt) > furthest(&kept) {
            let first = attempt.iter().map(|pair| pair.target).min().unwrap_or(0);
            kept.retain(|pair| pair.target < first);
            kept.extend(attempt);
        }
    }
    kept
}
