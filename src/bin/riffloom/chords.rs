//! `riffloom chords`: the chords of a form in a key.

use riffloom::form::{ChordAt, numeral};
use riffloom::theory::key::Key;
use serde::Serialize;

use crate::options::{Failure, Options};
use crate::output::{Number, json, texts};

pub const COMMAND: crate::Command = crate::Command {
    name: "chords",
    usage: "chords --key K --form F [--chords sevenths|triads] [--metre 4/4]",
    about: "Prints the bars of a form with each chord's symbol, its function in the key, its notes and where in\n\
            the bar it begins, in quarters. A form is a name such as 12-bar, or a chart such as 'G7 | C7 | % | D7',\n\
            also in numerals ('I7 | IV7 | ii7 V7'), with N.C. for no chord, / for one more beat of a chord, and repeats:\n\
            '|: G7 | C7 |1. G7 | D7 :|2. G7 | G7 |'.",
    values: &["key", "form", "chords", "metre"],
    flags: &[],
    run,
};

#[derive(Serialize)]
struct Answer {
    key: String,
    form: String,
    bars: Vec<Bar>,
}

#[derive(Serialize)]
struct Bar {
    bar: usize,
    chords: Vec<Chord>,
}

#[derive(Serialize)]
struct Chord {
    symbol: String,
    function: String,
    notes: Vec<String>,
    quarter: Number,
}

fn run(options: &Options) -> Result<String, Failure> {
    let form = options.form()?;
    let key = form.changes.key();
    let bars = form.changes.bars().iter().enumerate().map(|(index, bar)| Bar {
        bar: index + 1,
        chords: bar.chords.iter().map(|place| chord(place, key)).collect(),
    });
    json(&Answer { key: key.to_string(), form: form.name, bars: bars.collect() })
}

fn chord(place: &ChordAt, key: Key) -> Chord {
    Chord {
        symbol: place.chord.to_string(),
        function: numeral::function(&place.chord, key),
        notes: texts(place.chord.notes()),
        quarter: Number(place.at.in_quarters()),
    }
}
