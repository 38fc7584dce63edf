//! Displacing, slower, faster, backwards.

use crate::rhythm::grid::Division;
use crate::riff::variation::ground::{Ground, rebuilt};
use crate::riff::variation::{Change, Draft, Rhythm};
use crate::riff::{Note, Riff, edit};
use crate::units::Ticks;

/// By every grid step up to a beat, and by whole beats up to a bar; nearest first, later before earlier. By whole
/// beats the riff begins elsewhere in the bar. By less, the notes move within the riff; what runs over its end comes
/// in at its start, since a riff is heard in a loop.
pub(super) fn displace(riff: &Riff, ground: &Ground) -> Vec<Draft> {
    let mut ways: Vec<Ticks> = within_a_beat(riff);
    let bar = ground.bar_length();
    ways.extend((1..bar.div_floor(riff.beat())).map(|beats| riff.beat() * beats));
    let both = ways.into_iter().flat_map(|by| [by, -by]);
    let mut drafts: Vec<Draft> = both
        .filter_map(|by| {
            if by.rem_floor(riff.beat()) == Ticks::ZERO {
                moved_start(riff, by, bar)
            } else {
                shifted(riff, by)
            }
        })
        .collect();
    // What keeps the notes in order comes first.
    drafts.sort_by_key(|draft| matches!(draft.change, Change::Displaced { wrapped: 1.., .. }));
    drafts
}

/// Distances of less than a beat between steps of the riff's own grid, ascending.
fn within_a_beat(riff: &Riff) -> Vec<Ticks> {
    let parts = |division: &Division| {
        let step = division.step(riff.beat());
        (1..i64::from(division.parts())).map(move |part| step * part)
    };
    let mut ways: Vec<Ticks> = riff.divisions().iter().flat_map(parts).collect();
    ways.sort();
    ways.dedup();
    ways
}

fn moved_start(riff: &Riff, by: Ticks, bar: Ticks) -> Option<Draft> {
    let start = riff.start + by;
    let moved = edit::begin_at(riff, start).ok().filter(|_| start > -bar && start < bar)?;
    Some(Draft { riff: moved, change: Change::Displaced { by, wrapped: 0, cut: 0 } })
}

fn shifted(riff: &Riff, by: Ticks) -> Option<Draft> {
    let length = riff.length();
    let (mut wrapped, mut cut) = (0, 0);
    let mut notes: Vec<Note> = Vec::new();
    for note in riff.notes() {
        let onset = (note.onset + by).rem_floor(length);
        wrapped += usize::from(onset != note.onset + by);
        cut += usize::from(note.length > length - onset);
        notes.push(Note { onset, length: note.length.min(length - onset), ..note.clone() });
    }
    let new = rebuilt(riff, riff.start, riff.divisions(), notes)?;
    // A beat that would need another division would change the feel as well.
    (new.divisions() == riff.divisions())
        .then_some(Draft { riff: new, change: Change::Displaced { by, wrapped, cut } })
}

/// Twice as slow and twice as long. A pickup is twice as long as well, so that what fell on the bar line still does.
pub(super) fn augment(riff: &Riff, _: &Ground) -> Vec<Draft> {
    let notes = riff.notes().iter().map(|note| Note {
        onset: note.onset * 2,
        length: note.length * 2,
        ..note.clone()
    });
    let half = |division: &Division| match division.parts() {
        parts @ (4 | 6 | 8) => Division::new(parts / 2).unwrap_or(*division),
        _ => *division,
    };
    let divisions: Vec<Division> = riff.divisions().iter().flat_map(|d| [half(d), half(d)]).collect();
    let start = riff.start.min(riff.start * 2);
    let slower = rebuilt(riff, start, &divisions, notes.collect());
    slower.map(|riff| Draft { riff, change: Change::Slower }).into_iter().collect()
}

/// Twice as fast: in half the beats, or twice over in the old length.
pub(super) fn diminish(riff: &Riff, _: &Ground) -> Vec<Draft> {
    let once = halved(riff);
    let twice = halved(riff).and_then(|short| again(riff, &short));
    let faster = |(riff, times)| Draft { riff, change: Change::Faster { times } };
    [once.map(|riff| (riff, 1)), twice.map(|riff| (riff, 2))].into_iter().flatten().map(faster).collect()
}

/// Half as long. A pickup halves as well; where it then begins off the beat, the riff begins on the beat before.
fn halved(riff: &Riff) -> Option<Riff> {
    let beat = riff.beat();
    let exact = if riff.start < Ticks::ZERO { Ticks(riff.start.0.div_euclid(2)) } else { riff.start };
    let offset = if riff.start < Ticks::ZERO { exact.rem_floor(beat) } else { Ticks::ZERO };
    let notes = riff.notes().iter().map(|note| Note {
        onset: note.onset / 2 + offset,
        length: (note.length / 2).max(Ticks(1)),
        ..note.clone()
    });
    let beats = (riff.length() / 2 + offset + beat - Ticks(1)).div_floor(beat);
    let divisions = vec![*riff.divisions().first()?; usize::try_from(beats).ok()?];
    rebuilt(riff, exact - offset, &divisions, notes.collect())
}

/// `short` twice, in the beats of `riff`; only where the second time begins on a beat.
fn again(riff: &Riff, short: &Riff) -> Option<Riff> {
    if riff.beats() % 2 == 1 || riff.start < Ticks::ZERO {
        return None;
    }
    let later = |note: &Note| Note { onset: note.onset + riff.length() / 2, ..note.clone() };
    let notes = short.notes().iter().cloned().chain(short.notes().iter().map(later));
    let divisions = [short.divisions(), short.divisions()].concat();
    rebuilt(riff, riff.start, &divisions, notes.collect())
}

/// Wholly backwards; then only the pitches, in the old rhythm.
pub(super) fn retrograde(riff: &Riff, _: &Ground) -> Vec<Draft> {
    let turned = riff.notes().iter().map(|note| Note { onset: riff.length() - note.end(), ..note.clone() });
    let divisions: Vec<Division> = riff.divisions().iter().rev().copied().collect();
    let whole = rebuilt(riff, riff.start, &divisions, turned.collect());
    let pitches = riff.notes().iter().rev().zip(riff.notes()).map(|(from, at)| Note {
        pitch: from.pitch,
        ornament: from.ornament,
        ..at.clone()
    });
    let kept = rebuilt(riff, riff.start, riff.divisions(), pitches.collect());
    let draft = |(riff, rhythm)| Draft { riff, change: Change::Reversed { rhythm } };
    [whole.map(|riff| (riff, Rhythm::Reversed)), kept.map(|riff| (riff, Rhythm::Kept))]
        .into_iter()
        .flatten()
        .map(draft)
        .collect()
}
