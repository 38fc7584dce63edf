//! The chorus screen: the form in lines with the riffs woven under them, and everything around it.

mod ask;
mod chosen;
mod lines;

use crate::chorus::check::{self, Problem};
use crate::chorus::course::Course;
use crate::chorus::kept::{Chorus, LaidOut};
use crate::chorus::placement::Placed;
use crate::chorus::together::{Arc, Together};
use crate::practice::subject::Subject;
use crate::riff::{Riff, RiffId, write_id};
use crate::units::Ticks;
use crate::view::cloth;
use crate::view::context::Context;
use crate::view::count;
use crate::view::model::{
    ArcBarView, ArcView, ChoiceView, ChorusCardView, ChorusRiffView, ChorusView, ChorusesView, FormView,
    PhraseView,
};
use crate::view::notebook::{self, title};
use crate::view::past;
use crate::view::strip;
use crate::view::words::chorus as words;
use crate::view::words::names::{beats, listed};

/// How many riffs of the notebook are shown beside the chorus; the others are found by name.
const RIFFS_SHOWN: usize = 24;
/// How many dyes there are.
const DYES: usize = 5;

pub(super) fn view(context: &Context) -> ChorusView {
    let desk = context.desk;
    let (chorus, weaving) = (desk.chorus(), desk.weaving());
    let over = chorus.over(chorus.course(context.changes));
    let bar = weaving.bar;
    let (riffs, riffs_text) = riffs(context, &over.course);
    let is_empty = chorus.spots().is_empty();
    ChorusView {
        id: weaving.chosen.map(|id| write_id(RiffId(id.0))).unwrap_or_default(),
        subject: weaving.chosen.map(|id| Subject::Chorus(id).to_string()).unwrap_or_default(),
        name: chorus.name().to_owned(),
        title: name(chorus),
        choruses: choruses(context),
        summary: summary(chorus),
        trying: weaving.shown.map_or(String::new(), trying),
        hint: if is_empty && !weaving.asking { hint(context, &over.course) } else { String::new() },
        times: chorus.times(),
        most_times: Course::MOST_CHORUSES,
        bars: over.course.form().bars().len(),
        lines: lines::view(context, chorus, &over),
        places: lines::places(context, &over.course),
        bar,
        bar_text: bar_name(&over.course, bar),
        loops: loops(&over.course, weaving.looped, bar),
        loop_text: loop_text(&over.course, weaving.looped),
        chosen: weaving.selected.and_then(|index| chosen::view(context, chorus, &over, index)),
        together: if is_empty { Vec::new() } else { together(context, chorus, &over) },
        warnings: warnings(context, chorus, &over),
        arc: arc(&over),
        riffs,
        find: weaving.find.clone(),
        riffs_text,
        ask: ask::view(context, chorus),
    }
}

/// The form with the notes of the chorus that is practised.
pub(super) fn to_practise(context: &Context) -> FormView {
    let over = context.desk.chorus_to_practise();
    FormView {
        lines: lines::bars(context, &over),
        places: lines::places(context, &over.course),
        times: match over.course.choruses() {
            1 => Vec::new(),
            times => (0..times).map(|time| format!("{} time of {times}", nth(time))).collect(),
        },
    }
}

