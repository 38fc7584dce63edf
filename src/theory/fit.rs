//! Which scales fit a chord, and how: told tone by tone, so that a sentence can say why.

use crate::theory::chord::Chord;
use crate::theory::interval::Interval;
use crate::theory::key::Mode;
use crate::theory::pitch::NoteName;
use crate::theory::scale::ScaleKind;

/// What a scale does with one tone of a chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Meeting {
    /// The scale has the tone.
    Held,
    /// The scale has no note on the tone's letter.
    Left,
    /// The scale has this note on the tone's letter instead, a blue note of the scale's home note.
    Blue(NoteName),
    /// The scale has this note on the tone's letter instead.
    Against(NoteName),
}

/// How a scale fits a chord as a whole, the closest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fit {
    /// Every tone of the chord is in the scale.
    Whole,
    /// Tones are left out, and none is contradicted.
    Open,
    /// A tone is contradicted, by blue notes only: the lowered third of G minor blues over G7.
    Blue,
    /// A tone is contradicted: the major third of G against the seventh of C7.
    Against,
}

impl Fit {
    /// The name in data: `whole`, `open`, `blue` or `against`.
    pub fn name(self) -> &'static str {
        match self {
            Fit::Whole => "whole",
            Fit::Open => "open",
            Fit::Blue => "blue",
            Fit::Against => "against",
        }
    }
}

/// What each tone of `chord` meets in the scale of `kind` on `home`. Tones are found by their sound, contradictions by
/// their letter, once the chord is spelled on the side of the circle of fifths where `home` is: over C♯, D♭7 is C♯7.
pub fn meetings(kind: ScaleKind, home: NoteName, chord: &Chord) -> Vec<(NoteName, Meeting)> {
    let notes = kind.notes(home);
    let meeting = |tone: NoteName| {
        if notes.iter().any(|note| note.pitch_class() == tone.pitch_class()) {
            return Meeting::Held;
        }
        let mut same_letter = notes.iter().filter(|note| note.step == tone.step);
        match same_letter.next() {
            None => Meeting::Left,
            Some(note) if is_blue(home.interval_to(*note)) => Meeting::Blue(*note),
            Some(note) => Meeting::Against(*note),
        }
    };
    let beside_home = spelled_towards(home, chord).notes();
    chord.notes().into_iter().zip(beside_home.into_iter().map(meeting)).collect()
}

/// `chord`, or its enharmonic twin where that is nearer to `home` on the line of fifths.
fn spelled_towards(home: NoteName, chord: &Chord) -> Chord {
    const TWIN_ABOVE: Interval = Interval::new(1, 0);
    match chord.root.fifths() - home.fifths() {
        7.. => chord.up(TWIN_ABOVE),
        ..=-7 => chord.up(-TWIN_ABOVE),
        _ => chord.clone(),
    }
}

/// How the scale of `kind` on `home` fits `chord`: by the worst of its [`meetings`].
pub fn fit(kind: ScaleKind, home: NoteName, chord: &Chord) -> Fit {
    let worst = meetings(kind, home, chord).into_iter().map(|(_, meeting)| match meeting {
        Meeting::Held => Fit::Whole,
        Meeting::Left => Fit::Open,
        Meeting::Blue(_) => Fit::Blue,
        Meeting::Against(_) => Fit::Against,
    });
    worst.max().unwrap_or(Fit::Whole)
}

/// The scales on `home` that fit `chord`, the closest first and then in the order of the table of scales, without those
/// that are against it and without the chromatic scale, which fits everything and says nothing. In a minor key those with
/// its third come before the others (common practice, no source).
pub fn fitting(home: NoteName, mode: Mode, chord: &Chord) -> Vec<(ScaleKind, Fit)> {
    let mut fitting: Vec<(ScaleKind, Fit)> = ScaleKind::all()
        .filter(|kind| *kind != ScaleKind::Chromatic)
        .map(|kind| (kind, fit(kind, home, chord)))
        .filter(|(_, fit)| *fit != Fit::Against)
        .collect();
    fitting.sort_by_key(|(kind, fit)| (mode == Mode::Minor && !kind.is_minor(), *fit));
    fitting
}

