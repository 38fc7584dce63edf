//! The search: where in the score each note most likely stands.
//!
//! A note at place `q` is heard at `late + T·q`, `T` being the length of a beat as it was played; on a swung beat the
//! off-beat stands at `o` of it, which is linear in `S = T·o`. So what is not known of a player, (late, T, S), is a
//! Gaussian that each note sharpens (a Kalman filter whose state stands still), and what is not known of the music, the
//! places, is a tree of which the likeliest hypotheses are kept (Cemgil and Kappen 2003, as in [`super`]). The spread of
//! the notes and the kind of rhythm are gone through one by one, and what agrees is added up.

use std::collections::BTreeMap;

use super::prior::{Kind, Pattern, Place};
use super::{Basis, Tempo};
use crate::riff::taken::build::LineNote;

/// Hypotheses that are kept after each note.
const BEAM: usize = 96;
/// Readings that are looked at closely.
const MOST_READINGS: usize = 16;
/// How far single notes are from their places, in seconds: one of these (a standard deviation).
const SPREADS: [f64; 4] = [0.010, 0.018, 0.028, 0.042];
/// How late or early players are throughout, in seconds (standard deviation): people who tap to a click are 40 ms early
/// on average, solo players 25 ms late (sources: Bååth and Madison 2012, open data; Weimar Jazz Database).
const LATE: f64 = 0.045;
/// How far the tempo may be off where it is heard, and where it is only remembered (5 % at most, evenly).
const HEARD: f64 = 0.003;
const REMEMBERED: f64 = 0.029;
/// Where players put the off-beat when it is not known what they hear: a ratio from 1:1 to 2.2:1.
const OFF_BEAT: (f64, f64) = (0.595, 0.05);
/// Beyond these an off-beat is hardly ever put by a player who hears no drums, and how soon it becomes so.
const FEW_PUT_IT: (f64, f64, f64) = (0.48, 0.695, 0.012);
/// Sixteenths are played nearly straight (common practice, no source).
const OFF_BEAT_OF_QUARTERS: (f64, f64) = (0.52, 0.035);
/// How far players are from the swing that they hear (Friberg and Sundström 2002: soloists swing less than drummers).
const FROM_HEARD: f64 = 0.045;
/// By how much of the drums' swing they stay behind it.
const STRAIGHTER: f64 = 0.25;
/// How long before the next note a crushed one comes, and how much that varies; in seconds.
const CRUSHED: (f64, f64) = (0.055, 0.02);
/// What a crushed note costs.
const CRUSHED_COST: f64 = 4.5;
/// What it costs to begin before bar 1.
const PICKUP_COST: f64 = 1.0;
/// What a note costs that is not near any place.
const NOWHERE: f64 = 60.0;
/// Notes further from a place than this, in standard deviations, are not there.
const FURTHEST: f64 = 5.0;

/// Notes that are nearer than this, in seconds, are seldom meant, and how soon it becomes so: in the blues solos of the Weimar
/// Jazz Database one in twenty players has more than six notes a second.
const FAST: (f64, f64) = (0.13, 0.03);

type Vector = [f64; 3];
type Matrix = [[f64; 3]; 3];

/// What is searched: the notes in beats, and what is known.
pub(super) struct Search {
    /// Seconds in a beat, as it was counted in.
    pub(super) beat: f64,
    /// Beats in a bar.
    pub(super) bar: Place,
    /// Whether beats fall into three parts.
    pub(super) is_compound: bool,
    /// Onsets in beats.
    onsets: Vec<f64>,
    /// Ends in beats.
    pub(super) ends: Vec<Option<f64>>,
    tempo: f64,
    off_beat: Option<f64>,
}

/// Where each note stands, and how likely that is.
#[derive(Clone, Debug)]
pub(super) struct Reading {
    /// In the order of the notes; `None` for a crushed one.
    pub(super) places: Vec<Option<Place>>,
    /// A negative logarithm, to be compared with other readings of the same notes.
    pub(super) cost: f64,
    /// Late, T and S, in beats as counted in.
    pub(super) player: Vector,
    /// How far notes are from their places, in seconds.
    pub(super) spread: f64,
}

/// A hypothesis about the notes so far.
#[derive(Clone)]
struct Guess {
    places: Vec<Option<Place>>,
    last: Option<Place>,
    pattern: Pattern,
    cost: f64,
    mean: Vector,
    cov: Matrix,
}

/// One note more: which hypothesis, where, and what it costs then.
struct Step {
    from: usize,
    place: Option<Place>,
    cost: f64,
}

impl Search {
    pub(super) fn of(line: &[LineNote], basis: &Basis) -> Search {
        let beat = basis.tempo.duration(basis.metre.beat()).0;
        Search {
            beat,
            bar: Place::from(basis.metre.beats()),
            is_compound: basis.thirds || basis.metre.is_compound(),
            onsets: line.iter().map(|note| note.onset / beat).collect(),
            ends: line.iter().map(|note| note.end.map(|end| end / beat)).collect(),
            tempo: if basis.known == Tempo::Heard { HEARD } else { REMEMBERED },
            off_beat: basis.off_beat,
        }
    }

