//! The riff over the whole form: what each chord is met with, where it ends, and where it rubs.

use crate::chorus;
use crate::form::Changes;
use crate::insight::roles::{self, NoteInsight};
use crate::view::model::SentenceView;
use crate::view::words::names::listed;
use crate::view::words::note::{self, About, what};

/// The most chords that one sentence goes through, and the most rubs that are told.
const MOST_CHORDS: usize = 4;
const MOST_RUBS: usize = 2;

/// At most four sentences; none for a riff without notes.
pub fn sentences(about: About, changes: &Changes) -> Vec<SentenceView> {
    let times: Vec<Vec<NoteInsight>> = chorus::repeats(changes, about.riff)
        .into_iter()
        .map(|bar| roles::over(changes, about.riff, bar))
        .collect();
    let ends = ending(about, &times);
    let meets = meeting(about, &times);
    meets.into_iter().chain(ends).chain(rubs(about, &times)).collect()
}

/// With which note the riff meets each chord: the first that it strikes under it.
fn meeting(about: About, times: &[Vec<NoteInsight>]) -> Option<SentenceView> {
    let firsts = each_chord(times.iter().flatten().filter(|insight| !insight.chord.is_none()));
    let met: Vec<(String, String)> =
        firsts.iter().map(|insight| (about.note(insight), about.chord(&insight.chord))).collect();
    let (first, _) = met.get(..2)?.first()?;
    let over = if met.iter().all(|(note, _)| note == first) {
        let chords: Vec<String> = met.iter().map(|(_, chord)| chord.clone()).collect();
        format!("{first}, over {}", listed(&chords))
    } else {
        let each = met.iter().map(|(note, chord)| format!("{note} over {chord}"));
        each.collect::<Vec<_>>().join(", ")
    };
    Some(said("", format!("At each change you land on {over}.")))
}

/// What the last note is to each chord that it ends over.
fn ending(about: About, times: &[Vec<NoteInsight>]) -> Option<SentenceView> {
    let lasts = each_chord(times.iter().filter_map(|time| time.last()));
    let last = lasts.first()?;
    let mut over: Vec<String> = Vec::new();
    for what in lasts.iter().map(|insight| what(about, insight)) {
        // A blue note is the same over every chord.
        if !over.contains(&what) {
            over.push(what);
        }
    }
    let text = format!(" is where it ends: {}.", over.join("; "));
    Some(SentenceView { note: Some(last.note), ..said(&about.note(last), text) })
}

/// The first insight under each chord, in order.
fn each_chord<'a>(insights: impl Iterator<Item = &'a NoteInsight>) -> Vec<&'a NoteInsight> {
    let mut firsts: Vec<&NoteInsight> = Vec::new();
    for insight in insights {
        if firsts.iter().all(|first| first.chord != insight.chord) && firsts.len() < MOST_CHORDS {
            firsts.push(insight);
        }
    }
    firsts
}

/// One thing that rubs, wherever it does.
struct RubbingBars<'a> {
    first: &'a NoteInsight,
    bars: Vec<usize>,
}

fn rubs(about: About, times: &[Vec<NoteInsight>]) -> Vec<SentenceView> {
    let mut found: Vec<RubbingBars> = Vec::new();
    for insight in times.iter().flatten() {
        let Some(rub) = insight.rubs else { continue };
        let known = found.iter_mut().find(|rubbing| {
            let first = rubbing.first;
            first.note == insight.note && first.rubs == Some(rub) && first.chord == insight.chord
        });
        match known {
            Some(rubbing) => rubbing.bars.push(insight.bar),
            None => found.push(RubbingBars { first: insight, bars: vec![insight.bar] }),
        }
    }
    found.iter().take(MOST_RUBS).filter_map(|rubbing| rub_sentence(about, rubbing)).collect()
}

fn rub_sentence(about: About, rubbing: &RubbingBars) -> Option<SentenceView> {
    let mut bars = rubbing.bars.clone();
    bars.dedup();
    let numbers: Vec<String> = bars.iter().map(|bar| (bar + 1).to_string()).collect();
    let bars = if numbers.len() == 1 { "bar" } else { "bars" };
    note::clash(about, rubbing.first, &format!(" in {bars} {}", listed(&numbers)))
}

fn said(head: &str, text: String) -> SentenceView {
    SentenceView { head: head.to_owned(), text, note: None, to_try: false }
}
