//! The pitch of a window of sound, for the tuner.
//!
//! Source: P. McLeod and G. Wyvill, "A smarter way to find pitch", Proceedings of the International Computer Music
//! Conference, 2005: the normalised square difference n′(τ), and the first of its key maxima that reaches k times the highest.

use rustfft::num_complex::Complex;

use super::fft::RealFft;

/// A pitch and how clear it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pitch {
    /// Fundamental frequency in hertz.
    pub hz: f64,
    /// The normalised square difference there: 1 for a sound that repeats exactly, near 0 for noise.
    pub clarity: f64,
}

/// The constant k of the paper, which names 0.8 to 1.
const OF_HIGHEST: f32 = 0.9;
/// Below this it is no pitch: our own choice; noise stays below it, a hoarse voice above.
const LEAST_CLARITY: f32 = 0.6;
/// Nothing softer than this is a pitch: about -80 dBFS.
const SOFTEST_RMS: f64 = 1e-4;
/// From below the lowest string of a bass (41 Hz) to above the highest C of a flute (2093 Hz).
const LOWEST_HZ: f64 = 26.0;
const HIGHEST_HZ: f64 = 4500.0;
/// A period is measured over this many samples or more, where the window has them.
const ENOUGH_LAG: f64 = 200.0;

/// The pitch of one window of at least two periods, or `None` where nothing sounds clearly. Samples that are not finite
/// count as silence. `rate` in hertz.
pub fn pitch(window: &[f32], rate: f64) -> Option<Pitch> {
    if !(3_000.0..=768_000.0).contains(&rate) || window.len() < 16 {
        return None;
    }
    // Half a second is more than any pitch needs.
    let window = &window[window.len().saturating_sub((rate / 2.0) as usize)..];
    let finite = |sample: f32| if sample.is_finite() { sample.clamp(-8.0, 8.0) } else { 0.0 };
    let mean = window.iter().map(|&sample| f64::from(finite(sample))).sum::<f64>() / window.len() as f64;
    let samples: Vec<f32> = window.iter().map(|&sample| finite(sample) - mean as f32).collect();
    let energy: f64 = samples.iter().map(|&sample| f64::from(sample).powi(2)).sum();
    if energy < SOFTEST_RMS.powi(2) * samples.len() as f64 {
        return None;
    }
    let lags = (samples.len() / 2).min((rate / LOWEST_HZ) as usize + 2);
    let difference = square_difference(&samples, lags);
    let (lag, clarity) = first_high_peak(&difference, (rate / HIGHEST_HZ) as usize)?;
    (clarity >= f64::from(LEAST_CLARITY)).then_some(Pitch { hz: rate / lag, clarity: clarity.min(1.0) })
}

/// n′(τ) for every lag τ below `lags`.
fn square_difference(samples: &[f32], lags: usize) -> Vec<f32> {
    let size = (samples.len() + lags).next_power_of_two();
    let mut fft = RealFft::new(size);
    let mut bins = vec![Complex::default(); size / 2 + 1];
    fft.run(|k| samples.get(k).copied().unwrap_or(0.0), &mut bins);
    let power: Vec<f32> = bins.iter().map(|bin| bin.norm_sqr()).collect();
    fft.run(|k| power[k.min(size - k)], &mut bins);
    let mut both: f64 = 2.0 * samples.iter().map(|&sample| f64::from(sample).powi(2)).sum::<f64>();
    (0..lags)
        .map(|lag| {
            if lag > 0 {
                both -= f64::from(samples[lag - 1]).powi(2) + f64::from(samples[samples.len() - lag]).powi(2);
            }
            (2.0 * f64::from(bins[lag].re) / size as f64 / both.max(1e-12)) as f32
        })
        .collect()
}

