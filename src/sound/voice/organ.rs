//! Electric organ: steady sines at the pitches of its pipes' lengths.

use crate::sound::oscillator::{self, Partial};
use crate::sound::voice::{Hand, shape};
use crate::units::{Hz, SampleRate, Seconds};

/// Frequency as a multiple of the pitch, and level in decibels, soft and hard. The pipes that these sines stand for
/// are 16, 8, 5⅓, 4, 2⅔ and 2 feet long (common practice, no source).
const PIPES: [(f64, f64, f64); 6] = [
    (0.5, -10.0, -10.0),
    (1.0, 0.0, 0.0),
    (1.5, -9.0, -7.0),
    (2.0, -12.0, -6.0),
    (3.0, -20.0, -11.0),
    (4.0, -30.0, -15.0),
];

/// The key's contact: a short, high sound at the start, that players like.
const CONTACT: (f64, f64) = (1900.0, 0.004);

/// Renders a note.
pub fn render(pitch: Hz, hand: Hand, rate: SampleRate, out: &mut [f32]) {
    let hz = f64::from(rate.hz());
    let mut partials: Vec<Partial> = PIPES
        .iter()
        .filter(|(ratio, ..)| ratio * pitch.0 < 0.45 * hz)
        .map(|(ratio, soft, hard)| Partial {
            cycles: ratio * pitch.0 / hz,
            level: hand.between(*soft, *hard),
            decay_frames: f64::INFINITY,
        })
        .collect();
    partials.push(Partial { cycles: CONTACT.0 / hz, level: 0.12, decay_frames: CONTACT.1 * hz });
    oscillator::add(&partials, out);
    shape::fade_in(hand.slows(Seconds(0.006)), rate, out);
    shape::tremble(0.9, 0.12, rate, out);
}
