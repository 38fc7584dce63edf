//! A player's own riffs, found in a free chorus: as they are, in another place, moved, or varied.
//!
//! Each riff, and a few of its variations, is laid at each half beat of the chorus, as it sounds with the player's own
//! swing, and moved to where most of its notes have their pitch. How much likelier what was played is for someone
//! playing the riff than for someone playing freely with the same notes and as many of them is the score: a logarithm
//! of odds, added up note by note and rest by rest, from which the number of places and moves that were tried is taken
//! away. (The reasoning is that of S. Karlin and S. F. Altschul, "Methods for assessing the statistical significance of
//! molecular sequence features by using general scoring schemes", PNAS 87, 1990, 2264–2268.)

use crate::chorus::course::Course;
use crate::found::free::Free;
use crate::rhythm::feel::bend;
use crate::riff::Riff;
use crate::riff::variation::{self, Change, Ground, How, Mirror, Variation};
use crate::theory::pitch::NoteName;
use crate::units::Ticks;

/// A riff that was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Find {
    /// Which riff, by index.
    pub riff: usize,
    /// Where its beats begin, from the first bar line.
    pub at: Ticks,
    /// How far from its own place in the bar, 0 at home; less than a bar.
    pub displaced: Ticks,
    /// How its pitches moved.
    pub moved: Moved,
    /// The variation that it is, where it is one.
    pub varied: Option<How>,
    /// The played notes that stand for its notes, by index in [`Free::sounded`].
    pub notes: Vec<usize>,
    /// How many of them have another pitch than the riff.
    pub changed: usize,
    /// Notes of the riff that were left out.
    pub left_out: usize,
    /// Notes played between its notes.
    pub added: usize,
    /// How sure: the logarithm of the odds that it is no chance; above 0.
    pub sure: f64,
}

impl Find {
    /// Whether it is note for note the riff, where it is at home, at its own pitch.
    pub fn is_exact(&self) -> bool {
        self.displaced == Ticks::ZERO && self.moved == Moved::No && self.varied.is_none() && self.is_whole()
    }

    /// Whether no note is changed, left out or added.
    pub fn is_whole(&self) -> bool {
        self.changed + self.left_out + self.added == 0
    }

    /// Whether it goes against the riff: upside down or backwards.
    pub fn is_turned(&self) -> bool {
        matches!(self.varied, Some(How::Invert | How::Retrograde))
    }

    /// Whether a listener would hear the riff in it. Odds alone find more than ears do: a short riff turned round is in
    /// many a run of notes. Common practice, no source: one note in three may be another, and what is turned has to be
    /// whole, and long enough to be known.
    pub fn is_heard(&self) -> bool {
        let notes = self.notes.len() + self.left_out;
        if self.is_turned() {
            return self.is_whole() && notes >= FEWEST_TURNED;
        }
        3 * (self.changed + self.left_out + self.added) <= notes
    }
}

/// The notes of the shortest riff that is known when it is turned.
const FEWEST_TURNED: usize = 5;

/// How pitches moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Moved {
    /// Not at all.
    No,
    /// All by as many half steps; negative is down.
    HalfSteps(i32),
    /// All by as many steps of a scale; negative is down.
    ScaleSteps(i32),
}

/// How far from its place a note may be, in beats.
const REACH: f64 = 0.17;
/// Chances of what a player does to a riff of their own; tuned on made-up solos (`tests/it/finding.rs`).
const LEFT_OUT: f64 = 0.04;
const CHANGED: f64 = 0.08;
const ADDED: f64 = 0.08;
/// How much the odds must outweigh the number of things that were tried.
const MARGIN: f64 = 0.5;
/// The variations that are looked for.
const WAYS: [How; 4] = [How::Augment, How::Diminish, How::Invert, How::Retrograde];

