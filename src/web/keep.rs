//! Records on their way to storage and back, and what is left of them when the core breaks.

use std::cell::RefCell;

use wasm_bindgen::prelude::*;
use web_sys::GainNode;

use crate::chorus::kept::ChorusId;
use crate::desk::stored::{self, Stored, TUNE};
use crate::desk::{Desk, Document};
use crate::files::record::{self, TuneRecord, chorus_record_id};
use crate::practice::subject::Subject;
use crate::riff::{read_id, write_id};
use crate::rooms::door;
use crate::view::model::{Changed, RecordView};
use crate::view::{message, trouble};
use crate::web::player::Player;
use crate::web::{App, records_of, to_js};

/// What becomes of a record on its way to storage; see `desk::stored::Fate`.
#[wasm_bindgen]
#[derive(Clone, Copy)]
pub enum Fate {
    /// It is written.
    Write,
    /// It is made anew, with what is kept in it, and written.
    Joined,
    /// It goes on under another id: `App.setAside`.
    Aside,
    /// It is written under the id that `App.beside` gives.
    Beside,
    /// It cannot be written.
    Nowhere,
}

#[wasm_bindgen]
impl App {
    /// What becomes of the record `id` with this text, where storage holds the text `kept`; `is_known` tells that this
    /// page read or wrote that itself. `undefined` where the room that reads records must be opened first.
    pub fn fate(&mut self, id: &str, text: &str, kept: Option<String>, is_known: bool) -> Option<Fate> {
        Some(match self.desk.fate(id, text, kept.as_deref(), is_known)? {
            stored::Fate::Write => Fate::Write,
            stored::Fate::Joined => Fate::Joined,
            stored::Fate::Aside => Fate::Aside,
            stored::Fate::Beside => Fate::Beside,
            stored::Fate::Nowhere => Fate::Nowhere,
        })
    }

    /// The id for a record whose own is taken by one that does not read here.
    pub fn beside(&self, id: &str) -> String {
        stored::beside(id)
    }

    /// Whether the record `id` may be taken away; `is_known` as in [`App::fate`].
    #[wasm_bindgen(js_name = mayGo)]
    pub fn may_go(&self, id: &str, is_known: bool) -> bool {
        Desk::may_go(id, is_known)
    }

    /// Another open page kept the riff or chorus `id` first, as the text `kept`: goes on with this page's under the id
    /// that 16 hexadecimal digits make, beside the other one. One that was thrown away here comes back. Gives a
    /// `Changed`, as [`App::apply`] does.
    #[wasm_bindgen(js_name = setAside)]
    pub fn set_aside(&mut self, id: &str, digits: &str, kept: &str) -> Result<JsValue, JsError> {
        put_beside(self, id, digits, kept).unwrap_or(Ok(JsValue::UNDEFINED))
    }

    /// Storage answered late, with these records (an array of `RecordView`): takes them in. Gives a `Changed`, as
    /// [`App::apply`] does.
    pub fn join(&mut self, records: JsValue) -> Result<JsValue, JsError> {
        joined(self, records).unwrap_or(Ok(JsValue::UNDEFINED))
    }

    /// Where all sound leaves, once there is a player: to be faded where nothing else can stop it.
    pub fn output(&self) -> Option<GainNode> {
        self.player.as_ref().map(Player::output)
    }

    /// What is said where the browser or the device stands in the way; `what` names it, see `view::trouble`.
    pub fn trouble(&self, what: &str) -> String {
        trouble::sentence(what).to_owned()
    }
}

door!(Files, files: fn put_beside(app: &mut App, id: &str, digits: &str, kept: &str) -> Result<JsValue, JsError> {
    app.put_beside(id, digits, kept)
});

door!(Files, files: fn joined(app: &mut App, records: JsValue) -> Result<JsValue, JsError> {
    app.take_late(records)
});

