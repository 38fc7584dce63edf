//! The form in lines of four bars, and the riffs woven under them.

use crate::chorus::check::{self, Problem};
use crate::chorus::course::Course;
use crate::chorus::kept::{Chorus, LaidOut};
use crate::chorus::placement::{Alteration, Placed};
use crate::insight::roles;
use crate::theory::interval::Interval;
use crate::units::Ticks;
use crate::view::chorus::{chosen, dye, nth};
use crate::view::context::Context;
use crate::view::form::{self, fraction};
use crate::view::model::{
    BarView, ChorusLineView, JoinView, LineView, MarkView, PlaceView, SoundView, WovenView,
};
use crate::view::notebook::title;
use crate::view::variation;
use crate::view::words::names::wide;

/// A silence shorter than this many half beats has no room for words.
const JOIN_HALF_BEATS: i64 = 4;

pub(super) fn view(context: &Context, chorus: &Chorus, over: &LaidOut) -> Vec<ChorusLineView> {
    let course = &over.course;
    let marks = marks(over);
    let clashing = clashing(context, over);
    let lines = (0..course.choruses()).flat_map(|time| (0..course.lines()).map(move |line| (time, line)));
    lines
        .map(|(time, line)| {
            let bars = course.form().bars().len();
            let first = time * bars + line * Course::LINE_BARS;
            let last = (first + Course::LINE_BARS).min((time + 1) * bars);
            let span = Span { course, first, last };
            let label = match course.choruses() {
                1 => format!("line {}", line + 1),
                _ => format!("line {}, {} time", line + 1, nth(time)),
            };
            ChorusLineView {
                time,
                first,
                bars: (first..last).map(|bar| bar_view(context, over, bar, &marks)).collect(),
                bands: bands(context, chorus, over, &span, &clashing),
                joins: joins(over, &span),
                label,
            }
        })
        .collect()
}

/// The bars alone, line by line.
pub(super) fn bars(context: &Context, over: &LaidOut) -> Vec<LineView> {
    let marks = marks(over);
    let bars: Vec<BarView> =
        (0..over.course.bars()).map(|bar| bar_view(context, over, bar, &marks)).collect();
    let times = bars.chunks(over.course.form().bars().len());
    times
        .flat_map(|time| time.chunks(Course::LINE_BARS))
        .map(|bars| LineView { bars: bars.to_vec() })
        .collect()
}

/// The bars of one line.
struct Span<'a> {
    course: &'a Course,
    first: usize,
    last: usize,
}

impl Span<'_> {
    /// Where in the line `at` lies: a fraction of its width, of which each bar has the same; 0 and 1 for what lies
    /// before and behind.
    fn place(&self, at: Ticks) -> f64 {
        if at <= self.course.bar_start(self.first) {
            return 0.0;
        }
        if at >= self.course.bar_start(self.last) {
            return 1.0;
        }
        let (bar, into) = self.course.bar_at(at);
        let bars = self.course.form().bars();
        let within = fraction(into, &bars[bar % bars.len()]);
        ((bar - self.first) as f64 + within) / (self.last - self.first) as f64
    }

    fn holds(&self, from: Ticks, to: Ticks) -> bool {
        from < self.course.bar_start(self.last) && to > self.course.bar_start(self.first)
    }
}

