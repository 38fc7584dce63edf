//! How far behind the target a player is, from note to note: found over all places at once, so that a missed note, a
//! late start or a new beginning does not lead it astray.
//!
//! A hidden Markov model in the sense of L. R. Rabiner ("A tutorial on hidden Markov models and selected applications in
//! speech recognition", Proceedings of the IEEE 77(2), 1989, 257–286), solved by Viterbi's algorithm. The state is the
//! lateness in steps of [`STEP_SECONDS`]; it moves by a step now and then, and seldom jumps. A played note speaks for
//! each lateness that would make it a target note of its pitch.

use std::ops::Range;

use crate::practice::TimedNote;

/// One state's width: half of what trained listeners hear between two onsets.
pub(super) const STEP_SECONDS: f64 = 0.025;
/// Notes of one pitch lie about their place with this deviation until more is known.
const SPREAD_SECONDS: f64 = 0.05;
/// How much a note in its place is likelier than an extra one: ln(0.93 / (√(2π)·0.05) / (0.3 / 12)), with the chances
/// that [`pairing`](super::pairing) begins with.
const IN_PLACE: f64 = 5.7;
/// What one step of lateness costs from a note to the next; tuned on made-up players (`tests/it/practice.rs`).
const MOVE: f32 = 3.0;
/// What it costs to stop and go on from anywhere: −ln(0.003 / 20 s · 0.8 s) or so.
pub(super) const JUMP: f32 = 9.0;
/// Where players sit before anything is known: calibration, habit and latency together.
pub(super) const PRIOR_SECONDS: f64 = 0.15;
/// Most states times notes; longer performances are searched less far from the target.
const MOST_CELLS: usize = 8_000_000;

/// A stretch without a jump.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Stretch {
    /// The played notes, by index.
    pub plays: Range<usize>,
    /// For each of them how late the player is, in seconds.
    pub late: Vec<f64>,
}

/// The likeliest course of lateness through `played`, both ascending by onset.
pub(super) fn find(target: &[TimedNote], played: &[TimedNote]) -> Vec<Stretch> {
    let Some(states) = States::of(target, played) else { return Vec::new() };
    let by_pitch = by_pitch(target);
    let mut rows = states.prior();
    let mut after = vec![0.0; states.count];
    let mut jumps = Vec::with_capacity(played.len());
    for (index, note) in played.iter().enumerate() {
        if index > 0 {
            let before = &rows[rows.len() - states.count..];
            let best = cheapest(before);
            jumps.push(best);
            step(before, before[best] + JUMP, &mut after);
            rows.extend_from_slice(&after);
        }
        let first = rows.len() - states.count;
        states.hear(*note, &by_pitch[usize::from(note.midi.number())], &mut rows[first..]);
    }
    let row = |index: usize| &rows[index * states.count..][..states.count];
    let mut state = cheapest(row(played.len() - 1));
    let mut path = vec![state; played.len()];
    let mut begins = vec![0];
    for index in (1..played.len()).rev() {
        let before = came_from(row(index - 1), jumps[index - 1], state);
        if states.is_new_start(before, state) {
            begins.push(index);
        }
        state = before;
        path[index - 1] = state;
    }
    begins.sort_unstable();
    begins.push(played.len());
    let late = |plays: &Range<usize>| path[plays.clone()].iter().map(|state| states.late(*state)).collect();
    let stretches = begins.windows(2).map(|ends| ends[0]..ends[1]);
    stretches.map(|plays| Stretch { late: late(&plays), plays }).collect()
}

/// Onsets of the target by MIDI number.
fn by_pitch(target: &[TimedNote]) -> Vec<Vec<f64>> {
    let mut onsets = vec![Vec::new(); 128];
    for note in target {
        onsets[usize::from(note.midi.number())].push(note.onset.0);
    }
    onsets
}

fn cheapest(price: &[f32]) -> usize {
    let least = price.iter().copied().fold(f32::INFINITY, f32::min);
    price.iter().position(|one| *one == least).unwrap_or(0)
}

