//! Metres: how many beats a bar has and how long a beat is.

use std::fmt;
use std::str::FromStr;

use crate::units::Ticks;

/// A time signature.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Metre {
    upper: u8,
    lower: u8,
}

impl Metre {
    /// Four quarters.
    pub const FOUR_FOUR: Metre = Metre { upper: 4, lower: 4 };
    /// Twelve eighths: four dotted beats.
    pub const TWELVE_EIGHT: Metre = Metre { upper: 12, lower: 8 };

    /// A metre of `upper` notes, 1 ..= 16, of which a whole note has `lower`: 2, 4, 8 or 16; otherwise `None`.
    pub fn new(upper: u8, lower: u8) -> Option<Metre> {
        ((1..=16).contains(&upper) && [2, 4, 8, 16].contains(&lower)).then_some(Metre { upper, lower })
    }

    /// A metre whose beat is `beat` long, four of them to a bar; `None` where no metre has such a beat.
    pub fn of_beat(beat: Ticks) -> Option<Metre> {
        const FOURS: [Metre; 6] = [
            Metre::FOUR_FOUR,
            Metre::TWELVE_EIGHT,
            Metre { upper: 4, lower: 8 },
            Metre { upper: 4, lower: 2 },
            Metre { upper: 4, lower: 16 },
            Metre { upper: 12, lower: 16 },
        ];
        FOURS.into_iter().find(|metre| metre.beat() == beat)
    }

    /// The upper number of the signature.
    pub fn upper(self) -> u8 {
        self.upper
    }

    /// The lower number of the signature.
    pub fn lower(self) -> u8 {
        self.lower
    }

    /// Whether beats are dotted: 6, 9 or 12 eighths or sixteenths.
    pub fn is_compound(self) -> bool {
        self.lower >= 8 && self.upper > 3 && self.upper.is_multiple_of(3)
    }

    /// One bar.
    pub fn bar(self) -> Ticks {
        self.unit() * i64::from(self.upper)
    }

    /// One beat: the note of the lower number, or three of them in a compound metre.
    pub fn beat(self) -> Ticks {
        if self.is_compound() { self.unit() * 3 } else { self.unit() }
    }

    /// Beats in a bar.
    pub fn beats(self) -> u8 {
        if self.is_compound() { self.upper / 3 } else { self.upper }
    }

    fn unit(self) -> Ticks {
        Ticks::quarters(4) / i64::from(self.lower)
    }
}

impl fmt::Display for Metre {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.upper, self.lower)
    }
}

/// Why a text is no metre.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotAMetre {
    /// What was found.
    pub found: String,
}

impl fmt::Display for NotAMetre {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "“{}” is not a metre: expected one such as 4/4, 3/4, 6/8 or 12/8", self.found)
    }
}

impl std::error::Error for NotAMetre {}

impl FromStr for Metre {
    type Err = NotAMetre;

    fn from_str(text: &str) -> Result<Metre, NotAMetre> {
        let parts = text.split_once('/').and_then(|(upper, lower)| Some((digits(upper)?, digits(lower)?)));
        parts
            .and_then(|(upper, lower)| Metre::new(upper, lower))
            .ok_or_else(|| NotAMetre { found: text.chars().take(20).collect() })
    }
}

/// A number of one or two digits and nothing else (`parse` alone would take a sign).
fn digits(text: &str) -> Option<u8> {
    (text.len() <= 2 && text.bytes().all(|byte| byte.is_ascii_digit())).then(|| text.parse().ok())?
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: common practice, no source: 6/8 has two dotted beats, 12/8 four, 3/4 three plain ones.
    #[test]
    fn beats_are_dotted_in_compound_metres() {
        for (upper, lower, beats, quarters) in
            [(4, 4, 4, 1.0), (3, 4, 3, 1.0), (6, 8, 2, 1.5), (12, 8, 4, 1.5), (3, 8, 3, 0.5)]
        {
            let metre = Metre::new(upper, lower).unwrap();
            assert_eq!((metre.beats(), metre.beat().in_quarters()), (beats, quarters), "{metre}");
            assert_eq!(metre.bar(), metre.beat() * i64::from(beats));
        }
    }

    #[test]
    fn every_beat_has_a_metre_of_four() {
        for (upper, lower) in (1..=16).flat_map(|upper| [2, 4, 8, 16].map(|lower| (upper, lower))) {
            let metre = Metre::new(upper, lower).unwrap();
            let four = Metre::of_beat(metre.beat()).unwrap();
            assert_eq!((four.beat(), four.beats()), (metre.beat(), 4), "{metre}");
        }
        assert_eq!(Metre::of_beat(Ticks(7)), None);
    }

    #[test]
    fn metres_read_back_as_written() {
        for text in ["4/4", "3/4", "6/8", "12/8", "7/8"] {
            assert_eq!(text.parse::<Metre>().unwrap().to_string(), text);
        }
        for text in ["", "4", "4/5", "0/4", "17/8", "+4/4", "4/4/4", "-1/4"] {
            assert!(text.parse::<Metre>().is_err(), "{text}");
        }
    }
}
