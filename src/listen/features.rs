//! What the network sees: 73 semitones with twelve numbers each, and fifty numbers about how the sound begins, every 8 ms.
//!
//! `scripts/listening/features.py` computes the same for training and says why it is what it is; the names here are those
//! there. The normalised square difference is that of P. McLeod and G. Wyvill, "A smarter way to find pitch", 2005.

use std::f64::consts::{LN_2, LN_10, TAU};

use rustfft::num_complex::Complex;

use super::echo::{BINS, BLOCK};
use super::fft::RealFft;
use super::resample::dot;

/// Samples a second that are looked at.
pub(super) const RATE: f64 = 24_000.0;
/// Samples from frame to frame.
pub(super) const HOP: usize = 192;
/// Semitones from MIDI 26 (36.7 Hz) to 98.
pub(super) const PITCHES: usize = 73;
/// The MIDI note of the first.
pub(super) const LOWEST: u8 = 26;
/// Numbers a semitone.
pub(super) const CHANNELS: usize = 12;
/// Numbers about both short spectra: 24 bands and a peak each.
pub(super) const SHORT_INPUTS: usize = 2 * (BANDS + 1);
/// From the middle of a frame to the last sample that it needs: half the long window and half the filter that halves.
pub(super) const AFTER: usize = LONG / 2 + HALVING_TAPS / 2;

/// Bins a semitone; the middle one is in tune.
pub(super) const PER_SEMITONE: usize = 3;
/// Bins of the square differences.
pub(super) const HEIGHTS: usize = PITCHES * PER_SEMITONE;
const SPECTRUM_LOWEST: f64 = 24.0;
const SPECTRUM_BINS: usize = 300;
const BANDS: usize = 24;
const LONG: usize = 2048;
const SHORT: usize = 256;
/// How far the short windows stand from the frame's middle, in samples: 2 ms.
const SHORT_OFF: usize = 48;
const LONG_DIFFERENCE: usize = 1024;
const SHORT_DIFFERENCE: usize = 384;
const LONG_LAGS: usize = 340;
const SHORT_LAGS: usize = 192;
const HALVING_TAPS: usize = 41;
/// Where a pitch's channels lie in the long spectrum, in thirds of a semitone.
const PARTIALS: [isize; 8] = [-36, 0, 36, 57, 72, 84, 93, 108];
/// What stands for the spectrum where its grid has ended.
const NOTHING: f32 = -1.06;

/// Of what was taken out so much may be left, in power: more than is, so that it begins no note. It rings on, with so much of its
/// power from frame to frame. A doubt counts so many times. Chosen on takes of our own (`scripts/listening/clips.py`).
const LEFT: f32 = 1.2;
const RINGS: f32 = 0.9;
const DOUBTED: f32 = 30.0;

/// For each bin of the square differences the first of four lags and their weights; `None` where the lag is too long.
type LagReader = Box<[Option<(usize, [f32; 4])>]>;

/// One frame.
pub(super) struct Inputs {
    /// Channel by channel within each semitone.
    pub(super) grid: Box<[f32]>,
    /// Both short spectra.
    pub(super) short: [f32; SHORT_INPUTS],
}

/// Turns samples at 24 kHz into frames; allocates only when made.
pub(super) struct Features {
    /// The latest samples; the middle of the frame in work is sample `LONG / 2`.
    latest: Box<[f32]>,
    /// What was taken out of each of them, where the page's own sound was: some of it is left.
    taken: Box<[f32]>,
    is_beside: bool,
    /// How many of the samples that the next frame needs have yet to come.
    missing: usize,
    is_first: bool,
    /// The same at 12 kHz without what is below hearing.
    slow: Box<[f32]>,
    /// Input and output of the filter that takes away what is below hearing.
    passed: (f32, f32),
    halving: [f32; HALVING_TAPS],
    long: RealFft,
    middle: RealFft,
    short: RealFft,
    long_window: Box<[f32]>,
    short_window: Box<[f32]>,
    bins: Box<[Complex<f32>]>,
    magnitudes: Box<[f32]>,
    /// The power of what was taken out, in the long window and in both short ones.
    ringing: Box<[f32]>,
    ringing_short: [[f32; SHORT / 2 + 1]; 2],
    /// What may be left of it for all that is known of its way (`Canceller::doubt`).
    pub(super) doubt: [f32; BINS],
    pitch_filters: Filters,
    band_filters: Filters,
    spectrum: Box<[f32]>,
    energy: Box<[f32]>,
    difference: Box<[f32]>,
    long_reader: LagReader,
    short_reader: LagReader,
    at_pitches: [Box<[f32]>; 2],
    peak: f32,
    /// The frame that was made last.
    pub(super) inputs: Inputs,
}

