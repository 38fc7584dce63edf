//! The points of a chorus, rule by rule: the plain reading of the table, which the fast search must agree with.

use crate::chorus::check::Step;
use crate::chorus::course::{Course, Tones};
use crate::chorus::placement::{Alteration, Placed};
use crate::chorus::rules::{Adventure, Points, RULES, Room, Rule};
use crate::chorus::together::{Landed, Line, Together, begun_in, is_home};
use crate::insight::roles::Role;
use crate::riff::Riff;
use crate::riff::variation::How;
use crate::units::Ticks;

/// How the table is read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Taste {
    /// How adventurous.
    pub adventure: Adventure,
    /// How much room.
    pub room: Room,
}

/// What the riffs that may be used are like, so that one of them is higher or busier than the others; and the price of
/// sound.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Yardstick {
    /// Points of every half beat that sounds, beside the table of rules: what it takes for a chorus to have as much
    /// silence as is wished for ([`Room::silent`]).
    pub price: i32,
    /// The mean of all riffs.
    mean: Energy,
    /// The riff that is kept for the peak; `None` where there is but one, which is then changed there.
    kept: Option<usize>,
}

/// How high, busy and loud a riff is.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Energy {
    /// The mean of its pitches, in half steps.
    height: f64,
    /// Notes in four beats.
    density: f64,
    /// Accents in four beats.
    accents: f64,
}

impl Energy {
    fn of(riff: &Riff) -> Option<Energy> {
        let count = riff.notes().len() as f64;
        let fours = riff.beats() as f64 / 4.0;
        let heights: i32 = riff.notes().iter().map(|note| note.pitch.semitones()).sum();
        let accents = riff.notes().iter().filter(|note| note.accent).count() as f64;
        let energy =
            Energy { height: f64::from(heights) / count, density: count / fours, accents: accents / fours };
        (!riff.notes().is_empty()).then_some(energy)
    }

    /// Steps above `mean`: two half steps, a note or an accent in four beats are one. From −8 to 8.
    fn above(self, mean: Energy) -> i64 {
        let part = |steps: f64, most: f64| steps.round().clamp(-most, most) as i64;
        part((self.height - mean.height) / 2.0, 3.0)
            + part(self.density - mean.density, 3.0)
            + part(self.accents - mean.accents, 2.0)
    }
}

impl Yardstick {
    /// That of `riffs`; those without a note are passed over.
    pub fn of(riffs: &[Riff]) -> Yardstick {
        let energies: Vec<(usize, Energy)> =
            riffs.iter().enumerate().filter_map(|(index, riff)| Some((index, Energy::of(riff)?))).collect();
        let count = (energies.len() as f64).max(1.0);
        let mean =
            |of: fn(&Energy) -> f64| energies.iter().map(|(_, energy)| of(energy)).sum::<f64>() / count;
        let mean = Energy {
            height: mean(|energy| energy.height),
            density: mean(|energy| energy.density),
            accents: mean(|energy| energy.accents),
        };
        let most = energies.iter().max_by_key(|(_, energy)| energy.above(mean)).map(|(index, _)| *index);
        Yardstick { price: 0, mean, kept: most.filter(|_| energies.len() > 1) }
    }

    /// How often the peak's rule applies to a placement: in the line of the peak what it has above the mean, in each line
    /// before as much the other way round.
    pub(super) fn peak(&self, course: &Course, one: &Placed) -> i64 {
        let above = Energy::of(&one.riff).map_or(0, |energy| energy.above(self.mean));
        above * i64::from(place_about_peak(course, one))
    }

    /// How often the rule of what is kept for the peak applies to a placement.
    pub(super) fn kept(&self, course: &Course, one: &Placed) -> i64 {
        let is_kept = match self.kept {
            Some(kept) => one.placement.riff == kept,
            None => one.placement.changes.iter().any(|change| is_kept_for_the_peak(*change)),
        };
        if is_kept { i64::from(place_about_peak(course, one)) } else { 0 }
    }

    /// The points of the time that sounds.
    pub(super) fn sounding(&self, course: &Course, one: &Placed) -> i32 {
        let sounds: Ticks = one.notes().map(|(_, note)| note.length).sum();
        self.price.saturating_mul(sounds.div_floor(half_beat(course)).clamp(0, 1_000) as i32)
    }
}

/// Changes that are offered only where a chorus peaks.
pub(super) fn is_kept_for_the_peak(change: Alteration) -> bool {
    matches!(change, Alteration::Varied { how: How::Octave, .. })
}

