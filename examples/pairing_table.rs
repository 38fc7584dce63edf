//! Prints how well performances whose tempo moves are understood: riffs of three to eight notes over twelve bars, drawn
//! with seeds, with known errors. Each row is 25 cells, for tempos that are off by −6 to 6 % in steps of half a per cent.
//!
//! F is the measure of right pairs beside those that were meant: the mean of a row and its worst cell. Bias, spread (ms),
//! drift (% of the tempo) and swing (long to short) are compared with the same figures of the pairs that were meant, the
//! furthest of all performances in a row; "drift" and "swing" also with what the player was told to do.
//!
//! `cargo run --release --example pairing_table [-- --held-out] [-- --dump]`: `--held-out` takes seeds that nothing was
//! tuned on, `--dump` prints the performances as lines of JSON for `tests/reference/pairing.py` instead.

#[path = "../tests/it/looped.rs"]
mod looped;
#[allow(dead_code)]
#[path = "../tests/it/player.rs"]
mod player;

use std::collections::BTreeMap;

use looped::{Cell, Looped, perform};
use riffloom::practice::TimedNote;
use riffloom::practice::align::{Alignment, Pair, align};
use riffloom::practice::figures::{Figures, right_pairs};
use riffloom::practice::pass::{Goal, Pass, Place};
use riffloom::practice::window::{Room, Window};
use riffloom::rhythm::grid::Division;
use riffloom::units::{AudioTime, QuartersPerMinute, Seconds, Ticks};

/// Seeds that the prices were tuned on, and others.
const SEEDS: std::ops::RangeInclusive<u64> = 1..=4;
const HELD_OUT: std::ops::RangeInclusive<u64> = 1_001..=1_004;

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let seeds = if words.iter().any(|word| word == "--held-out") { HELD_OUT } else { SEEDS };
    if words.iter().any(|word| word == "--dump") {
        dump(seeds);
        return;
    }
    println!("seeds {} to {}, each with 25 tempos in a row", seeds.start(), seeds.end());
    println!(
        "tempo           errors jitter | F mean  worst | bias   spread  drift  swing | told: drift  swing"
    );
    let mut rows: BTreeMap<(usize, i64, i64), Row> = BTreeMap::new();
    for cell in Cell::all() {
        let moves = looped::Moves::ALL.iter().position(|moves| *moves == cell.moves).unwrap_or(0);
        let key = (moves, (1e3 * cell.errors) as i64, (1e3 * cell.jitter) as i64);
        let row = rows.entry(key).or_default();
        let mut sum = 0.0;
        for seed in seeds.clone() {
            sum += row.add(&perform(cell, seed));
        }
        let mean = sum / seeds.clone().count() as f64;
        row.cells.push(mean);
    }
    let mut short = 0;
    for ((moves, errors, jitter), row) in &rows {
        let name = ["steady", "evenly", "round and round"][*moves];
        let floor = if *errors == 0 { 0.99 } else { 0.97 };
        short += row.cells.iter().filter(|f| **f < floor).count();
        let mean = row.cells.iter().sum::<f64>() / row.cells.len() as f64;
        let worst = row.cells.iter().copied().fold(1.0, f64::min);
        println!(
            "{name:15} {:4.0} % {jitter:3} ms | {mean:.4} {worst:.4} | {:5.2}  {:5.2}  {:5.3}  {:5.3} | {:5.3}  {:5.3}",
            *errors as f64 / 10.0,
            row.bias,
            row.spread,
            row.drift,
            row.swing,
            row.told_drift,
            row.told_swing
        );
    }
    println!(
        "{} cells, {short} under the floor of 0.99 without errors and 0.97 with",
        rows.values().map(|row| row.cells.len()).sum::<usize>()
    );
}

#[derive(Default)]
struct Row {
    cells: Vec<f64>,
    bias: f64,
    spread: f64,
    drift: f64,
    swing: f64,
    told_drift: f64,
    told_swing: f64,
}

