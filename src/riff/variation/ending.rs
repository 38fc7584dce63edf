//! Other endings, replies that come home, and notes that give way to the chord.

use crate::riff::variation::ground::{Ground, nearest, repitched};
use crate::riff::variation::rules::ends_well;
use crate::riff::variation::{Change, Draft, Landing, Move};
use crate::riff::{Riff, edit};
use crate::theory::pitch::Pitch;

/// On the home note, then on each tone of the chord of the next bar, nearest first.
pub(super) fn new_ending(riff: &Riff, ground: &Ground) -> Vec<Draft> {
    let Some(last) = riff.notes().last() else { return Vec::new() };
    let home = nearest(ground.key().tonic(), last.pitch).map(|pitch| (pitch, Landing::Home));
    let chord = ground.chord_of_next_bar(riff, last.onset);
    let landing = |name| {
        let pitch = nearest(name, last.pitch)?;
        let degree = chord.degree_of(name)?;
        Some((pitch, Landing::NextBar { chord: chord.clone(), degree }))
    };
    let mut tones: Vec<(Pitch, Landing)> = chord.notes().into_iter().filter_map(landing).collect();
    tones.sort_by_key(|(pitch, _)| (pitch.semitones() - last.pitch.semitones()).abs());
    let ends = home.into_iter().chain(tones);
    ends.filter_map(|(to, landing)| {
        let new = edit::repitch(riff, riff.notes().len() - 1, to).ok()?;
        Some(Draft { riff: new, change: Change::NewEnding { from: last.pitch, to, landing } })
    })
    .collect()
}

/// The rhythm stays. First half kept, then along the scale from above or from below to where an answer may rest: the
/// home note, then each tone of the chord that follows, nearest first. Then less and less of it kept.
pub(super) fn answer(riff: &Riff, ground: &Ground) -> Vec<Draft> {
    let middle = riff.length() / 2;
    let half = riff.notes().iter().take_while(|note| note.onset < middle).count().min(riff.notes().len() - 1);
    let every = resting_places(riff, ground).into_iter().flat_map(|(to, landing)| {
        let ways = (0..=half).rev().flat_map(|kept| [(kept, 1), (kept, -1)]);
        ways.filter_map(move |(kept, side)| came_to(riff, ground, kept, side, to, landing.clone()))
    });
    every.collect()
}

/// Where an answer may end, and why there.
fn resting_places(riff: &Riff, ground: &Ground) -> Vec<(Pitch, Landing)> {
    let Some(last) = riff.notes().last() else { return Vec::new() };
    let chord = ground.chord_at(riff, riff.length());
    let home = nearest(ground.key().tonic(), last.pitch).map(|pitch| (pitch, Landing::Home));
    let tone = |name| {
        let landing = Landing::NextBar { chord: chord.clone(), degree: chord.degree_of(name)? };
        Some((nearest(name, last.pitch)?, landing))
    };
    let is_other =
        |tone: &(Pitch, Landing)| home.as_ref().is_none_or(|home| home.0.semitones() != tone.0.semitones());
    let mut tones: Vec<_> = chord.notes().into_iter().filter_map(tone).filter(is_other).collect();
    tones.sort_by_key(|(pitch, _)| (pitch.semitones() - last.pitch.semitones()).abs());
    let all = home.into_iter().chain(tones);
    all.filter(|(pitch, _)| ends_well(riff, ground, *pitch)).collect()
}

/// Notes from `kept` on lead along the scale to `to`, coming from above (`side` 1) or from below (−1).
fn came_to(
    riff: &Riff,
    ground: &Ground,
    kept: usize,
    side: i32,
    to: Pitch,
    landing: Landing,
) -> Option<Draft> {
    let ladder = ground.ladder();
    let last = riff.notes().len() - 1;
    let new = repitched(riff, |index, pitch| {
        let steps = (last - index) as i32 * side;
        match index {
            _ if index < kept => Some(pitch),
            _ if index == last => Some(to),
            _ => steps_from(to, steps, |at| if side > 0 { ladder.above(at) } else { ladder.below(at) }),
        }
    })?;
    Some(Draft { riff: new, change: Change::Answered { kept, to, landing } })
}

fn steps_from(end: Pitch, steps: i32, next: impl Fn(Pitch) -> Option<Pitch>) -> Option<Pitch> {
    (0..steps.unsigned_abs()).try_fold(end, |at, _| next(at))
}

/// Every note that rubs moves to a tone of the chord under it: to the nearest, and of those a step away rather to one
/// that leaves the ups and downs as they were; then to the nearest on the other side.
pub(super) fn fit(riff: &Riff, ground: &Ground) -> Vec<Draft> {
    [Side::Nearest, Side::Other].into_iter().filter_map(|side| fitted(riff, ground, side)).collect()
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Nearest,
    Other,
}

fn fitted(riff: &Riff, ground: &Ground, side: Side) -> Option<Draft> {
    let mut new = riff.clone();
    let mut moved = Vec::new();
    for index in ground.rubbing.iter().copied().filter(|index| *index < riff.notes().len()) {
        let from = riff.notes()[index].pitch;
        let to = chord_tone_beside(riff, &new, ground, index, side)?;
        new = edit::repitch(&new, index, to).ok()?;
        moved.push(Move { note: index, from, to });
    }
    Some(Draft { riff: new, change: Change::Fitted { moved } })
}

/// A whole step: what is no farther away is reached by step.
const STEP: i32 = 2;

/// The chord tone that note `index` of `riff` goes to; `new` has the notes before it as they have become.
fn chord_tone_beside(riff: &Riff, new: &Riff, ground: &Ground, index: usize, side: Side) -> Option<Pitch> {
    let note = &riff.notes()[index];
    let sound = note.pitch.semitones();
    let tones = ground.chord_at(riff, note.onset).notes().into_iter();
    let mut tones: Vec<Pitch> = tones.filter_map(|name| nearest(name, note.pitch)).collect();
    let beside =
        [index.checked_sub(1), Some(index + 1)].into_iter().flatten().filter(|at| *at < riff.notes().len());
    let beside: Vec<(i32, i32)> =
        beside.map(|at| (riff.notes()[at].pitch.semitones(), new.notes()[at].pitch.semitones())).collect();
    let bends = |tone: &Pitch| {
        let way = |(was, is): &&(i32, i32)| (sound - was).signum() != (tone.semitones() - is).signum();
        beside.iter().filter(way).count()
    };
    tones.sort_by_key(|tone| {
        let away = (tone.semitones() - sound).abs();
        (away > STEP, bends(tone), away, tone.semitones())
    });
    let first = *tones.first()?;
    match side {
        Side::Nearest => Some(first),
        Side::Other => {
            let up = first.semitones() > sound;
            tones.into_iter().find(|tone| (tone.semitones() > sound) != up)
        }
    }
}
