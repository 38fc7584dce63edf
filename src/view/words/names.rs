//! Degrees, lengths and lists in words.

use crate::theory::interval::Interval;
use crate::theory::key::{Key, Mode};
use crate::units::Ticks;

/// A tone by its interval above its chord's root: `root`, `third`, `lowered ninth`. A seventh is the chord's own,
/// whether major or minor; so are third and fifth.
pub(crate) fn chord_degree(interval: Interval) -> String {
    let plain = match interval.steps {
        0 | 7 => "root",
        1 => "second",
        2 => "third",
        3 => "fourth",
        4 => "fifth",
        5 => "sixth",
        6 => "seventh",
        8 => "ninth",
        10 => "eleventh",
        12 => "thirteenth",
        _ => return key_degree(Mode::Major, interval),
    };
    // Above the octave, and for second, fourth and sixth, an alteration is said; within the chord's stack it is not.
    let natural = match interval.steps {
        1 => 2,
        3 => 5,
        5 => 9,
        8 => 14,
        10 => 17,
        12 => 21,
        _ => return plain.to_owned(),
    };
    altered(interval.semitones - natural, plain)
}

/// A note by its interval above the home note, within an octave: `home note`, `sixth`, `lowered second`. In minor the
/// third, sixth and seventh of that scale are the plain ones.
pub(crate) fn key_degree(mode: Mode, interval: Interval) -> String {
    let within = interval.within_octave();
    let (plain, major) = match within.steps {
        0 => ("home note", 0),
        1 => ("second", 2),
        2 => ("third", 4),
        3 => ("fourth", 5),
        4 => ("fifth", 7),
        5 => ("sixth", 9),
        _ => ("seventh", 11),
    };
    let minor = if matches!(within.steps, 2 | 5 | 6) { major - 1 } else { major };
    let natural = if mode == Mode::Minor { minor } else { major };
    altered(within.semitones - natural, plain)
}

fn altered(by: i32, plain: &str) -> String {
    match by {
        0 => plain.to_owned(),
        ..0 => format!("lowered {plain}"),
        1.. => format!("raised {plain}"),
    }
}

/// `the sixth of G`, `the home note`, or `a half step above home`.
pub(crate) fn place_in_key(key: Key, interval: Interval) -> String {
    match interval.within_octave() {
        Interval::UNISON => "the home note".to_owned(),
        other if other.steps <= 1 && other.semitones == 1 => "a half step above home".to_owned(),
        other => format!("the {} of {}", key_degree(key.mode(), other), key.tonic().pretty()),
    }
}

/// A length in beats: `half a beat`, `2 beats`, `1 beat and a third`.
pub(crate) fn beats(length: Ticks, beat: Ticks) -> String {
    let (whole, rest) = (length.div_floor(beat), length.rem_floor(beat));
    let divisor = greatest_common(rest.0, beat.0);
    let part = match (rest.0 / divisor, beat.0 / divisor) {
        (0, _) => None,
        (1, 2) => Some(("half", "a half")),
        (1, 3) => Some(("a third of", "a third")),
        (2, 3) => Some(("two thirds of", "two thirds")),
        (1, 4) => Some(("a quarter of", "a quarter")),
        (3, 4) => Some(("three quarters of", "three quarters")),
        _ => Some(("a part of", "a part")),
    };
    match (whole, part) {
        (_, None) => counted(whole as usize, "beat"),
        (0, Some((of, _))) => format!("{of} a beat"),
        (_, Some((_, more))) => format!("{} and {more}", counted(whole as usize, "beat")),
    }
}

fn greatest_common(one: i64, other: i64) -> i64 {
    if other == 0 { one.max(1) } else { greatest_common(other, one % other) }
}

/// `1 note`, `3 notes`.
pub(crate) fn counted(count: usize, noun: &str) -> String {
    format!("{count} {noun}{}", if count == 1 { "" } else { "s" })
}

