//! Words and drawings for a class: a lesson before it is added, the way through it, and the board of answers.

mod family;
mod rota;

use crate::desk::Desk;
use crate::desk::class::{Did, Kept, MARKS, Told, Unread};
use crate::files::link::{self, Answer, Lesson, LessonStep, Limits, Link, LinkTune};
use crate::form::Changes;
use crate::notebook::lesson::{self, Follow, Held, held};
use crate::notebook::tune::{Material, Tune};
use crate::riff::difference::differences;
use crate::riff::{Riff, write_id};
use crate::theory::key::Key;
use crate::view::context::Context;
use crate::view::model::{
    AnswerView, BoardView, ChoiceView, ClassRiffView, ClassView, LessonChoices, LessonForm, LessonRow,
    LimitView, MarkView, OpenedView, TierForm, WorkView,
};
use crate::view::{changed, chorus as chorus_view, count, filename, message, notebook, tune};

/// The marks that a teacher can give: each says what is heard, none is better than another.
const MARK_NAMES: [&str; MARKS] =
    ["Good rhythm", "Room to breathe", "A sound of its own", "Tells a story", "Let us talk about it"];

/// Of all that the class part shows, what each note that is written may change.
pub fn following(desk: &Desk) -> ClassView {
    let class = desk.class();
    let work = match class.relay() {
        Some(kept) => passed(desk, kept),
        None => class.works_on().and_then(|kept| work(desk, kept)),
    };
    ClassView { work, ..ClassView::default() }
}

/// All that the class part shows.
pub fn view(desk: &Desk) -> ClassView {
    let class = desk.class();
    ClassView {
        told: told(desk),
        unread: unread(class.told()),
        // What is worked on already has its own place.
        opened: class
            .opened()
            .filter(|link| !class.works_on().is_some_and(|kept| *kept.link == **link))
            .and_then(|link| opened(desk, link)),
        seen: class.looked_at().and_then(|link| opened(desk, link)),
        work: following(desk).work,
        lessons: class.kept().iter().filter_map(|kept| row(desk, kept)).collect(),
        example: class.is_example(),
        board: board(desk),
        made: class.made().to_owned(),
        can_undo: can_undo(desk),
        choices: choices(desk),
        rota: rota::view(class.seats()),
        ..ClassView::default()
    }
}

fn choices(desk: &Desk) -> LessonChoices {
    let entries = desk.document().notebook.entries().iter().filter(|entry| !entry.riff.notes().is_empty());
    let chosen = desk.session().chosen;
    let riff = |entry: &crate::notebook::Entry| {
        ChoiceView::of(&write_id(entry.riff.id), &notebook::title(&entry.riff), entry.riff.id == chosen)
    };
    let steps = LessonStep::NAMES
        .iter()
        .map(|(step, name)| ChoiceView::of(name, step_title(*step), !matches!(step, LessonStep::Form)));
    let notes = Material::all().map(|material| {
        ChoiceView::of(material.name(), tune::material_title(material), material == desk.tune().material)
    });
    LessonChoices {
        steps: steps.collect(),
        notes: notes.collect(),
        riffs: entries.map(riff).collect(),
        ground: ground(desk.tune()),
        most_beats: Riff::MOST_BEATS,
        most_models: Lesson::MOST_MODELS,
        most_tiers: Lesson::MOST_TIERS,
        most_title: Lesson::MOST_TITLE,
        most_words: Lesson::MOST_WORDS,
        most_can: Lesson::MOST_CAN,
        most_statement: Lesson::MOST_STATEMENT,
        most_who: Answer::MOST_WHO,
    }
}

fn tune_of(desk: &Desk, shared: &LinkTune) -> Tune {
    desk.tune().with_shared(shared.clone())
}

fn ground(tune: &Tune) -> String {
    tune::ground(tune, tune.instrument.reading(tune.key))
}

