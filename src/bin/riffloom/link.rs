//! `riffloom link`: a riff and its tune as the text behind `#`, and back.

use riffloom::files::abc;
use riffloom::files::link::{self, LinkTune};
use riffloom::form::standard::{self, FormKind};
use riffloom::form::{Changes, FormChoice, chart};
use riffloom::rhythm::metre::Metre;
use riffloom::riff::Riff;
use serde::Serialize;

use crate::options::{Failure, Options};
use crate::output::{Number, json};

pub const COMMAND: crate::Command = crate::Command {
    name: "link",
    usage: "link encode FILE.abc --key K --form F --tempo B [--chords triads] [--feel 2:1] | link decode -- TEXT",
    about: "encode prints what stands after the # of a share link; the tempo is kept in whole quarters a minute.\n\
            decode prints the key, the form, the tempo and the riff as ABC. Write -- before a text, for it may\n\
            begin with a hyphen.",
    values: &["key", "form", "tempo", "chords", "feel"],
    flags: &[],
    run,
};

#[derive(Serialize)]
struct Encoded {
    text: String,
}

#[derive(Serialize)]
struct Decoded {
    key: String,
    form: String,
    tempo: Number,
    abc: String,
}

fn run(options: &Options) -> Result<String, Failure> {
    match options.words.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["encode", path] => encode(options, path),
        ["decode", text] => decode(text),
        _ => Err(Failure::new("expected encode and one ABC file, or decode and one text")),
    }
}

fn encode(options: &Options, path: &str) -> Result<String, Failure> {
    let form = options.form()?;
    let tune = LinkTune {
        key: options.key()?,
        form: FormKind::named(&form.name)
            .map_or_else(|| FormChoice::Chart(form.changes.into()), FormChoice::Standard),
        style: options.chord_style()?,
        swing: options.feel()?,
        dotted: options.is_dotted(),
        tempo: options.tempo()?,
    };
    let riff = crate::options::read_abc(path)?.riff;
    json(&Encoded { text: link::encode(&tune, &riff) })
}

fn decode(text: &str) -> Result<String, Failure> {
    let shared = link::decode(text.trim().trim_start_matches('#'))?;
    let tune = shared.tune;
    let (form, metre) = match &tune.form {
        FormChoice::Standard(kind) => {
            let changes = standard::changes(*kind, tune.key, tune.style, Metre::FOUR_FOUR);
            (kind.name().to_owned(), metre_of(&changes, &shared.riff))
        }
        FormChoice::Chart(changes) => (chart::write(changes), metre_of(changes, &shared.riff)),
    };
    let abc = abc::write(&abc::Tune { riff: shared.riff, key: tune.key, metre }, &[]);
    json(&Decoded { key: tune.key.to_string(), form, tempo: Number(tune.tempo.value()), abc })
}

/// The form's metre where the riff has its beats; a riff in other beats is written in fours of its own.
fn metre_of(changes: &Changes, riff: &Riff) -> Metre {
    let candidates = [changes.bars()[0].metre, Metre::FOUR_FOUR, Metre::TWELVE_EIGHT];
    candidates.into_iter().find(|metre| metre.beat() == riff.beat()).unwrap_or(Metre::FOUR_FOUR)
}
