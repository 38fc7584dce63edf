//! Lengths as fractions, exact until they become ticks.

use crate::units::Ticks;

/// A fraction above zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Fraction {
    over: i128,
    under: i128,
}

/// The largest number that is read.
const MOST: i128 = 999_999;

impl Fraction {
    pub const ONE: Fraction = Fraction { over: 1, under: 1 };

    /// A fraction, or `None` where a part is not within 1 ..= 999 999.
    pub fn new(over: i128, under: i128) -> Option<Fraction> {
        let read = 1..=MOST;
        (read.contains(&over) && read.contains(&under)).then_some(Fraction { over, under })
    }

    /// The product; four factors of six figures stay far below what an `i128` holds.
    pub fn times(self, other: Fraction) -> Fraction {
        Fraction { over: self.over * other.over, under: self.under * other.under }
    }

    /// This part of a whole note, or `None` where it is no whole number of ticks or longer than an hour of music.
    pub fn of_whole_note(self) -> Option<Ticks> {
        let ticks = self.over * i128::from(Ticks::PER_QUARTER * 4);
        let whole = ticks % self.under == 0;
        i64::try_from(ticks / self.under).ok().filter(|ticks| whole && *ticks < 1 << 40).map(Ticks)
    }

    /// Whether it is less than `other`.
    pub fn is_below(self, other: Fraction) -> bool {
        self.over * other.under < other.over * self.under
    }
}

/// Takes a number of at most seven digits off the front of `text`; `None` in its place where there is none.
pub(super) fn take_number(text: &mut &str) -> Option<i128> {
    let digits = text.bytes().take_while(u8::is_ascii_digit).count().min(7);
    let (number, rest) = text.split_at(digits);
    *text = rest;
    number.parse().ok()
}

/// Takes a length behind a note off the front of `text`: `3`, `/`, `//`, `/4`, `3/2` (section 4.3). `None` where a
/// number is zero or too large.
pub(super) fn take(text: &mut &str) -> Option<Fraction> {
    let over = take_number(text).unwrap_or(1);
    let slashes = text.bytes().take_while(|byte| *byte == b'/').count();
    *text = &text[slashes..];
    let under = match (slashes, take_number(text)) {
        (0, None) => 1,
        (1, Some(number)) => number,
        (1..=9, None) => 1 << slashes,
        _ => return None,
    };
    Fraction::new(over, under)
}
