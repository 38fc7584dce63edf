//! A lesson to try, with answers that nobody gave. It stands beside what is kept, is never written, and goes as it came.

use std::rc::Rc;

use super::{Kept, record_of};
use crate::files::link::{self, Answer, Lesson, LessonStep, Limits, Link};
use crate::notebook::demo::salt_wind;
use crate::notebook::starters::STARTERS;
use crate::notebook::tune::{Material, Tune};
use crate::riff::{Riff, RiffId, edit};
use crate::theory::pitch::{Pitch, Step};

/// Where the ids of the example begin: beyond what anybody draws by chance more than once in millions.
const FIRST_ID: u64 = 0xe7a3_91e0_0000_0000;

/// Who answers, which riff to start from it is, and which statements are ticked.
const ANSWERS: [(&str, &str, u8); 12] = [
    ("Otter", "Low hill", 3),
    ("Seat 6", "Two knocks", 1),
    ("Heron", "Loose gate", 3),
    ("Seat 8", "Down the lane", 1),
    ("Fox", "Wait for two", 1),
    ("Seat 10", "Skipping stone", 2),
    ("Wren", "Long and short", 3),
    ("Seat 12", "Just before", 1),
    ("Badger", "Ask and wait", 3),
    ("Seat 14", "Low hill", 0),
    ("Owl", "Loose gate", 2),
    ("Seat 16", "Down the lane", 3),
];

/// The lesson first, then its answers: four from seat to seat, and twelve of their own.
pub(super) fn example() -> Vec<Kept> {
    let lesson = lesson();
    let number = link::lesson_number(&lesson);
    let tune = lesson.tune.clone();
    let answer = |who: &str, riff: Riff, can: u8| {
        let riff = riff.with_id(RiffId(0));
        Link::Answer(Answer { lesson: number, who: who.to_owned(), tier: 0, can, tune: tune.clone(), riff })
    };
    let passed = passed_on(&lesson.models[0]).into_iter().zip(1..);
    let mut links: Vec<Link> = passed.map(|(riff, seat)| answer(&format!("Seat {seat}"), riff, 3)).collect();
    links.extend(ANSWERS.iter().enumerate().filter_map(|(place, (who, name, can))| {
        let riff = STARTERS.iter().find(|starter| starter.name == *name)?.riff(tune.key, RiffId(0));
        // Who takes up what somebody else has, too, plays it in another way.
        let is_again = ANSWERS[..place].iter().any(|(_, other, _)| other == name);
        let riff = if is_again { edit::toggle_accent(&riff, 0).unwrap_or(riff) } else { riff };
        Some(answer(who, riff, *can))
    }));
    links.insert(0, Link::Lesson(lesson));
    let kept = |(place, link): (usize, Link)| {
        let text = match &link {
            Link::Lesson(lesson) => link::encode_lesson(lesson),
            Link::Answer(answer) => link::encode_answer(answer),
            _ => None,
        };
        let record = record_of(text.unwrap_or_default(), place as u32);
        Kept { id: FIRST_ID + place as u64, link: Rc::new(link), record }
    };
    links.into_iter().enumerate().map(kept).collect()
}

fn lesson() -> Lesson {
    let notes = Material::all().position(|each| each.name() == "three").unwrap_or_default() as u8;
    Lesson {
        title: "Leave room".to_owned(),
        tune: Tune::first().shared(),
        models: vec![salt_wind().with_id(RiffId(1))],
        steps: LessonStep::NAMES.iter().map(|(step, _)| *step).collect(),
        tiers: vec![Limits { beats: 8, space: 2, notes }],
        locked: false,
        words: "Two bars. Say something, then leave room for an answer.".to_owned(),
        can: vec!["leave two beats free".to_owned(), "change one thing and hear what it does".to_owned()],
    }
}

/// One thing that a seat changes.
type Change<'a> = &'a dyn Fn(&Riff) -> Result<Riff, edit::Error>;

/// Riffs from seat to seat: each changes one thing of the one before.
fn passed_on(model: &Riff) -> Vec<Riff> {
    let last = model.notes().len() - 1;
    let down = Pitch::new(Step::F, 0, 4);
    let changes: [Change; 4] = [
        &|riff| edit::remove(riff, 2),
        &|riff| edit::toggle_accent(riff, last - 2),
        &|riff| edit::repitch(riff, 0, down),
        &|riff| edit::lengthen(riff, last - 1, 2),
    ];
    let mut riff = model.clone();
    let next = |(change, place): (&Change, usize)| {
        let changed = change(&riff).unwrap_or_else(|_| riff.clone());
        riff = edit::rename(&changed, &format!("{}, {place}", model.name));
        riff.clone()
    };
    changes.iter().zip(2..).map(next).collect()
}
