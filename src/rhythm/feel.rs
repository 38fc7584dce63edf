//! Feel: how the halves of a beat are shared out.

use crate::rhythm::grid::Division;
use crate::units::QuartersPerMinute;

/// How long the first half of a beat lasts against the second, 1 ..= 3.5: 1 is straight, 2 the triplet shuffle.
///
/// Range: Friberg and Sundström, "Swing ratios and ensemble timing in jazz performance", Music Perception 19(3),
/// 2002, 333–349: drummers go from about 3.5:1 at slow tempi to 1:1 at fast ones.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct SwingRatio(f64);

impl SwingRatio {
    /// Both halves alike.
    pub const STRAIGHT: SwingRatio = SwingRatio(1.0);
    /// The first half twice as long: the shuffle.
    pub const TRIPLET: SwingRatio = SwingRatio(2.0);

    /// A ratio, or `None` outside 1 ..= 3.5 (and for NaN).
    pub fn new(ratio: f64) -> Option<SwingRatio> {
        (1.0..=3.5).contains(&ratio).then_some(SwingRatio(ratio))
    }

    /// The ratio of a ride cymbal at a tempo: a straight line from 3.5:1 at 120 quarters a minute down to 1:1 at 300,
    /// and no further. Meant for the ride's swing alone: a shuffle stays near the triplet at any tempo.
    ///
    /// Source: Friberg and Sundström (as above) report drummers' ratios roughly linear in tempo, up to 3.5:1 at slow
    /// tempi and 1:1 at fast ones; the line's end points are read from there.
    pub fn by_tempo(tempo: QuartersPerMinute) -> SwingRatio {
        let ratio = 3.5 - 2.5 * (tempo.value() - 120.0) / 180.0;
        SwingRatio(ratio.clamp(1.0, 3.5))
    }

    /// The ratio in which people share out the beat who are asked for this one: at fast tempi they swing less far. Their
    /// line is 4.1019 − 0.01 to the quarter a minute, measured from about 100 quarters a minute on; what swings never
    /// becomes quite straight.
    ///
    /// Source: the regression line in the rules by Friberg, published as swing rules with Gulz and Wettebrandt, Computer
    /// Music Journal 47(1), 2023.
    #[must_use]
    pub fn among_people(self, tempo: QuartersPerMinute) -> SwingRatio {
        SwingRatio(self.0.min((4.1019 - 0.01 * tempo.value()).max(1.01)))
    }

    /// Long to short.
    pub fn value(self) -> f64 {
        self.0
    }

    /// Where the second half of the beat begins, as a fraction of the beat: r/(1+r).
    pub fn off_beat(self) -> f64 {
        self.0 / (1.0 + self.0)
    }

    /// Where a point at `fraction` (0 ..= 1) of a beat sounds, when that beat is written in `division` parts.
    pub fn bend(self, fraction: f64, division: Division) -> f64 {
        bend(fraction, division, self.off_beat())
    }
}

/// Where a point at `fraction` (0 ..= 1) of a beat sounds, when that beat is written in `division` parts and its second
/// half begins at `off_beat` (a fraction too), which for a player may lie anywhere. Beats in halves or quarters bend, in
/// two straight pieces that meet on the off-beat; thirds and other odd divisions stay as written.
pub fn bend(fraction: f64, division: Division, off_beat: f64) -> f64 {
    if !division.parts().is_multiple_of(2) {
        fraction
    } else if fraction < 0.5 {
        fraction * 2.0 * off_beat
    } else {
        off_beat + (fraction - 0.5) * 2.0 * (1.0 - off_beat)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A short note of about 100 ms at medium-fast tempi (Friberg and Sundström, as above): the line stays within
    /// 15 ms of it from 160 to 280 quarters a minute.
    #[test]
    fn the_rides_short_note_is_about_100_ms() {
        for tempo in [160.0, 200.0, 240.0, 280.0] {
            let ratio = SwingRatio::by_tempo(QuartersPerMinute::new(tempo).unwrap());
            let short = 60.0 / tempo * (1.0 - ratio.off_beat());
            assert!((short - 0.1).abs() < 0.015, "{tempo}: {short}");
        }
        assert_eq!(SwingRatio::by_tempo(QuartersPerMinute::new(60.0).unwrap()).value(), 3.5);
        assert_eq!(SwingRatio::by_tempo(QuartersPerMinute::new(400.0).unwrap()).value(), 1.0);
    }

    /// Off-beat of a beat of 480 ticks: 1:1 240, 1.5:1 288, 2:1 320, 3:1 360 (r/(1+r), worked by hand).
    #[test]
    fn the_off_beat_lies_at_r_over_one_plus_r() {
        for (ratio, tick) in [(1.0, 240.0), (1.5, 288.0), (2.0, 320.0), (3.0, 360.0)] {
            let swing = SwingRatio::new(ratio).unwrap();
            assert!((swing.bend(0.5, Division::HALVES) * 480.0 - tick).abs() < 1e-9, "{ratio}");
            assert_eq!(swing.bend(1.0 / 3.0, Division::THIRDS), 1.0 / 3.0);
            assert_eq!(
                (swing.bend(0.0, Division::QUARTERS), swing.bend(1.0, Division::QUARTERS)),
                (0.0, 1.0)
            );
        }
    }
}
