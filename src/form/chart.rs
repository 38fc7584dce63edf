//! Chord charts as text: `G7 | C7 | G7 | G7`, or in numerals, `I7 | IV7 | ii7 V7 | I7`.
//!
//! Bars are separated by `|`, `||` or line breaks. Chords in one bar share it evenly, each beginning on a beat
//! (three chords in 4/4 last two beats, one and one); where a `/` stands beside them, each word is a beat and a `/` one
//! more of the chord before it: `G7 / / C7`. `%` repeats the bar before. `N.C.` is a place without a chord. A bar may
//! begin with a metre such as `3/4`, which then holds on.
//!
//! `|: … :|` is played twice. The bars from `|1.` to `:|` belong to the first time only, those from `|2.` on to the
//! second: `|: G7 | C7 |1. G7 | D7 :|2. G7 | G7 |`. A `:|` alone repeats from the last repeat or from the beginning.
//! A chart is written back as it is played, without repeat signs. All signs are common practice, no source.

mod signs;

use std::fmt;

use crate::form::chart::signs::Written;
use crate::form::{Bar, Changes, ChordAt, numeral};
use crate::rhythm::metre::{Metre, NotAMetre};
use crate::theory::chord::{Chord, NO_CHORD};
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
    /// Words and slashes that are not one a beat.
    Beats {
        /// Counted from 1.
        bar: usize,
        /// How many chords and slashes were found.
        found: usize,
        /// How many beats the bar has.
        beats: usize,
    },
    /// A slash before the first chord.
    NothingBeforeSlash {
        /// Counted from 1.
        bar: usize,
    },
    /// A repeat begins that does not end.
    Unclosed {
        /// The bar at which it begins, counted from 1.
        bar: usize,
    },
    /// An ending that is not the next one.
    Ending {
        /// Counted from 1.
        bar: usize,
        /// Which ending was found.
        found: usize,
        /// Which one is due.
        expected: usize,
    },
    /// A first ending that nothing follows.
    OneEnding {
        /// The bar after which the second is due, counted from 1.
        bar: usize,
    },
    /// More bars than a form may have, repeats played out.
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
            Error::Chord { bar, error: error @ symbol::Error::NoRoot { .. } } => {
                write!(f, "bar {bar}: {error}, or with a numeral, as in IV7")
            }
            Error::Chord { bar, error } => write!(f, "bar {bar}: {error}"),
            Error::Metre { bar, error } => write!(f, "bar {bar}: {error}"),
            Error::Crowded { bar, found, most } => {
                write!(f, "bar {bar} has {found} chords: expected at most {most}, one a beat")
            }
            Error::Beats { bar, found, beats } => {
                let found = if *found == 1 {
                    "only 1 chord or /".to_owned()
                } else {
                    format!("{found} chords and /")
                };
                write!(f, "bar {bar} has {found}: expected {beats}, one a beat, as in G7 / C7 /")
            }
            Error::NothingBeforeSlash { bar } => {
                write!(f, "bar {bar}: / is one more beat of the chord before, but there is none")
            }
            Error::Unclosed { bar } => {
                write!(
                    f,
                    "the repeat that begins with |: at bar {bar} has no end: expected :| behind its last bar"
                )
            }
            Error::Ending { bar, found, expected } => {
                write!(f, "bar {bar} is marked as ending {found}: expected ending {expected}")
            }
            Error::OneEnding { bar } => {
                write!(
                    f,
                    "after the first ending, which ends with bar {bar}: expected a second one, marked |2."
                )
            }
            Error::TooLong { found, most } => {
                write!(f, "the chart has {found} bars: expected at most {most}")
            }
        }
    }
}

impl std::error::Error for Error {}