pub(super) fn title_of(lesson: &Lesson) -> String {
    if !lesson.title.is_empty() {
        return lesson.title.clone();
    }
    lesson
        .models
        .first()
        .map_or_else(|| "Lesson".to_owned(), |riff| format!("Lesson: {}", notebook::title(riff)))
}

fn riff_view(desk: &Desk, changes: &Changes, riff: &Riff) -> ClassRiffView {
    ClassRiffView { name: notebook::title(riff), notes: notes(desk, changes, riff), beats: riff.beats() }
}

/// The notes over the form's first bar, drawn as in the notebook.
fn notes(desk: &Desk, changes: &Changes, riff: &Riff) -> Vec<MarkView> {
    notebook::marks(&Context { desk, changes, reading: desk.tune().instrument.reading(changes.key()) }, riff)
}

fn opened(desk: &Desk, link: &Link) -> Option<OpenedView> {
    match link {
        Link::Lesson(lesson) => {
            let tune = tune_of(desk, &lesson.tune);
            let changes = tune.changes();
            let steps: Vec<&str> = lesson.steps.iter().map(|step| step_title(*step)).collect();
            let mut lines = vec![format!("{}: {}.", count(steps.len(), "step", "steps"), steps.join(", "))];
            let several = lesson.tiers.len() > 1;
            for (place, tier) in lesson.tiers.iter().enumerate() {
                let asked = asked(tier);
                let line = if asked.is_empty() {
                    "Nothing is asked of your riff.".to_owned()
                } else {
                    format!("{}.", asked.join(", "))
                };
                lines.push(if several { format!("{}: {line}", tier_title(place)) } else { line });
            }
            lines.extend(practised(desk, &lesson.tune));
            lines.push(locked(lesson).to_owned());
            Some(OpenedView {
                lesson: true,
                for_class: true,
                title: title_of(lesson),
                ground: ground(&tune),
                lines,
                words: lesson.words.clone(),
                can: lesson.can.clone(),
                riffs: lesson.models.iter().map(|riff| riff_view(desk, &changes, riff)).collect(),
                link: link::encode_lesson(lesson).unwrap_or_default(),
                ..OpenedView::default()
            })
        }
        Link::Answer(answer) => {
            let tune = tune_of(desk, &answer.tune);
            let lesson = desk.class().lesson_of(answer).map(title_of);
            let to = lesson.map_or("The lesson that it answers is not on this device.".to_owned(), |title| {
                format!("It answers “{title}”.")
            });
            Some(OpenedView {
                for_class: true,
                title: format!("An answer from {}", answer.who),
                ground: ground(&tune),
                lines: vec![to],
                riffs: vec![riff_view(desk, &tune.changes(), &answer.riff)],
                link: link::encode_answer(answer).unwrap_or_default(),
                ..OpenedView::default()
            })
        }
        Link::Riff(shared) => {
            let tune = tune_of(desk, &shared.tune);
            let stays = "Your own riffs stay as they are.";
            Some(OpenedView {
                title: notebook::title(&shared.riff),
                ground: ground(&tune),
                lines: [
                    vec![format!("A riff: {}.", notebook::summary(&shared.riff))],
                    comes_with(desk, &shared.tune, stays),
                ]
                .concat(),
                riffs: vec![riff_view(desk, &tune.changes(), &shared.riff)],
                link: link::encode(&shared.tune, &shared.riff),
                take: TAKE_IT.to_owned(),
                here: desk.same_riff(shared.tune.key, &shared.riff).is_some(),
                ..OpenedView::default()
            })
        }
        Link::Chorus(shared) => {
            let tune = tune_of(desk, &shared.tune);
            let (chorus, changes) = (&shared.chorus, tune.changes());
            let times = count(chorus.times(), "time", "times");
            let sung = if chorus.words().is_empty() { "" } else { ", with words over its lines" };
            let riffs = count(chorus.riffs().len(), "riff", "riffs");
            let stays = "Your own riffs and choruses stay as they are.";
            Some(OpenedView {
                title: chorus_view::name(chorus),
                ground: ground(&tune),
                lines: [
                    vec![format!("A chorus: {riffs}, {times} through the form{sung}.")],
                    comes_with(desk, &shared.tune, stays),
                ]
                .concat(),
                riffs: chorus.riffs().iter().map(|riff| riff_view(desk, &changes, riff)).collect(),
                link: link::encode_chorus(&shared.tune, chorus).unwrap_or_default(),
                take: TAKE_IT.to_owned(),
                ..OpenedView::default()
            })
        }
        Link::Several(several) => {
            let tune = tune_of(desk, &several.tune);
            let stays = "Your own riffs stay as they are.";
            let riff = |(key, riff): &(Key, Riff)| riff_view(desk, &tune.in_key(*key).changes(), riff);
            Some(OpenedView {
                title: count(several.riffs.len(), "riff", "riffs"),
                ground: ground(&tune),
                lines: comes_with(desk, &several.tune, stays),
                riffs: several.riffs.iter().map(riff).collect(),
                link: link::encode_several(several).unwrap_or_default(),
                take: "Put them in my notebook".to_owned(),
                here: several.riffs.iter().all(|(key, riff)| desk.same_riff(*key, riff).is_some()),
                ..OpenedView::default()
            })
        }
        Link::Tune(shared) => Some(OpenedView {
            title: "A tune".to_owned(),
            ground: ground(&tune_of(desk, shared)),
            lines: comes_with(desk, shared, "There is no riff in it. Your own riffs stay as they are."),
            link: link::encode_tune(shared),
            take: "Take this tune".to_owned(),
            ..OpenedView::default()
        }),
    }
}

