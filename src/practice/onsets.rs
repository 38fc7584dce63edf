//! Onsets alone, scored as detectors of onsets are: precision, recall and F-measure within a window.

use crate::practice::window::micros;
use crate::units::{AudioTime, Seconds};

/// How many onsets of two lists belong together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Matches {
    /// Onsets in the reference.
    pub reference: usize,
    /// Onsets that are held against it.
    pub estimated: usize,
    /// The most pairs within the window in which each onset stands once.
    pub matched: usize,
}

impl Matches {
    /// Matches ascending onsets that lie within `window` of each other, its edge included, in whole microseconds.
    ///
    /// Both lists ascend and the window is the same for all, so taking the first partner that is near enough finds the
    /// largest matching; `tests/reference` holds it to one found by augmenting paths.
    pub fn of(reference: &[AudioTime], estimated: &[AudioTime], window: Seconds) -> Matches {
        let whole =
            |times: &[AudioTime]| times.iter().map(|time| micros(Seconds(time.0))).collect::<Vec<_>>();
        let (wanted, found, window) = (whole(reference), whole(estimated), micros(window));
        let (mut matched, mut first, mut second) = (0, 0, 0);
        while first < wanted.len() && second < found.len() {
            let apart = found[second].saturating_sub(wanted[first]);
            if apart.saturating_abs() <= window {
                matched += 1;
                first += 1;
                second += 1;
            } else if apart > 0 {
                first += 1;
            } else {
                second += 1;
            }
        }
        Matches { reference: wanted.len(), estimated: found.len(), matched }
    }

    /// The share of estimated onsets that are right, 0 ..= 1; 0 without one.
    pub fn precision(self) -> f64 {
        share(self.matched, self.estimated)
    }

    /// The share of reference onsets that were found, 0 ..= 1; 0 without one.
    pub fn recall(self) -> f64 {
        share(self.matched, self.reference)
    }

    /// The harmonic mean of precision and recall, 0 ..= 1.
    ///
    /// Source: C. J. van Rijsbergen, "Information Retrieval", 2nd edition, 1979, chapter 7, with β = 1.
    pub fn f_measure(self) -> f64 {
        share(2 * self.matched, self.reference + self.estimated)
    }
}

fn share(part: usize, whole: usize) -> f64 {
    if whole == 0 { 0.0 } else { part as f64 / whole as f64 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn matched(reference: &[f64], estimated: &[f64]) -> usize {
        let times = |all: &[f64]| all.iter().map(|time| AudioTime(*time)).collect::<Vec<_>>();
        Matches::of(&times(reference), &times(estimated), Seconds(0.05)).matched
    }

    /// Worked by hand; 1.05 − 1.00 is more than 0.05 in binary fractions.
    #[test]
    fn each_onset_is_matched_once() {
        assert_eq!(matched(&[1.0], &[1.05]), 1);
        assert_eq!(matched(&[1.0], &[1.050_001]), 0);
        assert_eq!(matched(&[1.0, 1.04], &[0.99]), 1);
        assert_eq!(matched(&[1.0, 1.04], &[0.96, 1.0]), 2);
        assert_eq!(matched(&[], &[1.0]), 0);
    }

    /// The counts of mir_eval's own first fixture for onsets: 13 matches of 27 estimated and 22 reference onsets have
    /// precision 0.481481, recall 0.590909 and F 0.530612.
    #[test]
    fn the_measures_are_those_of_a_published_fixture() {
        let matches = Matches { reference: 22, estimated: 27, matched: 13 };
        for (measure, expected) in [
            (matches.precision(), 0.481_481),
            (matches.recall(), 0.590_909),
            (matches.f_measure(), 0.530_612),
        ] {
            assert!((measure - expected).abs() < 1e-6);
        }
    }
}
