//! What is practised: a riff over the form, or a chorus as it was built.

use std::fmt;
use std::str::FromStr;

use crate::chorus::kept::ChorusId;
use crate::files::record::{chorus_of_record, chorus_record_id};
use crate::riff::{RiffId, read_id, write_id};

/// What is practised, by its id.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Subject {
    /// A riff, each time it comes in the form.
    Riff(RiffId),
    /// A chorus, placement by placement.
    Chorus(ChorusId),
}

/// The text is no id of something that can be practised.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotASubject;

/// In data the id of the record in which it is kept: 16 hexadecimal digits for a riff, the same after `chorus-` for a
/// chorus.
impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Subject::Riff(id) => f.write_str(&write_id(*id)),
            Subject::Chorus(id) => f.write_str(&chorus_record_id(*id)),
        }
    }
}

impl FromStr for Subject {
    type Err = NotASubject;

    fn from_str(text: &str) -> Result<Subject, NotASubject> {
        let chorus = chorus_of_record(text).map(Subject::Chorus);
        chorus.or_else(|| read_id(text).map(Subject::Riff)).ok_or(NotASubject)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_tag_reads_back_the_same_and_others_are_refused() {
        for subject in [Subject::Riff(RiffId(0x1f)), Subject::Chorus(ChorusId(u64::MAX))] {
            assert_eq!(subject.to_string().parse(), Ok(subject));
        }
        for text in ["", "1f", "chorus-", "chorus-1f", "past-000000000000001f", "00000000000000é"] {
            assert_eq!(text.parse::<Subject>(), Err(NotASubject), "{text}");
        }
    }
}
