//! `riffloom parts`: what each in a mixed band plays, as each one reads it.

use riffloom::files::musicxml;
use riffloom::form::Changes;
use riffloom::notation::{self, Backing, Part, Passage, Written};
use riffloom::rhythm::metre::Metre;
use riffloom::riff::Riff;
use riffloom::theory::instrument::{Instrument, Reading};
use riffloom::theory::pitch::Pitch;
use riffloom::view::staff::{MELODY, backing_title};
use serde::Serialize;

use crate::options::{Failure, Options, read_abc};
use crate::output::json;

pub const COMMAND: crate::Command = crate::Command {
    name: "parts",
    usage: "parts [FILE.abc] --key K --form F --tempo B [--plays melody,chords,roots,fifths,claps] \
            [--for Bb-treble,C-bass,alto-sax] [--feel 2:1] [--out FOLDER]",
    about: "Makes the parts of a mixed band over the form: the riff (melody), two-note chords (third and seventh, each as\n\
            near to the one before as can be), bass (roots, or roots and fifths) and claps. --for names pitch and clef\n\
            (C, Bb, Eb or F; treble, bass or alto) or an instrument (see instruments). Prints for each part its key, how\n\
            many bars and notes it has, and its lowest and highest written note. --out writes each as MusicXML.",
    values: &["key", "form", "chords", "metre", "tempo", "feel", "plays", "for", "out"],
    flags: &[],
    run,
};

#[derive(Serialize)]
struct Made {
    plays: &'static str,
    #[serde(rename = "for")]
    whom: String,
    key: String,
    bars: usize,
    notes: usize,
    lowest: String,
    highest: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    file: Option<String>,
}

/// What is played.
#[derive(Clone, Copy)]
enum Plays {
    Melody,
    Backing(Backing),
}

fn run(options: &Options) -> Result<String, Failure> {
    let tune = options.words.first().map(|path| read_abc(path)).transpose()?;
    let metre = tune.as_ref().map_or(Metre::FOUR_FOUR, |tune| tune.metre);
    let changes = options.form_in(metre)?.changes;
    let riff = tune.map(|tune| tune.riff);
    options.tempo()?;
    let all = || Backing::ALL.map(Plays::Backing).to_vec();
    let plays = match options.value("plays") {
        Some(names) => names.split(',').map(|name| played(name.trim())).collect::<Result<Vec<_>, _>>()?,
        None => riff.iter().map(|_| Plays::Melody).chain(all()).collect(),
    };
    let whom = match options.value("for") {
        Some(names) => names.split(',').map(|name| reader(name.trim())).collect::<Result<Vec<_>, _>>()?,
        None => Part::ALL.into_iter().map(|part| (part.name(), part)).collect(),
    };
    let mut made = Vec::new();
    for plays in plays {
        for (name, part) in &whom {
            let is_clap = matches!(plays, Plays::Backing(Backing::Claps));
            // One sheet of claps is everybody's.
            if is_clap && name != &whom[0].0 {
                continue;
            }
            let name = if is_clap { "everybody" } else { name };
            made.push(one(options, (plays, *part, name), &changes, riff.as_ref())?);
        }
    }
    json(&made)
}

fn played(name: &str) -> Result<Plays, Failure> {
    if name == MELODY {
        return Ok(Plays::Melody);
    }
    backing(name, &[MELODY]).map(Plays::Backing)
}

/// The part that accompanies with this name; what else may stand there is named where it is none.
pub fn backing(name: &str, besides: &[&str]) -> Result<Backing, Failure> {
    let names = [besides, &Backing::ALL.map(Backing::name)].concat().join(", ");
    let expected = || Failure::new(format!("--plays: expected {names}, found “{name}”"));
    Backing::named(name).ok_or_else(expected)
}

/// Who reads a part, with the name that was given.
fn reader(name: &str) -> Result<(String, Part), Failure> {
    let part = Part::named(name).or_else(|| Instrument::named(name).map(Part::of));
    let names = Part::ALL.map(Part::name).join(", ");
    let part = part.ok_or_else(|| {
        Failure::new(format!("--for: expected an instrument, or one of {names}, found “{name}”"))
    })?;
    Ok((name.to_owned(), part))
}

fn one(
    options: &Options,
    (plays, part, whom): (Plays, Part, &str),
    changes: &Changes,
    riff: Option<&Riff>,
) -> Result<Made, Failure> {
    let (passage, title, name) = match plays {
        Plays::Melody => {
            let riff = riff.ok_or_else(|| Failure::new("the melody asks for an ABC file"))?;
            (Passage::of_riff(changes, riff, 0), riff.name.as_str(), MELODY)
        }
        Plays::Backing(backing) => {
            (Passage::of_backing(changes, backing), backing_title(backing), backing.name())
        }
    };
    let (reading, clef) = match plays {
        Plays::Backing(backing) => backing.reading(part, changes.key(), &passage.pitches()),
        Plays::Melody => (part.reading(changes.key(), &passage.pitches()).0, part.clef),
    };
    let written = notation::write(&passage, reading, clef);
    let mut pitches: Vec<_> = passage.pitches().into_iter().map(|pitch| reading.pitch(pitch)).collect();
    pitches.sort_by_key(|pitch| pitch.semitones());
    let end = |pitch: Option<&Pitch>| pitch.map_or(String::new(), ToString::to_string);
    let file =
        options.value("out").map(|folder| save(options, folder, (name, whom, title), &written, reading));
    Ok(Made {
        plays: name,
        whom: whom.to_owned(),
        key: reading.key().to_string(),
        bars: written.measures.len(),
        notes: pitches.len(),
        lowest: end(pitches.first()),
        highest: end(pitches.last()),
        file: file.transpose()?,
    })
}

/// Writes a part into a folder, and gives its path.
fn save(
    options: &Options,
    folder: &str,
    (name, whom, title): (&str, &str, &str),
    written: &Written,
    reading: Reading,
) -> Result<String, Failure> {
    let about = musicxml::About {
        name: title,
        part: whom,
        tempo: options.tempo()?,
        swing: options.feel()?,
        feel: "",
        written_above: reading.interval(),
        riff: None,
    };
    let path = format!("{folder}/{name} for {whom}.musicxml");
    std::fs::create_dir_all(folder)
        .and_then(|()| std::fs::write(&path, musicxml::write(written, &about)))
        .map_err(|error| Failure::new(format!("{path}: {error}")))?;
    Ok(path)
}