/// The riffs in `free`, in the order of time; none shares a note with another. `scale` are the notes in use, along which
/// a riff may have been moved; none means that each riff's own scale is tried alone.
pub fn riffs_in(free: &Free, course: &Course, riffs: &[Riff], scale: &[NoteName]) -> Vec<Find> {
    let chance = Chance::of(free, course);
    let in_use = Scale::of(scale);
    let mut found: Vec<Find> = Vec::new();
    for (index, riff) in riffs.iter().enumerate() {
        if riff.notes().len() < 2 {
            continue;
        }
        let ground = Ground::of(riff, course.form().clone());
        let own = Scale::of(&ground.notes);
        for (way, shape) in shapes(riff, &ground) {
            let search = Search {
                free,
                course,
                chance: &chance,
                scales: [&own, &in_use],
                riffs: riffs.len(),
                riff: index,
                way,
            };
            found.extend(search.everywhere(riff, &shape));
        }
    }
    apart(found, free)
}

/// The best of those that share a note or lie within each other, in the order of time.
fn apart(mut found: Vec<Find>, free: &Free) -> Vec<Find> {
    found.sort_by(|one, other| other.sure.total_cmp(&one.sure));
    let mut is_used = vec![false; free.sounded.len()];
    let mut kept = Vec::new();
    for find in found {
        let (Some(first), Some(last)) = (find.notes.first(), find.notes.last()) else { continue };
        if is_used[*first..=*last].iter().any(|used| *used) {
            continue;
        }
        is_used[*first..=*last].iter_mut().for_each(|used| *used = true);
        kept.push(find);
    }
    kept.sort_by_key(|find| find.at);
    kept
}

/// The riff and its variations: the first of each way, and of each mirror that turns it upside down.
fn shapes(riff: &Riff, ground: &Ground) -> Vec<(Option<How>, Riff)> {
    let mut shapes = vec![(None, riff.clone())];
    for how in WAYS {
        let all = variation::variations(how, riff, ground).unwrap_or_default();
        let exact =
            |one: &Variation| matches!(one.change, Change::Inverted { mirror: Mirror::HalfSteps, .. });
        let exact = all.iter().position(exact).filter(|place| *place > 0);
        let taken = all.into_iter().enumerate().filter(|(place, _)| *place == 0 || Some(*place) == exact);
        shapes.extend(taken.map(|(_, one)| (Some(how), one.riff)));
    }
    shapes
}

/// What a free player does by chance: how often a note begins, and which.
struct Chance {
    /// The chance that a note begins at a place of the grid.
    onset: f64,
    /// How often each pitch was played, and each interval from one note to the next.
    pitches: Counts,
    intervals: Counts,
    notes: usize,
}

impl Chance {
    fn of(free: &Free, course: &Course) -> Chance {
        let beat = course.form().bars()[0].metre.beat();
        let midi: Vec<i32> = free.sounded.iter().map(|note| i32::from(note.midi.number())).collect();
        let places = (course.length().div_floor(beat) * 2).max(1) as f64;
        let steps: Vec<i32> = midi.windows(2).map(|two| two[1] - two[0]).collect();
        Chance {
            onset: (midi.len() as f64 / places).clamp(0.1, 0.8),
            pitches: counted(&midi),
            intervals: counted(&steps),
            notes: midi.len(),
        }
    }

    /// The chance of `pitch` after `before`: by how often it is played, or how often that interval is, whichever is more.
    /// A note is no evidence that it was to be expected: where `is_played`, it is left out of the count.
    fn pitch(&self, pitch: i32, before: Option<i32>, is_played: bool) -> f64 {
        let own = usize::from(is_played);
        let share = |counts: &Counts, value: i32| {
            let count = counts.iter().find(|(other, _)| *other == value).map_or(0, |(_, count)| *count);
            let others = count.saturating_sub(own) as f64;
            // A little evened out.
            if others > 0.0 { (others + 0.5) / (self.notes.saturating_sub(own) as f64 + 6.0) } else { SELDOM }
        };
        let alone = share(&self.pitches, pitch);
        let after = before.map_or(SELDOM, |before| share(&self.intervals, pitch - before));
        alone.max(after).min(0.9)
    }
}

/// The chance of a pitch, or of an interval, that is played nowhere else.
const SELDOM: f64 = 0.03;

/// Values, and how often each is there.
type Counts = Vec<(i32, usize)>;

fn counted(values: &[i32]) -> Counts {
    let mut counts = Counts::new();
    for value in values {
        match counts.iter_mut().find(|(other, _)| other == value) {
            Some((_, count)) => *count += 1,
            None => counts.push((*value, 1)),
        }
    }
    counts
}

