//! `riffloom link`: a riff, a chorus or a tune as the text behind `#`, and what any such text holds.

use riffloom::chorus::placement::Placement;
use riffloom::chorus::verse::Verse;
use riffloom::files::abc;
use riffloom::files::link::{self, Limits, Link, LinkTune, SharedChorus};
use riffloom::form::standard;
use riffloom::form::{Changes, FormChoice, chart};
use riffloom::notebook::tune::Material;
use riffloom::practice::settings::Settings;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::Riff;
use riffloom::theory::key::Key;
use serde::Serialize;

use crate::options::{Failure, Options};
use crate::output::{Number, json};
use crate::placing::{self, PlacementJson};

pub const COMMAND: crate::Command = crate::Command {
    name: "link",
    usage: "link encode [FILE.abc…] --key K --form F --tempo B [--chords triads] [--feel 2:1] [--goal B [--from B]] \
            [--choruses N --placements JSON [--words LINE/LINE/LINE]] | link decode -- TEXT",
    about: "encode prints what stands after the # of a share link: of a riff, of a chorus where --placements are given (as\n\
            suggest prints them), of the tune alone where there is no file. The tempo is kept in whole quarters a minute;\n\
            --goal is a tempo to reach, from slow to fast. lesson makes the links of a class.\n\
            decode prints what any link holds: key, form, tempo and the riff as ABC; of a chorus its riffs, how many\n\
            choruses long it is, and its placements; of a lesson and an answer what they say, too. Write -- before a\n\
            text, for it may begin with a hyphen.",
    values: &[
        "key",
        "form",
        "tempo",
        "chords",
        "feel",
        "metre",
        "goal",
        "from",
        "choruses",
        "placements",
        "words",
    ],
    flags: &[],
    run,
};

#[derive(Serialize)]
struct Encoded {
    text: String,
}

/// The tune that every link has.
#[derive(Serialize)]
struct Ground {
    key: String,
    form: String,
    tempo: Number,
    /// The tempo to begin with and the tempo to reach, where the link asks for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    practise: Option<[Number; 2]>,
}

#[derive(Serialize)]
struct Decoded {
    #[serde(flatten)]
    ground: Ground,
    abc: String,
}

#[derive(Serialize)]
struct DecodedChorus {
    #[serde(flatten)]
    ground: Ground,
    choruses: usize,
    riffs: Vec<String>,
    placements: Vec<PlacementJson>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    words: Vec<String>,
}

#[derive(Serialize)]
struct DecodedSeveral {
    #[serde(flatten)]
    ground: Ground,
    riffs: Vec<String>,
}

#[derive(Serialize)]
struct DecodedLesson {
    lesson: u32,
    title: String,
    #[serde(flatten)]
    ground: Ground,
    steps: Vec<&'static str>,
    groups: Vec<Group>,
    locked: bool,
    words: String,
    can: Vec<String>,
    models: Vec<String>,
}

/// What is asked of a riff; 0 where nothing is.
#[derive(Serialize)]
struct Group {
    beats: u8,
    space: u8,
    notes: &'static str,
}

#[derive(Serialize)]
struct DecodedAnswer {
    answers: u32,
    who: String,
    group: u8,
    /// The places of the statements that were ticked, from 1.
    can: Vec<u8>,
    #[serde(flatten)]
    ground: Ground,
    abc: String,
}

fn run(options: &Options) -> Result<String, Failure> {
    match options.words.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["encode", files @ ..] => json(&Encoded { text: encoded(options, files)? }),
        ["decode", text] => decode(text),
        _ => Err(Failure::new("expected encode and ABC files, or decode and one text")),
    }
}

/// The text behind `#` of what the options and these files ask for.
pub fn encoded(options: &Options, files: &[&str]) -> Result<String, Failure> {
    let tune = options.link_tune()?;
    if options.value("placements").is_some() {
        let (chorus, _) = crate::render::chorus_of(options, files)?;
        let words = options.value("words").unwrap_or_default().replace('/', "\n");
        let chorus = chorus.with_verse(&Verse::read(&words));
        return link::encode_chorus(&tune, &chorus)
            .ok_or_else(|| Failure::new("the chorus is too long for a link"));
    }
    match files {
        [] => Ok(link::encode_tune(&tune)),
        [path] => Ok(link::encode(&tune, &crate::options::read_abc(path)?.riff)),
        _ => Err(Failure::new("expected one ABC file; riffloom lesson several makes a link of more")),
    }
}

fn decode(text: &str) -> Result<String, Failure> {
    match link::decode_any(text.trim().trim_start_matches('#'))? {
        Link::Riff(shared) => {
            let (ground, changes) = ground(&shared.tune);
            json(&Decoded { ground, abc: abc_of(shared.riff, shared.tune.key, &changes) })
        }
        Link::Chorus(shared) => decoded_chorus(&shared),
        Link::Tune(tune) => json(&ground(&tune).0),
        Link::Several(several) => {
            let (ground, changes) = ground(&several.tune);
            let riffs = several.riffs.into_iter().map(|(key, riff)| abc_of(riff, key, &changes)).collect();
            json(&DecodedSeveral { ground, riffs })
        }
        Link::Lesson(lesson) => {
            let number = link::lesson_number(&lesson);
            let (ground, changes) = ground(&lesson.tune);
            let group = |tier: &Limits| Group {
                beats: tier.beats,
                space: tier.space,
                notes: Material::all().nth(tier.notes.into()).unwrap_or(Material::All).name(),
            };
            let key = lesson.tune.key;
            json(&DecodedLesson {
                lesson: number,
                title: lesson.title,
                ground,
                steps: lesson.steps.iter().map(|step| step.name()).collect(),
                groups: lesson.tiers.iter().map(group).collect(),
                locked: lesson.locked,
                words: lesson.words,
                can: lesson.can,
                models: lesson.models.into_iter().map(|riff| abc_of(riff, key, &changes)).collect(),
            })
        }
        Link::Answer(answer) => {
            let (ground, changes) = ground(&answer.tune);
            json(&DecodedAnswer {
                answers: answer.lesson,
                who: answer.who,
                group: answer.tier + 1,
                can: (1..=8).filter(|place| answer.can >> (place - 1) & 1 == 1).collect(),
                ground,
                abc: abc_of(answer.riff, answer.tune.key, &changes),
            })
        }
    }
}

fn decoded_chorus(shared: &SharedChorus) -> Result<String, Failure> {
    let (tune, chorus) = (&shared.tune, &shared.chorus);
    let (ground, changes) = ground(tune);
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
        ground,
        choruses: chorus.times(),
        riffs: chorus.riffs().iter().map(|riff| abc_of(riff.clone(), tune.key, &changes)).collect(),
        placements: placements.collect(),
        words: chorus.words().lines().map(str::to_owned).collect(),
    })
}

/// What is printed of a tune, and its chords.
fn ground(tune: &LinkTune) -> (Ground, Changes) {
    let (form, changes) = form(tune);
    let numbers = tune.band.as_ref().map_or(&[][..], |band| &band.0);
    let asked = Settings::default().asked_by(numbers, tune.tempo).and_then(|asked| asked.ladder);
    let practise = asked.map(|plan| [plan.start, plan.goal].map(|tempo| Number(tempo.value())));
    (Ground { key: tune.key.to_string(), form, tempo: Number(tune.tempo.value()), practise }, changes)
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
