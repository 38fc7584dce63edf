//! `riffloom lesson`: lessons, answers and links of several riffs, and a class's answers as a table.

use riffloom::desk::Desk;
use riffloom::desk::class::ClassCommand;
use riffloom::files::link::{self, Answer, Lesson, LessonStep, Limits, Link, Several};
use riffloom::notebook::tune::Material;
use riffloom::riff::{Riff, RiffId, write_id};
use riffloom::view::class::view;
use serde::Serialize;

use crate::options::{Failure, Options, read_abc};
use crate::output::json;

pub const COMMAND: crate::Command = crate::Command {
    name: "lesson",
    usage: "lesson make FILE.abc… --key K --form F --tempo B [--title T] [--steps S] [--beats N] [--space N] [--notes N] [--locked]\n\
            \x20         [--words W] [--can C] [--goal B [--from B]] | lesson answer FILE.abc --key K --form F --tempo B --who NAME -- LESSON\n\
            \x20         | lesson several FILE.abc… --key K --form F --tempo B | lesson board FILE… | lesson family FILE…",
    about: "make prints the link of a lesson with one to three model riffs; steps are names with commas between\n\
            (hear,clap,copy,change,own,form), notes a name such as three, five or minor-blues; beats, space\n\
            and notes may have up to three values with commas between, for as many groups; can is up to five\n\
            statements with semicolons between. answer prints what a learner hands back for a lesson's link. several\n\
            prints one link for up to 24 riffs. Each gives the text behind the # and how many characters it has.\n\
            board reads files with links, lessons and answers among any words, and prints the answers as a table\n\
            (comma-separated values, RFC 4180). family reads the same and prints which answers came from one another, each\n\
            after the one it came from, with what was changed.",
    values: &[
        "key", "form", "tempo", "chords", "feel", "title", "steps", "beats", "space", "notes", "words",
        "can", "who", "goal", "from",
    ],
    flags: &["locked"],
    run,
};

#[derive(Serialize)]
struct Made {
    text: String,
    characters: usize,
}

fn run(options: &Options) -> Result<String, Failure> {
    match options.words.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["make", files @ ..] if !files.is_empty() => make(options, files),
        ["answer", file, lesson] => answer(options, file, lesson),
        ["several", files @ ..] if !files.is_empty() => several(options, files),
        ["board", files @ ..] if !files.is_empty() => board(files),
        ["family", files @ ..] if !files.is_empty() => family(files),
        _ => Err(Failure::new("expected make, answer, several, board or family, and files")),
    }
}

/// The riffs of ABC files, numbered by their places.
fn riffs(files: &[&str]) -> Result<Vec<Riff>, Failure> {
    let read = |(path, place): (&&str, u64)| Ok(read_abc(path)?.riff.with_id(RiffId(place)));
    files.iter().zip(1..).map(read).collect()
}

fn made(text: Option<String>) -> Result<String, Failure> {
    let text =
        text.ok_or_else(|| Failure::new("this breaks the bounds of a link: fewer riffs or fewer words"))?;
    json(&Made { characters: text.len(), text })
}

fn make(options: &Options, files: &[&str]) -> Result<String, Failure> {
    let named = |name: &str| {
        let found = LessonStep::NAMES.iter().find(|(_, other)| *other == name);
        found.map(|(step, _)| *step).ok_or_else(|| {
            let names = LessonStep::NAMES.map(|(_, name)| name).join(", ");
            Failure::new(format!("--steps: expected {names}, found “{name}”"))
        })
    };
    let asked = match options.value("steps") {
        None => LessonStep::NAMES.iter().map(|(step, _)| *step).collect(),
        Some(names) => names.split(',').map(|name| named(name.trim())).collect::<Result<Vec<_>, _>>()?,
    };
    let steps = LessonStep::NAMES.iter().map(|(step, _)| *step).filter(|step| asked.contains(step)).collect();
    let tiers = tiers(options)?;
    let can = options.value("can").into_iter().flat_map(|can| can.split(';'));
    let text = |name: &str| options.value(name).unwrap_or_default().to_owned();
    made(link::encode_lesson(&Lesson {
        title: text("title"),
        tune: options.link_tune()?,
        models: riffs(files)?,
        steps,
        tiers,
        locked: options.has("locked"),
        words: text("words"),
        can: can.map(|each| each.trim().to_owned()).filter(|each| !each.is_empty()).collect(),
    }))
}

