//! Lessons and the answers to them: what a teacher makes and gathers, and the lesson on which a learner works.
//!
//! Nothing of it is sent anywhere. A lesson leaves the page as a link, and so does an answer.

use std::rc::Rc;

use serde::Deserialize;

use crate::band::dice::mixed;
use crate::band::settings::named;
use crate::desk::{Desk, Done, Refusal};
use crate::files::link::{self, Answer, Lesson, LessonStep, Limits, Link, LinkTune, Several};
use crate::files::record::{self, ClassRecord, class_of_record, class_record_id};
use crate::form::Changes;
use crate::notebook::lesson::{self, Follow, Held, Turns};
use crate::notebook::tune::{Material, Tune};
use crate::perform::{Part, Score};
use crate::riff::edit::{self, steers_text};
use crate::riff::{Riff, RiffId, read_id};
use crate::rooms::{Room, door};
use crate::theory::key::Key;
use crate::units::{QuartersPerMinute, Ticks};

/// One thing that is done in a class. A lesson or an answer is told by its id, 16 hexadecimal digits.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", rename_all_fields = "camelCase")]
#[cfg_attr(target_arch = "wasm32", derive(tsify::Tsify))]
pub enum ClassCommand {
    /// Nothing: only to see how it stands.
    Look,
    /// Nothing: only to see how the riff on the desk stands beside the lesson on which a learner works.
    Follow,
    /// Make a lesson, or another one of the one with this id, from the tune on the desk and riffs of the notebook; where
    /// no riff is named, the models and the tune that it had stay.
    Make {
        /// Its id.
        id: String,
        /// What it is called.
        title: String,
        /// The teacher's own words.
        words: String,
        /// "I can" statements; empty ones are left out.
        can: Vec<String>,
        /// Names of steps.
        steps: Vec<String>,
        /// Whether only a riff within the limits can be handed in.
        locked: bool,
        /// Groups of limits.
        tiers: Vec<TierSaid>,
        /// The ids of riffs in the notebook.
        riffs: Vec<String>,
    },
    /// Make one link of several riffs of the notebook.
    Several {
        /// Their ids.
        riffs: Vec<String>,
    },
    /// Look at the answers to this lesson.
    Choose {
        /// Its id; empty for all answers.
        id: String,
    },
    /// Take in answers and lessons from links, one a line or among other words.
    Paste {
        /// The links.
        text: String,
        /// From which ids are made.
        id: String,
    },
    /// Put away what a link held.
    Close,
    /// Go to a step of the lesson on which a learner works.
    Work {
        /// From 0.
        step: usize,
    },
    /// Choose a group of limits.
    ChooseTier {
        /// From 0.
        tier: usize,
    },
    /// Work on the lesson no longer; it stays.
    Leave,
    /// Make an answer of the riff on the desk.
    HandIn {
        /// A made-up name or a seat number.
        who: String,
        /// Ticked statements, a bit each.
        can: u8,
    },
    /// Put a mark on an answer, or take it off.
    Mark {
        /// Its id.
        id: String,
        /// Which mark, from 0.
        mark: u8,
        /// On or off.
        on: bool,
    },
    /// Take a lesson or an answer out.
    Delete {
        /// Its id.
        id: String,
    },
    /// Bring back what was deleted, or take back what came in.
    Undo,
    /// Show names on the board, or numbers.
    ShowNames {
        /// Names.
        on: bool,
    },
    /// Play: `turns`, `chorus`, `model` with its place from 0 (the riff of an answer that was opened, too), or an
    /// answer's id.
    Play {
        /// What.
        what: String,
    },
}

/// A group of limits as the page says it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "camelCase")]
#[cfg_attr(target_arch = "wasm32", derive(tsify::Tsify))]
pub struct TierSaid {
    /// The most beats; 0 for any.
    pub beats: u8,
    /// The fewest beats without a note.
    pub space: u8,
    /// The name of the notes to use.
    pub notes: String,
}

/// How many marks there are for an answer.
pub const MARKS: usize = 5;
/// The most lessons and answers that are kept: ten full classes.
pub const MOST_KEPT: usize = 400;
/// The longest text that is looked through for links.
const MOST_PASTED: usize = 4 << 20;
/// How many of the texts that do not read are told.
const MOST_TOLD: usize = 3;
/// How many steps back there are.
const MOST_STEPS: usize = 50;

