//! What is written to the browser's storage: one record a riff, one a chorus, one a free chorus, one a lesson or an answer, and one for the tune, as JSON.

mod chorus;
mod class;
mod free;

use std::fmt;
use std::rc::Rc;

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use crate::chorus::kept::ChorusId;
use crate::files::link::LinkTune;
use crate::form::standard::{ChordStyle, FormKind};
use crate::form::{FormChoice, chart};
use crate::rhythm::feel::SwingRatio;
use crate::rhythm::grid::Division;
use crate::rhythm::metre::Metre;
use crate::riff::labels::Labels;
use crate::riff::{Note, Ornament, Riff, RiffId, read_id, write_id};
use crate::theory::key::Key;
use crate::theory::pitch::Pitch;
use crate::units::{QuartersPerMinute, Ticks};

pub use chorus::{
    ChorusRecord, chorus_of_record, chorus_record_id, read_chorus, read_chorus_record, write_chorus,
    write_chorus_labelled,
};
pub use class::{ClassRecord, class_of_record, class_record_id, read_class, write_class};
pub use free::{free_of_record, free_record_id, read_free, write_free};

/// The version that is written.
pub(crate) const VERSION: u32 = 1;

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

/// A riff as it was kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RiffRecord {
    /// The riff.
    pub riff: Riff,
    /// The key that its notes stand in; riffs that were kept before their key was have none.
    pub key: Option<Key>,
    /// The labels that a person put on it.
    pub labels: Labels,
    /// The count of its changes.
    pub revision: u32,
}

/// A riff as it stands in its record. What is absent is ordinary, so that records of earlier versions read.
#[derive(Serialize, Deserialize)]
pub(crate) struct RiffFields {
    version: u32,
    revision: u32,
    id: String,
    name: String,
    /// Ticks from the bar line.
    start: i64,
    #[serde(skip_serializing_if = "Option::is_none")]
    key: Option<String>,
    /// Ticks in a beat.
    beat: i64,
    divisions: Vec<u8>,
    notes: Vec<NoteFields>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    labels: Vec<String>,
}

/// A note as it stands in a record.
#[derive(Serialize, Deserialize)]
pub(crate) struct NoteFields {
    /// Ticks from the riff's start.
    onset: i64,
    /// Ticks.
    length: i64,
    pitch: String,
    #[serde(default, skip_serializing_if = "is_false")]
    accent: bool,
    #[serde(default, skip_serializing_if = "is_false")]
    scoop: bool,
    /// The note that is crushed into it.
    #[serde(skip_serializing_if = "Option::is_none")]
    crushed: Option<String>,
}

fn is_false(value: &bool) -> bool {
    !value
}

/// Writes a riff whose notes stand in `key`, where that is known.
pub fn write_riff(riff: &Riff, key: Option<Key>, revision: u32) -> String {
    write(&RiffFields::of(riff, key, revision))
}

/// The same with the labels that a person put on it.
pub fn write_riff_labelled(riff: &Riff, key: Option<Key>, labels: &Labels, revision: u32) -> String {
    write(&RiffFields { labels: labels.texts().to_vec(), ..RiffFields::of(riff, key, revision) })
}

/// Reads a riff.
pub fn read_riff(text: &str) -> Result<RiffRecord, Unreadable> {
    read::<RiffFields>(text)?.riff()
}

impl RiffFields {
    pub(crate) fn of(riff: &Riff, key: Option<Key>, revision: u32) -> RiffFields {
        RiffFields {
            version: VERSION,
            revision,
            id: write_id(riff.id),
            name: riff.name.clone(),
            start: riff.start.0,
            key: key.map(|key| key.to_string()),
            beat: riff.beat().0,
            divisions: riff.divisions().iter().map(|division| division.parts()).collect(),
            notes: riff.notes().iter().map(NoteFields::of).collect(),
            labels: Vec::new(),
        }
    }

    pub(crate) fn riff(self) -> Result<RiffRecord, Unreadable> {
        let id = read_id(&self.id).ok_or_else(|| bad("its id is no number"))?;
        let divisions: Option<Vec<Division>> = self.divisions.into_iter().map(Division::new).collect();
        let divisions = divisions.ok_or_else(|| bad("a division is out of range"))?;
        let notes: Result<Vec<Note>, Unreadable> = self.notes.into_iter().map(NoteFields::note).collect();
        let key = self.key.map(|key| key.parse()).transpose().map_err(because)?;
        let riff = Riff::from_parts(id, self.name, Ticks(self.start), Ticks(self.beat), divisions, notes?);
        let riff = riff.ok_or_else(|| {
            bad("its notes overlap, or it is longer or begins further from the bar line than a riff can")
        })?;
        Ok(RiffRecord { riff, key, labels: Labels::of(self.labels), revision: self.revision })
    }
}

