//! ABC text: a riff as it is written down in letters.
//!
//! What is read is ABC 2.1 as far as one voice of single notes goes; chord symbols, slurs, lyrics and layout are passed
//! over, and what would make a different riff if it were passed over (chords, other endings, another metre half-way)
//! is refused; [`read_sheet`] reads music of any kind for a melody of it. Of several tunes the first is read, of several
//! voices the first that has music.
//!
//! A `z` rest belongs to the riff, an `x` rest only positions it. A short first bar is a pickup, a short last bar ends
//! the riff; where there is only one bar, it ends it. A `{g}` right before a note is a crushed note, `!slide!` a scoop.
//!
//! Source: "The abc music standard 2.1", December 2011; sections are named where they matter.

mod assemble;
mod body;
mod header;
mod length;
mod music;
mod staff;
mod words;
mod write;

use std::fmt;

use crate::rhythm::metre::Metre;
use crate::riff::Riff;
use crate::theory::key::Key;
use crate::units::Ticks;

pub(super) use assemble::divisions;
pub use music::{MOST_BYTES_OF_TUNES, claims_to_be, read_sheet, tunes};
pub use staff::{About, write_staff};
pub use write::write;

/// What a text in ABC holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tune {
    /// The riff; one that was read has the id 0, for whoever keeps it to replace.
    pub riff: Riff,
    /// The key; that of the tonic with a major or a minor third where the text has another mode.
    pub key: Key,
    /// The metre; 4/4 where the text has none.
    pub metre: Metre,
}

/// The longest text that is read, in bytes.
pub const MOST_BYTES: usize = 1 << 16;

/// Why a text cannot be read. Lines count from 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Error {
    /// The text is longer than [`MOST_BYTES`].
    TooLong {
        /// Its length in bytes.
        bytes: usize,
    },
    /// The text has no notes and no rests.
    Empty,
    /// A field does not read.
    Field {
        /// The line.
        line: usize,
        /// Its letter.
        field: char,
        /// What was found, cut short.
        found: String,
        /// What was expected.
        expected: &'static str,
    },
    /// A sign has no place where it stands.
    Unexpected {
        /// The line.
        line: usize,
        /// What was found.
        found: char,
        /// What was expected.
        expected: &'static str,
    },
    /// Something that a riff cannot hold.
    NotInARiff {
        /// The line.
        line: usize,
        /// What was found.
        found: &'static str,
    },
    /// A length that is no whole number of the finest parts, 10 080 to the quarter.
    Length {
        /// The line.
        line: usize,
    },
    /// A pitch outside MIDI's range.
    Pitch {
        /// The line.
        line: usize,
    },
    /// A bar between the first and the last is not as long as the metre says.
    Bar {
        /// The bar, counted from 1.
        bar: usize,
        /// Its length.
        found: Ticks,
        /// The metre's.
        expected: Ticks,
    },
    /// More beats than a riff may have, or more than sixteen before it begins.
    Beats {
        /// How many were found.
        found: i64,
    },
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::TooLong { bytes } => {
                write!(f, "the text has {bytes} bytes; at most {MOST_BYTES} are read")
            }
            Error::Empty => {
                write!(f, "no notes: expected a tune in ABC, with a key line such as K:G before its notes")
            }
            Error::Field { line, field, found, expected } => {
                write!(f, "line {line}: {field}: is “{found}”, expected {expected}")
            }
            Error::Unexpected { line, found, expected } => {
                write!(f, "line {line}: found “{}”, expected {expected}", found.escape_debug())
            }
            Error::NotInARiff { line, found } => write!(f, "line {line}: a riff cannot hold {found}"),
            Error::Length { line } => write!(f, "line {line}: a length is too fine or too long"),
            Error::Pitch { line } => write!(f, "line {line}: a note is too high or too low"),
            Error::Bar { bar, found, expected } => {
                write!(
                    f,
                    "bar {bar} has {} quarters, expected {}",
                    found.in_quarters(),
                    expected.in_quarters()
                )
            }
            Error::Beats { found } => {
                write!(f, "{found} beats: a riff has at most {}, and as many before it", Riff::MOST_BEATS)
            }
        }
    }
}

impl std::error::Error for Error {}

/// Reads the first tune of `text`.
pub fn read(text: &str) -> Result<Tune, Error> {
    if text.len() > MOST_BYTES {
        return Err(Error::TooLong { bytes: text.len() });
    }
    let (header, music) = header::read(text)?;
    let heard = body::read(&header, &music, body::Reach::Riff)?;
    assemble::tune(header, &heard.events)
}

/// The first characters of a text, for messages.
fn cut(text: &str) -> String {
    text.chars().take(20).collect()
}
