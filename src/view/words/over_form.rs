//! The riff over the whole form: what each chord is met with, where it ends, and where it rubs.

use crate::chorus;
use crate::form::Changes;
use crate::insight::roles::{self, NoteInsight, Role};
use crate::theory::chord::Chord;
use crate::theory::pitch::NoteName;
use crate::view::model::SentenceView;
use crate::view::words::names::{chord_degree, listed};
use crate::view::words::note::{About, blue_name};

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
    let firsts = each_chord(times.iter().flatten());
    let met = firsts.iter().map(|insight| {
        format!("{} on {}, {}", about.chord(&insight.chord), about.note(insight), to_chord(about, insight))
    });
    let met: Vec<String> = met.collect();
    (met.len() > 1).then(|| said("", format!("It meets {}.", met.join("; "))))
}

/// What the last note is to each chord that it ends over.
fn ending(about: About, times: &[Vec<NoteInsight>]) -> Option<SentenceView> {
    let lasts = each_chord(times.iter().filter_map(|time| time.last()));
    let last = lasts.first()?;
    let over = lasts
        .iter()
        .map(|insight| format!("over {} {}", about.chord(&insight.chord), to_chord(about, insight)));
    let text = format!(" is where it ends: {}.", over.collect::<Vec<_>>().join("; "));
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

/// `its third`, `the blue third of G`, `a note of C7, which comes next`, `an outside note`.
fn to_chord(about: About, insight: &NoteInsight) -> String {
    match (insight.role, insight.chord_degree, &insight.ahead) {
        (Role::InChord, Some(degree), _) => format!("its {}", chord_degree(degree)),
        (Role::Blue, ..) => blue_name(about, insight),
        (Role::NextChord, _, Some(ahead)) => {
            format!("a note of {}, which comes later", about.chord(&ahead.chord))
        }
        _ => "an outside note".to_owned(),
    }
}

/// One thing that rubs, wherever it does.
struct RubbingBars<'a> {
    first: &'a NoteInsight,
    against: NoteName,
    chord: &'a Chord,
    bars: Vec<usize>,
}

fn rubs(about: About, times: &[Vec<NoteInsight>]) -> Vec<SentenceView> {
    let mut found: Vec<RubbingBars> = Vec::new();
    for insight in times.iter().flatten() {
        let Some(rub) = insight.rubs else { continue };
        let known = found.iter_mut().find(|rubbing| {
            rubbing.first.note == insight.note
                && rubbing.against == rub.against
                && *rubbing.chord == insight.chord
        });
        match known {
            Some(rubbing) => rubbing.bars.push(insight.bar),
            None => found.push(RubbingBars {
                first: insight,
                against: rub.against,
                chord: &insight.chord,
                bars: vec![insight.bar],
            }),
        }
    }
    found.iter().take(MOST_RUBS).map(|rubbing| rub_sentence(about, rubbing)).collect()
}

fn rub_sentence(about: About, rubbing: &RubbingBars) -> SentenceView {
    let against = about.name(rubbing.against);
    let chord = about.chord(rubbing.chord);
    let mut bars = rubbing.bars.clone();
    bars.dedup();
    let numbers: Vec<String> = bars.iter().map(|bar| (bar + 1).to_string()).collect();
    let bars = if numbers.len() == 1 { "bar" } else { "bars" };
    let text = format!(
        " rubs against the {against} of {chord} in {bars} {}. Try {against} there, or play it short.",
        listed(&numbers)
    );
    let head = about.note(rubbing.first);
    SentenceView { head, text, note: Some(rubbing.first.note), to_try: true }
}

fn said(head: &str, text: String) -> SentenceView {
    SentenceView { head: head.to_owned(), text, note: None, to_try: false }
}
