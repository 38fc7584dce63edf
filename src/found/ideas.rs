//! Ideas worth keeping: a free chorus cut at its rests, each piece a riff, the best first and with a reason.

use crate::chorus::course::{Course, Tones};
use crate::chorus::together::{Landed, Landing, landed};
use crate::found::find::{Find, Moved, riffs_in};
use crate::found::free::{Free, FreeNote};
use crate::rhythm::grid::Division;
use crate::riff::{Note, Riff, RiffId};
use crate::theory::pitch::Pitch;
use crate::theory::spell::Around;
use crate::units::Ticks;

/// A piece of a free chorus that could be kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Idea {
    /// It, on the grid and without a name; its id is 0.
    pub riff: Riff,
    /// Where its beats begin, from the first bar line.
    pub at: Ticks,
    /// The notes that it is made of, by index in [`Free::written`].
    pub notes: std::ops::Range<usize>,
    /// What speaks for it, the strongest first; at least one.
    pub reasons: Vec<Reason>,
}

/// What speaks for an idea.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// It was played more than once in the chorus, perhaps changed.
    CameAgain {
        /// How often in all.
        times: usize,
    },
    /// It meets a new chord with one of its tones.
    Lands {
        /// The bar, from 0.
        bar: usize,
        /// On the third or the seventh.
        is_guide: bool,
    },
    /// It ends on the home note.
    EndsHome,
    /// It has notes off the beat, and some on it.
    OffBeats,
    /// A rest of two beats or more follows.
    LeavesRoom,
    /// It is as long as a riff is as a rule.
    RightSize,
}

/// Points that a reason is worth. Common practice, no source: what comes again was meant.
fn points(reason: Reason) -> i32 {
    match reason {
        Reason::CameAgain { .. } => 6,
        Reason::Lands { is_guide: true, .. } => 4,
        Reason::Lands { is_guide: false, .. } => 3,
        Reason::EndsHome | Reason::OffBeats => 2,
        Reason::LeavesRoom | Reason::RightSize => 1,
    }
}

/// A rest this long ends a piece, in beats; shorter ones may belong to it, and part it where it is too long.
const CUT_BEATS: i64 = 2;
/// Notes of a piece.
const FEWEST_NOTES: usize = 3;
const MOST_NOTES: usize = 16;
/// The longest piece, in beats.
const MOST_BEATS: i64 = 8;

/// The ideas in `free`, the best first; at most `most`. A piece that is one of the player's own riffs already (`found`,
/// note for note) is none, nor is one that is like a better one.
pub fn ideas(free: &Free, course: &Course, found: &[Find], most: usize) -> Vec<Idea> {
    let landings = landings(free, course);
    let is_known = |piece: &std::ops::Range<usize>| {
        let own = |find: &&Find| find.varied.is_none() && find.is_whole();
        let notes = found.iter().filter(own).flat_map(|find| &find.notes);
        2 * notes.filter(|note| piece.contains(note)).count() > piece.len()
    };
    let pieces = pieces(free, course).into_iter().filter(|piece| !is_known(piece));
    let mut all: Vec<(Idea, Vec<Find>)> =
        pieces.filter_map(|piece| idea(free, course, &landings, piece)).collect();
    let worth = |idea: &Idea| idea.reasons.iter().map(|reason| points(*reason)).sum::<i32>();
    all.sort_by_key(|(idea, _)| (std::cmp::Reverse(worth(idea)), idea.at));
    let mut kept: Vec<(Idea, Vec<Find>)> = Vec::new();
    for (idea, again) in all {
        let own = |find: &Find| find.notes.iter().filter(|note| idea.notes.contains(note)).count();
        let is_like = |other: &[Find]| other.iter().any(|find| own(find) * 2 > idea.notes.len());
        if kept.len() < most && !kept.iter().any(|(_, found)| is_like(found)) {
            kept.push((idea, again));
        }
    }
    kept.into_iter().map(|(idea, _)| idea).collect()
}

/// How the chorus meets each change that asks for it (see [`Course::landings`]): by the note that is written on the bar
/// line or held over it.
pub fn landings(free: &Free, course: &Course) -> Vec<Landing> {
    let tones = Tones::of(course);
    let landing = |bar: usize| {
        let line = course.bar_start(bar);
        let note = free.written.iter().find(|note| note.at <= line && line < note.end());
        let pitch = note.map(|note| Around::key(course.form().key()).spell(note.midi));
        let on = pitch.map_or(Landed::Silence, |pitch| landed(&tones, line, pitch));
        Landing { bar, pitch, on }
    };
    course.landings().into_iter().map(landing).collect()
}

