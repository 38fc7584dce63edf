//! Chords by their place in the key: `I7`, `ii7`, `bVI7`.

use crate::theory::chord::Chord;
use crate::theory::interval::Interval;
use crate::theory::key::Key;
use crate::theory::pitch::NoteName;

const NUMERALS: [&str; 7] = ["I", "II", "III", "IV", "V", "VI", "VII"];
/// Half steps of the seven degrees, against which a numeral is flat or sharp: those of the major scale, also in
/// minor keys, so that ♭VI is called so in both.
const DEGREES: [i32; 7] = [0, 2, 4, 5, 7, 9, 11];

/// The chord's function in `key` in ASCII: the numeral (small where the third is minor), `b` or `#` before it where
/// the root is no degree of the major scale on the home note, and the chord's suffix behind it.
pub fn function(chord: &Chord, key: Key) -> String {
    let (degree, alter) = degree(chord.root, key);
    let sign = if alter < 0 { "b" } else { "#" }.repeat(alter.unsigned_abs() as usize);
    let suffix = chord.quality.suffix();
    if chord.quality.is_minor() {
        // "m" is what the small numeral says already; "maj7" keeps its letters.
        let rest = suffix.strip_prefix('m').filter(|_| !suffix.starts_with("maj")).unwrap_or(suffix);
        format!("{sign}{}{rest}", NUMERALS[degree].to_ascii_lowercase())
    } else {
        format!("{sign}{}{suffix}", NUMERALS[degree])
    }
}

/// The function as a person reads it: `♭VI7`.
pub fn pretty(chord: &Chord, key: Key) -> String {
    function(chord, key).replace('b', "♭").replace('#', "♯")
}

/// The chord's number for beginners: 1 ..= 7.
pub fn number(chord: &Chord, key: Key) -> usize {
    degree(chord.root, key).0 + 1
}

/// The degree of the major scale (0 ..= 6) on the key's home note that `root` is spelled as, and how it is altered.
fn degree(root: NoteName, key: Key) -> (usize, i32) {
    let above = key.tonic().interval_to(root);
    let degree = above.steps as usize;
    (degree, above.semitones - DEGREES[degree])
}

/// Reads a numeral such as `bVI` or `ii`: the interval above the home note, and whether it is written small.
pub(super) fn read(text: &str) -> Option<(Interval, Case)> {
    let bare = text.trim_start_matches(['b', '#']);
    let alter = match &text[..text.len() - bare.len()] {
        "" => 0,
        "b" => -1,
        "#" => 1,
        _ => return None,
    };
    let degree = NUMERALS.iter().position(|numeral| numeral.eq_ignore_ascii_case(bare))?;
    let case = if bare.starts_with(char::is_lowercase) { Case::Small } else { Case::Large };
    Some((Interval::new(degree as i32, DEGREES[degree] + alter), case))
}

/// How a numeral is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Case {
    /// A major third above the root.
    Large,
    /// A minor third above the root.
    Small,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(chord: &str, key: &str, expected: &str) {
        assert_eq!(function(&chord.parse().unwrap(), key.parse().unwrap()), expected);
    }

    /// Common practice, no source: numerals count from the home note, small for minor thirds.
    #[test]
    fn functions_are_named_from_the_home_note() {
        check("G7", "G", "I7");
        check("C7", "G", "IV7");
        check("Am7", "G", "ii7");
        check("Am7", "Am", "i7");
        check("F7", "Am", "bVI7");
        check("C#dim7", "G", "#ivdim7");
        check("Fb7", "Cb", "IV7");
        check("Gmaj7", "G", "Imaj7");
        check("Gmmaj7", "G", "imaj7");
    }
}
