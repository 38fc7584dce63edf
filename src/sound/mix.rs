//! The mix: levels, places and releases that the page's graph and the files share, and the core's own mixer.

use std::collections::BTreeMap;

use crate::perform::Part;
use crate::perform::planner::Planned;
use crate::sound::voice::{Lineup, Sample};
use crate::units::{Decibels, Frames, SampleRate, Seconds, Velocity};

/// How a part stands in the mix.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strip {
    /// Level.
    pub level: Decibels,
    /// −1 left, 0 middle, 1 right.
    pub pan: f64,
}

/// The strip of a part. The solo stands about 3 LU in front of drums and bass, those 5 LU in front of the chords, and
/// the band is spread a little. Levels by measurement: the example `mix_time` prints each part's loudness.
pub fn strip(part: Part) -> Strip {
    let (level, pan) = match part {
        Part::Solo => (-2.0, 0.0),
        Part::Click => (0.0, 0.0),
        Part::Drums => (0.0, 0.15),
        Part::Bass => (-1.5, -0.1),
        Part::Comp => (-6.5, -0.3),
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

impl Stereo {
    /// Makes room for at least `frames` frames, the new ones silent.
    fn lengthen(&mut self, frames: usize) {
        if self.left.len() < frames {
            self.left.resize(frames, 0.0);
            self.right.resize(frames, 0.0);
        }
    }
}

/// Mixes planned sounds; the first frame is time zero. Long enough for the last to die away.
pub fn mix(planned: &[Planned], lineup: Lineup, rate: SampleRate) -> Stereo {
    let mut mixer = Mixer::new(lineup, rate);
    planned.iter().for_each(|sound| mixer.add(sound));
    mixer.out
}

/// Mixes one sound after another, in any order.
#[derive(Debug)]
pub struct Mixer {
    lineup: Lineup,
    rate: SampleRate,
    buffers: BTreeMap<Sample, Vec<f32>>,
    /// What has been mixed so far.
    pub out: Stereo,
}

impl Mixer {
    /// An empty mix.
    pub fn new(lineup: Lineup, rate: SampleRate) -> Mixer {
        Mixer { lineup, rate, buffers: BTreeMap::new(), out: Stereo::default() }
    }

    /// Adds a sound; its first frame is the whole frame nearest to its time.
    pub fn add(&mut self, sound: &Planned) {
        let sample = self.lineup.sample(sound);
        let buffer = self.buffers.entry(sample).or_insert_with(|| sample.render(self.rate));
        let begin = self.rate.frame_at(Seconds(sound.when.0)).0 as usize;
        let (held, release) = if sample.voice.is_held() {
            let lets_go = self.rate.time_of(Frames(begin as u64)) + sound.duration;
            (self.rate.frame_at(lets_go).0 as usize - begin, self.rate.frame_at(RELEASE).0 as usize)
        } else {
            (buffer.len(), 0)
        };
        let (held, end) = (held.min(buffer.len()), (held + release).min(buffer.len()));
        self.out.lengthen(begin + end);
        let strip = strip(sound.part);
        let level = Decibels(self.lineup.levels.of(sound.part).into());
        let gain = strip.level.gain() * level.gain() * velocity_gain(sound.velocity);
        let (left, right) = pan_gains(strip.pan);
        for (channel, side) in [(&mut self.out.left, left), (&mut self.out.right, right)] {
            let gain = (gain * side) as f32;
            let channel = &mut channel[begin..begin + end];
            for (to, from) in channel.iter_mut().zip(&buffer[..held]) {
                *to += from * gain;
            }
            // The straight ramp from 1 at the note's end to 0 after the release.
            let slope = gain / release.max(1) as f32;
            for (frame, (to, from)) in channel[held..].iter_mut().zip(&buffer[held..]).enumerate() {
                *to += from * (gain - slope * frame as f32);
            }
        }
    }
}
