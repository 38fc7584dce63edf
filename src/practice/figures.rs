//! Timing figures: where a player sits against the beat, how steadily, and whether that changes.

use crate::practice::TimedNote;
use crate::practice::align::{Alignment, Pair};
use crate::practice::own_tempo::OwnTempo;
use crate::units::Seconds;

/// What one performance of a target comes to. Lateness is positive: behind the beat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figures {
    /// Where the player sits, about the tempo that was really played: the median lateness of the right notes, drift and
    /// stops taken out, as it was at the first note asked for; `None` without a right note.
    pub bias: Option<Seconds>,
    /// How steadily: the sample standard deviation of that lateness; `None` for fewer than two right notes.
    pub spread: Option<Seconds>,
    /// How the lateness changes: seconds in a minute of the target, by least squares, stops taken out; `None` where the
    /// right notes do not differ in time.
    pub drift_per_minute: Option<Seconds>,
    /// [`Figures::bias`] with drift and stops left in: the median lateness.
    pub band_bias: Option<Seconds>,
    /// [`Figures::spread`] with drift and stops left in.
    pub band_spread: Option<Seconds>,
    /// Pairs of the same pitch.
    pub right: usize,
    /// Pairs of two pitches.
    pub wrong_pitch: usize,
    /// Target notes that were not played.
    pub missed: usize,
    /// Played notes that were not asked for.
    pub extra: usize,
}

impl Figures {
    /// The figures of `played` against `target`, as `alignment` pairs them.
    pub fn of(target: &[TimedNote], played: &[TimedNote], alignment: &Alignment) -> Figures {
        let mut right = right_pairs(target, played, alignment);
        right.sort_by(|one, other| target[one.target].onset.0.total_cmp(&target[other.target].onset.0));
        let late: Vec<f64> = right.iter().map(|pair| lateness(target, played, *pair).0).collect();
        let when: Vec<f64> = right.iter().map(|pair| target[pair.target].onset.0).collect();
        let begin = target.iter().map(|note| note.onset.0).fold(f64::INFINITY, f64::min);
        let own = OwnTempo::through(&when, &late);
        let left: Vec<f64> = match &own {
            Some(own) => when.iter().zip(&late).map(|(at, late)| late - own.about(*at, begin)).collect(),
            None => Vec::new(),
        };
        let freedom = own.as_ref().map_or(0, OwnTempo::freedom);
        Figures {
            bias: median(&left).map(Seconds),
            spread: deviation(&left, freedom).map(Seconds),
            drift_per_minute: own.and_then(|own| own.slope(&when, &late)).map(|slope| Seconds(60.0 * slope)),
            band_bias: median(&late).map(Seconds),
            band_spread: sample_deviation(&late).map(Seconds),
            right: right.len(),
            wrong_pitch: alignment.pairs.len() - right.len(),
            missed: alignment.missed.len(),
            extra: alignment.extra.len(),
        }
    }
}

/// The pairs of the same pitch.
pub fn right_pairs(target: &[TimedNote], played: &[TimedNote], alignment: &Alignment) -> Vec<Pair> {
    alignment.pairs.iter().filter(|pair| alignment.is_right(target, played, **pair)).copied().collect()
}

/// How late the played note of `pair` is; negative = early.
pub fn lateness(target: &[TimedNote], played: &[TimedNote], pair: Pair) -> Seconds {
    played[pair.played].onset - target[pair.target].onset
}

/// The middle value, or the mean of the two in the middle; `None` without a value.
pub fn median(values: &[f64]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let middle = sorted.len() / 2;
    match sorted.len() {
        0 => None,
        odd if odd % 2 == 1 => Some(sorted[middle]),
        _ => Some((sorted[middle - 1] + sorted[middle]) / 2.0),
    }
}

/// The standard deviation with n − 1; `None` for fewer than two values.
pub fn sample_deviation(values: &[f64]) -> Option<f64> {
    deviation(values, 0)
}

/// The standard deviation of what is left of a fit that chose `freedom` numbers beside the mean; `None` where that
/// leaves nothing.
pub(super) fn deviation(values: &[f64], freedom: usize) -> Option<f64> {
    let free = values.len().checked_sub(1 + freedom).filter(|free| *free > 0)?;
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    Some((squares / free as f64).sqrt())
}

/// A line of least squares through points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Line {
    /// How much `y` grows where `x` grows by one.
    pub(super) slope: f64,
    /// The standard error of the slope; infinite for two points.
    pub(super) error: f64,
}

impl Line {
    /// `None` where all `x` are alike.
    ///
    /// Source of the error: √(Σe²/(n−2)/Σ(x−x̄)²), N. R. Draper and H. Smith, "Applied Regression Analysis", 1966,
    /// section 1.4 (from memory).
    pub(super) fn through(x: &[f64], y: &[f64]) -> Option<Line> {
        let count = x.len() as f64;
        let mean = |values: &[f64]| values.iter().sum::<f64>() / count;
        let (middle_x, middle_y) = (mean(x), mean(y));
        let across: f64 = x.iter().map(|value| (value - middle_x).powi(2)).sum();
        let along: f64 = x.iter().zip(y).map(|(x, y)| (x - middle_x) * (y - middle_y)).sum();
        if across <= 0.0 || !across.is_finite() {
            return None;
        }
        let slope = along / across;
        let left = |(x, y): (&f64, &f64)| (y - middle_y - slope * (x - middle_x)).powi(2);
        let squares: f64 = x.iter().zip(y).map(left).sum();
        let error = if count > 2.0 { (squares / (count - 2.0) / across).sqrt() } else { f64::INFINITY };
        Some(Line { slope, error })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST/SEMATECH e-Handbook of Statistical Methods, the data set NumAcc3 of the Statistical Reference Datasets:
    /// certified mean 1000000.2, sample standard deviation 0.1 (1 000 001 values; its first 1 001 here, from memory).
    #[test]
    fn the_deviation_keeps_its_digits_far_from_zero() {
        let mut values = vec![1_000_000.2];
        values.extend((0..500).flat_map(|_| [1_000_000.1, 1_000_000.3]));
        assert!((sample_deviation(&values).unwrap() - 0.1).abs() < 1e-9);
        assert_eq!(median(&values), Some(1_000_000.2));
    }

    /// Worked by hand.
    #[test]
    fn few_values_have_few_figures() {
        assert_eq!((median(&[]), sample_deviation(&[1.0])), (None, None));
        assert_eq!(median(&[4.0, 1.0, 3.0, 2.0]), Some(2.5));
        assert_eq!(Line::through(&[1.0, 1.0], &[0.0, 1.0]), None);
        assert_eq!(Line::through(&[0.0, 1.0, 2.0], &[1.0, 3.0, 5.0]), Some(Line { slope: 2.0, error: 0.0 }));
    }
}
