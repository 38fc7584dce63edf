//! Where a player sits against the beat while the music goes on: a random walk seen through noise, smoothed over the
//! whole of a stretch.

/// How fast a player's place wanders: variance a second, in s². Ten milliseconds in a second.
const WANDER: f64 = 2.5e-5;
/// Before the first note nothing is known: a second either way, in s².
const FIRST_VARIANCE: f64 = 1.0;

/// What one note says of the player's place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Seen {
    /// When the note ought to sound, in seconds.
    pub at: f64,
    /// How late it was, in seconds.
    pub late: f64,
    /// How far it can be trusted, in s².
    pub variance: f64,
}

/// A player's place over time.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Place {
    /// Ascending times, and how late the player is at each.
    points: Vec<(f64, f64)>,
}

impl Place {
    /// Through the points as they are; they need not ascend.
    pub(super) fn through(mut points: Vec<(f64, f64)>) -> Place {
        points.sort_by(|one, other| one.0.total_cmp(&other.0));
        Place { points }
    }

    /// The smoothed place, by a Kalman filter forwards and the recursion of H. E. Rauch, F. Tung and C. T. Striebel
    /// backwards ("Maximum likelihood estimates of linear dynamic systems", AIAA Journal 3(8), 1965, 1445–1450): for a
    /// random walk x̂ₖ + Pₖ/(Pₖ + q)·(x̃ₖ₊₁ − x̂ₖ). `seen` ascends in time.
    pub(super) fn smoothed(seen: &[Seen]) -> Place {
        let mut filtered: Vec<(f64, f64, f64)> = Vec::with_capacity(seen.len());
        for one in seen {
            let (place, variance) = match filtered.last() {
                None => (one.late, FIRST_VARIANCE),
                Some((at, place, variance)) => (*place, variance + WANDER * (one.at - at).max(0.0)),
            };
            let gain = variance / (variance + one.variance);
            filtered.push((one.at, place + gain * (one.late - place), (1.0 - gain) * variance));
        }
        let mut points: Vec<(f64, f64)> = Vec::with_capacity(seen.len());
        for (at, place, variance) in filtered.into_iter().rev() {
            let smooth = points.last().map_or(place, |(next, later)| {
                let walk = WANDER * (next - at).max(0.0);
                place + variance / (variance + walk) * (later - place)
            });
            points.push((at, smooth));
        }
        points.reverse();
        Place { points }
    }

    /// The same with time running backwards: late is early there.
    pub(super) fn backwards(&self) -> Place {
        Place { points: self.points.iter().rev().map(|(at, late)| (-at, -late)).collect() }
    }

    /// How late the player is at `at`: between points on the line, outside them as at the nearest; 0 without any.
    pub(super) fn at(&self, at: f64) -> f64 {
        let next = self.points.partition_point(|point| point.0 < at);
        match (next.checked_sub(1).and_then(|before| self.points.get(before)), self.points.get(next)) {
            (Some(before), Some(after)) => {
                before.1 + (after.1 - before.1) * (at - before.0) / (after.0 - before.0)
            }
            (Some(only), None) | (None, Some(only)) => only.1,
            (None, None) => 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A constant lateness stays what it is, and the line between two points is straight.
    #[test]
    fn a_steady_player_has_one_place() {
        let seen: Vec<Seen> =
            (0..50).map(|k| Seen { at: f64::from(k) * 0.5, late: 0.1, variance: 1e-4 }).collect();
        let place = Place::smoothed(&seen);
        for at in [-1.0, 0.0, 3.3, 24.5, 99.0] {
            assert!((place.at(at) - 0.1).abs() < 1e-9, "{at}: {}", place.at(at));
        }
        let line = Place::through(vec![(2.0, 0.2), (0.0, 0.0)]);
        assert!((line.at(1.5) - 0.15).abs() < 1e-12);
        assert_eq!(Place::default().at(1.0), 0.0);
    }
}
