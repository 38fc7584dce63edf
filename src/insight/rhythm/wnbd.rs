//! The weighted note-to-beat distance: how near to beats notes begin without being on them.

use super::Pattern;

/// The weighted note-to-beat distance of a pattern: 0 where every note begins on a beat; `None` without notes.
///
/// A note is taken to last until the next one. A note off the beat counts 1/T, T being its distance to the nearest
/// beat in beats, and twice as much where it lasts beyond the next beat but ends before the one after; the mean over
/// all notes is the result.
///
/// Source: F. Gómez, A. Melvin, D. Rappaport and G. T. Toussaint, "Mathematical measures of syncopation", Proceedings
/// of BRIDGES 2005, 73–84. "Before the beat after" is meant strictly: with a note that ends on that beat counted
/// double, the values of the paper's own table (Fig. 8) do not come out.
pub fn note_to_beat_distance(pattern: &Pattern) -> Option<f64> {
    let notes = pattern.onsets().len();
    let total: f64 =
        pattern.gaps().map(|(onset, gap)| weighted(onset % pattern.beat(), gap, pattern.beat())).sum();
    (notes > 0).then(|| total / notes as f64)
}

/// D(x) there: of a note `past` pulses behind a beat which lasts `length` pulses.
fn weighted(past: usize, length: usize, beat: usize) -> f64 {
    if past == 0 {
        return 0.0;
    }
    let nearest = past.min(beat - past);
    let inverse = beat as f64 / nearest as f64;
    let end = past + length;
    if beat < end && end < 2 * beat { 2.0 * inverse } else { inverse }
}