/// What came of the last command, for the view to say.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Told {
    /// Nothing to say.
    #[default]
    Nothing,
    /// The lesson is kept.
    Made,
    /// The lesson is too long for a link.
    TooLong,
    /// There is no riff with a note among the models.
    NoModel,
    /// Too many model riffs.
    TooManyModels,
    /// No step is chosen.
    NoStep,
    /// Links came in.
    Came {
        /// How many answers.
        answers: usize,
        /// How many lessons.
        lessons: usize,
        /// How many were here.
        same: usize,
        /// How many found no room.
        left_out: usize,
        /// Texts that do not read, with the reason.
        unread: Vec<(String, link::Error)>,
        /// Of how many of these, the last ones, the reason is not told.
        more: usize,
        /// How many links hold a riff or a chorus and no answer.
        others: usize,
    },
    /// Something was taken out; undo brings it back.
    Deleted,
    /// One step back.
    Undone,
    /// An answer is ready.
    HandedIn,
    /// The riff is not as the lesson asks, and the lesson is locked.
    Outside,
    /// There is no note in the riff.
    NoNotes,
    /// No name was given.
    NoName,
    /// Riffs are in one link.
    Several,
    /// No riff was chosen, or too many.
    SeveralCount,
    /// Nothing like that is here.
    NotThere,
}

/// A lesson or an answer that is kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept {
    /// Its id.
    pub id: u64,
    /// What its link holds.
    pub link: Rc<Link>,
    /// Its record.
    pub record: ClassRecord,
}

impl Kept {
    /// What the record with this id and text holds; `None` where it is no lesson and no answer that reads here.
    fn read(id: &str, text: &str) -> Option<Kept> {
        let (id, record) = (class_of_record(id)?, record::read_class(text).ok()?);
        let link = link::decode_any(&record.link).ok()?;
        matches!(link, Link::Lesson(_) | Link::Answer(_)).then(|| Kept { id, link: Rc::new(link), record })
    }

    /// The lesson, where it is one.
    pub fn lesson(&self) -> Option<&Lesson> {
        if let Link::Lesson(lesson) = &*self.link { Some(lesson) } else { None }
    }

    /// The answer, where it is one.
    pub fn answer(&self) -> Option<&Answer> {
        if let Link::Answer(answer) = &*self.link { Some(answer) } else { None }
    }
}

/// The lessons and the answers, and where a person is among them.
#[derive(Clone, Debug, Default)]
pub struct Class {
    /// Records that are not read yet, or whose links do not read.
    raw: Vec<(String, String)>,
    kept: Vec<Kept>,
    before: Vec<Vec<Kept>>,
    opened: Option<Rc<Link>>,
    chosen: Option<u64>,
    hides_names: bool,
    told: Told,
    /// What was made: the text of a link.
    made: String,
    unwritten: Vec<u64>,
    gone: Vec<u64>,
}

impl Class {
    /// What is kept, in the order in which it came.
    pub fn kept(&self) -> &[Kept] {
        &self.kept
    }

    /// What a link held that was opened.
    pub fn opened(&self) -> Option<&Link> {
        self.opened.as_deref()
    }

    /// The lesson whose answers are looked at.
    pub fn chosen(&self) -> Option<&Kept> {
        self.kept.iter().find(|kept| Some(kept.id) == self.chosen && kept.lesson().is_some())
    }

    /// The lesson on which a learner works.
    pub fn works_on(&self) -> Option<&Kept> {
        self.kept.iter().find(|kept| kept.record.works && kept.lesson().is_some())
    }

    /// The answers to the chosen lesson, or all.
    pub fn answers(&self) -> Vec<&Kept> {
        let number = self.chosen().and_then(Kept::lesson).map(link::lesson_number);
        let is_here = |kept: &&Kept| {
            kept.answer().is_some_and(|answer| number.is_none_or(|number| answer.lesson == number))
        };
        self.kept.iter().filter(is_here).collect()
    }

    /// The lesson that an answer answers, where it is here.
    pub fn lesson_of(&self, answer: &Answer) -> Option<&Lesson> {
        let mut lessons = self.kept.iter().filter_map(Kept::lesson);
        lessons.find(|lesson| link::lesson_number(lesson) == answer.lesson)
    }

    /// Whether the board hides names.
    pub fn hides_names(&self) -> bool {
        self.hides_names
    }

    /// What came of the last command.
    pub fn told(&self) -> &Told {
        &self.told
    }