/// The lag and height, between lags, of the first key maximum that is nearly as high as the highest.
fn first_high_peak(difference: &[f32], shortest: usize) -> Option<(f64, f64)> {
    // What lies before the first fall below zero belongs to lag zero.
    let first = difference.iter().position(|&value| value < 0.0)?;
    let peaks = || {
        (first.max(shortest).max(1)..difference.len().saturating_sub(1)).filter(|&lag| {
            let height = difference[lag];
            height > 0.0 && height >= difference[lag - 1] && height > difference[lag + 1]
        })
    };
    let highest = peaks().map(|lag| difference[lag]).fold(0.0, f32::max);
    let lag = peaks().find(|&lag| difference[lag] >= OF_HIGHEST * highest)?;
    let (mut period, height) = between(difference, lag);
    // A parabola is off by a few hundredths of a sample; over several periods that is less of each.
    let (mut periods, mut last) = (1.0, period);
    while last < ENOUGH_LAG {
        let next = (2.0 * last).round() as usize;
        let near = next.saturating_sub(2)..(next + 3).min(difference.len().saturating_sub(1));
        let Some(peak) = near.max_by(|&one, &other| difference[one].total_cmp(&difference[other])) else {
            break;
        };
        if peak + 2 > difference.len() || difference[peak] < OF_HIGHEST * difference[lag] {
            break;
        }
        (last, _) = between(difference, peak);
        periods *= 2.0;
        period = last / periods;
    }
    Some((period, height))
}

/// The maximum of the parabola through a peak and its neighbours.
fn between(difference: &[f32], lag: usize) -> (f64, f64) {
    let [before, at, after] = [-1, 0, 1].map(|by| f64::from(difference[lag.wrapping_add_signed(by)]));
    let bend = before - 2.0 * at + after;
    let off = if bend < 0.0 { (0.5 * (before - after) / bend).clamp(-1.0, 1.0) } else { 0.0 };
    (lag as f64 + off, at - 0.25 * (before - after) * off)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Equal temperament with A4 at 440 Hz (ISO 16:1975).
    fn tempered(midi: i32) -> f64 {
        440.0 * 2_f64.powf(f64::from(midi - 69) / 12.0)
    }

    fn tone(hz: f64, partials: &[f64], rate: f64, count: usize) -> Vec<f32> {
        let sample = |k: usize| {
            let turns = std::f64::consts::TAU * hz * k as f64 / rate;
            partials.iter().enumerate().map(|(n, level)| level * (turns * (n + 1) as f64).sin()).sum::<f64>()
        };
        (0..count).map(|k| 0.1 * sample(k) as f32).collect()
    }

    #[track_caller]
    fn check(midi: i32, partials: &[f64], rate: f64) {
        let hz = tempered(midi);
        let window = tone(hz, partials, rate, (rate * 0.09) as usize);
        let found = pitch(&window, rate).unwrap_or_else(|| panic!("no pitch: {midi} at {rate}"));
        let cents = 1200.0 * (found.hz / hz).log2();
        // A quarter of the five cents that trained listeners just hear apart (B. C. J. Moore, "An Introduction to the
        // Psychology of Hearing", 2012: 0.2 to 0.3 % at middle frequencies).
        assert!(cents.abs() < 1.25, "{midi} at {rate}: {cents} cents");
        assert!(found.clarity > 0.9, "{midi} at {rate}: {}", found.clarity);
    }

    #[test]
    fn it_hears_tempered_pitches_from_the_bass_to_the_flute() {
        for rate in [22_050.0, 44_100.0, 48_000.0, 96_000.0] {
            for midi in (28..=96).step_by(5) {
                check(midi, &[1.0, 0.5, 0.33, 0.25], rate);
            }
            for midi in (33..=88).step_by(5) {
                check(midi, &[1.0], rate);
            }
        }
    }

    /// A sound is heard at its fundamental also where that is weak or missing (A. Seebeck 1841; J. F. Schouten 1940).
    #[test]
    fn a_weak_fundamental_is_still_the_pitch() {
        for midi in [40, 52, 64] {
            check(midi, &[0.05, 1.0, 0.8, 0.6, 0.4], 48_000.0);
            check(midi, &[0.0, 1.0, 0.8, 0.6, 0.4], 48_000.0);
        }
    }

    #[test]
    fn silence_noise_and_nonsense_have_no_pitch() {
        let mut seed = 1_u32;
        let noise: Vec<f32> = (0..4096)
            .map(|_| {
                seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                (seed >> 8) as f32 / (1 << 23) as f32 - 1.0
            })
            .collect();
        assert_eq!(pitch(&noise, 48_000.0), None);
        for value in [0.0, 0.5, f32::NAN, f32::INFINITY, f32::NEG_INFINITY, f32::MAX, f32::MIN_POSITIVE] {
            for count in [0, 1, 15, 16, 17, 100, 4096] {
                for rate in [0.0, -1.0, f64::NAN, f64::INFINITY, 3_000.0, 48_000.0, 768_000.0] {
                    assert_eq!(pitch(&vec![value; count], rate), None, "{value} {count} {rate}");
                }
            }
        }
    }
}
