//! The edge to the browser: each function converts, calls the core once, and converts back.

mod along;
mod class;
mod drill;
mod file;
mod free;
mod keep;
mod listen;
mod midi;
mod past;
mod player;
mod practice;
mod said;
mod samples;
mod staff;
mod starters;
mod suggest;
mod takes;
mod taking;
mod track;
mod vary;
mod versions;

use std::collections::HashMap;

use serde::{Deserialize, Serialize};
use wasm_bindgen::prelude::*;
use web_sys::BaseAudioContext;

use crate::desk::command::Command;
use crate::desk::stored::{self, Stored, TUNE};
use crate::desk::{Desk, Done, changed};
use crate::files::{link, record};
use crate::riff::{RiffId, read_id, write_id};
use crate::rooms::{Room, door};
use crate::units::{MidiNote, Velocity};
use crate::view;
use crate::view::model::{Changed, PracticeView, RecordView};
use crate::view::screen::{self, Screen};
use crate::web::player::Player;
use crate::web::track::Heard;

/// Makes a panic readable in the browser's console. Runs by itself when the module starts.
#[wasm_bindgen(start)]
pub fn start() {
    console_error_panic_hook::set_once();
}

/// Renders one sample for a worker: mono frames at `rate`; empty where the code or the rate is unknown.
#[wasm_bindgen(js_name = renderSample)]
pub fn render_sample(code: u32, rate: u32) -> Vec<f32> {
    samples::render(code, rate).unwrap_or_default()
}

/// The desk, what the page shows of it, and the player.
#[wasm_bindgen]
pub struct App {
    desk: Desk,
    screen: Screen,
    player: Option<Player>,
    /// The revision of each record that was last written or read.
    revisions: HashMap<String, u32>,
    /// What could not be read at the start, to be said once.
    trouble: Option<String>,
    midi: midi::Ports,
    /// The Practice screen as it was last sent.
    practice: Option<PracticeView>,
    keeper: past::Keeper,
    /// Riffs that lie in the notebook without a record.
    never_kept: Vec<RiffId>,
    /// The ids of the riffs as they were last asked for, and their text: it is written with every change.
    order: (Vec<RiffId>, String),
    drills: drill::Count,
}

#[wasm_bindgen]
impl App {
    /// Opens what was kept: `records` is an array of `RecordView`, `spare` an unused riff id. A record that does not
    /// read is left where it is and told of.
    #[wasm_bindgen(constructor)]
    pub fn new(records: JsValue, spare: &str) -> Result<App, JsError> {
        let spare =
            read_id(spare).ok_or_else(|| JsError::new("the spare id is not 16 hexadecimal digits"))?;
        if js_sys::Array::from(&records).length() == 0 {
            let desk = Desk::restored(None, Vec::new(), None, spare);
            return Ok(App::of(desk, HashMap::new(), past::Keeper::default(), None));
        }
        restored(records, spare)
            .unwrap_or_else(|| Err(JsError::new("the room that reads records is not open")))
    }

    /// Opens a room: its code has come, and its doors lead to it. A name that no room has is left.
    #[wasm_bindgen(js_name = openRoom)]
    pub fn open_room(name: &str) {
        if let Some(room) = Room::named(name) {
            room.open();
        }
    }

    /// Every part of the screen.
    pub fn all(&mut self) -> Result<JsValue, JsError> {
        let mut all = self.screen.all();
        all.message = self.trouble.take();
        to_js(&all)
    }

    /// Does one thing (a `Command`) and gives what must be drawn at once: of a `Changed` the riff, the words about it
    /// and what is said; [`App::rest`] gives the other parts. Never fails for what a person does; what cannot be done
    /// is said in `message`.
    pub fn apply(&mut self, command: JsValue) -> Result<JsValue, JsError> {
        let command = Command::deserialize(said::Said(command))?;
        let before = self.desk.before();
        let place = self.desk.session().place;
        let outcome = self.desk.apply(command.clone());
        let mut changed = self.screen.renew_at_once(&self.desk);
        changed.message = screen::say(&outcome);
        let shown = self.desk.session().place;
        changed.show = (shown != place).then(|| shown.name().to_owned());
        if matches!(outcome, Ok(Done::ForClass)) {
            changed.show = Some(class::PLACE.to_owned());
        }
        changed.offer = screen::offer(&outcome);
        changed.spoken = outcome.is_ok().then(|| screen::spoken(&self.desk, &command)).flatten();
        changed.room = screen::awaited(&outcome).map(|room| room.name().to_owned());
        self.follow(&before, &mut changed);
        to_js(&changed)
    }

