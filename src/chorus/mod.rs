//! Where riffs stand in the form: placements, what is checked of them, how they hang together, and suggestions.

pub mod check;
pub mod course;
pub mod kept;
pub mod placement;
pub mod rules;
pub mod score;
pub mod suggest;
pub mod together;
pub mod verse;

use crate::form::Changes;
use crate::riff::Riff;

/// The bars (indices from 0) in which `riff` is begun when it is looped over `changes`: bar 1, then each time the next
/// bar line at which it can begin again, so that a riff of six beats comes every two bars. A time that would run past
/// the end of the form is left out. A pickup sounds before its bar line, bar 1's at the end of the form.
pub fn repeats(changes: &Changes, riff: &Riff) -> Vec<usize> {
    let total = changes.length();
    let mut begun = Vec::new();
    let mut free = changes.bar_start(0);
    for bar in 0..changes.bars().len() {
        let line = changes.bar_start(bar);
        // The first time is kept even where the riff is longer than the form: it goes on into the next time.
        if line >= free && (line + riff.length() <= total || bar == 0) {
            begun.push(bar);
            free = line + riff.length();
        }
    }
    begun
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::standard::{ChordStyle, FormKind, changes};
    use crate::rhythm::metre::Metre;
    use crate::riff::RiffId;
    use crate::units::Ticks;

    #[track_caller]
    fn check(beats: usize, form: FormKind, expected: &[usize]) {
        let changes = changes(form, "G".parse().unwrap(), ChordStyle::Sevenths, Metre::FOUR_FOUR);
        let riff = Riff::empty(RiffId(1), Ticks::QUARTER, beats);
        assert_eq!(repeats(&changes, &riff), expected);
    }

    #[test]
    fn a_riff_comes_again_at_the_next_bar_line_that_it_can() {
        check(6, FormKind::Twelve, &[0, 2, 4, 6, 8, 10]);
        check(4, FormKind::Eight, &[0, 1, 2, 3, 4, 5, 6, 7]);
        check(12, FormKind::Eight, &[0, 3]);
        check(16, FormKind::Twelve, &[0, 4, 8]);
    }
}