/// The riffs of the chorus that is practised, as they are heard in the bars that are looped, in the order of time.
pub(super) fn phrases(context: &Context) -> Vec<PhraseView> {
    let over = context.desk.chorus_to_practise();
    let course = &over.course;
    let bars = course.form().bars().len();
    let phrase = |(placed, spot): (&Placed, &usize)| {
        let (bar, _) = course.bar_at(placed.at());
        let last = course.bar_at(placed.end() - Ticks(1)).0;
        let change = lines::change(placed);
        let change = if change.is_empty() { change } else { format!(", {change}") };
        PhraseView {
            title: format!("{}{change} · {}", title(&placed.riff), bar_name(course, bar)),
            bar,
            until: last + 1,
            spot: *spot,
            ..strip::phrase(context, course.changes(bar / bars), &placed.riff, bar % bars)
        }
    };
    let looped = context.desk.weaving().looped.unwrap_or((0, course.bars()));
    let sounding = over.heard.iter().zip(&over.spots).filter(|(placed, _)| !placed.riff.notes().is_empty());
    let all = sounding.map(phrase);
    let mut phrases: Vec<PhraseView> =
        all.filter(|phrase| phrase.bar < looped.1 && phrase.until > looped.0).collect();
    for index in 0..phrases.len() {
        let next = (index + 1) % phrases.len();
        phrases[index].then =
            if next == index { String::new() } else { format!("then {}", phrases[next].title) };
    }
    phrases
}

/// The choruses that are kept, for the notebook.
pub(super) fn kept(context: &Context) -> ChorusesView {
    let chosen = context.desk.weaving().chosen;
    let card = |chorus: &Chorus| {
        let over = chorus.over(chorus.course(context.changes));
        ChorusCardView {
            id: write_id(RiffId(chorus.id.0)),
            name: name(chorus),
            summary: summary(chorus),
            cloth: cloth::of_chorus(&over.course, &over.heard),
            chosen: chosen == Some(chorus.id),
            standing: past::standing(context.desk, Subject::Chorus(chorus.id)).join(" "),
            practised: !context.desk.past().of(Subject::Chorus(chorus.id)).is_empty(),
            subject: Subject::Chorus(chorus.id).to_string(),
            labels: context.desk.labels(Subject::Chorus(chorus.id)).texts().to_vec(),
        }
    };
    let entries = context.desk.document().choruses.entries();
    ChorusesView { cards: entries.iter().map(|entry| card(&entry.chorus)).collect() }
}

/// Its name, or what is in it.
pub(super) fn name(chorus: &Chorus) -> String {
    match (chorus.name(), chorus.spots().first()) {
        ("", None) => "New chorus".to_owned(),
        ("", Some(first)) => format!("Chorus with {}", title(&chorus.riffs()[first.placement.riff])),
        (name, _) => name.to_owned(),
    }
}

/// "6 riffs placed, two ideas".
pub(super) fn summary(chorus: &Chorus) -> String {
    let placed = chorus.spots().len();
    if placed == 0 {
        return String::new();
    }
    let mut ids: Vec<RiffId> =
        chorus.spots().iter().map(|spot| chorus.riffs()[spot.placement.riff].id).collect();
    ids.sort();
    ids.dedup();
    let ideas = match ids.len() {
        1 => "one idea".to_owned(),
        2 => "two ideas".to_owned(),
        3 => "three ideas".to_owned(),
        more => format!("{more} ideas"),
    };
    format!("{} placed, {ideas}", count(placed, "riff", "riffs"))
}

/// "bar 5"; "bar 5, second time" where there are several.
pub(super) fn bar_name(course: &Course, bar: usize) -> String {
    let bars = course.form().bars().len();
    let (time, within) = (bar / bars, bar % bars + 1);
    if course.choruses() == 1 { format!("bar {within}") } else { format!("bar {within}, {} time", nth(time)) }
}

fn nth(index: usize) -> &'static str {
    ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth"]
        .get(index)
        .unwrap_or(&"last")
}

fn choruses(context: &Context) -> Vec<ChoiceView> {
    let chosen = context.desk.weaving().chosen;
    let choice = |chorus: &Chorus| {
        let id = write_id(RiffId(chorus.id.0));
        ChoiceView::hinted(&id, &name(chorus), chosen == Some(chorus.id), &summary(chorus))
    };
    context.desk.document().choruses.entries().iter().map(|entry| choice(&entry.chorus)).collect()
}

/// What is said beside the lines while a suggestion is on them.
fn trying(shown: usize) -> String {
    format!("Trying idea {}. Yours is safe.", shown + 1)
}

