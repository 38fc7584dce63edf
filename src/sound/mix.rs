//! The mix: levels, places and releases that the page's graph and the files share, and the core's own mixer.

use std::collections::HashMap;

use crate::perform::Part;
use crate::perform::planner::Planned;
use crate::sound::voice::Sample;
use crate::units::{Decibels, SampleRate, Seconds, Velocity};

/// How a part stands in the mix.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strip {
    /// Level.
    pub level: Decibels,
    /// −1 left, 0 middle, 1 right.
    pub pan: f64,
}

/// The strip of a part. The solo stands in front; the band is spread a little.
pub fn strip(part: Part) -> Strip {
    let (level, pan) = match part {
        Part::Solo => (-5.0, 0.0),
        Part::Click => (-9.0, 0.0),
        Part::Drums => (-9.0, 0.15),
        Part::Bass => (-8.0, -0.1),
        Part::Comp => (-15.0, -0.3),
    };
    Strip { level: Decibels(level), pan }
}

/// How long a held note takes to die once its length is over: short enough for a rest to be heard, long enough to
/// leave no click.
pub const RELEASE: Seconds = Seconds(0.045);

/// The amplitude of a note struck with `velocity`: level follows the square of velocity, as the General MIDI 2
/// specification recommends (MMA RP-024: 40·log10(velocity/127) dB; from memory).
pub fn velocity_gain(velocity: Velocity) -> f64 {
    (f64::from(velocity.value()) / 127.0).powi(2)
}

/// Left and right gain of a pan position, of equal power as a StereoPannerNode has it for a mono input.
///
/// Source: Web Audio API, W3C Recommendation 2021, StereoPannerNode, "panning algorithm".
pub fn pan_gains(pan: f64) -> (f64, f64) {
    let angle = (pan.clamp(-1.0, 1.0) + 1.0) / 2.0 * std::f64::consts::FRAC_PI_2;
    (angle.cos(), angle.sin())
}

/// Stereo sound.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stereo {
    /// The left channel.
    pub left: Vec<f32>,
    /// The right channel, of the same length.
    pub right: Vec<f32>,
}

/// Mixes planned sounds; the first frame is time zero. Long enough for the last to die away.
pub fn mix(planned: &[Planned], rate: SampleRate) -> Stereo {
    let mut buffers: HashMap<Sample, Vec<f32>> = HashMap::new();
    let mut out = Stereo::default();
    for sound in planned {
        let sample = Sample::of(sound.part, sound.midi, sound.velocity);
        let buffer = buffers.entry(sample).or_insert_with(|| sample.render(rate));
        add(sound, sample, buffer, rate, &mut out);
    }
    out
}

fn add(sound: &Planned, sample: Sample, buffer: &[f32], rate: SampleRate, out: &mut Stereo) {
    let begin = rate.frame_at(Seconds(sound.when.0)).0 as usize;
    let held = rate.frame_at(sound.duration).0 as usize;
    let release = rate.frame_at(RELEASE).0 as usize;
    let is_held = sample.voice.is_held();
    let length = if is_held { buffer.len().min(held + release) } else { buffer.len() };
    if out.left.len() < begin + length {
        out.left.resize(begin + length, 0.0);
        out.right.resize(begin + length, 0.0);
    }
    let strip = strip(sound.part);
    let gain = strip.level.gain() * velocity_gain(sound.velocity);
    let (left, right) = pan_gains(strip.pan);
    let (left, right) = ((gain * left) as f32, (gain * right) as f32);
    let targets = out.left[begin..].iter_mut().zip(&mut out.right[begin..]);
    for (frame, (value, (l, r))) in buffer[..length].iter().zip(targets).enumerate() {
        let fading = if is_held { fading(frame, held, release) } else { 1.0 };
        *l += value * fading * left;
        *r += value * fading * right;
    }
}

/// The straight ramp from 1 at the note's end to 0 after the release.
fn fading(frame: usize, held: usize, release: usize) -> f32 {
    if frame <= held { 1.0 } else { 1.0 - (frame - held) as f32 / release as f32 }
}

/// The highest sample of either channel, as an amplitude.
pub fn peak(sound: &Stereo) -> f32 {
    sound.left.iter().chain(&sound.right).fold(0.0, |peak, sample| peak.max(sample.abs()))
}

/// Lowers the whole sound where its peak would pass `ceiling`; quiet sounds stay as they are.
pub fn keep_under(sound: &mut Stereo, ceiling: Decibels) {
    let peak = f64::from(peak(sound));
    if peak > ceiling.gain() {
        let gain = (ceiling.gain() / peak) as f32;
        sound.left.iter_mut().chain(&mut sound.right).for_each(|sample| *sample *= gain);
    }
}