impl NoteFields {
    fn of(note: &Note) -> NoteFields {
        let crushed = match note.ornament {
            Some(Ornament::Crushed(pitch)) => Some(pitch.to_string()),
            Some(Ornament::Scoop) | None => None,
        };
        NoteFields {
            onset: note.onset.0,
            length: note.length.0,
            pitch: note.pitch.to_string(),
            accent: note.accent,
            scoop: note.ornament == Some(Ornament::Scoop),
            crushed,
        }
    }

    fn note(self) -> Result<Note, Unreadable> {
        let crushed = self.crushed.map(|pitch| pitch.parse::<Pitch>()).transpose().map_err(because)?;
        Ok(Note {
            onset: Ticks(self.onset),
            length: Ticks(self.length),
            pitch: self.pitch.parse().map_err(because)?,
            accent: self.accent,
            ornament: crushed.map(Ornament::Crushed).or(self.scoop.then_some(Ornament::Scoop)),
        })
    }
}

/// The tune's record, and what goes with it.
#[derive(Clone, Debug, PartialEq)]
pub struct TuneRecord {
    /// Key, form, chords, feel and tempo.
    pub tune: LinkTune,
    /// The parts that play, by name.
    pub parts: Vec<String>,
    /// How the band plays, as `notebook::band` writes it; empty for the ordinary band.
    pub band: String,
    /// How one practises, as `practice::settings` writes it; empty for the ordinary settings.
    pub practice: String,
    /// The instrument, by name.
    pub instrument: String,
    /// The notes in use, by name.
    pub material: String,
    /// The riff that lay on the desk.
    pub chosen: RiffId,
    /// The chorus that was worked on, if there was one.
    pub chorus: Option<ChorusId>,
    /// The record of the tune that a link or the demo took the place of; empty where none did.
    pub before: String,
}

/// The tune as it stands in its record.
#[derive(Serialize, Deserialize)]
struct TuneFields {
    version: u32,
    key: String,
    /// The name of a form, or a chart.
    form: String,
    triads: bool,
    swing: f64,
    #[serde(default, skip_serializing_if = "is_false")]
    dotted: bool,
    /// Quarters a minute.
    tempo: f64,
    parts: Vec<String>,
    #[serde(default)]
    band: String,
    /// Read by itself, so that nothing that may stand here costs the tune.
    #[serde(skip_deserializing)]
    practice: String,
    instrument: String,
    material: String,
    chosen: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    chorus: Option<String>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    before: String,
}

/// How one practises, as it stands in the tune's record.
#[derive(Deserialize)]
struct PracticeField {
    practice: String,
}

/// Writes the tune.
pub fn write_tune(record: &TuneRecord) -> String {
    let form = match &record.tune.form {
        FormChoice::Standard(kind) => kind.name().to_owned(),
        FormChoice::Chart(changes) => chart::write(changes),
    };
    write(&TuneFields {
        version: VERSION,
        key: record.tune.key.to_string(),
        form,
        triads: record.tune.style == ChordStyle::Triads,
        swing: record.tune.swing.value(),
        dotted: record.tune.dotted,
        tempo: record.tune.tempo.value(),
        parts: record.parts.clone(),
        band: record.band.clone(),
        practice: record.practice.clone(),
        instrument: record.instrument.clone(),
        material: record.material.clone(),
        chosen: write_id(record.chosen),
        chorus: record.chorus.map(chorus_record_id),
        before: record.before.clone(),
    })
}

/// Reads the tune.
pub fn read_tune(text: &str) -> Result<TuneRecord, Unreadable> {
    let fields: TuneFields = read(text)?;
    let key = fields.key.parse().map_err(because)?;
    let form = match FormKind::named(&fields.form) {
        Some(kind) => FormChoice::Standard(kind),
        None => {
            FormChoice::Chart(Rc::new(chart::parse(&fields.form, key, Metre::FOUR_FOUR).map_err(because)?))
        }
    };
    let style = if fields.triads { ChordStyle::Triads } else { ChordStyle::Sevenths };
    let swing = SwingRatio::new(settled(fields.swing)).ok_or_else(|| bad("its feel is out of range"))?;
    let tempo =
        QuartersPerMinute::new(settled(fields.tempo)).ok_or_else(|| bad("its tempo is out of range"))?;
    let practice = serde_json::from_str::<PracticeField>(text).map(|fields| fields.practice);
    Ok(TuneRecord {
        tune: LinkTune { key, form, style, swing, dotted: fields.dotted, tempo, band: None },
        parts: fields.parts,
        band: fields.band,
        practice: practice.unwrap_or_default(),
        instrument: fields.instrument,
        material: fields.material,
        chosen: read_id(&fields.chosen).unwrap_or(RiffId(0)),
        chorus: fields.chorus.and_then(|id| chorus_of_record(&id)),
        before: fields.before,
    })
}