fn bar_view(context: &Context, over: &LaidOut, bar: usize, marks: &[(usize, MarkView)]) -> BarView {
    let course = &over.course;
    let bars = course.form().bars().len();
    let (time, within) = (bar / bars, bar % bars);
    let changes = course.changes(time);
    let weaving = context.desk.weaving();
    let mut view = form::plain_bar(context, changes, within, &changes.bars()[within]);
    view.marks = marks.iter().filter(|(of, _)| *of == bar).map(|(_, mark)| mark.clone()).collect();
    view.chosen = weaving.bar == bar;
    view.looped = form::looped(weaving.looped, bar).to_owned();
    let ends = time + 1 == course.choruses() && within + 1 == bars;
    if ends && changes.bars()[within] != course.form().bars()[within] {
        for chord in &mut view.chords {
            chord.number = "the end".to_owned();
        }
        view.label += ", the end: on the home chord, instead of going round again";
    }
    if course.choruses() > 1 {
        view.label = format!("{}, {} time", view.label, nth(time));
    }
    let start = course.bar_start(bar);
    let begun = over.placed.iter().filter(|placed| course.bar_at(placed.at()).0 == bar);
    let begun: Vec<String> = begun.map(|placed| title(&placed.riff)).collect();
    let goes_on = over.placed.iter().any(|placed| placed.at() < start && start < placed.end() && bar > 0);
    view.label += &match (begun.is_empty(), goes_on) {
        (false, _) => format!(": {} begins", begun.join(" and ")),
        (true, true) => ": a riff goes on".to_owned(),
        (true, false) => ": free".to_owned(),
    };
    let hangs =
        |placed: &Placed| placed.hangs_over() && course.length() + placed.at() < course.bar_start(bar + 1);
    if over.placed.iter().any(hangs) {
        view.label += ", with the pickup to bar 1";
    }
    view
}

/// The notes that are heard, each with the bar in which it is drawn.
fn marks(over: &LaidOut) -> Vec<(usize, MarkView)> {
    let course = &over.course;
    let sounds = || over.heard.iter().flat_map(Placed::notes).map(|(_, note)| note.pitch.semitones());
    let (low, high) = (sounds().min().unwrap_or(60), sounds().max().unwrap_or(72));
    let missing = (12 - (high - low)).max(0);
    let (low, high) = (low - missing / 2, high + (missing + 1) / 2);
    let mut marks = Vec::new();
    for (placed, spot) in over.heard.iter().zip(&over.spots) {
        for (index, (at, _)) in placed.notes().enumerate() {
            // A pickup into bar 1 is drawn where it is heard when the chorus comes again: at the end.
            let at = at.rem_floor(course.length());
            let time = course.chorus_at(at);
            let changes = course.changes(time);
            let within = at - course.form().length() * time as i64;
            let insight = roles::in_riff(changes, &placed.riff, index, within);
            let bar = &changes.bars()[insight.bar];
            let mark = form::mark(&placed.riff, &insight, bar, *spot, low, high);
            marks.push((time * changes.bars().len() + insight.bar, mark));
        }
    }
    marks
}

/// The placements, by index among those that fit, that overlap another or leave the range.
fn clashing(context: &Context, over: &LaidOut) -> Vec<usize> {
    let problems = check::problems(&over.course, context.desk.range(), &over.placed).into_iter();
    problems
        .flat_map(|problem| match problem {
            Problem::Overlap { first, second, .. } => vec![first, second],
            Problem::OverlapAgain { last, pickup, .. } => vec![last, pickup],
            Problem::BeyondRange { placement } | Problem::NoRoom { placement } => vec![placement],
        })
        .collect()
}

fn bands(
    context: &Context,
    chorus: &Chorus,
    over: &LaidOut,
    span: &Span,
    clashing: &[usize],
) -> Vec<WovenView> {
    // A pickup into bar 1 hangs over the count-in, and over the end when the chorus comes again.
    let again = over.course.length();
    let shifts = |placed: &Placed| [Some(Ticks::ZERO), placed.hangs_over().then_some(again)];
    let all = over.placed.iter().enumerate();
    let all = all
        .flat_map(|(order, placed)| shifts(placed).into_iter().flatten().map(move |by| (order, placed, by)));
    let here = all.filter(|(_, placed, by)| span.holds(placed.at() + *by, placed.end() + *by));
    here.map(|(order, placed, by)| {
        let index = over.spots[order];
        let (from, to) = (span.place(placed.at() + by), span.place(placed.end() + by));
        // What begins over the count-in is taken hold of in bar 1, where it has beats there.
        let is_tail = by > Ticks::ZERO && placed.end() > Ticks::ZERO;
        let starts = placed.at() + by >= span.course.bar_start(span.first);
        let begins = !is_tail && (starts || placed.hangs_over() && span.first == 0);
        let width = (to - from).max(f64::MIN_POSITIVE);
        let thread = |(at, note): (Ticks, &crate::riff::Note)| {
            let (left, right) = (span.place(at + by), span.place(at + by + note.length));
            SoundView { at: (left - from) / width, length: (right - left) / width }
        };
        WovenView {
            index,
            at: from,
            length: to - from,
            name: if begins { title(&placed.riff) } else { String::new() },
            change: if begins { change(placed) } else { String::new() },
            dye: dye(context, placed.riff.id),
            begins,
            ends: placed.end() + by <= span.course.bar_start(span.last),
            chosen: context.desk.weaving().selected == Some(index),
            stays: chorus.spots()[index].stays,
            clashes: clashing.contains(&order),
            threads: placed.notes().map(thread).filter(|thread| thread.length > 0.0).collect(),
            label: chosen::label(chorus, over, order),
        }
    })
    .collect()
}

