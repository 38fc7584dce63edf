//! Sine and cosine of parts of a full turn.
//!
//! The standard library's take angles of any size, for which the page would need another two kilobytes.

use std::f64::consts::TAU;

/// Taylor's series of the sine. Up to a quarter of a turn the first term that is left out is below 5e-14.
///
/// Source: NIST Digital Library of Mathematical Functions, 4.19.1.
const TERMS: [f64; 9] = [
    1.0,
    -1.0 / 6.0,
    1.0 / 120.0,
    -1.0 / 5_040.0,
    1.0 / 362_880.0,
    -1.0 / 39_916_800.0,
    1.0 / 6_227_020_800.0,
    -1.0 / 1_307_674_368_000.0,
    1.0 / 355_687_428_096_000.0,
];

/// The sine of an angle in full turns, of any size.
pub fn sine(turns: f64) -> f64 {
    let part = turns - turns.floor();
    // Of the same sine, within a quarter of a turn from 0.
    let near = match part {
        _ if part > 0.75 => part - 1.0,
        _ if part > 0.25 => 0.5 - part,
        _ => part,
    };
    let angle = TAU * near;
    let square = angle * angle;
    angle * TERMS.iter().rev().fold(0.0, |sum, term| sum * square + term)
}

/// The cosine of an angle in full turns, of any size.
pub fn cosine(turns: f64) -> f64 {
    sine(turns + 0.25)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn they_are_the_standard_librarys() {
        for step in -4_000..4_000 {
            let turns = f64::from(step) / 997.0;
            let (sin, cos) = (TAU * turns).sin_cos();
            assert!((sine(turns) - sin).abs() < 1e-13, "{turns}");
            assert!((cosine(turns) - cos).abs() < 1e-13, "{turns}");
        }
    }
}