fn hint(context: &Context, course: &Course) -> String {
    let written =
        context.desk.document().notebook.entries().iter().any(|entry| !entry.riff.notes().is_empty());
    let bar = bar_name(course, context.desk.weaving().bar);
    if written {
        format!("Put a riff from your notebook into {bar}. Then leave some space, and say it again.")
    } else {
        "A chorus is made of riffs. Write one first: two or three notes will do.".to_owned()
    }
}

pub(super) fn loops(course: &Course, looped: Option<(usize, usize)>, bar: usize) -> Vec<ChoiceView> {
    let bars = course.form().bars().len();
    let choice = |text: String, range: Option<(usize, usize)>| {
        let value = range.map(|(from, to)| format!("{from}-{to}")).unwrap_or_default();
        ChoiceView::of(&value, &text, looped == range)
    };
    let mut loops = vec![choice("all of it".to_owned(), None)];
    for time in 0..course.choruses() {
        let start = time * bars;
        if course.choruses() > 1 {
            loops.push(choice(format!("the {} time", nth(time)), Some((start, start + bars))));
        }
        for line in 0..course.lines() {
            let from = start + line * Course::LINE_BARS;
            let to = (from + Course::LINE_BARS).min(start + bars);
            let within = (from - start + 1, to - start);
            let time = if course.choruses() > 1 { format!(", {} time", nth(time)) } else { String::new() };
            loops.push(choice(format!("bars {} to {}{time}", within.0, within.1), Some((from, to))));
        }
    }
    loops.push(choice(bar_name(course, bar), Some((bar, bar + 1))));
    loops
}

/// Which bars are looped, in words.
pub(super) fn loop_text(course: &Course, looped: Option<(usize, usize)>) -> String {
    let bars = course.form().bars().len();
    match looped {
        None => "all of it".to_owned(),
        Some((from, to)) if to == from + 1 => bar_name(course, from),
        Some((from, to)) => format!("bars {} to {}", from % bars + 1, (to - 1) % bars + 1),
    }
}

fn together(context: &Context, chorus: &Chorus, over: &LaidOut) -> Vec<String> {
    words::sentences(&over.course, chorus.riffs(), &over.heard, context.reading)
}

/// What cannot be played as it stands.
fn warnings(context: &Context, chorus: &Chorus, over: &LaidOut) -> Vec<String> {
    let riff_name = |index: usize| title(&over.placed[index].riff);
    let bar = |index: usize| bar_name(&over.course, over.course.bar_at(over.placed[index].at()).0);
    let mut warnings: Vec<String> = check::problems(&over.course, context.desk.range(), &over.placed)
        .into_iter()
        .filter_map(|problem| match problem {
            Problem::Overlap { first, second, .. } => Some(format!(
                "“{}” in {} overlaps “{}”: the later one takes over.",
                riff_name(second),
                bar(second),
                riff_name(first)
            )),
            Problem::OverlapAgain { last, pickup, .. } => Some(format!(
                "When the chorus comes again, “{}” leads into bar 1 while “{}” still goes on: it takes over.",
                riff_name(pickup),
                riff_name(last)
            )),
            Problem::BeyondRange { placement } => Some(format!(
                "“{}” in {} has a note that your instrument does not have.",
                riff_name(placement),
                bar(placement)
            )),
            Problem::NoRoom { .. } => None,
        })
        .collect();
    let mut lost: Vec<String> = Vec::new();
    for (index, _) in &over.misfits {
        let name = chorus.riff_of(*index).map(title).unwrap_or_default();
        if !lost.contains(&name) {
            lost.push(name);
        }
    }
    if !lost.is_empty() {
        let names: Vec<String> = lost.iter().map(|name| format!("“{name}”")).collect();
        let verbs = if names.len() == 1 { ("does", "waits") } else { ("do", "wait") };
        warnings.push(format!(
            "{} {} not fit into this form and {}, unheard, for a longer one.",
            listed(&names),
            verbs.0,
            verbs.1
        ));
    }
    warnings
}