/// The line in which a chorus peaks, from 0: the third of three, and in other forms where two thirds have gone by.
/// Common practice, no source.
pub fn peak_line(course: &Course) -> usize {
    match course.lines() {
        lines @ 1..=3 => lines - 1,
        lines => lines * 2 / 3,
    }
}

/// 1 in the line of the peak, −1 in a line before, 0 after it.
fn place_about_peak(course: &Course, one: &Placed) -> i32 {
    let (_, line) = course.line_of(begun_in(course, one.at(), one.own_start));
    match line.cmp(&peak_line(course)) {
        std::cmp::Ordering::Less => -1,
        std::cmp::Ordering::Equal => 1,
        std::cmp::Ordering::Greater => 0,
    }
}

/// A rule that applies to a chorus.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Applied {
    /// The rule.
    pub rule: Rule,
    /// How often: times, half steps or half beats.
    pub times: i64,
    /// The points that gives.
    pub points: i32,
}

/// Every rule with how often it applies to `placed`, which stands in the order of time and without overlaps.
pub fn applied(course: &Course, taste: Taste, yardstick: &Yardstick, placed: &[Placed]) -> Vec<Applied> {
    let tones = Tones::of(course);
    let points = Points::at(taste.adventure);
    let together = Together::of(course, placed);
    let landed = |on: Landed| together.landings.iter().filter(|landing| landing.on == on).count() as i64;
    let notes = |rule: Rule| placed.iter().map(|one| of_notes(course, &tones, one, rule)).sum();
    let times = |rule: Rule| match rule {
        Rule::Rub | Rule::Outside => notes(rule),
        Rule::LandGuide => landed(Landed::Guide),
        Rule::LandChord => landed(Landed::InChord),
        Rule::Repeat => repeats(course, &together.lines),
        Rule::Answer => answers(course, &together.lines),
        Rule::Switch => {
            placed.windows(2).filter(|pair| pair[0].placement.riff != pair[1].placement.riff).count() as i64
        }
        Rule::Same => placed.windows(2).filter(|pair| is_same(course, &pair[0], &pair[1])).count() as i64,
        Rule::Leap => together.steps.iter().map(leap).sum(),
        Rule::Room => room(course, taste.room, placed, &together.steps),
        Rule::Change => placed.iter().filter(|one| !one.placement.changes.is_empty()).count() as i64,
        Rule::EndHome => i64::from(together.ends_home),
        Rule::Late => late(course, placed),
        Rule::Peak => placed.iter().map(|one| yardstick.peak(course, one)).sum(),
        Rule::Kept => placed.iter().map(|one| yardstick.kept(course, one)).sum(),
    };
    let row = |rule: Rule| Applied { rule, times: times(rule), points: points.of(rule, times(rule)) };
    RULES.iter().map(|rule| row(rule.rule)).collect()
}

/// Whether `after` says in the same line what `before` said, unchanged.
fn is_same(course: &Course, before: &Placed, after: &Placed) -> bool {
    let line = |one: &Placed| course.line_of(begun_in(course, one.at(), one.own_start));
    let (said, again) = (&before.placement, &after.placement);
    said.riff == again.riff && said.changes == again.changes && line(before) == line(after)
}

/// The points of all rules together, and of the time that sounds.
pub fn score(course: &Course, taste: Taste, yardstick: &Yardstick, placed: &[Placed]) -> i32 {
    let rules = applied(course, taste, yardstick, placed);
    let sounding = placed.iter().map(|one| yardstick.sounding(course, one));
    rules.iter().map(|applied| applied.points).chain(sounding).sum()
}

/// How many notes of `one` rub, or belong to neither chord nor key.
pub(super) fn of_notes(course: &Course, tones: &Tones, one: &Placed, rule: Rule) -> i64 {
    let beat = half_beat(course) * 2;
    let counts = |at: Ticks, note: &crate::riff::Note| {
        let tone = tones.at(at, note.pitch);
        match rule {
            Rule::Rub => tone.rubs && (note.accent || note.length >= beat),
            _ => tone.role == Role::Other,
        }
    };
    one.notes().filter(|(at, note)| counts(*at, note)).count() as i64
}

/// Half of the beat in which the form begins.
pub(super) fn half_beat(course: &Course) -> Ticks {
    course.form().bars()[0].metre.beat() / 2
}

/// Half steps of a leap beyond a fifth, at most twelve.
pub(super) fn beyond_fifth(semitones: i32) -> i64 {
    i64::from((semitones.saturating_abs() - 7).clamp(0, 12))
}

fn leap(step: &Step) -> i64 {
    step.leap.map_or(0, |leap| beyond_fifth(leap.semitones))
}

