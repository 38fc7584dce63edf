//! MIDI keyboards at the edge: the bytes of each port go to a reader of its own.

use wasm_bindgen::prelude::*;

use crate::practice::midi_in::{KeyMove, Keyboard};
use crate::web::App;

/// A reader for each port that has sent something, by the port's id.
#[derive(Default)]
pub struct Ports(Vec<(String, Keyboard)>);

#[wasm_bindgen]
impl App {
    /// Takes what the MIDI port `port` sent. Gives three numbers for each key that moved: the note, the velocity (0 for
    /// a key let go), and 1 where the key was struck clearly harder than usual, else 0.
    #[wasm_bindgen(js_name = midiBytes)]
    pub fn midi_bytes(&mut self, port: &str, bytes: &[u8]) -> Vec<u8> {
        let Ports(ports) = &mut self.midi;
        let index = ports.iter().position(|(id, _)| id == port).unwrap_or_else(|| {
            ports.push((port.to_owned(), Keyboard::default()));
            ports.len() - 1
        });
        let mut moves = Vec::new();
        ports[index].1.take(bytes, &mut moves);
        in_threes(&moves)
    }

    /// Forgets a MIDI port that was unplugged. Gives the keys that were still down, as `midiBytes` does.
    #[wasm_bindgen(js_name = midiUnplugged)]
    pub fn midi_unplugged(&mut self, port: &str) -> Vec<u8> {
        let mut moves = Vec::new();
        self.midi.0.retain_mut(|(id, keyboard)| {
            let stays = id != port;
            if !stays {
                keyboard.unplug(&mut moves);
            }
            stays
        });
        in_threes(&moves)
    }
}

fn in_threes(moves: &[KeyMove]) -> Vec<u8> {
    let three = |each: &KeyMove| match each {
        KeyMove::Down { midi, velocity, accent } => [midi.number(), velocity.value(), u8::from(*accent)],
        KeyMove::Up { midi } => [midi.number(), 0, 0],
    };
    moves.iter().flat_map(three).collect()
}
