//! A track made into finished sound, slice by slice: mixed, measured, levelled and limited in bounded memory.

use crate::perform::Levels;
use crate::perform::planner::Planned;
use crate::sound::limit::{Gauge, Programme};
use crate::sound::mix::{self, Mixer, Space, Stereo};
use crate::sound::voice::Lineup;
use crate::units::{Frames, SampleRate, Seconds};

/// How much is mixed at a time: short enough for a cancel to be heard at once, long enough to cost nothing.
const SLICE: Seconds = Seconds(1.0);
/// A mix of at most this length is kept between measuring and finishing; a longer one is mixed twice.
const KEPT: Seconds = Seconds(60.0);

/// One step of the work.
#[derive(Debug)]
pub enum Step {
    /// A slice was measured; nothing is finished yet.
    Measured,
    /// The next slice of the finished sound.
    Finished(Stereo),
    /// There is no more.
    Over,
}

/// The work: once through to measure, once more to finish.
#[derive(Debug)]
pub struct Mixdown {
    mix: Mix,
    kept: Vec<Stereo>,
    gauge: Option<Gauge>,
    programme: Option<Programme>,
    finished: u64,
}

impl Mixdown {
    /// The work on `sounds`, in the order of their beginnings; nothing is done yet.
    pub fn new(sounds: Vec<Planned>, lineup: Lineup, rate: SampleRate, space: Space) -> Mixdown {
        let frames = mix::length(&sounds, lineup, rate, space).0;
        let mixer = Mixer::new(lineup, rate, space);
        let mix = Mix { sounds, lineup, rate, space, frames, mixer, added: 0, at: 0 };
        Mixdown { mix, kept: Vec::new(), gauge: Some(Gauge::new(rate)), programme: None, finished: 0 }
    }

    /// The same work, not yet begun, with every part at the level that the mix gives it. The page's music is brought to
    /// its loudness by this one: who makes a part softer means to hear it softer, not everything else louder.
    #[must_use]
    pub fn at_plain_levels(mut self) -> Mixdown {
        self.mix.lineup.levels = Levels::default();
        self.mix.begin_again();
        self
    }

    /// What is mixed, in order.
    pub fn sounds(&self) -> &[Planned] {
        &self.mix.sounds
    }

    /// How long the sound will be.
    pub fn frames(&self) -> Frames {
        Frames(self.mix.frames)
    }

    /// How much of the work is done, 0 ..= 1.
    pub fn progress(&self) -> f64 {
        let measured = if self.gauge.is_some() { self.mix.at } else { self.mix.frames };
        (measured + self.finished) as f64 / (2 * self.mix.frames).max(1) as f64
    }

    /// Works on for one slice.
    pub fn step(&mut self) -> Step {
        if let Some(gauge) = &mut self.gauge {
            let is_short = self.mix.frames <= self.mix.rate.frame_at(KEPT).0;
            if let Some(slice) = self.mix.slice() {
                gauge.add(&slice);
                if is_short {
                    self.kept.push(slice);
                }
                return Step::Measured;
            }
            self.programme = self.gauge.take().map(Gauge::programme);
            self.kept.reverse();
            if !is_short {
                self.mix.begin_again();
            }
        }
        let first = Frames(self.finished);
        let Some(mut slice) = self.kept.pop().or_else(|| self.mix.slice()) else { return Step::Over };
        self.finished += slice.left.len() as u64;
        if let Some(programme) = &self.programme {
            programme.apply(first, &mut slice);
        }
        Step::Finished(slice)
    }

    /// Measures what is left to measure, and says what brings the sound to its loudness and under its ceiling.
    pub fn programme(mut self) -> Programme {
        while self.gauge.is_some() {
            self.step();
        }
        self.programme.unwrap_or(Programme { gain: 1.0, highest: 0.0, dips: Vec::new() })
    }

    /// The next slice of the mix as it is before levelling and limiting; `None` at its end. For a comparison with a
    /// page's graph; what was given away so is not finished by [`Mixdown::step`].
    pub fn raw(&mut self) -> Option<Stereo> {
        self.mix.slice()
    }
}

/// The mix in slices.
#[derive(Debug)]
struct Mix {
    sounds: Vec<Planned>,
    lineup: Lineup,
    rate: SampleRate,
    space: Space,
    frames: u64,
    mixer: Mixer,
    /// How many sounds the mixer has.
    added: usize,
    /// How far it has come.
    at: u64,
}

impl Mix {
    fn slice(&mut self) -> Option<Stereo> {
        let frames = self.rate.frame_at(SLICE).0.min(self.frames - self.at);
        self.at += frames;
        let begins = |sound: &Planned| self.rate.frame_at(Seconds(sound.when.0)).0;
        for sound in self.sounds[self.added..].iter().take_while(|sound| begins(sound) < self.at) {
            self.mixer.add(sound);
            self.added += 1;
        }
        (frames > 0).then(|| self.mixer.take(Frames(frames)))
    }

    fn begin_again(&mut self) {
        self.mixer = Mixer::new(self.lineup, self.rate, self.space);
        (self.added, self.at) = (0, 0);
    }
}

/// All of a track, finished.
pub fn whole(sounds: Vec<Planned>, lineup: Lineup, rate: SampleRate, space: Space) -> Stereo {
    let mut mixdown = Mixdown::new(sounds, lineup, rate, space);
    let mut all = Stereo::default();
    loop {
        match mixdown.step() {
            Step::Measured => {}
            Step::Finished(slice) => {
                all.left.extend(slice.left);
                all.right.extend(slice.right);
            }
            Step::Over => return all,
        }
    }
}
