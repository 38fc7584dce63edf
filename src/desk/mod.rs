//! The desk: the document with its undo history, and the commands that change it.
//!
//! Everything that a person can do goes through [`Desk::apply`]. A command that cannot be done leaves everything as
//! it was and says why.

pub mod changed;
pub mod chorus;
pub mod class;
pub mod command;
pub mod drill;
pub mod free;
pub mod history;
pub mod merged;
pub mod microphone;
pub mod midi;
pub mod outcome;
pub mod past;
pub mod practice;
pub mod score;
pub mod session;
pub mod starting;
pub mod stored;
pub mod takes;
pub mod taking;
pub mod vary;
pub mod versions;
pub mod way_back;

mod aside;
mod dispatch;
mod edit;
mod key;
mod tune;

use std::cell::RefCell;
use std::rc::Rc;

use crate::band::dice::mixed;
use crate::chorus::kept;
use crate::desk::chorus::Weaving;
use crate::desk::class::Class;
use crate::desk::command::Command;
use crate::desk::free::FreePlay;
use crate::desk::history::History;
pub use crate::desk::outcome::{Brought, Done, Refusal};
use crate::desk::practice::Practice;
use crate::desk::session::{Place, Session, Step};
use crate::desk::taking::Taking;
use crate::desk::vary::Side;
use crate::desk::versions::Settling;
use crate::files::link::{self, Link, LinkTune, Shared};
use crate::form::Changes;
use crate::notebook::band;
use crate::notebook::choruses::{ChorusEntry, Choruses};
use crate::notebook::past::Past;
use crate::notebook::tune::Tune;
use crate::notebook::versions::Versions;
use crate::notebook::{Entry, Notebook, demo};
use crate::perform::Part;
use crate::practice::review::Day;
use crate::rhythm::grid::Division;
use crate::rhythm::tapped;
use crate::riff::{Riff, RiffId, edit as riff_edit, read_id};
use crate::rooms::{Room, door};
use crate::theory::instrument::Instrument;
use crate::theory::key::Key;
use crate::units::Ticks;

/// What is undone and kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Document {
    /// The tune.
    pub tune: Rc<Tune>,
    /// The riffs.
    pub notebook: Rc<Notebook>,
    /// The choruses.
    pub choruses: Rc<Choruses>,
}

/// The document, where a person is in it, and the way back.
#[derive(Clone, Debug)]
pub struct Desk {
    document: Document,
    session: Session,
    history: History<Document>,
    practice: Practice,
    past: Past,
    versions: Versions,
    settling: Settling,
    today: Day,
    weaving: Weaving,
    free: FreePlay,
    taking: Taking,
    class: Class,
    /// The changes that were last asked for, and the tune that they are of.
    form: RefCell<Option<(Rc<Tune>, Rc<Changes>)>>,
}

door!(Files, files: fn opened(desk: &mut Desk, text: &str, id: &str, take_tune: bool) -> Result<Done, Refusal> {
    desk.take_link(text, id, take_tune)
});

impl Desk {
    /// A desk with the first tune and one empty riff.
    pub fn new(first_riff: RiffId) -> Desk {
        let (tune, choruses) = (Rc::new(Tune::first()), Rc::default());
        let notebook = Notebook::of(Riff::empty(first_riff, Ticks::QUARTER, FIRST_RIFF_BEATS), tune.key);
        let document = Document { tune, notebook: Rc::new(notebook), choruses };
        Desk::of(document, first_riff)
    }

    /// A desk with what was kept. Where no riff was kept, the starter lies on it, as [`demo::salt_wind`].
    pub fn restored(tune: Option<Tune>, entries: Vec<Entry>, chosen: Option<RiffId>, spare: RiffId) -> Desk {
        let mut notebook = Notebook::default();
        for entry in entries {
            if !notebook.restore(entry) {
                break;
            }
        }
        if notebook.entries().is_empty() {
            let mut starter = demo::salt_wind();
            starter.id = spare;
            notebook = Notebook::of(starter, demo::key());
        }
        let first = notebook.entries()[0].riff.id;
        let chosen = chosen.filter(|id| notebook.riff(*id).is_some()).unwrap_or(first);
        let tune = Rc::new(tune.unwrap_or_else(Tune::first));
        let document = Document { tune, notebook: Rc::new(notebook), choruses: Rc::default() };
        let mut desk = Desk::of(document, chosen);
        desk.go_to_end();
        desk
    }

