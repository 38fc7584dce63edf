//! What is written to the browser's storage: one record a riff and one for the tune, as JSON.

use std::fmt;
use std::rc::Rc;

use serde::{Deserialize, Serialize};

use crate::files::link::LinkTune;
use crate::form::standard::{ChordStyle, FormKind};
use crate::form::{FormChoice, chart};
use crate::rhythm::feel::SwingRatio;
use crate::rhythm::grid::Division;
use crate::rhythm::metre::Metre;
use crate::riff::{Note, Ornament, Riff, RiffId};
use crate::theory::pitch::Pitch;
use crate::units::{QuartersPerMinute, Ticks};

/// The version that is written.
const VERSION: u32 = 1;

/// Why a record does not read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unreadable {
    /// What is wrong, for the page's message.
    pub why: String,
}

impl fmt::Display for Unreadable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a saved record does not read: {}", self.why)
    }
}

impl std::error::Error for Unreadable {}

#[derive(Serialize, Deserialize)]
struct RiffRecord {
    version: u32,
    revision: u32,
    id: String,
    name: String,
    start: i64,
    beat: i64,
    divisions: Vec<u8>,
    notes: Vec<NoteRecord>,
}

#[derive(Serialize, Deserialize)]
struct NoteRecord {
    onset: i64,
    length: i64,
    pitch: String,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    accent: bool,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    scoop: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    crushed: Option<String>,
}

/// Writes a riff.
pub fn write_riff(riff: &Riff, revision: u32) -> String {
    let note = |note: &Note| NoteRecord {
        onset: note.onset.0,
        length: note.length.0,
        pitch: note.pitch.to_string(),
        accent: note.accent,
        scoop: note.ornament == Some(Ornament::Scoop),
        crushed: match note.ornament {
            Some(Ornament::Crushed(pitch)) => Some(pitch.to_string()),
            _ => None,
        },
    };
    let record = RiffRecord {
        version: VERSION,
        revision,
        id: format!("{:016x}", riff.id.0),
        name: riff.name.clone(),
        start: riff.start.0,
        beat: riff.beat().0,
        divisions: riff.divisions().iter().map(|division| division.parts()).collect(),
        notes: riff.notes().iter().map(note).collect(),
    };
    serde_json::to_string(&record).unwrap_or_default()
}

/// Reads a riff and its revision.
pub fn read_riff(text: &str) -> Result<(Riff, u32), Unreadable> {
    let record: RiffRecord = parse(text)?;
    newest(record.version)?;
    let id = u64::from_str_radix(&record.id, 16).map_err(|_| bad("its id is no number"))?;
    let divisions: Option<Vec<Division>> =
        record.divisions.iter().map(|parts| Division::new(*parts)).collect();
    let notes: Result<Vec<Note>, Unreadable> = record.notes.iter().map(read_note).collect();
    let in_range = |ticks: i64| ticks.abs() < 1 << 32;
    if !in_range(record.start) || !in_range(record.beat) {
        return Err(bad("a length is out of range"));
    }
    let (start, beat) = (Ticks(record.start), Ticks(record.beat));
    let divisions = divisions.ok_or_else(|| bad("a division is out of range"))?;
    let riff = Riff::from_parts(RiffId(id), record.name, start, beat, divisions, notes?);
    Ok((riff.ok_or_else(|| bad("its notes overlap or lie outside"))?, record.revision))
}

fn read_note(record: &NoteRecord) -> Result<Note, Unreadable> {
    let pitch = |text: &str| text.parse::<Pitch>().map_err(|error| bad(&error.to_string()));
    let crushed = record.crushed.as_deref().map(pitch).transpose()?.map(Ornament::Crushed);
    if record.onset.abs() >= 1 << 32 || record.length.abs() >= 1 << 32 {
        return Err(bad("a length is out of range"));
    }
    Ok(Note {
        onset: Ticks(record.onset),
        length: Ticks(record.length),
        pitch: pitch(&record.pitch)?,
        accent: record.accent,
        ornament: crushed.or(record.scoop.then_some(Ornament::Scoop)),
    })
}

/// The tune's record, and what goes with it.
#[derive(Clone, Debug, PartialEq)]
pub struct TuneRecord {
    /// Key, form, chords, feel and tempo.
    pub tune: LinkTune,
    /// The parts that play, by name.
    pub parts: Vec<String>,
    /// The instrument, by name.
    pub instrument: String,
    /// The notes in use, by name.
    pub material: String,
    /// The riff that lay on the desk.
    pub chosen: RiffId,
}

#[derive(Serialize, Deserialize)]
struct TuneText {
    version: u32,
    key: String,
    form: String,
    triads: bool,
    swing: f64,
    tempo: f64,
    parts: Vec<String>,
    instrument: String,
    material: String,
    chosen: String,
}

/// Writes the tune.
pub fn write_tune(record: &TuneRecord) -> String {
    let form = match &record.tune.form {
        FormChoice::Standard(kind) => kind.name().to_owned(),
        FormChoice::Chart(changes) => chart::write(changes),
    };
    let text = TuneText {
        version: VERSION,
        key: record.tune.key.to_string(),
        form,
        triads: record.tune.style == ChordStyle::Triads,
        swing: record.tune.swing.value(),
        tempo: record.tune.tempo.value(),
        parts: record.parts.clone(),
        instrument: record.instrument.clone(),
        material: record.material.clone(),
        chosen: format!("{:016x}", record.chosen.0),
    };
    serde_json::to_string(&text).unwrap_or_default()
}

/// Reads the tune.
pub fn read_tune(text: &str) -> Result<TuneRecord, Unreadable> {
    let text: TuneText = parse(text)?;
    newest(text.version)?;
    let key = text.key.parse().map_err(|error| bad(&format!("{error}")))?;
    let form = match FormKind::named(&text.form) {
        Some(kind) => FormChoice::Standard(kind),
        None => {
            let changes =
                chart::parse(&text.form, key, Metre::FOUR_FOUR).map_err(|error| bad(&error.to_string()))?;
            FormChoice::Chart(Rc::new(changes))
        }
    };
    let style = if text.triads { ChordStyle::Triads } else { ChordStyle::Sevenths };
    let swing = SwingRatio::new(text.swing).ok_or_else(|| bad("its feel is out of range"))?;
    let tempo = QuartersPerMinute::new(text.tempo).ok_or_else(|| bad("its tempo is out of range"))?;
    Ok(TuneRecord {
        tune: LinkTune { key, form, style, swing, tempo },
        parts: text.parts,
        instrument: text.instrument,
        material: text.material,
        chosen: RiffId(u64::from_str_radix(&text.chosen, 16).unwrap_or_default()),
    })
}

fn parse<'a, T: Deserialize<'a>>(text: &'a str) -> Result<T, Unreadable> {
    serde_json::from_str(text).map_err(|error| bad(&error.to_string()))
}

fn newest(version: u32) -> Result<(), Unreadable> {
    if version <= VERSION { Ok(()) } else { Err(bad("it was written by a newer Riffloom")) }
}

fn bad(why: &str) -> Unreadable {
    Unreadable { why: why.to_owned() }
}
