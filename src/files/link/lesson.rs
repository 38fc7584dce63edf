//! Links for a class: a lesson, the answer that a learner hands back, and several riffs at once.
//!
//! A page that does not know these formats says that the link was made by a newer one.

use crate::band::settings::name_of;
use crate::files::link::{
    Error, LinkTune, Reader, finished, read_key, read_riff, read_whole_tune, write_band, write_key,
    write_number, write_riff, write_text, write_tune,
};
use crate::riff::edit::steers_text;
use crate::riff::{Riff, RiffId};
use crate::theory::key::Key;

/// The version that a lesson has in front.
pub(super) const VERSION: u8 = 5;
/// The version that an answer has in front.
pub(super) const ANSWER_VERSION: u8 = 6;
/// The version that several riffs have in front.
pub(super) const SEVERAL_VERSION: u8 = 7;

/// What a lesson asks a learner to do, in the order in which it comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LessonStep {
    /// Listen to the model riff.
    Hear,
    /// Clap its rhythm.
    Clap,
    /// Play it, note for note.
    Copy,
    /// Change one thing in it.
    Change,
    /// Make a riff of one's own.
    Own,
    /// Play that over the form.
    Form,
}

impl LessonStep {
    /// Every step with its name in data, in order; its place is its bit in a link.
    pub const NAMES: [(LessonStep, &str); 6] = [
        (LessonStep::Hear, "hear"),
        (LessonStep::Clap, "clap"),
        (LessonStep::Copy, "copy"),
        (LessonStep::Change, "change"),
        (LessonStep::Own, "own"),
        (LessonStep::Form, "form"),
    ];

    /// Its name in data.
    pub fn name(self) -> &'static str {
        name_of(&self, &LessonStep::NAMES).unwrap_or_default()
    }
}

/// What is asked of a riff, for one group of learners.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// The most beats, 1 to [`Riff::MOST_BEATS`]; 0 where nothing is asked.
    pub beats: u8,
    /// How many beats at least have no note in them, below [`Riff::MOST_BEATS`]; 0 where nothing is asked.
    pub space: u8,
    /// Which notes to use, by their place in the notebook's list; a place that a page does not know asks nothing.
    pub notes: u8,
}

/// A lesson: what a teacher makes for a class.
#[derive(Clone, Debug, PartialEq)]
pub struct Lesson {
    /// What it is called; may be empty.
    pub title: String,
    /// The tune that it is about.
    pub tune: LinkTune,
    /// One to [`Lesson::MOST_MODELS`] riffs to hear and to copy. Their ids are their places counted from 1.
    pub models: Vec<Riff>,
    /// What is to be done, at least one step, in the order of [`LessonStep::NAMES`].
    pub steps: Vec<LessonStep>,
    /// One to [`Lesson::MOST_TIERS`] groups of limits, the easiest first.
    pub tiers: Vec<Limits>,
    /// Whether only a riff within the limits can be handed in.
    pub locked: bool,
    /// The teacher's own words; may be empty.
    pub words: String,
    /// "I can" statements, at most [`Lesson::MOST_CAN`].
    pub can: Vec<String>,
}

impl Lesson {
    /// The most model riffs.
    pub const MOST_MODELS: usize = 3;
    /// The most tiers.
    pub const MOST_TIERS: usize = 3;
    /// The most "I can" statements.
    pub const MOST_CAN: usize = 5;
    /// The most characters of a title.
    pub const MOST_TITLE: usize = 60;
    /// The most characters of the teacher's own words.
    pub const MOST_WORDS: usize = 600;
    /// The most characters of an "I can" statement.
    pub const MOST_STATEMENT: usize = 80;

    fn is_sound(&self) -> bool {
        let count = |text: &str| text.chars().count();
        let beats = Riff::MOST_BEATS;
        (1..=Lesson::MOST_MODELS).contains(&self.models.len())
            && (1..=Lesson::MOST_TIERS).contains(&self.tiers.len())
            && self
                .tiers
                .iter()
                .all(|tier| usize::from(tier.beats) <= beats && usize::from(tier.space) < beats)
            && !self.steps.is_empty()
            && self.can.len() <= Lesson::MOST_CAN
            && is_one_line(&self.title)
            && count(&self.title) <= Lesson::MOST_TITLE
            && count(&self.words) <= Lesson::MOST_WORDS
            && self.words.chars().all(|c| c == '\n' || !steers_text(c))
            && self.can.iter().all(|each| is_one_line(each) && count(each) <= Lesson::MOST_STATEMENT)
    }
}

/// What a learner hands back.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// The number of the lesson that it answers, as [`lesson_number`] gives it.
    pub lesson: u32,
    /// A made-up name or a seat number, at most [`Answer::MOST_WHO`] characters.
    pub who: String,
    /// Which tier was chosen, from 0.
    pub tier: u8,
    /// Which "I can" statements the learner ticked, a bit each, the first one lowest.
    pub can: u8,
    /// The tune on which it was made.
    pub tune: LinkTune,
    /// The riff; a link has no id, so this one's is zero.
    pub riff: Riff,
}

impl Answer {
    /// The most characters of a name.
    pub const MOST_WHO: usize = 24;

    fn is_sound(&self) -> bool {
        let fits = self.who.chars().count() <= Answer::MOST_WHO;
        fits && is_one_line(&self.who)
            && usize::from(self.tier) < Lesson::MOST_TIERS
            && self.can >> Lesson::MOST_CAN == 0
    }
}

/// Several riffs of one tune, each in a key of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct Several {
    /// The tune.
    pub tune: LinkTune,
    /// One to [`Several::MOST_RIFFS`] riffs, with the keys that their notes stand in. Their ids are their places counted from 1.
    pub riffs: Vec<(Key, Riff)>,
}