    /// When a note at `place` is heard, in beats, as a row that is multiplied with (late, T, S).
    pub(super) fn row(&self, place: Place) -> Vector {
        let (beat, within) = (place.div_euclid(12), place.rem_euclid(12));
        let (beat, fraction) = (f64::from(beat), f64::from(within) / 12.0);
        if self.is_compound || within % 3 != 0 {
            [1.0, beat + fraction, 0.0]
        } else if within <= 6 {
            [1.0, beat, 2.0 * fraction]
        } else {
            [1.0, beat + 2.0 * fraction - 1.0, 2.0 - 2.0 * fraction]
        }
    }

    /// The likeliest places of the notes, the best first.
    pub(super) fn readings(&self) -> Vec<Reading> {
        let mut pooled: BTreeMap<Vec<Option<Place>>, (f64, Reading)> = BTreeMap::new();
        for (kind, part) in Kind::all(self.is_compound) {
            for spread in SPREADS {
                for guess in self.run(*kind, spread) {
                    let last = guess.last.map_or(0.0, |last| held_over(last, None, self.is_compound));
                    let cost = guess.cost - part.ln() + last + self.far_off_beat(guess.mean);
                    let places = guess.places.clone();
                    let reading = Reading { places: guess.places, cost, player: guess.mean, spread };
                    match pooled.get_mut(&places) {
                        Some((sum, best)) => {
                            *sum = added(*sum, cost);
                            if cost < best.cost {
                                *best = reading;
                            }
                        }
                        None => drop(pooled.insert(places, (cost, reading))),
                    }
                }
            }
        }
        let mut readings: Vec<Reading> =
            pooled.into_values().map(|(cost, reading)| Reading { cost, ..reading }).collect();
        readings.sort_by(|one, other| one.cost.total_cmp(&other.cost));
        readings.truncate(MOST_READINGS);
        readings
    }

    /// What it costs that two notes follow each other faster than nearly anybody plays.
    fn fast(&self, last: Place, place: Place) -> f64 {
        let (fastest, soon) = FAST;
        let apart = f64::from(place - last) / 12.0 * self.beat;
        0.5 * ((fastest - apart).max(0.0) / soon).powi(2)
    }

    /// What an off-beat costs that lies where hardly anybody puts it.
    fn far_off_beat(&self, player: Vector) -> f64 {
        if self.is_compound {
            return 0.0;
        }
        let (low, high, soon) = FEW_PUT_IT;
        // Who hears a harder swing may play one.
        let high = self.off_beat.map_or(high, |heard| high.max(heard + soon));
        let off_beat = player[2] / player[1];
        0.5 * ((low - off_beat).max(off_beat - high).max(0.0) / soon).powi(2)
    }

    /// All notes, gone through with one kind of rhythm and one spread.
    fn run(&self, kind: Kind, spread: f64) -> Vec<Guess> {
        let noise = (spread / self.beat).powi(2);
        let mut beam = vec![self.first(kind)];
        for index in 0..self.onsets.len() {
            let mut steps: Vec<Step> = Vec::new();
            for (from, guess) in beam.iter().enumerate() {
                self.steps(guess, from, index, kind, noise, &mut steps);
            }
            if steps.is_empty() {
                // Nothing is anywhere near: the next place that is free will do, so that there always is a reading.
                steps.extend(beam.iter().enumerate().map(|(from, guess)| self.anywhere(guess, from, index)));
            }
            steps.sort_by(|one, other| one.cost.total_cmp(&other.cost));
            steps.truncate(BEAM);
            beam = steps.iter().map(|step| self.taken(&beam[step.from], step, index, noise)).collect();
        }
        beam
    }

    /// The nearest beat that is free, at a price that no sound reading has.
    fn anywhere(&self, guess: &Guess, from: usize, index: usize) -> Step {
        let near = 12 * (self.onsets[index] - guess.mean[0]).round().clamp(-1e6, 1e6) as Place;
        let free = guess.last.map_or(near, |last| 12 * (last.div_euclid(12) + 1));
        Step { from, place: Some(near.max(free)), cost: guess.cost + NOWHERE }
    }

    /// Before the first note.
    fn first(&self, kind: Kind) -> Guess {
        let (off, give) = match (self.off_beat, kind) {
            (_, Kind::Dotted) => (0.5, 0.001),
            (None, Kind::Quarters) => OFF_BEAT_OF_QUARTERS,
            (None, _) => OFF_BEAT,
            (Some(off), Kind::Quarters) => {
                (OFF_BEAT_OF_QUARTERS.0 + STRAIGHTER * (off - 0.5), OFF_BEAT_OF_QUARTERS.1)
            }
            (Some(off), _) => (off - STRAIGHTER * (off - 0.5), FROM_HEARD),
        };
        let (late, tempo) = ((LATE / self.beat).powi(2), self.tempo.powi(2));
        // S is T·o: it varies with both.
        let cov = [
            [late, 0.0, 0.0],
            [0.0, tempo, off * tempo],
            [0.0, off * tempo, give.powi(2) + off * off * tempo],
        ];
        Guess { places: Vec::new(), last: None, pattern: 0, cost: 0.0, mean: [0.0, 1.0, off], cov }
    }

