//! How sounds begin, end and are levelled.

use crate::sound::turn::sine;
use crate::units::{Cents, SampleRate, Seconds};

/// Frames in `length`.
pub fn frames(length: Seconds, rate: SampleRate) -> usize {
    rate.frame_at(length).0 as usize
}

/// From 0 at 0 to 1 at 1 along half a cosine: 0.5 − 0.5 cos(π·way), which is the square of the sine of half the angle.
/// So it is nothing at all at 0.
fn half_cosine(way: f64) -> f64 {
    let sine = sine(way / 4.0);
    sine * sine
}

/// Raises the first frames along half a cosine, so that the sound begins without a step.
pub fn fade_in(length: Seconds, rate: SampleRate, out: &mut [f32]) {
    let length = frames(length, rate);
    for (frame, sample) in out.iter_mut().take(length).enumerate() {
        let way = (frame as f64 + 0.5) / length as f64;
        *sample *= half_cosine(way) as f32;
    }
}

/// Raises the first frames in two ways at once: a part of the sound quickly, the rest slowly.
pub fn fade_in_two((part, quick): (f64, Seconds), slow: Seconds, rate: SampleRate, out: &mut [f32]) {
    let (quick, slow) = (frames(quick, rate) as f64, frames(slow, rate) as f64);
    for (frame, sample) in out.iter_mut().take(quick.max(slow) as usize).enumerate() {
        let risen = |length: f64| half_cosine(((frame as f64 + 0.5) / length).min(1.0));
        *sample *= (part * risen(quick) + (1.0 - part) * risen(slow)) as f32;
    }
}

/// Lowers the last tenth, at most 0.25 s, to silence along half a cosine, so that the sound ends without a step.
pub fn fade_out(rate: SampleRate, out: &mut [f32]) {
    let length = frames(Seconds(0.25), rate).min(out.len() / 10).max(1);
    for (frame, sample) in out.iter_mut().rev().take(length).enumerate() {
        let way = frame as f64 / length as f64;
        *sample *= half_cosine(way) as f32;
    }
}

/// Scales `out` so that the highest of its first `within` samples is `peak`; silence stays silence.
pub fn to_peak(peak: f32, within: usize, out: &mut [f32]) {
    let highest = out.iter().take(within).fold(0.0_f32, |highest, sample| highest.max(sample.abs()));
    if highest > 0.0 {
        let gain = peak / highest;
        out.iter_mut().for_each(|sample| *sample *= gain);
    }
}

/// A slow wave for tremolo: multiplies `out` by 1 − depth … 1, `hertz` times a second, beginning at 1.
pub fn tremble(hertz: f64, depth: f64, rate: SampleRate, out: &mut [f32]) {
    let turns = hertz / f64::from(rate.hz());
    for (frame, sample) in out.iter_mut().enumerate() {
        let low = half_cosine(2.0 * turns * frame as f64);
        *sample *= (1.0 - depth * low) as f32;
    }
}

/// `base`, which is above 0, to the power of `exponent`. By functions that sound needs anyway: `powf` would be another
/// two kilobytes of the page.
pub fn power(base: f64, exponent: f64) -> f64 {
    (exponent * base.ln()).exp()
}

/// How far below its pitch a scooped note begins, in cents, and how long it takes to arrive (common practice, no
/// source: from about a half step below, quickly).
const SCOOP: (f64, Seconds) = (-130.0, Seconds(0.12));

/// Lets the pitch rise to its place: the sound is read more slowly at first.
pub fn scoop(rate: SampleRate, out: &mut [f32]) {
    let arrives = SCOOP.1.0 * f64::from(rate.hz());
    bend(0, out, |frame| {
        let left = (1.0 - frame / arrives).max(0.0);
        SCOOP.0 * left * left
    });
}

/// How far a falling note has fallen when it is let go, in cents, and how long it takes (common practice, no source: a
/// third to a fifth, faster and faster).
pub const FALL: (f64, Seconds) = (-500.0, Seconds(0.28));
/// How much softer it is by then, as a part of its level.
const FADES: f64 = 0.7;

/// Lets the pitch fall from `after` on: the sound is read more and more slowly, and fades.
pub fn fall(after: Seconds, rate: SampleRate, out: &mut [f32]) {
    let from = frames(after, rate).min(out.len());
    let lasts = FALL.1.0 * f64::from(rate.hz());
    let fallen = |frame: f64| (frame / lasts).min(1.0);
    bend(from, out, |frame| FALL.0 * fallen(frame) * fallen(frame));
    for (frame, sample) in out[from..].iter_mut().enumerate() {
        *sample *= (1.0 - FADES * fallen(frame as f64)) as f32;
    }
}

/// Reads the sound from frame `from` on at another pitch: so many cents away, by the frames since.
fn bend(from: usize, out: &mut [f32], away: impl Fn(f64) -> f64) {
    let source = out.to_vec();
    let mut place = from as f64;
    for (frame, sample) in out[from..].iter_mut().enumerate() {
        *sample = between(&source, place);
        place += Cents(away(frame as f64)).ratio();
    }
}

/// The sound between two frames, on the cubic through the two before and the two after.
///
/// Source: Catmull and Rom, "A class of local interpolating splines", 1974.
fn between(sound: &[f32], place: f64) -> f32 {
    let before = place.floor() as usize;
    let at = |frame: usize| sound.get(frame).copied().unwrap_or(0.0);
    let [a, b, c, d] = [at(before.saturating_sub(1)), at(before), at(before + 1), at(before + 2)];
    let t = place.fract() as f32;
    b + 0.5 * t * (c - a + t * (2.0 * a - 5.0 * b + 4.0 * c - d + t * (3.0 * (b - c) + d - a)))
}
