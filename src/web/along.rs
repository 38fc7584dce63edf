//! What the page follows while something plays: a short plan with every tick, and what it shows over a chord or in a bar,
//! asked for once and kept.

use wasm_bindgen::prelude::*;

use crate::perform::planner::OnForm;
use crate::view::along;
use crate::view::model::AlongView;
use crate::web::player::Player;
use crate::web::{App, to_js};

#[wasm_bindgen]
impl App {
    /// What sounds from now to the horizon (an `AlongView`), by the audio clock; call it with every tick.
    pub fn along(&self) -> Result<JsValue, JsError> {
        let view: AlongView = self.player.as_ref().map(Player::along).unwrap_or_default();
        to_js(&view)
    }

    /// Keys and neck while a chord of the form sounds (an `OverChordView`); arguments as in an `AlongView`. `undefined`
    /// where nothing is played or there is no such chord any more.
    #[wasm_bindgen(js_name = overChord)]
    pub fn over_chord(&self, bar: usize, chord: usize, closes: bool) -> Result<JsValue, JsError> {
        let changes = self.player.as_ref().and_then(Player::changes);
        let view = changes
            .and_then(|changes| along::over_chord(&self.desk, &changes, OnForm { bar, chord, closes }));
        view.map_or(Ok(JsValue::UNDEFINED), |view| to_js(&view))
    }

    /// The riff and the words about it while a bar sounds, in the time of the riff that was begun in bar `begun` (an
    /// `InBarView`); both from 0. `undefined` where the form has no such bar any more.
    #[wasm_bindgen(js_name = inBar)]
    pub fn in_bar(&self, bar: usize, begun: usize) -> Result<JsValue, JsError> {
        along::in_bar(&self.desk, bar, begun).map_or(Ok(JsValue::UNDEFINED), |view| to_js(&view))
    }
}