/// The written notes between rests, each no longer than a riff may be.
fn pieces(free: &Free, course: &Course) -> Vec<std::ops::Range<usize>> {
    let beat = course.form().bars()[0].metre.beat();
    let notes = &free.written;
    let mut pieces = Vec::new();
    let whole = 0..notes.len();
    let mut open = vec![whole];
    while let Some(piece) = open.pop() {
        if piece.len() < FEWEST_NOTES {
            continue;
        }
        let gap = |index: &usize| notes[*index].at - notes[index - 1].end();
        let between = |index: &usize| notes[*index].at - notes[index - 1].at;
        // The widest rest; where there is none, the longest note.
        let widest = (piece.start + 1..piece.end)
            .max_by_key(|index| (gap(index), between(index), std::cmp::Reverse(*index)));
        let Some(widest) = widest else { continue };
        let length = notes[piece.end - 1].end() - notes[piece.start].at;
        let is_long = piece.len() > MOST_NOTES || length > beat * MOST_BEATS;
        if gap(&widest) >= beat * CUT_BEATS || is_long {
            open.extend([piece.start..widest, widest..piece.end]);
        } else {
            pieces.push(piece);
        }
    }
    pieces.sort_by_key(|piece| piece.start);
    pieces
}

fn idea(
    free: &Free,
    course: &Course,
    landings: &[Landing],
    piece: std::ops::Range<usize>,
) -> Option<(Idea, Vec<Find>)> {
    let beat = course.form().bars()[0].metre.beat();
    let notes = &free.written[piece.clone()];
    let (first, last) = (notes.first()?, notes.last()?);
    let room = free.written.get(piece.end).map_or(course.length(), |next| next.at) - last.end();
    let at = beat * first.at.div_floor(beat);
    let riff = riff(free, course, at, piece.clone(), room)?;
    let mut reasons = Vec::new();
    let mut again = riffs_in(free, course, std::slice::from_ref(&riff), &[]);
    again.retain(|find| find.is_heard() && !find.is_turned());
    if again.len() > 1 {
        reasons.push(Reason::CameAgain { times: again.len() });
    }
    let met = landings.iter().filter(|landing| {
        let line = course.bar_start(landing.bar);
        first.at <= line && line < last.end() && matches!(landing.on, Landed::Guide | Landed::InChord)
    });
    let met = met.min_by_key(|landing| landing.on != Landed::Guide);
    reasons
        .extend(met.map(|landing| Reason::Lands { bar: landing.bar, is_guide: landing.on == Landed::Guide }));
    let home = course.form().key().tonic().pitch_class();
    if i32::from(last.midi.number()) % 12 == home {
        reasons.push(Reason::EndsHome);
    }
    let off = notes.iter().filter(|note| note.at.rem_floor(beat) != Ticks::ZERO).count();
    if 4 * off >= notes.len() && 4 * off <= 3 * notes.len() {
        reasons.push(Reason::OffBeats);
    }
    if room >= beat * 2 {
        reasons.push(Reason::LeavesRoom);
    }
    // A first riff is four to eight beats long (common practice).
    if (4..=8).contains(&riff.beats()) && notes.len() <= 10 {
        reasons.push(Reason::RightSize);
    }
    reasons.sort_by_key(|reason| std::cmp::Reverse(points(*reason)));
    (!reasons.is_empty()).then_some((Idea { riff, at, notes: piece, reasons }, again))
}

/// The notes as a riff whose beats begin at `at`: four beats at least, where as much is left free after it.
fn riff(free: &Free, course: &Course, at: Ticks, piece: std::ops::Range<usize>, room: Ticks) -> Option<Riff> {
    let metre = course.form().bars()[0].metre;
    let (beat, bar) = (metre.beat(), metre.bar());
    let end = free.written[piece.clone()].last()?.end();
    let full = |length: Ticks| (length + beat - Ticks(1)).div_floor(beat);
    let beats = full(end - at);
    let with_rest = (end - at + room).div_floor(beat);
    let beats = beats.max(with_rest.min(4)).clamp(1, Riff::MOST_BEATS as i64);
    // What begins in the second half of a bar and goes on over the bar line leads to that line.
    let into = at.rem_floor(bar);
    let is_pickup = into * 2 >= bar && into + beat * beats > bar;
    let start = if is_pickup { into - bar } else { into };
    written(free, course, at, piece, beats, start)
}

