//! What is written to the browser's storage: one record a riff, one a chorus, one a free chorus, and one for the tune, as JSON.

mod chorus;
mod free;

use std::fmt;
use std::rc::Rc;

use crate::chorus::kept::ChorusId;
use crate::files::fields::{self, Fields};
use crate::files::json::{self, Json};
use crate::files::link::LinkTune;
use crate::form::standard::{ChordStyle, FormKind};
use crate::form::{FormChoice, chart};
use crate::rhythm::feel::SwingRatio;
use crate::rhythm::grid::Division;
use crate::rhythm::metre::Metre;
use crate::riff::{Note, Ornament, Riff, RiffId, read_id, write_id};
use crate::theory::key::{Key, NotAKey};
use crate::theory::pitch::Pitch;
use crate::units::{QuartersPerMinute, Ticks};

pub use chorus::{chorus_of_record, chorus_record_id, read_chorus, write_chorus};
pub use free::{free_of_record, free_record_id, read_free, write_free};

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

impl From<fields::Error> for Unreadable {
    fn from(error: fields::Error) -> Unreadable {
        bad(&error.to_string())
    }
}

/// A riff as it was kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RiffRecord {
    /// The riff.
    pub riff: Riff,
    /// The key that its notes stand in; riffs that were kept before their key was have none.
    pub key: Option<Key>,
    /// The count of its changes.
    pub revision: u32,
}

/// Writes a riff whose notes stand in `key`, where that is known.
pub fn write_riff(riff: &Riff, key: Option<Key>, revision: u32) -> String {
    let divisions: Vec<u8> = riff.divisions().iter().map(|division| division.parts()).collect();
    object(&[
        ("version", &VERSION),
        ("revision", &revision),
        ("id", &write_id(riff.id)),
        ("name", &riff.name),
        ("start", &riff.start.0),
        ("key", &key.map(|key| key.to_string())),
        ("beat", &riff.beat().0),
        ("divisions", &divisions),
        ("notes", &riff.notes()),
    ])
}

impl Json for Note {
    fn write(&self, text: &mut String) {
        let crushed = match self.ornament {
            Some(Ornament::Crushed(pitch)) => Some(pitch.to_string()),
            _ => None,
        };
        let fields: [(&str, &dyn Json); 6] = [
            ("onset", &self.onset.0),
            ("length", &self.length.0),
            ("pitch", &self.pitch.to_string()),
            ("accent", &self.accent.then_some(true)),
            ("scoop", &(self.ornament == Some(Ornament::Scoop)).then_some(true)),
            ("crushed", &crushed),
        ];
        json::write_object(text, &fields);
    }
}

fn object(fields: &[(&str, &dyn Json)]) -> String {
    let mut text = String::new();
    json::write_object(&mut text, fields);
    text
}

/// Reads a riff.
pub fn read_riff(text: &str) -> Result<RiffRecord, Unreadable> {
    riff_of(Fields::parse(text)?)
}

fn riff_of(fields: Fields) -> Result<RiffRecord, Unreadable> {
    let mut fields = known(fields)?;
    let revision = fields.take("revision")?;
    let id = read_id(&fields.take::<String>("id")?).ok_or_else(|| bad("its id is no number"))?;
    let divisions: Vec<u8> = fields.take("divisions")?;
    let divisions: Option<Vec<Division>> = divisions.into_iter().map(Division::new).collect();
    let divisions = divisions.ok_or_else(|| bad("a division is out of range"))?;
    let notes: Vec<Fields> = fields.take("notes")?;
    let notes: Result<Vec<Note>, Unreadable> = notes.into_iter().map(read_note).collect();
    let (start, beat) = (ticks(&mut fields, "start")?, ticks(&mut fields, "beat")?);
    let key = fields.take::<Option<String>>("key")?.map(|key| key.parse()).transpose();
    let key = key.map_err(|error: NotAKey| bad(&error.to_string()))?;
    let riff = Riff::from_parts(id, fields.take("name")?, start, beat, divisions, notes?);
    let riff = riff.ok_or_else(|| bad("its notes overlap or lie outside"))?;
    Ok(RiffRecord { riff, key, revision })
}

