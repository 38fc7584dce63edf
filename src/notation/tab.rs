//! Where notes of one voice lie on the strings of a fretted instrument.

use crate::theory::pitch::Pitch;

/// A place on a fretboard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Stop {
    /// Which string, by its index among the open strings.
    pub string: usize,
    /// Which fret: 0 is the open string, at most [`HIGHEST_FRET`].
    pub fret: u8,
}

/// The highest fret that is used.
pub const HIGHEST_FRET: u8 = 15;
/// How many frets the hand lies over: one a finger.
const SPAN: u8 = 4;

/// Where the hand is, and the least that it has cost to come there.
#[derive(Clone, Copy)]
struct Way {
    stop: Stop,
    /// The fret under the first finger.
    hand: u8,
    cost: u32,
    /// Which way of the note before it goes on from.
    from: usize,
}

/// Where each note is played on these open strings; `None` for a note that lies on no string up to fret
/// [`HIGHEST_FRET`].
///
/// Of all ways the cheapest is taken, of equal ones the first. The hand lies over four frets and stays where it is as
/// long as it can: each fret that it moves costs 4, each fret that it lies above the first one costs 1 a note, and of two
/// places under the hand the lower fret is taken. An open string may sound wherever the hand is; one that is not tuned in
/// order, as the fourth of a ukulele, counts as five frets more. Source: common practice, no source; the numbers are our
/// own.
pub fn stops(strings: &[Pitch], notes: &[Pitch]) -> Vec<Option<Stop>> {
    let mut ways: Vec<Vec<Way>> = Vec::new();
    let mut placed = vec![None; notes.len()];
    let mut reached = Vec::new();
    for (index, note) in notes.iter().enumerate() {
        let before: &[Way] = ways.last().map_or(&[], Vec::as_slice);
        let here: Vec<Way> = (0..strings.len())
            .filter_map(|string| Some(Stop { string, fret: fret(strings[string], *note)? }))
            .flat_map(|stop| hands(stop).map(move |hand| (stop, hand)))
            .filter_map(|(stop, hand)| {
                reach(before, ways.is_empty(), stop, (hand, is_apart(strings, stop.string)))
            })
            .collect();
        if !here.is_empty() {
            ways.push(here);
            reached.push(index);
        }
    }
    let Some(last) = ways.last() else { return placed };
    let mut at = (0..last.len()).min_by_key(|at| last[*at].cost).unwrap_or_default();
    for (ways, index) in ways.iter().zip(&reached).rev() {
        placed[*index] = Some(ways[at].stop);
        at = ways[at].from;
    }
    placed
}

/// Which fret of a string sounds the note.
fn fret(open: Pitch, note: Pitch) -> Option<u8> {
    u8::try_from(note.semitones() - open.semitones()).ok().filter(|fret| *fret <= HIGHEST_FRET)
}

/// Where the hand may be.
fn hands(stop: Stop) -> std::ops::RangeInclusive<u8> {
    match stop.fret {
        0 => 1..=HIGHEST_FRET,
        fret => fret.saturating_sub(SPAN - 1).max(1)..=fret,
    }
}

/// Whether a string sounds higher than the one after it, as the fourth of a ukulele does.
fn is_apart(strings: &[Pitch], string: usize) -> bool {
    strings.get(string + 1).is_some_and(|next| next.semitones() < strings[string].semitones())
}

fn reach(before: &[Way], is_first: bool, stop: Stop, (hand, is_apart): (u8, bool)) -> Option<Way> {
    let own = 10 * u32::from(hand - 1) + u32::from(stop.fret) + if is_apart { 5 } else { 0 };
    if is_first {
        return Some(Way { stop, hand, cost: own, from: 0 });
    }
    let cost = |way: &Way| way.cost + 40 * u32::from(way.hand.abs_diff(hand));
    let (from, way) = before.iter().enumerate().min_by_key(|(_, way)| cost(way))?;
    Some(Way { stop, hand, cost: cost(way) + own, from })
}