    /// The text of the link that was made last; empty where none was.
    pub fn made(&self) -> &str {
        &self.made
    }

    /// Whether there is a step back.
    pub fn can_undo(&self) -> bool {
        !self.before.is_empty()
    }

    pub(super) fn open(&mut self, link: Link) {
        self.opened = Some(Rc::new(link));
        self.told = Told::Nothing;
    }

    /// The ids of all records.
    pub fn ids(&self) -> Vec<String> {
        let kept = self.kept.iter().map(|kept| class_record_id(kept.id));
        self.raw.iter().map(|(id, _)| id.clone()).chain(kept).collect()
    }

    /// The text of the record with this id.
    pub fn record(&self, id: &str) -> Option<String> {
        if let Some((_, text)) = self.raw.iter().find(|(other, _)| other == id) {
            return Some(text.clone());
        }
        let number = class_of_record(id)?;
        self.kept.iter().find(|kept| kept.id == number).map(|kept| record::write_class(&kept.record))
    }

    /// Takes what was kept, as ids and texts of records. It is read when the room comes.
    pub(super) fn restore(&mut self, records: Vec<(String, String)>) {
        let here = self.ids();
        self.raw.extend(records.into_iter().filter(|(id, _)| !here.contains(id)));
    }

    /// Takes in what was kept elsewhere: links that are here already do not come twice. Gives how many came.
    pub(super) fn take_in(&mut self, records: Vec<(String, String)>) -> usize {
        self.wake();
        let mut came = 0;
        for Kept { id, link, record } in records.iter().filter_map(|(id, text)| Kept::read(id, text)) {
            // Whoever works on it does so where the file was written.
            let record = ClassRecord { works: false, ..record };
            came += usize::from(self.put_new(id, link, record));
        }
        came
    }

    /// The ids of records that are to be written; each is told once.
    pub fn unwritten(&mut self) -> Vec<String> {
        std::mem::take(&mut self.unwritten).into_iter().map(class_record_id).collect()
    }

    /// The ids of records that are to be forgotten; each is told once.
    pub fn gone(&mut self) -> Vec<String> {
        std::mem::take(&mut self.gone).into_iter().map(class_record_id).collect()
    }

    /// Reads what was restored. A record whose link does not read here stays as it is.
    fn wake(&mut self) {
        if self.raw.is_empty() {
            return;
        }
        let mut left = Vec::new();
        for (id, text) in std::mem::take(&mut self.raw) {
            match Kept::read(&id, &text) {
                Some(kept) => self.kept.push(kept),
                None => left.push((id, text)),
            }
        }
        self.raw = left;
        self.kept.sort_by_key(|kept| kept.record.order);
    }

    fn next_order(&self) -> u32 {
        self.kept.iter().map(|kept| kept.record.order.saturating_add(1)).max().unwrap_or_default()
    }

    fn has(&self, text: &str) -> Option<u64> {
        self.kept.iter().find(|kept| kept.record.link == text).map(|kept| kept.id)
    }

    /// Puts in what is new; `false` where it is here already or finds no room.
    fn put_new(&mut self, id: u64, link: Rc<Link>, record: ClassRecord) -> bool {
        let full = self.kept.len() + self.raw.len() >= MOST_KEPT;
        if full || self.has(&record.link).is_some() {
            return false;
        }
        let mut id = id;
        while self.kept.iter().any(|kept| kept.id == id)
            || self.raw.iter().any(|(raw, _)| class_of_record(raw) == Some(id))
        {
            id = mixed(id);
        }
        self.kept.push(Kept { id, link, record });
        self.note(id);
        true
    }

    fn note(&mut self, id: u64) {
        self.gone.retain(|other| *other != id);
        if !self.unwritten.contains(&id) {
            self.unwritten.push(id);
        }
    }

    fn remember(&mut self) {
        self.before.push(self.kept.clone());
        if self.before.len() > MOST_STEPS {
            self.before.remove(0);
        }
    }

    /// Changes the record of the one with this id.
    fn change(&mut self, id: u64, change: impl FnOnce(&mut ClassRecord)) {
        if let Some(kept) = self.kept.iter_mut().find(|kept| kept.id == id) {
            change(&mut kept.record);
            self.note(id);
        }
    }

