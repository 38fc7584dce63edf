//! A piece of the riff again, and more after its end.

use crate::rhythm::grid::Division;
use crate::riff::variation::ground::{Ground, nearest, rebuilt};
use crate::riff::variation::{Change, Continuation, Draft};
use crate::riff::{Note, Riff};
use crate::theory::pitch::Pitch;
use crate::units::Ticks;

/// A stretch of whole beats of a riff, its notes counted from its own start.
struct Piece {
    notes: Vec<Note>,
    divisions: Vec<Division>,
    length: Ticks,
}

impl Piece {
    /// The piece of `beats` beats from beat `from` on; notes begun before it are left out, those that sound across
    /// its end stop there.
    fn of(riff: &Riff, from: usize, beats: usize) -> Piece {
        let (start, length) = (riff.beat() * from as i64, riff.beat() * beats as i64);
        let own = |note: &Note| {
            let onset = note.onset - start;
            let inside = (Ticks::ZERO..length).contains(&onset);
            inside.then(|| Note { onset, length: note.length.min(length - onset), ..note.clone() })
        };
        Piece {
            notes: riff.notes().iter().filter_map(own).collect(),
            divisions: riff.divisions()[from..from + beats].to_vec(),
            length,
        }
    }

    /// The notes when the piece begins at `at`.
    fn notes_at(&self, at: Ticks) -> impl Iterator<Item = Note> + '_ {
        self.notes.iter().map(move |note| Note { onset: note.onset + at, ..note.clone() })
    }
}

/// The first half twice, the last half twice, then shorter pieces from the front and from the end as often as there
/// is room. Beats that no whole piece fills are a rest.
pub(super) fn fragment(riff: &Riff, _: &Ground) -> Vec<Draft> {
    let total = riff.beats();
    let pieces = (1..=total / 2).rev().flat_map(|beats| [(0, beats), (total - beats, beats)]);
    pieces.filter_map(|(from, beats)| repeated(riff, from, beats)).collect()
}

fn repeated(riff: &Riff, from: usize, beats: usize) -> Option<Draft> {
    let piece = Piece::of(riff, from, beats);
    if piece.notes.is_empty() {
        return None;
    }
    let times = riff.beats() / beats;
    let notes = (0..times).flat_map(|time| piece.notes_at(piece.length * time as i64));
    let mut divisions = piece.divisions.repeat(times);
    divisions.extend(&riff.divisions()[times * beats..]);
    let new = rebuilt(riff, riff.start, &divisions, notes.collect())?;
    Some(Draft { riff: new, change: Change::Fragmented { from_beat: from, beats, times } })
}

/// The last half again, the same a scale step lower, a walk home; then the same with the last beat and with all.
pub(super) fn extend(riff: &Riff, ground: &Ground) -> Vec<Draft> {
    let total = riff.beats();
    let mut sizes = vec![total.div_ceil(2), 1, total];
    sizes.dedup();
    let ways = [Continuation::Again, Continuation::Lower, Continuation::WalkHome];
    let every = sizes.into_iter().flat_map(|beats| ways.map(|with| (beats, with)));
    every.filter_map(|(beats, with)| continued(riff, ground, beats, with)).collect()
}

fn continued(riff: &Riff, ground: &Ground, beats: usize, with: Continuation) -> Option<Draft> {
    if riff.beats() + beats > Riff::MOST_BEATS {
        return None;
    }
    let mut piece = Piece::of(riff, riff.beats() - beats, beats);
    match with {
        Continuation::Again => {}
        Continuation::Lower => {
            let ladder = ground.ladder();
            for note in &mut piece.notes {
                note.pitch = ladder.moved(note.pitch, -1)?;
                note.ornament = None;
            }
        }
        Continuation::WalkHome => piece.notes = walk_home(riff, ground, beats)?,
    }
    if piece.notes.is_empty() {
        return None;
    }
    let notes = riff.notes().iter().cloned().chain(piece.notes_at(riff.length()));
    let divisions = [riff.divisions(), &piece.divisions].concat();
    let new = rebuilt(riff, riff.start, &divisions, notes.collect())?;
    Some(Draft { riff: new, change: Change::Extended { beats, with } })
}

/// One note a beat along the scale from the riff's last note to the nearest home note, at most `beats` notes, the
/// last one on the home note. Where the way is so short that more than half of the beats would be empty, none.
fn walk_home(riff: &Riff, ground: &Ground, beats: usize) -> Option<Vec<Note>> {
    let last = riff.notes().last()?;
    let ladder = ground.ladder();
    let home = nearest(ground.key().tonic(), last.pitch)?;
    let mut path: Vec<Pitch> = Vec::new();
    let mut at = last.pitch;
    while at.semitones() != home.semitones() {
        let next = if at.semitones() > home.semitones() { ladder.below(at)? } else { ladder.above(at)? };
        let passed = (next.semitones() - home.semitones()) * (at.semitones() - home.semitones()) <= 0;
        at = if passed { home } else { next };
        path.push(at);
    }
    // Only the end of a path that is too long is walked; at home already, home is said once more.
    let path = if path.is_empty() { vec![home] } else { path.split_off(path.len().saturating_sub(beats)) };
    if path.len() * 2 < beats {
        return None;
    }
    let note = |(beat, pitch): (usize, &Pitch)| Note {
        onset: riff.beat() * beat as i64,
        length: riff.beat(),
        pitch: *pitch,
        accent: false,
        ornament: None,
    };
    Some(path.iter().enumerate().map(note).collect())
}
