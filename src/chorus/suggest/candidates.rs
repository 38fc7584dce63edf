//! What the search chooses from: every riff, and a few changes of it, wherever it may begin.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use crate::chorus::course::{Course, Tones};
use crate::chorus::placement::{self, Alteration, Placed, Placement};
use crate::chorus::rules::{Adventure, Points, Rule};
use crate::chorus::score::{self, Yardstick};
use crate::chorus::suggest::Request;
use crate::chorus::together::begun_in;
use crate::insight::roles::Role;
use crate::riff::variation::How;
use crate::riff::{Note, Riff, edit};
use crate::units::Ticks;

/// A placement that the search may choose, with all that the rules ask of it.
#[derive(Clone, Debug)]
pub(super) struct Candidate {
    pub placed: Placed,
    pub riff: usize,
    pub at: Ticks,
    pub end: Ticks,
    /// Where its first note begins, and its pitch in half steps.
    pub entrance: (Ticks, i32),
    /// Where its last note ends, and its pitch.
    pub exit: (Ticks, i32),
    /// The points that it has by itself.
    pub own: i32,
    /// The points that it has as the last placement, silence after it left aside.
    pub as_last: i32,
    /// The points that it has where it opens its line.
    pub as_opener: i32,
    /// The bar that it belongs to, from 0 through all choruses.
    pub bar: usize,
    /// The chorus and the line that it belongs to.
    pub line: (usize, usize),
    pub is_fixed: bool,
    /// How long it sounds, in half beats.
    pub sounds: i32,
    /// What it needs before it.
    pub needs: Needs,
}

/// What a placement needs before it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Needs {
    /// Nothing.
    Nothing,
    /// It may not open the first chorus: that is opened by a riff as it is written.
    AnOpening,
    /// Its riff must have been heard: right before, or as what opened its chorus.
    ItsRiff,
    /// An answer: its riff right before, and not as an answer.
    ItsCall,
}

/// What a placement needs before it, where a chorus states its riffs first.
fn needs(request: &Request, placement: &Placement, is_fixed: bool) -> Needs {
    let is = |wanted: How| {
        placement
            .changes
            .iter()
            .any(|change| matches!(change, Alteration::Varied { how, .. } if *how == wanted))
    };
    match placement.changes.as_slice() {
        _ if is_fixed || !request.taste.adventure.states_first() => Needs::Nothing,
        [] => Needs::Nothing,
        _ if is(How::Answer) => Needs::ItsCall,
        [Alteration::Varied { how: How::Fit, .. }] => Needs::AnOpening,
        _ => Needs::ItsRiff,
    }
}

impl Candidate {
    /// Whether it is an answer.
    pub fn is_answer(&self) -> bool {
        self.needs == Needs::ItsCall
    }
}