    fn of(document: Document, chosen: RiffId) -> Desk {
        let (history, practice, past, today, weaving, free) = Default::default();
        let (taking, class) = Default::default();
        let mut desk = Desk {
            document,
            session: Session::at(chosen),
            history,
            practice,
            past,
            versions: Versions::default(),
            settling: Settling::default(),
            today,
            weaving,
            free,
            taking,
            class,
            form: RefCell::default(),
        };
        desk.settle();
        desk
    }

    /// The same desk with the choruses that were kept, working on `chosen` or on the newest.
    #[must_use]
    pub fn with_choruses(mut self, entries: Vec<ChorusEntry>, chosen: Option<kept::ChorusId>) -> Desk {
        let choruses = Rc::make_mut(&mut self.document.choruses);
        for entry in entries {
            if !choruses.restore(entry) {
                break;
            }
        }
        self.weaving.chosen = chosen;
        self.weave_inside();
        self
    }

    /// What is kept.
    pub fn document(&self) -> &Document {
        &self.document
    }

    /// Where the person is.
    pub fn session(&self) -> &Session {
        &self.session
    }

    /// The tune.
    pub fn tune(&self) -> &Tune {
        &self.document.tune
    }

    /// The form in its key.
    pub fn changes(&self) -> Rc<Changes> {
        let tune = &self.document.tune;
        let mut form = self.form.borrow_mut();
        match form.as_ref() {
            Some((of, changes)) if Rc::ptr_eq(of, tune) => Rc::clone(changes),
            _ => Rc::clone(&form.insert((Rc::clone(tune), Rc::new(tune.changes()))).1),
        }
    }

    /// The riff on the desk: the chosen one, or the variation of it that is looked at.
    pub fn riff(&self) -> &Rc<Riff> {
        match self.varied() {
            Some(varied) if varied.side == Side::New => &varied.riff,
            _ => self.original(),
        }
    }

    /// The tune that was there before a link or the demo brought another one.
    pub fn own_tune(&self) -> Option<&Tune> {
        self.session.own_tune.as_deref()
    }

    /// Whether taps, in seconds, one a note, are the rhythm of the riff on the desk.
    pub fn is_tapped(&self, taps: &[f64]) -> bool {
        let riff = self.riff();
        let beats = riff.notes().iter().map(|note| note.onset.0 as f64 / riff.beat().0 as f64);
        tapped::follows(&beats.collect::<Vec<_>>(), taps)
    }

    /// Whether there is something to undo.
    pub fn can_undo(&self) -> bool {
        self.varied().is_some() || self.history.can_undo()
    }

    /// Whether there is something to redo.
    pub fn can_redo(&self) -> bool {
        self.history.can_redo()
    }

    /// The note that accent, longer, shorter and delete act on: the selected one, else the last before the cursor.
    pub fn target(&self) -> Option<usize> {
        let riff = self.riff();
        self.session
            .selected
            .filter(|index| *index < riff.notes().len())
            .or_else(|| riff.notes().iter().rposition(|note| note.onset < self.session.cursor))
    }