/// An interval, whichever way it goes: `a half step`, `a fourth`, `an octave`, `an octave and a half step`.
pub(crate) fn wide(interval: Interval) -> String {
    let (steps, semitones) = (interval.steps.unsigned_abs(), interval.semitones.unsigned_abs());
    match (steps, semitones) {
        (0 | 1, 1) => "a half step".to_owned(),
        (1, 2) => "a whole step".to_owned(),
        (1..=6, _) => {
            let words = ["second", "third", "fourth", "fifth", "sixth", "seventh"];
            format!("a {}", words[steps as usize - 1])
        }
        (_, 12) => "an octave".to_owned(),
        (_, 24) => "two octaves".to_owned(),
        (_, 13..24) => {
            let beyond = Interval::new(steps as i32 - 7, semitones as i32 - 12);
            format!("an octave and {}", wide(beyond))
        }
        _ => counted(semitones as usize, "half step"),
    }
}

/// `E`, `both G’s`, `all three G’s`, `C, E and both G’s`: names that come more than once are said once.
pub(crate) fn listed_once(names: &[String]) -> String {
    let mut said: Vec<String> = Vec::new();
    for (index, name) in names.iter().enumerate() {
        if names[..index].contains(name) {
            continue;
        }
        said.push(match names.iter().filter(|other| *other == name).count() {
            1 => name.clone(),
            2 => format!("both {name}’s"),
            3 => format!("all three {name}’s"),
            _ => format!("every {name}"),
        });
    }
    listed(&said)
}

/// `A`, `A and B`, `A, B and C`.
pub(crate) fn listed(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_read_well() {
        let quarters = |value: f64| beats(Ticks::from_quarters(value).unwrap(), Ticks::QUARTER);
        for (length, words) in [
            (0.5, "half a beat"),
            (2.0 / 3.0, "two thirds of a beat"),
            (0.75, "three quarters of a beat"),
            (1.0, "1 beat"),
            (2.5, "2 beats and a half"),
        ] {
            assert_eq!(quarters(length), words);
        }
    }

    #[test]
    fn widths_are_said_as_musicians_say_them() {
        for (steps, semitones, words) in [
            (0, 1, "a half step"),
            (1, 1, "a half step"),
            (1, 2, "a whole step"),
            (2, 3, "a third"),
            (-3, -5, "a fourth"),
            (7, 12, "an octave"),
            (7, 13, "an octave and a half step"),
            (8, 14, "an octave and a whole step"),
            (9, 16, "an octave and a third"),
            (14, 24, "two octaves"),
        ] {
            assert_eq!(wide(Interval::new(steps, semitones)), words);
        }
    }

    #[test]
    fn a_name_that_comes_again_is_said_once() {
        let said =
            |names: &[&str]| listed_once(&names.iter().map(|name| (*name).to_owned()).collect::<Vec<_>>());
        assert_eq!(said(&["G", "G"]), "both G’s");
        assert_eq!(said(&["E", "G", "E", "E"]), "all three E’s and G");
        assert_eq!(said(&["C", "E"]), "C and E");
    }

    #[test]
    fn degrees_are_said_as_musicians_say_them() {
        assert_eq!(chord_degree(Interval::MINOR_SEVENTH), "seventh");
        assert_eq!(chord_degree(Interval::new(8, 13)), "lowered ninth");
        assert_eq!(chord_degree(Interval::new(8, 15)), "raised ninth");
        assert_eq!(key_degree(Mode::Major, Interval::MINOR_SEVENTH), "lowered seventh");
        assert_eq!(key_degree(Mode::Minor, Interval::MINOR_SEVENTH), "seventh");
        assert_eq!(key_degree(Mode::Minor, Interval::MAJOR_SEVENTH), "raised seventh");
        assert_eq!(key_degree(Mode::Major, Interval::AUGMENTED_FOURTH), "raised fourth");
    }
}