/// Whether a degree is blue: the lowered third, fifth or seventh.
fn is_blue(degree: Interval) -> bool {
    [Interval::MINOR_THIRD, Interval::DIMINISHED_FIFTH, Interval::MINOR_SEVENTH].contains(&degree)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(scale: &str, home: &str, chord: &str, expected: Fit) {
        let kind = ScaleKind::named(scale).unwrap();
        assert_eq!(fit(kind, home.parse().unwrap(), &chord.parse().unwrap()), expected);
    }

    /// Worked by hand from the notes of both. Mixolydian is the scale of the dominant seventh and dorian that of the
    /// minor seventh chord: common practice, no source.
    #[test]
    fn scales_fit_as_worked_by_hand() {
        check("mixolydian", "G", "G7", Fit::Whole);
        check("dorian", "A", "Am7", Fit::Whole);
        check("major", "C", "Cmaj7", Fit::Whole);
        check("harmonic-minor", "A", "E7", Fit::Whole); // E G♯ B D
        check("major", "G", "G7", Fit::Against); // F♯ against F
        check("major-pentatonic", "G", "G7", Fit::Open); // no F, nor any other seventh
        check("minor-blues", "G", "G7", Fit::Blue); // B♭ against B, and blue
        check("minor-blues", "G", "C7", Fit::Open); // no E: G B♭ C D♭ D F
        check("minor-blues", "G", "D7", Fit::Blue); // F against F♯, and blue; no A
        check("major-pentatonic", "G", "C7", Fit::Against); // B against B♭
        check("minor-pentatonic", "A", "Am7", Fit::Whole);
        check("natural-minor", "A", "Dm7", Fit::Whole);
        check("mixolydian", "C#", "Db7", Fit::Whole);
        check("major-pentatonic", "C#", "Db7", Fit::Open); // no C♭, for C♯ is D♭ itself
        check("major-pentatonic", "Cb", "B7", Fit::Open);
        check("chromatic", "Gb", "C7alt", Fit::Whole);
    }

    #[test]
    fn the_closest_come_first() {
        let fitting = fitting("G".parse().unwrap(), Mode::Major, &"G7".parse().unwrap());
        let names: Vec<(&str, &str)> = fitting.iter().map(|(kind, fit)| (kind.name(), fit.name())).collect();
        assert_eq!(
            names,
            [
                ("mixolydian", "whole"),
                ("major-pentatonic", "open"),
                ("major-blues", "open"),
                ("minor-pentatonic", "blue"),
                ("minor-blues", "blue"),
                ("dorian", "blue"),
                ("natural-minor", "blue"),
            ]
        );
    }

    /// The chords of A minor blues: E7 (E G♯ B D) has the third of the major scales, and still they come last.
    #[test]
    fn in_minor_the_minor_ones_come_first() {
        for symbol in ["Am7", "Dm7", "E7", "F7"] {
            let fitting = fitting("A".parse().unwrap(), Mode::Minor, &symbol.parse().unwrap());
            assert!(fitting[0].0.is_minor(), "{symbol}");
            let kinds: Vec<bool> = fitting.iter().map(|(kind, _)| kind.is_minor()).collect();
            assert!(kinds.is_sorted_by(|before, after| before >= after), "{symbol}: {fitting:?}");
        }
        let over_five = fitting("A".parse().unwrap(), Mode::Minor, &"E7".parse().unwrap());
        assert_eq!(over_five[0], (ScaleKind::HarmonicMinor, Fit::Whole));
    }

    #[test]
    fn a_meeting_names_the_note_that_stands_instead() {
        let met = meetings(ScaleKind::MinorBlues, "G".parse().unwrap(), &"D7".parse().unwrap());
        let (d, f_sharp, a, c) =
            (Meeting::Held, Meeting::Blue("F".parse().unwrap()), Meeting::Left, Meeting::Held);
        assert_eq!(met.into_iter().map(|(_, meeting)| meeting).collect::<Vec<_>>(), [d, f_sharp, a, c]);
    }
}
