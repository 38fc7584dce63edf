//! `riffloom take-down`: the riff that was played.

use riffloom::files::abc;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::taken::{self, Basis, MOST_NOTES, Played, Taken, Tempo};
use riffloom::units::{MidiNote, Seconds, Velocity};
use serde::{Deserialize, Serialize};

use crate::options::{Failure, Options};
use crate::output::{Number, json};
use crate::score::{MOST_BYTES, read};

pub const COMMAND: crate::Command = crate::Command {
    name: "take-down",
    usage: "take-down --played P.json --tempo B --key K [--metre 4/4] [--feel 2:1] [--bars N] [--readings N] [--about]",
    about: "P is [{\"onset\":seconds,\"end\":seconds,\"midi\":0 to 127,\"velocity\":1 to 127}] in any order, 0 s being the bar line\n\
            of bar 1; all but the onset may be left out, and a note without a number is a tap. B is the tempo that was\n\
            counted in; with --about it was only remembered, within 5 %. --feel is the swing that the player heard, --bars\n\
            how long the riff is to be. Prints the likeliest readings, the best first (3, or N of up to 8): as ABC, how each\n\
            differs from the best (way), how much less likely it is (cost, a natural logarithm), by how much the player was\n\
            late, how fast they played, where they put the second half of a beat, and which note each played note became.",
    values: &["played", "tempo", "key", "metre", "feel", "bars", "readings"],
    flags: &["about"],
    run,
};

#[derive(Deserialize)]
struct Note {
    onset: f64,
    end: Option<f64>,
    midi: Option<i32>,
    velocity: Option<i32>,
}

#[derive(Serialize)]
struct Answer {
    readings: Vec<ReadingJson>,
}

#[derive(Serialize)]
struct ReadingJson {
    way: &'static str,
    abc: String,
    start: Number,
    length: Number,
    cost: f64,
    late: f64,
    tempo: f64,
    off_beat: f64,
    notes: Vec<Option<usize>>,
}

/// The most readings that are printed.
const MOST_READINGS: usize = 8;

fn run(options: &Options) -> Result<String, Failure> {
    if let Some(word) = options.words.first() {
        return Err(Failure::new(format!("“{word}” belongs to no option")));
    }
    let played = played(options.required("played")?)?;
    let off_beat = options.value("feel").map(|_| options.feel()).transpose()?.map(|swing| swing.off_beat());
    let basis = Basis {
        tempo: options.tempo()?,
        known: if options.has("about") { Tempo::About } else { Tempo::Heard },
        metre: options.parsed("metre")?.unwrap_or(Metre::FOUR_FOUR),
        key: options.key()?,
        off_beat,
        thirds: options.is_dotted(),
        bars: whole(options, "bars", 8)?,
    };
    let most = whole(options, "readings", MOST_READINGS)?.unwrap_or(3);
    let readings = taken::take_down(&played, &basis, most)?;
    json(&Answer { readings: readings.into_iter().map(|taken| reading(&basis, taken)).collect() })
}

/// A whole number from 1 to `most`.
fn whole(options: &Options, name: &str, most: usize) -> Result<Option<usize>, Failure> {
    let read = |text: &str| text.parse().ok().filter(|number| (1..=most).contains(number));
    let failure =
        |text: &str| Failure::new(format!("--{name}: “{text}” is not a whole number from 1 to {most}"));
    options.value(name).map(|text| read(text).ok_or_else(|| failure(text))).transpose()
}

fn reading(basis: &Basis, taken: Taken) -> ReadingJson {
    let (start, length) = (taken.riff.start.in_quarters(), taken.riff.length().in_quarters());
    let tune = abc::Tune { riff: taken.riff, key: basis.key, metre: basis.metre };
    ReadingJson {
        way: taken.way.name(),
        abc: abc::write(&tune, &[]),
        start: Number(start),
        length: Number(length),
        cost: taken.cost,
        late: taken.late.0,
        tempo: taken.tempo,
        off_beat: taken.off_beat,
        notes: taken.notes,
    }
}

fn played(path: &str) -> Result<Vec<Played>, Failure> {
    let failure = |message: String| Failure::new(format!("{path}: {message}"));
    let text = read(path, MOST_BYTES).map_err(failure)?;
    let notes: Vec<Note> = serde_json::from_str(&text)
        .map_err(|error| failure(format!("not a list of {{\"onset\":seconds, …}}: {error}")))?;
    if notes.len() > 4 * MOST_NOTES {
        return Err(failure(format!("{} notes are more than one riff can hold", notes.len())));
    }
    notes
        .iter()
        .enumerate()
        .map(|(index, note)| checked(index, note))
        .collect::<Result<_, _>>()
        .map_err(failure)
}

/// The note at `index` of a list, counted from 0.
fn checked(index: usize, note: &Note) -> Result<Played, String> {
    let midi = note.midi.map(|midi| MidiNote::new(midi).ok_or(("midi number", midi, "0 to 127"))).transpose();
    let velocity =
        note.velocity.map(|hard| Velocity::new(hard).ok_or(("velocity", hard, "1 to 127"))).transpose();
    let named = |(what, found, range)| format!("note {index}: the {what} {found} is not from {range}");
    Ok(Played {
        onset: Seconds(note.onset),
        end: note.end.map(Seconds),
        midi: midi.map_err(named)?,
        velocity: velocity.map_err(named)?,
    })
}
