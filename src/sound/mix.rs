//! The mix: levels, places and releases that the page's graph and the files share, and the core's own mixer.

use std::collections::BTreeMap;
use std::rc::Rc;

use crate::perform::Part;
use crate::perform::planner::Planned;
use crate::sound::room::{self, Room, add_scaled};
use crate::sound::turn::{cosine, sine};
use crate::sound::voice::{Lineup, Sample};
use crate::units::{Decibels, Frames, SampleRate, Seconds, Velocity};

/// How a part stands in the mix.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strip {
    /// Level.
    pub level: Decibels,
    /// −1 left, 0 middle, 1 right.
    pub pan: f64,
    /// How much of it the room gives back, against the part itself.
    pub room: Decibels,
}

/// The strip of a part. The solo stands 3 LU in front of the whole band, and the band as wide as on a small stage.
/// Levels and places by measurement: the example `voice_table` prints them. The room stays in the background, and
/// hardly has any bass (common practice, no source).
pub fn strip(part: Part) -> Strip {
    let (level, pan, room) = match part {
        Part::Solo => (1.4, 0.0, -16.5),
        Part::Click => (0.0, 0.0, -30.0),
        Part::Drums => (2.5, 0.85, -11.0),
        Part::Bass => (-3.0, -0.2, -14.0),
        Part::Comp => (-4.0, -1.0, -16.0),
    };
    Strip { level: Decibels(level), pan, room: Decibels(room) }
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
    // From no turn to a quarter.
    let turns = (pan.clamp(-1.0, 1.0) + 1.0) / 8.0;
    (cosine(turns), sine(turns))
}

/// Stereo sound.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stereo {
    /// The left channel.
    pub left: Vec<f32>,
    /// The right channel, of the same length.
    pub right: Vec<f32>,
}

/// Whether the room is heard.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Space {
    /// As the page plays.
    #[default]
    Room,
    /// The sounds alone, for measuring.
    Dry,
}

/// Mixes planned sounds; the first frame is time zero. Long enough for the last to die away.
pub fn mix(planned: &[Planned], lineup: Lineup, rate: SampleRate) -> Stereo {
    let mut mixer = Mixer::new(lineup, rate, Space::Room);
    let frames = length(planned, lineup, rate, Space::Room).0;
    let channel = || Vec::with_capacity(frames as usize);
    let mut whole = Stereo { left: channel(), right: channel() };
    // A second at a time: memory that is new costs more than mixing.
    let mut given = 0;
    while given < frames {
        let slice = given..frames.min(given + u64::from(rate.hz()));
        let begins = |sound: &&Planned| slice.contains(&rate.frame_at(Seconds(sound.when.0)).0);
        planned.iter().filter(begins).for_each(|sound| mixer.add(sound));
        let piece = mixer.take(Frames(slice.end - slice.start));
        whole.left.extend(piece.left);
        whole.right.extend(piece.right);
        given = slice.end;
    }
    whole
}

/// How long a mix lasts: until the last sound has died away, in the room too.
pub fn length(planned: &[Planned], lineup: Lineup, rate: SampleRate, space: Space) -> Frames {
    let ends = planned.iter().map(|sound| Span::of(sound, lineup.sample(sound), rate).end());
    let last = ends.max().unwrap_or(0) as u64;
    match space {
        Space::Room if last > 0 => Frames(last + rate.frame_at(room::LENGTH).0),
        _ => Frames(last),
    }
}

/// Where a sound lies in the mix, in frames.
struct Span {
    begin: usize,
    /// How long it sounds as it is.
    held: usize,
    /// How long it takes to die once it is let go.
    release: usize,
}

impl Span {
    fn of(sound: &Planned, sample: Sample, rate: SampleRate) -> Span {
        let begin = rate.frame_at(Seconds(sound.when.0)).0 as usize;
        let length = sample.frames(rate);
        if !sample.voice.is_held() {
            return Span { begin, held: length, release: 0 };
        }
        let lets_go = rate.time_of(Frames(begin as u64)) + sound.duration;
        let held = (rate.frame_at(lets_go).0 as usize).saturating_sub(begin).min(length);
        Span { begin, held, release: (rate.frame_at(RELEASE).0 as usize).min(length - held) }
    }

    fn end(&self) -> usize {
        self.begin + self.held + self.release
    }
}