/// What is changed on the spot, in a word or two.
pub(super) fn change(placed: &Placed) -> String {
    let word = |change: &Alteration| match change {
        Alteration::Varied { how, .. } => variation::title(*how).to_owned(),
        Alteration::Transposed(by) => moved(*by),
    };
    placed.placement.changes.iter().map(word).collect::<Vec<_>>().join(", ")
}

/// "a fourth up", "an octave down".
pub(super) fn moved(by: Interval) -> String {
    let way = if by.semitones < 0 { "down" } else { "up" };
    let far = match by.semitones.abs() {
        1 => "half a step".to_owned(),
        2 => "a whole step".to_owned(),
        _ => wide(by),
    };
    format!("{far} {way}")
}

fn joins(over: &LaidOut, span: &Span) -> Vec<JoinView> {
    let half = over.course.form().bars()[0].metre.beat() / 2;
    let steps = check::steps(&over.heard);
    let join = |step: &check::Step| {
        let before = over.heard[step.from].notes().next_back()?;
        let (from, to) = (before.0 + before.1.length, before.0 + before.1.length + step.gap);
        let leap = step.leap?;
        let there_is_room = step.gap >= half * JOIN_HALF_BEATS && span.holds(from, to);
        let text = match leap.semitones {
            0 => "same note".to_owned(),
            up @ 1.. => format!("↑ {}", short(up, leap)),
            down => format!("↓ {}", short(-down, leap)),
        };
        let (at, end) = (span.place(from), span.place(to));
        // Words stand in the longer part of a silence that goes over the end of a line.
        let is_whole = end - at >= 0.5 * (to - from).0 as f64 / line_length(span).0 as f64;
        (there_is_room && is_whole).then_some(JoinView {
            at,
            length: end - at,
            text,
            far: leap.semitones.abs() > 7,
        })
    };
    steps.iter().filter_map(join).collect()
}

fn short(semitones: i32, leap: Interval) -> String {
    match semitones {
        1 => "half step".to_owned(),
        2 => "whole step".to_owned(),
        13.. => "over an octave".to_owned(),
        _ => wide(leap).trim_start_matches("an ").trim_start_matches("a ").to_owned(),
    }
}

fn line_length(span: &Span) -> Ticks {
    span.course.bar_start(span.last) - span.course.bar_start(span.first)
}

/// Every chord of all times.
pub(super) fn places(context: &Context, course: &Course) -> Vec<PlaceView> {
    let bars = course.form().bars().len();
    let of_time = |time: usize| {
        let changes = course.changes(time);
        changes
            .places()
            .map(|place| {
                let into = place.at - changes.bar_start(place.bar);
                PlaceView {
                    bar: time * bars + place.bar,
                    at: fraction(into, &changes.bars()[place.bar]),
                    symbol: context.reading.chord(place.chord).pretty(),
                }
            })
            .collect::<Vec<_>>()
    };
    (0..course.choruses()).flat_map(of_time).collect()
}
