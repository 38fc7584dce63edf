//! Finding the place: the band begins somewhere in the form, and the player says which bar it is.

use crate::perform::Score;
use crate::units::{ScoreTime, Ticks};

/// How finding the place goes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct FindPlace {
    last: Option<Guess>,
}

/// What was said, and what was so.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Guess {
    /// The bar that the player named, index from 0.
    pub said: usize,
    /// The bar that it was.
    pub was: usize,
    /// Whether that is right: within half a beat of a bar line both bars are.
    pub is_right: bool,
}

impl FindPlace {
    /// The last answer.
    pub fn last(&self) -> Option<Guess> {
        self.last
    }

    /// Takes an answer, at so many quarters after the first bar line; before it there is nothing to say.
    pub(super) fn guess(&mut self, said: usize, quarters: f64, band: &Score) {
        let bar_at = |quarters: f64| {
            let at = ScoreTime::ZERO + Ticks::from_quarters(quarters)?;
            band.bar_at(at).index
        };
        let half_beat = 0.5;
        let Some(was) = bar_at(quarters.max(0.0)).filter(|_| quarters >= -half_beat) else { return };
        let near = [quarters - half_beat, quarters + half_beat].map(|quarters| bar_at(quarters.max(0.0)));
        let is_right = said == was || near.contains(&Some(said));
        self.last = Some(Guess { said, was, is_right });
    }
}
