//! The discrete Fourier transform of real samples, by the crate `rustfft`.
//!
//! Its radix-4 transform is made by name and not by its planner, which would bring every other kind with it to the page.
//! `microfft` is smaller still, but keeps its sines as a table, and tables go to the page's first module.

use std::f64::consts::TAU;

use rustfft::algorithm::Radix4;
use rustfft::num_complex::Complex;
use rustfft::{Fft, FftDirection};

/// Transforms a power of two of real samples; allocates only when made.
pub(super) struct RealFft {
    half: Radix4<f32>,
    turns: Box<[Complex<f32>]>,
    packed: Box<[Complex<f32>]>,
    scratch: Box<[Complex<f32>]>,
}

impl RealFft {
    /// For `size` samples, a power of two of at least 4.
    pub(super) fn new(size: usize) -> RealFft {
        let half = Radix4::new(size / 2, FftDirection::Forward);
        let turn = |bin: usize| {
            let angle = -TAU * bin as f64 / size as f64;
            Complex::new(angle.cos() as f32, angle.sin() as f32)
        };
        RealFft {
            turns: (0..=size / 2).map(turn).collect(),
            packed: vec![Complex::default(); size / 2].into(),
            scratch: vec![Complex::default(); half.get_inplace_scratch_len()].into(),
            half,
        }
    }

    /// The samples of one transform.
    pub(super) fn size(&self) -> usize {
        2 * self.packed.len()
    }
    /// Writes the bins from 0 to half the rate, `size / 2 + 1` of them, as far as `bins` has room. `sample` gives each of
    /// the samples.
    pub(super) fn run(&mut self, sample: impl Fn(usize) -> f32, bins: &mut [Complex<f32>]) {
        // Even samples as real and odd ones as imaginary parts: one transform of half the size.
        for (pair, packed) in self.packed.iter_mut().enumerate() {
            *packed = Complex::new(sample(2 * pair), sample(2 * pair + 1));
        }
        self.half.process_with_scratch(&mut self.packed, &mut self.scratch);
        // Bin k is made of bin k of that transform and the one as far from its end; bin 0 is its own partner.
        let (first, rest) = self.packed.split_first().expect("there are two at least");
        let partners = self
            .packed
            .iter()
            .chain([first])
            .zip([first].into_iter().chain(rest.iter().rev()).chain([first]));
        for ((out, (one, partner)), turn) in bins.iter_mut().zip(partners).zip(&self.turns) {
            let other = partner.conj();
            let (even, odd) = ((one + other) * 0.5, (one - other) * Complex::new(0.0, -0.5));
            *out = even + odd * turn;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the sum that defines it, written out.
    #[test]
    fn it_is_the_discrete_fourier_transform() {
        for size in [8, 64, 256] {
            let samples: Vec<f32> = (0..size).map(|k| ((k * k + 3 * k) % 17) as f32 / 17.0 - 0.4).collect();
            let mut bins = vec![Complex::default(); size / 2 + 1];
            RealFft::new(size).run(|k| samples[k], &mut bins);
            for (bin, found) in bins.iter().enumerate() {
                let term = |(k, sample): (usize, &f32)| {
                    let angle = -TAU * (bin * k) as f64 / size as f64;
                    Complex::new(angle.cos(), angle.sin()) * f64::from(*sample)
                };
                let expected: Complex<f64> = samples.iter().enumerate().map(term).sum();
                assert!((f64::from(found.re) - expected.re).abs() < 1e-4, "{size} {bin}");
                assert!((f64::from(found.im) - expected.im).abs() < 1e-4, "{size} {bin}");
            }
        }
    }
}