/// The most that rendered voices may hold; what was not used for longest goes.
const MOST_BYTES: usize = 32 << 20;

/// Mixes sounds in the order of their beginnings, and gives the mix away in slices: memory for a slice and for what
/// still sounds after it, however long the music is.
#[derive(Debug)]
pub struct Mixer {
    lineup: Lineup,
    rate: SampleRate,
    buffers: BTreeMap<Sample, Kept>,
    bytes: usize,
    clock: u64,
    /// The frame at which `dry` and `sent` begin: what lies before was given away.
    given: usize,
    dry: Stereo,
    /// What goes into the room.
    sent: Vec<f32>,
    room: Option<Room>,
}

#[derive(Debug)]
struct Kept {
    frames: Rc<Vec<f32>>,
    used: u64,
}

impl Mixer {
    /// An empty mix.
    pub fn new(lineup: Lineup, rate: SampleRate, space: Space) -> Mixer {
        let room = (space == Space::Room).then(|| Room::new(rate));
        let (buffers, dry, sent) = Default::default();
        Mixer { lineup, rate, buffers, bytes: 0, clock: 0, given: 0, dry, sent, room }
    }

    /// Adds a sound; its first frame is the whole frame nearest to its time. What of it lies in slices that were
    /// given away is left out.
    pub fn add(&mut self, sound: &Planned) {
        let sample = self.lineup.sample(sound);
        let span = Span::of(sound, sample, self.rate);
        let Some(begin) = span.begin.checked_sub(self.given) else { return };
        let buffer = self.buffer(sample);
        let end = (span.held + span.release).min(buffer.len());
        let held = span.held.min(end);
        self.lengthen(begin + end);
        let strip = strip(sound.part);
        let level = Decibels(self.lineup.levels.of(sound.part).into());
        let gain = strip.level.gain() * level.gain() * velocity_gain(sound.velocity);
        let (left, right) = pan_gains(strip.pan);
        let mut channels = vec![(&mut self.dry.left, left), (&mut self.dry.right, right)];
        if self.room.is_some() {
            channels.push((&mut self.sent, strip.room.gain()));
        }
        for (channel, share) in channels {
            let gain = (gain * share) as f32;
            if gain == 0.0 {
                continue;
            }
            let channel = &mut channel[begin..begin + end];
            add_scaled(&buffer[..held], gain, channel);
            // The straight ramp from 1 at the note's end to 0 after the release.
            let slope = gain / span.release.max(1) as f32;
            for (frame, (to, from)) in channel[held..].iter_mut().zip(&buffer[held..]).enumerate() {
                *to += from * (gain - slope * frame as f32);
            }
        }
    }

    /// Gives the next `frames` frames away. All that begins in them must have been added.
    pub fn take(&mut self, Frames(frames): Frames) -> Stereo {
        let frames = frames as usize;
        self.lengthen(frames);
        let first = |channel: &mut Vec<f32>| channel.drain(..frames).collect();
        let mut slice = Stereo { left: first(&mut self.dry.left), right: first(&mut self.dry.right) };
        let sent: Vec<f32> = first(&mut self.sent);
        if let Some(room) = &mut self.room {
            room.add(&sent, &mut slice.left, &mut slice.right);
        }
        self.given += frames;
        slice
    }

    fn lengthen(&mut self, frames: usize) {
        if self.sent.len() < frames {
            for channel in [&mut self.dry.left, &mut self.dry.right, &mut self.sent] {
                channel.resize(frames, 0.0);
            }
        }
    }

    fn buffer(&mut self, sample: Sample) -> Rc<Vec<f32>> {
        self.clock += 1;
        if let Some(kept) = self.buffers.get_mut(&sample) {
            kept.used = self.clock;
            return Rc::clone(&kept.frames);
        }
        let frames = Rc::new(sample.render(self.rate));
        self.bytes += size_of_val(&**frames);
        while self.bytes > MOST_BYTES {
            let oldest = self.buffers.iter().min_by_key(|(_, kept)| kept.used).map(|(sample, _)| *sample);
            let Some(gone) = oldest.and_then(|oldest| self.buffers.remove(&oldest)) else { break };
            self.bytes -= size_of_val(&**gone.frames);
        }
        self.buffers.insert(sample, Kept { frames: Rc::clone(&frames), used: self.clock });
        frames
    }
}