fn arc(over: &LaidOut) -> ArcView {
    let together = Together::of(&over.course, &over.heard);
    let heights = || together.arc.iter().filter_map(|bar| bar.height);
    let (low, high) = heights().fold((f64::MAX, f64::MIN), |(low, high), h| (low.min(h), high.max(h)));
    let most = together.arc.iter().map(|bar| bar.notes).max().unwrap_or(0).max(1);
    // At least an octave, so that small moves are not drawn as large ones.
    let span = (high - low).max(12.0);
    let bar = |bar: &Arc| ArcBarView {
        height: bar.height.map(|height| 0.5 + (height - (low + high) / 2.0) / span),
        density: bar.notes as f64 / most as f64,
        loudness: if bar.notes == 0 { 0.0 } else { bar.accents as f64 / bar.notes as f64 },
    };
    ArcView { bars: together.arc.iter().map(bar).collect(), text: words::arc(&over.course, &together) }
}

fn riffs(context: &Context, course: &Course) -> (Vec<ChorusRiffView>, String) {
    let weaving = context.desk.weaving();
    let asked = context.desk.asked();
    let wanted = weaving.find.trim().to_lowercase();
    let entries = context.desk.document().notebook.entries();
    let written = || entries.iter().map(|entry| &*entry.riff).filter(|riff| !riff.notes().is_empty());
    let is_found = |riff: &&Riff| {
        wanted.is_empty()
            || title(riff).to_lowercase().contains(&wanted)
            || notebook::summary(riff).to_lowercase().contains(&wanted)
    };
    let found: Vec<&Riff> = written().filter(is_found).collect();
    let all = written().count();
    let bar = bar_name(course, weaving.bar);
    let card = |riff: &&Riff| ChorusRiffView {
        id: write_id(riff.id),
        name: title(riff),
        summary: notebook::summary(riff),
        marks: notebook::marks(context, riff),
        beats: riff.beats(),
        asked: asked.contains(&riff.id),
        dye: dye(context, riff.id),
        put_text: format!("Put it here: {} in {bar}", title(riff)),
    };
    let shown: Vec<ChorusRiffView> = found.iter().take(RIFFS_SHOWN).map(card).collect();
    let text = if shown.len() == all {
        count(all, "riff", "riffs")
    } else {
        format!("{} of {}", shown.len(), count(all, "riff", "riffs"))
    };
    (shown, text)
}

/// Each riff has a dye of its own as far as they go, the same wherever it is drawn.
fn dye(context: &Context, id: RiffId) -> usize {
    let entries = context.desk.document().notebook.entries();
    // Counted from the oldest, so that a new riff dyes no other anew.
    let place = entries.iter().rev().position(|entry| entry.riff.id == id);
    place.unwrap_or(id.0 as usize) % DYES
}

/// "bar 5, beat 1", "bar 5, beat 2 and", "the bar before bar 1, beat 4".
pub(super) fn place_name(course: &Course, at: Ticks) -> String {
    let (bar, into) = course.bar_at(at);
    let bars = course.form().bars();
    let metre = bars[bar % bars.len()].metre;
    let beat = metre.beat();
    let name = match into.div_floor(metre.bar()) {
        0.. => bar_name(course, bar),
        -1 => "the bar before bar 1".to_owned(),
        before => format!("{} bars before bar 1", -before),
    };
    let into = if at < Ticks::ZERO { into.rem_floor(metre.bar()) } else { into };
    let (number, behind) = (into.div_floor(beat) + 1, into.rem_floor(beat));
    let behind = match behind {
        Ticks::ZERO => String::new(),
        half if half * 2 == beat => " and".to_owned(),
        other => format!(" and {}", beats(other, beat)),
    };
    format!("{name}, beat {number}{behind}")
}
