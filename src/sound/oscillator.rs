//! Sines by rotating complex numbers: no call of `sin` for each frame.

use crate::sound::turn::{cosine, sine};

/// A sine that dies away.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Partial {
    /// Cycles a frame, below 0.5.
    pub cycles: f64,
    /// Amplitude at the start.
    pub level: f64,
    /// Frames in which the amplitude falls to 1/e; infinity for a steady sine.
    pub decay_frames: f64,
}

/// Sines that are computed side by side.
const LANES: usize = 8;
/// After so many frames lanes that have died away are stopped: numbers near zero are slow to compute with.
const BLOCK: usize = 512;
/// Power at which a lane has died away: 120 dB below full scale.
const SILENT: f32 = 1e-12;

/// Adds `partials` to `out`, each from phase zero at its first frame on.
pub fn add(partials: &[Partial], out: &mut [f32]) {
    // Those that die together are computed together, so that a bank of them can stop.
    let mut partials = partials.to_vec();
    partials.sort_unstable_by(|a, b| a.decay_frames.total_cmp(&b.decay_frames));
    for some in partials.chunks(LANES) {
        Bank::new(some).add_to(out);
    }
}

#[derive(Default)]
struct Bank {
    real: [f32; LANES],
    imaginary: [f32; LANES],
    turn_real: [f32; LANES],
    turn_imaginary: [f32; LANES],
}

impl Bank {
    fn new(partials: &[Partial]) -> Bank {
        let mut bank = Bank::default();
        for (lane, partial) in partials.iter().enumerate() {
            let shrink = (-1.0 / partial.decay_frames).exp();
            let (sine, cosine) = (sine(partial.cycles), cosine(partial.cycles));
            bank.real[lane] = partial.level as f32;
            bank.turn_real[lane] = (cosine * shrink) as f32;
            bank.turn_imaginary[lane] = (sine * shrink) as f32;
        }
        bank
    }

    fn add_to(&mut self, out: &mut [f32]) {
        for block in out.chunks_mut(BLOCK) {
            block.iter_mut().for_each(|sample| *sample += self.turn());
            if !self.sounds() {
                return;
            }
        }
    }

    /// The sum of the sines, which then move on by a frame.
    #[inline]
    fn turn(&mut self) -> f32 {
        // Added in pairs, which a processor does side by side.
        let [a, b, c, d, e, f, g, h] = self.imaginary;
        let sum = ((a + e) + (c + g)) + ((b + f) + (d + h));
        for lane in 0..LANES {
            let (real, imaginary) = (self.real[lane], self.imaginary[lane]);
            self.real[lane] = real * self.turn_real[lane] - imaginary * self.turn_imaginary[lane];
            self.imaginary[lane] = real * self.turn_imaginary[lane] + imaginary * self.turn_real[lane];
        }
        sum
    }

    /// Stops lanes that have died away, and tells whether any is left.
    fn sounds(&mut self) -> bool {
        let mut any = false;
        for lane in 0..LANES {
            if self.real[lane].powi(2) + self.imaginary[lane].powi(2) < SILENT {
                (self.real[lane], self.imaginary[lane]) = (0.0, 0.0);
            } else {
                any = true;
            }
        }
        any
    }
}

/// A turning phase whose speed may change: sines of its multiples make a steady tone.
#[derive(Clone, Debug)]
pub struct Phasor {
    real: f64,
    imaginary: f64,
}

impl Default for Phasor {
    fn default() -> Phasor {
        Phasor { real: 1.0, imaginary: 0.0 }
    }
}

impl Phasor {
    /// The phase at each of `out.len()` frames as (cosine, sine), turning by `cycles` a frame.
    pub fn fill(&mut self, cycles: f64, out: &mut [(f32, f32)]) {
        let (sine, cosine) = (sine(cycles), cosine(cycles));
        for place in out {
            *place = (self.real as f32, self.imaginary as f32);
            (self.real, self.imaginary) =
                (self.real * cosine - self.imaginary * sine, self.real * sine + self.imaginary * cosine);
        }
    }
}

/// The sum of levels[k−1]·sin(kθ) for a phase θ given by its cosine and sine.
///
/// Source: C. W. Clenshaw, "A note on the summation of Chebyshev series", Mathematics of Computation 9, 1955.
#[inline]
pub fn harmonics(levels: &[f32], (cosine, sine): (f32, f32)) -> f32 {
    let (mut next, mut after) = (0.0_f32, 0.0_f32);
    for level in levels.iter().rev() {
        (next, after) = (level + 2.0 * cosine * next - after, next);
    }
    next * sine
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use super::*;

    /// Against the closed form. Tolerance: 24-bit fractions, turned a thousand times.
    #[test]
    fn partials_are_decaying_sines() {
        let partials =
            [0.01, 0.02, 0.11].map(|cycles| Partial { cycles, level: 0.3, decay_frames: 4.0 / cycles });
        let mut out = vec![0.0; 1000];
        add(&partials, &mut out);
        for (frame, sample) in out.iter().enumerate() {
            let time = frame as f64;
            let exact: f64 = partials
                .iter()
                .map(|p| p.level * (-time / p.decay_frames).exp() * (TAU * p.cycles * time).sin())
                .sum();
            assert!((f64::from(*sample) - exact).abs() < 1e-4, "frame {frame}: {sample} is not {exact}");
        }
    }

    #[test]
    fn harmonics_are_a_sum_of_sines() {
        let levels = [0.5, 0.25, -0.125, 0.3];
        for step in 0..50 {
            let angle = f64::from(step) * 0.13;
            let exact: f64 =
                levels.iter().zip(1..).map(|(level, k)| level * (f64::from(k) * angle).sin()).sum();
            let found =
                harmonics(&levels.map(|level| level as f32), (angle.cos() as f32, angle.sin() as f32));
            assert!((f64::from(found) - exact).abs() < 1e-5);
        }
    }
}
