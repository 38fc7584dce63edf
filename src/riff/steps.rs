//! The steps of a riff's grid: where a note may begin when it is entered step by step.

use crate::riff::Riff;
use crate::units::Ticks;

impl Riff {
    /// Every grid step from the riff's start, in order, and last the riff's end, where no note can begin.
    pub fn steps(&self) -> impl DoubleEndedIterator<Item = Ticks> {
        let beats = self.divisions().iter().enumerate();
        let within = beats.flat_map(move |(beat, division)| {
            let start = self.beat() * beat as i64;
            (0..i64::from(division.parts())).map(move |part| start + division.step(self.beat()) * part)
        });
        within.chain([self.length()])
    }

    /// The first grid step after `at`; `None` from the riff's end on.
    pub fn step_after(&self, at: Ticks) -> Option<Ticks> {
        self.steps().find(|step| *step > at)
    }

    /// The last grid step before `at`; `None` at the riff's start and before it.
    pub fn step_before(&self, at: Ticks) -> Option<Ticks> {
        self.steps().rev().find(|step| *step < at)
    }

    /// The grid step nearest to `at`, the earlier of two; may be the riff's end.
    pub fn nearest_step(&self, at: Ticks) -> Ticks {
        let at = at.clamp(Ticks::ZERO, self.length());
        self.steps().min_by_key(|step| (step.0 - at.0).abs()).expect("a riff has at least one beat")
    }

    /// The note that sounds at `at`, by its index; `None` in a rest.
    pub fn note_at(&self, at: Ticks) -> Option<usize> {
        self.notes().iter().position(|note| note.onset <= at && at < note.end())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::grid::Division;
    use crate::riff::RiffId;

    #[test]
    fn a_beat_in_halves_and_one_in_thirds_give_their_own_steps() {
        let halves_and_thirds = vec![Division::HALVES, Division::THIRDS];
        let riff = Riff::from_parts(
            RiffId(1),
            String::new(),
            Ticks::ZERO,
            Ticks::QUARTER,
            halves_and_thirds,
            Vec::new(),
        )
        .unwrap();
        let twelfth = Ticks::QUARTER / 12;
        let steps: Vec<Ticks> = [0, 6, 12, 16, 20, 24].map(|step| twelfth * step).into();
        assert_eq!(riff.steps().collect::<Vec<_>>(), steps);
        assert_eq!((riff.step_after(steps[1]), riff.step_before(steps[3])), (Some(steps[2]), Some(steps[2])));
        assert_eq!((riff.step_after(steps[5]), riff.step_before(Ticks(0))), (None, None));
        assert_eq!(riff.nearest_step(twelfth * 17), steps[3]);
        assert_eq!(riff.nearest_step(twelfth * 99), steps[5]);
    }
}
