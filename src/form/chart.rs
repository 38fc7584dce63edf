//! Chord charts as text: `G7 | C7 | G7 | G7`.
//!
//! Bars are separated by `|`, `||` or line breaks. Chords in one bar share it evenly, each beginning on a beat
//! (three chords in 4/4 last two beats, one and one). `%` repeats the bar before. A bar may begin with a metre such
//! as `3/4`, which then holds on.

use std::fmt;

use crate::form::{Bar, Changes};
use crate::rhythm::metre::{Metre, NotAMetre};
use crate::theory::chord::Chord;
use crate::theory::key::Key;
use crate::theory::symbol;

/// Why a text is no chart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Error {
    /// No bar holds a chord.
    Empty,
    /// The first bar has nothing before it to repeat.
    NothingToRepeat {
        /// Counted from 1.
        bar: usize,
    },
    /// `%` stands beside something else.
    RepeatNotAlone {
        /// Counted from 1.
        bar: usize,
    },
    /// A bar stands empty between two others.
    EmptyBar {
        /// Counted from 1.
        bar: usize,
    },
    /// A chord that does not read.
    Chord {
        /// Counted from 1.
        bar: usize,
        /// What is wrong with it.
        error: symbol::Error,
    },
    /// A metre that does not read.
    Metre {
        /// Counted from 1.
        bar: usize,
        /// What is wrong with it.
        error: NotAMetre,
    },
    /// More chords than the bar has beats.
    Crowded {
        /// Counted from 1.
        bar: usize,
        /// How many chords were found.
        found: usize,
        /// How many fit.
        most: usize,
    },
    /// More bars than a form may have.
    TooLong {
        /// How many were found.
        found: usize,
        /// How many fit.
        most: usize,
    },
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::Empty => {
                write!(f, "the chart is empty: expected chords with | between the bars, as in G7 | C7")
            }
            Error::NothingToRepeat { bar } => {
                write!(f, "bar {bar}: % repeats the bar before, but there is none")
            }
            Error::RepeatNotAlone { bar } => {
                write!(f, "bar {bar}: % repeats a whole bar: expected nothing beside it")
            }
            Error::EmptyBar { bar } => write!(f, "bar {bar} is empty: expected a chord or %"),
            Error::Chord { bar, error } => write!(f, "bar {bar}: {error}"),
            Error::Metre { bar, error } => write!(f, "bar {bar}: {error}"),
            Error::Crowded { bar, found, most } => {
                write!(f, "bar {bar} has {found} chords: expected at most {most}, one a beat")
            }
            Error::TooLong { found, most } => {
                write!(f, "the chart has {found} bars: expected at most {most}")
            }
        }
    }
}

impl std::error::Error for Error {}

/// Reads a chart in `key`; bars are in `metre` until the chart says otherwise.
pub fn parse(text: &str, key: Key, metre: Metre) -> Result<Changes, Error> {
    let text = text.replace("||", "|");
    // A bar line at either end of a line of text belongs to the bars beside it.
    let lines = text.lines().map(|line| line.trim().trim_matches('|').trim()).filter(|line| !line.is_empty());
    let written: Vec<&str> = lines.flat_map(|line| line.split('|').map(str::trim)).collect();
    if written.is_empty() {
        return Err(Error::Empty);
    }
    if written.len() > Changes::MOST_BARS {
        return Err(Error::TooLong { found: written.len(), most: Changes::MOST_BARS });
    }
    let mut metre = metre;
    let mut bars: Vec<Bar> = Vec::with_capacity(written.len());
    for (index, text) in written.iter().enumerate() {
        let number = index + 1;
        let mut words: Vec<&str> = text.split_whitespace().collect();
        if words.first().is_some_and(|word| word.starts_with(|c: char| c.is_ascii_digit())) {
            metre = words.remove(0).parse().map_err(|error| Error::Metre { bar: number, error })?;
        }
        let bar = match words.as_slice() {
            [] => return Err(Error::EmptyBar { bar: number }),
            ["%"] => repeat(bars.last(), metre, number)?,
            words if words.contains(&"%") => return Err(Error::RepeatNotAlone { bar: number }),
            chords => bar_of(chords, metre, number)?,
        };
        bars.push(bar);
    }
    Changes::new(key, bars).ok_or(Error::Empty)
}

/// The chart as text that reads back the same where bars are in 4/4 until it says otherwise: bars separated by `|`,
/// `%` for a bar like the one before.
pub fn write(changes: &Changes) -> String {
    let mut metre = Metre::FOUR_FOUR;
    let mut last: Option<&Bar> = None;
    let bars: Vec<String> = changes
        .bars()
        .iter()
        .map(|bar| {
            let chords = if last == Some(bar) {
                "%".to_owned()
            } else {
                bar.chords.iter().map(|place| place.chord.to_string()).collect::<Vec<_>>().join(" ")
            };
            let head = if bar.metre == metre { String::new() } else { format!("{} ", bar.metre) };
            (metre, last) = (bar.metre, Some(bar));
            format!("{head}{chords}")
        })
        .collect();
    bars.join(" | ")
}

fn repeat(before: Option<&Bar>, metre: Metre, number: usize) -> Result<Bar, Error> {
    let before = before.ok_or(Error::NothingToRepeat { bar: number })?;
    let chords: Vec<Chord> = before.chords.iter().map(|place| place.chord.clone()).collect();
    shared_out(chords, metre, number)
}

fn bar_of(words: &[&str], metre: Metre, number: usize) -> Result<Bar, Error> {
    let chords: Result<Vec<Chord>, Error> =
        words.iter().map(|word| word.parse().map_err(|error| Error::Chord { bar: number, error })).collect();
    shared_out(chords?, metre, number)
}

fn shared_out(chords: Vec<Chord>, metre: Metre, number: usize) -> Result<Bar, Error> {
    let (found, most) = (chords.len(), usize::from(metre.beats()));
    Bar::shared(metre, chords).ok_or(Error::Crowded { bar: number, found, most })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Changes, Error> {
        parse(text, "G".parse().unwrap(), Metre::FOUR_FOUR)
    }

    #[test]
    fn charts_read_back_as_written() {
        for text in ["G7 | C7 | G7 | %", "G7 E7 | Am7 D7", "3/4 G | % | 4/4 C7", "12/8 G7 | C7 | % | G7"] {
            let changes = read(text).unwrap();
            assert_eq!(write(&changes), text);
            assert_eq!(read(&write(&changes)).unwrap(), changes);
        }
        assert_eq!(read("| G7 | C7 ||\nD7 || G7 ||").unwrap().bars().len(), 4);
    }

    #[test]
    fn bad_charts_say_where() {
        assert_eq!(read(" | "), Err(Error::Empty));
        assert_eq!(read("% | G7"), Err(Error::NothingToRepeat { bar: 1 }));
        assert_eq!(read("G7 | | C7"), Err(Error::EmptyBar { bar: 2 }));
        assert_eq!(
            read("G7 | 5/5 C"),
            Err(Error::Metre { bar: 2, error: NotAMetre { found: "5/5".into() } })
        );
        assert_eq!(read("C C C C C"), Err(Error::Crowded { bar: 1, found: 5, most: 4 }));
        assert!(matches!(read("G7 | X"), Err(Error::Chord { bar: 2, .. })));
        assert!(matches!(read(&"C|".repeat(65)), Err(Error::TooLong { found: 65, most: 64 })));
    }
}
