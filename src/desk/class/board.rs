//! The lessons and the answers that are kept, what was done to them, and what came of it.

use std::rc::Rc;

use super::paste::Unread;
use crate::band::dice::mixed;
use crate::files::link::{self, Answer, Lesson, Link};
use crate::files::record::{self, ClassRecord, class_of_record, class_record_id};
use crate::riff::read_id;

/// Who is there to play, and what is played while one plays alone.
#[derive(Clone, Debug, PartialEq)]
pub struct Seats {
    /// How many there are, or their names, see [`crate::notebook::rota::seats`].
    pub seats: String,
    /// The names of parts that accompany, see [`crate::notation::Backing::name`].
    pub plays: Vec<String>,
}

/// How many marks there are for an answer.
pub const MARKS: usize = 5;
/// The most lessons and answers that are kept: ten full classes.
pub const MOST_KEPT: usize = 400;
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
        /// Lines that do not read.
        unread: Vec<Unread>,
        /// How many links hold a riff or a chorus and no answer.
        others: usize,
    },
    /// Something was done that can be taken back: the last of the steps.
    Did,
    /// This was taken back.
    Undone(Did),
    /// In the example nothing is kept, and nothing is taken back.
    OfExample,
    /// An answer is ready.
    HandedIn,
    /// The riff is not as the lesson asks, and the lesson is locked.
    Outside,
    /// There is no note in the riff.
    NoNotes,
    /// No name was given.
    NoName,
    /// The riff is still as it came from the seat before.
    Unchanged,
    /// The riff is on the board, and goes to the next seat.
    PassedOn,
    /// There is no more room.
    Full,
    /// What became of the camera.
    Camera(String),
    /// No code was found in a picture.
    NoCode,
    /// Riffs are in one link.
    Several,
    /// No riff was chosen, or too many.
    SeveralCount,
    /// Nothing like that is here.
    NotThere,
}

/// What was done and can be taken back.
#[derive(Clone, Debug, PartialEq)]
pub enum Did {
    /// Links came in.
    Came {
        /// How many answers.
        answers: usize,
        /// How many lessons.
        lessons: usize,
        /// Their ids.
        ids: Vec<u64>,
    },
    /// A lesson or an answer was taken out.
    Deleted(Kept),
    /// A mark was put on an answer, or taken off.
    Marked {
        /// The answer as it was.
        answer: Kept,
        /// Which mark, from 0.
        mark: u8,
        /// On or off.
        on: bool,
    },
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
    pub(super) raw: Vec<(String, String)>,
    pub(super) kept: Vec<Kept>,
    /// What was done and can be taken back, the last one last.
    pub(super) done: Vec<Did>,
    /// Shown instead of what is kept; empty where it is not.
    pub(super) example: Vec<Kept>,
    pub(super) opened: Option<Rc<Link>>,
    /// What a link holds that is only looked at.
    pub(super) looked_at: Option<Link>,
    pub(super) chosen: Option<u64>,
    pub(super) hides_names: bool,
    pub(super) seats: Option<Seats>,
    pub(super) told: Told,
    /// What was made: the text of a link.
    pub(super) made: String,
    pub(super) unwritten: Vec<u64>,
    pub(super) gone: Vec<u64>,
}

impl Class {
    /// What is kept, in the order in which it came.
    pub fn kept(&self) -> &[Kept] {
        &self.kept
    }

    /// Whether the example is shown.
    pub fn is_example(&self) -> bool {
        !self.example.is_empty()
    }

    /// What is shown: the example, or what is kept.
    pub fn shown(&self) -> &[Kept] {
        if self.is_example() { &self.example } else { &self.kept }
    }

    /// What the link holds that was looked at last, where nothing else was done since.
    pub fn looked_at(&self) -> Option<&Link> {
        self.looked_at.as_ref()
    }

    /// What a link held that was opened.
    pub fn opened(&self) -> Option<&Link> {
        self.opened.as_deref()
    }

    /// The lesson whose answers are looked at.
    pub fn chosen(&self) -> Option<&Kept> {
        let is_chosen = |kept: &&Kept| self.is_example() || Some(kept.id) == self.chosen;
        self.shown().iter().find(|kept| kept.lesson().is_some() && is_chosen(kept))
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
        self.shown().iter().filter(is_here).collect()
    }

    /// The lesson that an answer answers, where it is here.
    pub fn lesson_of(&self, answer: &Answer) -> Option<&Lesson> {
        let mut lessons = self.shown().iter().filter_map(Kept::lesson);
        lessons.find(|lesson| link::lesson_number(lesson) == answer.lesson)
    }

    /// Whether the board hides names.
    pub fn hides_names(&self) -> bool {
        self.hides_names
    }

    /// Who is there to play, where it was said.
    pub fn seats(&self) -> Option<&Seats> {
        self.seats.as_ref()
    }