    /// Does one thing.
    pub fn apply(&mut self, command: Command) -> Result<Done, Refusal> {
        if let Command::SetLevel { part, decibels } = &command
            && part == "all"
        {
            return self.set_loudness(*decibels);
        }
        let step = match &command {
            Command::DragNote { gesture, .. }
            | Command::StretchNote { gesture, .. }
            | Command::MovePlacement { gesture, .. } => Some(Step::Gesture(*gesture)),
            Command::SetLevel { part, .. } => Part::named(part).map(Step::Level),
            Command::SetTempo { .. } => Some(Step::Tempo),
            _ => None,
        };
        let (before, settled) = (self.document.clone(), self.settling.settled.clone());
        let done = self.dispatch(command);
        let is_history = matches!(done, Ok(Done::NothingThere)) || self.session.step == Some(Step::History);
        let continues = step.is_some() && step == self.session.step;
        self.session.step = step;
        if done.is_ok() && !Rc::ptr_eq(&self.document.tune, &before.tune) {
            self.vary_again();
            // They stand on the changes and in the instrument's range; who plays and how loud is nothing to them.
            let (now, before) = (self.tune(), &before.tune);
            if !now.has_ground_of(before) || now.instrument.name() != before.instrument.name() {
                self.forget_suggestions();
            }
        }
        if done.is_err() {
            self.document = before;
        } else if self.document != before {
            self.keep_version(settled, &before);
            if !is_history && !continues {
                self.history.remember(before);
            }
        }
        self.stay_inside();
        self.look_again();
        done
    }

    /// How loud everything is belongs to the room, not to the music: it is the same before and after every step, so that
    /// none makes it louder.
    fn set_loudness(&mut self, decibels: i32) -> Result<Done, Refusal> {
        let master = band::master(decibels).ok_or(Refusal::Level { found: decibels })?;
        let set = |tune: &mut Rc<Tune>| {
            if tune.band.master != master {
                Rc::make_mut(tune).band.master = master;
            }
        };
        set(&mut self.document.tune);
        self.history.change_all(|document| set(&mut document.tune));
        self.session.own_tune.iter_mut().for_each(set);
        self.session.step = None;
        Ok(Done::Quietly)
    }

    /// Goes one step through the history, to the riff that it changes.
    fn step(
        &mut self,
        go: fn(&mut History<Document>, Document) -> Option<Document>,
    ) -> Result<Done, Refusal> {
        let Some(document) = go(&mut self.history, self.document.clone()) else {
            return Ok(Done::NothingThere);
        };
        let changed = document.notebook.entries().iter().find(|entry| {
            self.document.notebook.entry(entry.riff.id).is_none_or(|now| now.riff != entry.riff)
        });
        let changed = changed.map(|entry| entry.riff.id);
        let choruses = Rc::clone(&self.document.choruses);
        self.document = document;
        self.follow_chorus(&choruses);
        self.session.varied = None;
        if let Some(id) = changed {
            self.put_down(id);
        }
        self.session.step = Some(Step::History);
        Ok(Done::Quietly)
    }

    fn go(&mut self, name: &str) -> Result<Done, Refusal> {
        self.session.place = Place::named(name).ok_or_else(|| Refusal::unknown(name))?;
        if self.shows_chorus() {
            // What is practised is the chorus itself, not a suggestion that was looked at.
            self.weaving.shown = None;
        }
        if self.session.place == Place::Chorus {
            self.look_for_room();
        }
        Ok(Done::Quietly)
    }

    fn new_riff(&mut self, id: &str) -> Result<Done, Refusal> {
        let id = self.fresh(id)?;
        self.put(self.empty_riff(id)?)?;
        self.put_down(id);
        Ok(Done::Quietly)
    }

    /// A riff without notes, its beats divided as the feel of the tune counts them.
    fn empty_riff(&self, id: RiffId) -> Result<Riff, Refusal> {
        let mut riff = Riff::empty(id, Ticks::QUARTER, FIRST_RIFF_BEATS);
        if self.tune().dotted {
            for beat in 0..riff.beats() {
                riff = riff_edit::divide(&riff, beat, Division::THIRDS).map_err(Refusal::Edit)?;
            }
        }
        Ok(riff)
    }

    fn pick(&mut self, id: &str) -> Result<Done, Refusal> {
        let id = self.existing(id)?;
        self.put_down(id);
        Ok(self.left_behind())
    }

