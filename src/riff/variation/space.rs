//! Fewer notes, more notes, and ornaments.

use crate::riff::variation::ground::{Ground, with_notes};
use crate::riff::variation::{Change, Draft};
use crate::riff::{Note, Ornament, Riff, edit};
use crate::theory::interval::Interval;
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

/// Notes more: in rests, right before the note that follows; in long notes, at the step nearest to their middle, leading
/// on or said again. One, then two side by side, then three; then all that lead on at once.
pub(super) fn fill(riff: &Riff, ground: &Ground) -> Vec<Draft> {
    let leading: Vec<Note> = rests(riff, ground).into_iter().chain(leads(riff, ground)).collect();
    let spots: Vec<Note> = leading.iter().cloned().chain(repeats(riff)).collect();
    let few = (1..=3).flat_map(|count| spots.windows(count));
    few.chain([leading.as_slice()]).filter_map(|notes| filled(riff, notes)).collect()
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
    let notes = riff.notes();
    let ends = [Ticks::ZERO].into_iter().chain(notes.iter().map(Note::end));
    let starts = notes.iter().map(|note| note.onset).chain([riff.length()]);
    let mut spots = Vec::new();
    for (index, (from, to)) in ends.zip(starts).enumerate() {
        let Some(onset) = riff.step_before(to).filter(|onset| *onset >= from) else { continue };
        let next = notes[index % notes.len()].pitch;
        let before = notes[(index + notes.len() - 1) % notes.len()].pitch;
        spots.extend(lead(ground, before, next).map(|pitch| plain(onset, to - onset, pitch)));
    }
    spots
}

/// For every long note but the last, a second half that leads by step into the note that follows; none where the
/// two are neighbours already.
fn leads(riff: &Riff, ground: &Ground) -> Vec<Note> {
    let pairs = riff.notes().windows(2);
    let leading = pairs.filter_map(|pair| {
        let pitch = lead(ground, pair[0].pitch, pair[1].pitch)?;
        let is_new = pitch.semitones() != pair[0].pitch.semitones();
        let middle = middle_of(riff, &pair[0]).filter(|_| is_new)?;
        Some(plain(middle, pair[0].end() - middle, pitch))
    });
    leading.collect()
}

/// For every long note the same note again.
fn repeats(riff: &Riff) -> impl Iterator<Item = Note> + '_ {
    riff.notes().iter().filter_map(|note| {
        let middle = middle_of(riff, note)?;
        Some(plain(middle, note.end() - middle, note.pitch))
    })
}

/// The scale's note next to `next`, on the side of `before`.
fn lead(ground: &Ground, before: Pitch, next: Pitch) -> Option<Pitch> {
    let ladder = ground.ladder();
    if before.semitones() > next.semitones() { ladder.above(next) } else { ladder.below(next) }
}

/// The grid step nearest to a note's middle; `None` where the note is no longer than a step.
fn middle_of(riff: &Riff, note: &Note) -> Option<Ticks> {
    let middle = riff.nearest_step(note.onset + note.length / 2);
    (middle > note.onset && middle < note.end()).then_some(middle)
}

/// First a note that has a scale note a half step below (the natural third, with the blue one), then accented and
/// long ones: a crushed note from below, a turn to the neighbour above and below where there is room, a scoop.
pub(super) fn ornament(riff: &Riff, ground: &Ground) -> Vec<Draft> {
    let ladder = ground.ladder();
    let half_step_below =
        |pitch: Pitch| ladder.below(pitch).is_some_and(|below| pitch.semitones() - below.semitones() == 1);
    let mut order: Vec<usize> = (0..riff.notes().len()).collect();
    order.sort_by_key(|index| {
        let note = &riff.notes()[*index];
        (!half_step_below(note.pitch), !note.accent, -note.length.0)
    });
    let of_one = |index: usize| {
        let pitch = riff.notes()[index].pitch;
        let (below, above) = (ladder.below(pitch), ladder.above(pitch));
        let close = below.filter(|below| pitch.semitones() - below.semitones() <= 2);
        [
            crushed(riff, index, close.unwrap_or(pitch.up(-Interval::MINOR_SECOND))),
            above.and_then(|with| neighboured(riff, index, with)),
            below.and_then(|with| neighboured(riff, index, with)),
            scooped(riff, index),
        ]
    };
    order.into_iter().flat_map(of_one).flatten().collect()
}

/// None where the note before sounds the same: it leads in already.
fn crushed(riff: &Riff, note: usize, with: Pitch) -> Option<Draft> {
    let before = note.checked_sub(1).map(|index| riff.notes()[index].pitch.semitones());
    if before == Some(with.semitones()) {
        return None;
    }
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
