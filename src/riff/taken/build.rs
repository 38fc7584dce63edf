//! From a reading to a riff: bars, pickup, divisions, spelling, accents.

use super::accents::accents;
use super::ends::Whole;
use super::prior::{Pattern, Place, division};
use super::search::Search;
use super::{Basis, Played, Taken, Way};
use crate::rhythm::grid::Division;
use crate::riff::{Note, Ornament, Riff, RiffId};
use crate::theory::pitch::Pitch;
use crate::theory::spell::Around;
use crate::units::{MidiNote, Seconds, Ticks, Velocity};

/// One note of the line that was played, times in seconds.
#[derive(Clone, Copy, Debug)]
pub(super) struct LineNote {
    pub(super) onset: f64,
    pub(super) end: Option<f64>,
    pub(super) midi: Option<MidiNote>,
    pub(super) velocity: Option<Velocity>,
    /// Its index in what was played.
    pub(super) index: usize,
}

/// Notes that begin closer than this, in seconds, and sound together are one chord, of which the highest counts.
const TOGETHER: f64 = 0.035;

/// One voice, ascending: of notes struck together the highest.
pub(super) fn line(played: &[Played]) -> Vec<LineNote> {
    let mut line: Vec<LineNote> = played
        .iter()
        .enumerate()
        .map(|(index, note)| {
            let onset = note.onset.0;
            let end = note.end.map(|end| end.0).filter(|end| *end > onset);
            LineNote { onset, end, midi: note.midi, velocity: note.velocity, index }
        })
        .collect();
    line.sort_by(|one, other| one.onset.total_cmp(&other.onset));
    line.dedup_by(|later, kept| {
        let overlap = kept.end.zip(later.end).map(|(one, other)| one.min(other) - later.onset);
        let is_chord =
            later.onset - kept.onset < TOGETHER && overlap.is_some_and(|overlap| overlap > TOGETHER);
        if is_chord && later.midi > kept.midi {
            *kept = LineNote { onset: kept.onset, ..*later };
        }
        is_chord
    });
    line
}

/// The riff of a reading. `count` is how many notes were played in all; `best` is the best reading with what it cost, if this is
/// not it.
pub(super) fn taken(
    search: &Search,
    line: &[LineNote],
    count: usize,
    basis: &Basis,
    whole: &Whole,
    best: Option<(&Taken, f64)>,
) -> Taken {
    let bar = 12 * search.bar;
    let places = &whole.reading.places;
    let first = places.iter().flatten().next().copied().unwrap_or(0);
    // Whole bars before the first note are not part of it, unless its length was set; a pickup is.
    let origin = match basis.bars {
        _ if first < 0 => -(-first).div_euclid(bar) * bar,
        Some(_) => 0,
        None => first.div_euclid(bar) * bar,
    };
    let begin = first.min(origin).div_euclid(12) * 12;
    let last = whole.ends.iter().flatten().max().copied().unwrap_or(begin + 12);
    let beats = beats(begin - origin, last - origin, bar, basis.bars);
    let step = basis.metre.beat() / 12;
    let length = Place::try_from(beats * 12).unwrap_or(Place::MAX);

    let keys: Vec<MidiNote> = line.iter().map(|note| note.midi.unwrap_or_else(|| home(basis))).collect();
    let loud = accents(&line.iter().map(|note| note.velocity).collect::<Vec<_>>());
    let mut notes: Vec<Note> = Vec::new();
    let mut indices = vec![None; count];
    let mut crushed: Option<Pitch> = None;
    for (index, key) in keys.iter().enumerate() {
        let before = index.checked_sub(1).map(|before| keys[before]);
        let after = keys.get(index + 1).copied();
        let pitch = Around { before, after, ..Around::key(basis.key) }.spell(*key);
        let Some((place, end)) = places[index].zip(whole.ends[index]) else {
            crushed = Some(pitch);
            continue;
        };
        let (from, to) = (place - begin, (end - begin).min(length));
        if from >= length || to <= from {
            continue;
        }
        indices[line[index].index] = Some(notes.len());
        let ornament = crushed.take().map(Ornament::Crushed);
        let (onset, length) = (step * i64::from(from), step * i64::from(to - from));
        notes.push(Note { onset, length, pitch, accent: loud[index], ornament });
    }
    let start = step * i64::from(begin - origin);
    let divisions = divisions(whole, begin, beats, search.is_compound);
    let riff = Riff::from_parts(RiffId(0), String::new(), start, basis.metre.beat(), divisions, notes)
        .unwrap_or_else(|| Riff::empty(RiffId(0), basis.metre.beat(), beats));
    let [late, tempo, swung] = whole.reading.player;
    Taken {
        way: best.map_or(Way::Best, |(best, _)| way(&riff, &best.riff)),
        cost: best.map_or(0.0, |(_, cost)| whole.cost - cost),
        riff,
        late: Seconds(late * search.beat),
        tempo: basis.tempo.value() / tempo,
        off_beat: swung / tempo,
        notes: indices,
    }
}

