//! `riffloom find`: riffs in a free chorus, and what else in it is worth keeping.

use riffloom::chorus::course::Course;
use riffloom::files::abc;
use riffloom::found::find::{Find, Moved, riffs_in};
use riffloom::found::free::{Free, Struck};
use riffloom::found::ideas::{Idea, ideas};
use riffloom::practice::TimedNote;
use riffloom::rhythm::metre::Metre;
use riffloom::rhythm::tempo::TempoMap;
use riffloom::riff::Riff;
use riffloom::riff::variation::How;
use riffloom::theory::instrument::Reading;
use riffloom::theory::scale::ScaleKind;
use riffloom::units::{AudioTime, QuartersPerMinute, ScoreTime, Seconds, Ticks};
use riffloom::view::words::found;
use serde::Serialize;

use crate::options::{Failure, Options, read_abc};
use crate::output::{Number, json};

pub const COMMAND: crate::Command = crate::Command {
    name: "find",
    usage: "find --key K --form F --tempo B --played P.json [--chords sevenths|triads] [--metre 4/4] [--choruses N] [--feel 2:1] [--scale S] [FILE.abc…]",
    about: "P is [{\"onset\":seconds,\"midi\":0 to 127}] in any order, 0 s being the first bar line. Prints the riffs (files,\n\
            from 0) that are in it, in the order of time: where their beats begin, how far from their own place in the\n\
            bar (quarters), how they are moved (half_steps or scale_steps), the variation they are, notes changed, left\n\
            out and added, and the notes that stand for them; and the ideas worth keeping, the best first, as ABC.",
    values: &["key", "form", "chords", "metre", "tempo", "played", "choruses", "feel", "scale"],
    flags: &[],
    run,
};

#[derive(Serialize)]
struct Answer {
    found: Vec<FoundJson>,
    ideas: Vec<IdeaJson>,
}

#[derive(Serialize)]
struct FoundJson {
    riff: usize,
    bar: usize,
    quarter: Number,
    displaced: Number,
    half_steps: i32,
    scale_steps: i32,
    variation: Option<&'static str>,
    changed: usize,
    left_out: usize,
    added: usize,
    notes: Vec<usize>,
    words: String,
}

#[derive(Serialize)]
struct IdeaJson {
    bar: usize,
    quarter: Number,
    abc: String,
    words: String,
}

/// How many ideas are offered.
const MOST_IDEAS: usize = 10;

fn run(options: &Options) -> Result<String, Failure> {
    let course = super::suggest::course(options, Metre::FOUR_FOUR)?;
    let tempo = options.tempo()?;
    let (played, places) = in_time(crate::score::notes(options.required("played")?)?);
    let riffs = options.words.iter().map(|path| Ok(read_abc(path)?.riff));
    let riffs = riffs.collect::<Result<Vec<Riff>, Failure>>()?;
    let scale = match options.value("scale") {
        None => Vec::new(),
        Some(name) => ScaleKind::named(name)
            .ok_or_else(|| Failure::new(format!("--scale: “{name}” is not a scale")))?
            .notes(course.form().key().tonic()),
    };
    let map = TempoMap::new(ScoreTime::ZERO, AudioTime(0.0), tempo);
    let free = Free::heard(&course, &struck(&played, tempo), &map, options.feel()?);
    // Notes of one chord count once, so the places are those of the nearest onsets.
    let place = |index: usize| {
        let note = free.sounded[index];
        let same = played.iter().zip(&places).filter(|(one, _)| one.midi == note.midi);
        let at = map.time_of((note.at + free.late).in_quarters());
        let off = |one: &TimedNote| (one.onset - at).0.abs();
        same.min_by(|one, other| off(one.0).total_cmp(&off(other.0))).map_or(0, |(_, place)| *place)
    };
    let finds = riffs_in(&free, &course, &riffs, &scale);
    let ideas = ideas(&free, &course, &finds, MOST_IDEAS);
    json(&Answer {
        found: finds.iter().map(|find| found_json(&course, &riffs, find, place)).collect(),
        ideas: ideas.iter().map(|idea| idea_json(&course, idea)).collect(),
    })
}

/// The notes by onset, and where each stood.
fn in_time(notes: Vec<TimedNote>) -> (Vec<TimedNote>, Vec<usize>) {
    let mut order: Vec<usize> = (0..notes.len()).collect();
    order.sort_by(|one, other| notes[*one].onset.0.total_cmp(&notes[*other].onset.0));
    (order.iter().map(|index| notes[*index]).collect(), order)
}

/// Each note is held until the next, half a quarter at most.
fn struck(played: &[TimedNote], tempo: QuartersPerMinute) -> Vec<Struck> {
    let most = tempo.duration(Ticks::QUARTER / 2);
    let ends = played.iter().skip(1).map(|next| Some(next.onset)).chain([None]);
    let one = |(note, end): (&TimedNote, Option<AudioTime>)| {
        let until_next = end.map_or(most, |end| end - note.onset);
        let length = Seconds(until_next.0.min(most.0).max(0.01));
        Struck { onset: note.onset, length, midi: note.midi }
    };
    played.iter().zip(ends).map(one).collect()
}

fn place(course: &Course, at: Ticks) -> (usize, Number) {
    let (bar, into) = course.bar_at(at);
    (bar + 1, Number(into.in_quarters()))
}

fn found_json(course: &Course, riffs: &[Riff], find: &Find, index: impl Fn(usize) -> usize) -> FoundJson {
    let (bar, quarter) = place(course, find.at);
    let (half_steps, scale_steps) = match find.moved {
        Moved::No => (0, 0),
        Moved::HalfSteps(by) => (by, 0),
        Moved::ScaleSteps(by) => (0, by),
    };
    FoundJson {
        riff: find.riff,
        bar,
        quarter,
        displaced: Number(find.displaced.in_quarters()),
        half_steps,
        scale_steps,
        variation: find.varied.map(How::name),
        changed: find.changed,
        left_out: find.left_out,
        added: find.added,
        notes: find.notes.iter().map(|note| index(*note)).collect(),
        words: found::find(course, riffs, find),
    }
}

fn idea_json(course: &Course, idea: &Idea) -> IdeaJson {
    let (bar, quarter) = place(course, idea.at);
    let key = course.form().key();
    let tune = abc::Tune { riff: idea.riff.clone(), key, metre: course.form().bars()[0].metre };
    IdeaJson {
        bar,
        quarter,
        abc: abc::write(&tune, &[]),
        words: found::idea(course, idea, Reading::concert(key)),
    }
}
