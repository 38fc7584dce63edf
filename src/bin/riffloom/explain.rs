//! `riffloom explain`: what each note of a riff is under each chord of a form, and the riff's shape.

use riffloom::form::Changes;
use riffloom::insight::reasons::{self, Kind};
use riffloom::insight::rhythm::{Measures, Pattern};
use riffloom::insight::roles::{self, NoteInsight, Role};
use riffloom::insight::shape::Shape;
use riffloom::theory::instrument::Reading;
use riffloom::theory::interval::Interval;
use riffloom::view::words::note::{About, sentence, to_try};
use riffloom::view::words::{over_form, shape};
use serde::Serialize;

use crate::options::{Failure, Options, read_abc};
use crate::output::{Number, json};

pub const COMMAND: crate::Command = crate::Command {
    name: "explain",
    usage: "explain --key K --form F [--chords sevenths|triads] [--metre 4/4] FILE.abc",
    about: "Prints what each note is to the chord at its onset, for the riff begun in each bar in turn. quarter counts\n\
            from that bar's line and is negative in a pickup; what passes the end of the form meets its first chords.\n\
            role is in-chord, blue, next-chord or other. degree counts from the chord's root as in a major scale, b\n\
            lowered and # raised, whether the chord has the note or not. next is the next different chord, given\n\
            where it has the note: its symbol, the bar lines before it, and the note's degree there. shape tells the\n\
            riff by itself: lengths in quarters, rhythm measures by their authors' names with their grid.",
    values: &["key", "form", "chords", "metre"],
    flags: &[],
    run,
};

#[derive(Serialize)]
struct Answer {
    key: String,
    form: String,
    bars: Vec<Bar>,
    shape: ShapeAnswer,
}

#[derive(Serialize)]
struct Bar {
    bar: usize,
    notes: Vec<NoteAnswer>,
}

#[derive(Serialize)]
struct NoteAnswer {
    quarter: Number,
    note: String,
    chord: String,
    role: &'static str,
    blue: bool,
    degree: String,
    next: Option<Next>,
    sentence: String,
    kind: &'static str,
    rubs: Option<String>,
}

#[derive(Serialize)]
struct Next {
    symbol: String,
    bars: usize,
    degree: String,
}

#[derive(Serialize)]
struct ShapeAnswer {
    beats: usize,
    notes: usize,
    pickup: usize,
    off_beat: Vec<usize>,
    loud: Vec<usize>,
    placed: Vec<usize>,
    sounding: Number,
    silence: Number,
    longest_rest: Option<Number>,
    lowest: Option<String>,
    highest: Option<String>,
    repeats: usize,
    steps: usize,
    leaps: usize,
    rhythm: Option<RhythmAnswer>,
    sentences: Vec<String>,
}

#[derive(Serialize)]
struct RhythmAnswer {
    pulses_per_beat: usize,
    longuet_higgins_lee: i32,
    weighted_note_to_beat_distance: Option<f64>,
    keith: Option<u32>,
    off_beatness: u32,
    metric_complexity: i32,
    npvi: Option<f64>,
}

fn run(options: &Options) -> Result<String, Failure> {
    let form = options.form()?;
    let [path] = options.words.as_slice() else {
        return Err(Failure::new(format!("expected one ABC file, found {}", options.words.len())));
    };
    let riff = read_abc(path)?.riff;
    let about = About { riff: &riff, reading: Reading::concert(form.changes.key()) };
    let bars = (0..form.changes.bars().len()).map(|bar| explained(about, &form.changes, bar)).collect();
    json(&Answer {
        key: form.changes.key().to_string(),
        bars,
        shape: shaped(about, &form.changes),
        form: form.name,
    })
}

fn explained(about: About, changes: &Changes, bar: usize) -> Bar {
    let insights = roles::over(changes, about.riff, bar);
    let kinds = reasons::kinds(changes, about.riff, &insights);
    let notes = insights.iter().zip(&kinds).map(|(insight, kind)| note(about, insight, kind)).collect();
    Bar { bar: bar + 1, notes }
}

fn note(about: About, insight: &NoteInsight, kind: &Kind) -> NoteAnswer {
    let note = &about.riff.notes()[insight.note];
    let degree = insight.chord_degree.unwrap_or_else(|| insight.chord.root.interval_to(note.pitch.name));
    let said = [Some(sentence(about, insight, kind)), to_try(about, insight)];
    let said = said.into_iter().flatten().map(|sentence| sentence.head + &sentence.text);
    NoteAnswer {
        quarter: Number((about.riff.start + note.onset).in_quarters()),
        note: note.pitch.to_string(),
        chord: insight.chord.to_string(),
        role: match insight.role {
            Role::InChord => "in-chord",
            Role::Blue => "blue",
            Role::NextChord => "next-chord",
            Role::Other => "other",
        },
        blue: insight.blue.is_some(),
        degree: degree_number(degree),
        next: insight.ahead.as_ref().map(|ahead| Next {
            symbol: ahead.chord.to_string(),
            bars: ahead.bars,
            degree: degree_number(ahead.degree),
        }),
        sentence: said.collect::<Vec<_>>().join(" "),
        kind: kind.name(),
        rubs: insight.rubs.map(|rub| rub.against.to_string()),
    }
}

/// An interval above a root counted as in a major scale: `1`, `b3`, `#11`.
fn degree_number(interval: Interval) -> String {
    let steps = interval.steps;
    let major = [0, 2, 4, 5, 7, 9, 11][steps.rem_euclid(7) as usize] + 12 * steps.div_euclid(7);
    let by = interval.semitones - major;
    let sign = if by < 0 { "b" } else { "#" };
    // The octave above the root is the root again; ninths and beyond keep their number.
    let number = if steps == 7 { 1 } else { steps + 1 };
    format!("{}{number}", sign.repeat(by.unsigned_abs() as usize))
}

fn shaped(about: About, changes: &Changes) -> ShapeAnswer {
    let metre = changes.bars()[0].metre;
    let shape = Shape::of(about.riff, metre);
    let mut sentences = shape::sentences(about.riff, &shape, about.reading);
    let over = over_form::sentences(about, changes);
    sentences.extend(over.into_iter().map(|sentence| sentence.head + &sentence.text));
    ShapeAnswer {
        beats: shape.beats,
        notes: shape.notes,
        pickup: shape.pickup,
        off_beat: shape.off_beat,
        loud: shape.loud,
        placed: shape.placed,
        sounding: Number(shape.sounding.in_quarters()),
        silence: Number(shape.silence.in_quarters()),
        longest_rest: shape.longest_rest.map(|rest| Number(rest.length.in_quarters())),
        lowest: shape.compass.map(|compass| compass.lowest.to_string()),
        highest: shape.compass.map(|compass| compass.highest.to_string()),
        repeats: shape.motion.repeats,
        steps: shape.motion.steps,
        leaps: shape.motion.leaps,
        rhythm: Pattern::of_riff(about.riff, metre).map(|pattern| measured(&pattern)),
        sentences,
    }
}

fn measured(pattern: &Pattern) -> RhythmAnswer {
    let measures = Measures::of(pattern);
    RhythmAnswer {
        pulses_per_beat: measures.pulses_per_beat,
        longuet_higgins_lee: measures.lhl,
        weighted_note_to_beat_distance: measures.wnbd,
        keith: measures.keith,
        off_beatness: measures.off_beatness,
        metric_complexity: measures.metric_complexity,
        npvi: measures.npvi,
    }
}
