//! `riffloom instruments`: what each player reads in a key.

use riffloom::theory::instrument::Instrument;
use riffloom::theory::key::Key;
use serde::Serialize;

use crate::options::{Failure, Options};
use crate::output::{json, texts};

pub const COMMAND: crate::Command = crate::Command {
    name: "instruments",
    usage: "instruments --key K",
    about: "Prints for each instrument what its player reads when the tune sounds in a key: the clef, the written\n\
            key, the half steps from the sounding pitch up to the written one, and the range as written and as it\n\
            sounds; open strings as they sound.",
    values: &["key"],
    flags: &[],
    run,
};

#[derive(Serialize)]
struct Row {
    name: &'static str,
    clef: &'static str,
    pitched_in: String,
    key: String,
    semitones: i32,
    written: Vec<String>,
    sounding: Vec<String>,
    strings: Vec<String>,
}

fn run(options: &Options) -> Result<String, Failure> {
    let key = options.key()?;
    json(&Instrument::all().map(|instrument| row(instrument, key)).collect::<Vec<_>>())
}

fn row(instrument: &Instrument, key: Key) -> Row {
    let ends = |(low, high)| texts([low, high]);
    Row {
        name: instrument.name(),
        clef: instrument.clef().name(),
        pitched_in: instrument.pitched_in().to_string(),
        key: instrument.reading(key).key().to_string(),
        semitones: instrument.written_above().semitones,
        written: ends(instrument.written_range()),
        sounding: ends(instrument.sounding_range()),
        strings: texts(instrument.strings()),
    }
}
