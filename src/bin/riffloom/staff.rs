//! `riffloom staff`: a riff as it is written on a staff.

use serde::Serialize;

use riffloom::form::standard::{self, ChordStyle, FormKind};
use riffloom::notation::{self, Measure, Passage};
use riffloom::theory::instrument::{Clef, Reading};

use crate::options::{Failure, Options, read_abc};
use crate::output::{Number, json};

pub const COMMAND: crate::Command = crate::Command {
    name: "staff",
    usage: "staff FILE.abc",
    about: "Prints the bars of the riff, each with its symbols in order: where one begins in its bar (in quarters; a\n\
            pickup counts from where a whole bar would begin), how long it lasts, its value (4 is a quarter note) and\n\
            whether it is dotted, the pitch of a note, whether it is tied to the next, the number of its tuplet, and\n\
            the beamed runs.",
    values: &[],
    flags: &[],
    run,
};

#[derive(Serialize)]
struct Bar {
    symbols: Vec<Symbol>,
    beams: Vec<(usize, usize)>,
}

#[derive(Serialize)]
struct Symbol {
    at: Number,
    quarters: Number,
    value: u8,
    dotted: bool,
    pitch: Option<String>,
    tied: bool,
    tuplet: Option<(u8, u8)>,
}

fn run(options: &Options) -> Result<String, Failure> {
    let [path] = options.words.as_slice() else {
        return Err(Failure::new(format!("expected one ABC file, found {}", options.words.len())));
    };
    let tune = read_abc(path)?;
    let changes = standard::changes(FormKind::Twelve, tune.key, ChordStyle::Sevenths, tune.metre);
    let passage = Passage::of_riff(&changes, &tune.riff, 0);
    let written = notation::write(&passage, Reading::concert(tune.key), Clef::Treble);
    json(&written.measures.iter().map(bar).collect::<Vec<_>>())
}

fn bar(measure: &Measure) -> Bar {
    let symbols = measure.symbols.iter().map(|symbol| Symbol {
        at: Number(symbol.at.in_quarters()),
        quarters: Number(symbol.length.in_quarters()),
        value: symbol.value.part,
        dotted: symbol.value.dotted,
        pitch: symbol.note.as_ref().map(|head| head.pitch.to_string()),
        tied: symbol.note.as_ref().is_some_and(|head| head.tied_to),
        tuplet: symbol.ratio.map(|ratio| (ratio.actual, ratio.normal)),
    });
    Bar { symbols: symbols.collect(), beams: measure.beams.iter().map(|run| (run.start, run.end)).collect() }
}
