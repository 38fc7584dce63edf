//! A whole notebook as one file: every record under the id that it has in storage, as JSON.
//!
//! ```text
//! {
//! "riffloom": "notebook",
//! "version": 1,
//! "records": {
//! "order": "fedcba9876543210 0000000000000002",
//! "fedcba9876543210": {"version":1,"revision":7,"id":"fedcba9876543210","name":"Ferry bell", …},
//! "tune": {"version":1,"key":"G", …}
//! }
//! }
//! ```
//!
//! Each record has a version of its own, so that a newer kind of one costs none of the others. The schema stands in
//! `tests/data/notebook.schema.json`; files that earlier versions wrote are read for ever.

use std::fmt;

use serde::de::IgnoredAny;

/// The version that is written.
pub const VERSION: u32 = 1;
/// The most bytes that are read: more than a full notebook has in which everything was practised every day.
pub const MOST_BYTES: usize = 64 << 20;
/// What says that a file holds a notebook.
const KIND: &str = "notebook";

/// Why a text is no notebook.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Error {
    /// Longer than any notebook.
    TooLarge {
        /// Bytes.
        found: usize,
    },
    /// It begins like one and breaks off, or is no JSON.
    Damaged,
    /// JSON, and something else than a notebook.
    Foreign,
    /// A newer version wrote it.
    Newer {
        /// The version that it claims.
        found: u32,
    },
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::TooLarge { found } => {
                write!(f, "this file has {} megabytes, more than any notebook has", found >> 20)
            }
            Error::Damaged => {
                write!(f, "this file is damaged: a part of it is missing or changed. Save it once more")
            }
            Error::Foreign => write!(f, "this file holds no Riffloom notebook"),
            Error::Newer { found } => write!(
                f,
                "this file was saved by a newer Riffloom (format {found}, this page reads up to {VERSION}): reload the page"
            ),
        }
    }
}

impl std::error::Error for Error {}

/// Writes records, each an id and its text. A text that is no JSON object stands as a string.
pub fn write(records: &[(String, String)]) -> String {
    let quoted = |text: &str| serde_json::to_string(text).expect("a text can always be written");
    let record = |(id, text): &(String, String)| {
        let text = if is_object(text) { text.clone() } else { quoted(text) };
        format!("{}: {text}", quoted(id))
    };
    let records: Vec<String> = records.iter().map(record).collect();
    let records = records.join(",\n");
    format!("{{\n\"riffloom\": \"{KIND}\",\n\"version\": {VERSION},\n\"records\": {{\n{records}\n}}\n}}\n")
}

/// Reads what [`write()`] wrote, however it was laid out since: each record's id and text.
pub fn read(text: &str) -> Result<Vec<(String, String)>, Error> {
    if text.len() > MOST_BYTES {
        return Err(Error::TooLarge { found: text.len() });
    }
    let text = text.trim_start_matches('\u{feff}').trim_start();
    // What claims to be one is damaged where it cannot be read to its end; anything else is something else.
    let claims = text.starts_with('{') && text.contains("\"riffloom\"");
    let fields = members(text).ok_or(if claims { Error::Damaged } else { Error::Foreign })?;
    let field = |name: &str| fields.iter().find(|(other, _)| other == name).map(|(_, value)| *value);
    if field("riffloom").and_then(string).as_deref() != Some(KIND) {
        return Err(Error::Foreign);
    }
    let version: u32 = field("version").and_then(|value| serde_json::from_str(value).ok()).unwrap_or(0);
    match version {
        0 => return Err(Error::Damaged),
        1..=VERSION => {}
        _ => return Err(Error::Newer { found: version }),
    }
    let records = field("records").and_then(members).ok_or(Error::Damaged)?;
    let record = |(id, value): (String, &str)| (id, string(value).unwrap_or_else(|| value.to_owned()));
    Ok(records.into_iter().map(record).collect())
}

/// Whether a text is likely meant as a notebook: it says so near its beginning.
pub fn claims_to_be(text: &str) -> bool {
    let start: String = text.chars().take(200).collect();
    start.trim_start_matches('\u{feff}').trim_start().starts_with('{') && start.contains("\"riffloom\"")
}

fn is_object(text: &str) -> bool {
    text.trim_start().starts_with('{') && serde_json::from_str::<IgnoredAny>(text).is_ok()
}

