//! What a class has: one record a lesson or an answer, each with its link.

use serde::{Deserialize, Serialize};

use crate::files::record::{Unreadable, VERSION, bad, is_false, read, write};

/// What stands before the number in the id of a record.
const PREFIX: &str = "class-";
/// The longest link that is kept, as [`crate::files::link::MOST_CHARACTERS`].
const MOST_CHARACTERS: usize = 1 << 16;

/// A lesson or an answer as it stands in its record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClassRecord {
    /// What stands behind the `#` of its link.
    pub link: String,
    /// Its place in the order in which they came.
    pub order: u32,
    /// Of an answer the teacher's marks, a bit each.
    pub marks: u32,
    /// Whether a learner works on this lesson here.
    pub works: bool,
    /// The step on which the learner is, from 0.
    pub step: u8,
    /// The tier that the learner chose, from 0.
    pub tier: u8,
    /// The name under which the learner hands in.
    pub who: String,
    /// Whether its riff is at the next seat here, which changes one thing of it.
    pub passes: bool,
}

#[derive(Serialize, Deserialize)]
struct ClassFields {
    version: u32,
    order: u32,
    link: String,
    #[serde(default)]
    marks: u32,
    #[serde(default, skip_serializing_if = "is_false")]
    works: bool,
    #[serde(default)]
    step: u8,
    #[serde(default)]
    tier: u8,
    #[serde(default)]
    who: String,
    #[serde(default, skip_serializing_if = "is_false")]
    passes: bool,
}

/// The id of the record of a lesson or an answer.
pub fn class_record_id(number: u64) -> String {
    format!("{PREFIX}{number:016x}")
}

/// Which lesson or answer the record with this id holds.
pub fn class_of_record(id: &str) -> Option<u64> {
    let hex = id.strip_prefix(PREFIX)?;
    let is_hex = hex.len() == 16 && hex.bytes().all(|byte| byte.is_ascii_hexdigit());
    is_hex.then(|| u64::from_str_radix(hex, 16).ok()).flatten()
}

/// Writes a lesson's or an answer's record.
pub fn write_class(record: &ClassRecord) -> String {
    let ClassRecord { link, order, marks, works, step, tier, who, passes } = record.clone();
    write(&ClassFields { version: VERSION, order, link, marks, works, step, tier, who, passes })
}

/// Reads one.
pub fn read_class(text: &str) -> Result<ClassRecord, Unreadable> {
    let ClassFields { version: _, order, link, marks, works, step, tier, who, passes } = read(text)?;
    if link.len() > MOST_CHARACTERS || who.len() > MOST_CHARACTERS {
        return Err(bad("its link is too long"));
    }
    Ok(ClassRecord { link, order, marks, works, step, tier, who, passes })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_reads_back_and_what_is_missing_is_ordinary() {
        let record = ClassRecord {
            link: "abc".to_owned(),
            order: 7,
            marks: 5,
            works: true,
            step: 2,
            tier: 1,
            who: "Seat “7”".to_owned(),
            passes: true,
        };
        assert_eq!(read_class(&write_class(&record)), Ok(record));
        let least = read_class(r#"{"version":1,"order":0,"link":"x"}"#).unwrap();
        assert_eq!((least.marks, least.works, least.who.as_str()), (0, false, ""));
        for text in
            ["", "{}", r#"{"version":1,"order":-1,"link":"x"}"#, r#"{"version":9,"order":0,"link":"x"}"#]
        {
            assert!(read_class(text).is_err(), "{text}");
        }
        assert_eq!(class_of_record(&class_record_id(0xabc)), Some(0xabc));
        assert_eq!(class_of_record("class-12"), None);
    }
}
