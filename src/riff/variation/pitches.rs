//! Same shape with a new start, upside down, other octaves.

use crate::riff::Riff;
use crate::riff::variation::ground::{Ground, Ladder, Rung, repitched, spelled};
use crate::riff::variation::rules::curls;
use crate::riff::variation::{Change, Draft, Mirror};
use crate::theory::interval::Interval;
use crate::theory::pitch::Pitch;
use crate::units::Ticks;

/// One scale step up, one down, with the chord to the next chord, then further along the scale.
pub(super) fn sequence(riff: &Riff, ground: &Ground) -> Vec<Draft> {
    let ladder = ground.ladder();
    let along = |steps: i32| {
        let new = repitched(riff, |_, pitch| ladder.moved(pitch, steps))?;
        Some(Draft { riff: new, change: Change::Sequenced { steps } })
    };
    let near = [1, -1].into_iter().filter_map(along);
    let far = [2, -2, 3, -3, 4, -4].into_iter().filter_map(along);
    near.chain(to_next_chord(riff, ground)).chain(far).collect()
}

/// Every note moved as the root moves to the next different chord: by the shorter way, then by the other.
fn to_next_chord(riff: &Riff, ground: &Ground) -> Vec<Draft> {
    let first = riff.notes().first().map_or(Ticks::ZERO, |note| note.onset);
    let from = ground.chord_at(riff, first);
    let Some(next) = ground.changes.next_chord(ground.in_form(riff, first)) else { return Vec::new() };
    let to = next.place.chord;
    if from.is_none() || to.is_none() {
        return Vec::new();
    }
    let up = from.root.interval_to(to.root);
    let down = up - Interval::OCTAVE;
    let ways = if up.semitones <= 6 { [up, down] } else { [down, up] };
    let moved = |by: Interval| {
        let new = repitched(riff, |_, pitch| Some(pitch.up(by)))?;
        let change = Change::MovedToChord { from: from.clone(), to: to.clone(), by };
        Some(Draft { riff: new, change })
    };
    ways.into_iter().filter_map(moved).collect()
}

/// Mirrored at its first note, then at its last: in scale steps, then exactly in half steps. Then the same an octave
/// higher and lower, for riffs that would leave the range. A blue note that slides up into the major third stays as it is
/// with its third: that slide is the sound of the blues, and upside down it is gone.
pub(super) fn invert(riff: &Riff, ground: &Ground) -> Vec<Draft> {
    let ends = [riff.notes().first(), riff.notes().last()];
    let lines: Vec<Pitch> = ends.into_iter().flatten().map(|note| note.pitch).collect();
    let ladder = ground.ladder();
    let curls = curls(riff, ground);
    let every = [0, 1, -1].into_iter().flat_map(|octaves| {
        let of = move |mirror| move |around| (around, mirror, octaves);
        let in_scale = lines.clone().into_iter().map(of(Mirror::ScaleSteps));
        in_scale.chain(lines.clone().into_iter().map(of(Mirror::HalfSteps)))
    });
    every
        .filter_map(|(around, mirror, octaves)| {
            let by = Interval::new(7 * octaves, 12 * octaves);
            let new = repitched(riff, |index, pitch| {
                let mirrored = match mirror {
                    _ if pitch.semitones() == around.semitones() || curls.contains(&index) => pitch,
                    Mirror::ScaleSteps => mirrored_in_scale(&ladder, ground, around, pitch)?,
                    Mirror::HalfSteps => spelled(ground.key(), 2 * around.semitones() - pitch.semitones())?,
                };
                Some(mirrored.up(by))
            })?;
            Some(Draft {
                riff: new,
                change: Change::Inverted { around, mirror, octaves, curls: curls.clone() },
            })
        })
        .collect()
}

/// A note that is not in the scale lies as far below its rung in the mirror as it lay above it.
fn mirrored_in_scale(ladder: &Ladder, ground: &Ground, around: Pitch, pitch: Pitch) -> Option<Pitch> {
    let (line, rung) = (ladder.rung(around)?, ladder.rung(pitch)?);
    let base = ladder.pitch(Rung { index: 2 * line.index - rung.index, above: 0 })?;
    match rung.above {
        0 => Some(base),
        above => spelled(ground.key(), base.semitones() - above),
    }
}

/// All of it an octave up, down; then only what lies in its second half.
pub(super) fn octave(riff: &Riff, _: &Ground) -> Vec<Draft> {
    let middle = riff.length() / 2;
    let second_half = riff.notes().iter().position(|note| note.onset >= middle);
    let starts = [Some(0), second_half.filter(|index| *index > 0)];
    let every = starts.into_iter().flatten().flat_map(|from| [(1, from), (-1, from)]);
    every
        .filter_map(|(octaves, from)| {
            let by = if octaves > 0 { Interval::OCTAVE } else { -Interval::OCTAVE };
            let new = repitched(riff, |index, pitch| Some(if index < from { pitch } else { pitch.up(by) }))?;
            Some(Draft { riff: new, change: Change::Octave { octaves, from } })
        })
        .collect()
}
