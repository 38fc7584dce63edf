//! Labels and earlier versions, at the edge: one way in, since each costs what opens the page something.

use wasm_bindgen::prelude::*;

use crate::riff::read_id;
use crate::rooms::door;
use crate::view::versions;
use crate::web::{App, to_js};

#[wasm_bindgen]
impl App {
    /// Tells of labels and earlier versions; `undefined` where that room has not come, or for anything else:
    ///
    /// - `labels`: those that are in use (a `LabelsView`);
    /// - `labelled`: the ids of the riffs and choruses that have the label `of`, as commands about practising take them;
    /// - `versions`: how the riff with the id `of` was before (a `VersionsView`);
    /// - `hear`: plays the version `number` of that riff once, alone.
    pub fn shelf(&mut self, what: &str, of: &str, number: usize) -> Result<JsValue, JsError> {
        told(self, what, of, number).unwrap_or(Ok(JsValue::UNDEFINED))
    }
}

door!(Practice, practice: fn told(app: &mut App, what: &str, of: &str, number: usize) -> Result<JsValue, JsError> {
    app.told(what, of, number)
});

impl App {
    fn told(&mut self, what: &str, of: &str, number: usize) -> Result<JsValue, JsError> {
        match (what, read_id(of)) {
            ("labels", _) => to_js(&versions::labels(&self.desk)),
            ("labelled", _) => to_js(&versions::labelled(&self.desk, of)),
            ("versions", id) => to_js(&id.map(|id| versions::view(&self.desk, id)).unwrap_or_default()),
            ("hear", Some(id)) => {
                self.stop_practice();
                let score = self.desk.version_score(id, number);
                if let (Some(player), Some(score)) = (&mut self.player, score) {
                    player.practise(score, self.desk.tune().tempo);
                }
                Ok(JsValue::UNDEFINED)
            }
            _ => Ok(JsValue::UNDEFINED),
        }
    }
}
