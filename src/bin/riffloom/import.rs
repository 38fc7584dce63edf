//! `riffloom import`: a riff of a file that another program wrote, as ABC.

use riffloom::files::{abc, incoming};
use serde::Serialize;

use crate::options::{Failure, Options};
use crate::output::{Number, json};

pub const COMMAND: crate::Command = crate::Command {
    name: "import",
    usage: "import FILE.mid|FILE.musicxml|FILE.mxl|FILE.abc [--part N]",
    about: "Prints the melodies of a file of music, and of part N (counted from 0; 0 where nothing is said) a riff as\n\
            ABC, with what of it could not be kept: how many notes lay under a higher one, came after the riff's end,\n\
            were cut where the next begins or moved to the grid; the swing that is written even, as a ratio or null;\n\
            how often the tempo changes, how many repeats and chord symbols there are. And what is sung with the riff's\n\
            notes, as export takes it.",
    values: &["part"],
    flags: &[],
    run,
};

#[derive(Serialize)]
struct Answer {
    name: String,
    key: String,
    metre: String,
    tempo: Option<Number>,
    parts: Vec<Part>,
    abc: String,
    /// What is sung with the riff's notes.
    #[serde(skip_serializing_if = "String::is_empty")]
    words: String,
    lost: Lost,
}

#[derive(Serialize)]
struct Part {
    name: String,
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
    repeats: usize,
    chords: usize,
}

fn run(options: &Options) -> Result<String, Failure> {
    let [path] = options.words.as_slice() else { return Err(Failure::new("expected one file of music")) };
    let bytes = std::fs::read(path).map_err(|error| Failure::new(format!("{path}: {error}")))?;
    let no_music = || Failure::new(format!("{path}: expected a MIDI file, MusicXML or ABC"));
    let music = incoming::read(&bytes).ok_or_else(no_music)?;
    let music = music.map_err(|error| Failure::new(format!("{path}: {error}")))?;
    let index = options.parsed::<usize>("part")?.unwrap_or(0);
    let parts = music.parts.iter().map(|part| Part { name: part.name.clone(), notes: part.notes });
    let parts: Vec<Part> = parts.collect();
    let count = parts.len();
    let part = music.parts.into_iter().nth(index).ok_or_else(|| {
        Failure::new(format!("--part: there are {count} melodies, counted from 0, not {index}"))
    })?;
    let melody = part.melody;
    let lost = melody.lost;
    let tune = abc::Tune { riff: melody.riff, key: melody.key, metre: melody.metre };
    json(&Answer {
        name: music.name,
        key: melody.key.to_string(),
        metre: melody.metre.to_string(),
        tempo: music.tempo.map(|tempo| Number(tempo.value())),
        parts,
        abc: abc::write(&tune, &[]),
        words: melody.words,
        lost: Lost {
            under: lost.under,
            beyond: lost.beyond,
            cut: lost.cut,
            moved: lost.moved,
            swing: lost.swing,
            tempo_changes: lost.tempo_changes,
            repeats: lost.repeats,
            chords: lost.chords,
        },
    })
}