/// Reads a chart in `key`; bars are in `metre` until the chart says otherwise. Numerals count from the key's home note.
pub fn parse(text: &str, key: Key, metre: Metre) -> Result<Changes, Error> {
    let text = plain(text);
    let written = signs::bars(&text);
    if written.is_empty() {
        return Err(Error::Empty);
    }
    let within = |found| match found {
        1..=Changes::MOST_BARS => Ok(()),
        _ => Err(Error::TooLong { found, most: Changes::MOST_BARS }),
    };
    within(written.len())?;
    let order = signs::order(&written)?;
    let mut metre = metre;
    let mut bars: Vec<Bar> = Vec::with_capacity(written.len());
    for (index, Written { text, .. }) in written.iter().enumerate() {
        let number = index + 1;
        let mut words: Vec<&str> = text.split_whitespace().flat_map(slashes_apart).collect();
        if words.first().is_some_and(|word| word.starts_with(|c: char| c.is_ascii_digit())) {
            metre = words.remove(0).parse().map_err(|error| Error::Metre { bar: number, error })?;
        }
        let bar = match words.as_slice() {
            [] => return Err(Error::EmptyBar { bar: number }),
            ["%"] => repeat(bars.last(), metre, number)?,
            words if words.contains(&"%") => return Err(Error::RepeatNotAlone { bar: number }),
            words if words.contains(&"/") => by_the_beat(words, bars.last(), key, metre, number)?,
            words => bar_of(words, key, metre, number)?,
        };
        bars.push(bar);
    }
    within(order.len())?;
    Changes::new(key, order.into_iter().map(|bar| bars[bar].clone()).collect()).ok_or(Error::Empty)
}

/// The text with a capital wherever a chord lacks only that: `g7 | C7` becomes `G7 | C7`. `None` where there is no such
/// chord.
pub fn with_capitals(text: &str) -> Option<String> {
    let is_apart = |c: char| c.is_whitespace() || matches!(c, '|' | ':');
    let mut found = false;
    let words = text.split_inclusive(is_apart).map(|part| {
        let word = part.trim_end_matches(is_apart);
        let capital = symbol::with_capital(word);
        found |= capital.is_some();
        capital.map_or_else(|| part.to_owned(), |capital| capital + &part[word.len()..])
    });
    let text = words.collect();
    found.then_some(text)
}

/// The text with one sign for each thing, whatever it was copied from: plain bar lines, line breaks and repeat signs, and
/// nothing that cannot be seen.
fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\u{200b}'..='\u{200f}' | '\u{2060}' | '\u{feff}' | '\u{ad}' => {}
            '\r' | '\u{b}' | '\u{c}' | '\u{85}' | '\u{2028}' | '\u{2029}' => plain.push('\n'),
            '¦' | '│' | '┃' | '❘' | '∣' | '｜' | '𝄀' | 'ǀ' => plain.push('|'),
            '‖' | '∥' | '║' | '𝄁' | '𝄂' | '𝄃' => plain.push_str("||"),
            '𝄆' => plain.push_str("|:"),
            '𝄇' => plain.push_str(":|"),
            '𝄎' | '％' => plain.push('%'),
            '：' => plain.push(':'),
            '∕' | '⁄' | '／' => plain.push('/'),
            c => plain.push(c),
        }
        // The two halves of a repeat sign may stand apart.
        let apart =
            plain.strip_suffix(['|', ':']).map(|before| before.trim_end_matches([' ', '\t', '\u{a0}']));
        let other = if plain.ends_with('|') { ':' } else { '|' };
        if let Some(before) = apart.filter(|before| before.ends_with(other)) {
            let (kept, sign) = (before.len(), plain.pop());
            plain.truncate(kept);
            plain.extend(sign);
        }
    }
    plain
}

/// The word, or every slash by itself where it is nothing but slashes.
fn slashes_apart(word: &str) -> impl Iterator<Item = &str> {
    let only = word.chars().all(|c| c == '/');
    let count = if only { word.len() } else { 1 };
    (0..count).map(move |index| if only { &word[index..=index] } else { word })
}

