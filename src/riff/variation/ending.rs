//! Other endings, replies that come home, and notes that give way to the chord.

use crate::riff::variation::ground::{Ground, nearest, repitched};
use crate::riff::variation::{Change, Draft, Landing, Move};
use crate::riff::{Note, Riff, edit};
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

/// The rhythm stays. First half kept, then along the scale to the home note from above, from below; then less and
/// less of it kept.
pub(super) fn answer(riff: &Riff, ground: &Ground) -> Vec<Draft> {
    let middle = riff.length() / 2;
    let half = riff.notes().iter().take_while(|note| note.onset < middle).count().min(riff.notes().len() - 1);
    let every = (0..=half).rev().flat_map(|kept| [(kept, 1), (kept, -1)]);
    every.filter_map(|(kept, side)| came_home(riff, ground, kept, side)).collect()
}

/// Notes from `kept` on lead along the scale to home, coming from above (`side` 1) or from below (−1).
fn came_home(riff: &Riff, ground: &Ground, kept: usize, side: i32) -> Option<Draft> {
    let ladder = ground.ladder();
    let last = riff.notes().len() - 1;
    let home = nearest(ground.key().tonic(), riff.notes()[last].pitch)?;
    let new = repitched(riff, |index, pitch| {
        let steps = (last - index) as i32 * side;
        match index {
            _ if index < kept => Some(pitch),
            _ if index == last => Some(home),
            _ => steps_from(home, steps, |at| if side > 0 { ladder.above(at) } else { ladder.below(at) }),
        }
    })?;
    Some(Draft { riff: new, change: Change::Answered { kept, home } })
}

fn steps_from(home: Pitch, steps: i32, next: impl Fn(Pitch) -> Option<Pitch>) -> Option<Pitch> {
    (0..steps.unsigned_abs()).try_fold(home, |at, _| next(at))
}

/// Every note that rubs moves to the nearest tone of the chord under it; then to the next nearest on the other side.
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
    for (index, note) in riff.notes().iter().enumerate().filter(|(index, _)| ground.rubbing.contains(index)) {
        let to = chord_tone_beside(riff, ground, note, side)?;
        new = edit::repitch(&new, index, to).ok()?;
        moved.push(Move { note: index, from: note.pitch, to });
    }
    Some(Draft { riff: new, change: Change::Fitted { moved } })
}

fn chord_tone_beside(riff: &Riff, ground: &Ground, note: &Note, side: Side) -> Option<Pitch> {
    let sound = note.pitch.semitones();
    let tones = ground.chord_at(riff, note.onset).notes().into_iter();
    let mut tones: Vec<Pitch> = tones.filter_map(|name| nearest(name, note.pitch)).collect();
    tones.sort_by_key(|tone| ((tone.semitones() - sound).abs(), tone.semitones()));
    let first = *tones.first()?;
    match side {
        Side::Nearest => Some(first),
        Side::Other => {
            let up = first.semitones() > sound;
            tones.into_iter().find(|tone| (tone.semitones() > sound) != up)
        }
    }
}
