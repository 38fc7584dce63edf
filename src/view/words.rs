//! Words beside the riff: what each note is in the chosen bar, the riff over the form, and its shape.

pub mod chorus;
pub mod found;
pub mod note;
pub mod numbers;
pub mod over_form;
pub mod pass;
pub mod shape;

pub(crate) mod names;

use crate::chorus::repeats;
use crate::insight::reasons;
use crate::insight::roles::{self, NoteInsight};
use crate::insight::shape::Shape;
use crate::theory::chord::Chord;
use crate::view::context::Context;
use crate::view::model::{SentenceView, WholeView, WordsView};
use crate::view::words::note::About;

pub(super) fn view(context: &Context) -> WordsView {
    let session = context.desk.session();
    let riff = context.desk.riff();
    let about = About { riff, reading: context.reading };
    let selected = session.selected.and_then(|index| riff.notes().get(index).map(|note| (index, note)));
    let (place, sentences) = match selected {
        Some((index, note)) => {
            let name = about.reading.name(note.pitch.name).pretty();
            (format!("{name} under each chord"), of_note(context, about, index))
        }
        None => return in_bar(context, session.bar, session.bar),
    };
    titled(&place, sentences)
}

/// Words about the notes in `bar` in the time of the riff that was begun in bar `begun` (indices from 0).
pub(super) fn in_bar(context: &Context, bar: usize, begun: usize) -> WordsView {
    let riff = context.desk.riff();
    let about = About { riff, reading: context.reading };
    let chord = context.reading.chord(&context.changes.bars()[bar].chords[0].chord).pretty();
    let said = said(context, about, begun, |insight| insight.bar == bar);
    let mut sentences: Vec<SentenceView> = said.into_iter().flat_map(|(_, said)| said).collect();
    if riff.notes().is_empty() {
        let text = "Write a note, and read here what it is to the chord.".to_owned();
        sentences = vec![SentenceView { text, ..SentenceView::default() }];
    }
    titled(&format!("bar {}, {chord}", bar + 1), sentences)
}

/// How many sentences stand in sight before the others.
const FIRST: usize = 3;

/// What there is to try first, then the notes in their order; nothing twice.
fn in_order(sentences: Vec<SentenceView>) -> Vec<SentenceView> {
    let mut once: Vec<SentenceView> = Vec::new();
    for sentence in sentences {
        if !once.iter().any(|said| (&said.head, &said.text) == (&sentence.head, &sentence.text)) {
            once.push(sentence);
        }
    }
    // A stable sort: each kind stays in its order.
    once.sort_by_key(|sentence| !sentence.to_try);
    once
}

/// Words about what is heard at a place.
fn titled(place: &str, sentences: Vec<SentenceView>) -> WordsView {
    let sentences = in_order(sentences);
    let first = FIRST.min(sentences.len());
    WordsView { title: format!("What you hear · {place}"), sentences, first }
}

pub(super) fn whole(context: &Context) -> WholeView {
    let riff = context.desk.riff();
    let about = About { riff, reading: context.reading };
    let metre = context.changes.bars()[context.desk.session().bar].metre;
    let numbers = numbers::of(riff, metre);
    WholeView {
        over_form: over_form::sentences(about, context.changes),
        shape: shape::sentences(riff, &Shape::of(riff, metre), context.reading),
        numbers: numbers.rows,
        numbers_note: numbers.note,
    }
}

/// About one note: the chord that it meets in the chosen bar's time, then each other chord of the form that it meets.
fn of_note(context: &Context, about: About, index: usize) -> Vec<SentenceView> {
    let chosen = context.desk.session().bar;
    let others = repeats(context.changes, about.riff).into_iter().filter(|bar| *bar != chosen);
    let mut met: Vec<Chord> = Vec::new();
    let mut sentences = Vec::new();
    for bar in [chosen].into_iter().chain(others) {
        for (chord, about_it) in said(context, about, bar, |insight| insight.note == index) {
            if !met.contains(&chord) {
                met.push(chord);
                sentences.extend(about_it);
            }
        }
    }
    sentences
}

/// What is said of the notes that are meant where the riff is begun in `bar`, each with its chord.
fn said(
    context: &Context,
    about: About,
    bar: usize,
    is_meant: impl Fn(&NoteInsight) -> bool,
) -> Vec<(Chord, Vec<SentenceView>)> {
    let insights = roles::over(context.changes, about.riff, bar);
    let kinds = reasons::kinds(context.changes, about.riff, &insights);
    let meant = insights.iter().zip(&kinds).filter(|(insight, _)| is_meant(insight));
    meant
        .map(|(insight, kind)| {
            let sentence = note::sentence(about, insight, kind);
            (insight.chord.clone(), [sentence].into_iter().chain(note::to_try(about, insight)).collect())
        })
        .collect()
}
