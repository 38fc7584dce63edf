//! `riffloom export`: a riff, or a chorus of riffs with the band, as a file for another program.

use riffloom::files::midi;
use riffloom::perform::Score;
use riffloom::perform::song::{self, About, Times};
use riffloom::theory::key::Key;
use serde::Serialize;

use crate::options::{Failure, Options, read_abc};
use crate::output::{Number, json};
use crate::render;

pub const COMMAND: crate::Command = crate::Command {
    name: "export",
    usage: "export FILE.abc… --key K --form F --tempo B [--feel 2:1] [--straight] [--alone] [--choruses N] \
            [--placements JSON] [--times N] [--parts click,drums,bass,comp,solo] [--band drums=brushes] [--seed N] \
            --out FILE.mid",
    about: "Writes a Standard MIDI File with what render would play, a track a part. --straight has even beats, as they\n\
            are written. --alone is the riff once, without the band. Prints the parts and how many notes each has.",
    values: &[
        "key",
        "form",
        "chords",
        "metre",
        "tempo",
        "feel",
        "choruses",
        "placements",
        "times",
        "parts",
        "band",
        "seed",
        "out",
    ],
    flags: &["straight", "alone"],
    run,
};

#[derive(Serialize)]
struct Answer {
    quarters: Number,
    parts: Vec<Part>,
}

#[derive(Serialize)]
struct Part {
    name: String,
    channel: u8,
    notes: usize,
}

fn run(options: &Options) -> Result<String, Failure> {
    let out = options.required("out")?;
    if !out.ends_with(".mid") {
        return Err(Failure::new(format!("--out: expected a name that ends in .mid, found “{out}”")));
    }
    let (key, tempo) = (options.key()?, options.tempo()?);
    let (score, name) = score(options)?;
    let about = about(&name, key, tempo);
    let times = if options.has("straight") { Times::Written } else { Times::Played };
    let song =
        song::song(&score, &about, times).ok_or_else(|| Failure::new("expected a number of choruses"))?;
    std::fs::write(out, midi::write(&song)).map_err(|error| Failure::new(format!("{out}: {error}")))?;
    let part =
        |part: &midi::Part| Part { name: part.name.clone(), channel: part.channel, notes: part.notes.len() };
    json(&Answer { quarters: Number(song.end.in_quarters()), parts: song.parts.iter().map(part).collect() })
}

fn score(options: &Options) -> Result<(Score, String), Failure> {
    let name = options.words.first().map(|path| read_abc(path)).transpose()?.map(|tune| tune.riff.name);
    let name = name.unwrap_or_default();
    if !options.has("alone") {
        return Ok((render::score_of(options)?, name));
    }
    let [path] = options.words.as_slice() else { return Err(Failure::new("expected one ABC file")) };
    let tune = read_abc(path)?;
    let changes = options.form_in(tune.metre)?.changes;
    Ok((Score::alone(changes.into(), tune.riff.into(), options.feel()?, 0), name))
}

fn about(name: &str, key: Key, tempo: riffloom::units::QuartersPerMinute) -> About<'_> {
    // Electric piano and jazz guitar, as the page has at first.
    About { name, solo: if name.is_empty() { "Riff" } else { name }, programs: (4, 26), key, tempo }
}