    /// The parts of the screen that changed and are not drawn yet (a `Changed`); call it once after one or more
    /// commands.
    pub fn rest(&mut self) -> Result<JsValue, JsError> {
        let screen = Screen::following(&self.screen, &self.desk);
        let changed = screen.since(&self.screen);
        self.screen = screen;
        to_js(&changed)
    }

    /// The cards of the riffs with these ids (an array of `RiffCardView`), as they are now; ids that are not in the
    /// notebook are left out.
    #[wasm_bindgen(js_name = riffCards)]
    pub fn riff_cards(&self, ids: Vec<String>) -> Result<JsValue, JsError> {
        let ids: Vec<RiffId> = ids.iter().filter_map(|id| read_id(id)).collect();
        riff_cards(self, &ids).unwrap_or(Ok(JsValue::UNDEFINED))
    }

    /// The record of a riff or of the tune (`tune`), to be written to storage; `undefined` where there is none.
    pub fn record(&mut self, id: &str) -> Result<JsValue, JsError> {
        let next = self.revisions.get(id).copied().unwrap_or_default().saturating_add(1);
        let text = self.record_text(id, next);
        let Some(text) = text else { return Ok(JsValue::UNDEFINED) };
        self.revisions.insert(id.to_owned(), next);
        to_js(&RecordView { id: id.to_owned(), text, revision: next })
    }

    /// The ids of the riffs, newest first, as they stand in the record of their order.
    pub fn order(&mut self) -> String {
        let entries = self.desk.document().notebook.entries();
        if !entries.iter().map(|entry| entry.riff.id).eq(self.order.0.iter().copied()) {
            let ids: Vec<RiffId> = entries.iter().map(|entry| entry.riff.id).collect();
            let text = stored::write_order(ids.iter().copied());
            self.order = (ids, text);
        }
        self.order.1.clone()
    }

    /// What stands after `#` in a link to the riff on the desk and its tune.
    #[wasm_bindgen(js_name = shareLink)]
    pub fn share_link(&self) -> String {
        riff_link(self).unwrap_or_default()
    }

    /// What stands after `#` in a link to the chorus that is worked on; empty where it is too long for a link.
    #[wasm_bindgen(js_name = shareChorus)]
    pub fn share_chorus(&self) -> String {
        chorus_link(self).unwrap_or_default()
    }

    /// For each bar of the form its chords as players of C, B♭, E♭ and F instruments read them (an array of arrays of
    /// `ReadView`); `undefined` where that room has not come.
    pub fn readings(&self) -> Result<JsValue, JsError> {
        view::large::readings(&self.desk).map_or(Ok(JsValue::UNDEFINED), |bars| to_js(&bars))
    }

    /// Whether taps, in seconds, one a note, are the rhythm of the riff on the desk.
    #[wasm_bindgen(js_name = isTapped)]
    pub fn is_tapped(&self, taps: &[f64]) -> bool {
        self.desk.is_tapped(taps)
    }

    /// The last steps back as a text, for [`App::take_way_back`] of the page that is loaded next; `undefined` where the
    /// room that writes them has not come.
    #[wasm_bindgen(js_name = wayBack)]
    pub fn way_back(&self) -> Option<String> {
        self.desk.way_back()
    }

    /// Takes up steps back that were written when the page was left.
    #[wasm_bindgen(js_name = takeWayBack)]
    pub fn take_way_back(&mut self, text: &str) {
        if self.desk.take_way_back(text) {
            self.screen = Screen::of(&self.desk);
        }
    }

    /// Gives the player its context; called again with a new one after the old was closed.
    #[wasm_bindgen(js_name = startAudio)]
    pub fn start_audio(&mut self, context: BaseAudioContext) -> Result<(), JsValue> {
        self.player = Some(Player::new(context, &self.desk)?);
        Ok(())
    }

    /// Plays, a form after a bar's count-in; of a riff or a placement that is heard alone it is the one on the desk.
    pub fn play(&mut self, heard: Heard) {
        self.desk.settle();
        if let Some(player) = &mut self.player {
            player.play(&self.desk, heard.parts().0);
        }
    }

