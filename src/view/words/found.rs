//! What was found in a free chorus, in words: the player's riffs, ideas worth keeping, and what stayed the second time.

use crate::chorus::course::Course;
use crate::chorus::together::Landing;
use crate::found::find::{Find, Moved};
use crate::found::free::Free;
use crate::found::ideas::{Idea, Reason, Stayed};
use crate::riff::Riff;
use crate::riff::variation::How;
use crate::theory::instrument::Reading;
use crate::units::Ticks;
use crate::view::words::chorus as of_chorus;
use crate::view::words::names::{beats, listed};

/// One riff that was found: `“Porch light” from bar 5, a fourth higher, with one note changed.`
pub fn find(course: &Course, riffs: &[Riff], find: &Find) -> String {
    let name = of_chorus::name(riffs, find.riff);
    let bar = course.bar_at(find.at).0 + 1;
    let mut how: Vec<String> = Vec::new();
    how.extend(find.varied.map(varied));
    how.extend(moved(find.moved));
    how.extend(displaced(course, find.displaced));
    let changes = [(find.changed, "changed"), (find.left_out, "left out"), (find.added, "more")];
    let changes = changes.into_iter().filter(|(count, _)| *count > 0);
    let changes: Vec<String> = changes.map(|(count, what)| format!("{} {what}", notes(count))).collect();
    if !changes.is_empty() {
        how.push(format!("with {}", listed(&changes)));
    }
    if how.is_empty() {
        return format!("{name} from bar {bar}, just as you keep it.");
    }
    format!("{name} from bar {bar}, {}.", how.join(", "))
}

/// A word above the riffs that were found, of which there are `count`.
pub fn found_note(count: usize) -> String {
    match count {
        0 => "None of your riffs this time: all of it was new.",
        1 => "One of your riffs was in it.",
        _ => "Your riffs were in it.",
    }
    .to_owned()
}

/// An idea: where it is, and what speaks for it, in one or two sentences.
pub fn idea(course: &Course, idea: &Idea, reading: Reading) -> String {
    let first = course.bar_at(idea.at).0 + 1;
    let end = idea.at + idea.riff.length() - Ticks(1);
    let last = course.bar_at(end.max(idea.at)).0 + 1;
    let place = if first == last { format!("Bar {first}") } else { format!("Bars {first} and {last}") };
    let place = if last > first + 1 { format!("Bars {first} to {last}") } else { place };
    let said: Vec<String> =
        idea.reasons.iter().take(2).map(|one| reason(course, idea, *one, reading)).collect();
    format!("{place}: {}.", listed(&said))
}

fn reason(course: &Course, idea: &Idea, reason: Reason, reading: Reading) -> String {
    match reason {
        Reason::CameAgain { times: 2 } => "you played it twice".to_owned(),
        Reason::CameAgain { times } => format!("you played it {times} times"),
        Reason::Lands { bar, is_guide } => {
            let changes = course.changes(bar / course.form().bars().len());
            let chord = &changes.bars()[bar % course.form().bars().len()].chords[0].chord;
            let line = course.bar_start(bar) - idea.at;
            let note = idea.riff.notes().iter().find(|note| note.onset <= line && line < note.end());
            let chord_name = reading.chord(chord).pretty();
            match note {
                Some(note) if is_guide => {
                    let is_third = chord.degree_of(note.pitch.name).is_some_and(|degree| degree.steps == 2);
                    let degree = if is_third { "third" } else { "seventh" };
                    let name = reading.name(note.pitch.name).pretty();
                    format!("it meets {chord_name} on {name}, its {degree}")
                }
                Some(note) => format!("it meets {chord_name} on {}", reading.name(note.pitch.name).pretty()),
                None => format!("it meets {chord_name} on one of its notes"),
            }
        }
        Reason::EndsHome => format!("it ends at home on {}", reading.key().tonic().pretty()),
        Reason::OffBeats => "some of it is off the beat".to_owned(),
        Reason::LeavesRoom => "it leaves space after it".to_owned(),
        Reason::RightSize => "it is just long enough for a riff".to_owned(),
    }
}

