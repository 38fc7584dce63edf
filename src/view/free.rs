//! A free chorus, once it is over: the player's riffs in it, what is worth keeping, how it met the changes.

use std::rc::Rc;

use crate::chorus::course::Course;
use crate::desk::Desk;
use crate::desk::free::FreePlay;
use crate::files::link::{self, LinkTune};
use crate::found::find::{Find, riffs_in};
use crate::found::free::{Free, FreeNote, Struck};
use crate::found::ideas::{Idea, Stayed, ideas, landings, stretch};
use crate::notebook::Notebook;
use crate::notebook::tune::Material;
use crate::rhythm::tempo::TempoMap;
use crate::riff::{Riff, edit, write_id};
use crate::view::context::Context;
use crate::view::model::{ChoiceView, FoundView, FreeChorusView, IdeaView, PhraseView};
use crate::view::{strip, words};

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
    kept: (usize, Option<usize>),
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
        let player = player && self.kept == other.kept;
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
            kept: desk.free().kept(),
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
    let mut riffs: Vec<Riff> = entries.iter().map(|entry| (*entry.riff).clone()).collect();
    leave_out_kept(&mut riffs, free, course);
    let scale = tune.material.notes(tune.key, &course.form().bars()[0].chords[0].chord);
    let mut found = riffs_in(free, course, &riffs, &scale);
    found.retain(Find::is_heard);
    let kept = ideas(free, course, &found, MOST_IDEAS);
    let stayed = before.filter(|before| before.course == *course);
    let stayed = stayed.map(|before| Stayed::of(&before.free, free, course));
    let changes = desk.changes();
    let context = Context { desk, changes: &changes, reading };
    FreeChorusView {
        phrases: phrases(&context, course, free),
        kept: kept_view(desk),
        found_note: words::found::found_note(found.len()),
        found: found.iter().map(|find| found_view(course, &riffs, find)).collect(),
        ideas_note: words::found::ideas_note(kept.len(), found.len()),
        ideas: kept.iter().map(|idea| idea_view(&context, course, idea)).collect(),
        landings: words::found::landings(course, free, &landings(free, course), reading),
        stayed: stayed.map_or_else(Vec::new, |stayed| words::found::stayed(course, &stayed)),
    }
}

/// What ideas that are kept are called, before the number of their bar.
const KEPT_AS: &str = "Idea from bar ";

/// Takes out the riffs that were kept from this very playing: that they are found in it says nothing.
fn leave_out_kept(riffs: &mut Vec<Riff>, free: &Free, course: &Course) {
    if !riffs.iter().any(|riff| riff.name.starts_with(KEPT_AS)) {
        return;
    }
    let cut = ideas(free, course, &[], usize::MAX);
    riffs.retain(|riff| {
        let is_cut = |idea: &Idea| idea.riff.notes() == riff.notes() && idea.riff.start == riff.start;
        !(riff.name.starts_with(KEPT_AS) && cut.iter().any(is_cut))
    });
}

/// Bars in a line.
const LINE: usize = 4;

/// What was played, line by line: of each line the bars from the first note to the last.
fn phrases(context: &Context, course: &Course, free: &Free) -> Vec<PhraseView> {
    let form = course.form().bars();
    let longest = Riff::MOST_BEATS as i64 / i64::from(form[0].metre.beats()).max(1);
    let line = LINE.min(usize::try_from(longest).unwrap_or(1)).max(1);
    let mut phrases = Vec::new();
    let bars = (course.length().div_floor(form[0].metre.bar()).max(1)) as usize;
    let mut first = 0;
    while first < bars {
        // A line ends with the form, too.
        let within = first % form.len();
        let until = (first + line).min(first - within + form.len()).min(bars);
        let range = played_bars(course, free, first..until);
        let riff = range.clone().and_then(|range| stretch(free, course, range));
        if let (Some(range), Some(riff)) = (range, riff) {
            let changes = course.changes(range.start / form.len());
            let bar = range.start % form.len();
            phrases.push(PhraseView {
                title: title(context, course, range.clone()),
                bar,
                until: bar + range.len(),
                ..strip::phrase(context, changes, &riff, bar)
            });
        }
        first = until;
    }
    phrases
}

/// The bars of a line from the one in which its first note begins to the one in which its last does; two at least, where
/// the line has them.
fn played_bars(course: &Course, free: &Free, line: std::ops::Range<usize>) -> Option<std::ops::Range<usize>> {
    let bar_of =
        |note: &FreeNote| (0..line.end).rev().find(|bar| course.bar_start(*bar) <= note.at).unwrap_or(0);
    let end = course.bar_start(line.end);
    let here = free.written.iter().filter(|note| note.at < end).map(bar_of).filter(|bar| line.contains(bar));
    let (first, last) = here.fold(None, |found: Option<(usize, usize)>, bar| {
        Some(found.map_or((bar, bar), |(first, last)| (first.min(bar), last.max(bar))))
    })?;
    if last > first {
        return Some(first..last + 1);
    }
    let until = (first + 2).min(line.end);
    Some(until.saturating_sub(2).max(line.start)..until)
}

/// "Bars 5 to 8 · C7 C7 G7 G7", "Bars 1 to 4, the second time · …".
fn title(context: &Context, course: &Course, bars: std::ops::Range<usize>) -> String {
    let form = course.form().bars();
    let time = bars.start / form.len();
    let (first, last) = (bars.start % form.len() + 1, (bars.end - 1) % form.len() + 1);
    let which = if first == last { format!("Bar {first}") } else { format!("Bars {first} to {last}") };
    let time = match time {
        0 => String::new(),
        1 => ", the second time".to_owned(),
        2 => ", the third time".to_owned(),
        time => format!(", time {}", time + 1),
    };
    let symbols = bars.map(|bar| {
        let chords = &course.changes(bar / form.len()).bars()[bar % form.len()].chords;
        let symbols = chords.iter().map(|place| context.reading.chord(&place.chord).pretty());
        symbols.collect::<Vec<_>>().join(" ")
    });
    format!("{which}{time} · {}", symbols.collect::<Vec<_>>().join(" | "))
}

/// The ones that are kept, to choose from, where there are several.
fn kept_view(desk: &Desk) -> Vec<ChoiceView> {
    let (count, looked_at) = desk.free().kept();
    let text = |index: usize| match index {
        0 => "the last time".to_owned(),
        1 => "the time before".to_owned(),
        index => format!("{} times ago", index + 1),
    };
    let choice = |index: usize| ChoiceView {
        value: index.to_string(),
        text: text(index),
        chosen: looked_at == Some(index),
        hint: String::new(),
    };
    if count > 1 { (0..count).map(choice).collect() } else { Vec::new() }
}

fn found_view(course: &Course, riffs: &[Riff], find: &Find) -> FoundView {
    FoundView {
        riff: riffs.get(find.riff).map_or_else(String::new, |riff| write_id(riff.id)),
        text: words::found::find(course, riffs, find),
    }
}

fn idea_view(context: &Context, course: &Course, idea: &Idea) -> IdeaView {
    let tune = context.desk.tune();
    let (bar, _) = course.bar_at(idea.at - idea.riff.start);
    let bar = bar % course.form().bars().len();
    let name = format!("{KEPT_AS}{}", bar + 1);
    IdeaView {
        text: words::found::idea(course, idea, context.reading),
        phrase: strip::phrase(context, course.form(), &idea.riff, bar),
        link: link::encode(&tune.shared(), &edit::rename(&idea.riff, &name)),
    }
}
