//! How loud a piece of sound is, and how high it peaks, as broadcasters measure it.
//!
//! Source: Recommendation ITU-R BS.1770-5, "Algorithms to measure audio programme loudness and true-peak audio
//! level", 2023, annexes 1 and 2.

use std::f64::consts::{PI, TAU};

use crate::units::{Decibels, SampleRate, Seconds};

/// Loudness relative to full scale in LUFS (LKFS in the recommendation).
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Lufs(pub f64);

/// Gated loudness is measured in blocks of this length …
const BLOCK: Seconds = Seconds(0.4);
/// … that begin this far apart: three quarters overlap.
pub(super) const STEP: Seconds = Seconds(0.1);
/// Blocks below this are silence.
const ABSOLUTE_GATE: Lufs = Lufs(-70.0);
/// Blocks that far below the mean of the rest are pauses.
const RELATIVE_GATE: f64 = -10.0;

/// The integrated loudness of stereo sound, or `None` where all of it is silence or it lasts less than 0.4 s.
pub fn integrated(left: &[f32], right: &[f32], rate: SampleRate) -> Option<Lufs> {
    gated(&block_powers(left, right, rate))
}

/// The loudness of blocks of these powers, pauses and silence left out; `None` where nothing is left.
pub(super) fn gated(powers: &[f64]) -> Option<Lufs> {
    let audible: Vec<f64> =
        powers.iter().copied().filter(|power| of_power(*power).0 > ABSOLUTE_GATE.0).collect();
    let threshold = of_power(mean(&audible)?).0 + RELATIVE_GATE;
    let loud: Vec<f64> = audible.into_iter().filter(|power| of_power(*power).0 > threshold).collect();
    Some(of_power(mean(&loud)?))
}

/// The recommendation's l = −0.691 + 10·log10(sum of the channels' mean squares).
fn of_power(power: f64) -> Lufs {
    Lufs(-0.691 + 10.0 * power.log10())
}

fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

/// The mean square of each block, both channels added, after K-weighting.
fn block_powers(left: &[f32], right: &[f32], rate: SampleRate) -> Vec<f64> {
    let step = rate.frame_at(STEP).0 as usize;
    let mut steps = vec![0.0_f64; left.len().min(right.len()) / step];
    let mut weighting = KWeighting::new(rate);
    let sides = left.chunks_exact(step).zip(right.chunks_exact(step));
    for (sum, (left, right)) in steps.iter_mut().zip(sides) {
        *sum = power(&mut weighting, left, right);
    }
    blocks(&steps, step)
}

/// The mean power of each block, from the power of steps of `step` frames.
pub(super) fn blocks(steps: &[f64], step: usize) -> Vec<f64> {
    let steps_in_block = (BLOCK.0 / STEP.0).round() as usize;
    let frames = (step * steps_in_block) as f64;
    steps.windows(steps_in_block).map(|block| block.iter().sum::<f64>() / frames).collect()
}

/// The two filters that stand for the head and for the ear's dullness to deep sounds, for both channels.
#[derive(Debug)]
pub(super) struct KWeighting {
    shelf: Biquad,
    high_pass: Biquad,
}

impl KWeighting {
    /// The recommendation gives coefficients at 48 kHz only; these are the analogue filters behind them, so that
    /// other rates measure alike. The test below holds them to the recommendation's tables.
    ///
    /// Source of corner frequencies, gain and quality: B. De Man, "Evaluation of implementations of the EBU R128
    /// loudness measurement", AES 145th Convention, 2018 (from memory).
    pub(super) fn new(rate: SampleRate) -> KWeighting {
        let hz = f64::from(rate.hz());
        KWeighting {
            shelf: Biquad::high_shelf(
                1_681.974_450_955_533,
                0.707_175_236_955_419_6,
                3.999_843_853_973_347,
                hz,
            ),
            high_pass: Biquad::high_pass(38.135_470_876_024_44, 0.500_327_037_323_877_3, hz),
        }
    }
}

/// The sum of the squares of both channels' weighted frames.
pub(super) fn power(weighting: &mut KWeighting, left: &[f32], right: &[f32]) -> f64 {
    let (mut shelf, mut high_pass) = (weighting.shelf.clone(), weighting.high_pass.clone());
    let mut sums = [0.0; 2];
    for (left, right) in left.iter().zip(right) {
        let weighted = high_pass.pass(shelf.pass([f64::from(*left), f64::from(*right)]));
        sums = [sums[0] + weighted[0] * weighted[0], sums[1] + weighted[1] * weighted[1]];
    }
    (weighting.shelf, weighting.high_pass) = (shelf, high_pass);
    sums[0] + sums[1]
}

