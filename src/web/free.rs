//! Keys that are played over the form with nothing asked for.

use wasm_bindgen::prelude::*;

use crate::units::{AudioTime, MidiNote};
use crate::web::App;

#[wasm_bindgen]
impl App {
    /// A key went down, at this moment of the audio clock as it is heard; nothing while nothing plays.
    #[wasm_bindgen(js_name = freeDown)]
    pub fn free_down(&mut self, audio_seconds: f64, midi: u8) {
        let at = self.player.as_ref().and_then(|player| player.on_form(AudioTime(audio_seconds)));
        if let (Some(at), Some(midi)) = (at, MidiNote::new(i32::from(midi))) {
            self.desk.free_down(at, midi);
        }
    }

    /// A key was let go.
    #[wasm_bindgen(js_name = freeUp)]
    pub fn free_up(&mut self, audio_seconds: f64, midi: u8) {
        let at = self.player.as_ref().and_then(|player| player.on_form(AudioTime(audio_seconds)));
        if let (Some(at), Some(midi)) = (at, MidiNote::new(i32::from(midi))) {
            self.desk.free_up(at, midi);
        }
    }
}
