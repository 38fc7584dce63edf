//! `riffloom suggest`: the best choruses that some riffs make, and why.

use riffloom::chorus::check::Range;
use riffloom::chorus::course::Course;
use riffloom::chorus::rules::{Adventure, Room};
use riffloom::chorus::score::Taste;
use riffloom::chorus::suggest::{Looked, Request, Suggestion, suggest};
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Ornament, Riff};
use riffloom::theory::instrument::{Instrument, Reading};
use riffloom::theory::pitch::Pitch;
use riffloom::units::MidiNote;
use riffloom::view::words::chorus::reasons;
use serde::Serialize;

use crate::options::{Failure, Options, read_abc};
use crate::output::json;
use crate::placing::{self, PlacementJson};

pub const COMMAND: crate::Command = crate::Command {
    name: "suggest",
    usage: "suggest --key K --form F [--chords sevenths|triads] [--metre 4/4] [--choruses N] [--adventure plain|some|bold|riff-blues] [--room little|some|much] [--instrument I] [--fixed JSON] FILE.abc…",
    about: "Prints up to ten choruses that really differ, best first: each has at least one placement for each line of\n\
            four bars that none before it has. riff counts the files from 0; bar counts from 1 through all choruses;\n\
            quarter and length are quarters; a pickup stands in the bar in which it sounds, one into bar 1 in that bar\n\
            with a quarter below 0. change is null, {\"how\":\"transpose\",\"steps\",\"semitones\"}, a variation\n\
            {\"how\",\"seed\"} as in vary, or a list of these in the order made. The last chorus ends\n\
            on the home chord. All stays between the lowest and the highest note of the riffs, or in the range of the\n\
            instrument (sounding). --fixed takes placements as they are printed; they stay, and the rest is made anew.\n\
            exact is true where everything was looked at, so that there are no better ones, and false where there was\n\
            too much for that and only what promises most was looked at.",
    values: &["key", "form", "chords", "metre", "choruses", "adventure", "room", "instrument", "fixed"],
    flags: &[],
    run,
};

#[derive(Serialize)]
struct Answer {
    placements: Vec<PlacementJson>,
    score: i32,
    exact: bool,
    reasons: Vec<String>,
}

fn run(options: &Options) -> Result<String, Failure> {
    if options.words.is_empty() {
        return Err(Failure::new("expected one ABC file or more"));
    }
    let course = course(options, Metre::FOUR_FOUR)?;
    let riffs = options.words.iter().map(|path| Ok(read_abc(path)?.riff));
    let riffs = riffs.collect::<Result<Vec<Riff>, Failure>>()?;
    let fixed = placing::given(options, "fixed", &course)?;
    let taste = Taste {
        adventure: named(options, "adventure", Adventure::named, &Adventure::ALL.map(|(_, name)| name))?,
        room: named(options, "room", Room::named, &Room::ALL.map(|(_, name)| name))?,
    };
    let range = range(options, &riffs)?;
    let request = Request { riffs: &riffs, course: &course, range, taste, fixed: &fixed };
    let found = suggest(&request, Request::SHOWN)?;
    let is_exact = found.looked == Looked::AtAll;
    let answers = found.suggestions.iter().map(|suggestion| answer(&request, suggestion, is_exact));
    json(&answers.collect::<Vec<_>>())
}

/// The form, as often as --choruses says, in `metre` where --metre says nothing.
pub(super) fn course(options: &Options, metre: Metre) -> Result<Course, Failure> {
    let form = options.form_in(metre)?;
    let choruses: usize = options.parsed("choruses")?.unwrap_or(1);
    if !(1..=Course::MOST_CHORUSES).contains(&choruses) {
        let most = Course::MOST_CHORUSES;
        return Err(Failure::new(format!("--choruses: expected 1 to {most}, found {choruses}")));
    }
    Ok(Course::new(form.changes, choruses))
}

fn named<T: Default>(
    options: &Options,
    option: &str,
    read: fn(&str) -> Option<T>,
    names: &[&str],
) -> Result<T, Failure> {
    let Some(text) = options.value(option) else { return Ok(T::default()) };
    read(text).ok_or_else(|| {
        Failure::new(format!("--{option}: expected one of {}, found “{text}”", names.join(", ")))
    })
}

/// The instrument's sounding range, or from the lowest to the highest note of the riffs.
fn range(options: &Options, riffs: &[Riff]) -> Result<Range, Failure> {
    let (lowest, highest) = match options.value("instrument") {
        Some(name) => Instrument::named(name)
            .ok_or_else(|| Failure::new(format!("--instrument: “{name}” is not an instrument")))?
            .sounding_range(),
        None => match (sounds(riffs).min_by_key(midi), sounds(riffs).max_by_key(midi)) {
            (Some(lowest), Some(highest)) => (lowest, highest),
            _ => return Err(Failure::new("expected a riff with notes")),
        },
    };
    let bound = |pitch: Pitch| pitch.midi().unwrap_or(MidiNote::MIDDLE_C);
    Ok(Range { lowest: bound(lowest), highest: bound(highest) })
}

fn midi(pitch: &Pitch) -> i32 {
    pitch.semitones()
}

/// Every pitch that sounds, crushed notes too.
fn sounds(riffs: &[Riff]) -> impl Iterator<Item = Pitch> {
    let crushed = |ornament| match ornament {
        Some(Ornament::Crushed(pitch)) => Some(pitch),
        Some(Ornament::Scoop) | None => None,
    };
    let notes = riffs.iter().flat_map(|riff| riff.notes());
    notes.flat_map(move |note| [Some(note.pitch), crushed(note.ornament)]).flatten()
}

fn answer(request: &Request, suggestion: &Suggestion, exact: bool) -> Answer {
    let reading = Reading::concert(request.course.form().key());
    Answer {
        placements: suggestion
            .placed
            .iter()
            .map(|placed| placing::printed(request.course, &placed.placement, placed.riff.length()))
            .collect(),
        score: suggestion.score,
        exact,
        reasons: reasons(request.course, request.riffs, &suggestion.placed, reading),
    }
}
