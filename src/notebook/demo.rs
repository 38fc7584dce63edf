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

/// *Salt wind*, the first riff that a person hears: three notes in two bars, G and B♭ in the first, and an answer that
/// comes down from C in the second, with rests behind both.
pub fn salt_wind() -> Riff {
    const NOTES: [Half; 6] = [
        (0, 2, G, false),
        (3, 1, B_FLAT, true),
        (4, 2, G, false),
        (8, 1, Pitch::new(Step::C, 0, 5), false),
        (9, 1, B_FLAT, false),
        (10, 2, G, false),
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::insight::roles::{self, Role};
    use crate::notebook::tune::Tune;

    /// Easy to sing and to like at once: three pitches within a fifth; in the first bar every note is a chord tone or
    /// blue; nothing rubs in any bar of the form; no accent on the last off-beat of a bar; and chord 4 does not hear its
    /// root before it comes, within two beats of its bar line. Common practice, no source.
    #[test]
    fn the_first_riff_is_simple() {
        {
            let (riff, tune) = (salt_wind(), Tune::first());
            let changes = tune.changes();
            let mut pitches: Vec<i32> = riff.notes().iter().map(|note| note.pitch.semitones()).collect();
            pitches.sort_unstable();
            pitches.dedup();
            assert!(pitches.len() <= 3 && pitches[pitches.len() - 1] - pitches[0] <= 7, "{}", riff.name);
            for begun in crate::chorus::repeats(&changes, &riff) {
                for insight in roles::over(&changes, &riff, begun) {
                    let note = &riff.notes()[insight.note];
                    assert!(insight.rubs.is_none(), "{}", riff.name);
                    let in_first_bar = note.onset < Ticks::QUARTER * 4;
                    if begun == 0 && in_first_bar {
                        assert!(matches!(insight.role, Role::InChord | Role::Blue), "{}", riff.name);
                    }
                    assert!(!note.accent || insight.into_bar < Ticks::QUARTER / 2 * 7, "{}", riff.name);
                    let soon = insight.ahead.filter(|ahead| ahead.distance <= Ticks::QUARTER * 2);
                    let fourth = changes.key().tonic().up(crate::theory::interval::Interval::PERFECT_FOURTH);
                    assert!(soon.is_none_or(|ahead| ahead.chord.root != fourth || note.pitch.name != fourth));
                }
            }
        }
    }
}
