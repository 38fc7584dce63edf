//! `riffloom render`: a riff with the band over a form, as a file of sound.

use std::rc::Rc;

use riffloom::band::Pulse;
use riffloom::chorus::course::Course;
use riffloom::chorus::kept::{Chorus, ChorusId, Spot};
use riffloom::files::wav;
use riffloom::notebook::band::{Band, Setting};
use riffloom::perform::planner::Planned;
use riffloom::perform::track::{self, Track};
use riffloom::perform::{Part, Parts, Score};
use riffloom::sound::mix::Space;
use riffloom::sound::mixdown;
use riffloom::sound::voice::{Lineup, Voice};
use riffloom::units::SampleRate;
use serde::Serialize;

use crate::options::{Failure, Options, read_abc};
use crate::output::{Number, json};
use crate::{placing, suggest};

pub const COMMAND: crate::Command = crate::Command {
    name: "render",
    usage: "render FILE.abc… --key K --form F --tempo B [--feel 2:1] [--choruses N] [--placements JSON] [--times N] \
            [--parts click,drums,bass,comp,solo] [--band drums=brushes,bass=walking] [--voice V] [--count-in N] \
            [--seed N] [--dry] --out FILE.wav",
    about: "Writes what the page would play: 16-bit PCM at 48 kHz, stereo, dithered. Prints when bar 1 falls and each\n\
            sound's part, time, length, MIDI note (drums by General MIDI numbers) and velocity. All parts play unless\n\
            --parts says which. --voice is the riff's. --count-in is in bars, 0 where nothing is said. --band sets what\n\
            the page sets of the band, by the names that it keeps: timing=loose|exact (as people are, or exact),\n\
            phrasing=plain|shaped|sings (how the riff is played) and so on; what it does not name is as on a new page.\n\
            Without --band all is steady, plain and exact.\n\
            --dry leaves the room out. --placements takes a chorus of the files as suggest prints it, --choruses long;\n\
            --times says how often all of it is played.",
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
        "voice",
        "count-in",
        "seed",
        "out",
    ],
    flags: &["dry"],
    run,
};

#[derive(Serialize)]
struct Answer {
    start: Number,
    events: Vec<Event>,
}

#[derive(Serialize)]
struct Event {
    part: &'static str,
    at: Number,
    length: Number,
    midi: u8,
    velocity: u8,
}

impl Event {
    fn of(sound: &Planned) -> Event {
        Event {
            part: sound.part.name(),
            at: Number(sound.when.0),
            length: Number(sound.duration.0),
            midi: sound.midi.number(),
            velocity: sound.velocity.value(),
        }
    }
}

fn run(options: &Options) -> Result<String, Failure> {
    let out = options.required("out")?;
    if !out.ends_with(".wav") {
        return Err(Failure::new(format!("--out: expected a name that ends in .wav, found “{out}”")));
    }
    let seed = options.parsed("seed")?.unwrap_or(0);
    let lineup = lineup(options)?;
    let track = track_of(options)?;
    let rate = SampleRate::HZ_48000;
    let space = if options.has("dry") { Space::Dry } else { Space::Room };
    let sound = mixdown::whole(track.sounds.clone(), lineup, rate, space);
    std::fs::write(out, wav::write(&sound.left, &sound.right, rate, seed))
        .map_err(|error| Failure::new(format!("{out}: {error}")))?;
    json(&Answer { start: Number(track.start.0), events: track.sounds.iter().map(Event::of).collect() })
}

/// The riff over and over, without end as yet.
fn score_of_riff(options: &Options) -> Result<Score, Failure> {
    let tune = match options.words.as_slice() {
        [path] => read_abc(path)?,
        words => return Err(Failure::new(format!("expected one ABC file, found {}", words.len()))),
    };
    let changes = options.form_in(tune.metre)?.changes;
    Ok(Score::new(Rc::new(changes), Some(Rc::new(tune.riff)), options.feel()?, parts(options)?))
}

/// The riffs where `--placements` puts them, without end as yet.
fn score_of_chorus(options: &Options) -> Result<Score, Failure> {
    let files: Vec<&str> = options.words.iter().map(String::as_str).collect();
    let (chorus, course) = chorus_of(options, &files)?;
    Ok(Score::of_chorus(&chorus.over(course), options.feel()?, parts(options)?))
}

