//! The record of a chorus: beside those of riffs, under an id of its own kind.

use crate::chorus::kept::{Chorus, ChorusId, Spot};
use crate::chorus::placement::{Alteration, Placement};
use crate::files::fields::Fields;
use crate::files::json::{self, Json};
use crate::files::record::{Unreadable, VERSION, bad, object, open, riff_of, ticks, write_riff};
use crate::riff::variation::How;
use crate::riff::{Riff, RiffId, read_id, write_id};
use crate::theory::interval::Interval;

/// What stands before a chorus's id in the id of its record, so that it is never taken for a riff.
const KIND: &str = "chorus-";

/// The id of a chorus's record.
pub fn chorus_record_id(id: ChorusId) -> String {
    format!("{KIND}{}", write_id(RiffId(id.0)))
}

/// The chorus whose record has this id, or `None` where it is another kind's.
pub fn chorus_of_record(id: &str) -> Option<ChorusId> {
    id.strip_prefix(KIND).and_then(read_id).map(|id| ChorusId(id.0))
}

/// Writes a chorus.
pub fn write_chorus(chorus: &Chorus, revision: u32) -> String {
    let mut chorus = chorus.clone();
    chorus.prune();
    let riffs: Vec<Raw> = chorus.riffs().iter().map(|riff| Raw(write_riff(riff, None, 1))).collect();
    object(&[
        ("version", &VERSION),
        ("revision", &revision),
        ("id", &chorus_record_id(chorus.id)),
        ("name", &chorus.name().to_owned()),
        ("times", &chorus.times()),
        ("riffs", &riffs),
        ("spots", &chorus.spots()),
    ])
}

/// JSON that is written already.
struct Raw(String);

impl Json for Raw {
    fn write(&self, text: &mut String) {
        text.push_str(&self.0);
    }
}

impl Json for Spot {
    fn write(&self, text: &mut String) {
        let changes = &self.placement.changes;
        // One change stands in the placement itself, as it did before there could be several.
        let (one, several) = match changes.as_slice() {
            [] => (None, None),
            [one] => (Some(one), None),
            _ => (None, Some(changes)),
        };
        let change = one.map(ChangeFields::of).unwrap_or_default();
        let [steps, semitones, how, seed] = change.fields();
        let fields: [(&str, &dyn Json); 8] = [
            ("at", &self.placement.at.0),
            ("riff", &self.placement.riff),
            steps,
            semitones,
            how,
            seed,
            ("changes", &several.cloned()),
            ("stays", &self.stays.then_some(true)),
        ];
        json::write_object(text, &fields);
    }
}

impl Json for Alteration {
    fn write(&self, text: &mut String) {
        json::write_object(text, &ChangeFields::of(self).fields());
    }
}

/// A change as it is written; what does not belong to it is left out.
#[derive(Default)]
struct ChangeFields {
    steps: Option<i32>,
    semitones: Option<i32>,
    how: Option<String>,
    seed: Option<i64>,
}

impl ChangeFields {
    fn of(change: &Alteration) -> ChangeFields {
        match *change {
            Alteration::Transposed(by) => {
                ChangeFields { steps: Some(by.steps), semitones: Some(by.semitones), ..Default::default() }
            }
            Alteration::Varied { how, seed } => ChangeFields {
                how: Some(how.name().to_owned()),
                seed: Some(seed as i64),
                ..Default::default()
            },
        }
    }

    fn fields(&self) -> [(&'static str, &dyn Json); 4] {
        [("steps", &self.steps), ("semitones", &self.semitones), ("how", &self.how), ("seed", &self.seed)]
    }
}

/// Reads a chorus and its revision.
pub fn read_chorus(text: &str) -> Result<(Chorus, u32), Unreadable> {
    let mut fields = open(text)?;
    let revision = fields.take("revision")?;
    let id: String = fields.take("id")?;
    let id = chorus_of_record(&id).ok_or_else(|| bad("its id is no chorus's"))?;
    let riffs: Vec<Fields> = fields.take("riffs")?;
    let riffs = riffs.into_iter().map(|riff| Ok(riff_of(riff)?.riff));
    let riffs = riffs.collect::<Result<Vec<Riff>, Unreadable>>()?;
    let spots: Vec<Fields> = fields.take("spots")?;
    let spots = spots.into_iter().map(read_spot).collect::<Result<Vec<Spot>, Unreadable>>()?;
    let name: String = fields.take("name")?;
    let chorus = Chorus::from_parts(id, &name, fields.take("times")?, riffs, spots);
    Ok((chorus.ok_or_else(|| bad("its placements are out of range"))?, revision))
}

fn read_spot(mut fields: Fields) -> Result<Spot, Unreadable> {
    let changes = match fields.take::<Option<Vec<Fields>>>("changes")? {
        Some(several) => several
            .into_iter()
            .map(|mut one| read_change(&mut one)?.ok_or_else(|| bad("a change says nothing")))
            .collect::<Result<Vec<Alteration>, Unreadable>>()?,
        None => read_change(&mut fields)?.into_iter().collect(),
    };
    let placement = Placement { at: ticks(&mut fields, "at")?, riff: fields.take("riff")?, changes };
    Ok(Spot { placement, stays: fields.take::<Option<bool>>("stays")?.unwrap_or_default() })
}

/// The change that stands in these fields, if one does.
fn read_change(fields: &mut Fields) -> Result<Option<Alteration>, Unreadable> {
    let (steps, semitones): (Option<i32>, Option<i32>) = (fields.take("steps")?, fields.take("semitones")?);
    let how: Option<String> = fields.take("how")?;
    let seed = fields.take::<Option<u32>>("seed")?.unwrap_or_default();
    let small = |number: &i32| (-127..=127).contains(number);
    Ok(match (how, steps, semitones) {
        (None, None, None) => None,
        (Some(how), _, _) => {
            let how = How::named(&how).ok_or_else(|| bad("it has a change that is not known"))?;
            Some(Alteration::Varied { how, seed: seed.into() })
        }
        (None, Some(steps), Some(semitones)) if small(&steps) && small(&semitones) => {
            Some(Alteration::Transposed(Interval::new(steps, semitones)))
        }
        _ => return Err(bad("a transposition is out of range")),
    })
}
