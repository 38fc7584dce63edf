//! Riffs looped over twelve bars, and performances of them whose tempo moves, with known errors, drawn with a seed.
//!
//! What was meant is kept beside what was played, and the code under test never sees it. `examples/pairing_table.rs` uses
//! what the tests leave unused.
#![allow(dead_code)]

use riffloom::practice::TimedNote;
use riffloom::practice::align::Pair;

use crate::player::{Draw, Played, note};

/// How the tempo moves while a riff is played.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Moves {
    /// Not at all.
    Steady,
    /// From 2 % one way to 2 % the other way over the whole.
    Evenly,
    /// By 3 % both ways, once round in 4 to 12 bars.
    RoundAndRound,
}

impl Moves {
    pub const ALL: [Moves; 3] = [Moves::Steady, Moves::Evenly, Moves::RoundAndRound];
}

/// What a performance is like; shares of notes, seconds, and shares of the tempo.
#[derive(Clone, Copy, Debug)]
pub struct Cell {
    /// How much longer everything lasts than it ought to: 0.01 is 1 % slower.
    pub slower: f64,
    pub moves: Moves,
    pub jitter: f64,
    /// Missed, and as many wrong and extra.
    pub errors: f64,
}

impl Cell {
    /// Another for each cell, so that each has riffs of its own.
    fn number(self) -> u64 {
        let in_steps = |value: f64, step: f64| (value / step).round() as i64 as u64;
        let parts = [
            in_steps(self.slower + 1.0, 0.001),
            in_steps(self.jitter, 0.001),
            in_steps(self.errors, 0.001),
            self.moves as u64,
        ];
        parts.into_iter().fold(0, |number, part| number * 4_001 + part)
    }

    /// Every cell of the table: tempo off by −6 to 6 % in steps of half a per cent.
    pub fn all() -> Vec<Cell> {
        let mut cells = Vec::new();
        for moves in Moves::ALL {
            for errors in [0.0, 0.05, 0.1] {
                for jitter in [0.0, 0.01, 0.02, 0.03, 0.04] {
                    for step in -12..=12 {
                        cells.push(Cell { slower: 0.005 * f64::from(step), moves, jitter, errors });
                    }
                }
            }
        }
        cells
    }
}

/// A riff over twelve bars, and one performance of it.
pub struct Looped {
    pub target: Vec<TimedNote>,
    /// For each target note whether it is on a beat.
    pub on_beat: Vec<bool>,
    /// A beat, in seconds.
    pub beat: f64,
    pub played: Vec<Played>,
    /// Where the player was at a moment of the target, but for the jitter.
    pub place: Vec<f64>,
    /// Long to short of the off-beats as played.
    pub swing: f64,
}

impl Looped {
    /// The pairs that were meant and have the right pitch.
    pub fn right_pairs(&self) -> Vec<Pair> {
        let pair = |(played, note): (usize, &Played)| {
            let target = note.meant.filter(|target| self.target[*target].midi == note.note.midi)?;
            Some(Pair { target, played })
        };
        self.played.iter().enumerate().filter_map(pair).collect()
    }
}

/// Draws a performance of `cell`.
pub fn perform(cell: Cell, seed: u64) -> Looped {
    let mut draw =
        Draw(seed.wrapping_mul(0x2545_f491_4f6c_dd1d) ^ cell.number().wrapping_mul(0x9e6c_63d0_876a_46cb));
    let beat = 60.0 / (60.0 + 80.0 * draw.part());
    let drums = [1.0, 1.5, 2.0][draw.one_of(3)];
    let swing = [1.0, 1.3, 1.6, 2.0, 2.2][draw.one_of(5)];
    let bias = 0.06 * (draw.part() - 0.5);
    let (target, on_beat) = riff_looped(beat, drums, &mut draw);
    let end = 48.0 * beat;
    let way = [-1.0, 1.0][draw.one_of(2)];
    let round = (4.0 + 8.0 * draw.part()) * 4.0 * beat;
    let place = |at: f64| {
        let moved = match cell.moves {
            Moves::Steady => 0.0,
            Moves::Evenly => way * 0.02 * (at * at / end - at),
            Moves::RoundAndRound => {
                let turn = std::f64::consts::TAU / round;
                way * 0.03 / turn * (turn * at).sin()
            }
        };
        bias + cell.slower * at + moved
    };
    // How far the player's own off-beats lie from the drums', in beats.
    let later = swing / (1.0 + swing) - drums / (1.0 + drums);
    let places: Vec<f64> = target
        .iter()
        .zip(&on_beat)
        .map(|(goal, on_beat)| place(goal.onset.0) + if *on_beat { 0.0 } else { later * beat })
        .collect();
    let off: Vec<f64> = target.iter().map(|_| cell.jitter * draw.normal()).collect();
    let mut played = Vec::new();
    let mut before = f64::NEG_INFINITY;
    for (index, goal) in target.iter().enumerate() {
        // One note after another: a hand does not strike the second before the first.
        let at = (goal.onset.0 + places[index] + off[index]).max(before);
        before = at;
        let (is_missed, is_wrong, other) =
            (draw.part() < cell.errors, draw.part() < cell.errors, [-2, -1, 1, 2][draw.one_of(4)]);
        if !is_missed {
            let midi = i32::from(goal.midi.number()) + if is_wrong { other } else { 0 };
            played.push(Played { note: note(at, midi), meant: Some(index) });
        }
    }
    let extra = (cell.errors * target.len() as f64).round() as usize;
    for _ in 0..extra {
        let at = end * draw.part();
        played.push(Played { note: note(at + place(at), 60 + draw.one_of(18) as i32), meant: None });
    }
    played.sort_by(|one, other| one.note.onset.0.total_cmp(&other.note.onset.0));
    Looped { target, on_beat, beat, played, place: places, swing }
}

/// Three to eight notes of two to four pitches in one bar or two, on the halves of beats, over twelve bars.
fn riff_looped(beat: f64, drums: f64, draw: &mut Draw) -> (Vec<TimedNote>, Vec<bool>) {
    const SCALE: [i32; 6] = [67, 70, 72, 73, 74, 77];
    let count = 3 + draw.one_of(6);
    let bars = if count > 4 { 2 } else { 1 + draw.one_of(2) };
    let pitches = 2 + draw.one_of(3);
    let mut halves: Vec<usize> = (0..8 * bars).collect();
    for index in 0..count {
        let other = index + draw.one_of(halves.len() - index);
        halves.swap(index, other);
    }
    halves.truncate(count);
    halves.sort_unstable();
    let riff: Vec<(usize, i32)> =
        halves.into_iter().map(|half| (half, SCALE[draw.one_of(pitches)])).collect();
    let (mut target, mut on_beat) = (Vec::new(), Vec::new());
    for round in 0..12 / bars {
        for (half, midi) in &riff {
            let half = half + round * 8 * bars;
            let part = if half % 2 == 0 { 0.0 } else { drums / (1.0 + drums) };
            target.push(note(beat * ((half / 2) as f64 + part), *midi));
            on_beat.push(half % 2 == 0);
        }
    }
    (target, on_beat)
}