/// What was played in these bars of the course, from their bar line on, to be read; at most as long as a riff may be.
/// What begins before the first bar line of all stands on it. `None` where nothing was played there.
pub fn stretch(free: &Free, course: &Course, bars: std::ops::Range<usize>) -> Option<Riff> {
    let beat = course.form().bars()[0].metre.beat();
    let (at, end) = (course.bar_start(bars.start), course.bar_start(bars.end));
    let beats = (end - at).div_floor(beat).clamp(1, Riff::MOST_BEATS as i64);
    let end = at + beat * beats;
    let is_here = |note: &FreeNote| (bars.start == 0 || note.at >= at) && note.at < end;
    let first = free.written.iter().position(is_here)?;
    let count = free.written[first..].iter().take_while(|note| is_here(note)).count();
    let mut free = free.clone();
    for note in &mut free.written[first..first + count] {
        note.at = note.at.max(at);
    }
    // Two notes that were brought onto the bar line are one place: the later one stays.
    let notes = &free.written;
    let first = (first..first + count).rev().find(|index| notes[*index].at == at).unwrap_or(first);
    let count = notes[first..].iter().take_while(|note| note.at < end).count();
    written(&free, course, at, first..first + count, beats, Ticks::ZERO)
}

/// Notes of `free` as a riff of `beats` beats that begin at `at` of the course, and `start` after a bar line.
fn written(
    free: &Free,
    course: &Course,
    at: Ticks,
    piece: std::ops::Range<usize>,
    beats: i64,
    start: Ticks,
) -> Option<Riff> {
    let metre = course.form().bars()[0].metre;
    let beat = metre.beat();
    let notes = &free.written[piece.clone()];
    let own = if metre.is_compound() { Division::THIRDS } else { Division::HALVES };
    let mut divisions = vec![own; beats as usize];
    for (note, division) in notes.iter().zip(&free.divisions[piece]) {
        let index = usize::try_from((note.at - at).div_floor(beat)).ok();
        if let Some(place) = index.and_then(|index| divisions.get_mut(index)) {
            *place = (*place).max(*division);
        }
    }
    let around = Around::key(course.form().key());
    let note = |(index, note): (usize, &FreeNote)| {
        let next = notes.get(index + 1).map_or(beat * beats, |next| next.at - at);
        Note {
            onset: note.at - at,
            length: note.length.min(next - (note.at - at)),
            pitch: around.spell(note.midi),
            accent: false,
            ornament: None,
        }
    };
    let notes: Vec<Note> = notes.iter().enumerate().map(note).collect();
    Riff::from_parts(RiffId(0), String::new(), start, beat, divisions, notes)
}

/// What stayed of a chorus when it was played again.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stayed {
    /// The pieces of the first chorus, in the order of time, and what became of each.
    pub pieces: Vec<Piece>,
}

/// A piece of the first chorus.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Where its beats begin, from the first bar line.
    pub at: Ticks,
    /// Its first pitch.
    pub pitch: Pitch,
    /// Where it was found the second time: `None` where it did not come.
    pub again: Option<Find>,
}

impl Piece {
    /// Whether it came again where it was, at its own pitch; a note of it may be another.
    pub fn is_kept(&self) -> bool {
        let same = |find: &Find| find.at == self.at && find.moved == Moved::No && find.varied.is_none();
        self.again.as_ref().is_some_and(same)
    }
}

impl Stayed {
    /// Compares `second` with `first`: each piece between rests is looked for, first of all where it was.
    pub fn of(first: &Free, second: &Free, course: &Course) -> Stayed {
        let beat = course.form().bars()[0].metre.beat();
        let pieces = pieces(first, course).into_iter().filter_map(|piece| {
            let note = first.written.get(piece.start)?;
            let at = beat * note.at.div_floor(beat);
            let riff = riff(first, course, at, piece, Ticks::ZERO)?;
            let found = riffs_in(second, course, std::slice::from_ref(&riff), &[]);
            let again = found.into_iter().min_by_key(|find| (find.at - at).0.abs());
            Some(Piece { at, pitch: riff.notes().first()?.pitch, again })
        });
        Stayed { pieces: pieces.collect() }
    }

    /// How many pieces stayed.
    pub fn kept(&self) -> usize {
        self.pieces.iter().filter(|piece| piece.is_kept()).count()
    }
}
