//! Whether a rhythm that was tapped is the one that was asked for.

/// How far a tap may lie from its place, in beats of the tempo that was tapped: further than anybody strays who means it,
/// and less than even taps are from a rhythm that is not even. Tuned by hand on the first riff; no source.
const NEAR_ENOUGH: f64 = 0.4;

/// Whether `taps`, in seconds, follow `onsets`, in beats: one tap a note, at whatever tempo is nearest (least squares), each
/// near enough to its place.
pub fn follows(onsets: &[f64], taps: &[f64]) -> bool {
    if onsets.len() != taps.len() {
        return false;
    }
    let count = onsets.len() as f64;
    let mean = |of: &[f64]| of.iter().sum::<f64>() / count;
    let (mean_onset, mean_tap) = (mean(onsets), mean(taps));
    let both = || onsets.iter().map(|onset| onset - mean_onset).zip(taps.iter().map(|tap| tap - mean_tap));
    let spread: f64 = both().map(|(onset, _)| onset * onset).sum();
    let together: f64 = both().map(|(onset, tap)| onset * tap).sum();
    // Seconds a beat. A single note, and notes at once, have no rhythm to miss.
    let beat = together / spread;
    spread == 0.0 || (beat > 0.0 && both().all(|(onset, tap)| (tap / beat - onset).abs() <= NEAR_ENOUGH))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Short long, long, as in the first riff.
    const ONSETS: [f64; 6] = [0.0, 1.5, 2.0, 4.0, 4.5, 5.0];

    #[track_caller]
    fn check(taps: [f64; 6], expected: bool) {
        assert_eq!(follows(&ONSETS, &taps), expected, "{taps:?}");
    }

    #[test]
    fn the_rhythm_counts_at_any_tempo_and_as_people_play_it() {
        for beat in [0.4, 0.8, 1.6] {
            check(ONSETS.map(|onset| 3.0 + onset * beat), true);
        }
        // Swung two to one, and a tenth of a second to and fro.
        check([0.0, 1.67, 2.0, 4.0, 4.67, 5.0], true);
        check([0.1, 1.4, 2.1, 3.9, 4.6, 4.9], true);
    }

    #[test]
    fn other_taps_do_not() {
        check([0.0, 1.0, 2.0, 3.0, 4.0, 5.0], false);
        check([0.0, 0.2, 0.4, 0.6, 0.8, 1.0], false);
        check([5.0, 4.5, 4.0, 2.0, 1.5, 0.0], false);
        check([0.0; 6], false);
        check([0.0, 1.5, f64::NAN, 4.0, 4.5, 5.0], false);
        assert!(!follows(&ONSETS, &ONSETS[1..]));
        assert!(follows(&[2.0], &[0.3]) && follows(&[], &[]));
    }
}
