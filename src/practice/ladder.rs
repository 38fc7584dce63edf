//! Slow to fast: tempo steps that follow how the passes go.

use crate::units::QuartersPerMinute;

/// What a run from slow to fast asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plan {
    /// Where it begins, and below which it never goes.
    pub start: QuartersPerMinute,
    /// Quarters a minute from one step to the next, above 0; the last step may be smaller.
    pub step: f64,
    /// Where it ends.
    pub goal: QuartersPerMinute,
    /// Clean passes in a row before the next step, at least 1.
    pub clean_passes: u8,
}

/// How one pass went.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Went {
    /// All the notes in order, and in time where the player asked for that.
    Clean,
    /// Most of them.
    Fair,
    /// Half of them or fewer.
    Poor,
}

/// Whether timing counts towards a clean pass.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Asks {
    /// The notes alone.
    #[default]
    Notes,
    /// The notes, each within the window about the player's own place.
    NotesInTime,
}

impl Went {
    /// How a pass went in which `right` of `asked` notes were right, `in_time` of those within the window, and `extra`
    /// notes came between. A pass that asks for nothing is clean when nothing was played.
    pub fn of(asked: usize, right: usize, in_time: usize, extra: usize, asks: Asks) -> Went {
        let counted = match asks {
            Asks::Notes => right,
            Asks::NotesInTime => in_time.min(right),
        };
        if counted >= asked && extra == 0 {
            Went::Clean
        } else if 2 * right > asked {
            Went::Fair
        } else {
            Went::Poor
        }
    }
}

/// What comes after a pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Next {
    /// The same tempo again, with this many clean passes to go.
    Again(u8),
    /// A step faster.
    Up,
    /// A step slower.
    Down,
    /// The goal was played as often as was asked.
    Done,
}

/// Poor passes in a row before the tempo goes down a step.
const POOR_PASSES: u8 = 2;

/// Where a run from slow to fast stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ladder {
    plan: Plan,
    tempo: QuartersPerMinute,
    clean: u8,
    poor: u8,
}

impl Ladder {
    /// A run at its beginning; `None` where the goal is slower than the start, the step is not above 0 or no clean
    /// pass is asked for.
    pub fn new(plan: Plan) -> Option<Ladder> {
        let is_rising = plan.goal >= plan.start && plan.step > 0.0 && plan.step.is_finite();
        (is_rising && plan.clean_passes > 0).then_some(Ladder { plan, tempo: plan.start, clean: 0, poor: 0 })
    }

    /// The tempo of the next pass.
    pub fn tempo(&self) -> QuartersPerMinute {
        self.tempo
    }

    /// Counts a pass at the present tempo. A fair pass breaks both rows; being done begins the row anew.
    pub fn count(&mut self, went: Went) -> Next {
        self.clean = if went == Went::Clean { self.clean + 1 } else { 0 };
        self.poor = if went == Went::Poor { self.poor + 1 } else { 0 };
        if self.clean >= self.plan.clean_passes {
            self.clean = 0;
            if self.tempo >= self.plan.goal {
                return Next::Done;
            }
            self.go(self.plan.step);
            return Next::Up;
        }
        if self.poor >= POOR_PASSES {
            self.poor = 0;
            if self.tempo > self.plan.start {
                self.go(-self.plan.step);
                return Next::Down;
            }
        }
        Next::Again(self.plan.clean_passes - self.clean)
    }

    fn go(&mut self, by: f64) {
        let (slowest, fastest) = (self.plan.start, self.plan.goal);
        let wanted = (self.tempo.value() + by).clamp(slowest.value(), fastest.value());
        self.tempo = QuartersPerMinute::new(wanted).unwrap_or(self.tempo);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ladder(start: f64, step: f64, goal: f64, clean_passes: u8) -> Option<Ladder> {
        let tempo = |value| QuartersPerMinute::new(value).unwrap();
        Ladder::new(Plan { start: tempo(start), step, goal: tempo(goal), clean_passes })
    }

    /// The rule is our own, so the expected steps are worked by hand.
    #[test]
    fn it_climbs_after_clean_passes_and_steps_down_after_two_poor_ones() {
        use Went::{Clean, Fair, Poor};
        let mut ladder = ladder(60.0, 8.0, 70.0, 2).unwrap();
        for (went, next, tempo) in [
            (Poor, Next::Again(2), 60.0),
            (Poor, Next::Again(2), 60.0),
            (Clean, Next::Again(1), 60.0),
            (Fair, Next::Again(2), 60.0),
            (Clean, Next::Again(1), 60.0),
            (Clean, Next::Up, 68.0),
            (Poor, Next::Again(2), 68.0),
            (Clean, Next::Again(1), 68.0),
            (Clean, Next::Up, 70.0),
            (Poor, Next::Again(2), 70.0),
            (Poor, Next::Down, 62.0),
            (Clean, Next::Again(1), 62.0),
            (Clean, Next::Up, 70.0),
            (Clean, Next::Again(1), 70.0),
            (Clean, Next::Done, 70.0),
        ] {
            assert_eq!((ladder.count(went), ladder.tempo().value()), (next, tempo), "{went:?}");
        }
    }

    #[test]
    fn plans_that_cannot_climb_are_refused() {
        assert!(ladder(80.0, 4.0, 60.0, 1).is_none());
        for step in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(ladder(60.0, step, 80.0, 1).is_none(), "{step}");
        }
        assert!(ladder(60.0, 4.0, 80.0, 0).is_none());
    }

    #[test]
    fn timing_counts_only_where_it_is_asked_for() {
        assert_eq!(Went::of(8, 8, 2, 0, Asks::Notes), Went::Clean);
        assert_eq!(Went::of(8, 8, 2, 0, Asks::NotesInTime), Went::Fair);
        assert_eq!(Went::of(8, 8, 8, 1, Asks::Notes), Went::Fair);
        assert_eq!(Went::of(8, 4, 4, 0, Asks::Notes), Went::Poor);
    }
}