    fn undo(&mut self) -> Told {
        let Some(before) = self.before.pop() else { return Told::NotThere };
        let gone: Vec<u64> = self.kept.iter().map(|kept| kept.id).collect();
        let gone = gone.into_iter().filter(|id| before.iter().all(|kept| kept.id != *id));
        self.gone.extend(gone.collect::<Vec<_>>());
        let changed = before.iter().filter(|kept| !self.kept.contains(kept)).map(|kept| kept.id);
        let changed: Vec<u64> = changed.collect();
        self.kept = before;
        changed.into_iter().for_each(|id| self.note(id));
        let gone = &self.gone;
        self.unwritten.retain(|id| !gone.contains(id));
        Told::Undone
    }

    /// Looks through a text for links and takes them in.
    fn paste(&mut self, text: &str, id: u64) -> Told {
        let end = text.char_indices().nth(MOST_PASTED).map_or(text.len(), |(end, _)| end);
        self.remember();
        let (mut answers, mut lessons, mut same, mut left_out) = (0, 0, 0, 0);
        let (mut others, mut unread, mut id) = (0, Vec::new(), id);
        for part in links_in(&text[..end]) {
            let read = link::decode_any(&part);
            let Ok(link) = read else {
                unread.extend(read.err().map(|error| (part, error)));
                continue;
            };
            let (text, kind) = match &link {
                Link::Answer(answer) => (link::encode_answer(answer), &mut answers),
                Link::Lesson(lesson) => (link::encode_lesson(lesson), &mut lessons),
                _ => {
                    others += 1;
                    continue;
                }
            };
            let text = text.unwrap_or_default();
            if self.has(&text).is_some() {
                same += 1;
                continue;
            }
            let record = record_of(text, self.next_order());
            if self.put_new(id, Rc::new(link), record) {
                *kind += 1;
            } else {
                left_out += 1;
            }
            id = mixed(id);
        }
        if answers + lessons == 0 {
            self.before.pop();
        }
        let more = unread.len().saturating_sub(MOST_TOLD);
        Told::Came { answers, lessons, same, left_out, unread, more, others }
    }
}

/// What may be links in a text: everything behind a `#` up to the next space or bracket, and words that are nothing but a
/// link's characters.
fn links_in(text: &str) -> Vec<String> {
    let ends = |c: char| c.is_whitespace() || "<>()\",;".contains(c);
    let is_of_link = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
    let part = |word: &str| match word.split_once('#').or_else(|| word.split_once("%23")) {
        Some((_, part)) => Some(part.to_owned()),
        None => word.chars().all(is_of_link).then(|| word.to_owned()),
    };
    text.split(ends).filter_map(part).filter(|part| part.len() > SHORTEST_LINK).collect()
}

/// No link is shorter, and few words are longer, in characters.
const SHORTEST_LINK: usize = 20;

fn record_of(link: String, order: u32) -> ClassRecord {
    let (marks, works, step, tier, who) = Default::default();
    ClassRecord { link, order, marks, works, step, tier, who }
}

/// What plays for a class.
#[derive(Clone, Debug)]
pub struct ClassPlay {
    /// The score.
    pub score: Score,
    /// The tempo.
    pub tempo: QuartersPerMinute,
    /// When each turn begins, from the first bar line, and when the last ends; empty where one riff plays.
    pub turns: Vec<Ticks>,
    /// The ids of the answers in turn.
    pub ids: Vec<u64>,
}

impl ClassPlay {
    /// Riffs in turn, with the band of their tune, once.
    fn of(tune: &Tune, laid: &Turns) -> ClassPlay {
        let over = laid.chorus.over(laid.chorus.course(&tune.changes()));
        let turns = laid.bars.iter().map(|bar| over.course.bar_start(*bar)).collect();
        let score = Score::of_chorus(&over, tune.swing, tune.parts.with(Part::Solo));
        let mut score = Desk::with_band_of(tune, score);
        (score.times, score.intro) = (Some(1), 0);
        ClassPlay { score, tempo: tune.tempo, turns, ids: Vec::new() }
    }
}

door!(Class, class: fn lesson_taken(desk: &mut Desk, id: &str) -> Result<Done, Refusal> {
    desk.take_opened_lesson(id)
});

impl Desk {
    /// The class.
    pub fn class(&self) -> &Class {
        &self.class
    }

    /// The same, for what is to be written.
    pub fn class_mut(&mut self) -> &mut Class {
        &mut self.class
    }