/// How the chorus meets the changes, of which only those are told that the player reached: nothing where that is none.
pub fn landings(course: &Course, free: &Free, landings: &[Landing], reading: Reading) -> String {
    let last = free.written.last().map_or(0, |note| course.bar_at(note.at).0);
    let reached: Vec<Landing> = landings.iter().filter(|landing| landing.bar <= last).copied().collect();
    if reached.is_empty() && !landings.is_empty() {
        return String::new();
    }
    of_chorus::landings(course, &reached, reading)
}

/// A word where no riff is offered to be kept.
pub fn ideas_note(ideas: usize, found: usize) -> String {
    match (ideas, found) {
        (0, 0) => "It was one long line. Leave rests, and separate ideas appear.".to_owned(),
        (0, _) => "Nothing else to keep this time.".to_owned(),
        _ => String::new(),
    }
}

/// What stayed when a chorus was played again.
pub fn stayed(course: &Course, stayed: &Stayed) -> Vec<String> {
    let all = stayed.pieces.len();
    let bars = |pieces: &mut dyn Iterator<Item = Ticks>| -> Vec<String> {
        let mut bars: Vec<usize> = pieces.map(|at| course.bar_at(at).0 + 1).collect();
        bars.dedup();
        bars.iter().map(usize::to_string).collect()
    };
    let first = match (all, stayed.kept()) {
        (0, _) => return vec!["The first chorus left it all empty.".to_owned()],
        (1, 1) => "It stayed.".to_owned(),
        (_, 0) => "A new chorus: nothing stayed in its place.".to_owned(),
        (all, kept) if all == kept => "All of it stayed.".to_owned(),
        (_, 1) => "One idea stayed in its place.".to_owned(),
        (_, kept) => format!("{kept} of {all} ideas stayed in their places."),
    };
    let mut said = vec![first];
    let moved = stayed.pieces.iter().filter(|piece| piece.again.is_some() && !piece.is_kept());
    let moved = bars(&mut moved.map(|piece| piece.at));
    if !moved.is_empty() {
        said.push(format!("What began in {} came back in another way.", bar_list(&moved)));
    }
    let gone = stayed.pieces.iter().filter(|piece| piece.again.is_none()).map(|piece| piece.at);
    let gone = bars(&mut { gone });
    if !gone.is_empty() {
        said.push(format!("In {} you played something else.", bar_list(&gone)));
    }
    said
}

fn bar_list(bars: &[String]) -> String {
    format!("{} {}", if bars.len() == 1 { "bar" } else { "bars" }, listed(bars))
}

fn notes(count: usize) -> String {
    match count {
        1 => "one note".to_owned(),
        2 => "two notes".to_owned(),
        _ => format!("{count} notes"),
    }
}

fn varied(how: How) -> String {
    match how {
        How::Augment => "twice as slow",
        How::Diminish => "twice as fast",
        How::Invert => "upside down",
        How::Retrograde => "backwards",
        _ => "varied",
    }
    .to_owned()
}

fn moved(moved: Moved) -> Option<String> {
    let (by, what) = match moved {
        Moved::No => return None,
        Moved::ScaleSteps(by) => {
            let steps = by.unsigned_abs();
            (
                by,
                if steps == 1 {
                    "a step of the scale".to_owned()
                } else {
                    format!("{steps} steps of the scale")
                },
            )
        }
        Moved::HalfSteps(by) => {
            let (octaves, within) = (by.unsigned_abs() / 12, by.unsigned_abs() % 12);
            let octaves = match octaves {
                0 => String::new(),
                1 => "an octave".to_owned(),
                more => format!("{more} octaves"),
            };
            let within = match within {
                0 => "",
                1 => "a half step",
                2 => "a whole step",
                3 | 4 => "a third",
                5 => "a fourth",
                6 => "six half steps",
                7 => "a fifth",
                8 | 9 => "a sixth",
                _ => "a seventh",
            };
            let and = if octaves.is_empty() || within.is_empty() { "" } else { " and " };
            (by, format!("{octaves}{and}{within}"))
        }
    };
    Some(format!("{what} {}", if by > 0 { "higher" } else { "lower" }))
}

fn displaced(course: &Course, by: Ticks) -> Option<String> {
    let beat = course.form().bars()[0].metre.beat();
    match by {
        Ticks::ZERO => None,
        later if later > Ticks::ZERO => Some(format!("{} later in the bar", beats(later, beat))),
        earlier => Some(format!("{} earlier in the bar", beats(-earlier, beat))),
    }
}
