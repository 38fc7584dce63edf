//! Intervals between spelled pitches.

use std::ops::{Add, Neg, Sub};

/// A distance between two spelled pitches: steps of the staff and half steps; negative goes down.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Interval {
    /// Steps of the staff: 0 is a unison (prime), 2 a third, 7 an octave.
    pub steps: i32,
    /// Half steps that sound.
    pub semitones: i32,
}

impl Interval {
    /// The same pitch.
    pub const UNISON: Interval = Interval::new(0, 0);
    /// A half step to the next letter.
    pub const MINOR_SECOND: Interval = Interval::new(1, 1);
    /// A whole step.
    pub const MAJOR_SECOND: Interval = Interval::new(1, 2);
    /// Three half steps.
    pub const MINOR_THIRD: Interval = Interval::new(2, 3);
    /// Four half steps.
    pub const MAJOR_THIRD: Interval = Interval::new(2, 4);
    /// Five half steps.
    pub const PERFECT_FOURTH: Interval = Interval::new(3, 5);
    /// Six half steps, spelled as a fourth.
    pub const AUGMENTED_FOURTH: Interval = Interval::new(3, 6);
    /// Six half steps, spelled as a fifth.
    pub const DIMINISHED_FIFTH: Interval = Interval::new(4, 6);
    /// Seven half steps.
    pub const PERFECT_FIFTH: Interval = Interval::new(4, 7);
    /// Eight half steps, spelled as a fifth.
    pub const AUGMENTED_FIFTH: Interval = Interval::new(4, 8);
    /// Eight half steps, spelled as a sixth.
    pub const MINOR_SIXTH: Interval = Interval::new(5, 8);
    /// Nine half steps, spelled as a sixth.
    pub const MAJOR_SIXTH: Interval = Interval::new(5, 9);
    /// Nine half steps, spelled as a seventh.
    pub const DIMINISHED_SEVENTH: Interval = Interval::new(6, 9);
    /// Ten half steps.
    pub const MINOR_SEVENTH: Interval = Interval::new(6, 10);
    /// Eleven half steps.
    pub const MAJOR_SEVENTH: Interval = Interval::new(6, 11);
    /// Twelve half steps.
    pub const OCTAVE: Interval = Interval::new(7, 12);

    /// An interval of `steps` of the staff that sounds as `semitones` half steps.
    pub const fn new(steps: i32, semitones: i32) -> Interval {
        Interval { steps, semitones }
    }

    /// The interval brought within one octave upwards: steps 0 ..= 6.
    pub fn within_octave(self) -> Interval {
        let octaves = self.steps.div_euclid(7);
        Interval { steps: self.steps - 7 * octaves, semitones: self.semitones - 12 * octaves }
    }
}

impl Add for Interval {
    type Output = Interval;
    fn add(self, other: Interval) -> Interval {
        Interval { steps: self.steps + other.steps, semitones: self.semitones + other.semitones }
    }
}

impl Sub for Interval {
    type Output = Interval;
    fn sub(self, other: Interval) -> Interval {
        self + -other
    }
}

impl Neg for Interval {
    type Output = Interval;
    fn neg(self) -> Interval {
        Interval { steps: -self.steps, semitones: -self.semitones }
    }
}
