//! A player's own swing, estimated before off-beats are judged.
//!
//! Soloists swing less than drummers and differ from each other: about 1.3 : 1 is typical, 2 : 1 the exception
//! (C. Corcoran and K. Frieler, "Playing it straight: analyzing jazz soloists' swing eighth-note distributions with the
//! Weimar Jazz Database", Music Perception 38(4), 2021, 372–385). So how far a player swings is a remark; what is
//! measured is whether it stays the same.

use crate::practice::figures::median;
use crate::rhythm::feel::SwingRatio;
use crate::units::Seconds;

/// An off-beat as it was played, on the player's own beat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OffBeat {
    /// Since the beat before, as the player feels it: on the line, plus the player's own lateness on the beats.
    pub since_beat: Seconds,
    /// How long the beat lasts; above 0.
    pub beat: Seconds,
}

/// Long to short in one player's hands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OwnSwing {
    ratio: f64,
}

/// How a player's swing compares with the drums'. No fault either way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Against {
    /// Nearer to even halves.
    Straighter,
    /// No difference that is heard.
    Alike,
    /// The off-beats later.
    Lazier,
}

impl OwnSwing {
    /// Off-beats that an estimate needs.
    const FEWEST: usize = 3;
    /// Beats with another ratio are mistakes or other rhythms: 1/4 to 4 as in Corcoran and Frieler's study.
    const RATIOS: (f64, f64) = (0.25, 4.0);

    /// The ratio that the median off-beat has: (u − b)/(n − u) for an off-beat u between the beats b and n, which
    /// F. Benadon calls the beat–upbeat ratio ("Slicing the beat: jazz eighth-notes as expressive microrhythm",
    /// Ethnomusicology 50(1), 2006, 73–98). `None` for fewer than three off-beats.
    pub fn of(off_beats: &[OffBeat]) -> Option<OwnSwing> {
        let ratio = |off: &OffBeat| off.since_beat.0 / (off.beat.0 - off.since_beat.0);
        let (least, most) = Self::RATIOS;
        let ratios: Vec<f64> =
            off_beats.iter().map(ratio).filter(|ratio| (least..=most).contains(ratio)).collect();
        (ratios.len() >= Self::FEWEST).then(|| median(&ratios).map(|ratio| OwnSwing { ratio }))?
    }

    /// Long to short, 1/4 ..= 4; under 1 the off-beats come early.
    pub fn ratio(self) -> f64 {
        self.ratio
    }

    /// Where the off-beat lies, as a fraction of the beat.
    pub fn off_beat(self) -> f64 {
        self.ratio / (1.0 + self.ratio)
    }

    /// How late an off-beat is against the player's own swing.
    pub fn lateness(self, off: OffBeat) -> Seconds {
        Seconds(off.since_beat.0 - self.off_beat() * off.beat.0)
    }

    /// Against the drums at `beat` a beat: alike where the off-beats lie less than 30 ms apart, which listeners without
    /// training need to hear a difference (course text on microrhythm by G. S. Câmara, week 5, which gives about 10 ms
    /// for trained ones).
    pub fn against(self, drums: SwingRatio, beat: Seconds) -> Against {
        const HEARD_SECONDS: f64 = 0.03;
        let later = (self.off_beat() - drums.off_beat()) * beat.0;
        match later {
            later if later < -HEARD_SECONDS => Against::Straighter,
            later if later > HEARD_SECONDS => Against::Lazier,
            _ => Against::Alike,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn off_beats(since: &[f64]) -> Vec<OffBeat> {
        since.iter().map(|since| OffBeat { since_beat: Seconds(*since), beat: Seconds(1.0) }).collect()
    }

    /// By Benadon's formula, beats 0, 1, 2, 3 with off-beats at 0.5, 1.75 and 2.2 have the ratios 1, 3 and 1/4 (an
    /// example in the tests of the AMADS library).
    #[test]
    fn the_ratio_is_that_of_the_median_off_beat() {
        assert!((OwnSwing::of(&off_beats(&[0.5, 0.75, 0.2])).unwrap().ratio() - 1.0).abs() < 1e-12);
        assert!((OwnSwing::of(&off_beats(&[0.5, 0.75, 0.75])).unwrap().ratio() - 3.0).abs() < 1e-12);
        assert_eq!(OwnSwing::of(&off_beats(&[0.5, 0.5])), None);
        assert_eq!(OwnSwing::of(&off_beats(&[0.5, 0.5, 0.1, 0.95, 1.0, 1.2])), None);
        let swing = OwnSwing::of(&off_beats(&[2.0 / 3.0; 4])).unwrap();
        assert!((swing.ratio() - SwingRatio::TRIPLET.value()).abs() < 1e-12);
        let late = swing.lateness(OffBeat { since_beat: Seconds(0.35), beat: Seconds(0.5) });
        assert!((late.0 - (0.35 - 1.0 / 3.0)).abs() < 1e-12);
    }

    /// At 120 a minute 2 : 1 lies at 333 ms and 1.3 : 1 at 283 ms of the beat (r/(1+r), worked by hand).
    #[test]
    fn swing_is_compared_with_the_drums() {
        let swing = |ratio: f64| OwnSwing { ratio };
        let beat = Seconds(0.5);
        assert_eq!(swing(1.3).against(SwingRatio::TRIPLET, beat), Against::Straighter);
        assert_eq!(swing(1.8).against(SwingRatio::TRIPLET, beat), Against::Alike);
        assert_eq!(swing(3.0).against(SwingRatio::TRIPLET, beat), Against::Lazier);
    }
}