impl Row {
    /// Takes a performance, and gives its F.
    fn add(&mut self, looped: &Looped) -> f64 {
        let played: Vec<TimedNote> = looped.played.iter().map(|played| played.note).collect();
        let found = align(&looped.target, &played);
        let meant = Alignment { pairs: looped.right_pairs(), ..Alignment::default() };
        let (ours, theirs) = (right_pairs(&looped.target, &played, &found), &meant.pairs);
        let shared = ours.iter().filter(|pair| theirs.contains(pair)).count();
        let (got, want) =
            (Figures::of(&looped.target, &played, &found), Figures::of(&looped.target, &played, &meant));
        let off = |one: Option<Seconds>, other: Option<Seconds>| {
            one.zip(other).map_or(0.0, |(one, other)| (one.0 - other.0).abs())
        };
        let most = |most: &mut f64, value: f64| *most = most.max(value);
        most(&mut self.bias, 1e3 * off(got.bias, want.bias));
        most(&mut self.spread, 1e3 * off(got.spread, want.spread));
        most(&mut self.drift, 100.0 / 60.0 * off(got.drift_per_minute, want.drift_per_minute));
        let told = slope(looped);
        let drift = got.drift_per_minute.map_or(0.0, |drift| (drift.0 / 60.0 - told).abs());
        most(&mut self.told_drift, 100.0 * drift);
        if let Some(swing) = swing(looped, &played) {
            let meant: Vec<TimedNote> = looped.right_pairs().iter().map(|pair| played[pair.played]).collect();
            if let Some(other) = self::swing(looped, &meant) {
                most(&mut self.swing, (swing - other).abs());
            }
            most(&mut self.told_swing, (swing - looped.swing).abs());
        }
        2.0 * shared as f64 / (ours.len() + theirs.len()) as f64
    }
}

/// The line of least squares through the place that the player was told, at the notes that are right.
fn slope(looped: &Looped) -> f64 {
    let at: Vec<Pair> = looped.right_pairs();
    let points: Vec<(f64, f64)> =
        at.iter().map(|pair| (looped.target[pair.target].onset.0, looped.place[pair.target])).collect();
    let mean = |of: &dyn Fn(&(f64, f64)) -> f64| points.iter().map(of).sum::<f64>() / points.len() as f64;
    let (x, y) = (mean(&|point| point.0), mean(&|point| point.1));
    let along = mean(&|point| (point.0 - x) * (point.1 - y));
    along / mean(&|point| (point.0 - x).powi(2)).max(1e-12)
}

fn swing(looped: &Looped, played: &[TimedNote]) -> Option<f64> {
    let goal = |(index, note): (usize, &TimedNote)| {
        let beat_start = AudioTime((note.onset.0 / looped.beat + 1e-6).floor() * looped.beat);
        Goal {
            note: *note,
            place: if looped.on_beat[index] { Place::OnBeat } else { Place::OffBeat },
            beat_start,
            beat: Seconds(looped.beat),
            of_riff: index,
            bar: None,
            bar_start: beat_start,
        }
    };
    let goals: Vec<Goal> = looped.target.iter().enumerate().map(goal).collect();
    let tempo = QuartersPerMinute::new(60.0 / looped.beat)?;
    let window = Window::new(tempo, Ticks::QUARTER, Division::HALVES, Room::Usual);
    let on = goals.iter().filter(|goal| goal.place == Place::OnBeat).count();
    // Without beats to hear, there is nothing to swing against.
    (on >= 3).then(|| Pass::of(&goals, played, window, &[]).swing.map(|swing| swing.ratio()))?
}

/// A line of JSON a performance: its cell, seed, notes, what was meant, and what is found.
fn dump(seeds: std::ops::RangeInclusive<u64>) {
    for cell in Cell::all() {
        for seed in seeds.clone() {
            let looped = perform(cell, seed);
            let played: Vec<TimedNote> = looped.played.iter().map(|played| played.note).collect();
            let found = align(&looped.target, &played);
            let notes = |notes: &[TimedNote]| {
                let all: Vec<String> = notes
                    .iter()
                    .map(|note| format!("[{:.6},{}]", note.onset.0, note.midi.number()))
                    .collect();
                all.join(",")
            };
            let pairs = |pairs: &[Pair]| {
                let all: Vec<String> =
                    pairs.iter().map(|pair| format!("[{},{}]", pair.target, pair.played)).collect();
                all.join(",")
            };
            println!(
                "{{\"moves\":\"{:?}\",\"errors\":{},\"jitter\":{},\"slower\":{:.3},\"seed\":{seed},\"target\":[{}],\"played\":[{}],\"meant\":[{}],\"found\":[{}]}}",
                cell.moves,
                cell.errors,
                cell.jitter,
                cell.slower,
                notes(&looped.target),
                notes(&played),
                pairs(&looped.right_pairs()),
                pairs(&right_pairs(&looped.target, &played, &found))
            );
        }
    }
}