    fn duplicate(&mut self, id: &str, copy: &str) -> Result<Done, Refusal> {
        let (id, copy) = (self.existing(id)?, self.fresh(copy)?);
        let mut riff = (**self.document.notebook.riff(id).expect("it exists")).clone();
        riff.id = copy;
        if !riff.name.is_empty() {
            riff = riff_edit::rename(&riff, &riff_edit::another_name(&riff.name));
        }
        self.put_in(self.document.notebook.key(id), riff)?;
        self.put_down(copy);
        Ok(Done::Quietly)
    }

    fn rename(&mut self, id: &str, name: &str) -> Result<Done, Refusal> {
        let id = self.existing(id)?;
        let riff = riff_edit::rename(self.document.notebook.riff(id).expect("it exists"), name);
        self.put(riff)
    }

    fn delete(&mut self, ids: &str) -> Result<Done, Refusal> {
        let ids = ids.split(' ').map(|id| self.existing(id)).collect::<Result<Vec<_>, _>>()?;
        let notebook = Rc::make_mut(&mut self.document.notebook);
        let mut name = String::new();
        for id in &ids {
            name = notebook.remove(*id).map(|entry| entry.riff.name.clone()).unwrap_or_default();
        }
        if notebook.entries().is_empty() {
            // The desk is never bare. The empty riff's id follows from the one that went.
            let spare = RiffId(mixed(ids[0].0));
            let _ = notebook.put(Riff::empty(spare, Ticks::QUARTER, FIRST_RIFF_BEATS), None);
        }
        if ids.contains(&self.session.chosen) {
            let first = notebook.entries()[0].riff.id;
            self.put_down(first);
        }
        Ok(Done::Deleted { name, riffs: ids.len() })
    }

    fn open_link(&mut self, text: &str, id: &str, take_tune: bool) -> Result<Done, Refusal> {
        opened(self, text, id, take_tune).unwrap_or(Err(Refusal::NotHere(Room::Files)))
    }

    fn take_link(&mut self, text: &str, id: &str, take_tune: bool) -> Result<Done, Refusal> {
        let link = link::decode_any(text).map_err(Refusal::Link)?;
        let made_for = Tune::made_for(match &link {
            Link::Riff(shared) => &shared.tune,
            Link::Chorus(shared) => &shared.tune,
            Link::Lesson(lesson) => &lesson.tune,
            Link::Answer(answer) => &answer.tune,
            Link::Several(several) => &several.tune,
            Link::Tune(tune) => tune,
        });
        // Whoever has chosen an instrument is in no doubt.
        let (mine, keyboard) = (self.tune().instrument.name(), Instrument::keyboard().name());
        let made_for = made_for.filter(|made_for| mine == keyboard && made_for.name() != mine);
        let done = match link {
            Link::Riff(shared) => self.take_shared_riff(shared, id, take_tune),
            Link::Chorus(shared) => self.add_shared_chorus(shared, id, take_tune),
            Link::Several(several) => {
                let tune = take_tune.then_some(several.tune);
                self.take_several(several.riffs, id, tune, String::new())
            }
            Link::Tune(tune) => Ok(Done::TuneBrought { tune: self.bring_shared(Some(tune)) }),
            Link::Lesson(_) | Link::Answer(_) => {
                self.class.open(link);
                return Ok(Done::ForClass);
            }
        };
        if done.is_ok() {
            self.session.made_for = made_for;
        }
        done
    }

    fn take_shared_riff(&mut self, shared: Shared, id: &str, take_tune: bool) -> Result<Done, Refusal> {
        let fresh = self.fresh(id)?;
        let name = shared.riff.name.clone();
        let (id, _) = self.take_riff(shared.tune.key, shared.riff, fresh)?;
        let tune = self.bring_shared(take_tune.then_some(shared.tune));
        self.put_down(id);
        Ok(Done::Added { name, tune })
    }

    /// Puts a riff from a link into the notebook under this id. One that is here already, note for note, is not put in once
    /// more. Gives its id, and whether it is new.
    fn take_riff(&mut self, key: Key, mut riff: Riff, fresh: RiffId) -> Result<(RiffId, bool), Refusal> {
        if let Some(here) = self.same_riff(key, &riff) {
            return Ok((here, false));
        }
        riff.id = fresh;
        self.put_in(Some(key), riff)?;
        Ok((fresh, true))
    }

