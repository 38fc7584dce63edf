//! Files of sound, made in a worker with an instance of the core of its own, and the gain that the page's music needs.
//!
//! The worker opens an `App` on the records that the page's own gives it, so it holds the same riff and tune.

use wasm_bindgen::prelude::*;

use crate::desk::Desk;
use crate::desk::score::{What, Who};
use crate::files::{record, wav};
use crate::perform::track::Track;
use crate::rooms::door;
use crate::sound::mix::Space;
use crate::sound::mixdown::{Mixdown, Step};
use crate::units::SampleRate;
use crate::view;
use crate::view::model::RecordView;
use crate::web::{App, TUNE, player, to_js};

/// What is heard, on the page or in a file.
#[wasm_bindgen]
#[derive(Clone, Copy)]
pub enum Heard {
    /// The riff over the form with the band, as the page plays it.
    Form,
    /// The band over the form.
    Band,
    /// The riff once, alone.
    Riff,
    /// The riff over the form with the band, also where it is silent on the page.
    FormWithRiff,
    /// The chorus with the band.
    Chorus,
    /// The chorus alone.
    ChorusAlone,
    /// The band over the chorus's form.
    ChorusBand,
    /// The chosen placement of the chorus once, alone.
    Placement,
}

impl Heard {
    /// What is played, and who is heard of it.
    pub(super) fn parts(self) -> (What, Who) {
        match self {
            Heard::Form => (What::Form, Who::AsSet),
            Heard::Band => (What::Band, Who::AsSet),
            Heard::Riff => (What::Riff, Who::AsSet),
            Heard::FormWithRiff => (What::Form, Who::WithSolo),
            Heard::Chorus => (What::Chorus, Who::WithSolo),
            Heard::ChorusAlone => (What::Chorus, Who::SoloAlone),
            Heard::ChorusBand => (What::Chorus, Who::BandAlone),
            Heard::Placement => (What::Placement, Who::AsSet),
        }
    }
}

#[wasm_bindgen]
impl App {
    /// Records (an array of `RecordView`) from which another `App` opens with this one's tune, and the riff and the
    /// chorus that sound, kept or not.
    pub fn working(&self) -> Result<JsValue, JsError> {
        let riff = self.desk.riff();
        let chorus = self.desk.chorus();
        let of = |id: &str, text: String| RecordView { id: id.to_owned(), text, revision: 1 };
        to_js(&vec![
            of(TUNE, record::write_tune(&self.desk.tune().record(riff.id, Some(chorus.id)))),
            of("riff", record::write_riff(riff, None, 1)),
            of(&record::chorus_record_id(chorus.id), record::write_chorus(chorus, 1)),
        ])
    }

    /// The bars that are looped of what is heard: indices from 0, the second not included; empty where all of the form
    /// is.
    pub fn looped(&self, heard: Heard) -> Vec<usize> {
        self.desk.looped(heard.parts().0).map_or_else(Vec::new, |(from, to)| vec![from, to])
    }

    /// Loops the bars that [`App::looped`] gave of the same.
    #[wasm_bindgen(js_name = takeLoop)]
    pub fn take_loop(&mut self, heard: Heard, from: usize, to: usize) {
        // Bars that are not there, of a form that has changed meanwhile, leave all of it to be heard.
        let _ = self.desk.apply(Desk::loop_command(heard.parts().0, (from, to)));
    }

    /// What is said of a file before it is made (a `TrackView`); arguments as for [`App::mixing`].
    #[wasm_bindgen(js_name = trackAbout)]
    pub fn track_about(&self, heard: Heard, choruses: u32, count_in: u8) -> Result<JsValue, JsError> {
        about(self, heard, choruses, count_in).unwrap_or(Ok(JsValue::UNDEFINED))
    }

    /// Prepares `choruses` times through what is heard, after `count_in` bars, at `rate` frames a second.
    pub fn mixing(&self, heard: Heard, choruses: u32, count_in: u8, rate: u32) -> Result<Mixing, JsError> {
        prepared(self, heard, choruses, count_in, rate)
            .unwrap_or_else(|| Err(JsError::new("the mixer is not here yet")))
    }

    /// The gain that [`Mixing::gain`] found for what is played.
    #[wasm_bindgen(js_name = setProgramme)]
    pub fn set_programme(&self, gain: f64) {
        if let Some(player) = &self.player {
            player.set_programme(gain);
        }
    }
}

door!(Mixing, mixing: fn about(app: &App, heard: Heard, choruses: u32, count_in: u8) -> Result<JsValue, JsError> {
    to_js(&view::track::view(&app.desk, heard.parts(), choruses, count_in, SampleRate::HZ_48000))
});

door!(Mixing, mixing: fn prepared(app: &App, heard: Heard, choruses: u32, count_in: u8, rate: u32) -> Result<Mixing, JsError> {
    let rate = SampleRate::new(rate).ok_or_else(|| JsError::new("sound at an unknown rate"))?;
    let (what, who) = heard.parts();
    let (score, _) = app.desk.recording(what, who, choruses, count_in);
    let track = Track::of(&score, app.desk.tune().tempo);
    let sounds = track.map(|track| track.sounds).unwrap_or_default();
    let work = Mixdown::new(sounds, player::lineup(&app.desk), rate, Space::Room);
    Ok(Mixing { work, pcm: wav::Pcm::new(score.arrangement.seed), rate })
});

door!(Mixing, mixing: fn stepped(mixing: &mut Mixing) -> Option<Vec<u8>> {
    match mixing.work.step() {
        Step::Measured => Some(Vec::new()),
        Step::Finished(slice) => {
            let mut bytes = Vec::with_capacity(slice.left.len() * 4);
            mixing.pcm.write(&slice.left, &slice.right, &mut bytes);
            Some(bytes)
        }
        Step::Over => None,
    }
});

door!(Mixing, mixing: fn measured(work: Mixdown) -> f64 {
    work.at_plain_levels().programme().gain_without_dips(player::MASTER)
});

door!(Mixing, mixing: fn unlevelled(work: &mut Mixdown) -> Vec<f32> {
    work.raw().map_or_else(Vec::new, |slice| [slice.left, slice.right].concat())
});

/// A file of sound that is being made.
#[wasm_bindgen]
pub struct Mixing {
    work: Mixdown,
    pcm: wav::Pcm,
    rate: SampleRate,
}

#[wasm_bindgen]
impl Mixing {
    /// What stands before the samples in the file.
    pub fn header(&self) -> Vec<u8> {
        wav::header(self.work.frames().0 as usize, self.rate)
    }

    /// Works on for a slice of a second. The next bytes of the file, none while it is being measured; `undefined` when
    /// it is over.
    pub fn step(&mut self) -> Option<Vec<u8>> {
        stepped(self)?
    }

    /// How much is done, 0 to 1.
    pub fn progress(&self) -> f64 {
        self.work.progress()
    }

    /// The gain that brings all of it to its loudness, had nobody made a part louder or softer. Where a file's limiter
    /// would have to dip, it is less: the page plays what nobody has heard before, and cannot look ahead.
    pub fn gain(self) -> f64 {
        measured(self.work).unwrap_or(1.0)
    }

    /// When each sound begins, in seconds from the first frame. The tests hold the player to it.
    pub fn times(&self) -> Vec<f64> {
        self.work.sounds().iter().map(|sound| sound.when.0).collect()
    }

    /// The next second as it is before it is levelled and limited: all of the left channel, then all of the right.
    /// Empty when it is over. The tests compare it with what the player's graph makes.
    pub fn raw(&mut self) -> Vec<f32> {
        unlevelled(&mut self.work).unwrap_or_default()
    }
}
