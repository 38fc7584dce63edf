//! Keys that are played over the form with nothing asked for.

use wasm_bindgen::prelude::*;

use crate::perform::planner::Planned;
use crate::perform::{Attack, Part};
use crate::units::{AudioTime, MidiNote, Velocity};
use crate::web::App;
use crate::web::player::OWN_IDS;

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

    /// Takes the time, in milliseconds since 1970, from which the id of the next free chorus is made.
    #[wasm_bindgen(js_name = freeStamp)]
    pub fn free_stamp(&mut self, milliseconds: f64) {
        // The last bits tell two pages apart that begin within the same millisecond.
        self.desk.set_free_stamp((milliseconds as u64) << 12 | u64::from(self.keeper.stamp & 0xfff));
    }

    /// The ids of records of what was played that are to be written; each is told once.
    #[wasm_bindgen(js_name = freeUnwritten)]
    pub fn free_unwritten(&mut self) -> Vec<String> {
        self.desk.free_mut().unwritten()
    }

    /// The ids of records of what was played that are to be forgotten; each is told once.
    #[wasm_bindgen(js_name = freeGone)]
    pub fn free_gone(&mut self) -> Vec<String> {
        self.desk.free_mut().gone()
    }

    /// A key was let go in a drill.
    #[wasm_bindgen(js_name = drillUp)]
    pub fn drill_up(&mut self, audio_seconds: f64, midi: u8) {
        if let Some(midi) = MidiNote::new(i32::from(midi)) {
            self.desk.drill_up(AudioTime(audio_seconds), midi);
        }
    }

    /// Which of the free choruses that are kept is looked at; below 0 for none.
    #[wasm_bindgen(js_name = freeLookedAt)]
    pub fn free_looked_at(&self) -> i32 {
        self.desk.free().kept().1.map_or(-1, |index| index as i32)
    }

    /// How many free choruses are kept.
    #[wasm_bindgen(js_name = freeKept)]
    pub fn free_kept(&self) -> usize {
        self.desk.free().kept().0
    }

    /// Plays the free chorus that is looked at once more, as it was played, with the band.
    #[wasm_bindgen(js_name = hearFree)]
    pub fn hear_free(&mut self) {
        self.stop_practice();
        let (Some(player), Some((play, shift))) = (&mut self.player, self.desk.free_plays()) else { return };
        let begin = player.practise(play.score, play.tempo);
        let again = self.desk.free_again(begin, shift);
        let sound = |(index, (when, duration, midi)): (usize, &(_, _, MidiNote))| Planned {
            id: OWN_IDS + index as u64,
            part: Part::Solo,
            when: *when,
            duration: *duration,
            midi: *midi,
            velocity: Velocity::PLAIN,
            attack: Attack::Plain,
            take: 0,
            written: None,
        };
        player.play_beside(again.iter().enumerate().map(sound).collect());
    }
}
