//! The record of a chorus: beside those of riffs, under an id of its own kind.

use serde::{Deserialize, Serialize};

use crate::chorus::kept::{Chorus, ChorusId, Spot};
use crate::chorus::placement::{Alteration, Placement};
use crate::chorus::verse::Verse;
use crate::files::record::{RiffFields, Unreadable, VERSION, bad, is_false, read, write};
use crate::riff::labels::Labels;
use crate::riff::variation::How;
use crate::riff::{Riff, RiffId, read_id, write_id};
use crate::theory::interval::Interval;
use crate::units::Ticks;

/// What stands before a chorus's id in the id of its record, so that it is never taken for a riff.
const KIND: &str = "chorus-";
/// Why a change does not read.
const TOO_FAR: &str = "a transposition is out of range";

/// The id of a chorus's record.
pub fn chorus_record_id(id: ChorusId) -> String {
    format!("{KIND}{}", write_id(RiffId(id.0)))
}

/// The chorus whose record has this id, or `None` where it is another kind's.
pub fn chorus_of_record(id: &str) -> Option<ChorusId> {
    id.strip_prefix(KIND).and_then(read_id).map(|id| ChorusId(id.0))
}

/// A chorus as it stands in its record, with the riffs in it.
#[derive(Serialize, Deserialize)]
struct ChorusFields {
    version: u32,
    revision: u32,
    id: String,
    name: String,
    times: usize,
    riffs: Vec<RiffFields>,
    spots: Vec<SpotFields>,
    /// The words over its lines, as `chorus::verse` writes them. Records of before there were any have none.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    words: String,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    labels: Vec<String>,
}

/// A chorus as it was kept.
#[derive(Clone, Debug, PartialEq)]
pub struct ChorusRecord {
    /// The chorus.
    pub chorus: Chorus,
    /// The labels that a person put on it.
    pub labels: Labels,
    /// The count of its changes.
    pub revision: u32,
}

/// A placement as it stands in a record.
#[derive(Serialize, Deserialize)]
struct SpotFields {
    /// Ticks from the start of the form, counted on through all times.
    at: i64,
    riff: usize,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    changes: Vec<ChangeFields>,
    #[serde(default, skip_serializing_if = "is_false")]
    stays: bool,
    // Before there could be several, the one change stood in the placement itself. Such records are read for ever.
    #[serde(skip_serializing)]
    steps: Option<i32>,
    #[serde(skip_serializing)]
    semitones: Option<i32>,
    #[serde(skip_serializing)]
    how: Option<String>,
    #[serde(skip_serializing)]
    seed: Option<u64>,
}

/// A change as it stands in a record: `steps` and `semitones` of a transposition, or `how` and `seed` of a variation.
#[derive(Default, Serialize, Deserialize)]
struct ChangeFields {
    #[serde(skip_serializing_if = "Option::is_none")]
    steps: Option<i32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    semitones: Option<i32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    how: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    seed: Option<u64>,
}

/// Writes a chorus.
pub fn write_chorus(chorus: &Chorus, revision: u32) -> String {
    write_chorus_labelled(chorus, &Labels::default(), revision)
}

/// The same with the labels that a person put on it.
pub fn write_chorus_labelled(chorus: &Chorus, labels: &Labels, revision: u32) -> String {
    let mut chorus = chorus.clone();
    chorus.prune();
    write(&ChorusFields {
        version: VERSION,
        revision,
        id: chorus_record_id(chorus.id),
        name: chorus.name().to_owned(),
        times: chorus.times(),
        riffs: chorus.riffs().iter().map(|riff| RiffFields::of(riff, None, 1)).collect(),
        spots: chorus.spots().iter().map(SpotFields::of).collect(),
        words: chorus.words().to_owned(),
        labels: labels.texts().to_vec(),
    })
}

/// Reads a chorus and its revision.
pub fn read_chorus(text: &str) -> Result<(Chorus, u32), Unreadable> {
    read_chorus_record(text).map(|kept| (kept.chorus, kept.revision))
}

/// Reads a chorus with its labels.
pub fn read_chorus_record(text: &str) -> Result<ChorusRecord, Unreadable> {
    let fields: ChorusFields = read(text)?;
    let id = chorus_of_record(&fields.id).ok_or_else(|| bad("its id is no chorus's"))?;
    let riffs = fields.riffs.into_iter().map(|riff| Ok(riff.riff()?.riff));
    let riffs = riffs.collect::<Result<Vec<Riff>, Unreadable>>()?;
    let spots = fields.spots.into_iter().map(SpotFields::spot);
    let spots = spots.collect::<Result<Vec<Spot>, Unreadable>>()?;
    let chorus = Chorus::from_parts(id, &fields.name, fields.times, riffs, spots);
    let chorus = chorus.ok_or_else(|| bad("its placements are out of range"))?;
    let chorus = chorus.with_verse(&Verse::read(&fields.words));
    Ok(ChorusRecord { chorus, labels: Labels::of(fields.labels), revision: fields.revision })
}

impl SpotFields {
    fn of(spot: &Spot) -> SpotFields {
        let Placement { at, riff, changes } = &spot.placement;
        SpotFields {
            at: at.0,
            riff: *riff,
            changes: changes.iter().map(ChangeFields::of).collect(),
            stays: spot.stays,
            steps: None,
            semitones: None,
            how: None,
            seed: None,
        }
    }

    fn spot(self) -> Result<Spot, Unreadable> {
        let SpotFields { steps, semitones, how, seed, .. } = self;
        let several = self
            .changes
            .into_iter()
            .map(|change| change.alteration()?.ok_or_else(|| bad("a change says nothing")));
        let mut changes = several.collect::<Result<Vec<Alteration>, Unreadable>>()?;
        if changes.is_empty() {
            changes.extend(ChangeFields { steps, semitones, how, seed }.alteration()?);
        }
        let placement = Placement { at: Ticks(self.at), riff: self.riff, changes };
        Ok(Spot { placement, stays: self.stays })
    }
}

impl ChangeFields {
    fn of(change: &Alteration) -> ChangeFields {
        match *change {
            Alteration::Transposed(by) => ChangeFields {
                steps: Some(by.steps),
                semitones: Some(by.semitones),
                ..ChangeFields::default()
            },
            Alteration::Varied { how, seed } => {
                ChangeFields { how: Some(how.name().to_owned()), seed: Some(seed), ..ChangeFields::default() }
            }
        }
    }

    /// The change that stands in these fields, if one does.
    fn alteration(self) -> Result<Option<Alteration>, Unreadable> {
        Ok(match (self.how, self.steps, self.semitones) {
            (None, None, None) => None,
            (Some(how), _, _) => {
                let how = How::named(&how).ok_or_else(|| bad("it has a change that is not known"))?;
                let seed = u32::try_from(self.seed.unwrap_or_default());
                Some(Alteration::Varied { how, seed: seed.map_err(|_| bad("a try is out of range"))?.into() })
            }
            (None, Some(steps), Some(semitones)) => {
                let change = Alteration::Transposed(Interval::new(steps, semitones));
                Some(Some(change).filter(Alteration::is_in_reach).ok_or_else(|| bad(TOO_FAR))?)
            }
            _ => return Err(bad(TOO_FAR)),
        })
    }
}
