//! Placements as JSON: where riffs stand in a form, as `suggest` prints them and other commands take them.

use riffloom::chorus::course::Course;
use riffloom::chorus::placement::{Alteration, Placement};
use riffloom::riff::variation::How;
use riffloom::theory::interval::Interval;
use riffloom::units::Ticks;
use serde::{Deserialize, Serialize};

use crate::options::{Failure, Options};
use crate::output::Number;

/// A placement as it is printed.
#[derive(Serialize)]
pub struct PlacementJson {
    riff: usize,
    bar: usize,
    quarter: Number,
    length: Number,
    change: Changes,
}

/// No change, one, or several in the order made.
#[derive(Serialize, Deserialize, Default)]
#[serde(untagged)]
enum Changes {
    #[default]
    None,
    One(ChangeJson),
    Several(Vec<ChangeJson>),
}

#[derive(Serialize, Deserialize)]
struct ChangeJson {
    how: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    seed: Option<u64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    steps: Option<i32>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    semitones: Option<i32>,
}

/// A placement as it is given; how long it is follows from the riff.
#[derive(Deserialize)]
struct GivenJson {
    riff: usize,
    bar: usize,
    quarter: f64,
    #[serde(default)]
    change: Changes,
}

/// The placements that the option `name` gives; none where it is not there.
pub fn given(options: &Options, name: &str, course: &Course) -> Result<Vec<Placement>, Failure> {
    let Some(text) = options.value(name) else { return Ok(Vec::new()) };
    let read = || -> Result<Vec<Placement>, Failure> {
        let given: Vec<GivenJson> = serde_json::from_str(text)?;
        given.into_iter().map(|one| placement(one, course)).collect()
    };
    read().map_err(|error| Failure::new(format!("--{name}: {error}")))
}

fn placement(one: GivenJson, course: &Course) -> Result<Placement, Failure> {
    let bars = course.bars();
    if !(1..=bars).contains(&one.bar) {
        return Err(Failure::new(format!("there are bars 1 to {bars}, not {}", one.bar)));
    }
    let into_bar = Ticks::from_quarters(one.quarter)
        .ok_or_else(|| Failure::new(format!("{} quarters is too far", one.quarter)))?;
    let at = course.bar_start(one.bar - 1) + into_bar;
    let changes = match one.change {
        Changes::None => Vec::new(),
        Changes::One(change) => vec![alteration(change)?],
        Changes::Several(changes) => changes.into_iter().map(alteration).collect::<Result<_, _>>()?,
    };
    Ok(Placement { at, riff: one.riff, changes })
}

fn alteration(change: ChangeJson) -> Result<Alteration, Failure> {
    if change.how == TRANSPOSE {
        let (Some(steps), Some(semitones)) = (change.steps, change.semitones) else {
            return Err(Failure::new("transpose needs steps and semitones"));
        };
        if steps.abs() > 70 || semitones.abs() > 127 {
            return Err(Failure::new("transposed too far"));
        }
        return Ok(Alteration::Transposed(Interval::new(steps, semitones)));
    }
    let how = How::named(&change.how)
        .ok_or_else(|| Failure::new(format!("“{}” is not a way to vary", change.how)))?;
    Ok(Alteration::Varied { how, seed: change.seed.unwrap_or(0) })
}

const TRANSPOSE: &str = "transpose";

/// A placement of a riff that is `length` long there.
pub fn printed(course: &Course, placement: &Placement, length: Ticks) -> PlacementJson {
    let (bar, into_bar) = course.bar_at(placement.at);
    let change = |change: &Alteration| match *change {
        Alteration::Transposed(by) => ChangeJson {
            how: TRANSPOSE.to_owned(),
            seed: None,
            steps: Some(by.steps),
            semitones: Some(by.semitones),
        },
        Alteration::Varied { how, seed } => {
            ChangeJson { how: how.name().to_owned(), seed: Some(seed), steps: None, semitones: None }
        }
    };
    let change = match placement.changes.as_slice() {
        [] => Changes::None,
        [one] => Changes::One(change(one)),
        several => Changes::Several(several.iter().map(change).collect()),
    };
    PlacementJson {
        riff: placement.riff,
        bar: bar + 1,
        quarter: Number(into_bar.in_quarters()),
        length: Number(length.in_quarters()),
        change,
    }
}
