//! Which rhythms are likely, before anything was heard: a probability for what begins in one beat.
//!
//! Places in a beat are twelfths of it, so that halves, thirds, quarters and sixths are whole numbers; what begins in a
//! beat is a set of places, bit by bit. The probabilities are common practice, no source: off-beats are as common as
//! beats, a riff that has triplets seldom has sixteenths too, and a beat's first and third triplet are written as swung
//! halves.

use crate::rhythm::grid::Division;

/// Twelfths of a beat, from the first bar line.
pub(super) type Place = i32;

/// The places of a beat where something begins, a bit each.
pub(super) type Pattern = u16;

/// What kind of rhythm a riff has throughout.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// Halves, hardly anything else.
    Plain,
    /// Halves and triplets.
    Triplets,
    /// Halves and quarters of a beat.
    Quarters,
    /// Dotted beats: thirds, and some sixths.
    Dotted,
}

impl Kind {
    /// The kinds in a metre, each with how likely it is.
    pub(super) fn all(is_compound: bool) -> &'static [(Kind, f64)] {
        if is_compound {
            &[(Kind::Dotted, 1.0)]
        } else {
            &[(Kind::Plain, 0.6), (Kind::Triplets, 0.22), (Kind::Quarters, 0.18)]
        }
    }

    /// Where notes may begin in a beat.
    pub(super) fn places(self) -> &'static [Place] {
        if self == Kind::Dotted { &[0, 2, 4, 6, 8, 10] } else { &[0, 3, 4, 6, 8, 9] }
    }

    /// What `pattern` costs, as a negative logarithm; infinite for what no division holds.
    pub(super) fn cost(self, pattern: Pattern) -> f64 {
        let rows: &[(&[Place], [f64; 3])] = if self == Kind::Dotted { &DOTTED } else { &SIMPLE };
        let column = match self {
            Kind::Plain | Kind::Dotted => 0,
            Kind::Triplets => 1,
            Kind::Quarters => 2,
        };
        let row = rows.iter().find(|(places, _)| pattern_of(places) == pattern);
        match row {
            Some((_, parts)) => -parts[column].ln(),
            None if self == Kind::Dotted => -(0.000_2_f64.ln()),
            None => f64::INFINITY,
        }
    }
}

/// A pattern from its places.
fn pattern_of(places: &[Place]) -> Pattern {
    places.iter().fold(0, |pattern, place| pattern | 1 << place)
}

/// The division that a beat with this pattern is written in.
pub(super) fn division(pattern: Pattern, is_compound: bool) -> Division {
    let has = |place: Place| pattern & (1 << place) != 0;
    match is_compound {
        true if has(2) || has(10) || (has(6) && (has(4) || has(8))) => {
            Division::new(6).unwrap_or(Division::THIRDS)
        }
        true if has(6) => Division::HALVES,
        true => Division::THIRDS,
        false if has(4) || has(8) => Division::THIRDS,
        false if has(3) || has(9) => Division::QUARTERS,
        false => Division::HALVES,
    }
}

/// Patterns of a plain beat: plain riffs, riffs with triplets, riffs with quarters.
const SIMPLE: [(&[Place], [f64; 3]); 22] = [
    (&[], [0.22, 0.21, 0.20]),
    (&[0], [0.28, 0.24, 0.22]),
    (&[6], [0.13, 0.08, 0.07]),
    (&[0, 6], [0.36, 0.23, 0.22]),
    (&[0, 4, 8], [0.002, 0.16, 0.000_5]),
    (&[4, 8], [0.000_5, 0.03, 0.000_1]),
    (&[0, 8], [0.000_2, 0.005, 0.000_1]),
    (&[8], [0.000_2, 0.004, 0.000_1]),
    (&[0, 4], [0.000_5, 0.03, 0.000_1]),
    (&[4], [0.000_2, 0.008, 0.000_1]),
    (&[0, 3, 6, 9], [0.002, 0.000_5, 0.065]),
    (&[0, 6, 9], [0.002, 0.000_5, 0.06]),
    (&[0, 3, 6], [0.001, 0.000_3, 0.045]),
    (&[0, 9], [0.001, 0.000_3, 0.045]),
    (&[6, 9], [0.000_5, 0.000_2, 0.025]),
    (&[9], [0.000_3, 0.000_1, 0.02]),
    (&[3, 6, 9], [0.000_2, 0.000_1, 0.006]),
    (&[0, 3], [0.000_2, 0.000_1, 0.012]),
    (&[0, 3, 9], [0.000_1, 0.000_1, 0.006]),
    (&[3, 6], [0.000_1, 0.000_1, 0.004]),
    (&[3], [0.000_1, 0.000_1, 0.003]),
    (&[3, 9], [0.000_1, 0.000_1, 0.003]),
];

/// Patterns of a dotted beat. Others have a small probability each.
const DOTTED: [(&[Place], [f64; 3]); 14] = [
    (&[], [0.18, 0.0, 0.0]),
    (&[0], [0.24, 0.0, 0.0]),
    (&[0, 8], [0.18, 0.0, 0.0]),
    (&[0, 4, 8], [0.16, 0.0, 0.0]),
    (&[8], [0.06, 0.0, 0.0]),
    (&[4, 8], [0.04, 0.0, 0.0]),
    (&[0, 4], [0.04, 0.0, 0.0]),
    (&[4], [0.02, 0.0, 0.0]),
    (&[0, 6], [0.002, 0.0, 0.0]),
    (&[0, 4, 8, 10], [0.006, 0.0, 0.0]),
    (&[0, 2, 4, 8], [0.005, 0.0, 0.0]),
    (&[0, 2, 4, 6, 8, 10], [0.005, 0.0, 0.0]),
    (&[0, 8, 10], [0.006, 0.0, 0.0]),
    (&[0, 4, 6, 8], [0.004, 0.0, 0.0]),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_beat_may_hold_adds_up_to_about_one() {
        for column in 0..3 {
            let sum: f64 = SIMPLE.iter().map(|(_, parts)| parts[column]).sum();
            assert!((0.95..=1.05).contains(&sum), "column {column}: {sum}");
        }
    }

    #[test]
    fn thirds_and_quarters_never_share_a_beat() {
        for kind in [Kind::Plain, Kind::Triplets, Kind::Quarters] {
            assert_eq!(kind.cost(pattern_of(&[3, 4])), f64::INFINITY);
            assert_eq!(kind.cost(pattern_of(&[4, 6])), f64::INFINITY);
        }
    }
}
