//! Links that hold a chorus: the tune, the riffs that the chorus holds, and where each stands.
//!
//! The second format. A page that knows only the first says that the link was made by a newer one.

use crate::chorus::course::Course;
use crate::chorus::kept::{Chorus, ChorusId, Spot};
use crate::chorus::placement::{Alteration, Placement};
use crate::files::link::{
    Error, LinkTune, Reader, finished, greatest_common_divisor, read_riff, read_tune, small, write_number,
    write_riff, write_text, write_tune,
};
use crate::riff::variation::How;
use crate::riff::{Riff, RiffId};
use crate::theory::interval::Interval;
use crate::units::Ticks;

/// The version that a chorus has in front.
pub(super) const VERSION: u8 = 2;

/// What a link to a chorus holds.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedChorus {
    /// The tune.
    pub tune: LinkTune,
    /// The chorus; a link has no ids, so this one's is zero, and its riffs' are their places counted from 1.
    pub chorus: Chorus,
}

/// Writes the link's text, or `None` where the chorus is longer than any link. Which placements stay for suggestions
/// is not told, nor riffs that stand nowhere.
pub fn encode_chorus(tune: &LinkTune, chorus: &Chorus) -> Option<String> {
    let mut chorus = chorus.clone();
    chorus.prune();
    let text = finished(|salt| body(salt, tune, &chorus));
    (text.len() <= super::MOST_CHARACTERS_OF_CHORUS).then_some(text)
}

/// Ways in which a placement may be changed, as they stand in two bits beside its riff.
const AS_IT_IS: u8 = 0;
const TRANSPOSED: u8 = 1;
const VARIED: u8 = 2;

fn body(salt: u8, tune: &LinkTune, chorus: &Chorus) -> Vec<u8> {
    let mut out = vec![salt << 5 | VERSION];
    write_tune(tune, &mut out);
    out.push(chorus.times() as u8);
    out.push(chorus.riffs().len() as u8);
    chorus.riffs().iter().for_each(|riff| write_riff(riff, &mut out));
    let unit = chorus.spots().iter().map(|spot| spot.placement.at.0).fold(0, greatest_common_divisor).max(1);
    write_number(unit as u64, &mut out);
    write_number(chorus.spots().len() as u64, &mut out);
    let mut before = 0;
    for Spot { placement, .. } in chorus.spots() {
        write_number(((placement.at.0 - before) / unit) as u64, &mut out);
        before = placement.at.0;
        write_placement(placement, &mut out);
    }
    write_text(chorus.name(), &mut out);
    out
}

fn write_placement(placement: &Placement, out: &mut Vec<u8>) {
    let kind = match placement.change {
        None => AS_IT_IS,
        Some(Alteration::Transposed(_)) => TRANSPOSED,
        Some(Alteration::Varied { .. }) => VARIED,
    };
    out.push(placement.riff as u8 | kind << 6);
    match placement.change {
        None => {}
        Some(Alteration::Transposed(by)) => out.extend([by.steps as i8 as u8, by.semitones as i8 as u8]),
        Some(Alteration::Varied { how, seed }) => {
            out.push(How::all().position(|other| other == how).unwrap_or_default() as u8);
            write_number(seed, out);
        }
    }
}

pub(super) fn read(reader: &mut Reader) -> Result<SharedChorus, Error> {
    let tune = read_tune(reader)?;
    let times = usize::from(reader.byte()?);
    if !(1..=Course::MOST_CHORUSES).contains(&times) {
        return Err(Error::Nonsense);
    }
    let count = u64::from(reader.byte()?);
    let mut riffs: Vec<Riff> = Vec::new();
    for place in 1..=count {
        let mut riff = read_riff(reader)?;
        riff.id = RiffId(place);
        riffs.push(riff);
    }
    let unit = small(reader.number()?)?;
    let count = small(reader.number()?)?;
    let mut at = Ticks::ZERO;
    let mut spots = Vec::new();
    for _ in 0..count {
        at += Ticks(small(reader.number()?)? * unit);
        if at > Chorus::LATEST {
            return Err(Error::Nonsense);
        }
        let (riff, change) = read_placement(reader)?;
        spots.push(Spot { placement: Placement { at, riff, change }, stays: false });
    }
    let name = reader.text()?;
    let chorus = Chorus::from_parts(ChorusId(0), &name, times, riffs, spots).ok_or(Error::Nonsense)?;
    Ok(SharedChorus { tune, chorus })
}

fn read_placement(reader: &mut Reader) -> Result<(usize, Option<Alteration>), Error> {
    let byte = reader.byte()?;
    let change = match byte >> 6 {
        AS_IT_IS => None,
        TRANSPOSED => {
            let (steps, semitones) = (reader.byte()? as i8, reader.byte()? as i8);
            Some(Alteration::Transposed(Interval::new(steps.into(), semitones.into())))
        }
        VARIED => {
            let how = How::all().nth(usize::from(reader.byte()?)).ok_or(Error::Nonsense)?;
            let seed = u32::try_from(reader.number()?).map_err(|_| Error::Nonsense)?;
            Some(Alteration::Varied { how, seed: seed.into() })
        }
        _ => return Err(Error::Nonsense),
    };
    Ok((usize::from(byte & 0x3f), change))
}
