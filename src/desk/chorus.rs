//! The commands that build a chorus, and where a person is in it.
//!
//! What is built is part of the document: undone, and kept. Which chorus is worked on, what is chosen in it and what has
//! been suggested is not. A suggestion can be looked at and heard before it is taken; whoever changes something in it
//! has taken it.

pub(super) mod moving;
mod placing;
pub mod singing;
mod suggesting;

use std::rc::Rc;

use crate::band::dice::mixed;
use crate::chorus::course::Course;
use crate::chorus::kept::{Chorus, ChorusId, LaidOut};
use crate::chorus::score::Taste;
use crate::chorus::suggest::Looked;
use crate::desk::session::Place;
use crate::desk::{Desk, Done, Refusal};
use crate::files::link::{self, SharedChorus};
use crate::notebook::choruses::Choruses;
use crate::riff::{Riff, RiffId, edit, read_id};
use crate::rooms::{Room, door};
use crate::theory::key::Key;

pub use suggesting::{Answer, Looking, Question, Suggested};

/// Where a person is in building a chorus.
#[derive(Clone, Debug, PartialEq)]
pub struct Weaving {
    /// The chorus that is worked on; `None` where there is none yet.
    pub chosen: Option<ChorusId>,
    /// The placement that is chosen in it, by index.
    pub selected: Option<usize>,
    /// The bar, from 0 through all times, where a riff goes next.
    pub bar: usize,
    /// The bars that are looped, from 0 through all times, or all of them.
    pub looped: Option<(usize, usize)>,
    /// Which riffs suggestions are made from; `None` for the newest few.
    pub asked: Option<Vec<RiffId>>,
    /// How adventurous suggestions are, and how much room they leave.
    pub taste: Taste,
    /// What has been suggested, best first.
    pub suggested: Rc<Vec<Suggested>>,
    /// How far was looked for them.
    pub looked: Looked,
    /// The suggestion that is looked at.
    pub shown: Option<usize>,
    /// What is being looked for.
    pub looking: Option<Looking>,
    /// How often suggestions were asked for.
    questions: u32,
    /// Whether suggestions are being asked for.
    pub asking: bool,
    /// What is typed to find riffs of the notebook.
    pub find: String,
    /// The chorus that was chosen when the key last changed, and the key before.
    left: Option<(ChorusId, Key)>,
    /// What is shown where no chorus has been begun.
    blank: Rc<Chorus>,
}

impl Default for Weaving {
    fn default() -> Weaving {
        Weaving {
            chosen: None,
            selected: None,
            bar: 0,
            looped: None,
            asked: None,
            taste: Taste::default(),
            suggested: Rc::default(),
            looked: Looked::AtAll,
            shown: None,
            looking: None,
            questions: 0,
            asking: false,
            find: String::new(),
            left: None,
            blank: Rc::new(Chorus::empty(ChorusId(0))),
        }
    }
}

door!(Chorus, chorus: fn free_bar(desk: &Desk) -> usize {
    desk.free_bar()
});

impl Desk {
    /// Where the person is in building a chorus.
    pub fn weaving(&self) -> &Weaving {
        &self.weaving
    }

    /// The chorus that is looked at and heard: a suggestion, the chosen one, or an empty one.
    pub fn chorus(&self) -> &Rc<Chorus> {
        let suggested = self.weaving.shown.and_then(|shown| self.weaving.suggested.get(shown));
        suggested.map_or(self.chosen_chorus(), |suggested| &suggested.chorus)
    }

    /// The chosen chorus as it is kept, or an empty one.
    pub fn chosen_chorus(&self) -> &Rc<Chorus> {
        let chosen = self.weaving.chosen.and_then(|id| self.document.choruses.chorus(id));
        chosen.unwrap_or(&self.weaving.blank)
    }

    /// The form, as often as the chorus plays it.
    pub fn course(&self) -> Course {
        self.chorus().course(&self.changes())
    }

    /// The chorus over the form.
    pub fn over(&self) -> LaidOut {
        self.chorus().over(self.course())
    }

    /// What stands behind `#` in a link to the chorus and the tune; `None` where it is too long for a link.
    pub fn chorus_link(&self) -> Option<String> {
        link::encode_chorus(&self.shared_tune(), self.chorus())
    }

    /// The tune leaves `key`: what is in the chorus stands there, where nothing better is known.
    pub(super) fn leave_key(&mut self, key: Key) {
        let known = self.weaving.left.filter(|(id, _)| Some(*id) == self.weaving.chosen);
        let is_empty = self.chosen_chorus().spots().is_empty();
        self.weaving.left = if is_empty { None } else { known.or(self.weaving.chosen.map(|id| (id, key))) };
    }

    /// Moves the chosen chorus to the tune's key.
    pub(super) fn move_chorus_to_key(&mut self) -> Result<Done, Refusal> {
        let chorus = moving::moved(self).unwrap_or(Err(Refusal::NotHere(Room::Chorus)))?;
        let name = chorus.name().to_owned();
        self.put_chorus(chorus)?;
        self.weaving.left = None;
        Ok(Done::Moved { name, chorus: true, to: self.tune().instrument.reading(self.tune().key).key() })
    }

