//! A form as a person gives it: the name of a standard form, or a chart.

use std::fmt;

use crate::form::Changes;
use crate::form::chart;
use crate::form::standard::{self, ChordStyle, FormKind};
use crate::rhythm::metre::Metre;
use crate::theory::key::Key;

/// Why a text is no form.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Error {
    /// It looks like the name of a form, but there is none of that name.
    UnknownName {
        /// What was found.
        found: String,
    },
    /// It is a chart that does not read.
    Chart(chart::Error),
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::UnknownName { found } => {
                let names: Vec<&str> = FormKind::all().map(FormKind::name).collect();
                write!(
                    f,
                    "“{found}” is not a form: expected {}, or a chart such as G7 | C7 | G7 | G7",
                    names.join(", ")
                )
            }
            Error::Chart(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for Error {}

/// Reads `text` as the name of a standard form, built on `key` in `style`, or as a chart, which says its chords
/// itself. Standard forms are in `metre`; so are charts until they say otherwise.
pub fn read(text: &str, key: Key, style: ChordStyle, metre: Metre) -> Result<Changes, Error> {
    let text = text.trim();
    if let Some(kind) = FormKind::named(text) {
        return Ok(standard::changes(kind, key, style, metre));
    }
    if looks_like_a_name(text) {
        return Err(Error::UnknownName { found: text.chars().take(40).collect() });
    }
    chart::parse(text, key, metre).map_err(Error::Chart)
}

/// As the names of forms do, it begins with a digit or holds a hyphen and is all in small letters; but a chart may
/// begin with a metre, and holds bar lines or chords in capitals.
fn looks_like_a_name(text: &str) -> bool {
    let small = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    let counted = text.starts_with(|c: char| c.is_ascii_digit()) && !text.contains(['/', '|']);
    counted || (text.starts_with(small) && text.contains('-') && text.chars().all(small))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read_in_g(text: &str) -> Result<Changes, Error> {
        read(text, "G".parse().unwrap(), ChordStyle::Sevenths, Metre::FOUR_FOUR)
    }

    #[test]
    fn a_form_is_a_name_or_a_chart() {
        assert_eq!(read_in_g(" 12-bar ").unwrap().bars().len(), 12);
        assert_eq!(read_in_g("G7 | C7").unwrap().bars().len(), 2);
        assert_eq!(read_in_g("13-bar"), Err(Error::UnknownName { found: "13-bar".into() }));
        for found in ["12 bar", "12-Bar", "1 4 5", "slow-blues"] {
            assert_eq!(read_in_g(found), Err(Error::UnknownName { found: found.into() }));
        }
        assert!(matches!(read_in_g("g7"), Err(Error::Chart(chart::Error::Chord { bar: 1, .. }))));
        assert_eq!(read_in_g(""), Err(Error::Chart(chart::Error::Empty)));
        assert!(matches!(read_in_g("G7 | x"), Err(Error::Chart(chart::Error::Chord { bar: 2, .. }))));
    }
}
