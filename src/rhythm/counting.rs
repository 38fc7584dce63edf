//! Counting aloud: what a musician says on each step of the grid, `1 & 2 &` or `1 trip let`.

use std::fmt;

use crate::rhythm::grid::Division;
use crate::rhythm::metre::Metre;
use crate::units::Ticks;

/// What is said on one step of the grid.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Syllable {
    /// The number of a beat, from 1, on the beat itself.
    Beat(u8),
    /// A word between two beats, as it is written: `&`, `e`, `a`, `trip` …
    Between(&'static str),
}

impl Syllable {
    /// As it is said: "and" for `&`, otherwise as it is written.
    pub fn spoken(self) -> String {
        match self {
            Syllable::Between("&") => "and".to_owned(),
            other => other.to_string(),
        }
    }
}

/// As it is written under a beat: `1`, `&`.
impl fmt::Display for Syllable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Syllable::Beat(number) => number.fmt(f),
            Syllable::Between(word) => f.write_str(word),
        }
    }
}

/// What is said after the number in a plain beat, by its division from 1 to 8.
///
/// Sources: quarters, the handout "Counting Rhythms in Simple Meter" (1-e-+-a); halves and thirds, "Counting system
/// overhaul", cruiseshipdrummer.com, 2022, which lists the ways that teachers use. No practice is shared for finer
/// parts; here they are said `ta`, around the words of the coarser grid where there is one.
const PLAIN: [&[&str]; 8] = [
    &[],
    &["&"],
    &["trip", "let"],
    &["e", "&", "a"],
    &["ta", "ta", "ta", "ta"],
    &["ta", "trip", "ta", "let", "ta"],
    &["ta", "ta", "ta", "ta", "ta", "ta"],
    &["ta", "e", "ta", "&", "ta", "a", "ta"],
];

/// The same in a dotted beat, whose own thirds are `1 & a` (one of the ways in the same list; others say `1 trip let`
/// there too, or count all eighths). Two or four in a dotted beat are counted as in a plain one, for they are even.
const DOTTED: [&[&str]; 8] =
    [PLAIN[0], PLAIN[1], &["&", "a"], PLAIN[3], PLAIN[4], &["ta", "&", "ta", "a", "ta"], PLAIN[6], PLAIN[7]];

/// What is said through one beat of a bar: its number (`beat` counts from 0 and goes on into the next bar), then a
/// word for each further part of `division`.
pub fn beat(metre: Metre, beat: usize, division: Division) -> impl Iterator<Item = Syllable> {
    let table = if metre.is_compound() { &DOTTED } else { &PLAIN };
    let number = Syllable::Beat((beat % usize::from(metre.beats())) as u8 + 1);
    let words = table[usize::from(division.parts()) - 1];
    std::iter::once(number).chain(words.iter().map(|word| Syllable::Between(word)))
}

/// What is said at `at`, counted from a bar line (negative before it, as in a pickup), in beats of `division`; `None`
/// where no step of that grid lies there.
pub fn at(metre: Metre, at: Ticks, division: Division) -> Option<Syllable> {
    let in_bar = at.rem_floor(metre.bar());
    let (index, within) = (in_bar.div_floor(metre.beat()), in_bar.rem_floor(metre.beat()));
    let step = division.step(metre.beat());
    let on_grid = within.rem_floor(step) == Ticks::ZERO;
    on_grid.then(|| beat(metre, index as usize, division).nth(within.div_floor(step) as usize))?
}

