//! Loudness and ceiling of a whole piece of sound: one gain, and where peaks would pass the ceiling, a dip.
//!
//! Both are computed from the finished mix and kept as plain numbers, so that a page's gain nodes and a file's writer
//! do the same: a gain, and points between which a second gain moves in straight lines.

use crate::sound::loudness::{self, Lufs, TruePeak};
use crate::sound::mix::Stereo;
use crate::units::{Decibels, Frames, SampleRate, Seconds};

/// How loud a finished piece is: loud enough for small loudspeakers, with room for the drums' peaks.
pub const TARGET: Lufs = Lufs(-16.0);
/// The highest true peak. Another meter may read a little more than ours, so this lies below the −1 dBTP that we owe.
///
/// Source of −1 dBTP: EBU R 128, "Loudness normalisation and permitted maximum level of audio signals", 2023.
pub const CEILING: Decibels = Decibels(-1.5);

/// Peaks are looked for in pieces of this many frames.
const PIECE: usize = 48;
/// How far before a peak the gain begins to fall.
const ATTACK: Seconds = Seconds(0.004);
/// How long the gain takes to come back from silence; from a small dip it comes back sooner.
const RELEASE: Seconds = Seconds(0.200);
/// Limiting takes away loudness; the gain is found in so many tries.
const TRIES: usize = 4;
/// How far a dip may go. What would need more to be loud, a click alone for instance, stays quieter.
const DEEPEST: Decibels = Decibels(12.0);
/// A piece whose frames all lie below this part of the ceiling has no peak between them that passes it: music has
/// little near half the rate, where overshoot is largest.
const SURELY_LOW: f32 = 0.6;

/// A point that the dipping gain passes through.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dip {
    /// Where.
    pub at: Frames,
    /// The gain there, 0 ..= 1.
    pub gain: f32,
}

/// What brings a mix to its loudness and under its ceiling.
#[derive(Clone, Debug, PartialEq)]
pub struct Programme {
    /// The gain of the whole.
    pub gain: f64,
    /// Points of a second gain, ascending, joined by straight lines; 1 before the first and after the last.
    pub dips: Vec<Dip>,
}

impl Programme {
    /// What brings `sound` to [`TARGET`] and under [`CEILING`], as near to both as 12 dB of limiting lets it. Silence is left as it is.
    pub fn of(sound: &Stereo, rate: SampleRate) -> Programme {
        let Some(Lufs(found)) = loudness::integrated(&sound.left, &sound.right, rate) else {
            return Programme { gain: 1.0, dips: dips(sound, 1.0, rate) };
        };
        let peak = sound.left.iter().chain(&sound.right).fold(0.0_f32, |peak, frame| peak.max(frame.abs()));
        let most = Decibels(CEILING.0 + DEEPEST.0).gain() / f64::from(peak);
        let mut gain = Decibels(TARGET.0 - found).gain().min(most);
        let mut programme = Programme { gain, dips: dips(sound, gain, rate) };
        for _ in 0..TRIES {
            if programme.dips.is_empty() {
                break;
            }
            let mut tried = sound.clone();
            programme.apply(&mut tried);
            let now = loudness::integrated(&tried.left, &tried.right, rate).unwrap_or(TARGET);
            if (TARGET.0 - now.0).abs() < 0.1 {
                break;
            }
            gain = most.min(gain * Decibels(TARGET.0 - now.0).gain());
            programme = Programme { gain, dips: dips(sound, gain, rate) };
        }
        programme
    }

    /// Changes `sound` accordingly.
    pub fn apply(&self, sound: &mut Stereo) {
        let gain = self.gain as f32;
        for channel in [&mut sound.left, &mut sound.right] {
            channel.iter_mut().for_each(|frame| *frame *= gain);
            for pair in self.dips.windows(2) {
                ramp(channel, pair[0], pair[1]);
            }
        }
    }
}

/// The loudest that the guard expects, as an amplitude: sixteen keys held down at once.
pub const GUARD_SPAN: f32 = 8.0;
/// Points of the guard's curve, evenly spread from −[`GUARD_SPAN`] to +[`GUARD_SPAN`].
const GUARD_POINTS: u16 = 2049;
/// Below this amplitude the guard changes nothing; a full band at the page's level stays there.
const KNEE: f32 = 0.5;
/// What the frames of guarded sound stay under: between the frames of bent sound the wave rises by up to 2 dB more.
const GUARD_CEILING: Decibels = Decibels(-3.0);

/// A curve that keeps what is played live under −1 dBTP, where nobody can look ahead: straight up to the knee, then
/// bending towards its ceiling. A page's wave shaper takes it as it is, for sound divided by [`GUARD_SPAN`].
pub fn guard() -> Vec<f32> {
    let middle = f32::from(GUARD_POINTS / 2);
    (0..GUARD_POINTS).map(|point| guarded((f32::from(point) - middle) / middle * GUARD_SPAN)).collect()
}