fn read_note(mut fields: Fields) -> Result<Note, Unreadable> {
    let pitch = |text: String| text.parse::<Pitch>().map_err(|error| bad(&error.to_string()));
    let crushed: Option<String> = fields.take("crushed")?;
    let crushed = crushed.map(pitch).transpose()?.map(Ornament::Crushed);
    let scoop = fields.take::<Option<bool>>("scoop")?.unwrap_or_default();
    Ok(Note {
        onset: ticks(&mut fields, "onset")?,
        length: ticks(&mut fields, "length")?,
        pitch: pitch(fields.take("pitch")?)?,
        accent: fields.take::<Option<bool>>("accent")?.unwrap_or_default(),
        ornament: crushed.or(scoop.then_some(Ornament::Scoop)),
    })
}

fn ticks(fields: &mut Fields, name: &str) -> Result<Ticks, Unreadable> {
    let ticks: i64 = fields.take(name)?;
    if ticks.unsigned_abs() < 1 << 32 { Ok(Ticks(ticks)) } else { Err(bad("a length is out of range")) }
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
}

/// Writes the tune.
pub fn write_tune(record: &TuneRecord) -> String {
    let form = match &record.tune.form {
        FormChoice::Standard(kind) => kind.name().to_owned(),
        FormChoice::Chart(changes) => chart::write(changes),
    };
    object(&[
        ("version", &VERSION),
        ("key", &record.tune.key.to_string()),
        ("form", &form),
        ("triads", &(record.tune.style == ChordStyle::Triads)),
        ("swing", &record.tune.swing.value()),
        ("dotted", &record.tune.dotted.then_some(true)),
        ("tempo", &record.tune.tempo.value()),
        ("parts", &record.parts),
        ("band", &record.band),
        ("practice", &record.practice),
        ("instrument", &record.instrument),
        ("material", &record.material),
        ("chosen", &write_id(record.chosen)),
        ("chorus", &record.chorus.map(chorus_record_id)),
    ])
}

/// Reads the tune.
pub fn read_tune(text: &str) -> Result<TuneRecord, Unreadable> {
    let mut fields = open(text)?;
    let key = fields.take::<String>("key")?.parse().map_err(|error| bad(&format!("{error}")))?;
    let form: String = fields.take("form")?;
    let form = match FormKind::named(&form) {
        Some(kind) => FormChoice::Standard(kind),
        None => {
            let changes =
                chart::parse(&form, key, Metre::FOUR_FOUR).map_err(|error| bad(&error.to_string()))?;
            FormChoice::Chart(Rc::new(changes))
        }
    };
    let style = if fields.take("triads")? { ChordStyle::Triads } else { ChordStyle::Sevenths };
    let swing = SwingRatio::new(fields.take("swing")?).ok_or_else(|| bad("its feel is out of range"))?;
    let dotted = fields.take::<Option<bool>>("dotted")?.unwrap_or_default();
    let tempo =
        QuartersPerMinute::new(fields.take("tempo")?).ok_or_else(|| bad("its tempo is out of range"))?;
    Ok(TuneRecord {
        tune: LinkTune { key, form, style, swing, dotted, tempo, band: None },
        parts: fields.take("parts")?,
        band: fields.take::<Option<String>>("band")?.unwrap_or_default(),
        // No harm to the tune, whatever stands here.
        practice: fields.take::<Option<String>>("practice").ok().flatten().unwrap_or_default(),
        instrument: fields.take("instrument")?,
        material: fields.take("material")?,
        chosen: read_id(&fields.take::<String>("chosen")?).unwrap_or(RiffId(0)),
        chorus: fields.take::<Option<String>>("chorus")?.and_then(|id| chorus_of_record(&id)),
    })
}

/// The fields of a record, of a version that is known. Fields that are not known are left unread.
fn open(text: &str) -> Result<Fields, Unreadable> {
    known(Fields::parse(text)?)
}

fn known(mut fields: Fields) -> Result<Fields, Unreadable> {
    if fields.take::<u32>("version")? <= VERSION {
        Ok(fields)
    } else {
        Err(bad("it was written by a newer Riffloom"))
    }
}

fn bad(why: &str) -> Unreadable {
    Unreadable { why: why.to_owned() }
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
            let kept = RiffRecord { riff: riff(), key, revision: 7 };
            assert_eq!(read_riff(&write_riff(&riff(), key, 7)), Ok(kept));
        }
    }

    /// serde_json reads the same text.
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
            (r#""revision":7"#, r#""revision":-7"#, "revision"),
            (r#""name":"#, r#""title":"#, "name"),
            (r#""onset":5040"#, r#""onset":"now""#, "onset"),
            (r#""onset":5040"#, r#""onset":99999999999"#, "out of range"),
            (r#""accent":true"#, r#""accent":"yes""#, "accent"),
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
