//! Playing a riff in, at the edge: presses with their times go in.

use wasm_bindgen::prelude::*;

use crate::perform::planner::Planned;
use crate::perform::{Attack, Part};
use crate::units::percussion::Percussion;
use crate::units::{AudioTime, MidiNote, Velocity};
use crate::view::taking;
use crate::web::player::OWN_IDS;
use crate::web::{App, to_js};

#[wasm_bindgen]
impl App {
    /// Counts a bar in and listens to what is played from then on.
    #[wasm_bindgen(js_name = playIn)]
    pub fn play_in(&mut self) {
        self.stop_practice();
        let play = self.desk.taking_plays();
        let Some(player) = &mut self.player else { return };
        let begin = player.practise(play.score, play.tempo);
        self.desk.taking_begin(begin, play.tempo);
    }

    /// Takes what the player did: when, in seconds on the audio clock as it is heard; which note, or below 0 for a tap; how
    /// hard, 1 to 127, or 0 where that is not known.
    #[wasm_bindgen(js_name = takeHeard)]
    pub fn take_heard(&mut self, audio_seconds: f64, midi: i32, velocity: i32) {
        self.desk.taking_down(AudioTime(audio_seconds), MidiNote::new(midi), Velocity::new(velocity));
    }

    /// A key was let go, at this moment.
    #[wasm_bindgen(js_name = takeUp)]
    pub fn take_up(&mut self, audio_seconds: f64, midi: i32) {
        if let Some(midi) = MidiNote::new(midi) {
            self.desk.taking_up(AudioTime(audio_seconds), midi);
        }
    }

    /// Whether a riff is being played in, and whether that is over: 0, 1, or 2 when it is to be taken down.
    #[wasm_bindgen(js_name = takeState)]
    pub fn take_state(&self) -> u8 {
        let now = self.player.as_ref().map_or(AudioTime(0.0), |player| player.now());
        u8::from(self.desk.taking().is_listening()) + u8::from(self.desk.taking_is_over(now))
    }

    /// Gives up what is being played in.
    #[wasm_bindgen(js_name = takeNothing)]
    pub fn take_nothing(&mut self) {
        self.desk.taking_stop();
    }

    /// What the page shows of playing in (a `TakeView`).
    #[wasm_bindgen(js_name = takeView)]
    pub fn take_view(&self) -> Result<JsValue, JsError> {
        to_js(&taking::view(&self.desk))
    }

    /// Plays what was played in once more, as it was played; and the riff with it, or not.
    #[wasm_bindgen(js_name = hearTake)]
    pub fn hear_take(&mut self, with_riff: bool) {
        self.stop_practice();
        let (Some(player), Some(play)) = (&mut self.player, self.desk.take_plays(with_riff)) else { return };
        let begin = player.practise(play.score, play.tempo);
        let again = self.desk.take_again(begin);
        let sound =
            |(index, (when, duration, midi, velocity)): (usize, &(_, _, Option<MidiNote>, _))| Planned {
                id: OWN_IDS + index as u64,
                part: if midi.is_some() { Part::Solo } else { Part::Click },
                when: *when,
                duration: *duration,
                midi: midi.unwrap_or(Percussion::Claves.midi()),
                velocity: *velocity,
                attack: Attack::Plain,
                take: 0,
                written: None,
            };
        player.play_beside(again.iter().enumerate().map(sound).collect());
    }
}