    fn steps(&self, guess: &Guess, from: usize, index: usize, kind: Kind, noise: f64, steps: &mut Vec<Step>) {
        let onset = self.onsets[index];
        if let Some(gap) = self.onsets.get(index + 1).map(|next| (next - onset) * self.beat)
            && gap < 0.12
            && guess.places.last() != Some(&None)
        {
            let (before, varies) = CRUSHED;
            let cost = guess.cost + CRUSHED_COST + 0.5 * ((gap - before) / varies).powi(2) + varies.ln()
                - self.beat.ln();
            steps.push(Step { from, place: None, cost });
        }
        let about = ((onset - guess.mean[0]) / guess.mean[1]).floor() as Place;
        for beat in about - 1..=about + 1 {
            for within in kind.places() {
                let place = 12 * beat + within;
                if guess.last.is_some_and(|last| place <= last) {
                    continue;
                }
                let prior = self.prior(guess, place, kind);
                if !prior.is_finite() {
                    continue;
                }
                let row = self.row(place);
                let off = onset - dot(row, guess.mean);
                let var = dot(row, times(guess.cov, row)) + noise;
                if off * off > FURTHEST * FURTHEST * var {
                    continue;
                }
                let cost = guess.cost + prior + 0.5 * (off * off / var + var.ln());
                steps.push(Step { from, place: Some(place), cost });
            }
        }
    }

    /// What it costs that the next note stands at `place`, before it was heard.
    fn prior(&self, guess: &Guess, place: Place, kind: Kind) -> f64 {
        let (beat, bit): (Place, Pattern) = (place.div_euclid(12), 1 << place.rem_euclid(12));
        let empty = kind.cost(0);
        let held = guess
            .last
            .map_or(0.0, |last| held_over(last, Some(place), self.is_compound) + self.fast(last, place));
        let begun = match guess.last.map(|last| last.div_euclid(12)) {
            None if beat < 0 => kind.cost(bit) + PICKUP_COST + empty * f64::from(-beat - 1),
            None => kind.cost(bit) + empty * f64::from(beat),
            Some(last) if last == beat => kind.cost(guess.pattern | bit) - kind.cost(guess.pattern),
            Some(last) => kind.cost(bit) + empty * f64::from(beat - last - 1),
        };
        begun + held
    }

    /// The hypothesis with one note more: what is known of the player becomes sharper.
    fn taken(&self, guess: &Guess, step: &Step, index: usize, noise: f64) -> Guess {
        let mut next = guess.clone();
        next.cost = step.cost;
        next.places.push(step.place);
        let Some(place) = step.place else { return next };
        let (row, bit) = (self.row(place), 1 << place.rem_euclid(12));
        let is_same = guess.last.is_some_and(|last| last.div_euclid(12) == place.div_euclid(12));
        next.pattern = if is_same { guess.pattern | bit } else { bit };
        next.last = Some(place);
        let across = times(guess.cov, row);
        let var = dot(row, across) + noise;
        let off = self.onsets[index] - dot(row, guess.mean);
        for i in 0..3 {
            next.mean[i] += across[i] * off / var;
            for j in 0..3 {
                next.cov[i][j] -= across[i] * across[j] / var;
            }
        }
        next
    }
}

/// What it costs that after a note at `place` the `next` one is not on the stronger place that it leads to: a half beat is
/// anticipated all the time, a beat by a third now and then, by a quarter seldom (common practice, no source).
fn held_over(place: Place, next: Option<Place>, is_compound: bool) -> f64 {
    let leads_to = |step: Place| next == Some(place.div_euclid(step) * step + step);
    match place.rem_euclid(12) {
        3 | 9 if !leads_to(6) => 1.8,
        2 | 6 | 10 if is_compound && !leads_to(4) => 1.8,
        4 if !leads_to(4) => 0.7,
        8 if !leads_to(12) => 0.7,
        _ => 0.0,
    }
}

pub(super) fn dot(one: Vector, other: Vector) -> f64 {
    one[0] * other[0] + one[1] * other[1] + one[2] * other[2]
}

fn times(matrix: Matrix, vector: Vector) -> Vector {
    matrix.map(|row| dot(row, vector))
}

/// The negative logarithm of the sum of two probabilities that are given by theirs.
fn added(one: f64, other: f64) -> f64 {
    let (low, high) = if one < other { (one, other) } else { (other, one) };
    low - (low - high).exp().ln_1p()
}
