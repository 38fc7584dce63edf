//! Noise that is the same every time, and the small filters that colour it.

use std::f64::consts::TAU;

/// White noise between −1 and 1 from a seed: xorshift, 32 bits.
///
/// Source: Marsaglia, "Xorshift RNGs", Journal of Statistical Software 8(14), 2003, triple (13, 17, 5).
#[derive(Clone, Debug)]
pub struct Noise(u32);

impl Noise {
    /// Noise from a seed; any seed will do.
    pub fn new(seed: u32) -> Noise {
        Noise(seed | 1)
    }

    /// The next sample.
    pub fn sample(&mut self) -> f32 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 17;
        self.0 ^= self.0 << 5;
        self.0 as i32 as f32 / 2_147_483_648.0
    }
}

/// A first-order high-pass filter.
#[derive(Clone, Debug)]
pub struct HighPass {
    keep: f32,
    last_in: f32,
    last_out: f32,
}

impl HighPass {
    /// Lets pass what lies above `cutoff` (as a fraction of the sample rate, below 0.5).
    pub fn new(cutoff: f64) -> HighPass {
        let rc = 1.0 / (TAU * cutoff);
        HighPass { keep: (rc / (rc + 1.0)) as f32, last_in: 0.0, last_out: 0.0 }
    }

    /// Filters one sample.
    pub fn pass(&mut self, sample: f32) -> f32 {
        // What came in is reckoned first: nothing then waits but for the last sum.
        self.last_out = self.keep * (self.last_out + (sample - self.last_in));
        self.last_in = sample;
        self.last_out
    }
}

/// A first-order low-pass filter.
#[derive(Clone, Debug)]
pub struct LowPass {
    step: f32,
    last: f32,
}

impl LowPass {
    /// Lets pass what lies below `cutoff` (as a fraction of the sample rate, below 0.5).
    pub fn new(cutoff: f64) -> LowPass {
        LowPass { step: (1.0 - (-TAU * cutoff).exp()) as f32, last: 0.0 }
    }

    /// Filters one sample.
    pub fn pass(&mut self, sample: f32) -> f32 {
        self.last += self.step * (sample - self.last);
        self.last
    }
}
