//! How near counts as in time: a window that follows tempo and grid, and what nobody can hear.

use crate::rhythm::grid::Division;
use crate::units::{QuartersPerMinute, Seconds, Ticks};

/// The smallest displacement of one sound that listeners hear in a row of sounds `interval` apart: 6 ms up to 240 ms,
/// 2.5 % above. Practice does not make it smaller.
///
/// Source: A. Friberg and J. Sundberg, "Time discrimination in a monotonic, isochronous sequence", JASA 98(5), 1995,
/// 2524–2531, doi:10.1121/1.413218, abstract.
pub fn just_noticeable(interval: Seconds) -> Seconds {
    Seconds((0.025 * interval.0).max(0.006))
}

/// How much wider than usual the window is, for those who want or need more room.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Room {
    /// As people tap.
    #[default]
    Usual,
    /// Half as much again.
    More,
    /// Twice as much.
    Most,
}

impl Room {
    fn factor(self) -> f64 {
        match self {
            Room::Usual => 1.0,
            Room::More => 1.5,
            Room::Most => 2.0,
        }
    }
}

/// How far a note may lie from the player's own place, on either side, and still count as in time.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Window(Seconds);

impl Window {
    /// A twelfth of a beat: 50 ms at 100 beats a minute.
    ///
    /// Reason: people who tap with a metronome spread in proportion to its interval, with a standard deviation of about
    /// a twentieth of it; at 600 ms, nine taps in ten lie within 50 ms of the tapper's own mean (open data of R. Bååth
    /// and G. Madison, "The subjective difficulty of tapping to a slow beat", Proceedings of the 12th International
    /// Conference on Music Perception and Cognition, 2012). 50 ms is also the window in which onsets are commonly
    /// scored (C. Raffel et al., "mir_eval: a transparent implementation of common MIR metrics", ISMIR 2014).
    const OF_BEAT: f64 = 1.0 / 12.0;

    /// The window at a tempo, where `beat` is one beat and `finest` the finest division of a beat in the target. Never
    /// wider than half of its step, where a note would as well belong to the next step; never finer than what can be
    /// heard ([`just_noticeable`]) in a row of such steps.
    pub fn new(tempo: QuartersPerMinute, beat: Ticks, finest: Division, room: Room) -> Window {
        let step = tempo.duration(finest.step(beat));
        let width = tempo.duration(beat).0 * Self::OF_BEAT * room.factor();
        Window(Seconds(width.min(step.0 / 2.0).max(just_noticeable(step).0)))
    }

    /// On either side.
    pub fn half_width(self) -> Seconds {
        self.0
    }

    /// Whether a note this far from the player's own place is in time; the edge belongs to it. Counted in whole
    /// microseconds, since 1.05 − 1.00 ≤ 0.05 fails in binary fractions.
    pub fn holds(self, off: Seconds) -> bool {
        micros(off).abs() <= micros(self.0)
    }
}

/// The nearest whole number of microseconds; beyond ±292 000 years the furthest there is.
pub(super) fn micros(time: Seconds) -> i64 {
    (time.0 * 1e6).round() as i64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The abstract: about 6 ms below 240 ms, 2.5 % above; so 12.5 ms at 120 and 15 ms at 100 beats a minute.
    #[test]
    fn what_can_be_heard_follows_the_published_line() {
        for (interval, heard) in [(0.1, 0.006), (0.24, 0.006), (0.5, 0.0125), (0.6, 0.015), (1.0, 0.025)] {
            assert!((just_noticeable(Seconds(interval)).0 - heard).abs() < 1e-12, "{interval}");
        }
    }

    /// Worked by hand from the rule.
    #[test]
    fn the_window_follows_tempo_and_grid() {
        let window = |tempo, parts, room| {
            let tempo = QuartersPerMinute::new(tempo).unwrap();
            let division = Division::new(parts).unwrap();
            1e3 * Window::new(tempo, Ticks::QUARTER, division, room).half_width().0
        };
        for (tempo, parts, room, expected) in [
            (100.0, 2, Room::Usual, 50.0),
            (60.0, 3, Room::Usual, 83.333),
            (60.0, 3, Room::Most, 166.667),
            // Sixteenths at 150 are 100 ms apart: half of that, however much room is wanted.
            (150.0, 4, Room::Most, 50.0),
            (400.0, 8, Room::Usual, 9.375),
            (20.0, 1, Room::Usual, 250.0),
        ] {
            assert!((window(tempo, parts, room) - expected).abs() < 0.001, "{tempo} {parts} {room:?}");
        }
    }

    #[test]
    fn the_edge_of_the_window_belongs_to_it() {
        let window = Window::new(
            QuartersPerMinute::new(100.0).unwrap(),
            Ticks::QUARTER,
            Division::HALVES,
            Room::Usual,
        );
        assert!(window.holds(Seconds(1.05 - 1.0)) && window.holds(Seconds(0.95 - 1.0)));
        assert!(!window.holds(Seconds(0.050_001)) && !window.holds(Seconds(f64::INFINITY)));
    }
}
