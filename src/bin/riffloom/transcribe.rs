//! `riffloom transcribe`: the notes of one voice in a file of sound.

use std::fs;

use riffloom::listen::{self, Event, Known, Listener, Model};
use serde::Serialize;

use crate::options::{Failure, Options};
use crate::output::json;

pub const COMMAND: crate::Command = crate::Command {
    name: "transcribe",
    usage: "transcribe IN.wav [--a HZ] [--clicks S,S,…] [--played BAND.wav] [--live]",
    about: "Prints the notes of one voice: [{\"onset\":seconds,\"offset\":seconds,\"midi\":0 to 127,\"cents\":off that note,\n\
            \"level_db\":dB relative to full scale}]. Channels are added up. --a is the A above middle C, 440 where\n\
            nothing is said. --clicks are the times of a known click, which is no note. --played is what the loudspeakers\n\
            played meanwhile, at the same rate: it is taken out of what was heard. With --live the notes are those\n\
            that are told while it sounds, and each has \"told\", how many seconds had come by then.",
    values: &["a", "clicks", "played"],
    flags: &["live"],
    run,
};

/// Longer files are not read: an hour in stereo at 96 kHz in 24 bits.
const MOST_BYTES: u64 = 2 << 30;
/// With `--live`, frames that come at once: what an audio worklet gives.
const BLOCK: usize = 128;

#[derive(Serialize)]
struct Note {
    onset: f64,
    offset: Option<f64>,
    midi: u8,
    cents: f32,
    level_db: f32,
    #[serde(skip_serializing_if = "Option::is_none")]
    told: Option<f64>,
}

impl Note {
    fn of(heard: listen::Heard, told: Option<f64>) -> Note {
        Note {
            onset: heard.onset,
            offset: heard.offset,
            midi: heard.midi,
            cents: heard.cents,
            level_db: 60.0 * (heard.strength - 1.0),
            told,
        }
    }
}

fn run(options: &Options) -> Result<String, Failure> {
    let [path] = options.words.as_slice() else {
        return Err(Failure::new("expected one WAV file"));
    };
    let a4 = options.value("a").map(|text| number("a", text)).transpose()?.unwrap_or(440.0);
    let clicks = options.value("clicks").unwrap_or_default().split(',').filter(|word| !word.is_empty());
    let clicks = clicks.map(|word| number("clicks", word)).collect::<Result<_, _>>()?;
    let (channels, rate) = read(path)?;
    let played = options.value("played").map(|path| beside(path, rate)).transpose()?.unwrap_or_default();
    let known = Known { clicks, played };
    let samples = together(&channels);
    let model = Model::built_in();
    if options.has("live") {
        return json(&live(&samples, Listener::new(rate, a4, &model)?, rate, &known));
    }
    let notes = listen::transcribe(&samples, rate, a4, &known, &model)?;
    json(&notes.into_iter().map(|heard| Note::of(heard, None)).collect::<Vec<_>>())
}

fn number(name: &str, text: &str) -> Result<f64, Failure> {
    text.parse().map_err(|_| Failure::new(format!("--{name}: “{text}” is not a number")))
}

/// What is told while it sounds; half a second of silence follows.
fn live(samples: &[f32], mut listener: Listener, rate: f64, known: &Known) -> Vec<Note> {
    let mut clicks = known.clicks.clone();
    clicks.sort_by(f64::total_cmp);
    let mut clicks = clicks.into_iter().peekable();
    let (mut notes, mut come) = (Vec::<Note>::new(), 0);
    let silence = vec![0.0; (rate / 2.0) as usize];
    let is_beside = known.played.iter().any(|played| !played.is_empty());
    for block in samples.chunks(BLOCK).chain(silence.chunks(BLOCK)) {
        // The page says a click as it schedules it, a quarter of a second before it is heard.
        while let Some(click) = clicks.next_if(|click| *click < come as f64 / rate + 0.25) {
            listener.expect_click(click);
        }
        if is_beside {
            let played = known.played.each_ref().map(|played| played.get(come..).unwrap_or_default());
            listener.push_beside(block, played);
        } else {
            listener.push(block);
        }
        come += block.len();
        while let Some(event) = listener.next_note() {
            match (event, notes.last_mut()) {
                (Event::Started(heard), _) => notes.push(Note::of(heard, Some(come as f64 / rate))),
                (Event::Ended { offset, .. }, Some(last)) => last.offset = Some(offset),
                (Event::Ended { .. }, None) => {}
            }
        }
    }
    notes
}

/// What was played, left and right, at this rate.
fn beside(path: &str, rate: f64) -> Result<[Vec<f32>; 2], Failure> {
    let (channels, found) = read(path)?;
    if found != rate {
        return Err(Failure::new(format!("{path}: it has {found} samples a second, not {rate}")));
    }
    let left = channels.first().cloned().unwrap_or_default();
    Ok([left, channels.into_iter().next_back().unwrap_or_default()])
}

/// The mean of the channels.
fn together(channels: &[Vec<f32>]) -> Vec<f32> {
    let count = channels.iter().map(Vec::len).min().unwrap_or_default();
    let sum = |at: usize| channels.iter().map(|channel| channel[at]).sum::<f32>();
    (0..count).map(|at| sum(at) / channels.len() as f32).collect()
}

/// The channels of a WAV file and its rate.
fn read(path: &str) -> Result<(Vec<Vec<f32>>, f64), Failure> {
    channels(path).map_err(|failure| Failure::new(format!("{path}: {failure}")))
}

fn channels(path: &str) -> Result<(Vec<Vec<f32>>, f64), Failure> {
    if fs::metadata(path)?.len() > MOST_BYTES {
        return Err(Failure::new("the file is longer than an hour"));
    }
    let mut reader = hound::WavReader::open(path)?;
    let spec = reader.spec();
    let samples: Vec<f32> = match spec.sample_format {
        hound::SampleFormat::Float => reader.samples::<f32>().collect::<Result<_, _>>()?,
        hound::SampleFormat::Int => {
            let full = (1_u64 << (spec.bits_per_sample - 1)) as f32;
            reader
                .samples::<i32>()
                .map(|sample| sample.map(|one| one as f32 / full))
                .collect::<Result<_, _>>()?
        }
    };
    let count = usize::from(spec.channels.max(1));
    let channel = |channel: usize| samples.iter().skip(channel).step_by(count).copied().collect();
    Ok(((0..count).map(channel).collect(), f64::from(spec.sample_rate)))
}