/// What the button says that adds a riff or a chorus.
const TAKE_IT: &str = "Put it in my notebook";

/// What a link says of practising, and what becomes of what is here.
fn comes_with(desk: &Desk, shared: &LinkTune, stays: &str) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some(made_for) =
        Tune::made_for(shared).filter(|made_for| made_for.name() != desk.tune().instrument.name())
    {
        lines.push(format!("It was made for {}.", made_for.title()));
    }
    lines.extend(practised(desk, shared));
    let changes = tune_of(desk, shared) != *desk.tune();
    let comes = if changes {
        " Its tune takes the place of yours; “Back to mine” brings yours back."
    } else {
        ""
    };
    lines.push(format!("{stays}{comes}"));
    lines
}

/// What a link says of practising.
fn practised(desk: &Desk, shared: &LinkTune) -> Option<String> {
    let numbers = shared.band.as_ref().map_or(&[][..], |band| &band.0);
    let asked = desk.practice().settings().asked_by(numbers, shared.tempo)?;
    Some(match asked.ladder {
        Some(plan) => {
            let (start, goal) = (plan.start.value(), plan.goal.value());
            format!("To practise from {start:.0} up to {goal:.0} beats a minute.")
        }
        None => "It says how to practise it, too.".to_owned(),
    })
}

pub(super) fn locked(lesson: &Lesson) -> &'static str {
    if lesson.locked {
        "Locked: hand in a riff that keeps to all of this."
    } else {
        "This is a guide: you can hand in what you like."
    }
}

pub(super) fn tier_title(place: usize) -> &'static str {
    ["Group 1", "Group 2", "Group 3"].get(place).copied().unwrap_or_default()
}

pub(super) fn step_title(step: LessonStep) -> &'static str {
    match step {
        LessonStep::Hear => "Hear it",
        LessonStep::Clap => "Clap it",
        LessonStep::Copy => "Copy it",
        LessonStep::Change => "Change one thing",
        LessonStep::Own => "Make your own",
        LessonStep::Form => "Put it into the form",
    }
}

