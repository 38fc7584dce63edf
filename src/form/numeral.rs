//! Chords by their place in the key: `I7`, `ii7`, `bVI7`.

use crate::theory::chord::Chord;
use crate::theory::interval::Interval;
use crate::theory::key::Key;
use crate::theory::pitch::NoteName;
use crate::theory::symbol;

const NUMERALS: [&str; 7] = ["I", "II", "III", "IV", "V", "VI", "VII"];
/// Half steps of the seven degrees, against which a numeral is flat or sharp: those of the major scale, also in
/// minor keys, so that ♭VI is called so in both.
const DEGREES: [i32; 7] = [0, 2, 4, 5, 7, 9, 11];

/// The chord's function in `key` in ASCII: the numeral (small where the third is minor), `b` or `#` before it where
/// the root is no degree of the major scale on the home note, and the chord's suffix behind it.
pub fn function(chord: &Chord, key: Key) -> String {
    if chord.is_none() {
        return chord.to_string();
    }
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

/// The chord that a numeral with a suffix stands for in `key`: `I7`, `ii7`, `bVIImaj7`, `#ivdim7`; `None` where no
/// numeral stands in front. Degrees are those of the major scale on the home note, in minor keys too. A small numeral
/// makes the chord minor where its suffix does not say so itself: `ii7` is `iim7`.
pub fn chord(text: &str, key: Key) -> Option<Result<Chord, symbol::Error>> {
    let plain = text.replace('♭', "b").replace('♯', "#");
    let bare = plain.trim_start_matches(['b', '#']);
    let signs = plain.len() - bare.len();
    let letters = bare.chars().take(4).take_while(|c| "IVXivx".contains(*c)).count();
    // The longest numeral that stands there; all its letters are large or all are small.
    let (interval, case, end) = (1..=letters).rev().find_map(|count| {
        let (interval, case) = read(&plain[..signs + count])?;
        Some((interval, case, signs + count))
    })?;
    let root = key.tonic().up(interval);
    let suffix = &plain[end..];
    let found = match case {
        Case::Large => symbol::quality(suffix),
        Case::Small => symbol::quality(&format!("m{suffix}")).or_else(|| symbol::quality(suffix)),
    };
    Some(match found {
        Some(quality) => Ok(Chord::new(root, quality)),
        None => Err(symbol::unknown_kind(suffix, end)),
    })
}

/// The function as a person reads it: `♭VI7`.
pub fn pretty(chord: &Chord, key: Key) -> String {
    if chord.is_none() {
        return chord.pretty();
    }
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
    let signs = &text[..text.len() - bare.len()];
    let alter = signs.matches('#').count() as i32 - signs.matches('b').count() as i32;
    // More than three, or both kinds: no chord is spelled so.
    if alter.abs() > 3 || alter.unsigned_abs() as usize != signs.len() {
        return None;
    }
    let is_written = |numeral: &str| bare == numeral || bare == numeral.to_ascii_lowercase();
    let degree = NUMERALS.iter().position(|numeral| is_written(numeral))?;
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

    #[track_caller]
    fn read_as(numeral: &str, key: &str, expected: &str) {
        let chord = chord(numeral, key.parse().unwrap()).map(|read| read.map(|chord| chord.to_string()));
        assert_eq!(chord, Some(Ok(expected.to_owned())), "{numeral} in {key}");
    }

    /// Common practice, no source; the chords are worked by hand.
    #[test]
    fn numerals_stand_for_chords_of_the_key() {
        read_as("I7", "G", "G7");
        read_as("IV7", "Cb", "Fb7");
        read_as("ii7", "G", "Am7");
        read_as("iim7", "G", "Am7");
        read_as("II7", "G", "A7");
        read_as("♭VII7", "G", "F7");
        read_as("bVII", "G", "F");
        read_as("♯ivdim7", "G", "C#dim7");
        read_as("#iv°7", "F", "Bdim7");
        read_as("viiø7", "C", "Bm7b5");
        read_as("vii7b5", "C", "Bm7b5");
        read_as("bVI7", "Am", "F7");
        read_as("V7", "Am", "E7");
        read_as("i", "F#m", "F#m");
        for none in ["", "H7", "G7", "x", "b", "bb7", "1"] {
            assert_eq!(chord(none, "G".parse().unwrap()), None, "{none}");
        }
        assert!(chord("iiiii", "G".parse().unwrap()).is_some_and(|read| read.is_err()));
        assert!(chord("Vii", "G".parse().unwrap()).is_some_and(|read| read.is_err()));
    }
}