impl Several {
    /// The most riffs of one link.
    pub const MOST_RIFFS: usize = 24;
}

fn is_one_line(text: &str) -> bool {
    !text.chars().any(steers_text)
}

/// Writes a lesson's text, or `None` where it breaks its own bounds or is longer than any link.
pub fn encode_lesson(lesson: &Lesson) -> Option<String> {
    let text = lesson.is_sound().then(|| finished(|salt| lesson_body(salt, lesson)));
    text.filter(|text| text.len() <= super::MOST_CHARACTERS_OF_CHORUS)
}

/// The number by which answers know their lesson: the checksum of its text, so that the same lesson always has the same.
pub fn lesson_number(lesson: &Lesson) -> u32 {
    super::crc24(&lesson_body(0, lesson))
}

/// Writes an answer's text, or `None` where it breaks its own bounds.
pub fn encode_answer(answer: &Answer) -> Option<String> {
    answer.is_sound().then(|| finished(|salt| answer_body(salt, answer)))
}

/// Writes the text of several riffs, or `None` where there are none, too many, or too long ones.
pub fn encode_several(several: &Several) -> Option<String> {
    let count = several.riffs.len();
    let text =
        (1..=Several::MOST_RIFFS).contains(&count).then(|| finished(|salt| several_body(salt, several)));
    text.filter(|text| text.len() <= super::MOST_CHARACTERS_OF_CHORUS)
}

fn lesson_body(salt: u8, lesson: &Lesson) -> Vec<u8> {
    let mut out = vec![salt << 5 | VERSION];
    write_band(&lesson.tune, &mut out);
    write_tune(&lesson.tune, &mut out);
    let bit =
        |(place, (step, _)): (usize, &(LessonStep, &str))| u8::from(lesson.steps.contains(step)) << place;
    out.push(LessonStep::NAMES.iter().enumerate().map(bit).sum::<u8>() | u8::from(lesson.locked) << 7);
    out.push((lesson.models.len() | lesson.tiers.len() << 2 | lesson.can.len() << 4) as u8);
    lesson.tiers.iter().for_each(|tier| out.extend([tier.beats, tier.space, tier.notes]));
    lesson.models.iter().for_each(|riff| write_riff(riff, &mut out));
    write_text(&lesson.title, &mut out);
    write_text(&lesson.words, &mut out);
    lesson.can.iter().for_each(|statement| write_text(statement, &mut out));
    out
}

pub(super) fn read_lesson(reader: &mut Reader) -> Result<Lesson, Error> {
    let tune = read_whole_tune(reader)?;
    let (steps, counts) = (reader.byte()?, reader.byte()?);
    let named = LessonStep::NAMES.iter().enumerate().filter(|(place, _)| steps >> place & 1 == 1);
    let (models, tiers, can) = (counts & 3, counts >> 2 & 3, counts >> 4);
    let tiers = (0..tiers)
        .map(|_| Ok(Limits { beats: reader.byte()?, space: reader.byte()?, notes: reader.byte()? }))
        .collect::<Result<_, Error>>()?;
    let lesson = Lesson {
        tune,
        steps: named.map(|(_, (step, _))| *step).collect(),
        locked: steps & 0x80 != 0,
        tiers,
        models: (1..=models).map(|place| numbered(reader, place)).collect::<Result<_, _>>()?,
        title: reader.text()?,
        words: reader.text()?,
        can: (0..can).map(|_| reader.text()).collect::<Result<_, _>>()?,
    };
    if lesson.is_sound() { Ok(lesson) } else { Err(Error::Nonsense) }
}

fn answer_body(salt: u8, answer: &Answer) -> Vec<u8> {
    let mut out = vec![salt << 5 | ANSWER_VERSION];
    out.extend(&answer.lesson.to_be_bytes()[1..]);
    out.extend([answer.tier, answer.can]);
    write_band(&answer.tune, &mut out);
    write_tune(&answer.tune, &mut out);
    write_riff(&answer.riff, &mut out);
    write_text(&answer.who, &mut out);
    out
}

pub(super) fn read_answer(reader: &mut Reader) -> Result<Answer, Error> {
    let lesson = u32::from_be_bytes([0, reader.byte()?, reader.byte()?, reader.byte()?]);
    let (tier, can) = (reader.byte()?, reader.byte()?);
    let tune = read_whole_tune(reader)?;
    let riff = read_riff(reader)?;
    let answer = Answer { lesson, who: reader.text()?, tier, can, tune, riff };
    if answer.is_sound() { Ok(answer) } else { Err(Error::Nonsense) }
}

fn several_body(salt: u8, several: &Several) -> Vec<u8> {
    let mut out = vec![salt << 5 | SEVERAL_VERSION];
    write_band(&several.tune, &mut out);
    write_tune(&several.tune, &mut out);
    write_number(several.riffs.len() as u64, &mut out);
    for (key, riff) in &several.riffs {
        write_key(*key, &mut out);
        write_riff(riff, &mut out);
    }
    out
}

pub(super) fn read_several(reader: &mut Reader) -> Result<Several, Error> {
    let tune = read_whole_tune(reader)?;
    let count = reader.number()?;
    if !(1..=Several::MOST_RIFFS as u64).contains(&count) {
        return Err(Error::Nonsense);
    }
    let riff = |place| Ok((read_key(reader.byte()?), numbered(reader, place)?));
    Ok(Several { tune, riffs: (1..=count as u8).map(riff).collect::<Result<_, Error>>()? })
}

fn numbered(reader: &mut Reader, place: u8) -> Result<Riff, Error> {
    let mut riff = read_riff(reader)?;
    riff.id = RiffId(place.into());
    Ok(riff)
}
