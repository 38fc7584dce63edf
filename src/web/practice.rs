//! The edge of practice: presses with their times go in, the screen comes out.

use wasm_bindgen::prelude::*;

use crate::perform::planner::Planned;
use crate::perform::{Attack, Part};
use crate::practice::Heard;
use crate::practice::delay::{Delay, Found};
use crate::practice::run::PassEnded;
use crate::rooms::door;
use crate::units::percussion::Percussion;
use crate::units::{AudioTime, Cents, MidiNote, Seconds, Velocity};
use crate::view::practice;
use crate::web::player::OWN_IDS;
use crate::web::{App, to_js};

#[wasm_bindgen]
impl App {
    /// Begins a practice run as it was set, after a bar's count-in; with nothing to practise, nothing happens.
    pub fn practise(&mut self) {
        begun(self);
    }

    /// Plays clicks to tap along to, from which the device's delay is found.
    #[wasm_bindgen(js_name = tapAlong)]
    pub fn tap_along(&mut self) {
        tapping(self);
    }

    /// Takes what the player did: when, in seconds on the audio clock as it is heard; which note, or below 0 for a tap;
    /// how hard, 1 to 127; and how far above that note, in cents.
    pub fn heard(&mut self, audio_seconds: f64, midi: i32, velocity: i32, above: f64) {
        let velocity = Velocity::new(velocity).unwrap_or(Velocity::PLAIN);
        let (at, midi) = (AudioTime(audio_seconds), MidiNote::new(midi));
        hear(self, Heard { at, midi, above: Cents(above), velocity });
    }

    /// Looks whether a time through has ended; call it with every tick while a run goes on. `clock` is in seconds and
    /// runs on while nothing plays. Gives what `practiceView` gives.
    #[wasm_bindgen(js_name = practiceTick)]
    pub fn practice_tick(&mut self, clock: f64) -> Result<JsValue, JsError> {
        ticked(self, Seconds(clock)).unwrap_or(Ok(JsValue::UNDEFINED))
    }

    /// The Practice screen (a `PracticeView`), or `undefined` where it is as it was, or not here yet.
    #[wasm_bindgen(js_name = practiceView)]
    pub fn practice_view(&mut self) -> Result<JsValue, JsError> {
        practice_screen(self).unwrap_or(Ok(JsValue::UNDEFINED))
    }

    /// The chorus that is practised or open, riff by riff (a `ToPlayView`), or `undefined` where a riff is.
    #[wasm_bindgen(js_name = toPlay)]
    pub fn to_play(&self) -> Result<JsValue, JsError> {
        chorus_to_play(self).unwrap_or(Ok(JsValue::UNDEFINED))
    }

    /// Takes the delay that was kept for the device in use, in seconds; what is no number is a delay that is not known.
    #[wasm_bindgen(js_name = setDelay)]
    pub fn set_delay(&mut self, seconds: f64, give_or_take: f64) {
        self.desk.set_delay(Delay::kept(seconds, give_or_take, Found::ByTapping));
    }

    /// Takes the delay that a microphone heard, beyond what is taken off by the page, in seconds.
    #[wasm_bindgen(js_name = setLoopDelay)]
    pub fn set_loop_delay(&mut self, seconds: f64, give_or_take: f64) {
        self.desk.set_delay(Delay::kept(seconds, give_or_take, Found::ByLoopback));
    }

    /// Plays what was played the last time through, with the band as it was; and the riff with it, or not.
    #[wasm_bindgen(js_name = hearPass)]
    pub fn hear_pass(&mut self, with_riff: bool) {
        heard_again(self, with_riff);
    }
}

door!(Practice, practice: fn begun(app: &mut App) -> () {
    app.begin_practice();
});

door!(Practice, practice: fn tapping(app: &mut App) -> () {
    app.begin_tapping();
});

door!(Practice, practice: fn hear(app: &mut App, heard: Heard) -> () {
    app.desk.hear(heard);
});