/// What a step asks in a sentence, and more about it.
pub(super) fn step_words(step: LessonStep) -> (&'static str, &'static str) {
    match step {
        LessonStep::Hear => {
            ("Press “Hear the model”.", "Listen twice: first for the rhythm, then for the last note.")
        }
        LessonStep::Clap => ("Clap the rhythm along with the model.", "Then clap it without."),
        LessonStep::Copy => (
            "Play the model’s notes.",
            "Play them on the keys, or on your own instrument. Or press “New riff” and write them one by one.",
        ),
        LessonStep::Change => (
            "Change one note, or one length.",
            "This is a copy, so the model stays as it is. Hear what your change does.",
        ),
        LessonStep::Own => (
            "Make a riff of your own.",
            "Begin from this copy of the model, or press “New riff” for an empty one.",
        ),
        LessonStep::Form => {
            ("Play your riff with the band, through the whole form.", "Does it fit every chord?")
        }
    }
}

/// What limits ask, part by part.
pub(super) fn asked(limits: &Limits) -> Vec<String> {
    let mut asked = Vec::new();
    if limits.beats > 0 {
        asked.push(format!("At most {}", count(limits.beats.into(), "beat", "beats")));
    }
    if limits.space > 0 {
        asked.push(format!("leave at least {} free", count(limits.space.into(), "beat", "beats")));
    }
    let material = lesson::material(limits);
    if material != Material::All {
        asked.push(format!("notes: {}", tune::material_title(material)));
    }
    if let Some(first) = asked.first_mut() {
        *first = super::capital(first);
    }
    asked
}

/// What was asked, held against a riff: "9 beats, 8 asked".
fn limit(tune: &Tune, held: &Held) -> LimitView {
    let text = match held {
        Held::Beats { asked, found } if held.is_kept() => {
            format!("{found} of {}", count(*asked, "beat", "beats"))
        }
        Held::Beats { asked, found } => format!("{}, {asked} asked", count(*found, "beat", "beats")),
        Held::Space { asked, found } => format!("{} free, {asked} asked", count(*found, "beat", "beats")),
        Held::Notes { asked, others } if others.is_empty() => {
            format!("Within {}", tune::material_title(*asked))
        }
        Held::Notes { asked, others } => {
            let reading = tune.instrument.reading(tune.key);
            let names: Vec<String> = others.iter().map(|name| reading.name(*name).pretty()).collect();
            format!("Beside {}: {}", tune::material_title(*asked), names.join(", "))
        }
    };
    LimitView { text, kept: held.is_kept() }
}

fn work(desk: &Desk, kept: &Kept) -> Option<WorkView> {
    let lesson = kept.lesson()?;
    let step = usize::from(kept.record.step).min(lesson.steps.len() - 1);
    let now = lesson.steps[step];
    let title = |(place, each): (usize, &LessonStep)| {
        ChoiceView::of(&place.to_string(), step_title(*each), place == step)
    };
    let tier = usize::from(kept.record.tier).min(lesson.tiers.len() - 1);
    let tiers = lesson.tiers.iter().enumerate().map(|(place, limits)| {
        let asked = asked(limits).join(", ");
        let text = if asked.is_empty() {
            tier_title(place).to_owned()
        } else {
            format!("{}: {asked}", tier_title(place))
        };
        ChoiceView::of(&place.to_string(), &text, place == tier)
    });
    let (say, hint) = step_words(now);
    let (good, heard) = heard(desk, lesson, now);
    let is_asked = matches!(now, LessonStep::Own | LessonStep::Form);
    // What nobody has touched keeps to everything: that is no tick.
    let is_touched = nearest(desk, lesson) > 0;
    let limits = desk.held_against(lesson, tier as u8);
    Some(WorkView {
        title: title_of(lesson),
        steps: lesson.steps.iter().enumerate().map(title).collect(),
        step,
        say: say.to_owned(),
        hint: hint.to_owned(),
        heard,
        good,
        begins: desk.asked_by_step().is_some(),
        writes: matches!(now, LessonStep::Change | LessonStep::Own),
        hears: matches!(now, LessonStep::Hear | LessonStep::Clap) && !lesson.models.is_empty(),
        limits: if is_asked && is_touched {
            limits.iter().map(|held| limit(desk.tune(), held)).collect()
        } else {
            Vec::new()
        },
        locked: locked(lesson).to_owned(),
        tiers: tiers.filter(|_| is_asked && lesson.tiers.len() > 1).collect(),
        words: lesson.words.clone(),
        can: lesson.can.clone(),
        who: kept.record.who.clone(),
        models: lesson.models.iter().map(notebook::title).collect(),
        passes: false,
    })
}