    pub(super) fn find_riffs(&mut self, text: &str) -> Result<Done, Refusal> {
        self.weaving.find = text.chars().take(60).collect();
        Ok(Done::Quietly)
    }

    pub(super) fn new_chorus(&mut self, id: &str) -> Result<Done, Refusal> {
        let id = self.fresh_chorus(id)?;
        self.keep_chorus(Chorus::empty(id))?;
        self.go_to_chorus(Some(id));
        Ok(Done::Quietly)
    }

    pub(super) fn pick_chorus(&mut self, id: &str) -> Result<Done, Refusal> {
        let id = self.existing_chorus(id)?.id;
        self.go_to_chorus(Some(id));
        self.look_for_room();
        Ok(Done::Quietly)
    }

    pub(super) fn duplicate_chorus(&mut self, id: &str, copy: &str) -> Result<Done, Refusal> {
        let mut chorus = (*self.existing_chorus(id)?).clone();
        chorus.id = self.fresh_chorus(copy)?;
        let name = chorus.name().to_owned();
        let name = if name.is_empty() { name } else { edit::another_name(&name) };
        let id = chorus.id;
        self.keep_chorus(chorus.named(&name))?;
        self.go_to_chorus(Some(id));
        Ok(Done::Quietly)
    }

    pub(super) fn rename_chorus(&mut self, id: &str, name: &str) -> Result<Done, Refusal> {
        let chorus = (*self.existing_chorus(id)?).clone();
        self.keep_chorus(chorus.named(name))?;
        Ok(Done::Quietly)
    }

    pub(super) fn delete_chorus(&mut self, id: &str) -> Result<Done, Refusal> {
        let id = self.existing_chorus(id)?.id;
        let removed = Rc::make_mut(&mut self.document.choruses).remove(id);
        let name = removed.map(|entry| entry.chorus.name().to_owned()).unwrap_or_default();
        if self.weaving.chosen == Some(id) {
            let first = self.document.choruses.entries().first().map(|entry| entry.chorus.id);
            self.go_to_chorus(first);
        }
        Ok(Done::ChorusDeleted { name })
    }

    pub(super) fn set_times(&mut self, times: usize) -> Result<Done, Refusal> {
        let course = self.course();
        let mut chorus = (**self.chorus()).clone();
        let riffs = chorus.set_times(times, &course);
        self.put_chorus(chorus)?;
        self.forget_suggestions();
        Ok(if riffs > 0 { Done::TimesGone { riffs } } else { Done::Quietly })
    }

    pub(super) fn choose_chorus_bar(&mut self, bar: usize) -> Result<Done, Refusal> {
        let bars = self.course().bars();
        if bar >= bars {
            return Err(Refusal::NoSuchBar { found: bar.saturating_add(1), bars });
        }
        self.weaving.bar = bar;
        Ok(Done::Quietly)
    }

    pub(super) fn loop_chorus(&mut self, bars: Option<(usize, usize)>) -> Result<Done, Refusal> {
        let count = self.course().bars();
        if let Some((from, to)) = bars
            && (from >= to || to > count)
        {
            return Err(Refusal::NoSuchBar { found: to.max(from.saturating_add(1)), bars: count });
        }
        self.weaving.looped = bars;
        Ok(Done::Quietly)
    }

    /// Adds what a link holds: the chorus, and those of its riffs that the notebook does not have.
    pub(super) fn add_shared_chorus(
        &mut self,
        shared: SharedChorus,
        id: &str,
        take_tune: bool,
    ) -> Result<Done, Refusal> {
        let id = self.fresh_chorus(id)?;
        let (mut riffs, mut added) = (Vec::new(), 0);
        for riff in shared.chorus.riffs() {
            let same = |other: &Riff| with_id(riff, other.id) == *other;
            let known = self.document.notebook.entries().iter().find(|entry| same(&entry.riff));
            let riff = match known {
                Some(entry) => (*entry.riff).clone(),
                None => {
                    let riff = with_id(riff, self.riff_id_from(id.0));
                    // A full notebook is no reason to refuse the chorus, which holds its riffs itself.
                    added += usize::from(self.put_in(Some(shared.tune.key), riff.clone()).is_ok());
                    riff
                }
            };
            riffs.push(riff);
        }
        let name = shared.chorus.name().to_owned();
        let chorus = shared.chorus.with_parts(riffs, shared.chorus.spots().to_vec());
        self.keep_chorus(chorus.ok_or(Refusal::Link(link::Error::Nonsense))?.with_id(id))?;
        let tune = self.bring_shared(take_tune.then_some(shared.tune));
        self.go_to_chorus(Some(id));
        self.look_for_room();
        self.session.place = Place::Chorus;
        Ok(Done::ChorusAdded { name, riffs: added, tune })
    }

