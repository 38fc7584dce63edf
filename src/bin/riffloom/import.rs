//! `riffloom import`: a riff of a file that another program wrote, as ABC.

use riffloom::desk::midi::melodies;
use riffloom::files::{abc, midi};
use serde::Serialize;

use crate::options::{Failure, Options};
use crate::output::{Number, json};

pub const COMMAND: crate::Command = crate::Command {
    name: "import",
    usage: "import FILE.mid [--part N]",
    about: "Prints the melodies of a Standard MIDI File, and of part N (counted from 0; 0 where nothing is said) a riff as\n\
            ABC, with what of it could not be kept: how many notes lay under a higher one, came after the riff's end,\n\
            were cut where the next begins or moved to the grid; the swing that was written even, as a ratio or null.",
    values: &["part"],
    flags: &[],
    run,
};

#[derive(Serialize)]
struct Answer {
    name: String,
    key: String,
    metre: String,
    tempo: Number,
    parts: Vec<Part>,
    abc: String,
    lost: Lost,
}

#[derive(Serialize)]
struct Part {
    name: String,
    channel: u8,
    notes: usize,
}

#[derive(Serialize)]
struct Lost {
    under: usize,
    beyond: usize,
    cut: usize,
    moved: usize,
    swing: Option<f64>,
    tempo_changes: usize,
}

fn run(options: &Options) -> Result<String, Failure> {
    let [path] = options.words.as_slice() else { return Err(Failure::new("expected one MIDI file")) };
    let bytes = std::fs::read(path).map_err(|error| Failure::new(format!("{path}: {error}")))?;
    let song = midi::read(&bytes).map_err(|error| Failure::new(format!("{path}: {error}")))?;
    let index = options.parsed::<usize>("part")?.unwrap_or(0);
    let found = melodies(&song);
    let parts = found.iter().map(|(part, _)| Part {
        name: part.name.clone(),
        channel: part.channel,
        notes: part.notes.len(),
    });
    let parts: Vec<Part> = parts.collect();
    let count = parts.len();
    let (_, melody) = found.into_iter().nth(index).ok_or_else(|| {
        Failure::new(format!("--part: there are {count} melodies, counted from 0, not {index}"))
    })?;
    let lost = melody.lost;
    let tune = abc::Tune { riff: melody.riff, key: melody.key, metre: melody.metre };
    json(&Answer {
        name: song.name.clone(),
        key: melody.key.to_string(),
        metre: melody.metre.to_string(),
        tempo: Number(song.tempo.value()),
        parts,
        abc: abc::write(&tune, &[]),
        lost: Lost {
            under: lost.under,
            beyond: lost.beyond,
            cut: lost.cut,
            moved: lost.moved,
            swing: lost.swing,
            tempo_changes: lost.tempo_changes,
        },
    })
}