/// How many beats a riff has whose beats begin at `begin` (negative for a pickup) and whose last note ends at `end`: it
/// ends where the next one can begin with its own pickup, at a bar line or as much before it as the pickup is long.
fn beats(begin: Place, end: Place, bar: Place, bars: Option<usize>) -> usize {
    let pickup = (-begin).max(0);
    let needed = (end + bar - 1).div_euclid(bar).max(1);
    let asked = bars.and_then(|bars| Place::try_from(bars).ok());
    let bars = asked.unwrap_or(if pickup > 0 && end > needed * bar - pickup { needed + 1 } else { needed });
    let last = if pickup > 0 { bars * bar - pickup } else { bars * bar };
    // Without room for another pickup it goes on to the bar line.
    let most = Place::try_from(Riff::MOST_BEATS).unwrap_or(16);
    let last = if asked.is_none() && (last - begin) / 12 > most { needed * bar } else { last };
    usize::try_from(((last - begin) / 12).clamp(1, most)).unwrap_or(1)
}

fn divisions(whole: &Whole, begin: Place, beats: usize, is_compound: bool) -> Vec<Division> {
    let mut patterns: Vec<Pattern> = vec![0; beats];
    let onsets = whole.reading.places.iter().flatten();
    for place in onsets.chain(whole.ends.iter().flatten()) {
        let beat = usize::try_from((place - begin).div_euclid(12)).ok();
        if let Some(pattern) = beat.and_then(|beat| patterns.get_mut(beat)) {
            *pattern |= 1 << place.rem_euclid(12);
        }
    }
    patterns.into_iter().map(|pattern| division(pattern, is_compound)).collect()
}

/// The home note nearest to the middle of the staff: what a tap sounds as.
fn home(basis: &Basis) -> MidiNote {
    let class = basis.key.tonic().pitch_class();
    let about = 60 + class;
    MidiNote::new(if class > 7 { about - 12 } else { about }).unwrap_or(MidiNote::MIDDLE_C)
}

/// How `riff` differs from `best`.
fn way(riff: &Riff, best: &Riff) -> Way {
    let begins = |riff: &Riff| riff.start + riff.notes().first().map_or(Ticks::ZERO, |note| note.onset);
    let count =
        |riff: &Riff, division: Division| riff.divisions().iter().filter(|one| **one == division).count();
    let onsets = |riff: &Riff| riff.notes().iter().map(|note| riff.start + note.onset).collect::<Vec<_>>();
    let sum = |riff: &Riff| riff.notes().iter().map(|note| note.length).sum::<Ticks>();
    let thirds = count(riff, Division::THIRDS).cmp(&count(best, Division::THIRDS));
    let quarters = count(riff, Division::QUARTERS).cmp(&count(best, Division::QUARTERS));
    if onsets(riff) == onsets(best) {
        return if sum(riff) > sum(best) { Way::Longer } else { Way::Shorter };
    }
    match (thirds, quarters) {
        (std::cmp::Ordering::Greater, _) => Way::Triplets,
        (_, std::cmp::Ordering::Greater) => Way::Finer,
        (std::cmp::Ordering::Less, _) | (_, std::cmp::Ordering::Less) => Way::Straighter,
        _ if begins(riff) < begins(best) => Way::Earlier,
        _ if begins(riff) > begins(best) => Way::Later,
        _ => Way::Other,
    }
}