    pub(super) fn take_lesson(&mut self, id: &str) -> Result<Done, Refusal> {
        lesson_taken(self, id).unwrap_or(Err(Refusal::NotHere(Room::Class)))
    }

    fn take_opened_lesson(&mut self, id: &str) -> Result<Done, Refusal> {
        self.class.wake();
        let Some(Link::Lesson(lesson)) = self.class.opened.as_deref().cloned() else {
            return self.begin_for_step(id);
        };
        let number = read_id(id).ok_or_else(|| Refusal::unknown(id))?.0;
        let text = link::encode_lesson(&lesson).ok_or(Refusal::NoLesson)?;
        let key = lesson.tune.key;
        let models = lesson.models.iter().map(|riff| (key, riff.clone())).collect();
        let done = self.take_several(models, id, Some(lesson.tune.clone()), lesson.title.clone())?;
        self.use_notes_of(lesson.tiers[0]);
        let class = &mut self.class;
        let working = class.works_on().map(|kept| kept.id);
        if let Some(working) = working {
            class.change(working, |record| record.works = false);
        }
        let kept = class.has(&text).unwrap_or_else(|| {
            let record = record_of(text.clone(), class.next_order());
            class.put_new(number, Rc::new(Link::Lesson(lesson)), record);
            class.kept.last().map_or(number, |kept| kept.id)
        });
        class.change(kept, |record| (record.works, record.step, record.tier) = (true, 0, 0));
        (class.opened, class.told) = (None, Told::Nothing);
        class.made.clear();
        Ok(match done {
            Done::SeveralAdded { lesson, riffs, tune } if lesson.is_empty() => {
                Done::SeveralAdded { lesson: "lesson".to_owned(), riffs, tune }
            }
            done => done,
        })
    }

    /// The riff that the step of the lesson asks for, where another one of the same model lies on the desk: the model
    /// itself to hear and copy, a copy of it to change, another one to make one's own. What a learner named otherwise
    /// stays, and so does every riff while the whole form is played.
    pub fn asked_by_step(&self) -> Option<(LinkTune, Riff)> {
        let kept = self.class.works_on()?;
        let lesson = kept.lesson()?;
        let (riff, step) = (self.riff(), lesson.steps.get(usize::from(kept.record.step))?);
        for model in &lesson.models {
            let names = [model.name.clone(), copy_name(model, CHANGED), copy_name(model, OWN)];
            let place = match step {
                LessonStep::Hear | LessonStep::Clap | LessonStep::Copy => 0,
                LessonStep::Change => 1,
                LessonStep::Own => 2,
                LessonStep::Form => return None,
            };
            // A riff without a name may be anybody's.
            let is_of_it = names.contains(&riff.name)
                && (!riff.name.is_empty() || lesson::differences(model, riff) == 0);
            if is_of_it {
                let asked = edit::rename(model, &names[place]);
                return (asked.name != riff.name).then(|| (lesson.tune.clone(), asked));
            }
        }
        None
    }

    /// Lays the riff on the desk that the step asks for: the one of this name that is in the notebook, else a new copy.
    /// The model itself is never written over.
    fn begin_for_step(&mut self, id: &str) -> Result<Done, Refusal> {
        let (tune, asked) = self.asked_by_step().ok_or(Refusal::NoLesson)?;
        let entries = self.document.notebook.entries();
        // What a learner has made of a copy is taken up again; the model has to be as it was.
        let is_copy = [CHANGED, OWN].iter().any(|what| asked.name.ends_with(what));
        let is_it =
            |riff: &Riff| riff.name == asked.name && (is_copy || lesson::differences(riff, &asked) == 0);
        if let Some(here) = entries.iter().find(|entry| is_it(&entry.riff)) {
            self.put_down(here.riff.id);
            return Ok(Done::Quietly);
        }
        let id = self.fresh(id)?;
        self.put_in(Some(tune.key), asked.with_id(id))?;
        self.put_down(id);
        Ok(Done::Quietly)
    }

    fn use_notes_of(&mut self, tier: Limits) {
        let material = lesson::material(&tier);
        if self.tune().material != material {
            self.document.tune = Rc::new(Tune { material, ..self.tune().clone() });
        }
    }

