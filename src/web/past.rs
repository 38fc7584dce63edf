//! What was practised, at the edge: a record a riff, the plan for today and the look back.

use std::collections::HashMap;

use wasm_bindgen::prelude::*;

use crate::desk::{read_id, write_id};
use crate::practice::review::Day;
use crate::practice::run::PassEnded;
use crate::riff::RiffId;
use crate::view::past;
use crate::web::{App, TUNE, to_js};

/// What stands before a riff's id in the id of the record of its past.
const PREFIX: &str = "past-";

/// What of the past waits to be written, and which tab this is.
#[derive(Default)]
pub struct Keeper {
    pub(super) stamp: u32,
    unkept: Vec<RiffId>,
    orphans: Vec<String>,
}

impl Keeper {
    /// Whether a record is one of the past; one whose riff is not among the records is remembered as an orphan.
    pub fn takes(&mut self, record: &str, records: &HashMap<String, u32>) -> bool {
        let Some(riff) = riff_of(record) else { return false };
        if !records.contains_key(&write_id(riff)) {
            self.orphans.push(record.to_owned());
        }
        true
    }
}

/// The riff whose past the record with this id holds.
pub fn riff_of(record: &str) -> Option<RiffId> {
    record.strip_prefix(PREFIX).and_then(read_id)
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
        for riff in std::mem::take(&mut self.keeper.unkept) {
            let id = write_id(riff);
            ids.push(format!("{PREFIX}{id}"));
            // The starter riff is kept with the first thing that is.
            if !self.revisions.contains_key(&id) {
                ids.extend([id, TUNE.to_owned()]);
            }
        }
        ids
    }

    /// The ids of records whose riffs are gone, to be forgotten; each is told once.
    pub fn orphans(&mut self) -> Vec<String> {
        std::mem::take(&mut self.keeper.orphans)
    }

    /// Puts what storage holds of a riff's past together with what this page has, and gives the text to be written;
    /// `undefined` where the kept record does not read, which is then left as it is.
    #[wasm_bindgen(js_name = joinPast)]
    pub fn join_past(&mut self, record: &str, kept: &str) -> Option<String> {
        let riff = riff_of(record)?;
        self.desk.read_past(kept).ok()?;
        Some(self.desk.past().write(riff))
    }

    /// Ten minutes for today (a `PlanView`).
    #[wasm_bindgen(js_name = planView)]
    pub fn plan_view(&self) -> Result<JsValue, JsError> {
        to_js(&past::plan_view(&self.desk))
    }

    /// A look back at a riff (a `PastView`); an empty one where the id is unknown.
    #[wasm_bindgen(js_name = pastView)]
    pub fn past_view(&self, id: &str) -> Result<JsValue, JsError> {
        to_js(&past::view(&self.desk, read_id(id).unwrap_or_default()))
    }
}

impl App {
    /// A time through has ended.
    pub(super) fn pass_ended(&mut self, ended: &PassEnded) {
        let Some(riff) = self.desk.remember(ended, self.keeper.stamp) else { return };
        if !self.keeper.unkept.contains(&riff) {
            self.keeper.unkept.push(riff);
        }
    }

    /// The record of a riff's past, where `id` is the id of one.
    pub(super) fn past_record(&self, id: &str) -> Option<String> {
        riff_of(id).map(|riff| self.desk.past().write(riff))
    }
}
