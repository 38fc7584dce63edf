//! The demo riffs, made up for this project.

use crate::rhythm::grid::Division;
use crate::riff::{Note, Riff, RiffId};
use crate::theory::pitch::{Pitch, Step};
use crate::units::Ticks;

/// *Porch light*: six beats, D E B♭ B G. It begins between the beats, and the blue third is accented.
pub fn porch_light() -> Riff {
    let half = Ticks::QUARTER / 2;
    let note = |onset: i64, length: i64, pitch: Pitch, accent: bool| Note {
        onset: half * onset,
        length: half * length,
        pitch,
        accent,
        ornament: None,
    };
    let notes = vec![
        note(1, 1, Pitch::new(Step::D, 0, 5), false),
        note(2, 1, Pitch::new(Step::E, 0, 5), false),
        note(5, 1, Pitch::new(Step::B, -1, 4), true),
        note(6, 2, Pitch::new(Step::B, 0, 4), false),
        note(9, 1, Pitch::new(Step::G, 0, 4), false),
    ];
    let divisions = vec![Division::HALVES; 6];
    Riff::from_parts(RiffId(0), "Porch light".to_owned(), Ticks::ZERO, Ticks::QUARTER, divisions, notes)
        .expect("the demo riff is sound")
}
