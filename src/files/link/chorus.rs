//! Links that hold a chorus: the tune, the riffs that the chorus holds, and where each stands.
//!
//! A page that does not know the format says that the link was made by a newer one.

use crate::chorus::course::Course;
use crate::chorus::kept::{Chorus, ChorusId, Spot};
use crate::chorus::placement::{Alteration, Placement};
use crate::chorus::verse::Verse;
use crate::files::link::{
    Error, LinkTune, Reader, finished, greatest_common_divisor, read_band, read_riff, read_tune, small,
    write_band, write_number, write_riff, write_text, write_tune,
};
use crate::riff::variation::How;
use crate::riff::{Riff, RiffId};
use crate::theory::interval::Interval;
use crate::units::Ticks;

/// The version that a chorus has in front where nothing is said of the band, no placement has more than one change, and
/// none hangs over the count-in.
pub(super) const VERSION: u8 = 2;
/// The version that any other chorus without words has in front.
pub(super) const VERSION_WITH_BAND: u8 = 4;
/// The version that a chorus with words over its lines has in front: the words come last.
pub(super) const VERSION_WITH_WORDS: u8 = 8;

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
/// Only in the later version: how many changes there are, then each.
const SEVERAL: u8 = 3;
/// Marks a transposition among several changes, where a way to vary would stand.
const MOVED: u8 = 0xff;

fn version(tune: &LinkTune, chorus: &Chorus) -> u8 {
    if !chorus.words().is_empty() {
        return VERSION_WITH_WORDS;
    }
    let is_plain = |spot: &Spot| spot.placement.changes.len() <= 1 && spot.placement.at >= Ticks::ZERO;
    let plain = tune.band.is_none() && chorus.spots().iter().all(is_plain);
    if plain { VERSION } else { VERSION_WITH_BAND }
}

fn body(salt: u8, tune: &LinkTune, chorus: &Chorus) -> Vec<u8> {
    let version = version(tune, chorus);
    let mut out = vec![salt << 5 | version];
    if version != VERSION {
        write_band(tune, &mut out);
    }
    write_tune(tune, &mut out);
    out.push(chorus.times() as u8);
    out.push(chorus.riffs().len() as u8);
    chorus.riffs().iter().for_each(|riff| write_riff(riff, &mut out));
    let unit = chorus.spots().iter().map(|spot| spot.placement.at.0).fold(0, greatest_common_divisor).max(1);
    write_number(unit as u64, &mut out);
    write_number(chorus.spots().len() as u64, &mut out);
    let mut before = 0;
    if version != VERSION {
        // How far the first placement hangs over the count-in.
        before = chorus.spots().first().map_or(0, |spot| spot.placement.at.0.min(0));
        write_number((-before / unit) as u64, &mut out);
    }
    for Spot { placement, .. } in chorus.spots() {
        write_number(((placement.at.0 - before) / unit) as u64, &mut out);
        before = placement.at.0;
        write_placement(placement, &mut out);
    }
    write_text(chorus.name(), &mut out);
    if version == VERSION_WITH_WORDS {
        write_text(chorus.words(), &mut out);
    }
    out
}

fn write_placement(placement: &Placement, out: &mut Vec<u8>) {
    let kind = match placement.changes.as_slice() {
        [] => AS_IT_IS,
        [Alteration::Transposed(_)] => TRANSPOSED,
        [Alteration::Varied { .. }] => VARIED,
        _ => SEVERAL,
    };
    out.push(placement.riff as u8 | kind << 6);
    if kind == SEVERAL {
        out.push(placement.changes.len() as u8);
    }
    for change in &placement.changes {
        match change {
            Alteration::Transposed(by) => {
                out.extend((kind == SEVERAL).then_some(MOVED));
                out.extend([by.steps as i8 as u8, by.semitones as i8 as u8]);
            }
            Alteration::Varied { how, seed } => {
                out.push(How::all().position(|other| other == *how).unwrap_or_default() as u8);
                write_number(*seed, out);
            }
        }
    }
}

pub(super) fn read(reader: &mut Reader, version: u8) -> Result<SharedChorus, Error> {
    let is_newer = version != VERSION;
    let band = if is_newer { read_band(reader)? } else { None };
    let tune = LinkTune { band, ..read_tune(reader)? };
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
    let unit = within(reader.number()?, 1)?;
    let count = small(reader.number()?)?;
    let mut at = if is_newer { -within(reader.number()?, unit.0)? } else { Ticks::ZERO };
    let mut spots = Vec::new();
    for _ in 0..count {
        at += within(reader.number()?, unit.0)?;
        if at > Chorus::LATEST {
            return Err(Error::Nonsense);
        }
        let (riff, changes) = read_placement(reader)?;
        spots.push(Spot { placement: Placement { at, riff, changes }, stays: false });
    }
    let name = reader.text()?;
    let words = if version == VERSION_WITH_WORDS { reader.text()? } else { String::new() };
    let chorus = Chorus::from_parts(ChorusId(0), &name, times, riffs, spots).ok_or(Error::Nonsense)?;
    let chorus = chorus.with_verse(&Verse::read(&words));
    Ok(SharedChorus { tune, chorus })
}

/// So many times `unit` ticks, where two placements can be so far apart.
fn within(number: u64, unit: i64) -> Result<Ticks, Error> {
    let ticks = i64::try_from(number).ok().and_then(|number| number.checked_mul(unit)).map(Ticks);
    ticks.filter(|ticks| *ticks <= Chorus::LATEST - Chorus::EARLIEST).ok_or(Error::Nonsense)
}

fn read_placement(reader: &mut Reader) -> Result<(usize, Vec<Alteration>), Error> {
    let byte = reader.byte()?;
    let changes = match byte >> 6 {
        AS_IT_IS => Vec::new(),
        TRANSPOSED => vec![read_transposed(reader)?],
        VARIED => {
            let how = reader.byte()?;
            vec![read_varied(how, reader)?]
        }
        _ => {
            let count = reader.byte()?;
            let change = |_| match reader.byte()? {
                MOVED => read_transposed(reader),
                how => read_varied(how, reader),
            };
            (0..count).map(change).collect::<Result<_, _>>()?
        }
    };
    Ok((usize::from(byte & 0x3f), changes))
}

fn read_transposed(reader: &mut Reader) -> Result<Alteration, Error> {
    let (steps, semitones) = (reader.byte()? as i8, reader.byte()? as i8);
    Ok(Alteration::Transposed(Interval::new(steps.into(), semitones.into())))
}

fn read_varied(how: u8, reader: &mut Reader) -> Result<Alteration, Error> {
    let how = How::all().nth(usize::from(how)).ok_or(Error::Nonsense)?;
    let seed = u32::try_from(reader.number()?).map_err(|_| Error::Nonsense)?;
    Ok(Alteration::Varied { how, seed: seed.into() })
}