impl Features {
    pub(super) fn new() -> Features {
        let boxed = |length: usize| vec![0.0; length].into_boxed_slice();
        Features {
            latest: boxed(LONG + HALVING_TAPS / 2),
            taken: boxed(LONG + HALVING_TAPS / 2),
            is_beside: false,
            ringing: boxed(LONG / 2 + 1),
            doubt: [0.0; BINS],
            ringing_short: [[0.0; SHORT / 2 + 1]; 2],
            missing: AFTER,
            is_first: true,
            slow: boxed(LONG_DIFFERENCE),
            passed: (0.0, 0.0),
            halving: halving(),
            long: RealFft::new(LONG),
            middle: RealFft::new(1024),
            short: RealFft::new(SHORT),
            long_window: hann(LONG),
            short_window: hann(SHORT),
            bins: vec![Complex::default(); LONG / 2 + 1].into(),
            magnitudes: boxed(LONG / 2 + 1),
            pitch_filters: pitch_filters(),
            band_filters: band_filters(),
            spectrum: boxed(SPECTRUM_BINS),
            energy: boxed(LONG_DIFFERENCE + 1),
            difference: boxed(LONG_LAGS),
            long_reader: lag_reader(LONG_LAGS),
            short_reader: lag_reader(SHORT_LAGS),
            at_pitches: [boxed(HEIGHTS), boxed(HEIGHTS)],
            peak: 0.0,
            inputs: Inputs { grid: boxed(PITCHES * CHANNELS), short: [0.0; SHORT_INPUTS] },
        }
    }

    /// Takes a sample, and what was taken out of it as the page's own sound; says whether a frame is complete. The first is
    /// when [`AFTER`] samples have come.
    pub(super) fn push(&mut self, sample: f32, taken: f32) -> bool {
        let place = self.latest.len() - self.missing;
        self.latest[place] = sample;
        self.taken[place] = taken;
        self.missing -= 1;
        if self.missing > 0 {
            return false;
        }
        self.make();
        self.latest.copy_within(HOP.., 0);
        self.taken.copy_within(HOP.., 0);
        self.missing = HOP;
        true
    }

    /// The long square difference of the last frame, three to a semitone.
    pub(super) fn heights(&self) -> &[f32] {
        &self.at_pitches[0]
    }

    /// The loudest sample within a few milliseconds of the last frame's middle.
    pub(super) fn peak(&self) -> f32 {
        self.peak
    }

    fn make(&mut self) {
        self.is_beside = self.taken.iter().any(|taken| *taken != 0.0);
        self.halve();
        self.long_spectrum();
        self.square_differences();
        self.short_spectra();
        self.peak = self.peak_of(LONG / 2 - SHORT / 2..LONG / 2 + SHORT / 2);
        self.stack();
    }

    /// Makes the newest samples at 12 kHz: 96 of them, and half a window for the first frame.
    fn halve(&mut self) {
        let new = if self.is_first { LONG_DIFFERENCE / 2 } else { HOP / 2 };
        self.is_first = false;
        self.slow.copy_within(new.., 0);
        for place in LONG_DIFFERENCE - new..LONG_DIFFERENCE {
            let centre = LONG / 2 + 2 * place - LONG_DIFFERENCE;
            self.slow[place] = self.halved(centre);
        }
    }

