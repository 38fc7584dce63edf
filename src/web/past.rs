//! What was practised, at the edge: a record a riff or a chorus, the plan for today and the look back.

use std::collections::HashMap;

use wasm_bindgen::prelude::*;

use crate::practice::review::Day;
use crate::practice::run::PassEnded;
use crate::practice::subject::Subject;
use crate::rooms::door;
use crate::view::past;
use crate::web::{App, TUNE, to_js};

/// What stands before the id in the name of the record of a past.
const PREFIX: &str = "past-";

/// What of the past waits to be written, and which tab this is.
#[derive(Default)]
pub struct Keeper {
    pub(super) stamp: u32,
    unkept: Vec<Subject>,
    orphans: Vec<String>,
}

impl Keeper {
    /// Whether a record is one of the past; one of something that is not among the records is remembered as an orphan.
    pub fn takes(&mut self, record: &str, records: &HashMap<String, u32>) -> bool {
        let Some(of) = subject_of(record) else { return false };
        if !records.contains_key(&of.to_string()) {
            self.orphans.push(record.to_owned());
        }
        true
    }
}

/// Whose past the record with this id holds.
fn subject_of(record: &str) -> Option<Subject> {
    record.strip_prefix(PREFIX).and_then(|tag| tag.parse().ok())
}

#[wasm_bindgen]
impl App {
    /// Takes the day it is, counted from 1 January 1970 in local time, and any number that tells this page from others
    /// that are open.
    #[wasm_bindgen(js_name = setToday)]
    pub fn set_today(&mut self, day: i32, stamp: u32) {
        self.desk.set_today(Day(i64::from(day)));
        self.keeper.stamp = stamp;
    }

    /// The ids of records that changed by practising and are to be written; each is told once.
    #[wasm_bindgen(js_name = unkept)]
    pub fn unkept(&mut self) -> Vec<String> {
        let mut ids = Vec::new();
        for of in std::mem::take(&mut self.keeper.unkept) {
            let id = of.to_string();
            ids.push(format!("{PREFIX}{of}"));
            // The starter riff is kept with the first thing that is.
            if !self.revisions.contains_key(&id) {
                ids.extend([id, TUNE.to_owned()]);
            }
        }
        ids
    }

    /// The ids of records of what is gone, to be forgotten; each is told once.
    pub fn orphans(&mut self) -> Vec<String> {
        std::mem::take(&mut self.keeper.orphans)
    }

    /// Puts what storage holds of a past together with what this page has, and gives the text to be written;
    /// `undefined` where the kept record does not read, which is then left as it is.
    #[wasm_bindgen(js_name = joinPast)]
    pub fn join_past(&mut self, record: &str, kept: &str) -> Option<String> {
        joined(self, record, kept)?
    }

    /// Ten minutes for today (a `PlanView`).
    #[wasm_bindgen(js_name = planView)]
    pub fn plan_view(&self) -> Result<JsValue, JsError> {
        plan(self).unwrap_or(Ok(JsValue::UNDEFINED))
    }

    /// A look back at a riff or a chorus (a `PastView`), by its id; an empty one where that is unknown.
    #[wasm_bindgen(js_name = pastView)]
    pub fn past_view(&self, of: &str) -> Result<JsValue, JsError> {
        looked_back(self, of).unwrap_or(Ok(JsValue::UNDEFINED))
    }
}

door!(Practice, practice: fn joined(app: &mut App, record: &str, kept: &str) -> Option<String> {
    let of = subject_of(record)?;
    app.desk.read_past(kept).ok()?;
    Some(app.desk.past().write(of))
});

door!(Practice, practice: fn plan(app: &App) -> Result<JsValue, JsError> {
    to_js(&past::plan_view(&app.desk))
});

door!(Practice, practice: fn looked_back(app: &App, of: &str) -> Result<JsValue, JsError> {
    to_js(&of.parse().map(|of| past::view(&app.desk, of)).unwrap_or_default())
});

impl App {
    /// A time through has ended.
    pub(super) fn pass_ended(&mut self, ended: &PassEnded) {
        let Some(of) = self.desk.remember(ended, self.keeper.stamp) else { return };
        if !self.keeper.unkept.contains(&of) {
            self.keeper.unkept.push(of);
        }
    }

    /// The record of a past, where `id` is the id of one.
    pub(super) fn past_record(&self, id: &str) -> Option<String> {
        subject_of(id).map(|of| self.desk.past().write(of))
    }
}
