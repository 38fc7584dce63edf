//! `riffloom score`: what was played against what was meant.

use riffloom::practice::TimedNote;
use riffloom::practice::align::{MOST_NOTES, align};
use riffloom::practice::figures::Figures;
use riffloom::practice::onsets::Matches;
use riffloom::practice::pass::{Goal, Pass, Place};
use riffloom::practice::swing::OwnSwing;
use riffloom::practice::window::{Room, Window};
use riffloom::rhythm::grid::Division;
use riffloom::units::{AudioTime, MidiNote, QuartersPerMinute, Seconds, Ticks};
use serde::{Deserialize, Serialize};

use crate::options::{Failure, Options};
use crate::output::json;

pub const COMMAND: crate::Command = crate::Command {
    name: "score",
    usage: "score --target T.json --played P.json [--window MS] [--beat S]",
    about: "T and P are [{\"onset\":seconds,\"midi\":0 to 127}], in any order. Lateness is positive. The bias is\n\
            the median and the spread the sample standard deviation of the lateness of pairs of the same pitch, about\n\
            the tempo that was really played: where the tempo moved or the player stopped that is taken out, and the\n\
            bias is that of the first note of T. The drift is the slope of least squares. \"band\" has bias and spread\n\
            with tempo and stops left in. Each is null where there are too few such pairs. \"transposed\" is by how many\n\
            half steps all of it was higher; what is right and wrong is said once that is taken away. Pairs index the\n\
            lists as given and hold wrong pitches too. Of several attempts the last that gets furthest counts. With\n\
            --window also the onsets alone, scored as detectors of onsets are:\n\
            {\"onsets\":{\"matched\",\"precision\",\"recall\",\"f\"}}. With --beat also the \"swing\", long to short, of the notes\n\
            of T that lie between beats of S seconds, counted from 0; null for fewer than three.",
    values: &["target", "played", "window", "beat"],
    flags: &[],
    run,
};

/// Longer files are not read: [`MOST_NOTES`] notes take no more.
pub(super) const MOST_BYTES: u64 = 1 << 20;
/// A day in seconds: no onset lies beyond.
const FURTHEST: f64 = 86_400.0;

#[derive(Deserialize)]
struct Note {
    onset: f64,
    midi: i64,
}

#[derive(Serialize)]
struct Answer {
    bias_ms: Option<f64>,
    spread_ms: Option<f64>,
    drift_ms_per_minute: Option<f64>,
    right: usize,
    wrong_pitch: usize,
    missed: usize,
    extra: usize,
    pairs: Vec<[usize; 2]>,
    transposed: i32,
    band: Band,
    #[serde(skip_serializing_if = "Option::is_none")]
    swing: Option<Option<f64>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    onsets: Option<Onsets>,
}

/// Against the band's tempo.
#[derive(Serialize)]
struct Band {
    bias_ms: Option<f64>,
    spread_ms: Option<f64>,
}

#[derive(Serialize)]
struct Onsets {
    matched: usize,
    precision: f64,
    recall: f64,
    f: f64,
}

fn run(options: &Options) -> Result<String, Failure> {
    if let Some(word) = options.words.first() {
        return Err(Failure::new(format!("“{word}” belongs to no option")));
    }
    let (target, played) = (notes(options.required("target")?)?, notes(options.required("played")?)?);
    let window = options.value("window").map(window).transpose()?;
    let beat = options.value("beat").map(beat).transpose()?;
    let alignment = align(&target, &played);
    let figures = Figures::of(&target, &played, &alignment);
    let milliseconds = |seconds: Option<Seconds>| seconds.map(|seconds| 1e3 * seconds.0);
    json(&Answer {
        bias_ms: milliseconds(figures.bias),
        spread_ms: milliseconds(figures.spread),
        drift_ms_per_minute: milliseconds(figures.drift_per_minute),
        right: figures.right,
        wrong_pitch: figures.wrong_pitch,
        missed: figures.missed,
        extra: figures.extra,
        pairs: alignment.pairs.iter().map(|pair| [pair.target, pair.played]).collect(),
        transposed: alignment.transposed,
        band: Band { bias_ms: milliseconds(figures.band_bias), spread_ms: milliseconds(figures.band_spread) },
        swing: beat.map(|beat| swing(&target, &played, beat)),
        onsets: window.map(|window| onsets(&target, &played, window)),
    })
}

