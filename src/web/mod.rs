//! The page's way in: converts, calls the core once, converts back.

use wasm_bindgen::prelude::wasm_bindgen;

/// Makes a panic readable in the browser's console. Runs by itself when the module starts.
#[wasm_bindgen(start)]
pub fn start() {
    console_error_panic_hook::set_once();
}

/// The version of the core, as in the package.
#[must_use]
#[wasm_bindgen]
pub fn version() -> String {
    env!("CARGO_PKG_VERSION").to_owned()
}
