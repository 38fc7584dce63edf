//! The tempo that was really played: where a player was against the band, as a smooth curve through what was heard.
//!
//! A polynomial of least squares, made of polynomials that are orthogonal on the given times (G. E. Forsythe,
//! "Generation and use of orthogonal polynomials for data-fitting with a digital computer", Journal of the Society for
//! Industrial and Applied Mathematics 5(2), 1957, 74–88); its degree by a criterion like that of G. Schwarz ("Estimating
//! the dimension of a model", Annals of Statistics 6(2), 1978, 461–464), only stricter. Degree 0 is a player who keeps
//! the band's tempo. Where the player stopped and went on the curve jumps.

use crate::practice::figures::{Line, median};

/// The highest degree: enough for a tempo that goes up and down three times.
const HIGHEST: usize = 9;
/// Notes that a degree needs.
const NOTES_A_DEGREE: usize = 4;
/// How much stricter than Schwarz. One steady player in ten thousand is then taken for one who drifts.
const STRICTER: f64 = 3.0;
/// Nobody is heard to be steadier than this, in seconds: the resolution of a key press.
const FINEST: f64 = 0.001;
/// A stop moves the player by more than this, in seconds: above what a note may be hurried or held back.
const STOP: f64 = 0.35;

/// The tempo that was really played.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct OwnTempo {
    /// The first time and half the length of all, by which times are made −1 ..= 1.
    first: f64,
    half: f64,
    /// For each degree: its weight, and the two numbers of Forsythe's recurrence by which it is made.
    terms: Vec<(f64, f64, f64)>,
    /// Where the player stopped: from which time on, and how much later everything is then.
    pub stops: Vec<(f64, f64)>,
}

impl OwnTempo {
    /// Through latenesses `late` at times `when` of the target, which ascend, both in seconds; `None` without any.
    pub(super) fn through(when: &[f64], late: &[f64]) -> Option<OwnTempo> {
        let (first, last) = (*when.first()?, *when.last()?);
        let stops = stops(when, late);
        let mut own = OwnTempo { first, half: ((last - first) / 2.0).max(1e-9), terms: Vec::new(), stops };
        let steady: Vec<f64> = when.iter().zip(late).map(|(at, late)| late - own.stopped(*at)).collect();
        let x: Vec<f64> = when.iter().map(|at| own.scaled(*at)).collect();
        let terms = terms(&x, &steady);
        let count = when.len() as f64;
        let mut squares: f64 = steady.iter().map(|late| late * late).sum();
        let mut best = (f64::INFINITY, 0);
        for (degree, (weight, _, _, norm)) in terms.iter().enumerate() {
            squares -= weight * weight * norm;
            let spread = squares.max(0.0) / count + FINEST * FINEST;
            let price = count * spread.ln() + STRICTER * degree as f64 * count.ln();
            if price < best.0 {
                best = (price, degree);
            }
        }
        own.terms =
            terms[..=best.1].iter().map(|(weight, alpha, beta, _)| (*weight, *alpha, *beta)).collect();
        Some(own)
    }

    /// The degree: 0 where the band's tempo was kept.
    pub(super) fn degree(&self) -> usize {
        self.terms.len() - 1
    }

    /// Where the player was at `at`, in seconds late.
    pub(super) fn at(&self, at: f64) -> f64 {
        self.smooth(at) + self.stopped(at)
    }

    /// The same without the stops.
    pub(super) fn smooth(&self, at: f64) -> f64 {
        // Beyond the ends a polynomial knows nothing.
        let x = self.scaled(at).clamp(-1.0, 1.0);
        let (mut before, mut now, mut sum) = (0.0, 1.0, 0.0);
        for (weight, alpha, beta) in &self.terms {
            sum += weight * now;
            (before, now) = (now, (x - alpha) * now - beta * before);
        }
        sum
    }

    /// How much longer a moment at `at` lasted than it ought to, as a share.
    pub(super) fn rate(&self, at: f64) -> f64 {
        let step = 0.01 * self.half;
        let (from, to) = ((at - step).max(self.first), (at + step).min(self.first + 2.0 * self.half));
        if to > from { (self.smooth(to) - self.smooth(from)) / (to - from) } else { 0.0 }
    }

    /// How much later the stops before `at` made everything.
    pub(super) fn stopped(&self, at: f64) -> f64 {
        self.stops.iter().filter(|(from, _)| *from <= at).map(|(_, by)| by).sum()
    }

    /// How much later than at `begin` the player was at `at`: what is taken out of a lateness to bring it there.
    pub(super) fn about(&self, at: f64, begin: f64) -> f64 {
        self.at(at) - self.smooth(begin)
    }

    /// How many numbers were chosen beside the place of a steady player.
    pub(super) fn freedom(&self) -> usize {
        self.degree() + self.stops.len()
    }

    /// How lateness grows, in seconds a second, by a line of least squares; stops are taken out.
    pub(super) fn slope(&self, when: &[f64], late: &[f64]) -> Option<f64> {
        let steady: Vec<f64> = when.iter().zip(late).map(|(at, late)| late - self.stopped(*at)).collect();
        Line::through(when, &steady).map(|line| line.slope)
    }

