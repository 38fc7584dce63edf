//! Samples at any rate brought to another, as they come.
//!
//! Source: J. O. Smith, "Digital Audio Resampling Home Page", <https://ccrma.stanford.edu/~jos/resample/>: a windowed sinc
//! held as a table of phases, between which is interpolated; the window is Kaiser's.

use std::f64::consts::PI;

/// Zero crossings of the sinc on each side, and the window's beta: what `scipy.signal.resample_poly` takes, which made the
/// sounds that the network was trained on.
const CROSSINGS: usize = 10;
const BETA: f64 = 5.0;
/// Phases between two samples. With linear interpolation the error lies 70 dB below the sound and more.
const PHASES: usize = 128;

/// Changes the rate of a stream; allocates only when made.
pub(super) struct Resampler {
    /// A row of `taps` a phase, and one more.
    kernel: Box<[f32]>,
    taps: usize,
    /// The latest samples, each twice, so that a window of them always lies in one piece.
    latest: Box<[f32]>,
    at: usize,
    /// Samples of the input from one sample of the output to the next.
    step: f64,
    /// Where the next sample of the output lies, in samples of the input after the last that came.
    next: f64,
}

impl Resampler {
    /// From `from` hertz to `to`, both finite and above zero. The first sample that comes out lies at the first that goes in.
    pub(super) fn new(from: f64, to: f64) -> Resampler {
        let step = from / to;
        let wide = step.max(1.0);
        let half = (CROSSINGS as f64 * wide).ceil() as usize;
        let taps = 2 * half + 1;
        let mut kernel = Vec::with_capacity((PHASES + 1) * taps);
        for phase in 0..=PHASES {
            let row = kernel.len();
            for tap in 0..taps {
                let off = (tap as f64 - half as f64 - phase as f64 / PHASES as f64) / wide;
                kernel.push(sinc(off) * kaiser(off / CROSSINGS as f64));
            }
            // What does not change comes through unchanged.
            let sum: f64 = kernel[row..].iter().sum();
            kernel[row..].iter_mut().for_each(|weight| *weight /= sum);
        }
        Resampler {
            kernel: kernel.into_iter().map(|weight| weight as f32).collect(),
            taps,
            latest: vec![0.0; 2 * taps].into(),
            at: 0,
            step,
            next: half as f64,
        }
    }

    /// One that gives its next samples out when this one does, before which there was silence.
    pub(super) fn beside(&self) -> Resampler {
        let latest = vec![0.0; self.latest.len()].into();
        Resampler { kernel: self.kernel.clone(), latest, ..*self }
    }

    /// Takes one sample in and gives those out that lie before the next.
    pub(super) fn push(&mut self, sample: f32, mut out: impl FnMut(f32)) {
        let sample = if sample.is_finite() { sample.clamp(-8.0, 8.0) } else { 0.0 };
        self.latest[self.at] = sample;
        self.latest[self.at + self.taps] = sample;
        self.at = if self.at + 1 == self.taps { 0 } else { self.at + 1 };
        while self.next < 1.0 {
            let window = &self.latest[self.at..self.at + self.taps];
            let phase = self.next * PHASES as f64;
            let (row, part) = (phase as usize, phase.fract() as f32);
            let sum = |row: usize| {
                let weights = &self.kernel[row * self.taps..(row + 1) * self.taps];
                dot(window, weights)
            };
            let value = sum(row);
            out(if part > 0.0 { value + part * (sum(row + 1) - value) } else { value });
            self.next += self.step;
        }
        self.next -= 1.0;
    }
}

/// The sum of products, in eight sums that do not wait for each other.
pub(super) fn dot(one: &[f32], other: &[f32]) -> f32 {
    let mut sums = [0.0; 8];
    let (ones, others) = (one.chunks_exact(8), other.chunks_exact(8));
    let rest: f32 = ones.remainder().iter().zip(others.remainder()).map(|(one, other)| one * other).sum();
    for (one, other) in ones.zip(others) {
        for (sum, (one, other)) in sums.iter_mut().zip(one.iter().zip(other)) {
            *sum += one * other;
        }
    }
    rest + sums.iter().sum::<f32>()
}

pub(super) fn sinc(x: f64) -> f64 {
    if x == 0.0 { 1.0 } else { (PI * x).sin() / (PI * x) }
}

/// Kaiser's window; `x` from -1 to 1.
pub(super) fn kaiser(x: f64) -> f64 {
    if x.abs() > 1.0 { 0.0 } else { bessel(BETA * (1.0 - x * x).sqrt()) / bessel(BETA) }
}

/// The modified Bessel function of the first kind and order zero, by its power series.
fn bessel(x: f64) -> f64 {
    let (mut sum, mut term) = (1.0, 1.0);
    for k in 1..30 {
        term *= (x / 2.0 / f64::from(k)).powi(2);
        sum += term;
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A sine of another rate is the same sine: the closed form.
    #[test]
    fn a_sine_stays_the_same_sine() {
        for rate in [8_000.0, 22_050.0, 44_100.0, 48_000.0, 96_000.0, 37_123.4] {
            let hz = 700.0;
            let mut resampler = Resampler::new(rate, 24_000.0);
            let mut out = Vec::new();
            for k in 0..(rate / 4.0) as usize {
                resampler
                    .push((std::f64::consts::TAU * hz * k as f64 / rate).sin() as f32, |one| out.push(one));
            }
            assert!(out.len() > 5_800 && out.len() <= 6_001, "{rate}: {}", out.len());
            for (k, found) in out.iter().enumerate().skip(100) {
                let expected = (std::f64::consts::TAU * hz * k as f64 / 24_000.0).sin() as f32;
                // A hundredth, -40 dB: the ripple of this window in its pass band is smaller.
                assert!((found - expected).abs() < 1e-2, "{rate} {k}: {found} {expected}");
            }
        }
    }
}
