//! Which notes were meant louder.

use crate::units::Velocity;

/// Accented notes are this much harder than the others, at least; in steps of MIDI velocity. Players vary by 13 to 16
/// within a piece (Vienna 4×22 corpus), by far less from one plain note of a riff to the next; 5 are heard.
const HARDER: f64 = 18.0;

/// Whether each note is an accent: the hardest ones, where a clear step parts them from the rest, and the rest are at
/// least as many.
pub(super) fn accents(velocities: &[Option<Velocity>]) -> Vec<bool> {
    let known: Option<Vec<f64>> =
        velocities.iter().map(|velocity| velocity.map(|one| f64::from(one.value()))).collect();
    let Some(known) = known else { return vec![false; velocities.len()] };
    let mut sorted = known.clone();
    sorted.sort_by(f64::total_cmp);
    let mean = |part: &[f64]| part.iter().sum::<f64>() / part.len() as f64;
    // The cut that leaves the least spread on both sides.
    let spread = |part: &[f64]| {
        let middle = mean(part);
        part.iter().map(|one| (one - middle).powi(2)).sum::<f64>()
    };
    let cuts = sorted.len().div_ceil(2)..sorted.len();
    let cut = cuts.min_by(|one, other| {
        let both = |cut: usize| spread(&sorted[..cut]) + spread(&sorted[cut..]);
        both(*one).total_cmp(&both(*other))
    });
    let Some(cut) = cut.filter(|cut| *cut > 0) else { return vec![false; known.len()] };
    let is_clear = mean(&sorted[cut..]) - mean(&sorted[..cut]) >= HARDER
        && sorted[cut] - sorted[cut - 1] >= HARDER / 3.0;
    known.iter().map(|one| is_clear && *one >= sorted[cut]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(velocities: &[i32], expected: &[bool]) {
        let velocities: Vec<Option<Velocity>> = velocities.iter().map(|one| Velocity::new(*one)).collect();
        assert_eq!(accents(&velocities), expected);
    }

    #[test]
    fn what_is_clearly_harder_than_the_rest_is_an_accent() {
        check(&[80, 112, 78, 83], &[false, true, false, false]);
        check(&[70, 72, 75, 68], &[false; 4]);
        check(&[60, 110], &[false, true]);
        // Most notes cannot be louder than the rest.
        check(&[110, 108, 60, 111], &[false; 4]);
        check(&[90], &[false]);
        check(&[], &[]);
    }
}
