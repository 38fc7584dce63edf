//! Where a player is against the beat while the music goes on, and how fast that changes: a walk seen through noise.
//!
//! The state is the lateness and its rate (seconds a second of the target), a local linear trend (A. C. Harvey,
//! "Forecasting, structural time series models and the Kalman filter", 1989, section 2.3; from memory). [`Track`] knows
//! what came before a moment, [`Place`] also what came after.

/// How fast a player's place wanders of itself: variance a second, in s². Five milliseconds in a second.
const WANDER: f64 = 2.5e-5;
/// How fast the tempo wanders for somebody of whom nothing is known: variance of the rate a second. 1.4 per cent in a
/// second.
const TEMPO_WANDER: f64 = 2e-4;
/// Somebody whose place is smoothed: by how much the tempo is off (standard deviation, as a share), how fast that
/// wanders, and minus twice the logarithm of how likely such a player is. Tuned on made-up players
/// (`tests/it/practice.rs`, `examples/pairing_table.rs`).
#[derive(Clone, Copy, Debug)]
pub(super) struct Player {
    rate: f64,
    wander: f64,
    price: f64,
}

/// Who stays in the band's tempo.
pub(super) const STEADY: Player = Player { rate: 0.001, wander: 1e-9, price: 0.0 };
/// From the band's tempo to rubato; the one that makes the notes likeliest counts.
pub(super) const PLAYERS: [Player; 5] = [
    STEADY,
    Player { rate: PRIOR_RATE, wander: 1e-8, price: 8.0 },
    Player { rate: PRIOR_RATE, wander: 1e-6, price: 10.0 },
    Player { rate: PRIOR_RATE, wander: 3e-5, price: 12.0 },
    Player { rate: PRIOR_RATE, wander: 1e-3, price: 16.0 },
];
/// Before the first note nothing is known: a second either way, in s².
const FIRST_VARIANCE: f64 = 1.0;
/// Tempos are off by this much (standard deviation, as a share) before anything is known.
pub(super) const PRIOR_RATE: f64 = 0.03;
/// Beyond the first and the last note a rate is trusted for so many seconds.
const TRUSTED_SECONDS: f64 = 2.0;

/// What is known of a player from the notes so far.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Track {
    /// The time in the target, in seconds.
    at: f64,
    /// How late, in seconds; and how fast that grows.
    late: f64,
    rate: f64,
    /// Their variances and covariance.
    late_late: f64,
    late_rate: f64,
    rate_rate: f64,
}

impl Track {
    /// Of nobody.
    pub(super) const EMPTY: Track =
        Track { at: f64::NEG_INFINITY, late: 0.0, rate: 0.0, late_late: 0.0, late_rate: 0.0, rate_rate: 0.0 };

    /// Before the first note, for deviations that are usual.
    pub(super) fn expected(late: f64, rate: f64) -> Track {
        Track { late_late: late * late, rate_rate: rate * rate, ..Track::EMPTY }
    }

    /// Of somebody who begins with one note.
    pub(super) fn begun(at: f64, late: f64, variance: f64, rate: f64) -> Track {
        Track { at, late, late_late: variance, rate_rate: rate * rate, ..Track::EMPTY }
    }

    /// What is expected at `at`, which is not before what is known.
    pub(super) fn at(self, at: f64) -> Track {
        self.walked(at, TEMPO_WANDER)
    }

    fn walked(self, at: f64, wander: f64) -> Track {
        // Before the first note no time has gone by.
        let time = if self.at.is_finite() { (at - self.at).max(0.0) } else { 0.0 };
        let late_rate = self.late_rate + time * self.rate_rate;
        Track {
            at,
            late: self.late + self.rate * time,
            rate: self.rate,
            late_late: self.late_late
                + time * (self.late_rate + late_rate)
                + WANDER * time
                + wander * time.powi(3) / 3.0,
            late_rate: late_rate + wander * time * time / 2.0,
            rate_rate: self.rate_rate + wander * time,
        }
    }

    /// How late, in seconds.
    pub(super) fn late(self) -> f64 {
        self.late
    }

    /// How little that is known, in s².
    pub(super) fn variance(self) -> f64 {
        self.late_late
    }

    /// Having seen a note here that is `late`, give or take the root of `variance`.
    pub(super) fn seen(self, late: f64, variance: f64) -> Track {
        let whole = self.late_late + variance;
        let (gain, rate_gain) = (self.late_late / whole, self.late_rate / whole);
        let off = late - self.late;
        Track {
            late: self.late + gain * off,
            rate: self.rate + rate_gain * off,
            late_late: (1.0 - gain) * self.late_late,
            late_rate: (1.0 - gain) * self.late_rate,
            rate_rate: self.rate_rate - rate_gain * self.late_rate,
            ..self
        }
    }

    /// Having stopped and gone on from another place, at the same tempo.
    pub(super) fn moved_to(self, late: f64, variance: f64) -> Track {
        Track { late, late_late: variance, late_rate: 0.0, ..self }
    }
}

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
    /// Ascending times, how late the player is at each, and how fast that grows.
    points: Vec<(f64, f64, f64)>,
}

impl Place {
    /// The smoothed place of the likeliest of `players`, by a Kalman filter forwards and the recursion of H. E. Rauch,
    /// F. Tung and C. T. Striebel backwards ("Maximum likelihood estimates of linear dynamic systems", AIAA Journal 3(8),
    /// 1965, 1445–1450). `seen` ascends in time. Beside it minus the logarithm of how likely that is.
    pub(super) fn smoothed(seen: &[Seen], players: &[Player]) -> (Place, f64) {
        let tried = players.iter().map(|player| {
            let (tracks, unlikely) = filtered(seen, player);
            (tracks, player.wander, (player.price + unlikely) / 2.0)
        });
        let best = tried.min_by(|one, other| one.2.total_cmp(&other.2));
        best.map_or_else(Default::default, |(tracks, wander, price)| {
            (Place { points: smooth(&tracks, wander) }, price)
        })
    }

