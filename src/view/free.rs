//! A free chorus, once it is over: the player's riffs in it, what is worth keeping, how it met the changes.

use crate::chorus::course::Course;
use crate::chorus::find::{Find, riffs_in};
use crate::chorus::free::{Free, FreeNote, Struck};
use crate::chorus::ideas::{Idea, Stayed, ideas, landings};
use crate::desk::free::FreePlay;
use crate::desk::{Desk, write_id};
use crate::files::link;
use crate::rhythm::tempo::TempoMap;
use crate::riff::{Riff, edit};
use crate::units::Ticks;
use crate::view::model::{FoundView, FreeChorusView, IdeaView};
use crate::view::{cloth, words};

/// How many ideas are offered.
const MOST_IDEAS: usize = 5;

/// What was played over the desk's tune.
#[derive(Clone, Debug, PartialEq)]
pub struct Heard {
    course: Course,
    free: Free,
}

impl Heard {
    /// `struck` over `choruses` times through the desk's form, whose first bar line and tempo `tempo` knows.
    pub fn of(desk: &Desk, struck: &[Struck], tempo: &TempoMap, choruses: usize) -> Heard {
        let course = Course::new((*desk.changes()).clone(), choruses);
        let free = Free::heard(&course, struck, tempo, desk.tune().swing);
        Heard { course, free }
    }
}

/// The last free chorus of the desk, where one is looked at, and what is said of it.
pub(super) fn last(desk: &Desk) -> Option<FreeChorusView> {
    let heard = |notes: &[FreeNote]| {
        let course = Course::new((*desk.changes()).clone(), FreePlay::times(notes, desk.changes().length()));
        let free = Free::of(&course, notes.to_vec(), desk.tune().swing);
        Heard { course, free }
    };
    let before = desk.free().before().map(heard);
    Some(view(desk, &heard(desk.free().last()?), before.as_ref()))
}

/// What is said of `heard`, beside the chorus before where it was over the same form.
pub fn view(desk: &Desk, heard: &Heard, before: Option<&Heard>) -> FreeChorusView {
    let Heard { course, free } = heard;
    let tune = desk.tune();
    let reading = tune.instrument.reading(tune.key);
    let entries = desk.document().notebook.entries();
    let riffs: Vec<Riff> = entries.iter().map(|entry| (*entry.riff).clone()).collect();
    let scale = tune.material.notes(tune.key, &course.form().bars()[0].chords[0].chord);
    let found = riffs_in(free, course, &riffs, &scale);
    let kept = ideas(free, course, &found, MOST_IDEAS);
    let stayed = before.filter(|before| before.course == *course);
    let stayed = stayed.map(|before| Stayed::of(&before.free, free, course));
    FreeChorusView {
        cloth: cloth::of_free(course, free),
        found_note: words::found::found_note(found.len()),
        found: found.iter().map(|find| found_view(heard, &riffs, find)).collect(),
        ideas: kept.iter().map(|idea| idea_view(desk, course, idea)).collect(),
        landings: words::found::landings(course, &landings(free, course), reading),
        stayed: stayed.map_or_else(Vec::new, |stayed| words::found::stayed(course, &stayed)),
    }
}

fn along(course: &Course, at: Ticks) -> f64 {
    (at.in_quarters() / course.length().in_quarters()).clamp(0.0, 1.0)
}

fn found_view(heard: &Heard, riffs: &[Riff], find: &Find) -> FoundView {
    let note = |index: Option<&usize>| index.and_then(|index| heard.free.sounded.get(*index));
    let from = note(find.notes.first()).map_or(find.at, |note| note.at);
    let to = note(find.notes.last()).map_or(find.at, |note| note.end());
    FoundView {
        riff: riffs.get(find.riff).map_or_else(String::new, |riff| write_id(riff.id)),
        from: along(&heard.course, from),
        to: along(&heard.course, to),
        text: words::found::find(&heard.course, riffs, find),
    }
}

fn idea_view(desk: &Desk, course: &Course, idea: &Idea) -> IdeaView {
    let tune = desk.tune();
    let (bar, _) = course.bar_at(idea.at - idea.riff.start);
    let name = format!("Idea from bar {}", bar % course.form().bars().len() + 1);
    IdeaView {
        from: along(course, idea.at),
        to: along(course, idea.at + idea.riff.length()),
        text: words::found::idea(course, idea, tune.instrument.reading(tune.key)),
        cloth: cloth::of_riff(course.form(), &idea.riff, bar % course.form().bars().len()),
        link: link::encode(&tune.shared(), &edit::rename(&idea.riff, &name)),
    }
}
