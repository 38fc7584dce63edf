//! How late a device hears itself: markers go out, and are looked for in what comes in.
//!
//! Found this way a delay is the device's alone, with the way through the air; nobody's own lead is in it.

use crate::practice::delay::{Delay, Found};
use crate::practice::figures::{median, sample_deviation};

/// How many markers are played, and how far apart in seconds: farther than any delay.
pub const MARKERS: usize = 6;
/// See [`MARKERS`].
pub const APART_SECONDS: f64 = 0.8;

/// A marker: a tone that rises through these frequencies in so many seconds. Small loudspeakers and microphones pass
/// them, and a rising tone is like itself at one place only (a chirp; the reason why radar uses it).
const FROM_HZ: f64 = 600.0;
const TO_HZ: f64 = 3600.0;
const LENGTH_SECONDS: f64 = 0.04;
/// How loud it is at its loudest.
const PEAK: f64 = 0.5;

/// How long after it was played a marker may still come, in seconds.
const LATEST_SECONDS: f64 = 0.6;
/// The search is done at about this many frames a second: more than twice the highest frequency of a marker.
const SEARCH_RATE: f64 = 12_000.0;
/// How like a marker what was heard must be: 1 is the same, noise of that length stays below 0.2.
const LIKE: f64 = 0.3;
/// What comes first counts where it is nearly as like as the likest: echoes come later, and may be louder.
const NEARLY: f64 = 0.7;
/// So many markers must be heard, within so many seconds of the middle one.
const FEWEST: usize = 4;
const TOGETHER_SECONDS: f64 = 0.003;

/// Why no delay was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotHeard {
    /// Hardly any marker came.
    Missing,
    /// They came at all times.
    Scattered,
}

/// A marker at this many frames a second.
pub fn marker(rate: f64) -> Vec<f32> {
    let frames = (LENGTH_SECONDS * rate).round().max(0.0) as usize;
    let one = |frame: usize| {
        let time = frame as f64 / rate;
        let phase = FROM_HZ * time + (TO_HZ - FROM_HZ) * time * time / (2.0 * LENGTH_SECONDS);
        let shape = 0.5 - 0.5 * (std::f64::consts::TAU * time / LENGTH_SECONDS).cos();
        (PEAK * shape * (std::f64::consts::TAU * phase).sin()) as f32
    };
    (0..frames).map(one).collect()
}

/// The delay between playing and hearing, from what was heard: `heard` begins at `first` seconds, `rate` frames a second,
/// and the markers were played at `played`, by the same clock.
pub fn delay(heard: &[f32], rate: f64, first: f64, played: &[f64]) -> Result<Delay, NotHeard> {
    if !(8_000.0..=768_000.0).contains(&rate) {
        return Err(NotHeard::Missing);
    }
    let factor = ((rate / SEARCH_RATE) as usize).max(1);
    let slow = rate / factor as f64;
    let (heard, wanted) = (thinned(heard, factor), thinned(&marker(rate), factor));
    let late: Vec<f64> = played
        .iter()
        .filter_map(|at| {
            let begin = ((at - first) * slow).floor();
            let lag = lag_of(&heard, &wanted, begin, (LATEST_SECONDS * slow) as usize)?;
            Some((begin + lag) / slow + first - at)
        })
        .collect();
    let middle = median(&late).ok_or(NotHeard::Missing)?;
    if late.len() < FEWEST {
        return Err(NotHeard::Missing);
    }
    let near: Vec<f64> =
        late.iter().copied().filter(|one| (one - middle).abs() <= TOGETHER_SECONDS).collect();
    if near.len() < FEWEST {
        return Err(NotHeard::Scattered);
    }
    // Twice the standard error of a median, as for taps; not less than a frame of the search.
    let error = 1.2533 * sample_deviation(&near).unwrap_or_default() / (near.len() as f64).sqrt();
    let seconds = median(&near).unwrap_or(middle);
    Delay::kept(seconds, (2.0 * error).max(1.0 / slow), Found::ByLoopback).ok_or(NotHeard::Scattered)
}

/// The same delay as it is found by and by, from all that the page plays.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ByAndBy {
    /// What was found lately, in seconds.
    late: Vec<f64>,
    /// What was told last.
    told: Option<f64>,
}

impl ByAndBy {
    /// Takes what was found once more, in seconds. Gives the delay where it was found often enough without a contradiction, and is
    /// not the one that was told already.
    pub fn take(&mut self, seconds: f64) -> Option<Delay> {
        self.late.push(seconds);
        if self.late.len() <= MARKERS {
            return None;
        }
        self.late.remove(0);
        let middle = median(&self.late)?;
        let is_near = |one: f64| (one - middle).abs() <= TOGETHER_SECONDS;
        if !self.late.iter().all(|one| is_near(*one)) || self.told.is_some_and(is_near) {
            return None;
        }
        self.told = Some(middle);
        // It is the same filter each time, so that what it errs by is seen in part: no less than a third of what may lie between.
        let error = 2.0 * sample_deviation(&self.late).unwrap_or_default();
        Delay::kept(middle, error.max(TOGETHER_SECONDS / 3.0), Found::ByLoopback)
    }
}

/// Every `factor`th frame, as the mean of those about it; what is not finite is silence.
fn thinned(frames: &[f32], factor: usize) -> Vec<f64> {
    let finite = |frame: &f32| if frame.is_finite() { f64::from(*frame) } else { 0.0 };
    frames.chunks_exact(factor).map(|chunk| chunk.iter().map(finite).sum::<f64>() / factor as f64).collect()
}

