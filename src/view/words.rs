//! Words beside the riff: what each note is in the chosen bar, the riff over the form, and its shape.

pub mod note;
pub mod over_form;
pub mod shape;

pub(crate) mod names;

use crate::insight::reasons;
use crate::insight::roles::{self, NoteInsight};
use crate::insight::shape::Shape;
use crate::view::model::WordsView;
use crate::view::screen::Context;
use crate::view::words::note::About;

pub(super) fn view(context: &Context) -> WordsView {
    let session = context.desk.session();
    let riff = context.desk.riff();
    let about = About { riff, reading: context.reading };
    let bar = &context.changes.bars()[session.bar];
    let insights = roles::over(context.changes, riff, session.bar);
    let kinds = reasons::kinds(context.changes, riff, &insights);
    let selected = session.selected.filter(|index| *index < insights.len());
    let is_meant = |insight: &NoteInsight| match selected {
        Some(index) => insight.note == index,
        None => insight.bar == session.bar,
    };
    let meant = insights.iter().zip(&kinds).filter(|(insight, _)| is_meant(insight));
    let sentences = meant.flat_map(|(insight, kind)| {
        [Some(note::sentence(about, insight, kind)), note::to_try(about, insight)]
    });
    WordsView {
        title: format!(
            "What you hear · bar {}, {}",
            session.bar + 1,
            context.reading.chord(&bar.chords[0].chord).pretty()
        ),
        sentences: sentences.flatten().collect(),
        over_form: over_form::sentences(about, context.changes),
        shape: shape::sentences(riff, &Shape::of(riff, bar.metre), context.reading),
    }
}
