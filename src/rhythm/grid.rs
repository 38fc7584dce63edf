//! The grid: into how many equal parts each beat is divided.

use crate::units::Ticks;

/// Into how many equal parts a beat is divided: 1 ..= 8.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Division(u8);

impl Division {
    /// Two to a beat.
    pub const HALVES: Division = Division(2);
    /// Three to a beat.
    pub const THIRDS: Division = Division(3);
    /// Four to a beat.
    pub const QUARTERS: Division = Division(4);

    /// A division, or `None` outside 1 ..= 8 or where a beat of 10 080 or 15 120 ticks has no such part (none up
    /// to 8 fails).
    pub fn new(parts: u8) -> Option<Division> {
        (1..=8).contains(&parts).then_some(Division(parts))
    }

    /// The number of parts.
    pub fn parts(self) -> u8 {
        self.0
    }

    /// The length of one part of `beat`.
    pub fn step(self, beat: Ticks) -> Ticks {
        beat / i64::from(self.0)
    }
}
