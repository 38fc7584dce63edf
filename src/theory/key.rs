//! Keys: the fifteen major and fifteen minor ones with up to seven sharps or flats.

use std::fmt;
use std::str::FromStr;

use crate::theory::interval::Interval;
use crate::theory::pitch::{NoteName, split_name};

/// Major or minor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Mode {
    /// With the major third.
    Major,
    /// With the minor third.
    Minor,
}

/// A key: a tonic (home note) and a mode, with a signature of at most seven sharps or flats.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Key {
    tonic: NoteName,
    mode: Mode,
}

impl Key {
    /// The key of `tonic` in `mode`, or `None` where its signature would need more than seven accidentals.
    pub fn new(tonic: NoteName, mode: Mode) -> Option<Key> {
        let key = Key { tonic, mode };
        (key.fifths().abs() <= 7).then_some(key)
    }

    /// The thirty keys: major then minor, each from seven flats to seven sharps.
    pub fn all() -> impl Iterator<Item = Key> {
        [Mode::Major, Mode::Minor]
            .into_iter()
            .flat_map(|mode| (-7..=7).map(move |fifths| Key::of_signature(fifths, mode)))
    }

    /// The key with this signature, −7 (flats) ..= 7 (sharps); values beyond are brought to the nearest.
    pub fn of_signature(fifths: i32, mode: Mode) -> Key {
        let place = fifths.clamp(-7, 7) + if mode == Mode::Minor { 3 } else { 0 };
        Key { tonic: NoteName::on_line_of_fifths(place), mode }
    }

    /// The home note.
    pub fn tonic(self) -> NoteName {
        self.tonic
    }

    /// Major or minor.
    pub fn mode(self) -> Mode {
        self.mode
    }

    /// The signature as MusicXML's `fifths`: sharps positive, flats negative.
    pub fn fifths(self) -> i32 {
        self.tonic.fifths() - if self.mode == Mode::Minor { 3 } else { 0 }
    }

    /// The key `interval` higher; an enharmonic twin where that one would need more than seven accidentals.
    pub fn up(self, interval: Interval) -> Key {
        let fifths = Key { tonic: self.tonic.up(interval), mode: self.mode }.fifths();
        // Twelve fifths make an enharmonic twin; of those in reach the one with fewer accidentals is taken.
        let fifths = if fifths.abs() > 7 { (fifths + 5).rem_euclid(12) - 5 } else { fifths };
        Key::of_signature(fifths, self.mode)
    }

    /// As a person reads it: `G`, `B♭`, `A minor`.
    pub fn pretty(self) -> String {
        match self.mode {
            Mode::Major => self.tonic.pretty(),
            Mode::Minor => format!("{} minor", self.tonic.pretty()),
        }
    }
}

/// ASCII, as data has it: `Bb`, `F#m`.
impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.tonic, if self.mode == Mode::Minor { "m" } else { "" })
    }
}

/// Why a text is no key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotAKey {
    /// What was found.
    pub found: String,
}

impl fmt::Display for NotAKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "“{}” is not a key: expected a name such as G, Bb or F#, with m for minor, of at most seven sharps or flats",
            self.found
        )
    }
}

impl std::error::Error for NotAKey {}

impl FromStr for Key {
    type Err = NotAKey;

    fn from_str(text: &str) -> Result<Key, NotAKey> {
        let key = split_name(text).and_then(|(tonic, rest)| match rest {
            "" => Key::new(tonic, Mode::Major),
            "m" => Key::new(tonic, Mode::Minor),
            _ => None,
        });
        key.ok_or_else(|| NotAKey { found: text.chars().take(20).collect() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The circle of fifths; source: any table of key signatures, for instance MusicXML 4.0, element `fifths`.
    #[test]
    fn signatures_follow_the_circle_of_fifths() {
        for (text, fifths) in [
            ("C", 0),
            ("G", 1),
            ("D", 2),
            ("A", 3),
            ("E", 4),
            ("B", 5),
            ("F#", 6),
            ("C#", 7),
            ("F", -1),
            ("Bb", -2),
            ("Eb", -3),
            ("Ab", -4),
            ("Db", -5),
            ("Gb", -6),
            ("Cb", -7),
            ("Am", 0),
            ("Em", 1),
            ("A#m", 7),
            ("Dm", -1),
            ("Abm", -7),
        ] {
            let key: Key = text.parse().unwrap();
            assert_eq!(key.fifths(), fifths, "{text}");
            assert_eq!(Key::of_signature(fifths, key.mode()), key, "{text}");
        }
        assert_eq!(Key::all().count(), 30);
        for text in ["G#", "Fb", "Dbm", "H", "", "Gmm"] {
            assert!(text.parse::<Key>().is_err(), "{text}");
        }
    }
}
