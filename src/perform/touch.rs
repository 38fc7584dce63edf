//! How players depart from what is written: late on purpose, or a little at random.

use crate::band::dice::Dice;
use crate::perform::Part;
use crate::perform::phrasing::Phrasing;
use crate::rhythm::feel::SwingRatio;
use crate::units::percussion::Percussion;
use crate::units::{MidiNote, QuartersPerMinute, ScoreTime, Ticks};

/// Departures from the written time. All are delays, so that nothing sounds before the bar line that it belongs to;
/// the default has none.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Touch {
    /// The ride cymbal's own swing ratio, as [`SwingRatio::by_tempo`] gives it; `None` follows the others.
    pub ride: Option<SwingRatio>,
    /// How late the soloist's notes on the beat come, and the snare's backbeat half as much, in quarters; brought
    /// to 0 ..= 0.1.
    pub laid_back: f64,
    /// The tempo at which drums, bass and chords play as people do; `None` plays exactly. The click is always exact.
    pub people: Option<QuartersPerMinute>,
    /// How the soloist shapes the riff; `None` plays it as written.
    pub phrasing: Option<Phrasing>,
}

/// How late each player is on the whole, in milliseconds after the click; the bass besides by
/// [`bass_after_ride`]. The foot closes the hi-hat 2 to 26 ms before the ride (Jazz trios: "Asymmetric timing in jazz
/// trios", Journal of New Music Research 46(4), 2017). That all stay within some 10 to 40 ms: Rasch, "Synchronization in
/// performed ensemble music", Acustica 43, 1979 (27 to 49 ms between players of trios). Snare and chords behind the
/// ride: common practice, no source.
const RIDE: f64 = 9.0;
const PEDAL: f64 = 2.0;
const SNARE: f64 = 18.0;
const KICK: f64 = 7.0;
const OTHERS: f64 = 11.0;
const CHORDS: f64 = 15.0;

/// How late at most, in milliseconds and in quarters.
const LATEST: (f64, f64) = (50.0, 0.12);

/// How late the bass comes after the ride cymbal, in milliseconds.
///
/// Source: the regression line in the rules by Friberg, published as swing rules with Gulz and Wettebrandt, Computer
/// Music Journal 47(1), 2023.
pub fn bass_after_ride(tempo: QuartersPerMinute) -> f64 {
    (23.279 - 0.0536 * tempo.value()).max(0.0)
}

/// How late the soloist's notes on the beat come, in milliseconds, at 80, 120, 160, 200 and 240 quarters a minute: the
/// medians of 72 blues solos of the Weimar Jazz Database (25 954 notes; computed from its open data). Between the beats
/// they are together with the ride cymbal (Friberg and Sundström, Music Perception 19(3), 2002).
const SOLO: [f64; 5] = [23.6, 27.1, 25.5, 16.5, 2.4];

/// How late the soloist's notes on the beat come, in milliseconds: the measured medians and straight lines between them.
pub fn solo_after_beat(tempo: QuartersPerMinute) -> f64 {
    let place = ((tempo.value() - 80.0) / 40.0).clamp(0.0, 4.0);
    let index = (place as usize).min(3);
    SOLO[index] + (SOLO[index + 1] - SOLO[index]) * (place - index as f64)
}

/// How many quarters so many milliseconds are.
pub(super) fn quarters(milliseconds: f64, tempo: QuartersPerMinute) -> f64 {
    milliseconds * tempo.value() / 60_000.0
}

/// How far a player wavers, as a share of the quarter, and the hand besides, in milliseconds (standard deviations): the
/// noise rule of the performance rules of KTH (Friberg, Bresin and Sundberg, "Overview of the KTH rule system", Advances
/// in Cognitive Psychology 2(2–3), 2006; about 1.4 % and 6.8 ms), at 40 % of it, at which experts moved more than to
/// exact time (Senn et al., Frontiers in Psychology 6:1232, 2015).
const WAVERS: f64 = 0.4 * 0.014;
const HAND: f64 = 0.4 * 6.8;
/// Of the wavering so much is shared by all, since players follow one another (common practice, no source).
const SHARED: f64 = 0.6;

impl Touch {
    /// The delay that listeners found to help most: 85 of 960 ticks, nine hundredths of a quarter near 150 quarters
    /// a minute; notes between the beats are not delayed.
    ///
    /// Source: Nelias, Sturm, Albrecht, Hagmayer and Geisel, "Downbeat delays are a key component of swing in jazz",
    /// Communications Physics 5, 2022.
    pub const LAID_BACK: f64 = 85.0 / 960.0;

