//! A lesson, beyond its link: what a riff is held against, and how the riffs of a class follow each other.

use crate::chorus::course::Course;
use crate::chorus::kept::{Chorus, ChorusId, Spot};
use crate::chorus::placement::{self, Placement};
use crate::files::link::Limits;
use crate::form::Changes;
use crate::insight::roles;
use crate::notebook::past::plan::way;
use crate::notebook::tune::Material;
use crate::riff::Riff;
use crate::theory::key::Key;
use crate::theory::pitch::NoteName;
use crate::units::Ticks;

/// The notes that limits ask for.
pub fn material(limits: &Limits) -> Material {
    Material::all().nth(limits.notes.into()).unwrap_or(Material::All)
}

/// A riff held against one thing that was asked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Held {
    /// So many beats at most.
    Beats {
        /// What was asked.
        asked: usize,
        /// What the riff has.
        found: usize,
    },
    /// So many beats at least without a note.
    Space {
        /// What was asked.
        asked: usize,
        /// What the riff has.
        found: usize,
    },
    /// Only these notes.
    Notes {
        /// What was asked.
        asked: Material,
        /// Notes that are not among them, each once, in the order in which they come.
        others: Vec<NoteName>,
    },
}

impl Held {
    /// Whether the riff is as it was asked.
    pub fn is_kept(&self) -> bool {
        match self {
            Held::Beats { asked, found } => found <= asked,
            Held::Space { asked, found } => found >= asked,
            Held::Notes { others, .. } => others.is_empty(),
        }
    }
}

/// Holds a riff, begun in bar 1 of `changes`, against what is asked; what nothing is asked about is left out.
pub fn held(limits: &Limits, riff: &Riff, changes: &Changes) -> Vec<Held> {
    let mut all = Vec::new();
    if limits.beats > 0 {
        all.push(Held::Beats { asked: limits.beats.into(), found: riff.beats() });
    }
    if limits.space > 0 {
        all.push(Held::Space { asked: limits.space.into(), found: free_beats(riff) });
    }
    let asked = material(limits);
    if asked != Material::All {
        all.push(Held::Notes { asked, others: others(asked, riff, changes) });
    }
    all
}

/// How many of a riff's beats no note sounds in.
pub fn free_beats(riff: &Riff) -> usize {
    let sounds = |beat: usize| {
        let (from, to) = (riff.beat() * beat as i64, riff.beat() * (beat as i64 + 1));
        riff.notes().iter().any(|note| note.onset < to && note.end() > from)
    };
    (0..riff.beats()).filter(|beat| !sounds(*beat)).count()
}

/// The notes of the riff that are not among those asked for, by how they sound.
fn others(asked: Material, riff: &Riff, changes: &Changes) -> Vec<NoteName> {
    let mut others: Vec<NoteName> = Vec::new();
    for insight in roles::over(changes, riff, 0) {
        let Some(note) = riff.notes().get(insight.note) else { continue };
        let sounds = |name: NoteName| (name.step.semitones() + name.alter).rem_euclid(12);
        let own = note.pitch.name;
        let allowed = asked.notes(changes.key(), &insight.chord);
        let is_allowed = allowed.iter().any(|name| sounds(*name) == sounds(own));
        if !is_allowed && !others.iter().any(|name| sounds(*name) == sounds(own)) {
            others.push(own);
        }
    }
    others
}

/// How the riffs of a class follow each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Follow {
    /// Each has a turn as long as the longest needs, at least two bars.
    InTurn,
    /// Each begins in the first bar line that the one before leaves free.
    AsChorus,
}

/// The riffs of a class over the form, one after the other without a bar between.
#[derive(Clone, Debug, PartialEq)]
pub struct Turns {
    /// The riffs where they stand, all in the tune's key.
    pub chorus: Chorus,
    /// The bar in which each turn begins, from 0 through all times; one more for the end of the last.
    pub bars: Vec<usize>,
    /// How many riffs found no room: a course has at most [`Course::MOST_CHORUSES`] times.
    pub left_out: usize,
}

/// A riff that stands in one key moved to another, by the shorter way; as it is where it would leave what sounds.
pub fn moved(riff: &Riff, from: Key, to: Key) -> Riff {
    let (half_steps, by) = way(from, to);
    let moved = (half_steps != 0).then(|| placement::transposed(riff, by)).flatten();
    moved.unwrap_or_else(|| riff.clone())
}

/// Lays riffs, each with the key that it stands in, one after the other over `form`. `None` where there is none.
pub fn turns(form: &Changes, riffs: &[(Riff, Key)], follow: Follow) -> Option<Turns> {
    let longest = Course::new(form.clone(), Course::MOST_CHORUSES);
    let riffs: Vec<Riff> = riffs.iter().map(|(riff, key)| moved(riff, *key, form.key())).collect();
    // A turn goes on until its riff has ended and the pickup of the next one has room.
    let pickup = |index: usize| riffs.get(index).map_or(Ticks::ZERO, |riff| Ticks(-riff.start.0.min(0)));
    let needs = |index: usize| riffs[index].start + riffs[index].length() + pickup(index + 1);
    let bars_for = |from: usize, needed: Ticks| {
        let reaches = |bars: &usize| longest.bar_start(from + bars) - longest.bar_start(from) >= needed;
        (1..=longest.bars() - from).find(reaches)
    };
    let most = (0..riffs.len()).map(needs).max()?;
    let (mut bars, mut spots) = (vec![0], Vec::new());
    for (index, riff) in riffs.iter().enumerate().take(Chorus::MOST_RIFFS) {
        let from = bars[index];
        let length = match follow {
            Follow::InTurn => bars_for(from, most).map(|bars| bars.max(LEAST_TURN)),
            Follow::AsChorus => bars_for(from, needs(index)),
        };
        let Some(until) = length.map(|length| from + length).filter(|until| *until <= longest.bars()) else {
            break;
        };
        let at = longest.bar_start(from) + riff.start;
        spots.push(Spot { placement: Placement { at, riff: index, changes: Vec::new() }, stays: false });
        bars.push(until);
    }
    let times = bars.last()?.div_ceil(form.bars().len()).max(1);
    let left_out = riffs.len() - spots.len();
    let placed = riffs[..spots.len()].to_vec();
    let chorus = Chorus::from_parts(ChorusId(0), "", times, placed, spots)?;
    Some(Turns { chorus, bars, left_out })
}

/// The shortest turn, in bars: a call that everybody can take in.
const LEAST_TURN: usize = 2;

/// A table as comma-separated values, each line with its end.
///
/// Source: RFC 4180, section 2: lines end in CR LF; a field with a comma, a quotation mark or a line break stands in
/// quotation marks, and marks within it are doubled.
pub fn csv(rows: &[Vec<String>]) -> String {
    let field = |text: &String| {
        // A cell that a table program would take for a formula is set off by an apostrophe.
        let safe =
            if text.starts_with(['=', '+', '-', '@', '\t']) { format!("'{text}") } else { text.clone() };
        if safe.contains([',', '"', '\r', '\n']) {
            format!("\"{}\"", safe.replace('"', "\"\""))
        } else {
            safe
        }
    };
    rows.iter().map(|row| row.iter().map(field).collect::<Vec<_>>().join(",") + "\r\n").collect()
}