/// A riff at the next seat: one thing is to be changed.
fn passed(desk: &Desk, kept: &Kept) -> Option<WorkView> {
    let (tune, riff) = kept.passed_on()?;
    let from = match &*kept.link {
        Link::Answer(answer) => format!("{}’s riff", answer.who),
        _ => "the model".to_owned(),
    };
    let reading = desk.tune().instrument.reading(tune.key);
    let changed = changed::sentences(riff, desk.riff(), reading);
    let heard = match changed.len() {
        0 => String::new(),
        1 => format!("{} That is it: pass it on.", changed[0]),
        more => format!("{more} things are changed: one is enough."),
    };
    let title = "From seat to seat";
    Some(WorkView {
        title: title.to_owned(),
        steps: vec![ChoiceView::of("0", title, true)],
        say: format!("This is {from}: change one thing."),
        hint: "One note, one length, one accent, or where it begins. Then pass it on.".to_owned(),
        good: changed.len() == 1,
        heard,
        writes: true,
        passes: true,
        models: vec![notebook::title(riff)],
        ..WorkView::default()
    })
}

/// In how many things the riff on the desk differs from the model that is nearest to it.
fn nearest(desk: &Desk, lesson: &Lesson) -> usize {
    lesson.models.iter().map(|model| differences(model, desk.riff())).min().unwrap_or_default()
}

/// What is heard of the riff on the desk beside the nearest model, and whether it is as the step asks. What is still
/// the model, untouched, is never praised.
fn heard(desk: &Desk, lesson: &Lesson, step: LessonStep) -> (bool, String) {
    let riff = desk.riff();
    if riff.notes().is_empty() {
        let said = match step {
            LessonStep::Hear | LessonStep::Clap => "",
            _ => "Your riff is still empty.",
        };
        return (false, said.to_owned());
    }
    let is_model = lesson.models.iter().any(|model| model.name == riff.name);
    let plain = |text: &str| (false, text.to_owned());
    match (step, nearest(desk, lesson)) {
        (LessonStep::Copy, 0) if is_model => plain(""),
        (LessonStep::Copy, 0) => {
            (true, "Your riff is the model, note for note. Play it until it comes by itself.".to_owned())
        }
        (LessonStep::Copy, 1) => plain("One note differs from the model."),
        (LessonStep::Copy, more) => plain(&format!("{more} notes differ from the model.")),
        (LessonStep::Change, 0) => plain("Still the model: change one note."),
        (LessonStep::Change, 1) => (true, "One thing is changed. That is it.".to_owned()),
        (LessonStep::Change, more) => plain(&format!("{more} things are changed: one is enough.")),
        (LessonStep::Own, 0) => {
            let tier = desk.class().works_on().map_or(0, |kept| usize::from(kept.record.tier));
            let asked = lesson.tiers.get(tier).or(lesson.tiers.first()).map(asked).unwrap_or_default();
            let asked = if asked.is_empty() { String::new() } else { format!(" {}.", asked.join(", ")) };
            plain(&format!("Still the model: make it yours.{asked}"))
        }
        _ => plain(""),
    }
}

