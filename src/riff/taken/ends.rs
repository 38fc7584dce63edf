//! Where notes end: a reading of onsets, completed by lengths and rests.

use super::prior::{Pattern, Place, division};
use super::search::{Reading, Search, dot};

/// How long before its written end a note is let go, in seconds: one of these throughout. Rule systems of performance
/// put 20 ms after short notes and up to 60 ms after long ones (KTH rules, "punctuation"); beginners let go sooner.
const GAPS: [(f64, f64); 6] = [(-0.03, 2.5), (0.0, 1.6), (0.03, 1.2), (0.06, 1.4), (0.09, 2.0), (0.13, 3.0)];
/// No gap is more than this part of its note.
const MOST_OF_NOTE: f64 = 0.35;
/// How much a release varies beyond what an onset does, in seconds.
const LOOSE: f64 = 0.015;
/// A key that was tapped and let go so many standard deviations before any end that it could have: how long the note was
/// meant is not heard, whatever the rhythm, so that it costs the same in all of them.
const EARLY: f64 = 3.0;
const DETACHED: f64 = 4.2;
/// What a note costs that lasts until the next one; that ends on a beat; on the half; elsewhere.
const JOINED: f64 = 0.35;
const ON_BEAT: f64 = 1.9;
const ON_HALF: f64 = 2.1;
const BETWEEN: f64 = 3.6;

/// A reading of onsets and ends.
#[derive(Clone, Debug)]
pub(super) struct Whole {
    /// The onsets, and what is known of the player.
    pub(super) reading: Reading,
    /// Where each note ends; `None` for a crushed one.
    pub(super) ends: Vec<Option<Place>>,
    /// A negative logarithm, ends included.
    pub(super) cost: f64,
}

/// Each reading with its likeliest ends, and with the end that is least sure read otherwise; the best first.
pub(super) fn with_ends(search: &Search, readings: &[Reading]) -> Vec<Whole> {
    let mut all: Vec<Whole> = readings.iter().flat_map(|reading| completed(search, reading)).collect();
    all.sort_by(|one, other| one.cost.total_cmp(&other.cost));
    all
}

fn completed(search: &Search, reading: &Reading) -> Vec<Whole> {
    let each = GAPS.iter().map(|(gap, cost)| completed_with(search, reading, *gap, *cost));
    let best = each.min_by(|one, other| one.0.cost.total_cmp(&other.0.cost));
    let Some((best, others)) = best else { return Vec::new() };
    let mut all = vec![best.clone()];
    // The two ends that could most easily be otherwise.
    let mut others = others;
    others.sort_by(|one, other| one.2.total_cmp(&other.2));
    for (index, end, more) in others.into_iter().take(2) {
        let mut other = best.clone();
        other.ends[index] = Some(end);
        other.cost += more;
        all.push(other);
    }
    all
}

/// The ends where notes are let go `gap` seconds early; and for each note its next best end with what it costs more.
fn completed_with(
    search: &Search,
    reading: &Reading,
    gap: f64,
    gap_cost: f64,
) -> (Whole, Vec<(usize, Place, f64)>) {
    let mut whole =
        Whole { reading: reading.clone(), ends: vec![None; reading.places.len()], cost: reading.cost };
    let mut others = Vec::new();
    let mut are_known = false;
    let spread = (reading.spread.powi(2) + LOOSE.powi(2)).sqrt() / search.beat;
    for (index, place) in reading.places.iter().enumerate() {
        let Some(place) = *place else { continue };
        let next = reading.places[index + 1..].iter().flatten().next().copied();
        let Some(end) = search.ends[index] else {
            // A tap has no end: it lasts until the next one, a beat at most.
            whole.ends[index] = Some(next.unwrap_or(place + 12).min(place + 12));
            continue;
        };
        are_known = true;
        let mut ways: Vec<(f64, Place)> = Vec::new();
        let mut shortest: Option<(Place, bool)> = None;
        let mut is_detached = true;
        for (at, prior) in candidates(search, reading, place, next) {
            let off = off(search, reading, (place, at), next == Some(at), end, gap, spread);
            is_detached &= off < -EARLY;
            // As short as the beat's own grid has it, and no shorter.
            let is_plain = prior < BETWEEN;
            if shortest.is_none_or(|(_, was_plain)| is_plain && !was_plain) {
                shortest = Some((at, is_plain));
            }
            ways.push((prior + astray(off) + spread.ln(), at));
        }
        if let Some((at, _)) = shortest.filter(|_| is_detached) {
            ways = vec![(DETACHED + spread.ln(), at)];
            ways.extend(next.filter(|next| *next != at).map(|next| (DETACHED + 1.0 + spread.ln(), next)));
        }
        ways.sort_by(|one, other| one.0.total_cmp(&other.0));
        if let Some((cost, at)) = ways.first() {
            whole.ends[index] = Some(*at);
            whole.cost += cost;
            others.extend(ways.get(1).map(|(other, at)| (index, *at, other - cost)));
        }
    }
    if are_known {
        whole.cost += gap_cost;
    }
    (whole, others)
}

/// How far the release is from where it would be if the note ended at `note.1`, in standard deviations; negative = early.
fn off(
    search: &Search,
    reading: &Reading,
    note: (Place, Place),
    is_joined: bool,
    released: f64,
    gap: f64,
    spread: f64,
) -> f64 {
    let heard = |place: Place| dot(search.row(place), reading.player);
    let (from, to) = (heard(note.0), heard(note.1));
    let off = (released - to + (gap / search.beat).min(MOST_OF_NOTE * (to - from))) / spread;
    // Held over the next note: that is as joined as can be.
    if is_joined { off.min(0.0) } else { off }
}

/// What a release costs that is so far off. Beyond three standard deviations what was meant is unclear: a key may be held
/// or dropped for any reason.
fn astray(off: f64) -> f64 {
    let off = off.abs();
    if off < 3.0 { 0.5 * off * off } else { 4.5 + 1.5 * (off - 3.0) }
}

/// Where a note may end: on the grid of the beats that it goes through, and where the next one begins.
fn candidates(
    search: &Search,
    reading: &Reading,
    place: Place,
    next: Option<Place>,
) -> impl Iterator<Item = (Place, f64)> {
    let bar = 12 * search.bar;
    let last = next.unwrap_or_else(|| (place.div_euclid(bar) + 2) * bar);
    let patterns: Vec<Pattern> = (place.div_euclid(12)..=last.div_euclid(12))
        .map(|beat| {
            let here = reading.places.iter().flatten().filter(|other| other.div_euclid(12) == beat);
            here.fold(0, |pattern, other| pattern | 1 << other.rem_euclid(12))
        })
        .collect();
    let is_compound = search.is_compound;
    (place + 1..=last).filter_map(move |at| {
        if Some(at) == next {
            return Some((at, JOINED));
        }
        let pattern = patterns.get((at.div_euclid(12) - place.div_euclid(12)) as usize).copied().unwrap_or(0);
        let step = 12 / Place::from(division(pattern, is_compound).parts());
        let within = at.rem_euclid(12);
        match within {
            0 => Some((at, ON_BEAT)),
            _ if within % step != 0 => None,
            6 => Some((at, ON_HALF)),
            _ if is_compound && within % 4 == 0 => Some((at, ON_HALF)),
            _ => Some((at, BETWEEN)),
        }
    })
}
