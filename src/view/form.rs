//! The form in lines of four bars, with the riff's notes in every bar.

use crate::chorus;
use crate::form::{Bar, Changes, numeral};
use crate::insight::roles::{self, NoteInsight};
use crate::rhythm::metre::Metre;
use crate::riff::Riff;
use crate::rooms::door;
use crate::units::Ticks;
use crate::view::chorus as chorus_view;
use crate::view::context::Context;
use crate::view::model::{BarView, ChordView, FormView, LineView, MarkView, PlaceView};
use crate::view::{role_name, spoken};

/// Bars in a line.
const LINE: usize = 4;

pub(super) fn view(context: &Context) -> FormView {
    if context.desk.shows_chorus() {
        return chorus_to_practise(context).unwrap_or_default();
    }
    let marks = marks(context);
    let bars: Vec<BarView> = context
        .changes
        .bars()
        .iter()
        .enumerate()
        .map(|(index, bar)| bar_view(context, index, bar, &marks))
        .collect();
    FormView {
        lines: bars.chunks(LINE).map(|bars| LineView { bars: bars.to_vec() }).collect(),
        places: context.changes.places().map(|place| place_view(context, &place)).collect(),
        times: Vec::new(),
    }
}

door!(Practice, practice: fn chorus_to_practise(context: &Context<'_>) -> FormView {
    chorus_view::to_practise(context)
});

fn place_view(context: &Context, place: &crate::form::Place) -> PlaceView {
    let bar = &context.changes.bars()[place.bar];
    let into = place.at - context.changes.bar_start(place.bar);
    PlaceView { bar: place.bar, at: fraction(into, bar), symbol: context.reading.chord(place.chord).pretty() }
}

fn bar_view(context: &Context, index: usize, bar: &Bar, marks: &[(usize, MarkView)]) -> BarView {
    let session = context.desk.session();
    let looped = looped(session.looped, index);
    let plain = plain_bar(context, context.changes, index, bar);
    BarView {
        marks: marks.iter().filter(|(of, _)| *of == index).map(|(_, mark)| mark.clone()).collect(),
        chosen: session.bar == index,
        looped: looped.to_owned(),
        label: plain.label.clone() + if looped.is_empty() { "" } else { ", looped" },
        ..plain
    }
}

/// A bar of `changes` with its chords and nothing else.
pub(super) fn plain_bar(context: &Context, changes: &Changes, index: usize, bar: &Bar) -> BarView {
    let chords: Vec<ChordView> = bar
        .chords
        .iter()
        .map(|place| {
            let read = context.reading.chord(&place.chord);
            let number = || format!("chord {}", numeral::number(&place.chord, changes.key()));
            ChordView {
                at: fraction(place.at, bar),
                symbol: read.pretty(),
                numeral: numeral::pretty(&place.chord, changes.key()),
                number: if read.is_none() { "no chord".to_owned() } else { number() },
                spoken: spoken::chord(&read),
            }
        })
        .collect();
    let spoken: Vec<String> = chords
        .iter()
        .map(|ChordView { spoken, number, .. }| match spoken == number {
            true => spoken.clone(),
            false => format!("{spoken}, {number}"),
        })
        .collect();
    let before = index.checked_sub(1).map_or(Metre::FOUR_FOUR, |before| changes.bars()[before].metre);
    BarView {
        number: index + 1,
        beats: usize::from(bar.metre.beats()),
        metre: metre_text(context, index, bar, before),
        label: format!("bar {}, {}", index + 1, spoken.join(", then ")),
        chords,
        ..BarView::default()
    }
}

/// "3/4" where the metre changes; "12/8" in the first bar where every beat of 4/4 has three parts.
fn metre_text(context: &Context, index: usize, bar: &Bar, before: Metre) -> String {
    if index == 0 && context.desk.tune().dotted && bar.metre == Metre::FOUR_FOUR {
        return Metre::TWELVE_EIGHT.to_string();
    }
    if bar.metre == before { String::new() } else { bar.metre.to_string() }
}

/// Where a bar stands in the loop.
pub(super) fn looped(range: Option<(usize, usize)>, index: usize) -> &'static str {
    match range.filter(|(from, to)| (*from..*to).contains(&index)) {
        None => "",
        Some((from, to)) if from + 1 == to => "only",
        Some((from, _)) if from == index => "first",
        Some((_, to)) if to == index + 1 => "last",
        Some(_) => "inside",
    }
}

/// The riff's notes over the form, each with the bar in which it is drawn; in the order of time, also where the riff begins
/// before the form does, so that its first notes lie in the last bar.
fn marks(context: &Context) -> Vec<(usize, MarkView)> {
    let riff = context.desk.riff();
    let (lowest, highest) = range(riff);
    let mut marks: Vec<(usize, MarkView)> = chorus::repeats(context.changes, riff)
        .into_iter()
        .flat_map(|begun| {
            roles::over(context.changes, riff, begun).into_iter().map(move |insight| (begun, insight))
        })
        .map(|(begun, insight)| {
            let bar = &context.changes.bars()[insight.bar];
            (insight.bar, mark(riff, &insight, bar, begun, lowest, highest))
        })
        .collect();
    marks.sort_by(|(a, one), (b, other)| a.cmp(b).then(one.at.total_cmp(&other.at)));
    marks
}

pub(super) fn mark(
    riff: &Riff,
    insight: &NoteInsight,
    bar: &Bar,
    begun: usize,
    lowest: i32,
    highest: i32,
) -> MarkView {
    let note = &riff.notes()[insight.note];
    let span = f64::from((highest - lowest).max(1));
    MarkView {
        at: fraction(insight.into_bar, bar),
        length: fraction(note.length, bar),
        height: f64::from(note.pitch.semitones() - lowest) / span,
        role: role_name(insight),
        blue: insight.blue.is_some(),
        rubs: insight.rubs.is_some(),
        note: insight.note,
        begun,
    }
}

/// The lowest and highest sound of the riff, at least an octave apart, so that small riffs are not drawn as large leaps.
pub(super) fn range(riff: &Riff) -> (i32, i32) {
    let sounds = riff.notes().iter().map(|note| note.pitch.semitones());
    spread(sounds.clone().min().unwrap_or(60), sounds.max().unwrap_or(72))
}

/// A range of half steps, widened on both sides to an octave at least.
pub(super) fn spread(low: i32, high: i32) -> (i32, i32) {
    let missing = (12 - (high - low)).max(0);
    (low - missing / 2, high + (missing + 1) / 2)
}

pub(super) fn fraction(at: Ticks, bar: &Bar) -> f64 {
    at.0 as f64 / bar.metre.bar().0 as f64
}
