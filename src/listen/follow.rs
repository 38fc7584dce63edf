//! Following a player: what began, as soon as it is sure.

use std::collections::VecDeque;

use super::level::{Level, Meter};
use super::resample::Resampler;
use super::{Event, Heard, ListenError, Model, checked, pitch};

const RATE: f64 = 12_000.0;
const HOP: usize = 96;
const WINDOW: usize = 1024;
/// As many clicks are remembered.
const MOST_CLICKS: usize = 64;
/// An onset so near to a known click is the click's.
const CLICK_SECONDS: f64 = 0.03;
const MOST_EVENTS: usize = 64;

/// Follows one voice, block by block. What it needs it takes when it is made; memory does not grow.
pub struct Listener {
    a4: f64,
    meter: Meter,
    resampler: Resampler,
    recent: VecDeque<f32>,
    /// Samples at 12 kHz that have come.
    come: usize,
    floor: f64,
    loud: VecDeque<f64>,
    rising: Option<f64>,
    sounding: Option<Heard>,
    clicks: VecDeque<f64>,
    events: VecDeque<Event>,
}

impl Listener {
    /// For samples at `rate` hertz, 3 000 to 768 000, and an A of `a4` hertz, 380 to 500.
    ///
    /// # Errors
    ///
    /// Where either lies outside.
    pub fn new(rate: f64, a4: f64, _model: &Model) -> Result<Listener, ListenError> {
        checked(rate, a4)?;
        Ok(Listener {
            a4,
            meter: Meter::new(rate),
            resampler: Resampler::new(rate, RATE),
            recent: VecDeque::from(vec![0.0; WINDOW]),
            come: 0,
            floor: 1e-4,
            loud: VecDeque::from(vec![0.0; 4]),
            rising: None,
            sounding: None,
            clicks: VecDeque::with_capacity(MOST_CLICKS),
            events: VecDeque::with_capacity(MOST_EVENTS),
        })
    }

    /// Takes the next samples, any number of them; what is not finite counts as silence.
    pub fn push(&mut self, block: &[f32]) {
        for &sample in block {
            self.meter.push(sample);
            let (recent, come) = (&mut self.recent, &mut self.come);
            let mut is_due = false;
            self.resampler.push(sample, |one| {
                recent.pop_front();
                recent.push_back(one);
                *come += 1;
                is_due |= come.is_multiple_of(HOP);
            });
            if is_due {
                self.step();
            }
        }
    }

    /// What has happened and was not told yet, in order.
    pub fn next_note(&mut self) -> Option<Event> {
        self.events.pop_front()
    }

    /// How loud the last tenth of a second was.
    pub fn level(&self) -> Level {
        self.meter.level()
    }

    /// The page's own click reaches the microphone at `at`, in seconds since the first sample: it is not a note. Said
    /// before it comes, or at most 50 ms after.
    pub fn expect_click(&mut self, at: f64) {
        if at.is_finite() {
            if self.clicks.len() == MOST_CLICKS {
                self.clicks.pop_front();
            }
            self.clicks.push_back(at);
        }
    }

    fn step(&mut self) {
        let now = self.come as f64 / RATE;
        let energy: f64 = self.recent.iter().rev().take(2 * HOP).map(|&one| f64::from(one).powi(2)).sum();
        let loud = (energy / (2 * HOP) as f64).sqrt();
        self.floor = self.floor.min(loud.max(1e-4)) * 1.002;
        let before = self.loud.pop_front().unwrap_or(0.0);
        self.loud.push_back(loud);
        if loud > 2.0 * before && loud > 4.0 * self.floor && self.rising.is_none() {
            let is_click = self.clicks.iter().any(|click| (click - now).abs() < CLICK_SECONDS);
            self.rising = (!is_click).then_some(now - 0.012);
        }
        if let Some(onset) = self.rising.filter(|onset| now - onset > 0.09) {
            self.rising = None;
            if let Some(heard) = self.heard(onset, loud) {
                self.end(onset);
                self.sounding = Some(heard);
                self.tell(Event::Started(heard));
            }
        }
        if loud < 2.0 * self.floor {
            self.end(now);
        }
    }

    fn heard(&mut self, onset: f64, loud: f64) -> Option<Heard> {
        let hz = pitch::pitch(self.recent.make_contiguous(), RATE)?.hz;
        let above = 69.0 + 12.0 / std::f64::consts::LN_2 * (hz / self.a4).ln();
        let midi = above.round().clamp(0.0, 127.0);
        let strength = (1.0 + 20.0 * loud.max(1e-9).ln() / std::f64::consts::LN_10 / 60.0).clamp(0.0, 1.0);
        let cents = (100.0 * (above - midi)) as f32;
        Some(Heard { onset, offset: None, midi: midi as u8, cents, strength: strength as f32 })
    }

    fn end(&mut self, offset: f64) {
        if let Some(heard) = self.sounding.take() {
            self.tell(Event::Ended { onset: heard.onset, offset });
        }
    }

    fn tell(&mut self, event: Event) {
        if self.events.len() == MOST_EVENTS {
            self.events.pop_front();
        }
        self.events.push_back(event);
    }
}