/// What is said at each of these times from a bar line, in order: each beat is parted as plainly as its own times allow.
/// `None` where nobody counts so finely.
pub fn aloud(metre: Metre, times: &[Ticks]) -> Vec<Option<Syllable>> {
    // What is easiest to say first; thirds are a dotted beat's own.
    let parts: [u8; 8] =
        if metre.is_compound() { [1, 3, 2, 6, 4, 5, 7, 8] } else { [1, 2, 3, 4, 6, 8, 5, 7] };
    let beat = |time: &Ticks| time.div_floor(metre.beat());
    let syllable = |time: &Ticks| {
        let together = || times.iter().filter(|other| beat(other) == beat(time));
        let divisions = parts.into_iter().filter_map(Division::new);
        let fits = |division: &Division| together().all(|time| at(metre, *time, *division).is_some());
        let division = divisions.into_iter().find(fits)?;
        at(metre, *time, division)
    };
    times.iter().map(syllable).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each beat as teachers say it: common practice, no source.
    #[test]
    fn each_beat_is_parted_as_plainly_as_its_own_notes_allow() {
        #[track_caller]
        fn check(metre: &str, times: &[i64], expected: &str) {
            let times: Vec<Ticks> = times.iter().map(|twelfths| Ticks(840) * *twelfths).collect();
            let said = aloud(metre.parse().unwrap(), &times);
            let said: Vec<String> =
                said.iter().map(|one| one.map_or("-".to_owned(), |one| one.to_string())).collect();
            assert_eq!(said.join(" "), expected);
        }
        // Times in twelfths of a quarter: quarter, two eighths, a triplet, four sixteenths.
        check("4/4", &[0, 12, 18, 24, 28, 32, 36, 39, 42, 45], "1 2 & 3 trip let 4 e & a");
        check("4/4", &[6, 21, 42], "& a &");
        check("12/8", &[0, 6, 12, 18, 27], "1 & a 2 &");
        // An eleventh of a beat is on no grid, and takes its beat with it.
        assert_eq!(aloud(Metre::FOUR_FOUR, &[Ticks::ZERO, Ticks(916)]), [None, None]);
    }

    #[track_caller]
    fn check(metre: &str, division: u8, expected: &str) {
        let (metre, division): (Metre, _) = (metre.parse().unwrap(), Division::new(division).unwrap());
        let said: Vec<String> = (0..usize::from(metre.beats()))
            .flat_map(|index| beat(metre, index, division))
            .map(|syllable| syllable.to_string())
            .collect();
        assert_eq!(said.join(" "), expected);
    }

    /// Common practice, no source.
    #[test]
    fn bars_are_counted_as_teachers_count() {
        check("4/4", 1, "1 2 3 4");
        check("4/4", 2, "1 & 2 & 3 & 4 &");
        check("4/4", 3, "1 trip let 2 trip let 3 trip let 4 trip let");
        check("2/4", 4, "1 e & a 2 e & a");
        check("3/4", 2, "1 & 2 & 3 &");
        check("6/8", 3, "1 & a 2 & a");
        check("12/8", 3, "1 & a 2 & a 3 & a 4 & a");
        check("12/8", 1, "1 2 3 4");
        check("6/8", 2, "1 & 2 &");
    }

    /// Each division has as many syllables as parts, and each step of the grid is found at its own time.
    #[test]
    fn every_step_is_counted_where_it_lies() {
        for metre in ["4/4", "3/4", "2/2", "5/4", "3/8", "6/8", "9/8", "12/8"] {
            let metre: Metre = metre.parse().unwrap();
            for parts in 1..=8 {
                let division = Division::new(parts).unwrap();
                let mut time = -metre.bar();
                for index in 0..usize::from(metre.beats()) {
                    let said: Vec<Syllable> = beat(metre, index, division).collect();
                    assert_eq!(said.len(), usize::from(parts));
                    for syllable in said {
                        assert_eq!(at(metre, time, division), Some(syllable), "{metre} by {parts}");
                        time += division.step(metre.beat());
                    }
                }
                assert_eq!(time, Ticks::ZERO);
            }
        }
    }

    #[test]
    fn a_pickup_counts_from_the_bar_before() {
        let halves = Division::HALVES;
        let eighth = halves.step(Ticks::QUARTER);
        assert_eq!(at(Metre::FOUR_FOUR, -eighth, halves), Some(Syllable::Between("&")));
        assert_eq!(at(Metre::FOUR_FOUR, -Ticks::QUARTER, halves), Some(Syllable::Beat(4)));
        assert_eq!(at(Metre::FOUR_FOUR, eighth / 2, halves), None);
        assert_eq!(Syllable::Between("&").spoken(), "and");
    }
}