fn row(desk: &Desk, kept: &Kept) -> Option<LessonRow> {
    let lesson = kept.lesson()?;
    let class = desk.class();
    let number = link::lesson_number(lesson);
    let answers =
        class.kept().iter().filter_map(Kept::answer).filter(|answer| answer.lesson == number).count();
    let came = if answers == 0 {
        "No answers yet.".to_owned()
    } else {
        format!("{}.", count(answers, "answer", "answers"))
    };
    Some(LessonRow {
        id: write_id(crate::riff::RiffId(kept.id)),
        title: title_of(lesson),
        about: format!("{} {came}", ground(&tune_of(desk, &lesson.tune))),
        chosen: class.chosen().is_some_and(|chosen| chosen.id == kept.id),
        link: kept.record.link.clone(),
        form: LessonForm {
            title: lesson.title.clone(),
            words: lesson.words.clone(),
            can: lesson.can.clone(),
            steps: lesson.steps.iter().map(|step| step.name().to_owned()).collect(),
            locked: lesson.locked,
            tiers: lesson
                .tiers
                .iter()
                .map(|tier| TierForm {
                    beats: tier.beats,
                    space: tier.space,
                    notes: lesson::material(tier).name().to_owned(),
                })
                .collect(),
        },
    })
}

fn board(desk: &Desk) -> BoardView {
    let class = desk.class();
    let answers = class.answers();
    let names = !class.hides_names();
    let views: Vec<AnswerView> =
        answers.iter().enumerate().filter_map(|(place, kept)| answer(desk, kept, place, names)).collect();
    let title = match class.chosen().and_then(Kept::lesson) {
        Some(lesson) if class.is_example() => format!("An example: answers to “{}”", title_of(lesson)),
        Some(lesson) => format!("Answers to “{}”", title_of(lesson)),
        None => "All answers".to_owned(),
    };
    let about = match desk.class_turns(Follow::InTurn) {
        None => {
            "Paste the links that came back, or open files with them. They stay on this device.".to_owned()
        }
        Some(turns) => {
            let bars = turns.bars.last().copied().unwrap_or_default();
            let plays = format!(
                "{}, {} in all.",
                count(views.len(), "answer", "answers"),
                count(bars, "bar", "bars")
            );
            match turns.left_out {
                0 => plays,
                more => format!("{plays} The last {more} find no room in one go."),
            }
        }
    };
    let csv = lesson::csv(&table(desk, &views));
    let lesson = class.chosen().and_then(Kept::lesson).map_or("answers".to_owned(), title_of);
    let file = filename::of_table(&lesson);
    let (chorus, family) = (desk.class_chorus(), family::rows(desk));
    BoardView { title, answers: views, names, about, csv, file, chorus, family }
}

/// The table: a heading, then a line an answer.
fn table(desk: &Desk, views: &[AnswerView]) -> Vec<Vec<String>> {
    let heading = ["Number", "Name", "Lesson", "Riff", "What was asked", "I can", "Marks", "Link"];
    let mut rows = vec![heading.map(str::to_owned).to_vec()];
    let class = desk.class();
    for (place, (view, kept)) in views.iter().zip(class.answers()).enumerate() {
        let lesson = kept.answer().and_then(|answer| class.lesson_of(answer)).map_or(String::new(), title_of);
        let limits: Vec<&str> = view.limits.iter().map(|limit| limit.text.as_str()).collect();
        let marks = view.marks.iter().filter(|mark| mark.chosen).map(|mark| mark.text.as_str());
        rows.push(vec![
            (place + 1).to_string(),
            view.name.clone(),
            lesson,
            view.about.clone(),
            limits.join("; "),
            view.can.join("; "),
            marks.collect::<Vec<_>>().join("; "),
            // The link tells the name.
            if class.hides_names() { String::new() } else { kept.record.link.clone() },
        ]);
    }
    rows
}

