//! What was played freely: one record a free chorus.

use serde::{Deserialize, Serialize};

use crate::files::record::{Unreadable, VERSION, bad, read, write};
use crate::found::free::FreeNote;
use crate::units::{MidiNote, Ticks};

/// What stands before the number in the id of a record.
const PREFIX: &str = "free-";
/// The most notes that are read.
const MOST_NOTES: usize = 4000;

/// A free chorus as it stands in its record.
#[derive(Serialize, Deserialize)]
struct FreeFields {
    version: u32,
    /// Place on the form in ticks, length in ticks and MIDI number of each note.
    notes: Vec<i64>,
}

/// The id of the record of a free chorus.
pub fn free_record_id(number: u64) -> String {
    format!("{PREFIX}{number:016x}")
}

/// Which free chorus the record with this id holds.
pub fn free_of_record(id: &str) -> Option<u64> {
    let hex = id.strip_prefix(PREFIX)?;
    let is_hex = hex.len() == 16 && hex.bytes().all(|byte| byte.is_ascii_hexdigit());
    is_hex.then(|| u64::from_str_radix(hex, 16).ok()).flatten()
}

/// Writes what was played: for each note its place on the form in ticks, its length and its number.
pub fn write_free(notes: &[FreeNote]) -> String {
    let numbers: Vec<i64> =
        notes.iter().flat_map(|note| [note.at.0, note.length.0, i64::from(note.midi.number())]).collect();
    write(&FreeFields { version: VERSION, notes: numbers })
}

/// Reads what was played.
pub fn read_free(text: &str) -> Result<Vec<FreeNote>, Unreadable> {
    let numbers = read::<FreeFields>(text)?.notes;
    if !numbers.len().is_multiple_of(3) || numbers.len() > 3 * MOST_NOTES {
        return Err(bad("its notes are cut off"));
    }
    let is_near = |ticks: i64| ticks.unsigned_abs() < 1 << 40;
    let note = |three: &[i64]| {
        let midi = i32::try_from(three[2]).ok().and_then(MidiNote::new)?;
        let is_sound = is_near(three[0]) && is_near(three[1]) && three[1] > 0;
        is_sound.then_some(FreeNote { at: Ticks(three[0]), length: Ticks(three[1]), midi })
    };
    numbers.chunks_exact(3).map(note).collect::<Option<_>>().ok_or_else(|| bad("a note is out of range"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_reads_back() {
        let note = |at, length, midi| FreeNote {
            at: Ticks(at),
            length: Ticks(length),
            midi: MidiNote::new(midi).unwrap(),
        };
        let notes = vec![note(-5040, 10, 0), note(0, 5040, 60), note(999_999, 1, 127)];
        assert_eq!(read_free(&write_free(&notes)).unwrap(), notes);
        assert_eq!(free_of_record(&free_record_id(0xabc)), Some(0xabc));
    }

    #[test]
    fn what_is_no_record_is_refused() {
        for text in [
            "",
            "{}",
            r#"{"version":1,"notes":[1,2]}"#,
            r#"{"version":1,"notes":[1,0,60]}"#,
            r#"{"version":1,"notes":[1,2,128]}"#,
            r#"{"version":9,"notes":[]}"#,
        ] {
            assert!(read_free(text).is_err(), "{text}");
        }
        assert_eq!(free_of_record("free-12"), None);
        assert_eq!(free_of_record("chorus-0000000000000abc"), None);
    }
}
