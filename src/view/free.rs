//! A free chorus, once it is over: the player's riffs in it, what is worth keeping, how it met the changes.

use std::rc::Rc;

use crate::chorus::course::Course;
use crate::chorus::find::{Find, riffs_in};
use crate::chorus::free::{Free, FreeNote, Struck};
use crate::chorus::ideas::{Idea, Stayed, ideas, landings};
use crate::desk::Desk;
use crate::desk::free::FreePlay;
use crate::files::link::{self, LinkTune};
use crate::notebook::Notebook;
use crate::notebook::tune::Material;
use crate::rhythm::tempo::TempoMap;
use crate::riff::{Riff, edit, write_id};
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

/// What is said of the last free chorus depends on this and on nothing else of a desk: to look for riffs takes long, and
/// is done anew only where it may come out otherwise.
#[derive(Clone, Debug)]
pub(super) struct Source {
    tune: LinkTune,
    instrument: &'static str,
    material: Material,
    notebook: Rc<Notebook>,
    last: Rc<Vec<FreeNote>>,
    before: Option<Rc<Vec<FreeNote>>>,
}

/// What is shared is the same where it is the same place in memory: nothing changes there while it is held.
impl PartialEq for Source {
    fn eq(&self, other: &Source) -> bool {
        let before = match (&self.before, &other.before) {
            (Some(one), Some(other)) => Rc::ptr_eq(one, other),
            (one, other) => one.is_none() && other.is_none(),
        };
        let shared = Rc::ptr_eq(&self.notebook, &other.notebook) && Rc::ptr_eq(&self.last, &other.last);
        let player = (self.instrument, self.material) == (other.instrument, other.material);
        before && shared && player && self.tune == other.tune
    }
}

impl Source {
    /// Of the last free chorus of the desk, where one is looked at.
    pub(super) fn of(desk: &Desk) -> Option<Source> {
        let tune = desk.tune();
        Some(Source {
            tune: tune.shared(),
            instrument: tune.instrument.name(),
            material: tune.material,
            notebook: Rc::clone(&desk.document().notebook),
            last: Rc::clone(desk.free().last()?),
            before: desk.free().before().cloned(),
        })
    }

    /// What is said of it. `desk` is the one that it is of.
    pub(super) fn view(&self, desk: &Desk) -> FreeChorusView {
        let heard = |notes: &Rc<Vec<FreeNote>>| {
            let course =
                Course::new((*desk.changes()).clone(), FreePlay::times(notes, desk.changes().length()));
            let free = Free::of(&course, notes.to_vec(), desk.tune().swing);
            Heard { course, free }
        };
        view(desk, &heard(&self.last), self.before.as_ref().map(heard).as_ref())
    }
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