/// One to three groups of limits: each option has a value for each group, the last one for those that follow.
fn tiers(options: &Options) -> Result<Vec<Limits>, Failure> {
    let list = |name: &str| -> Vec<&str> {
        options.value(name).unwrap_or_default().split(',').map(str::trim).collect()
    };
    let lists = ["beats", "space", "notes"].map(list);
    let groups = lists.iter().map(Vec::len).max().unwrap_or(1);
    let value = |option: usize, group: usize| {
        lists[option].get(group).or(lists[option].last()).copied().unwrap_or("")
    };
    let number = |name: &str, text: &str| match text {
        "" => Ok(0),
        text => {
            text.parse().map_err(|_| Failure::new(format!("--{name}: expected a number, found “{text}”")))
        }
    };
    let notes = |text: &str| {
        let material = if text.is_empty() { Some(Material::All) } else { Material::named(text) };
        let material =
            material.ok_or_else(|| Failure::new(format!("--notes: no notes are called “{text}”")))?;
        Ok::<u8, Failure>(Material::all().position(|each| each == material).unwrap_or_default() as u8)
    };
    let group = |group| {
        Ok(Limits {
            beats: number("beats", value(0, group))?,
            space: number("space", value(1, group))?,
            notes: notes(value(2, group))?,
        })
    };
    (0..groups).map(group).collect()
}

fn answer(options: &Options, file: &str, lesson: &str) -> Result<String, Failure> {
    let Link::Lesson(lesson) = link::decode_any(lesson)? else {
        return Err(Failure::new("the link holds no lesson"));
    };
    let number = link::lesson_number(&lesson);
    let riff = read_abc(file)?.riff.with_id(RiffId(0));
    let who = options.required("who")?.to_owned();
    made(link::encode_answer(&Answer {
        lesson: number,
        who,
        tier: 0,
        can: 0,
        tune: options.link_tune()?,
        riff,
    }))
}

fn several(options: &Options, files: &[&str]) -> Result<String, Failure> {
    let tune = options.link_tune()?;
    let riffs = riffs(files)?.into_iter().map(|riff| (tune.key, riff)).collect();
    made(link::encode_several(&Several { tune, riffs }))
}

/// A class whose board holds what files have, among any words.
fn gathered(files: &[&str]) -> Result<Desk, Failure> {
    let read =
        |path: &&str| std::fs::read_to_string(path).map_err(|error| Failure::new(format!("{path}: {error}")));
    let text = files.iter().map(read).collect::<Result<Vec<_>, _>>()?.join("\n");
    let mut desk = Desk::new(RiffId(1));
    desk.do_in_class(ClassCommand::Paste { text, id: write_id(RiffId(2)), among_words: true });
    let view = view(&desk);
    if view.board.answers.is_empty() { Err(Failure::new(view.told)) } else { Ok(desk) }
}

fn board(files: &[&str]) -> Result<String, Failure> {
    Ok(view(&gathered(files)?).board.csv)
}

#[derive(Serialize)]
struct Relative {
    name: String,
    from: String,
    changed: Vec<String>,
}

fn family(files: &[&str]) -> Result<String, Failure> {
    let mut desk = gathered(files)?;
    // The first lesson has the model with which a family begins.
    if let Some(lesson) = view(&desk).lessons.first() {
        desk.do_in_class(ClassCommand::Choose { id: lesson.id.clone() });
    }
    let family = view(&desk).board.family.into_iter();
    json(
        &family
            .map(|each| Relative { name: each.name, from: each.from, changed: each.changed })
            .collect::<Vec<_>>(),
    )
}
