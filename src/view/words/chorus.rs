//! Why a chorus hangs together, in words.

use crate::chorus::check::Step;
use crate::chorus::course::Course;
use crate::chorus::placement::Placed;
use crate::chorus::together::{Arc, Landed, Landing, Line, Together};
use crate::riff::Riff;
use crate::theory::instrument::Reading;
use crate::theory::interval::Interval;
use crate::units::Ticks;
use crate::view::words::names::{beats, listed, wide};
use crate::view::{capital, notebook};

/// Why this one, in three sentences: what its lines say, how it meets the changes, and its room and its end.
pub fn reasons(course: &Course, riffs: &[Riff], placed: &[Placed], reading: Reading) -> Vec<String> {
    let together = Together::of(course, placed);
    vec![
        lines(course, riffs, &together.lines),
        landings(course, &together.landings, reading),
        room_and_end(course, &together, reading),
    ]
}

/// How it hangs together, sentence by sentence: as [`reasons`], with every chorus told apart and the widest leap.
pub fn sentences(course: &Course, riffs: &[Riff], placed: &[Placed], reading: Reading) -> Vec<String> {
    let together = Together::of(course, placed);
    let choruses = together.lines.chunks(course.lines()).enumerate();
    let mut said: Vec<String> = choruses
        .map(|(index, lines)| match course.choruses() {
            1 => of_chorus(riffs, lines),
            _ => format!("Chorus {}: {}", index + 1, of_chorus(riffs, lines)),
        })
        .collect();
    said.push(landings(course, &together.landings, reading));
    said.extend(replies(course, &together.steps));
    said.extend(leap(&together.steps));
    said.push(room_and_end(course, &together, reading));
    said
}

/// What a riff is called, as everywhere on the page.
pub(super) fn name(riffs: &[Riff], index: usize) -> String {
    riffs.get(index).map_or_else(String::new, |riff| format!("“{}”", notebook::title(riff)))
}

fn lines(course: &Course, riffs: &[Riff], lines: &[Line]) -> String {
    let first = &lines[..course.lines().min(lines.len())];
    let said = of_chorus(riffs, first);
    let alike = lines.chunks(course.lines()).all(|chorus| chorus == first);
    match (course.choruses(), alike) {
        (1, _) => said,
        (_, true) => format!("{said} Every chorus does so."),
        (_, false) => format!("First chorus: {said}"),
    }
}

/// What the lines of one chorus do: statement, repeat, answer.
fn of_chorus(riffs: &[Riff], lines: &[Line]) -> String {
    if lines.iter().all(|line| *line == Line::Silent) {
        return "Nothing begins in it yet.".to_owned();
    }
    let silent: Vec<String> = (1..)
        .zip(lines)
        .filter(|(_, line)| **line == Line::Silent)
        .map(|(number, _): (usize, _)| number.to_string())
        .collect();
    let mut parts = Vec::new();
    let mut number = 1;
    for alike in lines.chunk_by(|one, next| matches!(one, Line::Answer { .. }) && one == next) {
        let line_name = format!("line {number}");
        let numbers: Vec<String> = (number..).take(alike.len()).map(|each: usize| each.to_string()).collect();
        number += alike.len();
        parts.push(match &alike[0] {
            Line::Statement { riff, varied } => {
                format!("{line_name} opens with {}{}", name(riffs, *riff), changed(*varied))
            }
            Line::Repeat { varied, .. } => format!("{line_name} says it again{}", changed(*varied)),
            Line::Answer { riff, varied } if alike.len() == 1 => {
                format!("{line_name} answers with {}{}", name(riffs, *riff), changed(*varied))
            }
            Line::Answer { riff, varied } => {
                let each = if *varied { ", each time with a change" } else { "" };
                format!("lines {} answer with {}{each}", listed(&numbers), name(riffs, *riff))
            }
            Line::Silent => continue,
        });
    }
    match silent.len() {
        0 => {}
        1 => parts.push(format!("line {} begins nothing new", silent[0])),
        _ => parts.push(format!("lines {} begin nothing new", listed(&silent))),
    }
    capital(&listed(&parts)) + "."
}

/// What is said behind the name of a riff that is changed where it stands.
fn changed(varied: bool) -> &'static str {
    if varied { " with a change" } else { "" }
}

pub(super) fn landings(course: &Course, landings: &[Landing], reading: Reading) -> String {
    let bars = |wanted: &dyn Fn(Landed) -> bool| -> Vec<String> {
        let those = landings.iter().filter(|landing| wanted(landing.on));
        those.map(|landing| (landing.bar + 1).to_string()).collect()
    };
    if landings.is_empty() {
        return "This form never changes chord.".to_owned();
    }
    let met = bars(&|on| matches!(on, Landed::Guide | Landed::InChord));
    if met.is_empty() {
        return format!("You left the chord changes in {} open.", named(&bars(&|_| true)));
    }
    let told = landings.iter().find(|landing| landing.on == Landed::Guide);
    let told = told.and_then(|landing| Some((landing, landing.pitch?))).map(|(landing, pitch)| {
        let (chorus, at) =
            (landing.bar / course.form().bars().len(), landing.bar % course.form().bars().len());
        let chord = &course.changes(chorus).bars()[at].chords[0].chord;
        let is_third = chord.degree_of(pitch.name).is_some_and(|degree| degree.steps == 2);
        let degree = if is_third { "third" } else { "seventh" };
        format!(
            "; in bar {} that is {}, the {degree} of {}",
            landing.bar + 1,
            reading.name(pitch.name).pretty(),
            reading.chord(chord).pretty()
        )
    });
    let start = if met.len() == 1 { "starts" } else { "start" };
    capital(&format!("{} {start} on a note of the new chord{}.", named(&met), told.unwrap_or_default()))
}