    /// Does one thing in the class. What a person cannot do is told, see [`Class::told`].
    pub fn do_in_class(&mut self, command: ClassCommand) {
        self.class.wake();
        let told = match command {
            ClassCommand::Look | ClassCommand::Follow | ClassCommand::Play { .. } => Told::Nothing,
            ClassCommand::Make { .. } => self.make_lesson(command),
            ClassCommand::Several { riffs } => self.make_several(&riffs),
            ClassCommand::Choose { id } => {
                self.class.chosen = read_id(&id).map(|id| id.0);
                Told::Nothing
            }
            ClassCommand::Paste { text, id } => match read_id(&id) {
                Some(id) => {
                    self.class.opened = None;
                    self.class.paste(&text, id.0)
                }
                None => Told::NotThere,
            },
            ClassCommand::Close => {
                self.class.opened = None;
                self.class.made.clear();
                Told::Nothing
            }
            ClassCommand::Work { step } => self.in_lesson(|lesson, record| {
                record.step = step.min(lesson.steps.len() - 1) as u8;
            }),
            ClassCommand::ChooseTier { tier } => self.in_lesson(|lesson, record| {
                record.tier = tier.min(lesson.tiers.len() - 1) as u8;
            }),
            ClassCommand::Leave => self.in_lesson(|_, record| record.works = false),
            ClassCommand::HandIn { who, can } => self.hand_in(&who, can),
            ClassCommand::Mark { id, mark, on } => match self.kept_id(&id) {
                Some(id) if usize::from(mark) < MARKS => {
                    self.class.remember();
                    self.class.change(id, |record| {
                        record.marks = record.marks & !(1 << mark) | u32::from(on) << mark;
                    });
                    Told::Nothing
                }
                _ => Told::NotThere,
            },
            ClassCommand::Delete { id } => match self.kept_id(&id) {
                Some(id) => {
                    self.class.remember();
                    // The link that stands there may be its.
                    self.class.made.clear();
                    self.class.kept.retain(|kept| kept.id != id);
                    self.class.unwritten.retain(|other| *other != id);
                    self.class.gone.push(id);
                    Told::Deleted
                }
                None => Told::NotThere,
            },
            ClassCommand::Undo => self.class.undo(),
            ClassCommand::ShowNames { on } => {
                self.class.hides_names = !on;
                Told::Nothing
            }
        };
        self.class.told = told;
    }

    fn kept_id(&self, id: &str) -> Option<u64> {
        let id = read_id(id)?.0;
        self.class.kept.iter().any(|kept| kept.id == id).then_some(id)
    }

    fn in_lesson(&mut self, change: impl FnOnce(&Lesson, &mut ClassRecord)) -> Told {
        let Some(kept) = self.class.works_on() else { return Told::NotThere };
        let (id, link) = (kept.id, Rc::clone(&kept.link));
        let Link::Lesson(lesson) = &*link else { return Told::NotThere };
        self.class.change(id, |record| change(lesson, record));
        self.class.made.clear();
        Told::Nothing
    }

    /// Riffs of the notebook that have notes, with their keys.
    fn riffs_named(&self, ids: &[String]) -> Vec<(Key, Riff)> {
        let entry = |id: &String| self.document.notebook.entry(read_id(id)?);
        let entries = ids.iter().filter_map(entry).filter(|entry| !entry.riff.notes().is_empty());
        entries.map(|entry| (entry.key.unwrap_or(self.tune().key), (*entry.riff).clone())).collect()
    }