/// A scale through all octaves.
struct Scale {
    /// MIDI numbers, ascending; empty for no scale.
    rungs: Vec<i32>,
}

impl Scale {
    fn of(notes: &[NoteName]) -> Scale {
        let classes: Vec<i32> = notes.iter().map(|note| note.pitch_class()).collect();
        // All twelve are no scale to move along: that is by half steps.
        let is_scale = classes.len() < 12;
        Scale { rungs: (0..128).filter(|midi| is_scale && classes.contains(&(midi % 12))).collect() }
    }

    fn rung(&self, midi: i32) -> Option<i32> {
        self.rungs.binary_search(&midi).ok().map(|index| index as i32)
    }

    fn moved(&self, midi: i32, steps: i32) -> Option<i32> {
        let rung = self.rung(midi)? + steps;
        usize::try_from(rung).ok().and_then(|rung| self.rungs.get(rung)).copied()
    }
}

/// A note that a riff asks for at some place.
#[derive(Clone, Copy)]
struct Asked {
    /// Where it sounds.
    at: Ticks,
    midi: i32,
    /// The played note there.
    played: Option<usize>,
}

/// One riff in one shape.
struct Search<'a> {
    free: &'a Free,
    course: &'a Course,
    chance: &'a Chance,
    scales: [&'a Scale; 2],
    riffs: usize,
    riff: usize,
    way: Option<How>,
}

