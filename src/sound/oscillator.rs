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

/// Frames that are computed side by side.
const BLOCK: usize = 32;
/// Power at which a sine has died away: 120 dB below full scale. It is stopped then.
const SILENT: f64 = 1e-12;

/// Adds `partials` to `out`, each from phase zero at its first frame on.
pub fn add(partials: &[Partial], out: &mut [f32]) {
    let mut sines: Vec<Turning> = partials.iter().map(Turning::new).collect();
    for block in out.chunks_mut(BLOCK) {
        let mut sum = [0.0; BLOCK];
        sines.iter_mut().for_each(|sine| sine.add_to(&mut sum));
        block.iter_mut().zip(sum).for_each(|(sample, sum)| *sample += sum);
        sines.retain(Turning::sounds);
        if sines.is_empty() {
            return;
        }
    }
}

/// A sine that dies away, as a turning number; block by block, since no frame of a block then waits for the one before.
struct Turning {
    real: f64,
    imaginary: f64,
    /// How it turns and shrinks in a block.
    turn: (f64, f64),
    /// How it turns and shrinks from the beginning of a block to each of its frames.
    cosines: [f32; BLOCK],
    sines: [f32; BLOCK],
}

impl Turning {
    fn new(partial: &Partial) -> Turning {
        let shrink = (-1.0 / partial.decay_frames).exp();
        // In single precision, as these notes have always been: a fiftieth of a cent from their place at most.
        let [cosine, sine] =
            [cosine(partial.cycles), sine(partial.cycles)].map(|part| f64::from((part * shrink) as f32));
        let (mut cosines, mut sines) = ([0.0; BLOCK], [0.0; BLOCK]);
        let mut turn = (1.0, 0.0);
        for (cosines, sines) in cosines.iter_mut().zip(&mut sines) {
            (*cosines, *sines) = (turn.0 as f32, turn.1 as f32);
            turn = turned(turn, (cosine, sine));
        }
        Turning { real: partial.level, imaginary: 0.0, turn, cosines, sines }
    }

    /// Adds a block of the sine, which then moves on.
    fn add_to(&mut self, sum: &mut [f32; BLOCK]) {
        let (real, imaginary) = (self.real as f32, self.imaginary as f32);
        for (sum, (cosine, sine)) in sum.iter_mut().zip(self.cosines.iter().zip(&self.sines)) {
            *sum += imaginary * cosine + real * sine;
        }
        (self.real, self.imaginary) = turned((self.real, self.imaginary), self.turn);
    }

    fn sounds(&self) -> bool {
        self.real * self.real + self.imaginary * self.imaginary >= SILENT
    }
}

/// The product of two complex numbers: the first turned by the second.
fn turned((real, imaginary): (f64, f64), (cosine, sine): (f64, f64)) -> (f64, f64) {
    (real * cosine - imaginary * sine, real * sine + imaginary * cosine)
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
            (self.real, self.imaginary) = turned((self.real, self.imaginary), (cosine, sine));
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
