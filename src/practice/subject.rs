//! What is practised: a riff over the form, or a chorus as it was built.

use std::fmt;
use std::str::FromStr;

use crate::chorus::kept::ChorusId;
use crate::riff::RiffId;

/// What is practised, by its name tag.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Subject {
    /// A riff, each time it comes in the form.
    Riff(RiffId),
    /// A chorus, placement by placement.
    Chorus(ChorusId),
}

/// The text is no name tag of something that can be practised.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotASubject;

/// What stands before a chorus's number.
const CHORUS: &str = "chorus-";

/// In data: 16 hexadecimal digits for a riff, the same after `chorus-` for a chorus.
impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Subject::Riff(id) => write!(f, "{:016x}", id.0),
            Subject::Chorus(id) => write!(f, "{CHORUS}{:016x}", id.0),
        }
    }
}

impl FromStr for Subject {
    type Err = NotASubject;

    fn from_str(text: &str) -> Result<Subject, NotASubject> {
        let digits = text.strip_prefix(CHORUS);
        let hex = digits.unwrap_or(text);
        if hex.len() != 16 || !hex.bytes().all(|byte| byte.is_ascii_hexdigit()) {
            return Err(NotASubject);
        }
        let number = u64::from_str_radix(hex, 16).map_err(|_| NotASubject)?;
        Ok(match digits {
            Some(_) => Subject::Chorus(ChorusId(number)),
            None => Subject::Riff(RiffId(number)),
        })
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