/// Half beats, begun ones counted, by which `gap` is shorter or longer than `wished`.
pub(super) fn off_room(course: &Course, wished: std::ops::RangeInclusive<i64>, gap: Ticks) -> i64 {
    let half = half_beat(course);
    let (least, most) = (half * *wished.start(), half * *wished.end());
    let off = if gap < least { least - gap } else { (gap - most).max(Ticks::ZERO) };
    (off + half - Ticks(1)).div_floor(half)
}

/// Between neighbours too little room or too much; before the first and after the last only too much.
fn room(course: &Course, room: Room, placed: &[Placed], steps: &[Step]) -> i64 {
    let between: i64 = steps.iter().map(|step| off_room(course, room.wished(), step.gap)).sum();
    // A pickup into bar 1 begins before the first bar line.
    let edge = |gap: Ticks| off_room(course, 0..=*room.wished().end(), gap.max(Ticks::ZERO));
    let first = placed.iter().flat_map(Placed::notes).next();
    let last = placed.iter().flat_map(Placed::notes).last();
    match (first, last) {
        (Some((first, _)), Some((last, note))) => {
            edge(first) + between + edge(course.length() - last - note.length)
        }
        _ => edge(course.length()),
    }
}

/// Lines between the first and the last of a chorus that repeat the statement of its first line.
fn repeats(course: &Course, lines: &[Line]) -> i64 {
    let speaks = |chorus: &&[Line]| matches!(chorus[0], Line::Statement { .. });
    let middle = |chorus: &[Line]| {
        let inner = chorus.get(1..chorus.len() - 1).unwrap_or_default();
        inner.iter().filter(|line| matches!(line, Line::Repeat { .. })).count() as i64
    };
    lines.chunks(course.lines()).filter(speaks).map(middle).sum()
}

/// Bars by which lines are opened later than in their first.
fn late(course: &Course, placed: &[Placed]) -> i64 {
    let bar = |one: &Placed| begun_in(course, one.at(), one.own_start);
    let openers = placed.iter().enumerate().filter(|(index, one)| {
        let before = index.checked_sub(1).map(|before| course.line_of(bar(&placed[before])));
        before != Some(course.line_of(bar(one)))
    });
    openers.map(|(_, one)| late_in_line(course, bar(one))).sum()
}

/// How many bars of its line have gone by when bar `bar` begins.
pub(super) fn late_in_line(course: &Course, bar: usize) -> i64 {
    (bar % course.form().bars().len() % Course::LINE_BARS) as i64
}

/// Choruses whose last line answers the statement of their first line.
fn answers(course: &Course, lines: &[Line]) -> i64 {
    let answers = |chorus: &&[Line]| {
        matches!(chorus[0], Line::Statement { .. }) && matches!(chorus.last(), Some(Line::Answer { .. }))
    };
    lines.chunks(course.lines()).filter(answers).count() as i64
}

/// Whether the placement's last note is the home note.
pub(super) fn comes_home(course: &Course, one: &Placed) -> bool {
    one.riff.notes().last().is_some_and(|note| is_home(course, note.pitch))
}

/// Which landing rule each landing bar inside `one` counts for, if any.
pub(super) fn landing_points(tones: &Tones, points: &Points, lines: &[Ticks], one: &Placed) -> i32 {
    let inside = &lines[lines.partition_point(|line| *line < one.at())..];
    let inside = inside.iter().take_while(|line| **line < one.end());
    inside
        .map(|line| {
            let sounding = one.notes().find(|(at, note)| at <= line && *line < *at + note.length);
            let landed = sounding.map(|(_, note)| super::together::landed(tones, *line, note.pitch));
            match landed {
                Some(Landed::Guide) => points.of(Rule::LandGuide, 1),
                Some(Landed::InChord) => points.of(Rule::LandChord, 1),
                _ => 0,
            }
        })
        .sum()
}

/// What the rows of the table that look at one placement alone give.
pub(super) fn of_one(
    course: &Course,
    tones: &Tones,
    points: &Points,
    landings: &[Ticks],
    yardstick: &Yardstick,
    one: &Placed,
) -> i32 {
    let peak = points.of(Rule::Peak, yardstick.peak(course, one));
    let kept = points.of(Rule::Kept, yardstick.kept(course, one));
    let notes = [Rule::Rub, Rule::Outside].map(|rule| points.of(rule, of_notes(course, tones, one, rule)));
    let change = if !one.placement.changes.is_empty() { points.of(Rule::Change, 1) } else { 0 };
    notes.iter().sum::<i32>() + peak + kept + change + landing_points(tones, points, landings, one)
}
