//! A tuner: how the pitches that are heard lie beside the notes of the band, and to what the band would have to be tuned.

use std::collections::VecDeque;

use crate::practice::figures::median;
use crate::units::{Cents, Hz, MidiNote, Tuning};

/// The last pitches that were heard.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tuner {
    /// How far above the nearest note each was, in cents.
    off: VecDeque<f64>,
    now: Option<(MidiNote, Cents)>,
}

/// So many pitches are remembered, and so many are needed for advice: some seconds of playing.
const REMEMBERED: usize = 48;
const NEEDED: usize = 16;
/// Where half of them lie farther than this from the middle one, in cents, nobody could tune to them.
const TOGETHER: f64 = 12.0;
/// Less than this, in cents, nobody need be told of: to 441 Hz it is 3.9.
const HEARD: f64 = 4.0;

impl Tuner {
    /// Takes what was heard: a pitch, or none.
    pub fn hear(&mut self, pitch: Option<Hz>, tuning: Tuning) {
        self.now = pitch.and_then(|pitch| nearest(pitch, tuning));
        let Some((_, Cents(off))) = self.now else { return };
        if self.off.len() == REMEMBERED {
            self.off.pop_front();
        }
        self.off.push_back(off);
    }

    /// Forgets what was heard: the band is tuned anew.
    pub fn forget(&mut self) {
        *self = Tuner::default();
    }

    /// The note that sounds now, and how far above it the pitch lies.
    pub fn now(&self) -> Option<(MidiNote, Cents)> {
        self.now
    }

    /// The tuning at which the band is with the player, where that is another one and the pitches agree.
    pub fn offer(&self, tuning: Tuning) -> Option<Tuning> {
        if self.off.len() < NEEDED {
            return None;
        }
        let all: Vec<f64> = self.off.iter().copied().collect();
        let middle = median(&all).filter(|middle| middle.abs() >= HEARD)?;
        let away: Vec<f64> = all.iter().map(|off| (off - middle).abs()).collect();
        if median(&away)? > TOGETHER {
            return None;
        }
        let Hz(a) = Hz(f64::from(tuning.hertz())).raised(Cents(middle));
        Tuning::new(a.round() as u16).filter(|offer| *offer != tuning)
    }
}

/// The note that is nearest to a pitch, and how far above it the pitch lies: −50 to 50 cents.
fn nearest(pitch: Hz, tuning: Tuning) -> Option<(MidiNote, Cents)> {
    let Cents(above) = pitch.cents_above(Hz(f64::from(tuning.hertz())));
    let note = 69.0 + (above / 100.0).round();
    let midi = MidiNote::new(if note.is_finite() { note as i32 } else { -1 })?;
    Some((midi, pitch.cents_above(tuning.frequency(midi))))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heard(pitches: impl Iterator<Item = f64>) -> Tuner {
        let mut tuner = Tuner::default();
        pitches.for_each(|hz| tuner.hear(Some(Hz(hz)), Tuning::ORDINARY));
        tuner
    }

    /// Values: equal temperament from A = 435, a piano's that was let go: 435, and C a minor third higher, 517.3.
    #[test]
    fn a_band_is_offered_that_is_with_a_low_piano() {
        let tuner = heard((0..20).map(|count| if count % 2 == 0 { 435.0 } else { 517.306 }));
        assert_eq!(tuner.offer(Tuning::ORDINARY), Tuning::new(435));
        let (note, Cents(off)) = tuner.now().unwrap();
        // 1200·log2(435/440) = −19.8.
        assert!(note.number() == 72 && (off + 19.8).abs() < 0.1, "{note:?} {off}");
    }

    #[test]
    fn who_is_in_tune_or_all_over_the_place_is_offered_nothing() {
        assert_eq!(heard(std::iter::repeat_n(440.5, 20)).offer(Tuning::ORDINARY), None);
        assert_eq!(heard((0..20).map(|count| 425.0 + 2.0 * f64::from(count))).offer(Tuning::ORDINARY), None);
        assert_eq!(heard(std::iter::repeat_n(435.0, 5)).offer(Tuning::ORDINARY), None);
        for odd in [f64::NAN, 0.0, f64::INFINITY, 1e9, -3.0] {
            assert_eq!(heard(std::iter::repeat_n(odd, 20)).now(), None, "{odd}");
        }
    }
}
