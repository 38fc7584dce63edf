//! The shelf of riffs to start from, at the edge.

use wasm_bindgen::prelude::*;

use crate::view::starters;
use crate::web::{App, to_js};

#[wasm_bindgen]
impl App {
    /// The shelf in the tune's key (a `StartersView`); `undefined` where its room is not open.
    pub fn starters(&self) -> Result<JsValue, JsError> {
        starters::view(&self.desk).map_or(Ok(JsValue::UNDEFINED), |view| to_js(&view))
    }

    /// Plays a riff or a chorus of the shelf once, with the band; nothing where its room is not open.
    #[wasm_bindgen(js_name = hearStarter)]
    pub fn hear_starter(&mut self, name: &str) {
        self.stop_practice();
        let (Some(player), Some(score)) = (&mut self.player, self.desk.starter_score(name)) else { return };
        player.practise(score, self.desk.tune().tempo);
    }
}
