//! `riffloom link`: a riff and its tune as the text behind `#`, and back.

use riffloom::chorus::placement::Placement;
use riffloom::files::abc;
use riffloom::files::link::{self, Link, LinkTune, SharedChorus};
use riffloom::form::standard;
use riffloom::form::{Changes, FormChoice, chart};
use riffloom::rhythm::metre::Metre;
use riffloom::riff::Riff;
use riffloom::theory::key::Key;
use serde::Serialize;

use crate::options::{Failure, Options};
use crate::output::{Number, json};
use crate::placing::{self, PlacementJson};

pub const COMMAND: crate::Command = crate::Command {
    name: "link",
    usage: "link encode FILE.abc --key K --form F --tempo B [--chords triads] [--feel 2:1] | link decode -- TEXT",
    about: "encode prints what stands after the # of a share link; the tempo is kept in whole quarters a minute.\n\
            decode prints the key, the form, the tempo and the riff as ABC; of a chorus its riffs, how many choruses\n\
            long it is, and its placements as suggest prints them. Write -- before a text, for it may begin with a\n\
            hyphen.",
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

#[derive(Serialize)]
struct DecodedChorus {
    key: String,
    form: String,
    tempo: Number,
    choruses: usize,
    riffs: Vec<String>,
    placements: Vec<PlacementJson>,
}

fn run(options: &Options) -> Result<String, Failure> {
    match options.words.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["encode", path] => encode(options, path),
        ["decode", text] => decode(text),
        _ => Err(Failure::new("expected encode and one ABC file, or decode and one text")),
    }
}

fn encode(options: &Options, path: &str) -> Result<String, Failure> {
    let tune = options.link_tune()?;
    let riff = crate::options::read_abc(path)?.riff;
    json(&Encoded { text: link::encode(&tune, &riff) })
}

fn decode(text: &str) -> Result<String, Failure> {
    match link::decode_any(text.trim().trim_start_matches('#'))? {
        Link::Riff(shared) => {
            let (form, changes) = form(&shared.tune);
            let (key, tempo) = (shared.tune.key.to_string(), Number(shared.tune.tempo.value()));
            let abc = abc_of(shared.riff, shared.tune.key, &changes);
            json(&Decoded { key, form, tempo, abc })
        }
        Link::Chorus(shared) => decoded_chorus(&shared),
        Link::Lesson(_) | Link::Answer(_) | Link::Several(_) => Err(Failure::new(
            "the link is for a class: the page opens it, and riffloom lesson board reads answers",
        )),
    }
}

fn decoded_chorus(shared: &SharedChorus) -> Result<String, Failure> {
    let (tune, chorus) = (&shared.tune, &shared.chorus);
    let (form, changes) = form(tune);
    let over = chorus.over(chorus.course(&changes));
    let length = |index: usize, placement: &Placement| {
        let placed = over.spots.iter().position(|spot| *spot == index).map(|order| &over.placed[order].riff);
        placed.unwrap_or(&chorus.riffs()[placement.riff]).length()
    };
    let placements =
        chorus.spots().iter().enumerate().map(|(index, spot)| {
            placing::printed(&over.course, &spot.placement, length(index, &spot.placement))
        });
    json(&DecodedChorus {
        key: tune.key.to_string(),
        form,
        tempo: Number(tune.tempo.value()),
        choruses: chorus.times(),
        riffs: chorus.riffs().iter().map(|riff| abc_of(riff.clone(), tune.key, &changes)).collect(),
        placements: placements.collect(),
    })
}

/// The form as it is written, and its chords.
fn form(tune: &LinkTune) -> (String, Changes) {
    match &tune.form {
        FormChoice::Standard(kind) => {
            (kind.name().to_owned(), standard::changes(*kind, tune.key, tune.style, Metre::FOUR_FOUR))
        }
        FormChoice::Chart(changes) => (chart::write(changes), (**changes).clone()),
    }
}

fn abc_of(riff: Riff, key: Key, changes: &Changes) -> String {
    let metre = metre_of(changes, &riff);
    abc::write(&abc::Tune { riff, key, metre }, &[])
}

/// The form's metre where the riff has its beats; a riff in other beats is written in fours of its own.
fn metre_of(changes: &Changes, riff: &Riff) -> Metre {
    let own = Metre::of_beat(riff.beat()).unwrap_or(Metre::FOUR_FOUR);
    Some(changes.bars()[0].metre).filter(|metre| metre.beat() == riff.beat()).unwrap_or(own)
}
