//! Another page that is open changed the same riff and kept it first.

use std::rc::Rc;

use crate::desk::{Desk, Document};
use crate::notebook::Entry;
use crate::practice::subject::Subject;
use crate::riff::RiffId;

impl Desk {
    /// Goes on with the riff `id` as it is here under the id `new`, beside `other`, which was kept as `id` by another
    /// page. No step through the history takes either of them away. `false` where there is no such riff, or `new` is
    /// taken.
    pub fn set_aside(&mut self, id: RiffId, new: RiffId, other: Entry) -> bool {
        let notebook = &self.document.notebook;
        if notebook.riff(id).is_none() || notebook.riff(new).is_some() || other.riff.id != id {
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
}