/// A second-order filter, transposed direct form II, of two channels side by side.
#[derive(Clone, Debug)]
struct Biquad {
    b: [f64; 3],
    a: [f64; 2],
    state: [[f64; 2]; 2],
}

impl Biquad {
    fn high_shelf(corner: f64, quality: f64, decibels: f64, hz: f64) -> Biquad {
        let k = (PI * corner / hz).tan();
        let high = 10_f64.powf(decibels / 20.0);
        let band = high.powf(0.499_666_774_154_541_6);
        let a0 = 1.0 + k / quality + k * k;
        let b = [
            (high + band * k / quality + k * k) / a0,
            2.0 * (k * k - high) / a0,
            (high - band * k / quality + k * k) / a0,
        ];
        let a = [2.0 * (k * k - 1.0) / a0, (1.0 - k / quality + k * k) / a0];
        Biquad { b, a, state: [[0.0; 2]; 2] }
    }

    fn high_pass(corner: f64, quality: f64, hz: f64) -> Biquad {
        let k = (PI * corner / hz).tan();
        let a0 = 1.0 + k / quality + k * k;
        let a = [2.0 * (k * k - 1.0) / a0, (1.0 - k / quality + k * k) / a0];
        // The recommendation leaves this filter's gain as it falls: b is 1, −2, 1.
        Biquad { b: [1.0, -2.0, 1.0], a, state: [[0.0; 2]; 2] }
    }

    /// Written out for both channels: one instruction each natively, and no loop in the page's small module.
    #[inline(always)]
    fn pass(&mut self, [left, right]: [f64; 2]) -> [f64; 2] {
        let ([b0, b1, b2], [a1, a2], [first, second]) = (self.b, self.a, self.state);
        let out = [b0 * left + first[0], b0 * right + first[1]];
        self.state = [
            [b1 * left + second[0] - a1 * out[0], b1 * right + second[1] - a1 * out[1]],
            [b2 * left - a2 * out[0], b2 * right - a2 * out[1]],
        ];
        out
    }
}

/// Points between two frames at which the wave is looked at: four times oversampling, as annex 2 has it.
const PHASES: usize = 4;
/// Frames on either side of a point that it is made from. The recommendation's filter has twelve taps a phase.
pub(super) const REACH: usize = 8;

/// Finds peaks between the frames.
#[derive(Debug)]
pub struct TruePeak {
    /// What each of the frames around counts for each phase after the first.
    taps: [[f32; PHASES - 1]; 2 * REACH],
}

impl Default for TruePeak {
    fn default() -> TruePeak {
        let taps = std::array::from_fn(|tap| {
            std::array::from_fn(|phase| {
                let offset = (phase + 1) as f64 / PHASES as f64;
                let distance = tap as f64 - (REACH - 1) as f64 - offset;
                let window = 0.5 + 0.5 * (TAU * distance / (2.0 * REACH as f64 + 1.0)).cos();
                let sinc = (PI * distance).sin() / (PI * distance);
                (sinc * window) as f32
            })
        });
        TruePeak { taps }
    }
}

impl TruePeak {
    /// The highest point of `channel`, between its frames too, from frame `from` on and before `to`.
    pub fn of(&self, channel: &[f32], from: usize, to: usize) -> f32 {
        let to = to.min(channel.len());
        (from..to)
            .fold(highest(&channel[from.min(to)..to]), |peak, frame| self.after(channel, frame).max(peak))
    }

    /// The highest of the points between `frame` and the next one.
    pub(super) fn after(&self, channel: &[f32], frame: usize) -> f32 {
        let around = Self::around(channel, frame);
        let (mut first, mut middle, mut last) = (0.0_f32, 0.0_f32, 0.0_f32);
        for (taps, frame) in self.taps.iter().zip(&around) {
            first += taps[0] * frame;
            middle += taps[1] * frame;
            last += taps[2] * frame;
        }
        first.abs().max(middle.abs()).max(last.abs())
    }

    /// The frames that count for the points right after `frame`; silence lies before and after the sound.
    fn around(channel: &[f32], frame: usize) -> [f32; 2 * REACH] {
        let begin = frame as isize + 1 - REACH as isize;
        let inside = usize::try_from(begin).ok().and_then(|begin| channel.get(begin..begin + 2 * REACH));
        if let Some(inside) = inside.and_then(|frames| frames.try_into().ok()) {
            return inside;
        }
        std::array::from_fn(|tap| {
            let at = usize::try_from(begin + tap as isize).ok();
            at.and_then(|at| channel.get(at)).copied().unwrap_or(0.0)
        })
    }
}