door!(Practice, practice: fn ticked(app: &mut App, clock: Seconds) -> Result<JsValue, JsError> {
    app.tick_practice(clock)
});

door!(Practice, practice: fn practice_screen(app: &mut App) -> Result<JsValue, JsError> {
    app.changed_practice()
});

door!(Practice, practice: fn chorus_to_play(app: &App) -> Result<JsValue, JsError> {
    practice::to_play(&app.desk).map_or(Ok(JsValue::UNDEFINED), |to_play| to_js(&to_play))
});

door!(Practice, practice: fn heard_again(app: &mut App, with_riff: bool) -> () {
    app.play_pass(with_riff);
});

door!(Practice, practice: fn broken_off(app: &mut App) -> () {
    app.break_off();
});

/// What lies behind the doors.
impl App {
    fn begin_practice(&mut self) {
        self.desk.settle();
        if self.desk.practice().settings().drill.is_some() {
            return self.begin_drill();
        }
        let Some(player) = &mut self.player else { return };
        let Ok(course) = self.desk.practice_setup() else {
            player.stop();
            self.desk.practice_stop(player.now());
            return;
        };
        let begin = player.practise(course.score.clone(), course.tempo);
        self.desk.practice_begin(course, begin);
    }

    fn begin_tapping(&mut self) {
        self.stop_practice();
        let Some(player) = &mut self.player else { return };
        let clicks = self.desk.clicks();
        let begin = player.practise(clicks.score, clicks.tempo);
        self.desk.tapping_begin(begin);
    }

    fn tick_practice(&mut self, clock: Seconds) -> Result<JsValue, JsError> {
        if let Some(player) = &self.player {
            let now = player.now();
            if let Some(ended) = self.desk.practice_tick(now, clock) {
                self.pass_ended(&ended);
            }
            if self.desk.practice().goes_on() {
                self.begin_practice();
            }
        }
        self.drill_tick();
        self.changed_practice()
    }

    fn changed_practice(&mut self) -> Result<JsValue, JsError> {
        let view = practice::view(&self.desk);
        if self.practice.as_ref() == Some(&view) {
            return Ok(JsValue::UNDEFINED);
        }
        let sent = to_js(&view);
        self.practice = Some(view);
        sent
    }

    fn play_pass(&mut self, with_riff: bool) {
        self.stop_practice();
        let (Some(player), Some(last)) = (&mut self.player, self.desk.practice().last()) else { return };
        let Some(mut score) = self.desk.practice_replay() else { return };
        score.parts = if with_riff { score.parts.with(Part::Solo) } else { score.parts.without(Part::Solo) };
        let begin = player.practise(score, last.tempo);
        player.play_beside(again(last, begin));
    }
}

impl App {
    /// Breaks off a run.
    pub(super) fn stop_practice(&mut self) {
        if self.desk.practice().is_busy() {
            broken_off(self);
        }
    }

    fn break_off(&mut self) {
        let Some(player) = &self.player else { return };
        if let Some(ended) = self.desk.practice_stop(player.now()) {
            self.pass_ended(&ended);
        }
    }
}

/// What was played, moved so that the time through begins at `begin`; taps as claves.
fn again(ended: &PassEnded, begin: AudioTime) -> Vec<Planned> {
    let beat = ended.pass.beat;
    let sound = |(index, note): (usize, &crate::practice::TimedNote)| Planned {
        id: OWN_IDS + index as u64,
        part: if ended.rhythm_alone { Part::Click } else { Part::Solo },
        when: begin + (note.onset - ended.time.start),
        duration: if beat.0 > 0.0 { beat * 0.6 } else { Seconds(0.4) },
        midi: if ended.rhythm_alone { Percussion::Claves.midi() } else { note.midi },
        velocity: Velocity::PLAIN,
        attack: Attack::Plain,
        take: 0,
        written: None,
    };
    ended.played.iter().enumerate().map(sound).collect()
}