    fn make_lesson(&mut self, command: ClassCommand) -> Told {
        let ClassCommand::Make { id, title, words, can, steps, locked, tiers, riffs } = command else {
            return Told::NotThere;
        };
        let Some(id) = read_id(&id).map(|id| id.0) else { return Told::NotThere };
        self.class.made.clear();
        let old = self.class.kept.iter().find(|kept| kept.id == id).and_then(Kept::lesson).cloned();
        let models = self.riffs_named(&riffs);
        if models.len() > Lesson::MOST_MODELS {
            return Told::TooManyModels;
        }
        let (tune, models) = match old {
            Some(old) if models.is_empty() => (old.tune, old.models),
            _ => {
                // All in the lesson's key.
                let riffs: Vec<(Riff, Key)> = models.into_iter().map(|(key, riff)| (riff, key)).collect();
                let laid = lesson::turns(&self.changes(), &riffs, Follow::InTurn);
                (self.tune().shared(), laid.map_or_else(Vec::new, |laid| laid.chorus.riffs().to_vec()))
            }
        };
        if models.is_empty() {
            return Told::NoModel;
        }
        let models = models.into_iter().zip(1..).map(|(riff, place)| riff.with_id(RiffId(place)));
        let mut chosen: Vec<LessonStep> =
            steps.iter().filter_map(|name| named(name, &LessonStep::NAMES)).collect();
        chosen.sort_by_key(|step| LessonStep::NAMES.iter().position(|(other, _)| other == step));
        chosen.dedup();
        if chosen.is_empty() {
            return Told::NoStep;
        }
        let limits = |tier: &TierSaid| Limits {
            beats: tier.beats.min(Riff::MOST_BEATS as u8),
            space: tier.space.min(Riff::MOST_BEATS as u8 - 1),
            notes: Material::all()
                .position(|each| each.name() == tier.notes)
                .unwrap_or(Material::all().count() - 1) as u8,
        };
        let mut tiers: Vec<Limits> = tiers.iter().take(Lesson::MOST_TIERS).map(limits).collect();
        if tiers.is_empty() {
            tiers.push(Limits { beats: 0, space: 0, notes: u8::MAX });
        }
        let can = can.iter().map(|each| cut(&clean_line(each), Lesson::MOST_STATEMENT));
        let made = Lesson {
            title: cut(&clean_line(&title), Lesson::MOST_TITLE),
            tune,
            models: models.collect(),
            steps: chosen,
            tiers,
            locked,
            words: cut(&clean_lines(&words), Lesson::MOST_WORDS),
            can: can.filter(|each| !each.is_empty()).take(Lesson::MOST_CAN).collect(),
        };
        let Some(text) = link::encode_lesson(&made) else { return Told::TooLong };
        let link = Rc::new(Link::Lesson(made));
        let class = &mut self.class;
        if let Some(kept) = class.kept.iter_mut().find(|kept| kept.id == id) {
            kept.link = link;
            class.change(id, |record| record.link = text.clone());
        } else if class.has(&text).is_none() {
            let record = record_of(text.clone(), class.next_order());
            class.put_new(id, link, record);
        }
        class.chosen = class.has(&text);
        class.made = text;
        Told::Made
    }

    fn make_several(&mut self, ids: &[String]) -> Told {
        self.class.made.clear();
        let riffs = self.riffs_named(ids);
        if riffs.is_empty() || riffs.len() > Several::MOST_RIFFS {
            return Told::SeveralCount;
        }
        let number = |((key, riff), place): ((Key, Riff), u64)| (key, riff.with_id(RiffId(place)));
        let riffs = riffs.into_iter().zip(1..).map(number).collect();
        match link::encode_several(&Several { tune: self.tune().shared(), riffs }) {
            Some(text) => {
                self.class.made = text;
                Told::Several
            }
            None => Told::TooLong,
        }
    }

    fn hand_in(&mut self, who: &str, can: u8) -> Told {
        self.class.made.clear();
        let Some(kept) = self.class.works_on() else { return Told::NotThere };
        let (id, tier) = (kept.id, kept.record.tier);
        let Some(lesson) = kept.lesson().cloned() else { return Told::NotThere };
        let who = cut(&clean_line(who), Answer::MOST_WHO);
        let riff = (**self.riff()).clone().with_id(RiffId(0));
        let riff_id = self.riff().id;
        if riff.notes().is_empty() {
            return Told::NoNotes;
        }
        if who.is_empty() {
            return Told::NoName;
        }
        if lesson.locked && !self.held_against(&lesson, tier).iter().all(Held::is_kept) {
            return Told::Outside;
        }
        let key = self.document.notebook.key(riff_id).unwrap_or(self.tune().key);
        let tune = LinkTune { key, ..self.tune().shared() };
        let can = can & ((1_u16 << lesson.can.len()) - 1) as u8;
        let answer = Answer { lesson: link::lesson_number(&lesson), who: who.clone(), tier, can, tune, riff };
        let Some(text) = link::encode_answer(&answer) else { return Told::TooLong };
        self.class.change(id, |record| record.who = who);
        self.class.made = text;
        Told::HandedIn
    }

    /// The riff on the desk held against a tier of a lesson, in the lesson's key or its own.
    pub fn held_against(&self, lesson: &Lesson, tier: u8) -> Vec<Held> {
        let riff = self.riff();
        let key = self.document.notebook.key(riff.id).unwrap_or(self.tune().key);
        let limits = lesson.tiers.get(usize::from(tier)).unwrap_or(&lesson.tiers[0]);
        lesson::held(limits, riff, &self.lesson_changes(&lesson.tune, key))
    }

