//! Following a player: what began, as soon as it is sure.

use std::collections::VecDeque;

use super::ear::{Ear, FRAME_SECONDS, Frame, about, likeliest, strength, tempered, top};
use super::features::{HEIGHTS, PITCHES};
use super::level::Level;
use super::network::Ring;
use super::{CLICK_SECONDS, Event, Heard, ListenError, Model, SHORTEST_SECONDS, checked_tuning};

/// Frames after an onset that are looked at before it is told. With half the long window, what the network looks ahead, and
/// a block of an audio worklet that makes 43 + 40 + 24 + 3 ms.
const LATER: usize = 3;
/// Log odds from which an onset is told: a probability of 0.38, the best of three on takes of our own.
const LEAST_ODDS: f32 = -0.5;
/// The same beside a known click.
const LEAST_ODDS_AT_CLICK: f32 = 1.5;
/// The probability that a note sounds, on average over the frames after the onset: half as likely as not.
const LEAST_SOUNDING: f32 = 0.27;
/// A note has ended when it probably did not sound for so many frames.
const SILENT_FRAMES: usize = 3;
/// As many clicks and events are remembered.
const MOST_CLICKS: usize = 64;
const MOST_EVENTS: usize = 64;

/// Follows one voice, block by block. What it needs it takes when it is made; memory does not grow.
pub struct Listener {
    ear: Ear,
    told: Told,
}

/// What the frames come to.
struct Told {
    a4: f64,
    /// Log odds of an onset, probability of sound, and peak of the latest frames.
    onsets: Ring,
    sounding: Ring,
    peaks: Ring,
    pitches: Ring,
    heights: Ring,
    frames: usize,
    /// When the last note that was told began.
    last: f64,
    /// The note that sounds, by its onset.
    open: Option<f64>,
    silent: usize,
    clicks: VecDeque<f64>,
    events: VecDeque<Event>,
}

impl Listener {
    /// For samples at `rate` hertz, 3 000 to 768 000, and an A of `a4` hertz, 380 to 500.
    ///
    /// # Errors
    ///
    /// Where either lies outside.
    pub fn new(rate: f64, a4: f64, model: &Model) -> Result<Listener, ListenError> {
        let ear = Ear::new(rate, a4, model)?;
        let told = Told {
            a4,
            onsets: Ring::new(LATER + 2, 1),
            sounding: Ring::new(LATER + 2, 1),
            peaks: Ring::new(LATER + 2, 1),
            pitches: Ring::new(LATER, PITCHES),
            heights: Ring::new(LATER, HEIGHTS),
            frames: 0,
            last: f64::NEG_INFINITY,
            open: None,
            silent: 0,
            clicks: VecDeque::with_capacity(MOST_CLICKS),
            events: VecDeque::with_capacity(MOST_EVENTS),
        };
        Ok(Listener { ear, told })
    }

    /// Counts notes and cents from another A, of `a4` hertz, 380 to 500, from the next note on. What was learnt stays.
    ///
    /// # Errors
    ///
    /// Where it lies outside: the A stays as it is.
    pub fn tune(&mut self, a4: f64) -> Result<(), ListenError> {
        checked_tuning(a4)?;
        self.told.a4 = a4;
        Ok(())
    }

    /// Takes the next samples, any number of them; what is not finite counts as silence.
    pub fn push(&mut self, block: &[f32]) {
        self.ear.push(block, |frame| self.told.frame(&frame));
    }

    /// Takes the next samples and what the page played in the same frames, left and right, and hears what is not the page's.
    /// How the page's sound comes to the microphone it learns as it goes. A note may be told 11 ms later than without. From the
    /// first call on all samples come this way; what was played may be shorter, down to nothing, where there was silence.
    pub fn push_beside(&mut self, block: &[f32], played: [&[f32]; 2]) {
        self.ear.push_beside(block, played, |frame| self.told.frame(&frame));
    }