/// `--window`: milliseconds above 0, a second at most.
fn window(text: &str) -> Result<Seconds, Failure> {
    let milliseconds = text.parse().ok().filter(|value: &f64| *value > 0.0 && *value <= 1e3);
    milliseconds
        .map(|value| Seconds(value / 1e3))
        .ok_or_else(|| Failure::new(format!("--window: “{text}” is not above 0 and up to 1000 ms")))
}

/// `--beat`: seconds, from a tenth to ten.
fn beat(text: &str) -> Result<Seconds, Failure> {
    let seconds = text.parse().ok().filter(|value: &f64| (0.1..=10.0).contains(value));
    seconds
        .map(Seconds)
        .ok_or_else(|| Failure::new(format!("--beat: “{text}” is not from 0.1 to 10 seconds")))
}

/// Long to short of the notes between beats; a note nearer to a beat than a tenth of it is on the beat.
fn swing(target: &[TimedNote], played: &[TimedNote], beat: Seconds) -> Option<f64> {
    let in_time = |notes: &[TimedNote]| {
        let mut notes = notes.to_vec();
        notes.sort_by(|one, other| one.onset.0.total_cmp(&other.onset.0));
        notes
    };
    let goal = |(index, note): (usize, &TimedNote)| {
        let beats = (note.onset.0 / beat.0 + 0.1).floor();
        let is_on = note.onset.0 / beat.0 - beats < 0.1;
        let beat_start = AudioTime(beats * beat.0);
        Goal {
            note: *note,
            place: if is_on { Place::OnBeat } else { Place::OffBeat },
            beat_start,
            beat,
            of_riff: index,
            bar: None,
            bar_start: beat_start,
        }
    };
    let goals: Vec<Goal> = in_time(target).iter().enumerate().map(goal).collect();
    let window =
        Window::new(QuartersPerMinute::new(60.0 / beat.0)?, Ticks::QUARTER, Division::HALVES, Room::Usual);
    let pass = Pass::of(&goals, &in_time(played), window, &[]);
    pass.swing.map(OwnSwing::ratio)
}

fn onsets(target: &[TimedNote], played: &[TimedNote], window: Seconds) -> Onsets {
    let times = |notes: &[TimedNote]| {
        let mut times: Vec<AudioTime> = notes.iter().map(|note| note.onset).collect();
        times.sort_by(|one, other| one.0.total_cmp(&other.0));
        times
    };
    let matches = Matches::of(&times(target), &times(played), window);
    Onsets {
        matched: matches.matched,
        precision: matches.precision(),
        recall: matches.recall(),
        f: matches.f_measure(),
    }
}

/// The notes in the file at `path`.
pub(super) fn notes(path: &str) -> Result<Vec<TimedNote>, Failure> {
    let failure = |message: String| Failure::new(format!("{path}: {message}"));
    let text = read(path, MOST_BYTES).map_err(failure)?;
    let notes: Vec<Note> = serde_json::from_str(&text)
        .map_err(|error| failure(format!("not a list of {{\"onset\":seconds,\"midi\":number}}: {error}")))?;
    if notes.len() > MOST_NOTES {
        return Err(failure(format!("{} notes, more than {MOST_NOTES}", notes.len())));
    }
    let timed = notes.iter().enumerate().map(|(index, note)| checked(index, note));
    timed.collect::<Result<_, _>>().map_err(failure)
}

/// The text of a file of at most `most` bytes.
pub(super) fn read(path: &str, most: u64) -> Result<String, String> {
    let size = std::fs::metadata(path).map_err(|error| error.to_string())?.len();
    if size > most {
        return Err(format!("{size} bytes, more than {most}"));
    }
    std::fs::read_to_string(path).map_err(|error| error.to_string())
}

/// The note at `index` of a list, counted from 0.
fn checked(index: usize, note: &Note) -> Result<TimedNote, String> {
    if note.onset.is_nan() || note.onset.abs() > FURTHEST {
        return Err(format!("note {index}: the onset {} is not within {FURTHEST} s of 0", note.onset));
    }
    let number = i32::try_from(note.midi).ok();
    let midi = number
        .and_then(MidiNote::new)
        .ok_or_else(|| format!("note {index}: the midi number {} is not from 0 to 127", note.midi))?;
    Ok(TimedNote { onset: AudioTime(note.onset), midi })
}