    /// What came of the last command.
    pub fn told(&self) -> &Told {
        &self.told
    }

    /// The text of the link that was made last; empty where none was.
    pub fn made(&self) -> &str {
        &self.made
    }

    /// What a step back takes back.
    pub fn last_done(&self) -> Option<&Did> {
        self.done.last()
    }

    pub(in crate::desk) fn open(&mut self, link: Link) {
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
    pub(in crate::desk) fn restore(&mut self, records: Vec<(String, String)>) {
        let here = self.ids();
        self.raw.extend(records.into_iter().filter(|(id, _)| !here.contains(id)));
    }

    /// Takes in what was kept elsewhere: links that are here already do not come twice. Gives how many came.
    pub(in crate::desk) fn take_in(&mut self, records: Vec<(String, String)>) -> usize {
        self.wake();
        let mut came = 0;
        for Kept { id, link, record } in records.iter().filter_map(|(id, text)| Kept::read(id, text)) {
            // Whoever works on it does so where the file was written.
            let record = ClassRecord { works: false, passes: false, ..record };
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
    pub(super) fn wake(&mut self) {
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

    pub(super) fn next_order(&self) -> u32 {
        self.kept.iter().map(|kept| kept.record.order.saturating_add(1)).max().unwrap_or_default()
    }

    pub(super) fn has(&self, text: &str) -> Option<u64> {
        self.kept.iter().find(|kept| kept.record.link == text).map(|kept| kept.id)
    }

    /// Puts in what is new; `false` where it is here already or finds no room.
    pub(super) fn put_new(&mut self, id: u64, link: Rc<Link>, record: ClassRecord) -> bool {
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

    pub(super) fn note(&mut self, id: u64) {
        self.gone.retain(|other| *other != id);
        if !self.unwritten.contains(&id) {
            self.unwritten.push(id);
        }
    }

    /// What was done can be taken back.
    pub(super) fn remember(&mut self, did: Did) {
        self.done.push(did);
        if self.done.len() > MOST_STEPS {
            self.done.remove(0);
        }
    }

    /// Changes the record of the one with this id.
    pub(super) fn change(&mut self, id: u64, change: impl FnOnce(&mut ClassRecord)) {
        if let Some(kept) = self.kept.iter_mut().find(|kept| kept.id == id) {
            change(&mut kept.record);
            self.note(id);
        }
    }

    /// Puts a mark on an answer, or takes it off; on one of the example, too, for as long as it is shown.
    pub(super) fn mark(&mut self, id: &str, mark: u8, on: bool) -> Told {
        let found = read_id(id).and_then(|id| self.shown().iter().find(|kept| kept.id == id.0));
        let Some(kept) = found.filter(|_| usize::from(mark) < MARKS) else { return Told::NotThere };
        let (id, answer) = (kept.id, kept.clone());
        let set =
            |record: &mut ClassRecord| record.marks = record.marks & !(1 << mark) | u32::from(on) << mark;
        if self.is_example() {
            self.example.iter_mut().filter(|kept| kept.id == id).for_each(|kept| set(&mut kept.record));
            return Told::OfExample;
        }
        self.remember(Did::Marked { answer, mark, on });
        self.change(id, set);
        Told::Did
    }

    /// Takes a lesson or an answer out.
    pub(super) fn delete(&mut self, id: &str) -> Told {
        let found = read_id(id).and_then(|id| self.shown().iter().find(|kept| kept.id == id.0));
        let Some(kept) = found else { return Told::NotThere };
        let (id, kept) = (kept.id, kept.clone());
        if self.is_example() {
            self.example.retain(|kept| kept.id != id);
            return Told::OfExample;
        }
        self.remember(Did::Deleted(kept));
        // The link that stands there may be its.
        self.made.clear();
        self.take_out(&[id]);
        Told::Did
    }

    pub(super) fn take_out(&mut self, ids: &[u64]) {
        self.kept.retain(|kept| !ids.contains(&kept.id));
        self.unwritten.retain(|id| !ids.contains(id));
        self.gone.extend(ids);
    }

    pub(super) fn undo(&mut self) -> Told {
        let Some(did) = self.done.pop() else { return Told::NotThere };
        match did.clone() {
            Did::Came { ids, .. } => self.take_out(&ids),
            Did::Deleted(Kept { id, link, record }) => {
                self.put_new(id, link, record);
                self.kept.sort_by_key(|kept| kept.record.order);
            }
            Did::Marked { answer, mark, .. } => {
                let (bit, before) = (1 << mark, answer.record.marks);
                self.change(answer.id, |record| record.marks = record.marks & !bit | before & bit);
            }
        }
        Told::Undone(did)
    }
}

pub(super) fn record_of(link: String, order: u32) -> ClassRecord {
    let (marks, works, step, tier, who, passes) = Default::default();
    ClassRecord { link, order, marks, works, step, tier, who, passes }
}