/// The candidates, in the order of time; those that stay, and none that overlaps them. Of each bar at most
/// `most_a_bar`; where that leaves some out, the best by [`ranked`] are taken, and the second value is `false`.
pub(super) fn of(request: &Request, fixed: Vec<Placed>, most_a_bar: usize) -> (Vec<Candidate>, bool) {
    let yardstick = Yardstick::of(request.riffs);
    let half = score::half_beat(request.course);
    let tones = Tones::of(request.course);
    let points = Points::at(request.taste.adventure);
    let bars = request.course.landings().into_iter();
    let landings: Vec<Ticks> = bars.map(|bar| request.course.bar_start(bar)).collect();
    let candidate = |placed: Placed, is_fixed: bool| {
        let own = score::of_one(request.course, &tones, &points, &landings, &yardstick, &placed);
        let home = if score::comes_home(request.course, &placed) { points.of(Rule::EndHome, 1) } else { 0 };
        let (first, last) = (placed.notes().next()?, placed.notes().next_back()?);
        let bar = begun_in(request.course, placed.at(), placed.own_start);
        let line = request.course.line_of(bar);
        Some(Candidate {
            riff: placed.placement.riff,
            at: placed.at(),
            end: placed.end(),
            entrance: (first.0, first.1.pitch.semitones()),
            exit: (last.0 + last.1.length, last.1.pitch.semitones()),
            own,
            as_last: home,
            as_opener: points.of(Rule::Late, score::late_in_line(request.course, bar)),
            bar,
            line,
            is_fixed,
            sounds: placed.notes().map(|(_, note)| note.length).sum::<Ticks>().div_floor(half).clamp(0, 1_000)
                as i32,
            needs: needs(request, &placed.placement, is_fixed),
            placed,
        })
    };
    let length = request.course.length();
    let is_free = |one: &Placed| {
        fixed.iter().all(|fixed| {
            // A pickup into bar 1 sounds in the last bar too, where the chorus comes again.
            let again = fixed.hangs_over() && one.end() > length + fixed.at();
            !again && (one.end() <= fixed.at() || fixed.end() <= one.at())
        })
    };
    let mut choices = Choices::new(request, &tones);
    let mut all: Vec<Candidate> = fixed.iter().filter_map(|placed| candidate(placed.clone(), true)).collect();
    let mut is_all = true;
    // Bar by bar, so that no more are held at a time than one bar has.
    for bar in 0..request.course.bars() {
        let free = choices.in_bar(bar).into_iter().filter(is_free);
        let mut free: Vec<Candidate> = free.filter_map(|placed| candidate(placed, false)).collect();
        if free.len() > most_a_bar {
            is_all = false;
            let mut marks = vec![false; free.len()];
            let best = ranked(&free.iter().collect::<Vec<_>>()).into_iter().take(most_a_bar);
            best.for_each(|index| marks[index] = true);
            let mut marks = marks.into_iter();
            free.retain(|_| marks.next().unwrap_or(false));
        }
        all.extend(free);
    }
    all.sort_by(|one, other| one.placed.placement.cmp(&other.placed.placement));
    (all, is_all)
}

/// The candidates of one bar by their indices, the most promising first: of every riff its best by its own points, then
/// of every riff its second best, and so on.
pub(super) fn ranked(candidates: &[&Candidate]) -> Vec<usize> {
    let mut by_points: Vec<usize> = (0..candidates.len()).collect();
    by_points.sort_by_key(|index| Reverse(candidates[*index].own));
    let riffs = candidates.iter().map(|one| one.riff + 1).max().unwrap_or(0);
    // How many of each riff have been met.
    let mut met = vec![0; riffs];
    let mut rounds: Vec<(usize, usize)> = Vec::with_capacity(candidates.len());
    for index in by_points {
        let times: &mut usize = &mut met[candidates[index].riff];
        rounds.push((*times, index));
        *times += 1;
    }
    rounds.sort_by_key(|(round, _)| *round);
    rounds.into_iter().map(|(_, index)| index).collect()
}

/// Whether bar `bar` is one of the last two of its chorus, which turn round to the start: in forms of eight bars and more.
/// Common practice, no source.
pub(super) fn is_turnaround(course: &Course, bar: usize) -> bool {
    let bars = course.form().bars().len();
    bars >= 8 && bar % bars + 2 >= bars
}

/// What a changed riff depends on: the riff, the change, and where it is a variation, for each note, for the riff's end and
/// for the bar after it the chord there; where it is fitted, the next chord as well and when that comes.
type ChangeKey = (usize, Alteration, Vec<(usize, Option<usize>, Ticks)>);

struct Choices<'a> {
    request: &'a Request<'a>,
    tones: &'a Tones,
    /// Changed riffs, so that none is worked out twice.
    changed: BTreeMap<ChangeKey, Option<Riff>>,
}

