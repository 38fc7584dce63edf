//! The ways to vary that come first, at the edge.

use wasm_bindgen::prelude::*;

use crate::desk::vary;
use crate::web::App;

#[wasm_bindgen]
impl App {
    /// The names of the ways to vary that suit the riff best where it stands, parted by spaces; none where their room is
    /// not open.
    #[wasm_bindgen(js_name = bestWays)]
    pub fn best_ways(&self) -> String {
        vary::best_ways(&self.desk).unwrap_or_default().join(" ")
    }
}