impl Search<'_> {
    fn everywhere(&self, riff: &Riff, shape: &Riff) -> Vec<Find> {
        let beat = self.course.form().bars()[0].metre.beat();
        let parts = if self.course.form().bars()[0].metre.is_compound() { 3 } else { 2 };
        let steps = self.course.length().div_floor(beat) * parts;
        // From a bar before the start, for pickups.
        let first = -(self.course.form().bars()[0].metre.bar().div_floor(beat) * parts);
        let mut found = Vec::new();
        for step in first..steps {
            let at = beat * step / parts;
            let displaced = self.displaced(riff, at);
            let places = if displaced == Ticks::ZERO { self.course.bars() as f64 } else { steps as f64 };
            let mut asked = self.asked(shape, at, beat);
            let hits = asked.iter().filter(|one| one.played.is_some()).count();
            if 3 * hits < 2 * asked.len() || hits < 2 {
                continue;
            }
            let tried = 2.0 * places * self.riffs as f64 * if self.way.is_some() { 20.0 } else { 1.0 };
            for (moved, pitches) in self.moves(&asked) {
                for (one, pitch) in asked.iter_mut().zip(&pitches) {
                    one.midi = *pitch;
                }
                let find = self.weighed(&asked, beat, at, displaced, moved);
                // How many moves of the kind there are: of half steps, those of less than an octave up and down.
                let moves = match moved {
                    Moved::No => 2.0,
                    Moved::HalfSteps(by) if by % 12 == 0 => 8.0,
                    Moved::HalfSteps(_) => 24.0,
                    Moved::ScaleSteps(_) => 28.0,
                };
                let sure = find.sure - (tried * moves).ln() - MARGIN;
                if sure > 0.0 {
                    found.push(Find { sure, ..find });
                }
            }
        }
        found
    }

    /// How far a riff begun at `at` is from its own place in the bar.
    fn displaced(&self, riff: &Riff, at: Ticks) -> Ticks {
        let bar = self.course.form().bars()[0].metre.bar();
        let off = (at - riff.start).rem_floor(bar);
        if off > bar / 2 { off - bar } else { off }
    }

    /// The notes of `shape` where they sound, each with the played note nearest to it.
    fn asked(&self, shape: &Riff, at: Ticks, beat: Ticks) -> Vec<Asked> {
        let reach = Ticks((REACH * beat.0 as f64) as i64);
        let mut free_from = 0;
        let mut ask = |note: &crate::riff::Note| {
            let written = at + note.onset;
            let fraction = written.rem_floor(beat).0 as f64 / beat.0 as f64;
            let into = bend(fraction, shape.division_at(note.onset), self.free.off_beat);
            let at = beat * written.div_floor(beat) + Ticks((into * beat.0 as f64).round() as i64);
            let notes = &self.free.sounded;
            let from = notes.partition_point(|note| note.at < at - reach).max(free_from);
            let near = (from..notes.len()).take_while(|index| notes[*index].at <= at + reach);
            let played = near.min_by_key(|index| (notes[*index].at - at).0.abs());
            free_from = played.map_or(free_from, |played| played + 1);
            Asked { at, midi: note.pitch.semitones(), played }
        };
        shape.notes().iter().map(&mut ask).collect()
    }

    fn played(&self, one: &Asked) -> Option<i32> {
        one.played.map(|index| i32::from(self.free.sounded[index].midi.number()))
    }

    /// Ways to move the pitches that suit most notes, with the pitches.
    fn moves(&self, asked: &[Asked]) -> Vec<(Moved, Vec<i32>)> {
        let pitches: Vec<i32> = asked.iter().map(|one| one.midi).collect();
        let mut moves = vec![(Moved::No, pitches.clone())];
        let pairs = || asked.iter().filter_map(|one| Some((one.midi, self.played(one)?)));
        for by in often(pairs().map(|(midi, played)| played - midi)) {
            if by != 0 {
                moves.push((Moved::HalfSteps(by), pitches.iter().map(|pitch| pitch + by).collect()));
            }
        }
        for scale in self.scales {
            let steps = pairs().filter_map(|(midi, played)| Some(scale.rung(played)? - scale.rung(midi)?));
            for by in often(steps).into_iter().filter(|by| *by != 0) {
                let moved: Option<Vec<i32>> = pitches.iter().map(|pitch| scale.moved(*pitch, by)).collect();
                let is_new = |moved: &Vec<i32>| moves.iter().all(|(_, known)| known != moved);
                if let Some(moved) = moved.filter(is_new) {
                    moves.push((Moved::ScaleSteps(by), moved));
                }
            }
        }
        moves
    }

    /// The odds that it is the riff.
    fn weighed(&self, asked: &[Asked], beat: Ticks, at: Ticks, displaced: Ticks, moved: Moved) -> Find {
        let onset = self.chance.onset;
        let (mut odds, mut changed, mut left_out) = (0.0, 0, 0);
        let mut before = None;
        for one in asked {
            match self.played(one) {
                None => {
                    odds += (LEFT_OUT / (1.0 - onset)).ln();
                    left_out += 1;
                }
                Some(played) => {
                    odds += ((1.0 - LEFT_OUT) / onset).ln();
                    // Where all of it is moved, the first note can be any.
                    let chance = match (moved, before) {
                        (Moved::No, _) | (_, Some(_)) => {
                            self.chance.pitch(one.midi, before, played == one.midi)
                        }
                        _ => 1.0,
                    };
                    if played == one.midi {
                        odds += ((1.0 - CHANGED) / chance).ln();
                    } else {
                        odds += CHANGED.ln();
                        changed += 1;
                    }
                    before = Some(played);
                }
            }
        }
        let notes: Vec<usize> = asked.iter().filter_map(|one| one.played).collect();
        let span = notes.first().zip(notes.last()).map_or(0, |(first, last)| last - first + 1);
        let added = span - notes.len();
        let (first, last) = (asked[0].at, asked[asked.len() - 1].at);
        let places = ((last - first) * 2 + beat / 2).div_floor(beat) as usize + 1;
        let silent = places.saturating_sub(asked.len()).saturating_sub(added) as f64;
        odds += silent * ((1.0 - ADDED) / (1.0 - onset)).ln() + added as f64 * (ADDED / onset).ln();
        Find {
            riff: self.riff,
            at,
            displaced,
            moved,
            varied: self.way,
            notes,
            changed,
            left_out,
            added,
            sure: odds,
        }
    }
}

/// The two values that come most often.
fn often(values: impl Iterator<Item = i32>) -> Vec<i32> {
    let mut counts = counted(&values.collect::<Vec<_>>());
    counts.sort_by_key(|(value, count)| (std::cmp::Reverse(*count), value.abs(), *value));
    counts.into_iter().take(2).map(|(value, _)| value).collect()
}
