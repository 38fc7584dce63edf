//! Lessons and the answers to them: what a teacher makes and gathers, and the lesson on which a learner works.
//!
//! Nothing of it is sent anywhere. A lesson leaves the page as a link, and so does an answer.

mod board;
mod command;
mod example;
mod paste;
mod plays;
mod relay;

use std::rc::Rc;

use crate::band::settings::named;
use crate::desk::{Desk, Done, Refusal};
use crate::files::link::{self, Answer, Lesson, LessonStep, Limits, Link, LinkTune, Several};
use crate::files::record::ClassRecord;
use crate::form::Changes;
use crate::notebook::lesson::{self, Follow, Held};
use crate::notebook::tune::{Material, Tune};
use crate::riff::difference::differences;
use crate::riff::edit::{self, steers_text};
use crate::riff::{Riff, RiffId, read_id};
use crate::rooms::{Room, door};
use crate::theory::key::Key;

pub use board::{Class, Did, Kept, MARKS, MOST_KEPT, Seats, Told};
pub use command::{ClassCommand, TierSaid};
pub use paste::Unread;
pub use plays::ClassPlay;

use board::record_of;

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
            let passes = self.class.relay().is_some();
            return if passes { self.begin_passed(id) } else { self.begin_for_step(id) };
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
        class.end_relay();
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
            let is_of_it =
                names.contains(&riff.name) && (!riff.name.is_empty() || differences(model, riff) == 0);
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
        let is_it = |riff: &Riff| riff.name == asked.name && (is_copy || differences(riff, &asked) == 0);
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
        self.class.looked_at = None;
        let told = match command {
            ClassCommand::Look | ClassCommand::Follow | ClassCommand::Play { .. } => Told::Nothing,
            ClassCommand::Make { .. } => self.make_lesson(command),
            ClassCommand::Several { riffs } => self.make_several(&riffs),
            ClassCommand::TuneLink => {
                self.class.made = link::encode_tune(&self.shared_tune());
                Told::Nothing
            }
            ClassCommand::LookAt { text } => {
                self.class.looked_at = link::decode_any(&text).ok();
                Told::Nothing
            }
            ClassCommand::Choose { id } => {
                self.class.example.clear();
                self.class.chosen = read_id(&id).map(|id| id.0);
                Told::Nothing
            }
            ClassCommand::Paste { text, id, among_words } => match read_id(&id) {
                Some(id) => {
                    (self.class.opened, self.class.example) = Default::default();
                    self.class.paste(&text, id.0, among_words)
                }
                None => Told::NotThere,
            },
            ClassCommand::Example { on } => {
                self.class.example = if on { example::example() } else { Vec::new() };
                Told::Nothing
            }
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
            ClassCommand::Leave if self.class.relay().is_some() => self.class.end_relay(),
            ClassCommand::Leave => self.in_lesson(|_, record| record.works = false),
            ClassCommand::Relay { id } => self.class.begin_relay(&id),
            ClassCommand::PassOn { who, id } => self.pass_on(&who, &id),
            ClassCommand::HandIn { who, can } => self.hand_in(&who, can),
            ClassCommand::Mark { id, mark, on } => self.class.mark(&id, mark, on),
            ClassCommand::Delete { id } => self.class.delete(&id),
            ClassCommand::Undo => self.class.undo(),
            ClassCommand::Camera { state } => Told::Camera(state),
            ClassCommand::NoCode => Told::NoCode,
            ClassCommand::Rota { seats, plays } => {
                self.class.seats = Some(Seats { seats, plays });
                Told::Nothing
            }
            ClassCommand::ShowNames { on } => {
                self.class.hides_names = !on;
                Told::Nothing
            }
        };
        self.class.told = told;
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
        self.class.example.clear();
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
                (self.shared_tune(), laid.map_or_else(Vec::new, |laid| laid.chorus.riffs().to_vec()))
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
        match link::encode_several(&Several { tune: self.shared_tune(), riffs }) {
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
