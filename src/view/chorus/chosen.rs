//! The chosen placement: where it stands, what is changed, and how it joins its neighbours.

use crate::chorus::check;
use crate::chorus::kept::{Chorus, LaidOut};
use crate::chorus::placement::{self, Alteration};
use crate::riff::variation::How;
use crate::units::Ticks;
use crate::view::chorus::lines::moved;
use crate::view::chorus::{lines, place_name};
use crate::view::context::Context;
use crate::view::model::{ChoiceView, ChosenView};
use crate::view::notebook::title;
use crate::view::variation;
use crate::view::words::names::{beats, wide};

pub(super) fn view(context: &Context, chorus: &Chorus, over: &LaidOut, index: usize) -> Option<ChosenView> {
    let riff = chorus.riff_of(index).ok()?;
    let order = over.spots.iter().position(|spot| *spot == index);
    let placement = &chorus.spots()[index].placement;
    let seed = match placement.changes.last() {
        Some(Alteration::Varied { seed, .. }) => *seed as u32,
        _ => 0,
    };
    Some(ChosenView {
        index,
        name: title(riff),
        place: order.map_or_else(
            || "It does not fit into this form.".to_owned(),
            |order| format!("From {}{}.", stretch(over, order), hangs_over(over, order)),
        ),
        change: change(context, chorus, over, index),
        changes: placement.changes.len(),
        ways: ways(context, chorus, over, index),
        next_try: seed.wrapping_add(1),
        has_more: placement::tries(chorus.riffs(), &over.course, placement) > 1,
        joins: order.map(|order| joins(over, order)).unwrap_or_default(),
        stays: chorus.spots()[index].stays,
        behind: behind(context, chorus, index),
    })
}

/// "bar 5, beat 1, to bar 6, beat 2".
fn stretch(over: &LaidOut, order: usize) -> String {
    let placed = &over.placed[order];
    let last_beat = placed.end() - placed.riff.beat();
    format!("{} to {}", place_name(&over.course, placed.at()), place_name(&over.course, last_beat))
}

/// Where a pickup into bar 1 is heard, the first time and later.
fn hangs_over(over: &LaidOut, order: usize) -> &'static str {
    if over.placed[order].hangs_over() { ": over the count-in, and later over the last bar" } else { "" }
}

/// What is changed, a sentence or two for each change in the order made.
fn change(context: &Context, chorus: &Chorus, over: &LaidOut, index: usize) -> String {
    let placement = &chorus.spots()[index].placement;
    if placement.changes.is_empty() {
        return "As in the notebook.".to_owned();
    }
    let made = placement::made(chorus.riffs(), &over.course, placement);
    let told = made.iter().map(|made| match (&made.variation, made.change) {
        (Some(tried), _) => variation::sentence(tried, &made.before, context.reading),
        (None, Alteration::Transposed(by)) => format!("Every note {}.", moved(by)),
        (None, Alteration::Varied { .. }) => String::new(),
    });
    let mut told: Vec<String> = told.collect();
    if told.len() > 1 {
        told.iter_mut().zip(1..).for_each(|(one, number)| *one = format!("{number}. {one}"));
    }
    if made.len() < placement.changes.len() {
        told.push("It cannot be changed so over this form.".to_owned());
    }
    told.join(" ")
}

/// As it was, with the chord, then the ways to vary.
fn ways(context: &Context, chorus: &Chorus, over: &LaidOut, index: usize) -> Vec<ChoiceView> {
    let placement = &chorus.spots()[index].placement;
    let last = placement.changes.last().copied();
    let start = chorus.riff_of(index).map_or(Ticks::ZERO, |riff| riff.start);
    let bar = crate::chorus::together::begun_in(&over.course, placement.at, start);
    let with_chord = placement::with_chord(&over.course, bar);
    let mut ways = vec![ChoiceView::of("", "as it was", last.is_none())];
    let first = [How::Fit, How::NewEnding];
    let of = |how: How| {
        let chosen = matches!(last, Some(Alteration::Varied { how: now, .. }) if now == how);
        ChoiceView::of(how.name(), variation::title(how), chosen)
    };
    ways.extend(first.map(of));
    if let Some(by) = with_chord {
        let bars = over.course.form().bars().len();
        let chord = &over.course.changes(bar / bars).bars()[bar % bars].chords[0].chord;
        let text = format!("moved with {}", context.reading.chord(chord).pretty());
        ways.push(ChoiceView::of("with-chord", &text, last == Some(Alteration::Transposed(by))));
    }
    ways.extend(How::all().filter(|how| !first.contains(how)).map(of));
    ways
}

/// How the riff before leads here, and this one on.
fn joins(over: &LaidOut, order: usize) -> Vec<String> {
    let beat = over.course.form().bars()[0].metre.beat();
    let steps = check::steps(&over.heard);
    let told = |step: &check::Step| {
        let gap = if step.gap > Ticks::ZERO {
            format!("{} of rest", beats(step.gap, beat))
        } else {
            "no rest".to_owned()
        };
        let leap = step.leap.map(|leap| match leap.semitones {
            0 => ", the same note".to_owned(),
            _ => format!(", {}", if leap.semitones.abs() > 12 { far(leap.semitones) } else { moved(leap) }),
        });
        gap + &leap.unwrap_or_default()
    };
    let before = order.checked_sub(1).and_then(|before| steps.get(before));
    let mut joins = Vec::new();
    if let Some(step) = before {
        joins.push(format!("From “{}”: {}.", title(&over.placed[order - 1].riff), told(step)));
    }
    if let Some(step) = steps.get(order) {
        joins.push(format!("On to “{}”: {}.", title(&over.placed[order + 1].riff), told(step)));
    }
    joins
}

fn far(semitones: i32) -> String {
    format!("more than an octave {}", if semitones < 0 { "down" } else { "up" })
}

fn behind(context: &Context, chorus: &Chorus, index: usize) -> String {
    let Ok(riff) = chorus.riff_of(index) else { return String::new() };
    match context.desk.document().notebook.riff(riff.id) {
        Some(now) if chorus.is_behind(index, now) => {
            format!("“{}” has changed in the notebook since it was put here.", title(riff))
        }
        _ => String::new(),
    }
}

/// What a screen reader says of a placement: what stands where, what is changed, and what follows.
pub(super) fn label(chorus: &Chorus, over: &LaidOut, order: usize) -> String {
    let placed = &over.placed[order];
    // What is written on the cloth comes first: who speaks to the page says what is read there.
    let mut said = vec![title(&placed.riff)];
    said.extend(Some(lines::change(placed)).filter(|change| !change.is_empty()));
    said.push(stretch(over, order));
    if chorus.spots()[over.spots[order]].stays {
        said.push("stays as it is".to_owned());
    }
    let steps = check::steps(&over.heard);
    if let Some(step) = steps.get(order) {
        let beat = over.course.form().bars()[0].metre.beat();
        said.push(match step.gap {
            gap if gap > Ticks::ZERO => format!("then {} of rest", beats(gap, beat)),
            _ if placed.end() > over.placed[order + 1].at() => "the next one overlaps it".to_owned(),
            _ => "the next one follows at once".to_owned(),
        });
        if let Some(leap) = step.leap.filter(|leap| leap.semitones.abs() > 7) {
            let way = if leap.semitones < 0 { "down" } else { "up" };
            let far = if leap.semitones.abs() > 12 { "more than an octave".to_owned() } else { wide(leap) };
            said.push(format!("a leap of {far} {way}"));
        }
    }
    said.join(", ")
}