    /// The form of a lesson's tune, in this key.
    pub fn lesson_changes(&self, tune: &LinkTune, key: Key) -> Changes {
        self.tune().with_shared(tune.clone()).in_key(key).changes()
    }

    /// What plays, by its name in [`ClassCommand::Play`]: the chosen lesson's, or the one's on which a learner works.
    pub fn class_plays(&self, what: &str) -> Option<ClassPlay> {
        if let Some(place) = what.strip_prefix("model") {
            let lesson = match self.class.opened() {
                Some(Link::Lesson(lesson)) => lesson,
                Some(Link::Answer(answer)) => return self.one_plays(&answer.tune, answer.riff.clone()),
                _ => self.class.works_on()?.lesson()?,
            };
            let riff = lesson.models.get(place.parse::<usize>().ok()?)?.clone();
            return self.one_plays(&lesson.tune, riff);
        }
        let answers = self.class.answers();
        let follow = match what {
            "turns" => Follow::InTurn,
            "chorus" => Follow::AsChorus,
            id => {
                let id = read_id(id)?.0;
                let answer = self.class.kept.iter().find(|kept| kept.id == id)?.answer()?;
                return self.one_plays(&answer.tune, answer.riff.clone());
            }
        };
        let tune = self.class_tune()?;
        let laid = self.class_turns(follow)?;
        let ids = answers.iter().take(laid.bars.len() - 1).map(|kept| kept.id).collect();
        Some(ClassPlay { ids, ..ClassPlay::of(&tune, &laid) })
    }

    /// The tune over which the answers are heard: the chosen lesson's, else that of the first answer's.
    fn class_tune(&self) -> Option<Tune> {
        let answers = self.class.answers();
        let first = answers.first()?.answer()?;
        let lesson = self.class.chosen().and_then(Kept::lesson).or_else(|| self.class.lesson_of(first));
        let tune = lesson.map_or(&first.tune, |lesson| &lesson.tune);
        Some(self.tune().with_shared(tune.clone()))
    }

    /// The answers laid one after the other over the form.
    pub fn class_turns(&self, follow: Follow) -> Option<Turns> {
        let riff = |kept: &&Kept| kept.answer().map(|answer| (answer.riff.clone(), answer.tune.key));
        let riffs: Vec<(Riff, Key)> = self.class.answers().iter().filter_map(riff).collect();
        lesson::turns(&self.class_tune()?.changes(), &riffs, follow)
    }

    /// The link of the answers as one chorus; empty where there is none, or where it is too long.
    pub fn class_chorus(&self) -> String {
        let tune = self.class_tune().map(|tune| tune.shared());
        let laid = self.class_turns(Follow::AsChorus);
        let text = tune.zip(laid).and_then(|(tune, laid)| link::encode_chorus(&tune, &laid.chorus));
        text.unwrap_or_default()
    }

    /// One riff over the first bars of its form, with the band.
    fn one_plays(&self, tune: &LinkTune, riff: Riff) -> Option<ClassPlay> {
        let tune = self.tune().with_shared(tune.clone());
        let laid = lesson::turns(&tune.changes(), &[(riff, tune.key)], Follow::InTurn)?;
        let mut play = ClassPlay { turns: Vec::new(), ..ClassPlay::of(&tune, &laid) };
        play.score.looped = 0..*laid.bars.last()?;
        Some(play)
    }
}

/// What a copy of a model to be changed is called, behind the model's name.
const CHANGED: &str = "changed";
/// What a copy of a model to begin from is called, behind the model's name.
const OWN: &str = "my own";

/// The name of a copy: "Salt wind, changed". It always differs from the model's.
fn copy_name(model: &Riff, what: &str) -> String {
    if model.name.is_empty() {
        return format!("The model, {what}");
    }
    format!("{}, {what}", cut(&model.name, edit::LONGEST_NAME - what.len() - 2))
}

fn cut(text: &str, most: usize) -> String {
    text.chars().take(most).collect::<String>().trim_end().to_owned()
}

/// A line without signs that steer a text.
fn clean_line(text: &str) -> String {
    let kept: String = text.chars().filter(|c| c.is_whitespace() || !steers_text(*c)).collect();
    kept.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn clean_lines(text: &str) -> String {
    text.lines().map(clean_line).collect::<Vec<_>>().join("\n").trim().to_owned()
}