    /// Whether anything is known of it.
    pub(super) fn is_known(&self) -> bool {
        !self.points.is_empty()
    }

    /// The same with time running backwards: late is early there.
    pub(super) fn backwards(&self) -> Place {
        Place { points: self.points.iter().rev().map(|(at, late, rate)| (-at, -late, *rate)).collect() }
    }

    /// How late the player is at `at`: between points on the line, outside them as the rate has it for a while; 0
    /// without any.
    pub(super) fn at(&self, at: f64) -> f64 {
        let next = self.points.partition_point(|point| point.0 < at);
        let on = |point: &(f64, f64, f64)| {
            point.1 + point.2 * (at - point.0).clamp(-TRUSTED_SECONDS, TRUSTED_SECONDS)
        };
        match (next.checked_sub(1).and_then(|before| self.points.get(before)), self.points.get(next)) {
            (Some(before), Some(after)) => {
                before.1 + (after.1 - before.1) * (at - before.0) / (after.0 - before.0)
            }
            (Some(only), None) | (None, Some(only)) => on(only),
            (None, None) => 0.0,
        }
    }
}

/// What is known after each note, and minus twice the logarithm of how likely the notes were, but for a constant.
fn filtered(seen: &[Seen], player: &Player) -> (Vec<Track>, f64) {
    let mut tracks: Vec<Track> = Vec::with_capacity(seen.len());
    let mut unlikely = 0.0;
    let mut track = Track { late_late: FIRST_VARIANCE, rate_rate: player.rate * player.rate, ..Track::EMPTY };
    for one in seen {
        let expected = track.walked(one.at, player.wander);
        let (off, variance) = (one.late - expected.late, expected.late_late + one.variance);
        unlikely += off * off / variance + variance.ln();
        track = expected.seen(one.late, one.variance);
        tracks.push(track);
    }
    (tracks, unlikely)
}

/// The tracks as they look once all is known: x̂ₖ + C·(x̃ₖ₊₁ − x̂ₖ₊₁₋) with C = Pₖ·Fᵀ·(Pₖ₊₁₋)⁻¹, times ascending.
fn smooth(tracks: &[Track], wander: f64) -> Vec<(f64, f64, f64)> {
    let mut points: Vec<(f64, f64, f64)> = Vec::with_capacity(tracks.len());
    for track in tracks.iter().rev() {
        let point = points.last().map_or((track.at, track.late, track.rate), |(at, late, rate)| {
            let next = track.walked(*at, wander);
            let time = next.at - track.at;
            let determinant = next.late_late * next.rate_rate - next.late_rate * next.late_rate;
            if determinant <= 0.0 {
                return (track.at, *late, *rate);
            }
            // The two rows of Pₖ·Fᵀ.
            let rows = [
                (track.late_late + time * track.late_rate, track.late_rate),
                (track.late_rate + time * track.rate_rate, track.rate_rate),
            ];
            let off = (late - next.late, rate - next.rate);
            let moved = |row: (f64, f64)| {
                let on_late = row.0 * next.rate_rate - row.1 * next.late_rate;
                let on_rate = row.1 * next.late_late - row.0 * next.late_rate;
                (on_late * off.0 + on_rate * off.1) / determinant
            };
            (track.at, track.late + moved(rows[0]), track.rate + moved(rows[1]))
        });
        points.push(point);
    }
    points.reverse();
    points
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(late: impl Fn(f64) -> f64) -> Place {
        let times = (0..50).map(|k| f64::from(k) * 0.5);
        let seen: Vec<Seen> = times.map(|at| Seen { at, late: late(at), variance: 1e-4 }).collect();
        Place::smoothed(&seen, &PLAYERS).0
    }

    /// A constant lateness stays what it is, and so does a constant tempo.
    #[test]
    fn a_steady_player_has_one_place() {
        let steady = place(|_| 0.1);
        for at in [-1.0, 0.0, 3.3, 24.5, 99.0] {
            assert!((steady.at(at) - 0.1).abs() < 1e-3, "{at}: {}", steady.at(at));
        }
        let slower = place(|at| 0.1 + 0.05 * at);
        for at in [-1.0, 0.0, 3.3, 24.5, 26.0] {
            assert!((slower.at(at) - 0.1 - 0.05 * at).abs() < 5e-3, "{at}: {}", slower.at(at));
        }
        assert_eq!(Place::default().at(1.0), 0.0);
    }

    /// A tempo that swings by three per cent in twenty seconds moves the place by ninety-five milliseconds, and it is
    /// followed to within a tenth of that.
    #[test]
    fn a_moving_tempo_is_followed() {
        let round = std::f64::consts::TAU / 20.0;
        let late = |at: f64| 0.03 / round * (1.0 - (round * at).cos());
        let moving = place(late);
        for at in [0.0, 3.3, 10.0, 24.5] {
            assert!((moving.at(at) - late(at)).abs() < 0.0095, "{at}: {} {}", moving.at(at), late(at));
        }
    }

    /// Backwards and turned over it is the same place.
    #[test]
    fn time_can_run_backwards() {
        let there = place(|at| 0.02 * at);
        let back = there.backwards();
        for at in [-1.0, 0.0, 7.7, 25.0] {
            assert!((back.at(-at) + there.at(at)).abs() < 1e-12);
        }
    }
}
