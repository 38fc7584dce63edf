//! How late a device hears, found by tapping along to clicks.
//!
//! Tapping finds only a sum: what the browser does not know of the sound's way out, the press's way in, and the
//! player's own lead. People tap ahead of a click, by some 40 ms at 600 ms a click (open data of R. Bååth and G. Madison,
//! "The subjective difficulty of tapping to a slow beat", ICMPC 12, 2012). So what is compared afterwards is compared
//! with how the player tapped.

use crate::practice::figures::{median, sample_deviation};
use crate::units::{AudioTime, QuartersPerMinute, Seconds};

/// How a delay was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Found {
    /// By tapping along: the player's own lead is in it.
    ByTapping,
    /// Sound went out and came back: the device alone.
    ByLoopback,
}

/// How late presses come against what they were meant for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Delay {
    /// The delay; negative where the player's lead is larger than the device's delay.
    pub seconds: Seconds,
    /// How far from it the truth may lie: twice the standard error.
    pub give_or_take: Seconds,
    /// How it was found.
    pub found: Found,
}

/// How sure a delay is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Sure {
    /// To less than can be heard at the tempo of the clicks.
    Very,
    /// To less than twice that.
    Fairly,
    /// Less than that.
    Little,
}

impl Delay {
    /// What was kept of a delay; `None` for figures that cannot be one.
    pub fn kept(seconds: f64, give_or_take: f64, found: Found) -> Option<Delay> {
        let is_sound = (-0.5..=1.0).contains(&seconds) && (0.0..=0.5).contains(&give_or_take);
        let (seconds, give_or_take) = (Seconds(seconds), Seconds(give_or_take));
        is_sound.then_some(Delay { seconds, give_or_take, found })
    }

    /// How sure it is. Listeners hear 2.5 % of an interval (Friberg and Sundberg 1995): 15 ms of 600.
    pub fn sure(self) -> Sure {
        match self.give_or_take.0 {
            at_most if at_most <= 0.015 => Sure::Very,
            at_most if at_most <= 0.030 => Sure::Fairly,
            _ => Sure::Little,
        }
    }

    /// Whether it is as long as wireless headphones make it: they add 100 to 300 ms (common experience, no source), and
    /// a tapper's lead hides some 40 ms of it.
    pub fn is_like_wireless(self) -> bool {
        self.seconds.0 > 0.080
    }
}

/// The tempo of the clicks: 600 ms, at which published taps were taken.
pub fn clicks_tempo() -> QuartersPerMinute {
    QuartersPerMinute::new(100.0).expect("100 lies in range")
}

/// Bars of four clicks to tap along to.
pub const BARS: u32 = 5;
/// The first clicks are for finding the beat.
const LISTENED_TO: usize = 4;
/// The clicks that are to be tapped.
pub const TO_TAP: usize = BARS as usize * 4 - LISTENED_TO;
/// Taps that a delay needs.
const FEWEST_TAPS: usize = 8;
/// A tap belongs to a click from this long before it to one interval later: delays are longer than leads.
const SOONEST: f64 = -0.2;

/// Why no delay was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum NotFound {
    /// Fewer than eight taps beside clicks.
    TooFew,
    /// The taps lie all over the beat.
    Scattered,
}

/// Someone tapping along.
#[derive(Clone, Debug, PartialEq)]
pub struct TapAlong {
    first_click: AudioTime,
    taps: Vec<AudioTime>,
}

impl TapAlong {
    /// Clicks that begin at `first_click`.
    pub fn begun(first_click: AudioTime) -> TapAlong {
        TapAlong { first_click, taps: Vec::new() }
    }

    /// A tap.
    pub fn tap(&mut self, at: AudioTime) {
        if self.taps.len() < 200 && at.0.is_finite() {
            self.taps.push(at);
        }
    }

    /// How many taps there are.
    pub fn taps(&self) -> usize {
        self.taps.len()
    }

    /// The clicks that count and have been answered; the first four are for listening.
    pub fn answered(&self) -> usize {
        let counted = self.taps.iter().filter_map(|tap| self.click(*tap));
        let clicks = counted.fold(0_u32, |clicks, click| clicks | 1 << click);
        clicks.count_ones() as usize
    }

    /// When the last click has been heard and answered.
    pub fn ends(&self) -> AudioTime {
        self.first_click + Seconds(f64::from(BARS * 4) * interval())
    }

