//! Suggestions: what they are asked for with, and why each.

use crate::chorus::course::Course;
use crate::chorus::kept::{Chorus, LaidOut};
use crate::chorus::rules::{Adventure, Room};
use crate::chorus::suggest::Looked;
use crate::view::chorus::dye;
use crate::view::context::Context;
use crate::view::count;
use crate::view::model::{AskView, ChoiceView, IdeaLineView, IdeaNoteView, SuggestedView};
use crate::view::words::chorus as words;

pub(super) fn view(context: &Context, chorus: &Chorus) -> AskView {
    let weaving = context.desk.weaving();
    if !weaving.asking {
        return AskView::default();
    }
    let stay = chorus.spots().iter().filter(|spot| spot.stays).count();
    AskView {
        open: true,
        adventures: Adventure::ALL
            .map(|(degree, name)| ChoiceView::of(name, adventure(degree), degree == weaving.taste.adventure))
            .to_vec(),
        rooms: Room::ALL
            .map(|(amount, name)| ChoiceView::of(name, room(amount), amount == weaving.taste.room))
            .to_vec(),
        ideas: weaving
            .suggested
            .iter()
            .enumerate()
            .map(|(index, idea)| view_of(context, index, &idea.chorus))
            .collect(),
        shown: weaving.shown,
        looking: weaving.looking.as_ref().map_or(0, |looking| looking.number),
        looked_text: looked(weaving.looked, weaving.suggested.len()),
        stays_text: match stay {
            0 => String::new(),
            1 => "One riff stays where it is.".to_owned(),
            more => format!("{} stay where they are.", count(more, "riff", "riffs")),
        },
    }
}

/// That there may be better ones.
fn looked(looked: Looked, found: usize) -> String {
    match looked {
        Looked::AtTheBest if found > 0 => {
            "There are too many ways to try them all. These are the best that were found.".to_owned()
        }
        Looked::AtAll | Looked::AtTheBest => String::new(),
    }
}

fn adventure(degree: Adventure) -> &'static str {
    match degree {
        Adventure::Plain => "none",
        Adventure::Some => "a few",
        Adventure::Bold => "many",
        Adventure::RiffBlues => "one riff all through",
    }
}

fn room(amount: Room) -> &'static str {
    match amount {
        Room::Little => "little",
        Room::Some => "some",
        Room::Much => "a lot",
    }
}

fn view_of(context: &Context, index: usize, chorus: &Chorus) -> SuggestedView {
    let over = chorus.over(chorus.course(context.changes));
    SuggestedView {
        title: format!("Idea {}", index + 1),
        reasons: words::reasons(&over.course, chorus.riffs(), &over.heard, context.reading),
        lines: (0..over.course.lines() * over.course.choruses())
            .map(|line| in_small(context, &over, line))
            .collect(),
    }
}

fn in_small(context: &Context, over: &LaidOut, line: usize) -> IdeaLineView {
    let course = &over.course;
    let bars = course.form().bars().len();
    let first = line / course.lines() * bars + line % course.lines() * Course::LINE_BARS;
    let (from, to) =
        (course.bar_start(first), course.bar_start((first + Course::LINE_BARS).min(course.bars())));
    let width = (to - from).0 as f64;
    let pitches =
        || over.placed.iter().flat_map(|placed| placed.riff.notes()).map(|note| note.pitch.semitones());
    let lowest = pitches().min().unwrap_or_default();
    let height = (pitches().max().unwrap_or_default() - lowest).max(1);
    // By its notes: ideas from one riff differ in where these lie and in what was changed.
    let mut notes = Vec::new();
    for placed in &over.placed {
        for (at, note) in placed.notes().filter(|(at, _)| *at >= from && *at < to) {
            notes.push(IdeaNoteView {
                at: (at - from).0 as f64 / width,
                length: ((at + note.length).min(to) - at).0 as f64 / width,
                height: f64::from(note.pitch.semitones() - lowest) / f64::from(height),
                dye: dye(context, placed.riff.id),
            });
        }
    }
    IdeaLineView { notes }
}
