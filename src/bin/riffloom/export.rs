//! `riffloom export`: a riff, or a chorus of riffs with the band, as a file for another program.

use riffloom::chorus::verse::Verse;
use riffloom::files::{Kind, abc, midi, musicxml};
use riffloom::notation::{self, Passage};
use riffloom::perform::Score;
use riffloom::perform::song::{self, About, Times};
use riffloom::rhythm::feel::SwingRatio;
use riffloom::theory::instrument::{Instrument, Reading};
use riffloom::theory::key::Key;
use riffloom::units::Ticks;
use serde::Serialize;

use crate::options::{Failure, Options, read_abc};
use crate::output::{Number, json};
use crate::render;

pub const COMMAND: crate::Command = crate::Command {
    name: "export",
    usage: "export FILE.abc… --key K --form F --tempo B [--feel 2:1] [--straight] [--alone] [--choruses N] \
            [--placements JSON] [--words LINE/LINE/LINE] [--times N] [--parts click,drums,bass,comp,solo] [--band drums=brushes] [--seed N] \
            [--instrument NAME] --out FILE.mid|FILE.musicxml|FILE.mxl|FILE.abc",
    about: "Writes a Standard MIDI File with what render would play, a track a part. --straight has even beats, as they\n\
            are written. --alone is the riff once, without the band. Or writes the riff or the chorus alone: as MusicXML (packed\n\
            where the name ends in .mxl) on a staff as the player of --instrument reads it (see instruments; a keyboard where nothing is said), as ABC as it\n\
            sounds; --words stand under the notes with which they are sung. Prints how long it is and the parts with how many notes each has,\n\
            and syllables that no note is sung with.",
    values: &[
        "key",
        "form",
        "chords",
        "metre",
        "tempo",
        "feel",
        "choruses",
        "placements",
        "words",
        "times",
        "parts",
        "band",
        "seed",
        "instrument",
        "out",
    ],
    flags: &["straight", "alone"],
    run,
};

#[derive(Serialize)]
struct Answer {
    quarters: Number,
    parts: Vec<Part>,
    /// Syllables with which no note begins: they are not in the file.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    unsung: Vec<String>,
}

#[derive(Serialize)]
struct Part {
    name: String,
    channel: Option<u8>,
    notes: usize,
}

fn run(options: &Options) -> Result<String, Failure> {
    let out = options.required("out")?;
    let ending = out.rsplit_once('.').and_then(|(_, ending)| Kind::of_ending(ending));
    let endings = Kind::ALL.map(|kind| format!(".{}", kind.ending())).join(" or ");
    let kind = ending.ok_or_else(|| {
        Failure::new(format!("--out: expected a name that ends in {endings}, found “{out}”"))
    })?;
    let (bytes, answer) = match kind {
        Kind::Midi => played(options)?,
        Kind::MusicXml | Kind::Mxl | Kind::Abc => written(options, kind)?,
    };
    std::fs::write(out, bytes).map_err(|error| Failure::new(format!("{out}: {error}")))?;
    json(&answer)
}

fn played(options: &Options) -> Result<(Vec<u8>, Answer), Failure> {
    let (key, tempo) = (options.key()?, options.tempo()?);
    let (score, name) = score(options)?;
    let about = about(&name, key, tempo);
    let times = if options.has("straight") { Times::Written } else { Times::Played };
    let song =
        song::song(&score, &about, times).ok_or_else(|| Failure::new("expected a number of choruses"))?;
    let part = |part: &midi::Part| Part {
        name: part.name.clone(),
        channel: Some(part.channel),
        notes: part.notes.len(),
    };
    let answer = Answer {
        quarters: Number(song.end.in_quarters()),
        parts: song.parts.iter().map(part).collect(),
        unsung: Vec::new(),
    };
    Ok((midi::write(&song), answer))
}

/// Music on a staff: the riff in the first bar of the form, or the chorus.
fn written(options: &Options, kind: Kind) -> Result<(Vec<u8>, Answer), Failure> {
    let (key, tempo, swing) = (options.key()?, options.tempo()?, options.feel()?);
    let name = options.value("instrument").unwrap_or("keyboard");
    let instrument = Instrument::named(name)
        .ok_or_else(|| Failure::new(format!("--instrument: “{name}” is none: see riffloom instruments")))?;
    let tune = options.words.first().map(|path| read_abc(path)).transpose()?;
    let tune = tune.ok_or_else(|| Failure::new("expected an ABC file"))?;
    let title = if tune.riff.name.is_empty() { "Riff" } else { &tune.riff.name };
    let (whole, heard);
    let (mut lyrics, mut unsung) = (Vec::new(), Vec::new());
    let passage = if options.value("placements").is_some() {
        let files: Vec<&str> = options.words.iter().map(String::as_str).collect();
        let (chorus, course) = render::chorus_of(options, &files)?;
        (whole, heard) = (course.whole(), chorus.over(course.clone()).heard);
        let passage = Passage::of_chorus(&whole, &heard);
        let verse = Verse::read(&options.value("words").unwrap_or_default().replace('/', "\n"));
        let onsets: Vec<Ticks> = passage.notes().iter().map(|note| note.onset).collect();
        lyrics = notation::lyrics(&course, &verse, onsets.iter().copied());
        unsung = notation::unsung(&course, &verse, &onsets).into_iter().map(|lyric| lyric.text).collect();
        passage
    } else {
        whole = options.form_in(tune.metre)?.changes;
        Passage::of_riff(&whole, &tune.riff, 0)
    };
    let riff = options.value("placements").is_none().then_some(&tune.riff);
    let feel = if swing > SwingRatio::STRAIGHT { "Swing" } else { "" };
    let is_abc = kind == Kind::Abc;
    let reading = if is_abc { Reading::concert(key) } else { instrument.reading(key) };
    let sheet = notation::write(&passage, reading, instrument.clef()).with_lyrics(lyrics);
    let text = if is_abc {
        abc::write_staff(&sheet, &abc::About { name: title, tempo, feel, riff })
    } else {
        let (part, written_above) = (instrument.title(), reading.interval());
        musicxml::write(
            &sheet,
            &musicxml::About { name: title, part, tempo, swing, feel, written_above, riff },
        )
    };
    let last = sheet.measures.last().map_or(0.0, |measure| (measure.at + measure.metre.bar()).in_quarters());
    let part = Part { name: instrument.title().to_owned(), channel: None, notes: passage.notes().len() };
    let bytes = if kind == Kind::Mxl { musicxml::pack(&text) } else { text.into_bytes() };
    Ok((bytes, Answer { quarters: Number(last), parts: vec![part], unsung }))
}

fn score(options: &Options) -> Result<(Score, String), Failure> {
    let name = options.words.first().map(|path| read_abc(path)).transpose()?.map(|tune| tune.riff.name);
    let name = name.unwrap_or_default();
    if !options.has("alone") {
        return Ok((render::score_of(options)?, name));
    }
    let [path] = options.words.as_slice() else { return Err(Failure::new("expected one ABC file")) };
    let tune = read_abc(path)?;
    let changes = options.form_in(tune.metre)?.changes;
    Ok((Score::alone(changes.into(), tune.riff.into(), options.feel()?, 0), name))
}

fn about(name: &str, key: Key, tempo: riffloom::units::QuartersPerMinute) -> About<'_> {
    // Electric piano and jazz guitar, as the page has at first.
    About { name, solo: if name.is_empty() { "Riff" } else { name }, programs: (4, 26), key, tempo }
}