    /// What the taps come to: their median lateness, and twice the standard error of a median, 1.2533·σ/√n for normal
    /// deviates (Kendall and Stuart 1958, section 10.10; from memory).
    pub fn delay(&self) -> Result<Delay, NotFound> {
        let late: Vec<f64> = self.taps.iter().filter_map(|tap| self.lateness(*tap)).collect();
        if late.len() < FEWEST_TAPS {
            return Err(NotFound::TooFew);
        }
        // Half an interval all over would have a deviation of 0.29 intervals; tappers have 0.05.
        let middle = median(&late).unwrap_or_default();
        let near: Vec<f64> = late.iter().copied().filter(|late| (late - middle).abs() < 0.1).collect();
        if near.len() < FEWEST_TAPS || 3 * near.len() < 2 * late.len() {
            return Err(NotFound::Scattered);
        }
        let seconds = Seconds(median(&near).unwrap_or_default());
        let error = 1.2533 * sample_deviation(&near).unwrap_or_default() / (near.len() as f64).sqrt();
        Ok(Delay { seconds, give_or_take: Seconds(2.0 * error), found: Found::ByTapping })
    }

    /// How late a tap is against its click; `None` for those to the first clicks and beyond the last.
    fn lateness(&self, tap: AudioTime) -> Option<f64> {
        let click = self.click(tap)?;
        Some((tap - self.first_click).0 - f64::from(click) * interval())
    }

    /// The click that a tap belongs to, counted from 0; `None` for the first clicks and beyond the last.
    fn click(&self, tap: AudioTime) -> Option<u32> {
        let click = (((tap - self.first_click).0 - SOONEST) / interval()).floor();
        let is_counted = click >= LISTENED_TO as f64 && click < f64::from(BARS * 4);
        is_counted.then_some(click as u32)
    }
}

fn interval() -> f64 {
    60.0 / clicks_tempo().value()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tapped(off: impl Fn(usize) -> f64) -> Result<Delay, NotFound> {
        let mut along = TapAlong::begun(AudioTime(2.0));
        (0..20).for_each(|click| along.tap(AudioTime(2.0 + 0.6 * click as f64 + off(click))));
        along.delay()
    }

    /// Twenty clicks, four of them to listen to: sixteen are to be tapped, each once however often it is.
    #[test]
    fn clicks_are_answered_once_and_from_the_fifth_on() {
        let mut along = TapAlong::begun(AudioTime(2.0));
        let answered: Vec<usize> = (0..24)
            .map(|click| {
                along.tap(AudioTime(2.0 + 0.6 * f64::from(click) + 0.05));
                along.tap(AudioTime(2.0 + 0.6 * f64::from(click) + 0.15));
                along.answered()
            })
            .collect();
        let expected = (0..24_usize).map(|click| (click + 1).clamp(4, 20) - 4);
        assert_eq!(answered, expected.collect::<Vec<_>>());
        assert_eq!(TO_TAP, 16);
    }

    /// Leads, plain delays and those of wireless headphones come out as they went in.
    #[test]
    fn a_steady_tapper_is_found_to_the_millisecond() {
        for late in [-0.12, -0.04, 0.0, 0.09, 0.26, 0.34] {
            let delay = tapped(|click| late + if click % 2 == 0 { 0.004 } else { -0.004 }).unwrap();
            assert!((delay.seconds.0 - late).abs() < 1e-9, "{late}: {delay:?}");
            assert_eq!((delay.sure(), delay.is_like_wireless()), (Sure::Very, late > 0.08));
        }
    }

    #[test]
    fn a_stray_tap_moves_nothing_and_taps_all_over_are_no_delay() {
        let stray = tapped(|click| if click == 9 { 0.25 } else { 0.02 }).unwrap();
        assert!((stray.seconds.0 - 0.02).abs() < 1e-9);
        assert_eq!(tapped(|click| 0.13 * (click % 4) as f64), Err(NotFound::Scattered));
        assert_eq!(TapAlong::begun(AudioTime(0.0)).delay(), Err(NotFound::TooFew));
        assert!(tapped(|_| f64::NAN).is_err());
    }

    #[test]
    fn figures_that_are_no_delay_are_not_believed() {
        assert!(Delay::kept(0.03, 0.01, Found::ByTapping).is_some());
        for bad in [f64::NAN, f64::INFINITY, -2.0, 30.0] {
            assert!(Delay::kept(bad, 0.01, Found::ByTapping).is_none());
            assert!(Delay::kept(0.0, bad, Found::ByTapping).is_none());
        }
    }
}