    /// The riff of the notebook that is this one in this key, note for note and with the same name.
    pub fn same_riff(&self, key: Key, riff: &Riff) -> Option<RiffId> {
        let mut riff = riff.clone();
        let here = self.document.notebook.entries().iter().find(|entry| {
            riff.id = entry.riff.id;
            entry.key == Some(key) && *entry.riff == riff
        });
        here.map(|entry| entry.riff.id)
    }

    /// Puts several riffs into the notebook, the first one on the desk; their ids follow from `id`.
    fn take_several(
        &mut self,
        riffs: Vec<(Key, Riff)>,
        id: &str,
        tune: Option<LinkTune>,
        lesson: String,
    ) -> Result<Done, Refusal> {
        let mut fresh = self.fresh(id)?;
        let (mut first, mut new) = (None, 0);
        // Backwards, so that the first one is the newest.
        for (key, riff) in riffs.into_iter().rev() {
            while self.document.notebook.riff(fresh).is_some() {
                fresh = RiffId(mixed(fresh.0));
            }
            let (taken, is_new) = self.take_riff(key, riff, fresh)?;
            first = Some(taken);
            new += usize::from(is_new);
        }
        let tune = self.bring_shared(tune);
        if let Some(first) = first {
            self.put_down(first);
        }
        Ok(Done::SeveralAdded { lesson, riffs: new, tune })
    }

    fn open_demo(&mut self, id: &str) -> Result<Done, Refusal> {
        let id = self.fresh(id)?;
        let mut riff = demo::porch_light();
        riff.id = id;
        self.put_in(Some(demo::key()), riff)?;
        let (instrument, band) = (self.document.tune.instrument, self.document.tune.band);
        let tune = self.bring(Tune { instrument, band, ..Tune::demo() });
        self.put_down(id);
        Ok(Done::Added { name: demo::porch_light().name, tune })
    }

    /// Puts the tune of a link on the desk, and practises as the link asks.
    fn bring_shared(&mut self, shared: Option<LinkTune>) -> Option<Brought> {
        let shared = shared?;
        self.practise_as_shared(&shared);
        self.bring(self.tune().with_shared(shared))
    }

    /// Puts a tune on the desk that came with something else; the one that it takes the place of can be had back.
    fn bring(&mut self, tune: Tune) -> Option<Brought> {
        if tune == *self.document.tune {
            return None;
        }
        let brought =
            Brought { key: tune.instrument.reading(tune.key).key(), bpm: tune.tempo.value().round() as u32 };
        self.session.own_tune = Some(std::mem::replace(&mut self.document.tune, Rc::new(tune)));
        Some(brought)
    }

    /// Takes the tune up again that was on the desk before something brought its own.
    fn own_tune_again(&mut self) -> Result<Done, Refusal> {
        let Some(tune) = self.session.own_tune.take() else { return Ok(Done::NothingThere) };
        // What was chosen to be played meanwhile stays, where that tune was for nobody yet.
        let instrument = if tune.instrument.name() == Instrument::keyboard().name() {
            self.tune().instrument
        } else {
            tune.instrument
        };
        self.document.tune = Rc::new(Tune { instrument, ..(*tune).clone() });
        if let Some(own) = self.practice.own.take() {
            self.practice.settings = own;
        }
        Ok(self.left_behind())
    }

    fn choose_bar(&mut self, bar: usize) -> Result<Done, Refusal> {
        if self.shows_chorus() {
            let done = self.choose_chorus_bar(bar)?;
            self.practise_bar(bar);
            return Ok(done);
        }
        let bars = self.changes().bars().len();
        if bar >= bars {
            return Err(Refusal::NoSuchBar { found: bar.saturating_add(1), bars });
        }
        self.session.bar = bar;
        self.practise_bar(bar);
        Ok(Done::Quietly)
    }