    fn halved(&mut self, centre: usize) -> f32 {
        let window = &self.latest[centre - HALVING_TAPS / 2..=centre + HALVING_TAPS / 2];
        let value = dot(window, &self.halving);
        let (before, out) = self.passed;
        let passed = value - before + 0.97 * out;
        self.passed = (value, passed);
        passed
    }

    fn long_spectrum(&mut self) {
        let (latest, window) = (&self.latest, &self.long_window);
        self.long.run(|k| latest[k] * window[k], &mut self.bins);
        for (magnitude, bin) in self.magnitudes.iter_mut().zip(&self.bins) {
            *magnitude = bin.norm_sqr().sqrt();
        }
        if self.is_beside {
            let (taken, window) = (&self.taken, &self.long_window);
            self.long.run(|k| taken[k] * window[k], &mut self.bins);
            mask(&mut self.magnitudes, &self.bins, &mut self.ringing, &self.doubt);
        }
        for (index, out) in self.spectrum.iter_mut().enumerate() {
            *out = 0.5 * log10(self.pitch_filters.sum(index, &self.magnitudes) + 3e-5) + 1.2;
        }
    }

    fn square_differences(&mut self) {
        square_difference(
            &self.slow,
            &mut self.long,
            (&mut self.bins, &mut self.magnitudes, &mut self.energy),
            &mut self.difference[..LONG_LAGS],
        );
        read(&self.difference, &self.long_reader, &mut self.at_pitches[0]);
        let first = (LONG_DIFFERENCE - SHORT_DIFFERENCE) / 2;
        square_difference(
            &self.slow[first..first + SHORT_DIFFERENCE],
            &mut self.middle,
            (&mut self.bins, &mut self.magnitudes, &mut self.energy),
            &mut self.difference[..SHORT_LAGS],
        );
        read(&self.difference, &self.short_reader, &mut self.at_pitches[1]);
    }

    fn short_spectra(&mut self) {
        for half in 0..2 {
            let first = LONG / 2 - SHORT_OFF - SHORT / 2 + 2 * SHORT_OFF * half;
            let (frame, window) = (&self.latest[first..first + SHORT], &self.short_window);
            self.short.run(|k| frame[k] * window[k], &mut self.bins[..SHORT / 2 + 1]);
            for (magnitude, bin) in self.magnitudes.iter_mut().zip(&self.bins[..SHORT / 2 + 1]) {
                *magnitude = bin.norm_sqr().sqrt();
            }
            if self.is_beside {
                let taken = &self.taken[first..first + SHORT];
                self.short.run(|k| taken[k] * window[k], &mut self.bins[..SHORT / 2 + 1]);
                mask(
                    &mut self.magnitudes,
                    &self.bins[..SHORT / 2 + 1],
                    &mut self.ringing_short[half],
                    &self.doubt,
                );
            }
            let peak = self.peak_of(first + 64..first + 192);
            let out = &mut self.inputs.short[half * (BANDS + 1)..][..BANDS + 1];
            for (band, out) in out[..BANDS].iter_mut().enumerate() {
                *out = 0.5 * log10(self.band_filters.sum(band, &self.magnitudes) + 1e-4) + 1.0;
            }
            out[BANDS] = 0.5 * log10(peak + 1e-3) + 1.0;
        }
    }

    /// The loudest of some samples, without what may be left of the page's sound.
    fn peak_of(&self, samples: std::ops::Range<usize>) -> f32 {
        let peak = |of: &[f32]| of.iter().fold(0.0_f32, |peak, sample| peak.max(sample.abs()));
        let loudest = peak(&self.latest[samples.clone()]);
        (loudest * loudest - LEFT * peak(&self.taken[samples]).powi(2)).max(0.0).sqrt()
    }

