//! A lesson on paper: a sheet for learners, and one for a teacher who stands in and is no musician.

use crate::desk::Desk;
use crate::desk::class::Kept;
use crate::files::link::{Lesson, LessonStep};
use crate::notebook::Entry;
use crate::notebook::tune::Tune;
use crate::riff::{Riff, RiffId, read_id};
use crate::view::class::{self, asked, step_title, step_words, tier_title};
use crate::view::model::{
    CoverRowView, CoverView, LessonRiffView, LessonSheetView, LessonStepView, NamedView, SheetView,
};
use crate::view::notebook;
use crate::view::staff::{self, What};

/// The lesson that is kept with this id, on paper: its models are written for the part of this name (see
/// [`staff::view`]), with what is chosen below them. `None` where there is no such lesson.
pub fn view(desk: &Desk, id: &str, part: &str, under: &str) -> Option<LessonSheetView> {
    let id = read_id(id)?.0;
    let kept = desk.class().kept().iter().find(|kept| kept.id == id)?;
    of_lesson(desk, kept, kept.lesson()?, (part, under))
}

/// A riff of the notebook over the tune, in its own key, on paper as a lesson's models are.
pub fn of_riff(desk: &Desk, id: RiffId, part: &str, under: &str) -> Option<LessonRiffView> {
    let entry = desk.document().notebook.entry(id)?;
    let tune = desk.tune().in_key(entry.key.unwrap_or(desk.tune().key));
    Some(model(&tune, &entry.riff, (part, under)).0)
}

fn of_lesson(
    desk: &Desk,
    kept: &Kept,
    lesson: &Lesson,
    (part, under): (&str, &str),
) -> Option<LessonSheetView> {
    let tune = desk.tune().with_shared(lesson.tune.clone());
    let sheets: Vec<(LessonRiffView, SheetView)> =
        lesson.models.iter().map(|riff| model(&tune, riff, (part, under))).collect();
    let (_, first) = sheets.first()?;
    let (lines, chords, empty_bars) = (first.lines.clone(), first.chords.clone(), first.empty_bars);
    let step = |step: &LessonStep| {
        let (say, more) = step_words(*step);
        LessonStepView { title: step_title(*step).into(), say: say.into(), more: more.into() }
    };
    Some(LessonSheetView {
        title: class::title_of(lesson),
        ground: first.ground.clone(),
        words: lesson.words.clone(),
        can: lesson.can.clone(),
        steps: lesson.steps.iter().map(step).collect(),
        tiers: tiers(lesson),
        locked: class::locked(lesson).to_owned(),
        riffs: sheets.into_iter().map(|(riff, _)| riff).collect(),
        lines,
        chords,
        empty_bars,
        link: kept.record.link.clone(),
        cover: cover(lesson),
    })
}

/// A model over the lesson's tune: on a desk of its own, so that it is written as every other riff is.
fn model(tune: &Tune, riff: &Riff, (part, under): (&str, &str)) -> (LessonRiffView, SheetView) {
    let entry = Entry::new(riff.clone(), Some(tune.key));
    let desk = Desk::restored(Some(tune.clone()), vec![entry], Some(riff.id), RiffId(0));
    let sheet = staff::sheet(&desk, What::Riff, part);
    let staff = staff::view(&desk, What::Riff, part, under);
    (LessonRiffView { name: notebook::title(riff), staff, strip: sheet.strip.clone() }, sheet)
}

fn tiers(lesson: &Lesson) -> Vec<NamedView> {
    let several = lesson.tiers.len() > 1;
    let tier = |(place, limits)| {
        let asked = asked(limits).join(", ");
        let text =
            if asked.is_empty() { "Nothing is asked of your riff.".to_owned() } else { format!("{asked}.") };
        NamedView { name: if several { tier_title(place).to_owned() } else { String::new() }, text }
    };
    lesson.tiers.iter().enumerate().map(tier).collect()
}

/// How long a step takes in a class, in minutes. Source: common practice, no source; together with [`OPENING`] and
/// [`CLOSING`] the steps that a new lesson has come to about forty minutes.
fn minutes(step: LessonStep) -> u32 {
    match step {
        LessonStep::Hear | LessonStep::Clap => 4,
        LessonStep::Change | LessonStep::Form => 5,
        LessonStep::Copy => 7,
        LessonStep::Own => 8,
    }
}

