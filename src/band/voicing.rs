//! How chords lie under the hands: the voices of each move as little as they can to the next.

use std::ops::RangeInclusive;

use crate::theory::chord::Chord;

/// The notes of a chord as played, ascending MIDI numbers.
pub type Voicing = Vec<i32>;

/// The lowest and the highest note of the chords behind, D3 and C5: above the bass and, mostly, below the soloist
/// (common practice, no source).
const LOWEST: i32 = 50;
const HIGHEST: i32 = 72;
/// The lowest note of two voices alone, B♭2: lower, a third or a tritone growls (common practice, no source).
const LOWEST_OF_TWO: i32 = 46;
/// The highest of chords that lie above a low riff, G5 (common practice, no source).
const HIGHEST_ABOVE: i32 = 79;
/// Half steps that leave room for every chord, wherever the hands come from: tried on charts by chance.
const ROOM: i32 = 16;
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

/// In how many voices hands play chords, and between which notes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hands {
    voices: Voices,
    lowest: i32,
    highest: i32,
}

/// Voicings for `chords`, which are played in a circle, out of the way of what the soloist plays between the notes of
/// `solo`; and the hands that play them. All voices together move as little as can be, and none further than a third where
/// that can be had. Where no chord sounds there are no notes, and the hands go on from where they were.
///
/// They lie below the soloist: as they are where there is room, else in two voices and lower. Where that leaves a chord that
/// cannot be reached they lie above a low riff, or reach into the riff by as few half steps as can be.
pub fn lead(chords: &[&Chord], voices: Voices, solo: Option<RangeInclusive<i32>>) -> (Hands, Vec<Voicing>) {
    let (under, over) = solo.map_or((HIGHEST, HIGHEST_ABOVE), |solo| (solo.start() - 1, solo.end() + 1));
    let usual = Hands { voices, lowest: LOWEST, highest: under.clamp(LOWEST + ROOM, HIGHEST) };
    let low = |highest: i32| Hands { voices: Voices::Two, lowest: LOWEST_OF_TWO, highest };
    let above = Hands { voices: Voices::Two, lowest: over, highest: over + ROOM };
    let tries = [Hands { highest: under.min(HIGHEST), ..usual }, low(under), above];
    let tries = tries.into_iter().filter(|hands| hands.highest <= HIGHEST_ABOVE);
    let mut tries = tries.chain((under + 1..usual.highest).map(low));
    let led = tries.find_map(|hands| {
        let (cost, led) = hands.lead(chords)?;
        (cost < LEAP).then_some((hands, led))
    });
    led.unwrap_or_else(|| (usual, usual.through(chords)))
}

impl Hands {
    /// Two voices in as little room as leaves every chord near to the one before.
    pub const NARROW: Hands = Hands { voices: Voices::Two, lowest: LOWEST, highest: LOWEST + ROOM };

    /// Voicings as [`lead`] has them, under these hands alone; none where a chord lies nowhere under them.
    pub fn through(self, chords: &[&Chord]) -> Vec<Voicing> {
        self.lead(chords).map_or_else(Vec::new, |(_, led)| led)
    }

    /// The cheapest way through the chords and its cost, or `None` where a chord lies nowhere under these hands.
    fn lead(self, chords: &[&Chord]) -> Option<(i32, Vec<Voicing>)> {
        let choices: Vec<Vec<Voicing>> =
            chords.iter().filter(|chord| !chord.is_none()).map(|chord| self.positions(chord)).collect();
        if choices.iter().any(Vec::is_empty) {
            return None;
        }
        let ways = choices.iter().take(1).flatten().map(|start| way_round(start, &choices));
        let (cost, led) = ways.min_by_key(|(cost, _)| *cost).unwrap_or_default();
        let mut led = led.into_iter();
        let of = |chord: &&Chord| if chord.is_none() { None } else { led.next() };
        Some((cost, chords.iter().map(of).map(Option::unwrap_or_default).collect()))
    }

    /// The voicing of `chord` that lies nearest to `before`.
    pub fn nearest(self, before: &Voicing, chord: &Chord) -> Voicing {
        let positions = self.positions(chord).into_iter();
        positions.min_by_key(|voicing| distance(before, voicing)).unwrap_or_default()
    }

    /// Every close position of the chord's tones between the lowest and the highest note.
    fn positions(self, chord: &Chord) -> Vec<Voicing> {
        let mut found = Vec::new();
        for classes in [tones(chord, GUIDES, self.voices), tones(chord, FIFTHS, self.voices)] {
            for bottom in self.lowest..self.highest {
                let Some(begin) = classes.iter().position(|class| (bottom - class) % 12 == 0) else {
                    continue;
                };
                let mut voicing: Voicing =
                    classes.iter().map(|class| bottom + (class - classes[begin]).rem_euclid(12)).collect();
                voicing.sort_unstable();
                if voicing.iter().all(|note| *note <= self.highest) && !found.contains(&voicing) {
                    found.push(voicing);
                }
            }
        }
        found
    }
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

/// What a voice costs that leaps beyond a third: more than all else together.
const LEAP: i32 = 1_000_000;

/// How far the voices move, in squared half steps; much more where one leaps beyond a third.
fn distance(before: &Voicing, after: &Voicing) -> i32 {
    let moves = before.iter().zip(after).map(|(a, b)| (b - a).abs());
    moves.map(|step| step * step + if step > FURTHEST { LEAP } else { 0 }).sum()
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