    fn stack(&mut self) {
        let first = (f64::from(LOWEST) - SPECTRUM_LOWEST) as usize * PER_SEMITONE;
        let [long, short] = &self.at_pitches;
        let highest = |from: &[f32], first: usize, by: isize, missing: f32| {
            let bins = first..first + PER_SEMITONE;
            let value = |bin: usize| bin.checked_add_signed(by).and_then(|bin| from.get(bin)).copied();
            bins.map(|bin| value(bin).unwrap_or(missing)).fold(f32::MIN, f32::max)
        };
        for (pitch, channels) in self.inputs.grid.chunks_exact_mut(CHANNELS).enumerate() {
            let bin = PER_SEMITONE * pitch;
            for (channel, by) in channels.iter_mut().zip(PARTIALS) {
                *channel = highest(&self.spectrum, first + bin, by, NOTHING);
            }
            channels[8] = highest(long, bin, 0, 0.0);
            channels[9] = highest(long, bin, 36, 0.0);
            channels[10] = highest(long, bin, -36, 0.0);
            channels[11] = highest(short, bin, 0, 0.0);
        }
    }
}

/// Takes away from magnitudes what may be left of the page's sound. `ringing` is the power that was taken out of each bin of
/// frames before, `doubt` is that of `Canceller::doubt`.
fn mask(magnitudes: &mut [f32], taken: &[Complex<f32>], ringing: &mut [f32], doubt: &[f32; BINS]) {
    let count = taken.len() - 1;
    // From noise through a window of `BLOCK` ones to noise through Hann's, whose squares sum to 6 over its length.
    let scale = DOUBTED * 6.0 / (2 * count) as f32 / BLOCK as f32;
    for (bin, ((magnitude, taken), ringing)) in magnitudes.iter_mut().zip(taken).zip(ringing).enumerate() {
        *ringing = (RINGS * *ringing).max(taken.norm_sqr());
        let left = LEFT * *ringing + scale * doubt[bin * BLOCK / count];
        *magnitude = (*magnitude * *magnitude - left).max(0.0).sqrt();
    }
}

/// Sparse triangles over the bins of a spectrum.
struct Filters {
    weights: Box<[f32]>,
    /// For each filter its first bin, and where its weights begin and end.
    rows: Box<[(usize, usize, usize)]>,
}

impl Filters {
    /// From a filter's weight at a bin; each filter is scaled to a sum of one.
    fn new(count: usize, bins: usize, weight: impl Fn(usize, usize) -> f64) -> Filters {
        let (mut weights, mut rows) = (Vec::new(), Vec::new());
        for filter in 0..count {
            let row: Vec<f64> = (0..bins).map(|bin| weight(filter, bin).max(0.0)).collect();
            let first = row.iter().position(|&weight| weight > 0.0).unwrap_or(0);
            let last = row.iter().rposition(|&weight| weight > 0.0).map_or(first, |last| last + 1);
            let sum: f64 = row.iter().sum::<f64>().max(1e-6);
            rows.push((first, weights.len(), weights.len() + last - first));
            weights.extend(row[first..last].iter().map(|weight| (weight / sum) as f32));
        }
        Filters { weights: weights.into(), rows: rows.into() }
    }

    fn sum(&self, filter: usize, magnitudes: &[f32]) -> f32 {
        let (first, begin, end) = self.rows[filter];
        let weights = &self.weights[begin..end];
        dot(weights, &magnitudes[first..first + weights.len()])
    }
}

/// Equal temperament with A4 at 440 Hz; by way of `exp`, for the page's sake (see `Cents::ratio`).
fn frequency(midi: f64) -> f64 {
    440.0 * ((midi - 69.0) / 12.0 * LN_2).exp()
}

fn pitch_filters() -> Filters {
    let apart = RATE / LONG as f64;
    Filters::new(SPECTRUM_BINS, LONG / 2 + 1, |filter, bin| {
        let centre = frequency(SPECTRUM_LOWEST - 1.0 / 3.0 + filter as f64 / 3.0);
        let width = apart.max(centre * ((LN_2 / 36.0).exp() - 1.0));
        1.0 - (bin as f64 * apart - centre).abs() / width
    })
}

