//! Drills at the edge: they begin, tick and take answers.

use wasm_bindgen::prelude::*;

use crate::perform::planner::Planned;
use crate::perform::{Attack, Part};
use crate::practice::drill::Sound;
use crate::rooms::door;
use crate::units::AudioTime;
use crate::web::App;
use crate::web::player::OWN_IDS;

/// How many drills were begun, and how many notes they were given: their ids must differ.
#[derive(Default)]
pub struct Count {
    begun: u32,
    sounds: u64,
}

#[wasm_bindgen]
impl App {
    /// Takes the bar (index from 0) that the player believes the band to be in; when, in seconds on the audio clock as it
    /// is heard.
    pub fn guess(&mut self, bar: u32, audio_seconds: f64) {
        guessed(self, bar as usize, AudioTime(audio_seconds));
    }
}

door!(Practice, practice: fn guessed(app: &mut App, bar: usize, at: AudioTime) -> () {
    app.desk.guess(bar, at);
});

impl App {
    /// Begins the chosen drill, after a bar's count-in.
    pub(super) fn begin_drill(&mut self) {
        let Some(player) = &mut self.player else { return };
        self.drills.begun = self.drills.begun.wrapping_add(1);
        // The page's own number differs each time it is opened: no two evenings have the same questions.
        let seed = u64::from(self.keeper.stamp) << 32 | u64::from(self.drills.begun);
        let Ok(setup) = self.desk.drill_setup(seed) else { return };
        let begin = player.practise(setup.band.clone(), setup.tempo);
        self.desk.drill_begin(setup, begin);
        self.drill_tick();
    }

    /// Goes on with a drill.
    pub(super) fn drill_tick(&mut self) {
        let Some(player) = &mut self.player else { return };
        let sounds = self.desk.drill_tick(player.now());
        if sounds.is_empty() {
            return;
        }
        let plan = |sound: &Sound| {
            self.drills.sounds += 1;
            Planned {
                id: OWN_IDS + self.drills.sounds,
                part: Part::Solo,
                when: sound.at,
                duration: sound.length,
                midi: sound.midi,
                velocity: sound.velocity,
                attack: Attack::Plain,
                take: 0,
                written: None,
            }
        };
        player.play_beside(sounds.iter().map(plan).collect());
    }
}