/// Call and response: whether there is room for a reply after what is said. Two beats are enough for one (common
/// practice, no source).
fn replies(course: &Course, steps: &[Step]) -> Option<String> {
    let enough = course.form().bars()[0].metre.beat() * 2;
    let with_room = steps.iter().filter(|step| step.gap >= enough).count();
    if steps.is_empty() {
        return None;
    }
    Some(
        match with_room {
            0 if steps.iter().all(|step| step.gap <= Ticks::ZERO) => {
                "There is no gap between riffs, so the band can’t answer."
            }
            0 => "The gaps between riffs are short: leave two beats, and the band can answer.",
            all if all == steps.len() => "After every riff there is space for the band to answer.",
            most if most * 2 >= steps.len() => "After most riffs there is space for the band to answer.",
            _ => "After some riffs there is space for the band to answer.",
        }
        .to_owned(),
    )
}

/// Where a chorus is highest and busiest, and which accents it has.
pub fn arc(course: &Course, together: &Together) -> String {
    let bars = course.form().bars().len();
    let bar = |index: usize| {
        let time =
            if course.choruses() == 1 { String::new() } else { format!(" of time {}", index / bars + 1) };
        format!("bar {}{time}", index % bars + 1)
    };
    let heights = together.arc.iter().enumerate().filter_map(|(index, bar)| Some((index, bar.height?)));
    let Some(top) = heights.map(|(_, height)| height).reduce(f64::max) else {
        return "Nothing sounds yet.".to_owned();
    };
    // Where bars are alike none is told as the first of them.
    let those = |is_one: &dyn Fn(&Arc) -> bool| -> Vec<String> {
        let found = together.arc.iter().enumerate().filter(|(_, one)| is_one(one));
        found.map(|(index, _)| bar(index)).collect()
    };
    let most = together.arc.iter().map(|bar| bar.notes).max().unwrap_or(0);
    let loud = together.arc.iter().map(|bar| bar.accents).max().unwrap_or(0);
    let told = [
        (
            "highest",
            "about as high everywhere",
            those(&|bar| bar.height.is_some_and(|height| top - height < 0.5)),
        ),
        ("busiest", "equally busy", those(&|bar| bar.notes == most)),
        (
            "most accented",
            "evenly accented",
            if loud == 0 { Vec::new() } else { those(&|bar| bar.accents == loud) },
        ),
    ];
    let said = told.into_iter().map(|(what, alike, bars)| match bars.len() {
        0 => "no note is accented".to_owned(),
        1..=MOST_BARS => format!("{what} in {}", listed(&bars)),
        _ => alike.to_owned(),
    });
    capital(&said.collect::<Vec<_>>().join(", ")) + "."
}

/// More bars than these are not named one by one.
const MOST_BARS: usize = 3;

fn named(bars: &[String]) -> String {
    format!("{} {}", if bars.len() == 1 { "bar" } else { "bars" }, listed(bars))
}

fn leap(steps: &[Step]) -> Option<String> {
    let widest = steps.iter().filter_map(|step| step.leap).max_by_key(|leap| leap.semitones.abs())?;
    Some(match widest.semitones.abs() {
        0 => "Every riff begins on the note on which the one before it ended.".to_owned(),
        _ => format!("The biggest jump between riffs is {}.", size(widest)),
    })
}

/// An interval whichever way it goes, also beyond an octave.
fn size(interval: Interval) -> String {
    match interval.semitones.abs() {
        13.. => "more than an octave".to_owned(),
        _ => wide(interval),
    }
}

fn room_and_end(course: &Course, together: &Together, reading: Reading) -> String {
    let beat = course.form().bars()[0].metre.beat();
    let share = together.silence.in_quarters() / together.length.in_quarters();
    let silence = match (share * 4.0).round() as i32 {
        0 if share < 0.01 => "None of it is space",
        0 => "Hardly any of it is space",
        1 => "About a quarter of it is space",
        2 => "About half of it is space",
        _ => "Most of it is space",
    };
    let rest = if together.longest_rest > Ticks::ZERO {
        format!(", at most {} at a time", beats(together.longest_rest, beat))
    } else {
        String::new()
    };
    let home = reading.key().tonic().pretty();
    let end = if together.ends_home {
        format!("and it ends on {home}, the home note")
    } else {
        format!("and it ends away from {home}, the home note")
    };
    format!("{silence}{rest}, {end}.")
}
