//! What was practised, at the edge: a record a riff or a chorus, the plan for today and the look back.

use wasm_bindgen::prelude::*;

use crate::desk::stored::{PAST, past_of};
use crate::practice::review::Day;
use crate::practice::run::PassEnded;
use crate::practice::subject::Subject;
use crate::rooms::door;
use crate::view::past;
use crate::web::{App, TUNE, to_js};

/// What of the past waits to be written, and which tab this is.
#[derive(Default)]
pub struct Keeper {
    pub(super) stamp: u32,
    unkept: Vec<Subject>,
    pub(super) orphans: Vec<String>,
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
            ids.push(format!("{PAST}{of}"));
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

door!(Practice, practice: fn plan(app: &App) -> Result<JsValue, JsError> {
    to_js(&past::plan_view(&app.desk))
});

door!(Practice, practice: fn looked_back(app: &App, of: &str) -> Result<JsValue, JsError> {
    to_js(&of.parse().map(|of| past::view(&app.desk, of)).unwrap_or_default())
});

impl App {
    /// A time through has ended.
    pub(super) fn pass_ended(&mut self, ended: &PassEnded) {
        if let Some(of) = self.desk.remember(ended, self.keeper.stamp) {
            self.past_grew(of);
        }
    }

    /// There is more of a past than was written.
    pub(super) fn past_grew(&mut self, of: Subject) {
        if !self.keeper.unkept.contains(&of) {
            self.keeper.unkept.push(of);
        }
    }

    /// The record of a past, where `id` is the id of one.
    pub(super) fn past_record(&self, id: &str) -> Option<String> {
        past_of(id).map(|of| self.desk.past().write(of))
    }
}
