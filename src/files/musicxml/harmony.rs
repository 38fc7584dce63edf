//! Chords as MusicXML names them: a kind, and degrees that are changed, added or left out.

use super::xml::Element;
use crate::theory::chord::Chord;
use crate::theory::interval::Interval;
use crate::theory::pitch::NoteName;
use crate::units::Ticks;

/// Kinds, and the steps and half steps of their tones. Source: MusicXML 4.0, simple type `kind-value`; that a dominant
/// or major thirteenth leaves its eleventh out is common practice, as in our own symbols.
#[rustfmt::skip]
const KINDS: [(&str, &[(i32, i32)]); 23] = [
    ("major", &[(0, 0), (2, 4), (4, 7)]),
    ("minor", &[(0, 0), (2, 3), (4, 7)]),
    ("diminished", &[(0, 0), (2, 3), (4, 6)]),
    ("augmented", &[(0, 0), (2, 4), (4, 8)]),
    ("power", &[(0, 0), (4, 7)]),
    ("suspended-second", &[(0, 0), (1, 2), (4, 7)]),
    ("suspended-fourth", &[(0, 0), (3, 5), (4, 7)]),
    ("dominant", &[(0, 0), (2, 4), (4, 7), (6, 10)]),
    ("major-seventh", &[(0, 0), (2, 4), (4, 7), (6, 11)]),
    ("minor-seventh", &[(0, 0), (2, 3), (4, 7), (6, 10)]),
    ("diminished-seventh", &[(0, 0), (2, 3), (4, 6), (6, 9)]),
    ("half-diminished", &[(0, 0), (2, 3), (4, 6), (6, 10)]),
    ("augmented-seventh", &[(0, 0), (2, 4), (4, 8), (6, 10)]),
    ("major-minor", &[(0, 0), (2, 3), (4, 7), (6, 11)]),
    ("major-sixth", &[(0, 0), (2, 4), (4, 7), (5, 9)]),
    ("minor-sixth", &[(0, 0), (2, 3), (4, 7), (5, 9)]),
    ("dominant-ninth", &[(0, 0), (2, 4), (4, 7), (6, 10), (8, 14)]),
    ("major-ninth", &[(0, 0), (2, 4), (4, 7), (6, 11), (8, 14)]),
    ("minor-ninth", &[(0, 0), (2, 3), (4, 7), (6, 10), (8, 14)]),
    ("dominant-11th", &[(0, 0), (2, 4), (4, 7), (6, 10), (8, 14), (10, 17)]),
    ("minor-11th", &[(0, 0), (2, 3), (4, 7), (6, 10), (8, 14), (10, 17)]),
    ("dominant-13th", &[(0, 0), (2, 4), (4, 7), (6, 10), (8, 14), (12, 21)]),
    ("major-13th", &[(0, 0), (2, 4), (4, 7), (6, 11), (8, 14), (12, 21)]),
];

/// A chord, `offset` divisions after the note that follows it in the file.
pub(super) fn element(chord: &Chord, offset: i64) -> Element {
    let mut harmony = Element::new("harmony").holding([name("root", chord.root)]);
    if chord.is_none() {
        harmony.children.push(Element::of("kind", "none").with("text", "N.C."));
    } else {
        let tones: Vec<(i32, i32)> =
            chord.quality.intervals().iter().map(|tone| (tone.steps, tone.semitones)).collect();
        let (kind, degrees) = KINDS
            .iter()
            .map(|(kind, of_kind)| (*kind, degrees(of_kind, &tones)))
            .min_by_key(|(_, degrees)| degrees.len())
            .expect("there are kinds");
        harmony.children.push(Element::of("kind", kind).with("text", chord.quality.suffix()));
        harmony.children.extend(chord.bass.map(|bass| name("bass", bass)));
        harmony.children.extend(degrees);
    }
    if offset != 0 {
        harmony.children.push(Element::of("offset", offset));
    }
    harmony
}

fn name(what: &str, name: NoteName) -> Element {
    // The type `semitones` has any number; paper has two signs at most.
    let name = crate::theory::pitch::Pitch { name, octave: 4 }.at_most_double().name;
    let mut element = Element::new(what);
    element.children.push(Element::of(&format!("{what}-step"), name.step.letter()));
    if name.alter != 0 {
        element.children.push(Element::of(&format!("{what}-alter"), name.alter));
    }
    element
}

/// What makes `tones` of a kind: a tone on the same step that is altered, those that are added, those that are left out.
fn degrees(kind: &[(i32, i32)], tones: &[(i32, i32)]) -> Vec<Element> {
    let mut degrees = Vec::new();
    let mut gone: Vec<(i32, i32)> = kind.iter().copied().filter(|tone| !tones.contains(tone)).collect();
    for tone in tones.iter().filter(|tone| !kind.contains(tone)) {
        match gone.iter().position(|other| other.0 == tone.0) {
            Some(place) => {
                let other = gone.remove(place);
                degrees.push(degree(tone.0, tone.1 - other.1, "alter"));
            }
            None => degrees.push(degree(tone.0, tone.1 - usual(tone.0), "add")),
        }
    }
    degrees.extend(gone.into_iter().map(|tone| degree(tone.0, 0, "subtract")));
    degrees
}

fn degree(steps: i32, alter: i32, how: &str) -> Element {
    Element::new("degree").holding([
        Element::of("degree-value", steps + 1),
        Element::of("degree-alter", alter),
        Element::of("degree-type", how),
    ])
}

/// Half steps that an added degree is counted from: those of a dominant chord, as the element `degree-alter` says.
fn usual(steps: i32) -> i32 {
    let within = Interval::new(steps, 0).within_octave().steps;
    [0, 2, 4, 5, 7, 9, 10][within as usize] + 12 * steps.div_euclid(7)
}

/// Where a chord stands after the symbol before which it is written.
pub(super) fn offset(at: Ticks, symbol: Ticks, unit: i64) -> i64 {
    (at - symbol).0 / unit
}
