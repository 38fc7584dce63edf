//! Music that was played higher or lower as a whole.

use crate::practice::TimedNote;
use crate::units::MidiNote;

/// The furthest that is thought of: three octaves either way.
const FURTHEST: i32 = 36;
/// How many intervals are looked into.
const MOST: usize = 2;

/// The intervals, in half steps upwards, by which the pitches of `played` could be those of `target` moved: the likeliest
/// first, octaves before others and smaller before larger ones where as many notes fit.
pub(super) fn likely(target: &[TimedNote], played: &[TimedNote]) -> Vec<i32> {
    let (wanted, done) = (counts(target), counts(played));
    let fit = |by: i32| -> usize {
        let pairs = (0..128).filter_map(|midi: i32| {
            let there = usize::try_from(midi + by).ok()?;
            Some(wanted[midi as usize].min(*done.get(there)?))
        });
        pairs.sum()
    };
    let here = fit(0);
    let mut found: Vec<(usize, i32)> = (-FURTHEST..=FURTHEST)
        .map(|by| (fit(by), by))
        .filter(|(fits, by)| *by != 0 && *fits > here)
        .collect();
    found.sort_by_key(|(fits, by)| (std::cmp::Reverse(*fits), by % 12 != 0, by.abs()));
    found.into_iter().take(MOST).map(|(_, by)| by).collect()
}

/// How often each MIDI number comes.
fn counts(notes: &[TimedNote]) -> [usize; 128] {
    let mut counts = [0; 128];
    for note in notes {
        counts[usize::from(note.midi.number())] += 1;
    }
    counts
}

/// The notes so many half steps higher; what would leave the range of MIDI goes to its end.
pub(super) fn moved(notes: &[TimedNote], by: i32) -> Vec<TimedNote> {
    let moved = |note: &TimedNote| {
        let number = (i32::from(note.midi.number()) + by).clamp(0, 127);
        TimedNote { midi: MidiNote::new(number).unwrap_or(note.midi), ..*note }
    };
    notes.iter().map(moved).collect()
}
