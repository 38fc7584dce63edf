//! The points of a chorus, rule by rule: the plain reading of the table, which the fast search must agree with.

use crate::chorus::check::Step;
use crate::chorus::course::{Course, Tones};
use crate::chorus::placement::Placed;
use crate::chorus::rules::{Adventure, Points, RULES, Room, Rule};
use crate::chorus::together::{Landed, Line, Together, begun_in, is_home};
use crate::insight::roles::Role;
use crate::units::Ticks;

/// How the table is read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Taste {
    /// How adventurous.
    pub adventure: Adventure,
    /// How much room.
    pub room: Room,
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
pub fn applied(course: &Course, taste: Taste, placed: &[Placed]) -> Vec<Applied> {
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

/// The points of all rules together.
pub fn score(course: &Course, taste: Taste, placed: &[Placed]) -> i32 {
    applied(course, taste, placed).iter().map(|applied| applied.points).sum()
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
    one: &Placed,
) -> i32 {
    let notes = [Rule::Rub, Rule::Outside].map(|rule| points.of(rule, of_notes(course, tones, one, rule)));
    let change = if !one.placement.changes.is_empty() { points.of(Rule::Change, 1) } else { 0 };
    notes.iter().sum::<i32>() + change + landing_points(tones, points, landings, one)
}
