//! Words beside the riff: what each note is in the chosen bar, where the riff rubs over the form, and its shape.

use crate::chorus;
use crate::insight::roles::{self, NoteInsight, Role};
use crate::insight::shape::Shape;
use crate::theory::interval::Interval;
use crate::view::count;
use crate::view::model::{SentenceView, WordsView};
use crate::view::screen::Context;

pub(super) fn view(context: &Context) -> WordsView {
    let session = context.desk.session();
    let riff = context.desk.riff();
    let chord = context.changes.chord_at(context.changes.bar_start(session.bar)).chord;
    let insights = roles::over(context.changes, riff, session.bar);
    let selected = session.selected.and_then(|index| insights.get(index));
    let about: Vec<&NoteInsight> = match selected {
        Some(insight) => vec![insight],
        None => insights.iter().filter(|insight| insight.bar == session.bar).collect(),
    };
    WordsView {
        title: format!("What you hear · bar {}, {}", session.bar + 1, context.reading.chord(chord).pretty()),
        sentences: about.iter().map(|insight| sentence(context, insight)).collect(),
        over_form: over_form(context),
        shape: shape(context),
    }
}

fn sentence(context: &Context, insight: &NoteInsight) -> SentenceView {
    let name = name_of(context, insight);
    let chord = context.reading.chord(&insight.chord).pretty();
    let text = match (insight.role, insight.chord_degree) {
        (Role::InChord, Some(degree)) if insight.blue.is_some() => {
            format!(" is the {} of {chord}, and a blue note besides.", degree_name(degree))
        }
        (Role::InChord, Some(degree)) => format!(" is the {} of {chord}.", degree_name(degree)),
        (Role::Blue, _) => {
            format!(" is the blue {} of {}.", blue_name(insight), context.reading.key().tonic().pretty())
        }
        _ => {
            let place = format!(
                " is the {} of {}, not in {chord}",
                degree_name(insight.key_degree),
                context.reading.key().tonic().pretty()
            );
            match &insight.ahead {
                Some(ahead) => format!(
                    "{place}; {}, which comes next, has it.",
                    context.reading.chord(&ahead.chord).pretty()
                ),
                None => format!("{place}: an outside note."),
            }
        }
    };
    SentenceView { head: name, text, note: Some(insight.note), to_try: false }
}

fn over_form(context: &Context) -> Vec<SentenceView> {
    let riff = context.desk.riff();
    let rubbing = chorus::repeats(context.changes, riff)
        .into_iter()
        .flat_map(|begun| roles::over(context.changes, riff, begun))
        .find_map(|insight| Some((insight.rubs?, insight)));
    rubbing
        .map(|(rub, insight)| {
            let against = context.reading.name(rub.against).pretty();
            let chord = context.reading.chord(&insight.chord).pretty();
            let text =
                format!(" rubs against {chord}’s {against} in bar {}. Try {against} there.", insight.bar + 1);
            SentenceView { head: name_of(context, &insight), text, note: Some(insight.note), to_try: true }
        })
        .into_iter()
        .collect()
}

fn shape(context: &Context) -> Vec<String> {
    let riff = context.desk.riff();
    let metre = context.changes.bars()[context.desk.session().bar].metre;
    let shape = Shape::of(riff, metre);
    let space = match (shape.share_of_silence() * 4.0).round() as i32 {
        0 => "hardly any space",
        1 => "about a quarter is space",
        2 => "about half is space",
        3 => "mostly space",
        _ => "all space",
    };
    vec![format!(
        "{}, {}, {space}.",
        count(riff.beats(), "beat", "beats"),
        count(riff.notes().len(), "note", "notes")
    )]
}

fn name_of(context: &Context, insight: &NoteInsight) -> String {
    context.reading.name(context.desk.riff().notes()[insight.note].pitch.name).pretty()
}

fn blue_name(insight: &NoteInsight) -> &'static str {
    match insight.blue {
        Some(roles::BlueNote::Third) => "third",
        Some(roles::BlueNote::Fifth) => "fifth",
        _ => "seventh",
    }
}

fn degree_name(degree: Interval) -> &'static str {
    match degree.steps.rem_euclid(7) {
        0 => "root",
        1 => "second",
        2 => "third",
        3 => "fourth",
        4 => "fifth",
        5 => "sixth",
        _ => "seventh",
    }
}