    /// A riff id that is not in use, which follows from `seed`: ids are random, and so are those that follow from them.
    fn riff_id_from(&self, seed: u64) -> RiffId {
        let ids = std::iter::successors(Some(RiffId(mixed(seed))), |id| Some(RiffId(mixed(id.0))));
        let is_free = |id: &RiffId| self.document.notebook.riff(*id).is_none();
        ids.into_iter().find(is_free).unwrap_or_default()
    }

    /// Puts a chorus over the chosen one, and begins one where there is none.
    fn put_chorus(&mut self, mut chorus: Chorus) -> Result<(), Refusal> {
        if self.weaving.chosen.is_none() {
            let seed = self.session.chosen.0 ^ self.document.choruses.entries().len() as u64;
            let ids = std::iter::successors(Some(mixed(seed)), |id| Some(mixed(*id)));
            let is_free = |id: &u64| self.document.choruses.chorus(ChorusId(*id)).is_none();
            chorus.id = ChorusId(ids.into_iter().find(is_free).unwrap_or_default());
            self.weaving.chosen = Some(chorus.id);
        } else if let Some(chosen) = self.weaving.chosen {
            chorus.id = chosen;
        }
        self.weaving.shown = None;
        self.keep_chorus(chorus)
    }

    fn keep_chorus(&mut self, chorus: Chorus) -> Result<(), Refusal> {
        let kept = self.document.choruses.chorus(chorus.id).is_some_and(|kept| **kept == chorus);
        if kept || Rc::make_mut(&mut self.document.choruses).put(chorus) {
            Ok(())
        } else {
            Err(Refusal::TooManyChoruses { most: Choruses::MOST })
        }
    }

    /// Works on another chorus.
    pub(super) fn go_to_chorus(&mut self, id: Option<ChorusId>) {
        let Weaving { asked, taste, find, questions, .. } = std::mem::take(&mut self.weaving);
        self.weaving = Weaving { chosen: id, asked, taste, find, questions, ..Weaving::default() };
    }

    /// Where the bar that the next riff would go into is taken: the first one that is free, or the last bar.
    pub(super) fn look_for_room(&mut self) {
        if let Some(bar) = free_bar(self) {
            self.weaving.bar = bar;
        }
    }

    fn free_bar(&self) -> usize {
        let over = self.over();
        let is_free = |bar: &usize| {
            let (from, to) = (over.course.bar_start(*bar), over.course.bar_start(bar + 1));
            !over.placed.iter().any(|placed| placed.at() < to && placed.end() > from)
        };
        let bar = self.weaving.bar;
        if self.weaving.selected.is_some() || is_free(&bar) {
            return bar;
        }
        (0..over.course.bars()).find(is_free).unwrap_or(over.course.bars() - 1)
    }

    /// After a step through the history: works on the chorus that it changed, if it changed one.
    pub(super) fn follow_chorus(&mut self, before: &Rc<Choruses>) {
        self.weaving.shown = None;
        if Rc::ptr_eq(before, &self.document.choruses) {
            return;
        }
        let changed =
            self.document.choruses.entries().iter().find(|entry| {
                before.chorus(entry.chorus.id).is_none_or(|old| !Rc::ptr_eq(old, &entry.chorus))
            });
        if let Some(id) = changed.map(|entry| entry.chorus.id)
            && self.weaving.chosen != Some(id)
        {
            self.go_to_chorus(Some(id));
        }
    }

    /// Brings what is chosen back inside a document that has changed under it.
    pub(super) fn weave_inside(&mut self) {
        let choruses = &self.document.choruses;
        if self.weaving.chosen.is_none_or(|id| choruses.chorus(id).is_none())
            && (self.weaving.chosen.is_some() || !choruses.entries().is_empty())
        {
            let first = choruses.entries().first().map(|entry| entry.chorus.id);
            self.go_to_chorus(first);
        }
        let bars = self.changes().bars().len() * self.chorus().times();
        let spots = self.chorus().spots().len();
        self.weaving.bar = self.weaving.bar.min(bars - 1);
        self.weaving.looped = self.weaving.looped.filter(|(_, to)| *to <= bars);
        self.weaving.selected = self.weaving.selected.filter(|index| *index < spots);
    }

    fn existing_chorus(&self, text: &str) -> Result<Rc<Chorus>, Refusal> {
        let found = read_id(text).and_then(|id| self.document.choruses.chorus(ChorusId(id.0)));
        found.cloned().ok_or_else(|| Refusal::NoSuchChorus { found: text.chars().take(20).collect() })
    }

    fn fresh_chorus(&self, text: &str) -> Result<ChorusId, Refusal> {
        let id = read_id(text).map(|id| ChorusId(id.0));
        id.filter(|id| id.0 != 0 && self.document.choruses.chorus(*id).is_none())
            .ok_or_else(|| Refusal::NoSuchChorus { found: text.chars().take(20).collect() })
    }
}

fn with_id(riff: &Riff, id: RiffId) -> Riff {
    let mut riff = riff.clone();
    riff.id = id;
    riff
}
