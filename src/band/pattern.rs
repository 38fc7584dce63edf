//! Patterns as text: a word a beat, a letter a part of the beat.
//!
//! `x. xo` is two beats in halves: a stroke, nothing, a stroke, a soft stroke. `-` holds what sounds. A word of three
//! letters is a triplet, one of four divides the beat in four. After the last word the first comes again.

use crate::rhythm::grid::Division;
use crate::units::Ticks;

/// One stroke of a pattern.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stroke {
    /// From the bar line.
    pub at: Ticks,
    /// Until the next stroke or rest.
    pub length: Ticks,
    /// How its beat is divided.
    pub division: Division,
    /// What is written.
    pub letter: u8,
}

/// Reads `pattern` from `start` up to `end` (from the bar line), in beats of `beat`.
pub fn strokes(pattern: &str, start: Ticks, end: Ticks, beat: Ticks) -> Vec<Stroke> {
    let mut strokes: Vec<Stroke> = Vec::new();
    let mut held = false;
    let mut at = start;
    for word in pattern.split_ascii_whitespace().cycle() {
        let parts = word.len() as i64;
        let division = Division::new(word.len() as u8).filter(|division| division.parts() > 1);
        for (part, letter) in word.bytes().enumerate() {
            let begins = at + beat * part as i64 / parts;
            let length = at + beat * (part as i64 + 1) / parts - begins;
            if begins >= end {
                return strokes;
            }
            let length = length.min(end - begins);
            match (letter, strokes.last_mut()) {
                (b'.', _) => held = false,
                (b'-', Some(last)) if held => last.length += length,
                (b'-', _) => {}
                _ => {
                    held = true;
                    let division = division.unwrap_or(Division::HALVES);
                    strokes.push(Stroke { at: begins, length, division, letter });
                }
            }
        }
        at += beat;
    }
    strokes
}

/// The loudness of a written stroke whose part plays plain strokes at `level`: `X` is accented, `o` soft.
pub fn velocity(letter: u8, level: u8) -> i32 {
    let level = i32::from(level);
    match letter {
        b'X' => level + 12,
        b'o' => level - 20,
        _ => level,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(pattern: &str, beats: i64, expected: &[(i64, i64)]) {
        let found: Vec<(i64, i64)> = strokes(pattern, Ticks::ZERO, Ticks::quarters(beats), Ticks::QUARTER)
            .iter()
            .map(|stroke| (stroke.at.0 * 12 / Ticks::PER_QUARTER, stroke.length.0 * 12 / Ticks::PER_QUARTER))
            .collect();
        assert_eq!(found, expected, "{pattern}");
    }

    /// Places and lengths in twelfths of a quarter.
    #[test]
    fn patterns_read_as_they_are_written() {
        check("x. xo", 2, &[(0, 6), (12, 6), (18, 6)]);
        check("x- -.", 2, &[(0, 18)]);
        check("xxx", 2, &[(0, 4), (4, 4), (8, 4), (12, 4), (16, 4), (20, 4)]);
        check("x - . .", 3, &[(0, 24)]);
        check("-x", 1, &[(6, 6)]);
        check("", 1, &[]);
    }
}