/// The chart as text that reads back the same where bars are in 4/4 until it says otherwise: bars separated by `|`,
/// `%` for a bar like the one before, `/` where chords do not share their bar evenly.
pub fn write(changes: &Changes) -> String {
    let mut metre = Metre::FOUR_FOUR;
    let mut last: Option<&Bar> = None;
    let bars: Vec<String> = changes
        .bars()
        .iter()
        .map(|bar| {
            let chords = if last == Some(bar) { "%".to_owned() } else { chords(bar) };
            let head = if bar.metre == metre { String::new() } else { format!("{} ", bar.metre) };
            (metre, last) = (bar.metre, Some(bar));
            format!("{head}{chords}")
        })
        .collect();
    bars.join(" | ")
}

fn chords(bar: &Bar) -> String {
    let all: Vec<Chord> = bar.chords.iter().map(|place| place.chord.clone()).collect();
    let symbols: Vec<String> = all.iter().map(Chord::to_string).collect();
    if Bar::shared(bar.metre, all).as_ref() == Some(bar) {
        return symbols.join(" ");
    }
    let of_beat = |beat: i64| {
        let at = bar.metre.beat() * beat;
        let begins = bar.chords.iter().position(|place| place.at == at);
        begins.map_or("/", |index| &symbols[index])
    };
    (0..i64::from(bar.metre.beats())).map(of_beat).collect::<Vec<_>>().join(" ")
}

fn repeat(before: Option<&Bar>, metre: Metre, number: usize) -> Result<Bar, Error> {
    let before = before.ok_or(Error::NothingToRepeat { bar: number })?;
    if before.metre == metre {
        return Ok(before.clone());
    }
    let chords: Vec<Chord> = before.chords.iter().map(|place| place.chord.clone()).collect();
    shared_out(chords, metre, number)
}

fn bar_of(words: &[&str], key: Key, metre: Metre, number: usize) -> Result<Bar, Error> {
    let chords: Result<Vec<Chord>, Error> = words.iter().map(|word| chord(word, key, number)).collect();
    shared_out(chords?, metre, number)
}

/// A bar in which each word is a beat, and `/` one more of the chord before it, which may stand in the bar before.
fn by_the_beat(
    words: &[&str],
    before: Option<&Bar>,
    key: Key,
    metre: Metre,
    number: usize,
) -> Result<Bar, Error> {
    let beats = usize::from(metre.beats());
    if words.len() != beats {
        return Err(Error::Beats { bar: number, found: words.len(), beats });
    }
    let mut chords: Vec<ChordAt> = Vec::new();
    for (beat, word) in words.iter().enumerate() {
        let chord = match (*word, chords.is_empty()) {
            ("/", false) => continue,
            ("/", true) => before
                .and_then(|bar| bar.chords.last())
                .map(|place| place.chord.clone())
                .ok_or(Error::NothingBeforeSlash { bar: number })?,
            (word, _) => chord(word, key, number)?,
        };
        chords.push(ChordAt { at: metre.beat() * beat as i64, chord });
    }
    Ok(Bar { metre, chords })
}

/// A chord by its name or as a numeral, or that none sounds.
fn chord(word: &str, key: Key, bar: usize) -> Result<Chord, Error> {
    if NO_CHORD_WORDS.iter().any(|other| other.eq_ignore_ascii_case(word)) {
        return Ok(Chord::none(key.tonic()));
    }
    numeral::chord(word, key).unwrap_or_else(|| word.parse()).map_err(|error| Error::Chord { bar, error })
}

/// How `N.C.` is written.
const NO_CHORD_WORDS: [&str; 3] = [NO_CHORD, "N.C", "NC"];

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
        for text in [
            "G7 | C7 | G7 | %",
            "G7 E7 | Am7 D7",
            "3/4 G | % | 4/4 C7",
            "12/8 G7 | C7 | % | G7",
            "G7 / / C7 | C7 G7 | N.C. | % | N.C. / / G7",
        ] {
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
