//! Attempts: what a player played between two stops, and which attempt counts.

use crate::practice::TimedNote;
use crate::practice::align::Pair;
use crate::units::Seconds;

/// One step along a performance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Step {
    /// A played note stands for a target note.
    Pair(Pair),
    /// The player stopped, and went on from another note or at another time.
    Stop,
}

/// The pairs that count. An attempt that gets further than all before it replaces what it plays again, whose notes
/// become extra; one that gets no further is a repetition and extra itself.
///
/// Our own rule: without it a false start and an echo of the riff in a rest look alike.
pub(super) fn settle(steps: &[Step]) -> Vec<Pair> {
    let mut kept: Vec<Pair> = Vec::new();
    for attempt in attempts(steps) {
        let furthest = |pairs: &[Pair]| pairs.iter().map(|pair| pair.target + 1).max().unwrap_or(0);
        if furthest(&attempt) > furthest(&kept) {
            let first = attempt.iter().map(|pair| pair.target).min().unwrap_or(0);
            kept.retain(|pair| pair.target < first);
            kept.extend(attempt);
        }
    }
    kept
}

fn attempts(steps: &[Step]) -> impl Iterator<Item = Vec<Pair>> {
    steps.split(|step| *step == Step::Stop).map(|attempt| {
        attempt
            .iter()
            .filter_map(|step| match step {
                Step::Pair(pair) => Some(*pair),
                Step::Stop => None,
            })
            .collect()
    })
}

/// How far the notes lie from the middle of their neighbours in the same attempt (standard deviation, by way of the
/// median, so that strays do not count); `None` for fewer than eight pairs.
///
/// Source of the factor 1.4826: the median absolute deviation of a normal distribution is 0.67449 standard deviations
/// (F. R. Hampel, "The influence curve and its role in robust estimation", JASA 69, 1974, 383–393).
pub(super) fn local_spread(target: &[TimedNote], played: &[TimedNote], steps: &[Step]) -> Option<Seconds> {
    const NEIGHBOURS: usize = 8;
    let mut off: Vec<f64> = Vec::new();
    for attempt in attempts(steps) {
        let late: Vec<f64> =
            attempt.iter().map(|pair| (played[pair.played].onset - target[pair.target].onset).0).collect();
        for (index, own) in late.iter().enumerate() {
            let first = index.saturating_sub(NEIGHBOURS);
            let near = &late[first..late.len().min(index + NEIGHBOURS + 1)];
            if near.len() > 2 {
                off.push((own - super::figures::median(near)?).abs());
            }
        }
    }
    (off.len() >= 8).then(|| super::figures::median(&off).map(|middle| Seconds(1.4826 * middle)))?
}