    fn set_loop(&mut self, bars: Option<(usize, usize)>) -> Result<Done, Refusal> {
        if self.shows_chorus() {
            return self.loop_chorus(bars);
        }
        let count = self.changes().bars().len();
        if let Some((from, to)) = bars
            && (from >= to || to > count)
        {
            return Err(Refusal::NoSuchBar { found: to.max(from.saturating_add(1)), bars: count });
        }
        self.session.looped = bars;
        Ok(Done::Quietly)
    }

    /// Loops from the bar that is looked at to `bar`; all bars are the whole form.
    fn loop_to(&mut self, bar: usize) -> Result<Done, Refusal> {
        let (bars, looked_at) = if self.shows_chorus() {
            (self.practice_changes().bars().len(), self.weaving.bar)
        } else {
            (self.changes().bars().len(), self.session.bar)
        };
        let (from, to) = (looked_at.min(bar), looked_at.max(bar).saturating_add(1));
        self.set_loop(Some((from, to)).filter(|looped| *looped != (0, bars)))
    }

    /// Puts a riff on the desk, with the cursor behind its last note.
    fn put_down(&mut self, id: RiffId) {
        if id != self.session.chosen {
            self.session.previous = Some(self.session.chosen);
        }
        self.session.varied = None;
        self.practise_riff();
        self.session.chosen = id;
        self.session.selected = None;
        if self.document.notebook.riff(id).is_some() {
            self.settle();
            self.go_to_end();
        }
    }

    /// Puts the cursor behind the last note.
    fn go_to_end(&mut self) {
        let riff = Rc::clone(self.riff());
        let end = riff.notes().last().map_or(Ticks::ZERO, |note| note.end());
        self.session.cursor = riff.steps().find(|step| *step >= end).unwrap_or(riff.length());
    }

    /// Puts a riff into the notebook. It stands in the key that it stood in; a first note is written in the tune's.
    fn put(&mut self, riff: Riff) -> Result<Done, Refusal> {
        let written = self.document.notebook.entry(riff.id).filter(|entry| !entry.riff.notes().is_empty());
        self.put_in(written.map_or(Some(self.tune().key), |entry| entry.key), riff)
    }

    /// Puts a riff into the notebook, with its notes in this key.
    fn put_in(&mut self, key: Option<Key>, riff: Riff) -> Result<Done, Refusal> {
        let put = Rc::make_mut(&mut self.document.notebook).put(riff, key);
        if put { Ok(Done::Quietly) } else { Err(Refusal::Full { most: Notebook::MOST_RIFFS }) }
    }

    /// An id that is in the notebook.
    fn existing(&self, text: &str) -> Result<RiffId, Refusal> {
        let error = || Refusal::NoSuchRiff { found: text.chars().take(20).collect() };
        let id = read_id(text).ok_or_else(error)?;
        self.document.notebook.riff(id).map(|_| id).ok_or_else(error)
    }

    /// An id that is not in the notebook yet.
    fn fresh(&self, text: &str) -> Result<RiffId, Refusal> {
        let error = || Refusal::NoSuchRiff { found: text.chars().take(20).collect() };
        let id = read_id(text).ok_or_else(error)?;
        if self.document.notebook.riff(id).is_none() { Ok(id) } else { Err(error()) }
    }

    /// Brings the session back inside a document that has changed under it.
    fn stay_inside(&mut self) {
        let bars = self.changes().bars().len();
        self.session.bar = self.session.bar.min(bars - 1);
        self.session.looped = self.session.looped.filter(|(_, to)| *to <= bars);
        if self.document.notebook.riff(self.session.chosen).is_none() {
            let first = self.document.notebook.entries()[0].riff.id;
            let previous = self.session.previous.filter(|id| self.document.notebook.riff(*id).is_some());
            self.put_down(previous.unwrap_or(first));
        }
        self.weave_inside();
        let riff = Rc::clone(self.riff());
        self.session.selected = self.session.selected.filter(|index| *index < riff.notes().len());
        self.session.cursor = riff.nearest_step(self.session.cursor);
        self.take_inside();
    }
}

/// A riff that nobody has written yet is two bars long.
const FIRST_RIFF_BEATS: usize = 8;
