//! A tuner: how the pitches that are heard lie beside the notes of the band, and to what the band would have to be tuned.

use std::collections::VecDeque;

use crate::practice::figures::median;
use crate::units::{Cents, Hz, MidiNote, Tuning};

/// The last pitches that were heard.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tuner {
    /// The nearest note of each, and how far above it the pitch lay, in cents.
    heard: VecDeque<(MidiNote, f64)>,
    now: Option<(MidiNote, Cents)>,
}

/// So many pitches are remembered: some seconds of playing.
const REMEMBERED: usize = 96;
/// So many of one note tell how that note lies.
const OF_ONE_NOTE: usize = 5;
/// One note may be bent, or out by itself: so many different ones are needed for advice (common practice, no
/// source).
const NOTES: usize = 3;
/// Where one of the notes lies farther than this from the middle one, in cents, nobody could tune to them.
const TOGETHER: f64 = 12.0;
/// Less than this, in cents, nobody need be told of: to 441 Hz it is 3.9.
const HEARD: f64 = 4.0;

impl Tuner {
    /// Takes what was heard: a pitch, or none.
    pub fn hear(&mut self, pitch: Option<Hz>, tuning: Tuning) {
        self.now = pitch.and_then(|pitch| nearest(pitch, tuning));
        let Some((note, Cents(off))) = self.now else { return };
        if self.heard.len() == REMEMBERED {
            self.heard.pop_front();
        }
        self.heard.push_back((note, off));
    }

    /// Forgets what was heard: the band is tuned anew.
    pub fn forget(&mut self) {
        *self = Tuner::default();
    }

    /// The note that sounds now, and how far above it the pitch lies.
    pub fn now(&self) -> Option<(MidiNote, Cents)> {
        self.now
    }

    /// How far above it each different note lies that was heard for long enough, in cents.
    fn notes(&self) -> Vec<f64> {
        let mut notes: Vec<MidiNote> = self.heard.iter().map(|(note, _)| *note).collect();
        notes.sort_unstable();
        notes.dedup();
        let of = |note: MidiNote| {
            let all: Vec<f64> =
                self.heard.iter().filter(|(other, _)| *other == note).map(|(_, off)| *off).collect();
            if all.len() < OF_ONE_NOTE { None } else { median(&all) }
        };
        notes.into_iter().filter_map(of).collect()
    }

    /// How many different notes are still wanted before anything is advised.
    pub fn wanted(&self) -> usize {
        NOTES.saturating_sub(self.notes().len())
    }

    /// Whether all notes lie about as far from the band's.
    pub fn agrees(&self) -> bool {
        let notes = self.notes();
        let Some(middle) = median(&notes) else { return true };
        notes.iter().all(|off| (off - middle).abs() <= TOGETHER)
    }

    /// The tuning at which the band is with the player, where that is another one and several notes agree.
    pub fn offer(&self, tuning: Tuning) -> Option<Tuning> {
        let notes = self.notes();
        if notes.len() < NOTES || !self.agrees() {
            return None;
        }
        let middle = median(&notes).filter(|middle| middle.abs() >= HEARD)?;
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

    /// Values: equal temperament from A = 435, a piano's that was let go: 435, D a fourth higher, 580.659, and C a minor
    /// third higher, 517.306.
    #[test]
    fn a_band_is_offered_that_is_with_a_low_piano() {
        let tuner = heard([435.0, 580.659, 517.306].into_iter().cycle().take(21));
        assert_eq!(tuner.offer(Tuning::ORDINARY), Tuning::new(435));
        let (note, Cents(off)) = tuner.now().unwrap();
        // 1200·log2(435/440) = −19.8.
        assert!(note.number() == 72 && (off + 19.8).abs() < 0.1, "{note:?} {off}");
    }

    #[test]
    fn who_is_in_tune_or_all_over_the_place_is_offered_nothing() {
        // 440·2^(k/12) from A: three notes, each 2 cents high.
        let near = [440.508, 493.884 * 1.001_156, 523.251 * 1.001_156];
        assert_eq!(heard(near.into_iter().cycle().take(21)).offer(Tuning::ORDINARY), None);
        assert_eq!(heard((0..20).map(|count| 425.0 + 2.0 * f64::from(count))).offer(Tuning::ORDINARY), None);
        assert_eq!(heard(std::iter::repeat_n(435.0, 5)).offer(Tuning::ORDINARY), None);
        // One bent note says nothing of the instrument, nor does a third one that is not with the two others.
        let bent = heard(std::iter::repeat_n(445.0, 60));
        assert_eq!((bent.offer(Tuning::ORDINARY), bent.wanted()), (None, 2));
        let apart = heard([445.0, 493.884, 523.251].into_iter().cycle().take(60));
        assert_eq!((apart.offer(Tuning::ORDINARY), apart.wanted()), (None, 0));
        for odd in [f64::NAN, 0.0, f64::INFINITY, 1e9, -3.0] {
            assert_eq!(heard(std::iter::repeat_n(odd, 20)).now(), None, "{odd}");
        }
    }
}