impl App {
    fn put_beside(&mut self, id: &str, digits: &str, kept: &str) -> Result<JsValue, JsError> {
        let name = self.name_of(id);
        let (now, is_aside) = match id.parse() {
            Ok(Subject::Riff(own)) => {
                let other = stored::riff_in(kept);
                let new = read_id(digits);
                (digits.to_owned(), new.is_some_and(|new| self.desk.set_aside(own, new, other)))
            }
            Ok(Subject::Chorus(own)) => {
                let other = stored::chorus_in(kept);
                let new = read_id(digits).map(|id| ChorusId(id.0));
                let is_aside = new.is_some_and(|new| self.desk.set_chorus_aside(own, new, other));
                (new.map(chorus_record_id).unwrap_or_default(), is_aside)
            }
            Err(_) => (String::new(), false),
        };
        let mut changed = Changed::default();
        if is_aside {
            changed = self.screen.renew_at_once(&self.desk);
            changed.message = Some(match &name {
                Some(name) => message::set_aside(name),
                None => message::came_back(&self.name_of(id).unwrap_or_default()),
            });
            changed.save.push(TUNE.to_owned());
            if name.is_some() {
                let next = self.revisions.get(id).copied().unwrap_or_default();
                self.revisions.insert(now.clone(), next);
                changed.save.push(now);
            }
            hold(&self.desk);
        }
        to_js(&changed)
    }

    fn take_late(&mut self, records: JsValue) -> Result<JsValue, JsError> {
        let (kept, revisions) = records_of(records)?;
        let stored = Stored::read(&kept);
        self.revisions.extend(revisions);
        let unread = trouble::unread(stored.unread, stored.newer);
        let (has_more, tune) = (!kept.is_empty(), std::rc::Rc::clone(&self.desk.document().tune));
        let joined = self.desk.join(stored);
        let mut changed = self.screen.renew_at_once(&self.desk);
        changed.message = unread.or_else(|| has_more.then(|| message::joined(joined)));
        changed.offer = message::offer_after_joining(joined);
        changed.sounds = !self.desk.tune().plays_like(&tune);
        if let Some(player) = self.player.as_mut().filter(|_| changed.sounds) {
            player.replan(&self.desk);
        }
        hold(&self.desk);
        to_js(&changed)
    }

    /// The name of the riff or the chorus whose record has this id; `None` where there is none here.
    fn name_of(&self, id: &str) -> Option<String> {
        let document = self.desk.document();
        match id.parse().ok()? {
            Subject::Riff(id) => document.notebook.riff(id).map(|riff| riff.name.clone()),
            Subject::Chorus(id) => document.choruses.chorus(id).map(|chorus| chorus.name().to_owned()),
        }
    }
}

thread_local! {
    /// The last document that was whole. It stands outside [`App`]: after a panic nothing can be asked of that.
    static HELD: RefCell<Option<(Document, TuneRecord)>> = const { RefCell::new(None) };
}

/// Remembers what is to be saved should the next call break off in its middle. Documents share what they hold.
pub(super) fn hold(desk: &Desk) {
    HELD.set(Some((desk.document().clone(), desk.tune_record())));
}

/// The records of all riffs and choruses and of the tune as they were after the last command that was done: for the
/// page to start anew from once a call has broken off. An array of `RecordView`.
#[wasm_bindgen]
pub fn rescue() -> Result<JsValue, JsError> {
    let Some((document, tune)) = HELD.with_borrow(Option::clone) else {
        return to_js(&Vec::<RecordView>::new());
    };
    let of = |id: String, text: String, revision: u32| RecordView { id, text, revision };
    let riffs = document.notebook.entries().iter();
    let riffs = riffs
        .map(|entry| of(write_id(entry.riff.id), stored::riff_text(entry, entry.revision), entry.revision));
    let choruses = document.choruses.entries().iter().map(|entry| {
        let text = stored::chorus_text(entry, entry.revision);
        of(chorus_record_id(entry.chorus.id), text, entry.revision)
    });
    let mut records: Vec<RecordView> = riffs.chain(choruses).collect();
    let order = stored::write_order(document.notebook.entries().iter().map(|entry| entry.riff.id));
    records.push(of(stored::ORDER.to_owned(), order, 0));
    records.push(of(TUNE.to_owned(), record::write_tune(&tune), 0));
    to_js(&records)
}