impl<'a> Choices<'a> {
    fn new(request: &'a Request<'a>, tones: &'a Tones) -> Choices<'a> {
        Choices { request, tones, changed: BTreeMap::new() }
    }

    /// Everything that may begin in bar `bar`.
    fn in_bar(&mut self, bar: usize) -> Vec<Placed> {
        let course = self.request.course;
        let mut all = Vec::new();
        for (index, riff) in self.request.riffs.iter().enumerate() {
            if riff.notes().is_empty() {
                continue;
            }
            for late in self.shifts(bar) {
                let at = course.bar_start(bar) + riff.start + late;
                // A pickup into bar 1 sounds over the count-in, and across the double bar where the chorus comes again.
                let is_pickup = bar == 0 && late == Ticks::ZERO && riff.start < Ticks::ZERO;
                if (at >= Ticks::ZERO || is_pickup) && at + riff.length() <= course.length() {
                    self.at_place(index, riff, bar, at, &mut all);
                }
            }
        }
        all
    }

    /// How much later than written a riff may begin in bar `bar`.
    fn shifts(&self, bar: usize) -> Vec<Ticks> {
        let bars = self.request.course.form().bars();
        let metre = bars[bar % bars.len()].metre;
        match self.request.taste.adventure {
            Adventure::Bold if metre.beats().is_multiple_of(2) => vec![Ticks::ZERO, metre.bar() / 2],
            _ => vec![Ticks::ZERO],
        }
    }

    /// The riff begun in `bar`, as it is and in every way in which it may be changed there.
    fn at_place(&mut self, index: usize, riff: &Riff, bar: usize, at: Ticks, all: &mut Vec<Placed>) {
        let adventure = self.request.taste.adventure;
        let mut wished = vec![None];
        let varied = |how| Some(Alteration::Varied { how, seed: 0 });
        let turns = is_turnaround(self.request.course, bar);
        if matches!(adventure, Adventure::Some | Adventure::Bold) {
            let (_, line) = self.request.course.line_of(bar);
            wished.push(placement::with_chord(self.request.course, bar).map(Alteration::Transposed));
            wished.push(varied(How::Answer));
            if line == score::peak_line(self.request.course) {
                wished.push(varied(How::Octave));
            }
            if turns {
                wished.push(varied(How::NewEnding));
            }
        }
        if adventure == Adventure::Bold {
            wished.extend([varied(How::Sequence), varied(How::Invert)]);
        }
        if self.rubs(riff, at) {
            wished.push(varied(How::Fit));
        }
        wished.dedup();
        for change in wished {
            let placement = Placement { at, riff: index, changes: change.into_iter().collect() };
            let Some(placed) = self.placed(riff, placement) else { continue };
            let turns_well = !turns || self.ends_the_turnaround(&placed);
            if turns_well && placed.sounds().all(|sound| self.request.range.holds(sound)) {
                all.push(placed);
            }
        }
    }

    /// What is begun in the turnaround ends on the home note, or gives the cue to begin again: a tone of the chord there.
    fn ends_the_turnaround(&self, placed: &Placed) -> bool {
        let is_cue = |(at, note): (Ticks, &Note)| self.tones.at(at, note.pitch).role == Role::InChord;
        score::comes_home(self.request.course, placed) || placed.notes().next_back().is_some_and(is_cue)
    }

    fn rubs(&self, riff: &Riff, at: Ticks) -> bool {
        let beat = score::half_beat(self.request.course) * 2;
        riff.notes().iter().any(|note| {
            (note.accent || note.length >= beat) && self.tones.at(at + note.onset, note.pitch).rubs
        })
    }

    fn placed(&mut self, riff: &Riff, placement: Placement) -> Option<Placed> {
        let place = || placement::place(self.request.riffs, self.request.course, &placement).ok();
        let Some(change) = placement.changes.first().copied() else { return place() };
        let chords = match change {
            Alteration::Varied { how, .. } => self.chords_under(riff, placement.at, how),
            Alteration::Transposed(_) => Vec::new(),
        };
        let made = || place().map(|placed| placed.riff);
        let made = self.changed.entry((placement.riff, change, chords)).or_insert_with(made).clone()?;
        let (_, into_bar) = self.request.course.bar_at(placement.at);
        let made = edit::begin_at(&made, into_bar).ok()?;
        Some(Placed { placement, riff: made, own_start: riff.start })
    }

    /// See [`ChangeKey`]: a note that belongs to the chord that comes need not rub.
    fn chords_under(&self, riff: &Riff, at: Ticks, how: How) -> Vec<(usize, Option<usize>, Ticks)> {
        let under = |at: Ticks| match (how, self.tones.next_chord(at)) {
            (How::Fit, (next, distance)) => (self.tones.chord(at), next, distance),
            _ => (self.tones.chord(at), None, Ticks::ZERO),
        };
        let end = at + riff.length();
        let last = riff.notes().last().map_or(end, |last| at + last.onset);
        let next_bar = self.request.course.bar_start(self.request.course.bar_at(last).0 + 1);
        riff.notes().iter().map(|note| at + note.onset).chain([end, next_bar]).map(under).collect()
    }
}
