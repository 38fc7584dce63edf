//! How players depart from what is written: late on purpose, or a little at random.

use crate::band::dice::Dice;
use crate::perform::Part;
use crate::rhythm::feel::SwingRatio;
use crate::units::percussion::Percussion;
use crate::units::{MidiNote, ScoreTime, Ticks};

/// Departures from the written time. All are delays, so that nothing sounds before the bar line that it belongs to;
/// the default has none.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Touch {
    /// The ride cymbal's own swing ratio, as [`SwingRatio::by_tempo`] gives it; `None` follows the others.
    pub ride: Option<SwingRatio>,
    /// How late the soloist's notes on the beat come, and the snare's backbeat half as much, in quarters; brought
    /// to 0 ..= 0.1.
    pub laid_back: f64,
    /// How late, at most and at random, the drums, the bass and the chords come, in quarters; brought to
    /// 0 ..= 0.05. The click and the soloist are never loose.
    pub looseness: f64,
}

impl Touch {
    /// The delay that listeners found to help most: 85 of 960 ticks, nine hundredths of a quarter near 150 quarters
    /// a minute; notes between the beats are not delayed.
    ///
    /// Source: Nelias, Sturm, Albrecht, Hagmayer and Geisel, "Downbeat delays are a key component of swing in jazz",
    /// Communications Physics 5, 2022.
    pub const LAID_BACK: f64 = 85.0 / 960.0;
    /// A looseness that stays under the delay of 2.5 hundredths of an interval that listeners just notice.
    ///
    /// Source: Friberg and Sundberg, "Time discrimination in a monotonic, isochronous sequence", J. Acoust. Soc.
    /// Am. 98(5), 1995.
    pub const LOOSE: f64 = 0.02;

    /// How late a solo note comes that is written `into` its bar.
    pub(super) fn solo_delay(&self, into: Ticks, beat: Ticks) -> f64 {
        if into.rem_floor(beat) == Ticks::ZERO { self.laid_back.clamp(0.0, 0.1) } else { 0.0 }
    }

    /// How late a note of the band comes.
    pub(super) fn band_delay(&self, part: Part, midi: MidiNote, at: ScoreTime, seed: u32) -> f64 {
        if part == Part::Click {
            return 0.0;
        }
        let snare = part == Part::Drums && Percussion::of(midi) == Some(Percussion::Snare);
        let late = if snare { self.laid_back.clamp(0.0, 0.1) / 2.0 } else { 0.0 };
        late + self.looseness.clamp(0.0, 0.05) * chance(part, at, seed)
    }

    /// The ratio in which an instrument of the band shares out the beat.
    pub(super) fn swing(&self, part: Part, midi: MidiNote, others: SwingRatio) -> SwingRatio {
        let ride = part == Part::Drums && Percussion::of(midi) == Some(Percussion::Ride);
        self.ride.filter(|_| ride && others != SwingRatio::STRAIGHT).unwrap_or(others)
    }
}

/// A number from 0 up to 1 that is always the same for the same part, place and seed.
fn chance(part: Part, at: ScoreTime, seed: u32) -> f64 {
    let mut dice = Dice::new(&[at.0 as u64, part as u64, seed.into()]);
    f64::from(dice.around_zero(100) + 100) / 201.0
}