/// The riffs of these files where `--placements` puts them, and what they are played over.
pub fn chorus_of(options: &Options, files: &[&str]) -> Result<(Chorus, Course), Failure> {
    let tunes = files.iter().map(|path| read_abc(path)).collect::<Result<Vec<_>, Failure>>()?;
    let metre = tunes.first().ok_or_else(|| Failure::new("expected one ABC file or more"))?.metre;
    let course = suggest::course(options, metre)?;
    let placements = placing::given(options, "placements", &course)?;
    let spots = placements.into_iter().map(|placement| Spot { placement, stays: false }).collect();
    let riffs = tunes.into_iter().map(|tune| tune.riff).collect();
    let chorus = Chorus::from_parts(ChorusId::default(), "", course.choruses(), riffs, spots)
        .ok_or_else(|| Failure::new("--placements: one is of a file that is not there, or out of range"))?;
    match chorus.over(course.clone()).misfits.first() {
        Some((_, error)) => Err(Failure::new(format!("--placements: {error}"))),
        None => Ok((chorus, course)),
    }
}

/// What the options ask for, from beginning to end.
pub fn score_of(options: &Options) -> Result<Score, Failure> {
    let (mut score, times) = match options.value("placements") {
        Some(_) => (score_of_chorus(options)?, "times"),
        None => (score_of_riff(options)?, "choruses"),
    };
    let choruses = whole(options, times, 1)?.max(1);
    score.times = Some(choruses);
    score.count_in = whole(options, "count-in", 0)? as u8;
    let tempo = options.tempo()?;
    if let Some(band) = band(options)? {
        (score.arrangement, score.touch, score.intro) = (band.arrangement, band.touch(tempo), band.intro);
        score.pickup = band.pickup;
        score.swing = band.swing(score.swing, tempo);
    }
    score.arrangement.seed = options.parsed("seed")?.unwrap_or(0);
    score.arrangement.pulse = options.is_dotted().then_some(Pulse::Triplets);
    let seconds = track::length(&score, tempo).map_or(0.0, |length| length.0);
    if seconds > track::MOST.0 {
        return Err(Failure::new(format!(
            "{choruses} {times} last {seconds:.0} seconds, more than the {} that a file may hold",
            track::MOST.0
        )));
    }
    Ok(score)
}

fn track_of(options: &Options) -> Result<Track, Failure> {
    Track::of(&score_of(options)?, options.tempo()?)
        .ok_or_else(|| Failure::new("expected a number of choruses"))
}

/// A whole number from 0 to 255.
fn whole(options: &Options, name: &str, otherwise: u8) -> Result<u32, Failure> {
    Ok(options.parsed::<u8>(name)?.unwrap_or(otherwise).into())
}

fn parts(options: &Options) -> Result<Parts, Failure> {
    let Some(text) = options.value("parts") else { return Ok(Parts::of(&Part::ALL)) };
    text.split(',')
        .map(|name| Part::named(name.trim()).ok_or(name))
        .collect::<Result<Vec<_>, _>>()
        .map_or_else(
            |name| {
                let names = Part::ALL.map(Part::name).join(", ");
                Err(Failure::new(format!("--parts: expected some of {names}, found “{name}”")))
            },
            |parts| Ok(Parts::of(&parts)),
        )
}

/// What `--band` says, if it is there.
fn band(options: &Options) -> Result<Option<Band>, Failure> {
    let Some(text) = options.value("band") else { return Ok(None) };
    let mut band = Band::default();
    for word in text.split(',') {
        let (name, value) = word.trim().split_once('=').unwrap_or((word, ""));
        band = band.with_word(name, value).ok_or_else(|| {
            let names = Setting::all().map(Setting::name).collect::<Vec<_>>().join(", ");
            let values = Setting::named(name).map(|setting| setting.values().join(", "));
            let expected = values.unwrap_or_else(|| format!("one of {names}, take, a part with -level"));
            Failure::new(format!("--band: expected {expected}, found “{word}”"))
        })?;
    }
    Ok(Some(band))
}

fn lineup(options: &Options) -> Result<Lineup, Failure> {
    let usual = band(options)?.map_or_else(Lineup::default, |band| Lineup {
        tuning: band.tuning,
        ..Lineup::named(band.solo, band.comp, band.click, band.levels)
    });
    let Some(name) = options.value("voice") else { return Ok(usual) };
    match Voice::named(name).filter(|voice| Voice::MELODIC.contains(voice)) {
        Some(solo) => Ok(Lineup { solo, ..usual }),
        None => {
            let names = Voice::MELODIC.map(Voice::name).join(", ");
            Err(Failure::new(format!("--voice: expected one of {names}, found “{name}”")))
        }
    }
}