/// Writes the prices one note on to `after`: staying, moving by a step, or jumping for `jump`.
fn step(before: &[f32], jump: f32, after: &mut [f32]) {
    for (after, before) in after.iter_mut().zip(before) {
        *after = before.min(jump);
    }
    let last = before.len() - 1;
    for (after, below) in after[1..].iter_mut().zip(&before[..last]) {
        *after = after.min(below + MOVE);
    }
    for (after, above) in after[..last].iter_mut().zip(&before[1..]) {
        *after = after.min(above + MOVE);
    }
}

/// The state from which `state` was reached, where a jump came from `jump`.
fn came_from(before: &[f32], jump: usize, state: usize) -> usize {
    let step = |state: usize| before.get(state).map_or(f32::INFINITY, |price| price + MOVE);
    let below = state.wrapping_sub(1);
    let ways = [
        (before[state], state),
        (step(below), below),
        (step(state + 1), state + 1),
        (before[jump] + JUMP, jump),
    ];
    ways.into_iter().fold(ways[0], |best, way| if way.0 < best.0 { way } else { best }).1
}

/// The latenesses that are thought of.
struct States {
    least: f64,
    count: usize,
}

impl States {
    /// All that can bring a played note onto a target note; `None` without notes.
    fn of(target: &[TimedNote], played: &[TimedNote]) -> Option<States> {
        let (least, most) =
            (played.first()?.onset - target.last()?.onset, played.last()?.onset - target.first()?.onset);
        // Away from the target as far as memory allows, and never more than is needed.
        let reach = (MOST_CELLS / played.len() / 2) as f64 * STEP_SECONDS;
        let least = (least.0.min(0.0) - STEP_SECONDS).max(-reach);
        let most = (most.0.max(0.0) + STEP_SECONDS).min(reach);
        Some(States { least, count: ((most - least) / STEP_SECONDS).ceil() as usize + 1 })
    }

    fn late(&self, state: usize) -> f64 {
        self.least + state as f64 * STEP_SECONDS
    }

    /// A player who begins far from the beat has stopped before beginning, so to speak.
    fn prior(&self) -> Vec<f32> {
        let price = |state| (0.5 * (self.late(state) / PRIOR_SECONDS).powi(2)).min(f64::from(JUMP)) as f32;
        (0..self.count).map(price).collect()
    }

    /// Whether the player did something else than shift a little.
    fn is_new_start(&self, before: usize, after: usize) -> bool {
        before.abs_diff(after) as f64 * STEP_SECONDS > 2.0 * PRIOR_SECONDS
    }

    /// Takes off the price of each state what `note` speaks for it, where the target has its pitch at `onsets`.
    fn hear(&self, note: TimedNote, onsets: &[f64], price: &mut [f32]) {
        let reach = (SPREAD_SECONDS * (2.0 * IN_PLACE).sqrt() / STEP_SECONDS).ceil() as i64;
        let centre = |onset: f64| (note.onset.0 - onset - self.least) / STEP_SECONDS;
        // Only target notes that some state can bring here.
        let reached = |state: i64| note.onset.0 - self.least - state as f64 * STEP_SECONDS;
        let first = onsets.partition_point(|onset| *onset < reached(self.count as i64 + reach));
        let end = onsets.partition_point(|onset| *onset <= reached(-reach));
        // Later target notes ask for smaller latenesses; where two ask for one, the nearer counts.
        for (index, onset) in onsets.iter().enumerate().take(end).skip(first) {
            let centre_here = centre(*onset);
            let half = |other: Option<&f64>| other.map(|other| (centre_here + centre(*other)) / 2.0);
            let upper = index.checked_sub(1).and_then(|before| half(onsets.get(before)));
            let lower = half(onsets.get(index + 1));
            let middle = centre_here.round() as i64;
            for state in middle - reach..=middle + reach {
                let place = state as f64;
                let is_other =
                    upper.is_some_and(|upper| place >= upper) || lower.is_some_and(|lower| place < lower);
                let Some(price) = usize::try_from(state).ok().and_then(|state| price.get_mut(state)) else {
                    continue;
                };
                if !is_other {
                    let off = (place - centre_here) * STEP_SECONDS / SPREAD_SECONDS;
                    *price -= (IN_PLACE - 0.5 * off * off).max(0.0) as f32;
                }
            }
        }
    }
}