/// To a thousandth: a number with more digits may come out of the reader with another last one each time.
fn settled(number: f64) -> f64 {
    (number * 1000.0).round() / 1000.0
}

/// The JSON text of a record.
pub(crate) fn write<T: Serialize>(record: &T) -> String {
    serde_json::to_string(record).expect("plain fields can always be written")
}

/// Whether a record was written by a newer version of the page than this one.
pub fn is_newer(text: &str) -> bool {
    serde_json::from_str(text).is_ok_and(|Version { version }| version > VERSION)
}

/// The version alone: what a newer page wrote may have other fields.
#[derive(Deserialize)]
struct Version {
    version: u32,
}

/// Reads a record of a version that is known. Fields that are not known are passed over.
pub(crate) fn read<T: DeserializeOwned>(text: &str) -> Result<T, Unreadable> {
    let Version { version } = serde_json::from_str(text).map_err(because)?;
    if version > VERSION {
        return Err(bad("it was written by a newer Riffloom"));
    }
    serde_json::from_str(text).map_err(because)
}

/// A decimal number, finite, as JSON writes it.
///
/// Not by `str::parse`, whose table would be ten kilobytes of the page; where a number has more than fifteen digits, the
/// last bit may differ.
pub(crate) fn number(text: &str) -> Option<f64> {
    serde_json::from_str(text).ok()
}

/// A record that does not read, and why.
pub(crate) fn bad(why: &str) -> Unreadable {
    Unreadable { why: why.to_owned() }
}

fn because(error: impl fmt::Display) -> Unreadable {
    bad(&error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn riff() -> Riff {
        let note = |onset, pitch: &str, accent, ornament| Note {
            onset: Ticks(onset),
            length: Ticks(5040),
            pitch: pitch.parse().unwrap(),
            accent,
            ornament,
        };
        let notes = vec![
            note(0, "Bb4", false, None),
            note(5040, "B4", true, Some(Ornament::Scoop)),
            note(10_080, "D5", false, Some(Ornament::Crushed("C#5".parse().unwrap()))),
        ];
        let divisions = vec![Division::new(2).unwrap(); 4];
        let (start, beat) = (Ticks(-Ticks::PER_QUARTER), Ticks::QUARTER);
        Riff::from_parts(RiffId(0xfedc_ba98_7654_3210), "Ferry bell".into(), start, beat, divisions, notes)
            .unwrap()
    }

    #[test]
    fn a_riff_reads_back_the_same() {
        for key in [None, "F#m".parse().ok()] {
            let kept = RiffRecord { riff: riff(), key, labels: Labels::default(), revision: 7 };
            assert_eq!(read_riff(&write_riff(&riff(), key, 7)), Ok(kept.clone()));
            let labels = Labels::of(["slow".to_owned(), "Tuesday “group”".to_owned()]);
            let text = write_riff_labelled(&riff(), key, &labels, 7);
            assert_eq!(read_riff(&text), Ok(RiffRecord { labels, ..kept }));
        }
    }

    #[test]
    fn a_record_is_json() {
        let text = write_riff(&riff(), "G".parse().ok(), 7);
        let value: serde_json::Value = serde_json::from_str(&text).unwrap();
        assert_eq!(value["notes"][2]["crushed"], "C#5");
        assert_eq!(value["start"], -10_080);
    }

    #[test]
    fn a_field_that_is_missing_or_wrong_is_named() {
        let text = write_riff(&riff(), "G".parse().ok(), 7);
        for (from, to, named) in [
            (r#""version":1"#, r#""version":2"#, "newer"),
            (r#""revision":7"#, r#""revision":-7"#, "u32"),
            (r#""name":"#, r#""title":"#, "name"),
            (r#""onset":5040"#, r#""onset":"now""#, "i64"),
            (r#""onset":5040"#, r#""onset":99999999999"#, "longer"),
            (r#""start":-10080"#, r#""start":4294967296"#, "bar line"),
            (r#""start":-10080"#, r#""start":-9007199254740992"#, "bar line"),
            (r#""beat":10080"#, r#""beat":10081"#, "longer"),
            (r#""accent":true"#, r#""accent":"yes""#, "boolean"),
            (r#""pitch":"B4""#, r#""pitch":"H4""#, "H4"),
            (r#""key":"G""#, r#""key":"H""#, "H"),
        ] {
            assert!(text.contains(from), "{from}");
            let why = read_riff(&text.replace(from, to)).unwrap_err().to_string();
            assert!(why.contains(named), "{to}: {why}");
        }
        assert!(read_riff("").is_err() && read_riff("[]").is_err() && read_tune("{}").is_err());
    }
}