    /// How late a solo note comes that is written at `at`, `into` its bar.
    pub(super) fn solo_delay(&self, at: ScoreTime, into: Ticks, beat: Ticks, seed: u32) -> f64 {
        let on_beat = into.rem_floor(beat) == Ticks::ZERO;
        let asked = if on_beat { self.laid_back.clamp(0.0, 0.1) } else { 0.0 };
        let Some(Phrasing { tempo, .. }) = self.phrasing else { return asked };
        let usual = if on_beat { solo_after_beat(tempo) } else { RIDE };
        asked.max(late(usual, Part::Solo, MidiNote::MIDDLE_C, at, seed, tempo))
    }

    /// How late a note of the band comes, in quarters.
    pub(super) fn band_delay(&self, part: Part, midi: MidiNote, at: ScoreTime, seed: u32) -> f64 {
        if part == Part::Click {
            return 0.0;
        }
        let drum = Percussion::of(midi).filter(|_| part == Part::Drums);
        let asked = if drum == Some(Percussion::Snare) { self.laid_back.clamp(0.0, 0.1) / 2.0 } else { 0.0 };
        let Some(tempo) = self.people else { return asked };
        let usual = match (part, drum) {
            (Part::Bass, _) => RIDE + bass_after_ride(tempo),
            (Part::Comp, _) => CHORDS,
            (_, Some(Percussion::Ride | Percussion::HiHat | Percussion::Crash)) => RIDE,
            (_, Some(Percussion::PedalHiHat)) => PEDAL,
            (_, Some(Percussion::Snare)) => SNARE,
            (_, Some(Percussion::Kick)) => KICK,
            _ => OTHERS,
        };
        asked + late(usual, part, midi, at, seed, tempo)
    }

    /// The ratio in which an instrument of the band shares out the beat.
    pub(super) fn swing(&self, part: Part, midi: MidiNote, others: SwingRatio) -> SwingRatio {
        let ride = part == Part::Drums && Percussion::of(midi) == Some(Percussion::Ride);
        self.ride.filter(|_| ride && others != SwingRatio::STRAIGHT).unwrap_or(others)
    }

    /// How much louder or softer the band plays in bar `index` of a form of `bars`, in decibels: each time through grows
    /// to its last line and relaxes, and the first times through grow on one another.
    ///
    /// Source: the phrase arch of the performance rules of KTH (as above), of power 2, with its levels at three times the
    /// ordinary strength since a chorus holds several phrases; its peak in the third line and the growth of half a
    /// decibel and more from chorus to chorus are common practice, no source.
    pub(super) fn swell(&self, index: usize, bars: usize, chorus: u32) -> f64 {
        if self.people.is_none() {
            return 0.0;
        }
        arch((index as f64 + 0.5) / bars.max(1) as f64, 0.75) * 3.0 + 0.7 * f64::from(chorus.min(3)) - 0.7
    }
}

/// The level of the phrase arch at `x` (0 ..= 1) of a phrase whose peak is at `peak`, in decibels: −0.5 at its start, 0 at
/// its peak, −1 at its end, by the square.
///
/// Source: the phrase arch rule of KTH, power 2 (as above).
pub(super) fn arch(x: f64, peak: f64) -> f64 {
    if x < peak {
        let before = (peak - x) / peak;
        -0.5 * before * before
    } else {
        let after = (x - peak) / (1.0 - peak).max(1e-9);
        -after * after
    }
}

/// How late a player is who is `usual` milliseconds late, in quarters: with a slow wavering, which neighbours share, and
/// the hand's own.
fn late(usual: f64, part: Part, midi: MidiNote, at: ScoreTime, seed: u32, tempo: QuartersPerMinute) -> f64 {
    let seed = seed.into();
    let own = pink(seed, 1 + part as u64, at) * (1.0 - SHARED * SHARED).sqrt();
    let wavering = (pink(seed, 0, at) * SHARED + own) * WAVERS * 60_000.0 / tempo.value();
    let hand = Dice::new(&[seed, at.0 as u64, part as u64, midi.number().into()]).spread() * HAND;
    quarters((usual + wavering + hand).clamp(0.0, LATEST.0), tempo).min(LATEST.1)
}

/// Chance with mean 0 and standard deviation 1 that wavers slowly, alike for neighbours: the sum of throws that are kept
/// for one eighth, two, four and so on.
///
/// Source: R. F. Voss and J. Clarke, "'1/f noise' in music: Music from 1/f noise", J. Acoust. Soc. Am. 63(1), 1978.
fn pink(seed: u64, who: u64, at: ScoreTime) -> f64 {
    let eighths = at.since_start().div_floor(Ticks::QUARTER / 2);
    let kept = |times: u64| Dice::new(&[seed, who, times, (eighths >> times) as u64]).spread();
    (0..OCTAVES).map(kept).sum::<f64>() / (OCTAVES as f64).sqrt()
}

/// The slowest throw is kept for 32 eighths, four bars: jazz wavers on its own up to about eight beats (Sogorski, Geisel
/// and Priesemann, PLoS ONE 13(1) e0186361, 2018).
const OCTAVES: u64 = 6;