fn answer(desk: &Desk, kept: &Kept, place: usize, names: bool) -> Option<AnswerView> {
    let answer = kept.answer()?;
    let lesson = desk.class().lesson_of(answer);
    let tune = tune_of(desk, lesson.map_or(&answer.tune, |lesson| &lesson.tune)).in_key(answer.tune.key);
    let changes = tune.changes();
    let tier = lesson.and_then(|lesson| lesson.tiers.get(usize::from(answer.tier)).or(lesson.tiers.first()));
    let limits: Vec<LimitView> = tier.map_or_else(Vec::new, |tier| {
        held(tier, &answer.riff, &changes).iter().map(|held| limit(&tune, held)).collect()
    });
    // Which group it is: a fact, and no tick.
    let group = lesson.filter(|lesson| lesson.tiers.len() > 1).map_or(String::new(), |lesson| {
        format!("{}. ", tier_title(usize::from(answer.tier).min(lesson.tiers.len() - 1)))
    });
    let ticked = lesson.map_or_else(Vec::new, |lesson| {
        let is_on = |(place, _): &(usize, &String)| answer.can >> place & 1 == 1;
        lesson.can.iter().enumerate().filter(is_on).map(|(_, text)| text.clone()).collect()
    });
    let mark = |(place, text): (usize, &&str)| {
        ChoiceView::of(&place.to_string(), text, kept.record.marks >> place & 1 == 1)
    };
    let summary = notebook::summary(&answer.riff);
    Some(AnswerView {
        id: write_id(crate::riff::RiffId(kept.id)),
        name: if names { answer.who.clone() } else { format!("Riff {}", place + 1) },
        about: if answer.riff.name.is_empty() {
            format!("{group}{}", super::capital(&summary))
        } else {
            format!("{group}{}: {summary}", answer.riff.name)
        },
        notes: notes(desk, &changes, &answer.riff),
        beats: answer.riff.beats(),
        limits,
        can: ticked,
        marks: MARK_NAMES.iter().enumerate().map(mark).collect(),
    })
}

/// What became of the camera, and what to do. The names are those of the Media Capture and Streams specification (W3C).
fn camera(state: &str) -> &'static str {
    match state {
        "on" => "The camera is on. Hold a code in front of it.",
        "off" => "The camera is off.",
        "NotAllowedError" | "SecurityError" => {
            "The camera was not allowed. Allow it beside the address of the page, then press the button again. \
             Or open a picture of the code."
        }
        "NotFoundError" | "OverconstrainedError" => {
            "No camera was found on this device. Plug one in, or open a picture of the code."
        }
        "NotReadableError" | "AbortError" => {
            "The camera is there, but gives no picture. Close other programs that use it, then try again."
        }
        "late" => "This part of the page did not come. Look at your connection, then try again.",
        _ => "This browser lends no camera here. Open a picture of the code, or paste the link.",
    }
}

/// What was pasted and does not read, one a line.
fn unread(told: &Told) -> String {
    let Told::Came { unread, .. } = told else { return String::new() };
    unread.iter().map(|each| each.text.as_str()).collect::<Vec<_>>().join("\n")
}

/// Whether the sentence tells of something that the next step back takes back.
fn can_undo(desk: &Desk) -> bool {
    let class = desk.class();
    class.last_done().is_some()
        && match class.told() {
            Told::Came { answers, lessons, .. } => answers + lessons > 0,
            told => matches!(told, Told::Did | Told::Undone(_)),
        }
}

/// What was done, as a sentence that also stands behind "Taken back:".
fn did(desk: &Desk, did: &Did) -> String {
    let names = !desk.class().hides_names();
    let of = |link: &Link| match link {
        Link::Lesson(lesson) => format!("the lesson “{}”", title_of(lesson)),
        Link::Answer(answer) if names => format!("the answer of {}", answer.who),
        _ => "an answer".to_owned(),
    };
    match did {
        Did::Came { answers, lessons, .. } => came(*answers, *lessons).join(" "),
        Did::Deleted(kept) => format!("{} was deleted.", of(&kept.link)),
        Did::Marked { answer, mark, on } => {
            let mark = MARK_NAMES.get(usize::from(*mark)).copied().unwrap_or_default();
            format!("“{mark}” {} {}.", if *on { "for" } else { "was taken off" }, of(&answer.link))
        }
    }
}

fn came(answers: usize, lessons: usize) -> Vec<String> {
    let each = [(answers, "answer", "answers"), (lessons, "lesson", "lessons")];
    let each = each.into_iter().filter(|(number, ..)| *number > 0);
    each.map(|(number, one, several)| format!("{} came in.", count(number, one, several))).collect()
}