/// The highest of some frames, upwards or downwards.
pub(super) fn highest(frames: &[f32]) -> f32 {
    let (eights, rest) = frames.as_chunks::<8>();
    let mut highest = [0.0_f32; 8];
    for eight in eights {
        highest.iter_mut().zip(eight).for_each(|(highest, frame)| *highest = highest.max(frame.abs()));
    }
    highest.iter().chain(rest).fold(0.0, |highest, frame| highest.max(frame.abs()))
}

/// The true peak of stereo sound, in decibels relative to full scale (dBTP).
pub fn true_peak(left: &[f32], right: &[f32]) -> Decibels {
    let meter = TruePeak::default();
    let peak = meter.of(left, 0, left.len()).max(meter.of(right, 0, right.len()));
    Decibels::of_gain(f64::from(peak))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: BS.1770-5 annex 1, tables 1 and 2: the filters' coefficients at 48 kHz.
    #[test]
    fn the_filters_are_the_recommendations_at_48_khz() {
        let weighting = KWeighting::new(SampleRate::HZ_48000);
        let (shelf, high_pass) = (weighting.shelf, weighting.high_pass);
        let expected = [
            (shelf.b[0], 1.535_124_859_586_97),
            (shelf.b[1], -2.691_696_189_406_38),
            (shelf.b[2], 1.198_392_810_852_85),
            (shelf.a[0], -1.690_659_293_182_41),
            (shelf.a[1], 0.732_480_774_215_85),
            (high_pass.a[0], -1.990_047_454_833_98),
            (high_pass.a[1], 0.990_072_250_366_21),
        ];
        for (found, published) in expected {
            assert!((found - published).abs() < 1e-9, "{found} is not {published}");
        }
    }

    fn sine(hz: f64, level: Decibels, seconds: usize) -> Vec<f32> {
        let angle = |frame: usize| TAU * hz * frame as f64 / 48_000.0;
        (0..seconds * 48_000).map(|frame| (level.gain() * angle(frame).sin()) as f32).collect()
    }

    fn check(left: &[f32], right: &[f32], expected: f64) {
        let Lufs(found) = integrated(left, right, SampleRate::HZ_48000).unwrap();
        assert!((found - expected).abs() <= 0.1, "{found} LUFS instead of {expected}");
    }

    /// Source: BS.1770-5 annex 1 (a 997 Hz sine of full scale in one front channel is −3.01 LKFS), and EBU Tech 3341
    /// (2016), test cases 1 to 3 with their tolerance of 0.1 LU.
    #[test]
    fn published_test_signals_measure_as_published() {
        let silence = vec![0.0; 20 * 48_000];
        check(&sine(997.0, Decibels(0.0), 20), &silence, -3.01);
        for level in [-23.0, -33.0] {
            let tone = sine(1000.0, Decibels(level), 20);
            check(&tone, &tone, level);
        }
        let case_3: Vec<f32> = [(-36.0, 10), (-23.0, 60), (-36.0, 10)]
            .into_iter()
            .flat_map(|(level, seconds)| sine(1000.0, Decibels(level), seconds))
            .collect();
        check(&case_3, &case_3, -23.0);
    }

    #[test]
    fn silence_has_no_loudness() {
        assert_eq!(integrated(&[0.0; 96_000], &[0.0; 96_000], SampleRate::HZ_48000), None);
        assert_eq!(integrated(&[], &[], SampleRate::HZ_48000), None);
    }

    /// A sine of a quarter of the rate, sampled an eighth of a turn beside its peaks, reads 3.01 dB low in its frames.
    /// Source: BS.1770-5 annex 2, attachment 1; tolerance of EBU Tech 3341's cases 15 to 19: +0.2 and −0.4 dB.
    #[test]
    fn peaks_between_frames_are_found() {
        let sine: Vec<f32> = (0..480).map(|frame| (TAU / 4.0 * (frame as f64 + 0.5)).sin() as f32).collect();
        let faded: Vec<f32> =
            sine.iter().enumerate().map(|(at, x)| x * (at as f32 / 100.0).min(1.0)).collect();
        let Decibels(peak) = true_peak(&faded, &[]);
        assert!((-0.4..=0.2).contains(&peak), "{peak} dBTP");
    }
}