/// Minutes until everybody has opened the lesson.
const OPENING: u32 = 4;
/// Minutes to hand in and to hear each other.
const CLOSING: u32 = 8;

/// What learners do in a step, and what the teacher does.
fn told(step: LessonStep) -> (&'static str, &'static str) {
    match step {
        LessonStep::Hear => (
            "They press “Hear the model” and listen twice.",
            "Ask: does the last note lie higher or lower than the first? They show it by hand.",
        ),
        LessonStep::Clap => (
            "They clap the rhythm along with the model, then without it.",
            "Clap with them. Where it falls apart, all stop, hear it once more, and begin again.",
        ),
        LessonStep::Copy => (
            "They play the model’s notes on the keys of the screen, or write them one by one.",
            "Walk around. The page tells each of them how many notes still differ.",
        ),
        LessonStep::Change => (
            "They change one note, or one length. The page has made a copy for this.",
            "Ask one or two: what did you change, and what does it do?",
        ),
        LessonStep::Own => (
            "They make a riff of their own.",
            "Read out what is asked. Say: a place where nobody plays is part of a riff.",
        ),
        LessonStep::Form => (
            "They play their riff with the band, through the whole form.",
            "Headphones on, or one device at a time.",
        ),
    }
}

fn cover(lesson: &Lesson) -> CoverView {
    let mut at = 0;
    let mut row = |minutes: u32, title: &str, they: &str, you: &str| {
        let when = format!("{at} to {}", at + minutes);
        at += minutes;
        CoverRowView { when, title: title.to_owned(), they: they.to_owned(), you: you.to_owned() }
    };
    let mut plan = vec![row(
        OPENING,
        "Open it",
        "Each of them, or each pair, opens the lesson with the picture at the top of this sheet, or with the link from \
         their teacher, and presses “Begin this lesson”.",
        "Say: today you make a short tune of your own. Nothing is marked, and nothing is sent anywhere.",
    )];
    for step in &lesson.steps {
        let (they, you) = told(*step);
        plan.push(row(minutes(*step), step_title(*step), they, you));
    }
    plan.push(row(
        CLOSING,
        "Hand in",
        "They press “Hand in…”, write a seat number or a made-up name, never their own, and press “Make my answer”.",
        "They send the link the way your school does. Then three who want to play theirs; after each, ask: where was room?",
    ));
    CoverView {
        before: vec![
            "You need not read music or play anything: the page plays, counts and says what comes next."
                .to_owned(),
            format!(
                "The lesson takes about {at} minutes. “Next step” leads on; the steps stand on the learners’ screens, too."
            ),
            "Needed: a device for each learner or pair, headphones if there are any, and this sheet."
                .to_owned(),
        ],
        plan,
        words: named(&[
            ("Riff", "a short tune of a few notes that comes again and again"),
            ("Beat", "what you tap your foot to"),
            ("Bar", "a few beats, mostly four, that belong together"),
            ("Form", "the order of the chords, which goes round and round"),
            ("Model", "the riff that is heard first and then copied"),
        ]),
        trouble: named(&[
            ("Nothing is heard", "Turn the device up, pull headphones out and in, press Play once more."),
            (
                "The page does not come",
                "A device that has opened it once needs no network. Else two learners share one device.",
            ),
            (
                "A link does not open",
                "It was cut: copy it whole and paste it into “Got a link?” in “Pass it on”.",
            ),
            ("Somebody is stuck", "They take the model and change its last note: that is a riff."),
            ("Somebody is done", "They answer a neighbour’s riff with one of their own, and hand in both."),
            ("It is too loud", "Half of them play while the others listen, then the other way round."),
        ]),
        back: ["How far did you come?", "What went well?", "Who was away, or needs help?"]
            .map(str::to_owned)
            .into(),
    }
}

fn named(rows: &[(&str, &str)]) -> Vec<NamedView> {
    let view = |(name, text): &(&str, &str)| NamedView { name: (*name).to_owned(), text: (*text).to_owned() };
    rows.iter().map(view).collect()
}