    /// What has happened and was not told yet, in order. Of more than 64 that nobody asked for the oldest are forgotten.
    pub fn next_note(&mut self) -> Option<Event> {
        self.told.events.pop_front()
    }

    /// How long what the page plays takes until it is heard first, in seconds, as it was learnt from what was handed over beside
    /// what was heard; `None` where that is not known well, or the player is louder.
    pub fn late(&mut self) -> Option<f64> {
        self.ear.late()
    }

    /// How loud the last tenth of a second was.
    pub fn level(&self) -> Level {
        self.ear.level()
    }

    /// The page's own click reaches the microphone at `at`, in seconds since the first sample: it is not a note. Said
    /// before it comes, or at most 50 ms after. The last 64 are remembered.
    pub fn expect_click(&mut self, at: f64) {
        if at.is_finite() {
            if self.told.clicks.len() == MOST_CLICKS {
                self.told.clicks.pop_front();
            }
            self.told.clicks.push_back(at);
        }
    }
}

impl Told {
    fn frame(&mut self, frame: &Frame) {
        self.onsets.next()[0] = frame.said.onset;
        self.sounding.next()[0] = frame.said.sounding;
        self.peaks.next()[0] = frame.peak;
        self.pitches.next().copy_from_slice(&frame.said.pitches);
        self.heights.next().copy_from_slice(frame.heights);
        self.frames += 1;
        if self.frames > LATER + 1 {
            self.begins();
        }
        self.ends();
    }

    /// Tells the note that began [`LATER`] frames ago, if one did.
    fn begins(&mut self) {
        let [before, at, after] = [1, 0, -1].map(|by| self.onsets.ago(LATER.wrapping_add_signed(by))[0]);
        if at < before || at <= after {
            return;
        }
        let frame = (self.frames - 1 - LATER) as f64 + top(before, at, after);
        let onset = (frame * FRAME_SECONDS).max(0.0);
        let is_click = self.clicks.iter().any(|click| (click - onset).abs() < CLICK_SECONDS);
        let least = if is_click { LEAST_ODDS_AT_CLICK } else { LEAST_ODDS };
        let sounding = (0..LATER).map(|ago| self.sounding.ago(ago)[0]).sum::<f32>() / LATER as f32;
        if at < least || sounding < LEAST_SOUNDING || onset - self.last < SHORTEST_SECONDS {
            return;
        }
        let mut sums = [0.0; PITCHES];
        let mut heights = [0.0; 3];
        for ago in 0..LATER {
            sums.iter_mut().zip(self.pitches.ago(ago)).for_each(|(sum, pitch)| *sum += pitch);
        }
        let pitch = likeliest(&sums);
        for ago in 0..LATER {
            let about = about(self.heights.ago(ago), pitch);
            heights.iter_mut().zip(about).for_each(|(sum, height)| *sum += height / LATER as f32);
        }
        let (midi, cents) = tempered(pitch, heights, self.a4);
        let peak = (0..=LATER).map(|ago| self.peaks.ago(ago)[0]).fold(0.0, f32::max);
        self.close(onset);
        self.last = onset;
        self.open = Some(onset);
        self.tell(Event::Started(Heard { onset, offset: None, midi, cents, strength: strength(peak) }));
    }

    fn ends(&mut self) {
        self.silent = if self.sounding.ago(0)[0] < 0.5 { self.silent + 1 } else { 0 };
        if self.silent >= SILENT_FRAMES {
            self.close((self.frames - self.silent) as f64 * FRAME_SECONDS);
        }
    }

    fn close(&mut self, at: f64) {
        if let Some(onset) = self.open.take() {
            self.tell(Event::Ended { onset, offset: at.max(onset) });
        }
    }

    fn tell(&mut self, event: Event) {
        if self.events.len() == MOST_EVENTS {
            self.events.pop_front();
        }
        self.events.push_back(event);
    }
}
