//! Lessons and answers, at the edge.

use serde::Deserialize;
use wasm_bindgen::prelude::*;

use crate::desk::class::ClassCommand;
use crate::files::qr;
use crate::riff::{RiffId, write_id};
use crate::rooms::door;
use crate::view;
use crate::web::{App, said, to_js};

/// The part of the page that shows a link for a class.
pub(super) const PLACE: &str = "class";

#[wasm_bindgen]
impl App {
    /// The texts of the QR codes in a picture: its pixels as a canvas has them. `undefined` where the room that reads them is
    /// not open.
    #[wasm_bindgen(js_name = readCodes)]
    pub fn read_codes(pixels: &[u8], width: usize, height: usize) -> Option<Vec<String>> {
        codes_in(pixels, width, height)
    }

    /// Does one thing in the class (a `ClassCommand`), and gives how it stands then (a `ClassView`); `undefined` where
    /// its room is not open. What is to be written or forgotten is told once.
    pub fn class(&mut self, command: JsValue) -> Result<JsValue, JsError> {
        in_class(self, command).unwrap_or(Ok(JsValue::UNDEFINED))
    }
}

door!(Scan, scan: fn codes_in(pixels: &[u8], width: usize, height: usize) -> Vec<String> {
    qr::texts(pixels, width, height)
});

door!(Class, class: fn in_class(app: &mut App, command: JsValue) -> Result<JsValue, JsError> {
    app.do_in_class(command)
});

impl App {
    fn do_in_class(&mut self, command: JsValue) -> Result<JsValue, JsError> {
        let command = ClassCommand::deserialize(said::Said(command))?;
        let follows = command == ClassCommand::Follow;
        let what = if let ClassCommand::Play { what } = &command { Some(what.clone()) } else { None };
        self.desk.do_in_class(command);
        if follows {
            return to_js(&view::class::following(&self.desk));
        }
        let mut view = view::class::view(&self.desk);
        if let Some(play) = what.and_then(|what| self.desk.class_plays(&what)) {
            self.stop_practice();
            if let Some(player) = &mut self.player {
                let begin = player.practise(play.score, play.tempo);
                view.turns = play.turns.iter().map(|at| (begin + play.tempo.duration(*at)).0).collect();
                view.turn_ids = play.ids.iter().map(|id| write_id(RiffId(*id))).collect();
            }
        }
        view.save = self.desk.class_mut().unwritten();
        view.forget = self.desk.class_mut().gone();
        to_js(&view)
    }
}
