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
pub(super) fn forgive(asked: &[Asked], sounds: impl Fn(&Asked) -> AudioTime, played: &mut Vec<TimedNote>) {
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