    fn scaled(&self, at: f64) -> f64 {
        (at - self.first) / self.half - 1.0
    }
}

/// For each degree its weight, the recurrence that makes the next one, and the square of its length.
fn terms(x: &[f64], y: &[f64]) -> Vec<(f64, f64, f64, f64)> {
    let highest = (x.len() / NOTES_A_DEGREE).saturating_sub(1).min(HIGHEST);
    let dot = |one: &[f64], other: &[f64]| one.iter().zip(other).map(|(a, b)| a * b).sum::<f64>();
    let (mut before, mut now) = (vec![0.0; x.len()], vec![1.0; x.len()]);
    let mut norm_before = 0.0;
    let mut all = Vec::new();
    for _ in 0..=highest {
        let norm = dot(&now, &now);
        if norm < 1e-9 {
            break;
        }
        let times: Vec<f64> = x.iter().zip(&now).map(|(x, p)| x * p).collect();
        let alpha = dot(&times, &now) / norm;
        let beta = if norm_before > 0.0 { norm / norm_before } else { 0.0 };
        all.push((dot(y, &now) / norm, alpha, beta, norm));
        let next = (0..x.len()).map(|k| (x[k] - alpha) * now[k] - beta * before[k]).collect();
        before = std::mem::replace(&mut now, next);
        norm_before = norm;
    }
    all
}

/// Where a player stopped and went on, and by how much: a jump between two notes that stays, but for the tempo.
fn stops(when: &[f64], late: &[f64]) -> Vec<(f64, f64)> {
    // The tempo between notes that lie well apart, which one stop among them does not change.
    let apart = (when.len() / 4).max(1);
    let slopes: Vec<f64> = (apart..when.len())
        .filter(|k| when[*k] > when[*k - apart])
        .map(|k| (late[k] - late[k - apart]) / (when[k] - when[k - apart]))
        .collect();
    let slope = median(&slopes).unwrap_or(0.0);
    let left: Vec<f64> = when.iter().zip(late).map(|(at, late)| late - slope * at).collect();
    let mut stops = Vec::new();
    for (k, at) in when.iter().enumerate().skip(1) {
        let before = median(&left[k.saturating_sub(3)..k]).unwrap_or(0.0);
        let after = median(&left[k..(k + 3).min(left.len())]).unwrap_or(0.0);
        let stays = (after - before).abs() > STOP && (left[k] - left[k - 1]).abs() > STOP;
        if stays && left.len() - k >= 2 {
            stops.push((*at, after - before));
        }
    }
    stops
}

#[cfg(test)]
mod tests {
    use super::*;

    fn times() -> Vec<f64> {
        (0..60).map(|k| 0.48 * f64::from(k)).collect()
    }

    #[track_caller]
    fn check(late: impl Fn(f64) -> f64, degrees: std::ops::RangeInclusive<usize>, near: f64) -> OwnTempo {
        let when = times();
        let own = OwnTempo::through(&when, &when.iter().map(|at| late(*at)).collect::<Vec<_>>()).unwrap();
        assert!(degrees.contains(&own.degree()), "{}", own.degree());
        for at in when {
            assert!((own.at(at) - late(at)).abs() < near, "{at}: {} {}", own.at(at), late(at));
        }
        own
    }

    /// By definition: a constant has degree 0, a line degree 1 and its own slope.
    #[test]
    fn a_steady_player_and_one_who_drifts() {
        check(|_| 0.02, 0..=0, 1e-9);
        let own = check(|at| 0.02 + 0.03 * at, 1..=1, 1e-9);
        assert!((own.rate(10.0) - 0.03).abs() < 1e-9);
        // A player who wobbles by 20 ms keeps the tempo.
        check(|at| if (at / 0.48).round() as i64 % 2 == 0 { 0.02 } else { -0.02 }, 0..=0, 0.03);
    }

    #[test]
    fn a_tempo_that_goes_up_and_down_is_followed() {
        let turn = std::f64::consts::TAU / 19.2;
        check(|at| 0.03 / turn * (turn * at).sin(), 3..=HIGHEST, 0.004);
    }

    #[test]
    fn a_stop_is_no_tempo() {
        let own = check(|at| if at < 12.0 { 0.01 } else { 1.21 }, 0..=0, 1e-9);
        assert_eq!(own.stops.len(), 1);
        assert!((own.stops[0].1 - 1.2).abs() < 1e-9);
        let own = check(|at| 0.02 * at + if at < 12.0 { 0.0 } else { 1.2 }, 1..=1, 0.03);
        assert_eq!(own.stops.len(), 1);
    }

    #[test]
    fn few_notes() {
        assert_eq!(OwnTempo::through(&[], &[]), None);
        assert_eq!(OwnTempo::through(&[1.0], &[0.5]).unwrap().at(3.0), 0.5);
        assert_eq!(OwnTempo::through(&[1.0, 1.0], &[0.5, 0.5]).unwrap().degree(), 0);
    }
}