fn band_filters() -> Filters {
    let apart = RATE / SHORT as f64;
    let edge = |index: usize| 100.0 * (115_f64.ln() * index as f64 / (BANDS + 1) as f64).exp();
    Filters::new(BANDS, SHORT / 2 + 1, |filter, bin| {
        let centre = edge(filter + 1);
        let (low, high) = (edge(filter).min(centre - apart), edge(filter + 2).max(centre + apart));
        let hz = bin as f64 * apart;
        ((hz - low) / (centre - low)).min((high - hz) / (high - centre))
    })
}

/// Where a function of lag at 12 kHz is read for each bin of the grid, and with what weights: cubic interpolation. `None`
/// where the lag is too long.
fn lag_reader(lags: usize) -> LagReader {
    let row = |bin: usize| {
        let lag = RATE / 2.0 / frequency(f64::from(LOWEST) - 1.0 / 3.0 + bin as f64 / 3.0);
        let (whole, t) = (lag as usize, lag.fract());
        let weights = [
            -0.5 * t + t * t - 0.5 * t * t * t,
            1.0 - 2.5 * t * t + 1.5 * t * t * t,
            0.5 * t + 2.0 * t * t - 1.5 * t * t * t,
            -0.5 * t * t + 0.5 * t * t * t,
        ];
        (whole + 2 < lags).then(|| (whole - 1, weights.map(|weight| weight as f32)))
    };
    (0..HEIGHTS).map(row).collect()
}

fn read(difference: &[f32], reader: &[Option<(usize, [f32; 4])>], out: &mut [f32]) {
    for (out, row) in out.iter_mut().zip(reader) {
        *out = row.map_or(0.0, |(first, weights)| {
            difference[first..first + 4].iter().zip(weights).map(|(value, weight)| value * weight).sum()
        });
    }
}

/// n′(τ) of the samples for each lag τ that `out` has room for.
fn square_difference(
    samples: &[f32],
    fft: &mut RealFft,
    (bins, power, energy): (&mut [Complex<f32>], &mut [f32], &mut [f32]),
    out: &mut [f32],
) {
    let size = fft.size();
    fft.run(|k| samples.get(k).copied().unwrap_or(0.0), bins);
    for (power, bin) in power.iter_mut().zip(&bins[..=size / 2]) {
        *power = bin.norm_sqr();
    }
    fft.run(|k| power[k.min(size - k)], &mut bins[..out.len()]);
    let mut sum = 0.0_f64;
    for (at, sample) in samples.iter().enumerate() {
        sum += f64::from(sample * sample);
        energy[at + 1] = sum as f32;
    }
    energy[0] = 0.0;
    let count = samples.len();
    for (lag, out) in out.iter_mut().enumerate() {
        let both = energy[count - lag] + energy[count] - energy[lag];
        *out = 2.0 * bins[lag].re / size as f32 / (both + 1e-7 * count as f32);
    }
}

fn hann(length: usize) -> Box<[f32]> {
    let at = |k: usize| 0.5 - 0.5 * (TAU * k as f64 / length as f64).cos();
    let sum: f64 = (0..length).map(at).sum();
    (0..length).map(|k| (2.0 * at(k) / sum) as f32).collect()
}

/// Halves the rate: a sinc of half the band under a Kaiser window with beta 5.
fn halving() -> [f32; HALVING_TAPS] {
    let half = (HALVING_TAPS / 2) as f64;
    let at = |k: usize| {
        let off = k as f64 - half;
        super::resample::sinc(off / 2.0) * super::resample::kaiser(off / half)
    };
    let sum: f64 = (0..HALVING_TAPS).map(at).sum();
    std::array::from_fn(|k| (at(k) / sum) as f32)
}

fn log10(value: f32) -> f32 {
    value.ln() * (1.0 / LN_10) as f32
}