    /// Plays a form from this bar on (index from 0): at once where it plays already, else after the count-in.
    #[wasm_bindgen(js_name = playFrom)]
    pub fn play_from(&mut self, bar: usize, heard: Heard) {
        self.stop_practice();
        self.desk.settle();
        if let Some(player) = &mut self.player {
            player.play_from(&self.desk, heard.parts().0, bar);
        }
    }

    /// Goes through the form of the band from this bar on (index from 0) after the count-in, without a sound.
    #[wasm_bindgen(js_name = followFrom)]
    pub fn follow_from(&mut self, bar: usize) {
        self.stop_practice();
        if let Some(player) = &mut self.player {
            player.follow_from(&self.desk, Heard::Band.parts().0, bar);
        }
    }

    /// Stops what plays over the form, to go on later; a practice run is begun anew instead.
    pub fn pause(&mut self) {
        self.stop_practice();
        if let Some(player) = &mut self.player {
            player.pause();
        }
    }

    /// Goes on with the bar in which it was paused, after the count-in.
    pub fn resume(&mut self) {
        self.stop_practice();
        if let Some(player) = &mut self.player {
            player.resume(&self.desk);
        }
    }

    /// The bar in which it was paused (index from 0), or `undefined`.
    #[wasm_bindgen(js_name = pausedBar)]
    pub fn paused_bar(&self) -> Option<usize> {
        self.player.as_ref().and_then(Player::paused)
    }

    /// What the panel "Who plays" shows (a `BandView`); `undefined` where its room is not open.
    pub fn band(&self) -> Result<JsValue, JsError> {
        who_plays(self).unwrap_or(Ok(JsValue::UNDEFINED))
    }

    /// Stops what plays.
    pub fn stop(&mut self) {
        self.stop_practice();
        if let Some(player) = &mut self.player {
            player.stop();
        }
    }

    /// Whether something plays.
    #[wasm_bindgen(js_name = isPlaying)]
    pub fn is_playing(&self) -> bool {
        self.desk.practice().is_busy() || self.player.as_ref().is_some_and(Player::is_playing)
    }

    /// Hands out what sounds next; call it a few times a second while something plays.
    pub fn tick(&mut self) {
        if let Some(player) = &mut self.player {
            player.tick();
        }
    }

    /// Sounds a key until [`App::key_up`]; `velocity` is 1 to 127, 0 for an ordinary stroke.
    #[wasm_bindgen(js_name = keyDown)]
    pub fn key_down(&mut self, midi: u8, velocity: u8) {
        let velocity = Velocity::new(i32::from(velocity)).unwrap_or(Velocity::PLAIN);
        if let (Some(player), Some(midi)) = (&mut self.player, MidiNote::new(i32::from(midi))) {
            player.key_down(midi, velocity);
        }
    }

    /// Lets a key go.
    #[wasm_bindgen(js_name = keyUp)]
    pub fn key_up(&mut self, midi: u8) {
        if let Some(player) = &mut self.player {
            player.key_up(midi);
        }
    }

    /// Lets all keys go.
    #[wasm_bindgen(js_name = allKeysUp)]
    pub fn all_keys_up(&mut self) {
        if let Some(player) = &mut self.player {
            player.all_keys_up();
        }
    }

    /// The codes of samples that a worker should render, most urgent first; each is told once.
    #[wasm_bindgen(js_name = wantedSamples)]
    pub fn wanted_samples(&mut self) -> Vec<u32> {
        self.player.as_mut().map(|player| player.wanted(&self.screen)).unwrap_or_default()
    }

    /// Takes a sample that a worker has rendered.
    #[wasm_bindgen(js_name = giveSample)]
    pub fn give_sample(&mut self, code: u32, rate: u32, frames: Vec<f32>) {
        if let Some(player) = &mut self.player {
            player.give(code, rate, &frames);
        }
    }
}

door!(Band, band: fn who_plays(app: &App) -> Result<JsValue, JsError> {
    to_js(&view::band::view(&app.desk))
});

door!(Files, files: fn restored(records: JsValue, spare: RiffId) -> Result<App, JsError> {
    App::restore(records, spare)
});

door!(Practice, practice: fn riff_cards(app: &App, ids: &[RiffId]) -> Result<JsValue, JsError> {
    to_js(&view::notebook::cards(&app.desk, ids))
});

door!(Files, files: fn riff_link(app: &App) -> String {
    link::encode(&app.desk.shared_tune(), app.desk.riff())
});

door!(Files, files: fn chorus_link(app: &App) -> String {
    app.desk.chorus_link().unwrap_or_default()
});