fn string(value: &str) -> Option<String> {
    value.starts_with('"').then(|| serde_json::from_str(value).ok()).flatten()
}

/// The members of a JSON object that fills `text`: names, and values as they stand there; `None` where it is none.
/// Nothing is built of the values, so that a large file takes no more room than it has.
fn members(text: &str) -> Option<Vec<(String, &str)>> {
    let mut rest = text.trim_start().strip_prefix('{')?.trim_start();
    let mut members = Vec::new();
    if let Some(behind) = rest.strip_prefix('}') {
        return behind.trim().is_empty().then_some(members);
    }
    loop {
        let (name, behind) = value(rest)?;
        let (value, behind) = value(behind.trim_start().strip_prefix(':')?)?;
        members.push((string(name)?, value));
        let behind = behind.trim_start();
        match behind.strip_prefix(',') {
            Some(next) => rest = next,
            None => return behind.strip_prefix('}')?.trim().is_empty().then_some(members),
        }
    }
}

/// The JSON value at the head of `text`, and what follows it.
fn value(text: &str) -> Option<(&str, &str)> {
    let text = text.trim_start();
    let mut values = serde_json::Deserializer::from_str(text).into_iter::<IgnoredAny>();
    values.next()?.ok()?;
    Some(text.split_at(values.byte_offset()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn record(id: &str, text: &str) -> (String, String) {
        (id.to_owned(), text.to_owned())
    }

    #[test]
    fn what_is_written_reads_back_the_same_also_where_it_is_no_json() {
        let records = [
            record("order", "0000000000000002 0000000000000001"),
            record("0000000000000002", r#"{"version":1,"name":"a “}” and a \"{\""}"#),
            record("odd", "{not json"),
            record("\"quoted\"", ""),
            record("tune", r#"{"version":9,"new":[{"a":[1,2.50,{}]},null,true]}"#),
        ];
        assert_eq!(read(&write(&records)), Ok(records.to_vec()));
        assert_eq!(read(&write(&[])), Ok(Vec::new()));
    }

    /// The same file through another library's writer, on one line and indented.
    #[test]
    fn a_file_that_was_laid_out_anew_reads_the_same() {
        let records = [record("order", "1 2"), record("tune", r#"{"tempo":92.0}"#)];
        let value: serde_json::Value = serde_json::from_str(&write(&records)).unwrap();
        let short = serde_json::to_string(&value).unwrap();
        assert_eq!(read(&short), Ok(records.to_vec()));
        let long = serde_json::to_string_pretty(&value).unwrap();
        let texts: Vec<String> =
            read(&format!("\u{feff}{long}\n")).unwrap().into_iter().map(|(id, _)| id).collect();
        assert_eq!(texts, ["order", "tune"]);
    }

    #[test]
    fn what_is_no_notebook_is_told_apart() {
        let whole = write(&[record("tune", r#"{"version":1}"#)]);
        for (text, error) in [
            ("", Error::Foreign),
            ("MThd", Error::Foreign),
            ("[1,2]", Error::Foreign),
            (r#"{"version":1,"records":{}}"#, Error::Foreign),
            (r#"{"riffloom":"lesson","version":1,"records":{}}"#, Error::Foreign),
            (&whole[..whole.len() - 4], Error::Damaged),
            (&whole.replace("\"records\"", "\"recordz\""), Error::Damaged),
            (&whole.replace(": 1,", ": -1,"), Error::Damaged),
            (&format!("{whole}!"), Error::Damaged),
            (&whole.replace(": 1,", ": 2,"), Error::Newer { found: 2 }),
        ] {
            assert_eq!(read(text), Err(error), "{text}");
        }
        assert_eq!(read(&" ".repeat(MOST_BYTES + 1)), Err(Error::TooLarge { found: MOST_BYTES + 1 }));
    }

    #[test]
    fn it_is_json_for_any_other_reader() {
        let text = write(&[record("order", "a\nb"), record("tune", r#"{"version":1}"#)]);
        let value: serde_json::Value = serde_json::from_str(&text).unwrap();
        assert_eq!((&value["riffloom"], &value["version"]), (&"notebook".into(), &1.into()));
        assert_eq!(
            (&value["records"]["order"], &value["records"]["tune"]["version"]),
            (&"a\nb".into(), &1.into())
        );
    }
}
