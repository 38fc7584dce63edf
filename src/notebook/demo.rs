//! The demo riffs, made up for this project.

use crate::rhythm::grid::Division;
use crate::riff::{Note, Riff, RiffId};
use crate::theory::key::{Key, Mode};
use crate::theory::pitch::{Pitch, Step};
use crate::units::Ticks;

/// A note in halves of a beat: onset, length, pitch, and whether it is accented.
type Half = (i64, i64, Pitch, bool);

const G: Pitch = Pitch::new(Step::G, 0, 4);
const B_FLAT: Pitch = Pitch::new(Step::B, -1, 4);

/// The key that the demo riffs stand in.
pub fn key() -> Key {
    Key::of_signature(1, Mode::Major)
}

/// *Porch light*: six beats, D E B♭ B G. It begins between the beats, and the blue third is accented.
pub fn porch_light() -> Riff {
    const NOTES: [Half; 5] = [
        (1, 1, Pitch::new(Step::D, 0, 5), false),
        (2, 1, Pitch::new(Step::E, 0, 5), false),
        (5, 1, B_FLAT, true),
        (6, 2, Pitch::new(Step::B, 0, 4), false),
        (9, 1, G, false),
    ];
    riff("Porch light", 6, &NOTES)
}

/// *Salt wind*, the first riff that a person hears: two bars of three notes, G B♭ C, with room at the end.
pub fn salt_wind() -> Riff {
    const NOTES: [Half; 6] = [
        (0, 2, G, false),
        (3, 1, G, false),
        (4, 2, B_FLAT, false),
        (7, 1, Pitch::new(Step::C, 0, 5), true),
        (8, 2, B_FLAT, false),
        (11, 2, G, false),
    ];
    riff("Salt wind", 8, &NOTES)
}

fn riff(name: &str, beats: usize, notes: &[Half]) -> Riff {
    let half = Ticks::QUARTER / 2;
    let notes = notes.iter().map(|&(onset, length, pitch, accent)| Note {
        onset: half * onset,
        length: half * length,
        pitch,
        accent,
        ornament: None,
    });
    let divisions = vec![Division::HALVES; beats];
    Riff::from_parts(RiffId(0), name.to_owned(), Ticks::ZERO, Ticks::QUARTER, divisions, notes.collect())
        .expect("the demo riffs are sound")
}