/// How many frames after `begin` the marker comes, with a fraction; `None` where nothing is like it.
fn lag_of(heard: &[f64], wanted: &[f64], begin: f64, latest: usize) -> Option<f64> {
    let own: f64 = wanted.iter().map(|one| one * one).sum();
    let likeness = |lag: usize| {
        let at = begin + lag as f64;
        if at < 0.0 {
            return 0.0;
        }
        let Some(part) = heard.get(at as usize..at as usize + wanted.len()) else { return 0.0 };
        let product: f64 = part.iter().zip(wanted).map(|(one, other)| one * other).sum();
        let power: f64 = part.iter().map(|one| one * one).sum();
        // Some devices turn the sound upside down.
        if power > 1e-12 { product.abs() / (power * own).sqrt() } else { 0.0 }
    };
    let all: Vec<f64> = (0..latest).map(likeness).collect();
    let most = all.iter().copied().fold(0.0, f64::max);
    if most < LIKE {
        return None;
    }
    let peak = (1..latest.saturating_sub(1)).find(|lag| {
        all[*lag] >= NEARLY * most
            && all[*lag] >= all[lag - 1]
            && all[*lag] >= all[lag + 1]
            && is_crest(&all, *lag)
    })?;
    // The top of the parabola through three points.
    let (before, top, after) = (all[peak - 1], all[peak], all[peak + 1]);
    let bend = before - 2.0 * top + after;
    let fraction = if bend < 0.0 { 0.5 * (before - after) / bend } else { 0.0 };
    Some(peak as f64 + fraction)
}

/// Whether no higher value stands within half a millisecond: the waves of the marker itself make smaller crests beside
/// its place.
fn is_crest(all: &[f64], lag: usize) -> bool {
    let near = 8;
    let range = lag.saturating_sub(near)..(lag + near + 1).min(all.len());
    all[range].iter().all(|other| *other <= all[lag])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a room returns of markers played at `played`: later, softer, with an echo that is louder, hum and noise.
    fn room(rate: f64, played: &[f64], late: f64) -> Vec<f32> {
        let mut heard = vec![0.0_f32; (6.0 * rate) as usize];
        let mut seed = 1_u64;
        for (frame, sample) in heard.iter_mut().enumerate() {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            let noise = (seed >> 40) as f64 / 8_388_608.0 - 1.0;
            *sample = (0.003 * noise + 0.01 * (314.159 * frame as f64 / rate).sin()) as f32;
        }
        for at in played {
            for (after, gain) in [(0.0, 0.05), (0.011, 0.06)] {
                let begin = ((at + late + after) * rate).round() as usize;
                for (to, from) in heard[begin..].iter_mut().zip(marker(rate)) {
                    *to -= gain * from;
                }
            }
        }
        heard
    }

    fn played() -> Vec<f64> {
        (0..MARKERS).map(|count| 0.5 + APART_SECONDS * count as f64).collect()
    }

    /// The delay that was put in is the one that is found, to a third of a millisecond: the issue asks for three.
    #[test]
    fn the_delay_of_a_room_is_found_whatever_the_rate() {
        for rate in [16_000.0, 44_100.0, 48_000.0] {
            for late in [0.0035, 0.0712, 0.2504] {
                let found = delay(&room(rate, &played(), late), rate, 0.0, &played()).unwrap();
                assert!((found.seconds.0 - late).abs() < 0.000_35, "{rate} {late}: {found:?}");
                assert!(found.give_or_take.0 < 0.001 && found.found == Found::ByLoopback);
            }
        }
    }

    #[test]
    fn the_clock_of_what_was_heard_may_begin_anywhere() {
        let moved: Vec<f64> = played().iter().map(|at| at + 100.0).collect();
        let found = delay(&room(48_000.0, &played(), 0.1), 48_000.0, 100.0, &moved).unwrap();
        assert!((found.seconds.0 - 0.1).abs() < 0.000_35, "{found:?}");
    }

    #[test]
    fn what_is_found_again_and_again_is_told_once_and_again_when_it_has_changed() {
        let mut found = ByAndBy::default();
        let mut told = |all: &[f64]| {
            all.iter().filter_map(|one| found.take(*one)).map(|one| one.seconds.0).collect::<Vec<_>>()
        };
        assert!(told(&[0.1; 6]).is_empty());
        assert_eq!(told(&[0.1; 20]), [0.1]);
        assert!(told(&[0.3, 0.1, 0.0, 0.1, f64::NAN, 0.1, 0.2]).is_empty());
        assert!(told(&[0.102; 20]).is_empty());
        assert_eq!(told(&[0.05; 20]), [0.05]);
    }

    #[test]
    fn silence_noise_and_odd_samples_are_no_delay() {
        let rate = 48_000.0;
        for gain in [0.0, 1.0] {
            let heard: Vec<f32> = room(rate, &[], 0.0).iter().map(|one| one * gain).collect();
            assert_eq!(delay(&heard, rate, 0.0, &played()), Err(NotHeard::Missing));
        }
        assert_eq!(delay(&[f32::NAN; 300_000], rate, 0.0, &played()), Err(NotHeard::Missing));
        assert_eq!(delay(&[], 0.0, f64::NAN, &played()), Err(NotHeard::Missing));
        // Each marker at another time.
        let stray: Vec<f64> =
            played().iter().enumerate().map(|(index, at)| at - 0.05 * index as f64).collect();
        assert_eq!(delay(&room(rate, &played(), 0.1), rate, 0.0, &stray), Err(NotHeard::Scattered));
    }
}
