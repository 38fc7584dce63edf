//! Another page that is open changed the same riff or chorus and kept it first.

use std::rc::Rc;

use crate::chorus::kept::ChorusId;
use crate::desk::{Desk, Document};
use crate::notebook::Entry;
use crate::notebook::choruses::ChorusEntry;
use crate::practice::subject::Subject;
use crate::riff::RiffId;

impl Desk {
    /// Goes on with the riff `id` as it is here under the id `new`, beside `other`, which was kept as `id` by another
    /// page (`None` where that does not read here). One that was thrown away here comes back as `other`. No step through
    /// the history takes either of them away. `false` where `new` is taken, or `other` is another one's.
    pub fn set_aside(&mut self, id: RiffId, new: RiffId, other: Option<Entry>) -> bool {
        let notebook = &self.document.notebook;
        if notebook.riff(new).is_some() || other.as_ref().is_some_and(|other| other.riff.id != id) {
            return false;
        }
        let aside = |document: &mut Document| {
            Rc::make_mut(&mut document.notebook).set_aside(id, new, other.clone());
        };
        aside(&mut self.document);
        self.history.change_all(aside);
        let renew = |riff: &mut RiffId| *riff = if *riff == id { new } else { *riff };
        renew(&mut self.session.chosen);
        self.session.previous.iter_mut().for_each(renew);
        self.session.varied = None;
        self.practice.moved = self.practice.moved.filter(|moved| moved.of != Subject::Riff(id));
        self.stay_inside();
        true
    }

    /// The same for a chorus.
    pub fn set_chorus_aside(&mut self, id: ChorusId, new: ChorusId, other: Option<ChorusEntry>) -> bool {
        let choruses = &self.document.choruses;
        if choruses.chorus(new).is_some() || other.as_ref().is_some_and(|other| other.chorus.id != id) {
            return false;
        }
        let aside = |document: &mut Document| {
            Rc::make_mut(&mut document.choruses).set_aside(id, new, other.clone());
        };
        aside(&mut self.document);
        self.history.change_all(aside);
        if self.weaving.chosen == Some(id) {
            self.weaving.chosen = Some(new);
        }
        self.forget_suggestions();
        self.practice.moved = self.practice.moved.filter(|moved| moved.of != Subject::Chorus(id));
        self.stay_inside();
        true
    }
}