impl App {
    fn of(desk: Desk, revisions: HashMap<String, u32>, keeper: past::Keeper, trouble: Option<String>) -> App {
        keep::hold(&desk);
        let screen = Screen::of(&desk);
        let ids = desk.document().notebook.entries().iter().map(|entry| entry.riff.id);
        let never_kept = ids.filter(|id| !revisions.contains_key(&write_id(*id))).collect();
        let (midi, practice, drills, order) = Default::default();
        App {
            desk,
            screen,
            player: None,
            revisions,
            trouble,
            midi,
            practice,
            keeper,
            never_kept,
            order,
            drills,
        }
    }

    fn restore(records: JsValue, spare: RiffId) -> Result<App, JsError> {
        let (kept, revisions) = records_of(records)?;
        let mut stored = Stored::read(&kept);
        let mut keeper = past::Keeper::default();
        keeper.orphans = std::mem::take(&mut stored.orphans);
        let trouble = view::trouble::unread(stored.unread, stored.newer);
        Ok(App::of(Desk::opened(stored, spare), revisions, keeper, trouble))
    }

    /// The text of a record, as the one that was written `revision` times.
    fn record_text(&self, id: &str, revision: u32) -> Option<String> {
        if let Some(past) = self.past_record(id) {
            Some(past)
        } else if record::free_of_record(id).is_some() {
            self.desk.free().record(id)
        } else if record::class_of_record(id).is_some() {
            self.desk.class().record(id)
        } else if id == TUNE {
            Some(record::write_tune(&self.desk.tune_record()))
        } else if let Some(id) = record::chorus_of_record(id) {
            let entry = self.desk.document().choruses.entry(id);
            entry.map(|entry| stored::chorus_text(entry, revision))
        } else if let Some(id) = stored::versions_of(id) {
            self.desk.versions_record(id)
        } else {
            let entry = read_id(id).and_then(|id| self.desk.document().notebook.entry(id));
            entry.map(|entry| stored::riff_text(entry, revision))
        }
    }

    /// What was changed since `before` is to be written, and sounds from now on.
    fn follow(&mut self, before: &changed::Before, changed: &mut Changed) {
        let now = self.desk.changed_since(before);
        self.note_what_to_keep(&now, changed);
        let versions = self.desk.versions_unwritten();
        changed.save.extend(versions.into_iter().map(stored::versions_record_id));
        changed.sounds = now.sounds;
        if let Some(player) = &mut self.player {
            if now.band {
                player.listen_to(&self.desk);
            }
            if now.sounds {
                player.replan(&self.desk);
            }
        }
        if now.run && self.desk.practice().is_running() {
            self.practise();
        }
        keep::hold(&self.desk);
    }

    /// Names the records that have to be written or forgotten.
    fn note_what_to_keep(&mut self, now: &changed::Changed, changed: &mut Changed) {
        if now.leaves_records() {
            return;
        }
        changed.save = now.riffs.iter().copied().map(write_id).collect();
        changed.save.extend(now.choruses.iter().copied().map(record::chorus_record_id));
        changed.forget = now.riffs_gone.iter().copied().map(write_id).collect();
        changed.forget.extend(now.choruses_gone.iter().copied().map(record::chorus_record_id));
        if now.tune {
            changed.save.push(TUNE.to_owned());
        }
        if !changed.save.is_empty() {
            // The starter riff is kept with the first thing that is.
            let notebook = &self.desk.document().notebook;
            let starters = std::mem::take(&mut self.never_kept).into_iter();
            let here = starters.filter(|id| notebook.riff(*id).is_some()).map(write_id);
            let unnamed: Vec<String> = here.filter(|id| !changed.save.contains(id)).collect();
            changed.save.extend(unnamed);
        }
    }
}

/// What is kept, each an id and a text.
type Kept = Vec<(String, String)>;

/// An array of `RecordView`: what is kept, and the revisions by id.
fn records_of(records: JsValue) -> Result<(Kept, HashMap<String, u32>), JsError> {
    let records: Vec<RecordView> = serde_wasm_bindgen::from_value(records)?;
    let revisions = records.iter().map(|record| (record.id.clone(), record.revision)).collect();
    Ok((records.into_iter().map(|record| (record.id, record.text)).collect(), revisions))
}

/// Converts for JavaScript: plain objects, numbers and arrays.
fn to_js<T: Serialize>(value: &T) -> Result<JsValue, JsError> {
    Ok(serde_wasm_bindgen::to_value(value)?)
}
