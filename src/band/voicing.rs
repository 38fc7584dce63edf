//! How chords lie under the hands: the voices of each move as little as they can to the next.

use crate::theory::chord::Chord;

/// The notes of a chord as played, ascending MIDI numbers.
pub type Voicing = Vec<i32>;

/// The lowest and the highest note of the chords behind, D3 and C5: above the bass and, mostly, below the soloist
/// (common practice, no source).
const LOWEST: i32 = 50;
const HIGHEST: i32 = 72;
/// The furthest that a voice may move: a third.
const FURTHEST: i32 = 4;

/// How many voices there are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Voices {
    /// The third and the seventh, or what stands for them.
    Two,
    /// The fifth besides.
    Three,
}

impl Voices {
    /// The highest note of chords that lie below `lowest`, the lowest note that the soloist plays (127 where there is none):
    /// as low as leaves room for every chord.
    pub fn below(lowest: i32) -> i32 {
        // Fewer half steps leave chords that no hand comes to within a third; tried on charts by chance.
        const ROOM: i32 = 16;
        (lowest - 1).clamp(LOWEST + ROOM, HIGHEST)
    }
}

/// Voicings for `chords`, which are played in a circle and go no higher than `highest` ([`Voices::below`]), such that all
/// voices together move as little as can be and none further than a third where that can be had. Where no chord sounds
/// there are no notes, and the hands go on from where they were.
pub fn lead(chords: &[&Chord], voices: Voices, highest: i32) -> Vec<Voicing> {
    let mut led = lead_all(chords.iter().filter(|chord| !chord.is_none()), voices, highest).into_iter();
    let of = |chord: &&Chord| if chord.is_none() { Voicing::new() } else { led.next().unwrap_or_default() };
    chords.iter().map(of).collect()
}

fn lead_all<'a>(chords: impl Iterator<Item = &'a &'a Chord>, voices: Voices, highest: i32) -> Vec<Voicing> {
    let choices: Vec<Vec<Voicing>> = chords.map(|chord| positions(chord, voices, highest)).collect();
    let Some(first) = choices.first() else { return Vec::new() };
    let ways = first.iter().map(|start| way_round(start, &choices));
    ways.min_by_key(|(cost, _)| *cost).map_or_else(Vec::new, |(_, way)| way)
}

/// The voicing of `chord` that lies nearest to `before`.
pub fn nearest(before: &Voicing, chord: &Chord, voices: Voices, highest: i32) -> Voicing {
    positions(chord, voices, highest)
        .into_iter()
        .min_by_key(|voicing| distance(before, voicing))
        .unwrap_or_default()
}

/// The cheapest way through `choices` that begins and ends at `start`, and its cost (dynamic programming).
fn way_round(start: &Voicing, choices: &[Vec<Voicing>]) -> (i32, Vec<Voicing>) {
    // For each position of the chord at hand: the cost so far; and for each chord, from where each was reached.
    let mut costs = vec![(start, 0)];
    let mut from: Vec<Vec<usize>> = Vec::new();
    for positions in &choices[1..] {
        let reached = positions.iter().map(|voicing| {
            let costs = costs.iter().map(|(before, cost)| cost + distance(before, voicing));
            costs.enumerate().min_by_key(|(_, cost)| *cost).unwrap_or((0, 0))
        });
        let reached: Vec<(usize, i32)> = reached.collect();
        costs = positions.iter().zip(&reached).map(|(voicing, (_, cost))| (voicing, *cost)).collect();
        from.push(reached.into_iter().map(|(index, _)| index).collect());
    }
    let home = costs.iter().enumerate().map(|(index, (last, cost))| (cost + distance(last, start), index));
    let (cost, mut index) = home.min().unwrap_or((0, 0));
    let mut way = Vec::with_capacity(choices.len());
    for (positions, from) in choices[1..].iter().zip(&from).rev() {
        way.push(positions[index].clone());
        index = from[index];
    }
    way.push(start.clone());
    way.reverse();
    (cost, way)
}

/// How far the voices move, in squared half steps; much more where one leaps beyond a third.
fn distance(before: &Voicing, after: &Voicing) -> i32 {
    let moves = before.iter().zip(after).map(|(a, b)| (b - a).abs());
    moves.map(|step| step * step + if step > FURTHEST { 10_000 } else { 0 }).sum()
}

/// Every close position of the chord's tones between the lowest and the highest note.
fn positions(chord: &Chord, voices: Voices, highest: i32) -> Vec<Voicing> {
    let mut found = Vec::new();
    for classes in [tones(chord, GUIDES, voices), tones(chord, FIFTHS, voices)] {
        for bottom in LOWEST..highest {
            let Some(begin) = classes.iter().position(|class| (bottom - class) % 12 == 0) else { continue };
            let mut voicing: Voicing =
                classes.iter().map(|class| bottom + (class - classes[begin]).rem_euclid(12)).collect();
            voicing.sort_unstable();
            if voicing.iter().all(|note| *note <= highest) && !found.contains(&voicing) {
                found.push(voicing);
            }
        }
    }
    found
}

/// Steps above the root that are played, each voice its first that the chord has: the third (the fourth or second of a
/// suspended chord) and the seventh (else the sixth, else the root), and as a third voice the fifth (else the root).
const GUIDES: [&[i32]; 3] = [&[2, 3, 1, 4], &[6, 5, 0], &[4, 0]];
/// The same with the fifth for a triad's root, where the hands are nearer to it.
const FIFTHS: [&[i32]; 3] = [&[2, 3, 1, 4], &[6, 5, 4, 0], &[4, 0]];

/// The pitch classes of `guides` that are played.
fn tones(chord: &Chord, guides: [&[i32]; 3], voices: Voices) -> Vec<i32> {
    let intervals = chord.quality.intervals();
    let first_of = |wanted: &[i32]| {
        wanted.iter().find_map(|steps| intervals.iter().find(|interval| interval.steps == *steps)).copied()
    };
    let count = if voices == Voices::Two { 2 } else { 3 };
    let mut classes: Vec<i32> = Vec::new();
    for interval in guides[..count].iter().filter_map(|wanted| first_of(wanted)) {
        let class = chord.root.up(interval).pitch_class();
        if !classes.contains(&class) {
            classes.push(class);
        }
    }
    classes
}