fn guarded(sample: f32) -> f32 {
    let over = sample.abs() - KNEE;
    if over <= 0.0 {
        return sample;
    }
    let room = GUARD_CEILING.gain() as f32 - KNEE;
    (KNEE + room * (over / room).tanh()).copysign(sample)
}

/// Multiplies what lies between two points by the straight line through them.
fn ramp(channel: &mut [f32], from: Dip, to: Dip) {
    let (begin, end) = (from.at.0 as usize, (to.at.0 as usize).min(channel.len()));
    if begin >= end || (from.gain == 1.0 && to.gain == 1.0) {
        return;
    }
    let slope = (to.gain - from.gain) / (to.at.0 - from.at.0) as f32;
    for (frame, sample) in channel[begin..end].iter_mut().enumerate() {
        *sample *= from.gain + slope * frame as f32;
    }
}

/// Where and how far `sound` at `gain` must dip to stay under the ceiling.
fn dips(sound: &Stereo, gain: f64, rate: SampleRate) -> Vec<Dip> {
    let mut edges = needed(sound, (CEILING.gain() / gain) as f32);
    if edges.iter().all(|gain| *gain == 1.0) {
        return Vec::new();
    }
    let piece = rate.time_of(Frames(PIECE as u64)).0;
    smooth(edges.iter_mut().rev(), (piece / ATTACK.0) as f32);
    smooth(edges.iter_mut(), (piece / RELEASE.0) as f32);
    // A point on the straight line between its neighbours says nothing; beyond the ends the gain is 1.
    let gain = |edge: Option<usize>| edge.and_then(|edge| edges.get(edge)).copied().unwrap_or(1.0);
    let bends =
        |at: usize| (gain(at.checked_sub(1)) + gain(Some(at + 1)) - 2.0 * gain(Some(at))).abs() > 1e-6;
    let dip = |at: usize| Dip { at: Frames((at * PIECE) as u64), gain: edges[at] };
    (0..edges.len()).filter(|at| bends(*at)).map(dip).collect()
}

/// The gain at each edge between pieces that keeps the pieces on both sides under `ceiling`.
fn needed(sound: &Stereo, ceiling: f32) -> Vec<f32> {
    let meter = TruePeak::default();
    let pieces = sound.left.len().div_ceil(PIECE);
    let mut edges = vec![1.0_f32; pieces + 2];
    for piece in 0..pieces {
        let (from, to) = (piece * PIECE, (piece + 1) * PIECE);
        let peak = [&sound.left, &sound.right].into_iter().fold(0.0_f32, |peak, channel| {
            let frames = &channel[from..to.min(channel.len())];
            let low = frames.iter().all(|frame| frame.abs() < ceiling * SURELY_LOW);
            if low { peak } else { peak.max(meter.of(channel, from, to)) }
        });
        if peak > ceiling {
            let gain = ceiling / peak;
            edges[piece] = edges[piece].min(gain);
            edges[piece + 1] = edges[piece + 1].min(gain);
        }
    }
    edges
}

/// Lets the gain rise by no more than `step` from one edge to the next.
fn smooth<'a>(edges: impl Iterator<Item = &'a mut f32>, step: f32) {
    let mut last = 1.0_f32;
    for gain in edges {
        *gain = gain.min(last + step);
        last = *gain;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As the Web Audio specification has a wave shaper read its curve: straight lines between the points.
    fn shape(curve: &[f32], sample: f32) -> f32 {
        let place = (sample / GUARD_SPAN + 1.0) / 2.0 * (curve.len() - 1) as f32;
        let before = (place as usize).min(curve.len() - 2);
        let part = place - before as f32;
        curve[before] + (curve[before + 1] - curve[before]) * part
    }

    #[test]
    fn the_guard_leaves_ordinary_sound_alone_and_keeps_loud_sound_under_the_ceiling() {
        let curve = guard();
        for sample in [-0.49, -0.1, 0.0, 1e-4, 0.3, 0.49] {
            assert!((shape(&curve, sample) - sample).abs() < 1e-5, "{sample}");
        }
        // A chord of three notes, at most 3.3 in amplitude.
        let chord: Vec<f32> = (0..9600)
            .map(|frame| {
                let tone = |hz: f32| 1.1 * (std::f32::consts::TAU * hz * frame as f32 / 48_000.0).sin();
                shape(&curve, tone(196.0) + tone(493.9) + tone(698.5))
            })
            .collect();
        let Decibels(peak) = loudness::true_peak(&chord, &[]);
        assert!((-3.0..=-1.0).contains(&peak), "{peak} dBTP");
    }
}
