//! `riffloom scale`: the notes of a scale.

use riffloom::theory::scale::ScaleKind;
use serde::Serialize;

use crate::options::{Failure, Options};
use crate::output::{json, texts};

pub const COMMAND: crate::Command = crate::Command {
    name: "scale",
    usage: "scale --key K --scale S",
    about: "Prints the notes of a scale on the home note of a key, upwards. Scales: major-pentatonic,\n\
            minor-pentatonic, minor-blues, major-blues, mixolydian, dorian, major, natural-minor, harmonic-minor,\n\
            chromatic.",
    values: &["key", "scale"],
    flags: &[],
    run,
};

#[derive(Serialize)]
struct Answer {
    key: String,
    scale: &'static str,
    notes: Vec<String>,
}

fn run(options: &Options) -> Result<String, Failure> {
    let key = options.key()?;
    let name = options.required("scale")?;
    let scale = ScaleKind::named(name).ok_or_else(|| unknown(name))?;
    json(&Answer { key: key.to_string(), scale: scale.name(), notes: texts(scale.notes(key.tonic())) })
}

fn unknown(found: &str) -> Failure {
    let names: Vec<&str> = ScaleKind::all().map(ScaleKind::name).collect();
    Failure::new(format!("--scale: “{found}” is not a scale: expected {}", names.join(", ")))
}