/// How many of the lines that do not read are told.
const MOST_TOLD: usize = 3;

/// Lines that do not read, by their numbers and beginnings.
fn unread_lines(unread: &[Unread]) -> Vec<String> {
    let mut told: Vec<String> = unread
        .iter()
        .take(MOST_TOLD)
        .map(|each| {
            let start: String = each.text.chars().take(12).collect();
            let cut = if start.len() < each.text.len() { "…" } else { "" };
            let line = format!("Line {} (“{start}{cut}”)", each.line);
            match &each.why {
                None => format!("{line} holds no link."),
                Some(why) => format!("{line} does not read. {}", message::sentence(&why.to_string())),
            }
        })
        .collect();
    match unread.len().saturating_sub(MOST_TOLD) {
        0 => {}
        1 => told.push("Another line does not read.".to_owned()),
        more => told.push(format!("{more} more lines do not read.")),
    }
    told
}

/// What came of the last press, in words.
fn told(desk: &Desk) -> String {
    match desk.class().told() {
        Told::Nothing => String::new(),
        Told::Made => "The lesson is ready. Give out its link or its code.".to_owned(),
        Told::TooLong => "This is too long for a link: use fewer words or fewer riffs.".to_owned(),
        Told::NoModel => "Tick a riff to be heard and copied. If there is none, write one first.".to_owned(),
        Told::TooManyModels => format!("A lesson has at most {} riffs: take one away.", Lesson::MOST_MODELS),
        Told::NoStep => "Tick at least one step.".to_owned(),
        Told::Did => {
            desk.class().last_done().map_or_else(String::new, |last| super::capital(&did(desk, last)))
        }
        Told::Undone(back) => {
            let before = desk.class().last_done();
            let before = before.map_or_else(String::new, |last| format!(" Before that: {}", did(desk, last)));
            format!("Taken back: {}{before}", did(desk, back))
        }
        Told::OfExample => "This is only the example: nothing of it is kept.".to_owned(),
        Told::HandedIn => {
            "Your answer is ready. Give the link to your teacher, or show the picture.".to_owned()
        }
        Told::Outside => {
            "Not yet: look at what is asked. Change your riff a little, then hand it in.".to_owned()
        }
        Told::NoNotes => "There is no note in your riff yet.".to_owned(),
        Told::Unchanged => "Still as it came: change one thing first.".to_owned(),
        Told::PassedOn => "It is on the board, and ready for the next seat.".to_owned(),
        Told::Full => "There is no more room: delete old answers first.".to_owned(),
        Told::NoName => "Write your seat number or a made-up name first.".to_owned(),
        Told::Several => "All of these riffs are in the link below.".to_owned(),
        Told::SeveralCount => {
            format!("Tick one to {} riffs.", link::Several::MOST_RIFFS)
        }
        Told::NoCode => "No QR code was found in that picture. Take it closer, and in good light.".to_owned(),
        Told::Camera(state) => camera(state).to_owned(),
        Told::NotThere => "There is nothing to do here any more.".to_owned(),
        Told::Came { answers, lessons, same, left_out, unread, others } => {
            let mut parts = came(*answers, *lessons);
            if *same > 0 {
                parts.push(format!("{same} {} here already.", if *same == 1 { "was" } else { "were" }));
            }
            if *left_out > 0 {
                parts.push(format!("{left_out} found no room: delete old answers first."));
            }
            if *others > 0 {
                parts.push(format!(
                    "{} a riff or a chorus, and no answer.",
                    if *others == 1 { "One link holds".to_owned() } else { format!("{others} links hold") }
                ));
            }
            if parts.is_empty() && unread.iter().all(|each| each.why.is_none()) {
                return "There is no link in this.".to_owned();
            }
            parts.extend(unread_lines(unread));
            parts.join(" ")
        }
    }
}
