//! Crushed notes: one that is asked for is part of its main note, and no note too many.

use std::ops::Range;

use crate::perform::Asked;
use crate::practice::TimedNote;
use crate::units::AudioTime;

/// How long before its main note a crushed note may be played, and how long after, in seconds (tuned by ear).
const CRUSHED: Range<f64> = -0.25..0.05;
/// A main note this far from its place, in seconds, may still bring its crushed note along.
const REACH: f64 = 0.6;

/// Takes the crushed notes that were asked for out of what was `played`: those right before the place of their main
/// note, or right before the main note as it was played. `sounds` says when a note ought to be heard.
pub(in crate::practice) fn forgive(
    asked: &[Asked],
    sounds: impl Fn(&Asked) -> AudioTime,
    played: &mut Vec<TimedNote>,
) {
    for asked in asked {
        let Some(crushed) = asked.crushed else { continue };
        let place = sounds(asked);
        let leads = |note: &TimedNote, main: AudioTime| CRUSHED.contains(&(note.onset - main).0);
        let is_main = |other: &&TimedNote| {
            other.midi == asked.midi && (other.onset - place).0.abs() <= REACH && crushed != asked.midi
        };
        let is_it = |note: &TimedNote| {
            note.midi == crushed
                && (leads(note, place) || played.iter().filter(is_main).any(|main| leads(note, main.onset)))
        };
        if let Some(found) = played.iter().rposition(is_it) {
            played.remove(found);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::grid::Division;
    use crate::units::{MidiNote, ScoreTime, Ticks};

    /// B at 10 s, crushed from B flat: how many notes are left of what was played, each at so many seconds.
    #[track_caller]
    fn check(played: &[(f64, i32)], left: usize) {
        let midi = |number| MidiNote::new(number).unwrap();
        let asked = Asked {
            note: 0,
            midi: midi(71),
            pitch: "B4".parse().unwrap(),
            crushed: Some(midi(70)),
            at: ScoreTime::ZERO,
            position: 0.0,
            bar: Some(0),
            beat_number: 1,
            beat_start: ScoreTime::ZERO,
            beat: Ticks::QUARTER,
            division: Division::HALVES,
        };
        let note = |(at, number): &(f64, i32)| TimedNote { onset: AudioTime(*at), midi: midi(*number) };
        let mut notes: Vec<TimedNote> = played.iter().map(note).collect();
        forgive(&[asked], |_| AudioTime(10.0), &mut notes);
        assert_eq!(notes.len(), left, "{notes:?}");
    }

    /// By hand: a quarter of a second before its main note at the most, and one of them only.
    #[test]
    fn a_crushed_note_goes_with_its_main_note_early_or_late() {
        check(&[(9.93, 70), (10.0, 71)], 1);
        check(&[(10.3, 70), (10.37, 71)], 1);
        check(&[(9.4, 70), (10.0, 71)], 2);
        check(&[(9.86, 70), (9.93, 70), (10.0, 71)], 2);
        check(&[(9.93, 69), (10.0, 71)], 2);
        check(&[(10.0, 71)], 1);
    }
}
