//! Scales as tables of intervals above their root.

use crate::theory::interval::Interval;
use crate::theory::pitch::NoteName;

/// The scales that the page and the command line know.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ScaleKind {
    /// 1 2 3 5 6.
    MajorPentatonic,
    /// 1 ♭3 4 5 ♭7.
    MinorPentatonic,
    /// 1 ♭3 4 ♭5 5 ♭7.
    MinorBlues,
    /// 1 2 ♭3 3 5 6.
    MajorBlues,
    /// Major with a lowered seventh.
    Mixolydian,
    /// Natural minor with a raised sixth.
    Dorian,
    /// The major scale.
    Major,
    /// The natural minor scale.
    NaturalMinor,
    /// Natural minor with a raised seventh.
    HarmonicMinor,
    /// All twelve half steps.
    Chromatic,
}

/// One scale: its name in data and its degrees.
struct Row {
    kind: ScaleKind,
    name: &'static str,
    /// (steps, semitones) above the root.
    degrees: &'static [(i32, i32)],
}

/// Sources: the blues scales are those of Aebersold, vol. 1, revised 1970, p. 26, as encyclopaedias quote it
/// (minor 0 3 5 6 7 10, major 0 2 3 4 7 9); the others are textbook scales (common practice, no source).
#[rustfmt::skip]
const SCALES: [Row; 10] = {
    use ScaleKind::*;
    [
        Row { kind: MajorPentatonic, name: "major-pentatonic", degrees: &[(0, 0), (1, 2), (2, 4), (4, 7), (5, 9)] },
        Row { kind: MinorPentatonic, name: "minor-pentatonic", degrees: &[(0, 0), (2, 3), (3, 5), (4, 7), (6, 10)] },
        Row { kind: MinorBlues, name: "minor-blues", degrees: &[(0, 0), (2, 3), (3, 5), (4, 6), (4, 7), (6, 10)] },
        Row { kind: MajorBlues, name: "major-blues", degrees: &[(0, 0), (1, 2), (2, 3), (2, 4), (4, 7), (5, 9)] },
        Row { kind: Mixolydian, name: "mixolydian", degrees: &[(0, 0), (1, 2), (2, 4), (3, 5), (4, 7), (5, 9), (6, 10)] },
        Row { kind: Dorian, name: "dorian", degrees: &[(0, 0), (1, 2), (2, 3), (3, 5), (4, 7), (5, 9), (6, 10)] },
        Row { kind: Major, name: "major", degrees: &[(0, 0), (1, 2), (2, 4), (3, 5), (4, 7), (5, 9), (6, 11)] },
        Row { kind: NaturalMinor, name: "natural-minor", degrees: &[(0, 0), (1, 2), (2, 3), (3, 5), (4, 7), (5, 8), (6, 10)] },
        Row { kind: HarmonicMinor, name: "harmonic-minor", degrees: &[(0, 0), (1, 2), (2, 3), (3, 5), (4, 7), (5, 8), (6, 11)] },
        // Spelled as blues needs it: lowered second, third, fifth, sixth and seventh.
        Row { kind: Chromatic, name: "chromatic", degrees: &[(0, 0), (1, 1), (1, 2), (2, 3), (2, 4), (3, 5), (4, 6), (4, 7), (5, 8), (5, 9), (6, 10), (6, 11)] },
    ]
};

impl ScaleKind {
    /// Every scale, in the order of the table.
    pub fn all() -> impl Iterator<Item = ScaleKind> {
        SCALES.iter().map(|row| row.kind)
    }

    /// The scale with this name in data, such as `minor-blues`.
    pub fn named(name: &str) -> Option<ScaleKind> {
        SCALES.iter().find(|row| row.name == name).map(|row| row.kind)
    }

    /// The name in data.
    pub fn name(self) -> &'static str {
        self.row().name
    }

    /// The intervals above the root, ascending within an octave.
    pub fn intervals(self) -> impl Iterator<Item = Interval> {
        self.row().degrees.iter().map(|&(steps, semitones)| Interval::new(steps, semitones))
    }

    /// Whether it has the minor third and not the major one.
    pub fn is_minor(self) -> bool {
        let has = |third: Interval| self.intervals().any(|interval| interval == third);
        has(Interval::MINOR_THIRD) && !has(Interval::MAJOR_THIRD)
    }

    /// The notes on `root`, ascending.
    pub fn notes(self, root: NoteName) -> Vec<NoteName> {
        self.intervals().map(|interval| root.up(interval)).collect()
    }

    fn row(self) -> &'static Row {
        &SCALES[SCALES.iter().position(|row| row.kind == self).expect("every kind has its row")]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn g_minor_blues_has_the_published_steps() {
        let notes: Vec<String> =
            ScaleKind::MinorBlues.notes("G".parse().unwrap()).iter().map(NoteName::to_string).collect();
        assert_eq!(notes, ["G", "Bb", "C", "Db", "D", "F"]);
    }
}
