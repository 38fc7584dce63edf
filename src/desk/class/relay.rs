//! A riff from seat to seat: each learner gets the riff as the one before left it, changes one thing, and passes it on, as a
//! link or on this device. What each made is an answer on the board, where all of them are a family.

use std::rc::Rc;

use super::{Class, ClassPlay, Kept, Told, clean_line, cut, record_of};
use crate::desk::{Desk, Done, Refusal};
use crate::files::link::{self, Answer, Link, LinkTune};
use crate::notebook::family::{self, Member};
use crate::notebook::lesson::{self, Follow, Turns};
use crate::riff::difference::differences;
use crate::riff::{Riff, RiffId, edit, read_id};
use crate::theory::key::Key;

impl Kept {
    /// What goes from here to the next seat: the answer's riff, or the lesson's first model; with its tune.
    pub fn passed_on(&self) -> Option<(&LinkTune, &Riff)> {
        match &*self.link {
            Link::Lesson(lesson) => Some((&lesson.tune, lesson.models.first()?)),
            Link::Answer(answer) => Some((&answer.tune, &answer.riff)),
            _ => None,
        }
    }
}

impl Class {
    /// The lesson or the answer whose riff is at the next seat here.
    pub fn relay(&self) -> Option<&Kept> {
        self.kept.iter().find(|kept| kept.record.passes)
    }

    /// From now on the riff of this one is at the next seat; of none where nothing goes from seat to seat any more.
    fn pass(&mut self, next: Option<u64>) {
        let changed: Vec<u64> = self
            .kept
            .iter()
            .filter(|kept| {
                kept.record.passes != (Some(kept.id) == next) || kept.record.works && next.is_some()
            })
            .map(|kept| kept.id)
            .collect();
        for id in changed {
            self.change(id, |record| {
                record.passes = Some(id) == next;
                record.works &= next.is_none();
            });
        }
    }

    /// Ends what goes from seat to seat. The answers stay.
    pub(super) fn end_relay(&mut self) -> Told {
        self.pass(None);
        self.made.clear();
        Told::Nothing
    }

    /// Takes the riff of what is kept under this id, or of the answer that was opened, to the next seat.
    pub(super) fn begin_relay(&mut self, id: &str) -> Told {
        let Some(id) = read_id(id).map(|id| id.0) else { return Told::NotThere };
        self.made.clear();
        let id = match self.opened.take() {
            Some(link) if matches!(*link, Link::Answer(_)) => {
                let Link::Answer(answer) = &*link else { return Told::NotThere };
                let Some(text) = link::encode_answer(answer) else { return Told::NotThere };
                let record = record_of(text.clone(), self.next_order());
                self.put_new(id, link, record);
                self.has(&text)
            }
            opened => {
                self.opened = opened;
                self.kept.iter().find(|kept| kept.id == id).map(|kept| kept.id)
            }
        };
        if id.is_none() {
            return Told::NotThere;
        }
        self.example.clear();
        // The board has what becomes of it, beside the model.
        if self.kept.iter().any(|kept| Some(kept.id) == id && kept.lesson().is_some()) {
            self.chosen = id;
        }
        self.pass(id);
        Told::Nothing
    }
}

impl Desk {
    /// Lays a copy of the riff on the desk that came from the seat before.
    pub(super) fn begin_passed(&mut self, id: &str) -> Result<Done, Refusal> {
        let kept = self.class.relay().ok_or(Refusal::NoLesson)?;
        let (tune, riff) = kept.passed_on().ok_or(Refusal::NoLesson)?;
        let (tune, riff) = (tune.clone(), edit::rename(riff, &family::next_name(&riff.name)));
        let id = self.fresh(id)?;
        self.put_in(Some(tune.key), riff.with_id(id))?;
        self.bring(self.tune().with_shared(tune));
        self.put_down(id);
        Ok(Done::Quietly)
    }

    /// In how many things the riff on the desk differs from the one that came from the seat before.
    pub fn passed_differences(&self) -> usize {
        let before = self.class.relay().and_then(Kept::passed_on);
        before.map_or(0, |(_, riff)| differences(riff, self.riff()))
    }

    /// Puts what this seat made on the board, and takes it to the next seat.
    pub(super) fn pass_on(&mut self, who: &str, id: &str) -> Told {
        self.class.made.clear();
        let (Some(id), Some(kept)) = (read_id(id), self.class.relay()) else { return Told::NotThere };
        let Some((tune, _)) = kept.passed_on() else { return Told::NotThere };
        let lesson = match &*kept.link {
            Link::Answer(answer) => answer.lesson,
            Link::Lesson(lesson) => link::lesson_number(lesson),
            _ => return Told::NotThere,
        };
        let who = cut(&clean_line(who), Answer::MOST_WHO);
        if self.riff().notes().is_empty() {
            return Told::NoNotes;
        }
        if self.passed_differences() == 0 {
            return Told::Unchanged;
        }
        if who.is_empty() {
            return Told::NoName;
        }
        let key = self.document.notebook.key(self.riff().id).unwrap_or(self.tune().key);
        let tune = LinkTune { key, ..tune.clone() };
        let riff = (**self.riff()).clone().with_id(RiffId(0));
        let Some(text) = link::encode_answer(&Answer { lesson, who, tier: 0, can: 0, tune, riff }) else {
            return Told::TooLong;
        };
        let Ok(link) = link::decode_any(&text) else { return Told::NotThere };
        if self.class.has(&text).is_none() {
            let record = record_of(text.clone(), self.class.next_order());
            if !self.class.put_new(id.0, Rc::new(link), record) {
                return Told::Full;
            }
        }
        let next = self.class.has(&text);
        self.class.pass(next);
        self.class.made = text;
        Told::PassedOn
    }

    /// The models of the chosen lesson and the answers, in the lesson's key, and how many of them are models.
    fn relatives(&self) -> Option<(Vec<Riff>, usize)> {
        let key = self.class_tune()?.key;
        let lesson = self.class.chosen().and_then(Kept::lesson);
        let models: Vec<Riff> = lesson.map_or_else(Vec::new, |lesson| lesson.models.clone());
        let answers = self.class.answers();
        let answer = |kept: &&Kept| kept.answer().map(|each| lesson::moved(&each.riff, each.tune.key, key));
        let count = models.len();
        Some((models.into_iter().chain(answers.iter().filter_map(answer)).collect(), count))
    }

    /// The families among the answers on the board: each member's riff, moved to the board's key, with its place among the
    /// models of the chosen lesson and then the answers; how many models there are.
    pub fn class_families(&self) -> (Vec<Member>, Vec<Riff>, usize) {
        let (riffs, models) = self.relatives().unwrap_or_default();
        (family::families(&riffs, models), riffs, models)
    }

    /// The families laid one after the other over the form, and whose turn each is: an answer's id, 0 for a model.
    pub(super) fn family_plays(&self) -> Option<ClassPlay> {
        let (tune, (members, riffs, models)) = (self.class_tune()?, self.class_families());
        let in_key = |member: &Member| (riffs[member.riff].clone(), tune.key);
        let chosen: Vec<(Riff, Key)> = members.iter().map(in_key).collect();
        let laid: Turns = lesson::turns(&tune.changes(), &chosen, Follow::InTurn)?;
        let answers = self.class.answers();
        let id = |member: &Member| {
            member.riff.checked_sub(models).and_then(|answer| answers.get(answer)).map_or(0, |kept| kept.id)
        };
        let ids = members.iter().take(laid.bars.len() - 1).map(id).collect();
        Some(ClassPlay { ids, ..ClassPlay::of(&tune, &laid) })
    }
}
