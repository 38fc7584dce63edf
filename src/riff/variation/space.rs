//! Fewer notes, more notes, and ornaments.

use crate::riff::variation::ground::{Ground, with_notes};
use crate::riff::variation::{Change, Draft};
use crate::riff::{Note, Ornament, Riff, edit};
use crate::theory::pitch::Pitch;
use crate::units::Ticks;

/// Leaves out the note that carries least, then the two that do, and so on down to one note; then each note alone.
pub(super) fn thin(riff: &Riff, ground: &Ground) -> Vec<Draft> {
    let mut lightest: Vec<usize> = (0..riff.notes().len()).collect();
    lightest.sort_by_key(|index| weight(riff, ground, *index));
    let more_and_more = (1..riff.notes().len()).map(|count| lightest[..count].to_vec());
    let each = if riff.notes().len() > 1 { lightest.clone() } else { Vec::new() };
    let every = more_and_more.chain(each.into_iter().map(|index| vec![index]));
    every.filter_map(|removed| without(riff, removed)).collect()
}

/// What a note carries: first and last, then accents, then its place in the bar, then its length.
fn weight(riff: &Riff, ground: &Ground, index: usize) -> (bool, bool, u8, Ticks) {
    let note = &riff.notes()[index];
    let at_an_end = index == 0 || index + 1 == riff.notes().len();
    let (_, into_bar) = ground.changes.bar_at(ground.in_form(riff, note.onset));
    let place = match (into_bar, into_bar.rem_floor(riff.beat())) {
        (Ticks::ZERO, _) => 2,
        (_, Ticks::ZERO) => 1,
        _ => 0,
    };
    (at_an_end, note.accent, place, note.length)
}

fn without(riff: &Riff, mut removed: Vec<usize>) -> Option<Draft> {
    removed.sort_unstable();
    let kept = riff.notes().iter().enumerate().filter(|(index, _)| !removed.contains(index));
    let new = with_notes(riff, kept.map(|(_, note)| note.clone()).collect())?;
    Some(Draft { riff: new, change: Change::Thinned { removed } })
}

/// One note more: in each rest right before the note that follows, and in each long note right at its middle step;
/// then all of these at once.
pub(super) fn fill(riff: &Riff, ground: &Ground) -> Vec<Draft> {
    let mut spots = rests(riff, ground);
    spots.extend(long_notes(riff));
    let each = spots.iter().map(|spot| vec![spot.clone()]);
    let all = [spots.clone()];
    let drafts = each.chain(all).filter_map(|notes| filled(riff, &notes));
    drafts.collect()
}

fn filled(riff: &Riff, notes: &[Note]) -> Option<Draft> {
    let new = notes.iter().try_fold(riff.clone(), |riff, note| {
        edit::insert(&riff, note.clone()).ok().map(|placed| placed.riff)
    })?;
    let was = |note: &Note| riff.notes().iter().any(|other| other.onset == note.onset);
    let added = new.notes().iter().enumerate().filter(|(_, note)| !was(note)).map(|(index, _)| index);
    let added: Vec<usize> = added.collect();
    (new.notes().len() == riff.notes().len() + added.len())
        .then_some(Draft { riff: new, change: Change::Filled { added } })
}

/// For every rest a note on its last grid step, that leads by step into the note that follows (into the first one
/// from the end of the riff).
fn rests(riff: &Riff, ground: &Ground) -> Vec<Note> {
    let ladder = ground.ladder();
    let notes = riff.notes();
    let ends = [Ticks::ZERO].into_iter().chain(notes.iter().map(Note::end));
    let starts = notes.iter().map(|note| note.onset).chain([riff.length()]);
    let mut spots = Vec::new();
    for (index, (from, to)) in ends.zip(starts).enumerate() {
        let Some(onset) = riff.step_before(to).filter(|onset| *onset >= from) else { continue };
        let next = notes[index % notes.len()].pitch;
        let before = notes[(index + notes.len() - 1) % notes.len()].pitch;
        let lead =
            if before.semitones() > next.semitones() { ladder.above(next) } else { ladder.below(next) };
        spots.extend(lead.map(|pitch| plain(onset, to - onset, pitch)));
    }
    spots
}

/// For every note of two grid steps or more the same note again, on the step nearest to its middle.
fn long_notes(riff: &Riff) -> impl Iterator<Item = Note> + '_ {
    riff.notes().iter().filter_map(|note| {
        let middle = riff.nearest_step(note.onset + note.length / 2);
        let inside = middle > note.onset && middle < note.end();
        inside.then(|| plain(middle, note.end() - middle, note.pitch))
    })
}

/// The longest notes first: a crushed note from the half step or scale step below, a turn to the neighbour above and
/// below where there is room, a scoop.
pub(super) fn ornament(riff: &Riff, ground: &Ground) -> Vec<Draft> {
    let mut longest: Vec<usize> = (0..riff.notes().len()).collect();
    longest.sort_by_key(|index| (!riff.notes()[*index].accent, -riff.notes()[*index].length.0));
    let ladder = ground.ladder();
    longest
        .into_iter()
        .flat_map(|index| {
            let pitch = riff.notes()[index].pitch;
            let (below, above) = (ladder.below(pitch), ladder.above(pitch));
            [
                below.and_then(|with| crushed(riff, index, with)),
                above.and_then(|with| neighboured(riff, index, with)),
                below.and_then(|with| neighboured(riff, index, with)),
                scooped(riff, index),
            ]
        })
        .flatten()
        .collect()
}

fn crushed(riff: &Riff, note: usize, with: Pitch) -> Option<Draft> {
    let new = edit::ornament(riff, note, Some(Ornament::Crushed(with))).ok()?;
    Some(Draft { riff: new, change: Change::Crushed { note, with } })
}

fn scooped(riff: &Riff, note: usize) -> Option<Draft> {
    let new = edit::ornament(riff, note, Some(Ornament::Scoop)).ok()?;
    Some(Draft { riff: new, change: Change::Scooped { note } })
}

/// The note, a step on its neighbour, and the note again; it must last for three grid steps at least.
fn neighboured(riff: &Riff, note: usize, with: Pitch) -> Option<Draft> {
    let old = &riff.notes()[note];
    let away = riff.step_after(old.onset)?;
    let back = riff.step_after(away).filter(|back| *back < old.end())?;
    let turned = edit::insert(riff, plain(away, back - away, with)).ok()?.riff;
    let new = edit::insert(&turned, plain(back, old.end() - back, old.pitch)).ok()?.riff;
    Some(Draft { riff: new, change: Change::Neighboured { note, with } })
}

fn plain(onset: Ticks, length: Ticks, pitch: Pitch) -> Note {
    Note { onset, length, pitch, accent: false, ornament: None }
}
