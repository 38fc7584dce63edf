//! Hearing a microphone, in a worker: samples and facts about the device go in, notes and what is shown come out.
//!
//! A worker has one ear. It lies behind the doors of its room, with all that it is made of.

use std::cell::RefCell;
use std::collections::VecDeque;

use wasm_bindgen::prelude::*;

use crate::desk::microphone::{self, Fault, Microphone, Processing, State};
use crate::listen::pitch::pitch;
use crate::listen::{Event, Listener, Model};
use crate::practice::loopback::{self, ByAndBy};
use crate::practice::tuner::Tuner;
use crate::rooms::door;
use crate::units::{Hz, Tuning};
use crate::view;
use crate::view::model::{EarView, TunerView};
use crate::web::to_js;

/// How many numbers tell of one note.
const NUMBERS: usize = 5;

/// What hears.
#[derive(Default)]
struct Ear {
    microphone: Microphone,
    listener: Option<Listener>,
    /// Whether this listener was told of anything that the page played.
    is_beside: bool,
    /// The delay that is learnt from what is played.
    late: ByAndBy,
    rate: f64,
    /// The note that was told last.
    note: u8,
    /// Frames that came, and how many of them before this listener was made.
    frames: u64,
    before: u64,
    shown: Option<EarView>,
    /// The model that came, for a listener that is made anew.
    model: Option<Model>,
    tuning: Option<Tuning>,
    tuner: Tuner,
    /// The last sound that came, for the tuner.
    recent: VecDeque<f32>,
}

/// The tuner looks at so much sound, in seconds: some periods of the lowest string of a bass.
const TUNED_SECONDS: f64 = 0.12;
/// Below this clarity a pitch is not told by the tuner: breath, consonants, the beginning of a note.
const CLEAR: f64 = 0.85;

thread_local! {
    static EAR: RefCell<Ear> = RefCell::default();
}

/// Tells a fact about the device by its name (see `Microphone::tell`).
#[wasm_bindgen(js_name = earTell)]
pub fn ear_tell(fact: &str) {
    told(fact);
}

/// The microphone is on: sound of `rate` frames a second comes, and the tuning note is at `a4` Hz. `device` says what the
/// device does to the sound: echo, noise and gain, each 1, 0, or less where it is not known, and its own rate or 0.
#[wasm_bindgen(js_name = earBegin)]
pub fn ear_begin(rate: f64, a4: f64, device: &[f64], model: &[u8]) {
    begun(rate, a4, device, model);
}

/// The band was tuned to another A, in hertz.
#[wasm_bindgen(js_name = earTune)]
pub fn ear_tune(a4: u16) {
    tuned(a4);
}

/// What the tuner shows (a `TunerView`) of the last sound.
#[wasm_bindgen(js_name = earPitch)]
pub fn ear_pitch() -> Result<JsValue, JsError> {
    pitched().unwrap_or(Ok(JsValue::UNDEFINED))
}

/// A marker for measuring the delay, at this many frames a second.
#[wasm_bindgen(js_name = earMarker)]
pub fn ear_marker(rate: f64) -> Vec<f32> {
    marked(rate).unwrap_or_default()
}

/// The delay (a `LoopView`) between markers that were played at these times and what was heard from `first` on, in seconds
/// of the same clock.
#[wasm_bindgen(js_name = earMeasure)]
pub fn ear_measure(heard: &[f32], rate: f64, first: f64, played: &[f64]) -> Result<JsValue, JsError> {
    measured(heard, rate, first, played).unwrap_or(Ok(JsValue::UNDEFINED))
}

/// Takes the next samples, and what the page played in the same frames, left and right: both empty where that was silence.
/// Gives five numbers for each note: 1 where it began or 0 where it ended; when, in seconds since the first sample; which;
/// how hard, 1 to 127; and how far above that note, in cents.
#[wasm_bindgen(js_name = earPush)]
pub fn ear_push(block: &[f32], left: &[f32], right: &[f32]) -> Vec<f64> {
    pushed(block, [left, right]).unwrap_or_default()
}

/// The delay (a `LoopView`) as it was learnt from what the page plays, which was held back by so many seconds; `undefined`
/// where it is not known better than it was.
#[wasm_bindgen(js_name = earLate)]
pub fn ear_late(held: f64) -> Result<JsValue, JsError> {
    late(held).unwrap_or(Ok(JsValue::UNDEFINED))
}

/// How loud it is, from 0 to 1 as a meter shows it.
#[wasm_bindgen(js_name = earLevel)]
pub fn ear_level() -> f32 {
    levelled().unwrap_or_default()
}

/// How it stands with the microphone (an `EarView`), or `undefined` where it is as it was.
#[wasm_bindgen(js_name = earView)]
pub fn ear_view() -> Result<JsValue, JsError> {
    shown().unwrap_or(Ok(JsValue::UNDEFINED))
}

door!(Listen, listen: fn told(fact: &str) -> () {
    EAR.with_borrow_mut(|ear| {
        ear.microphone.tell(fact);
        if ear.microphone.state() != State::On {
            ear.listener = None;
        }
    });
});

door!(Listen, listen: fn begun(rate: f64, a4: f64, device: &[f64], model: &[u8]) -> () {
    EAR.with_borrow_mut(|ear| ear.begin(rate, a4, device, model));
});

door!(Listen, listen: fn tuned(a4: u16) -> () {
    EAR.with_borrow_mut(|ear| ear.tune(a4));
});

door!(Listen, listen: fn pitched() -> Result<JsValue, JsError> {
    EAR.with_borrow_mut(|ear| to_js(&ear.pitch()))
});

door!(Listen, listen: fn marked(rate: f64) -> Vec<f32> {
    loopback::marker(rate)
});

door!(Listen, listen: fn measured(heard: &[f32], rate: f64, first: f64, played: &[f64]) -> Result<JsValue, JsError> {
    to_js(&view::microphone::measured(loopback::delay(heard, rate, first, played)))
});

door!(Listen, listen: fn pushed(block: &[f32], played: [&[f32]; 2]) -> Vec<f64> {
    EAR.with_borrow_mut(|ear| ear.push(block, played))
});

door!(Listen, listen: fn late(held: f64) -> Result<JsValue, JsError> {
    EAR.with_borrow_mut(|ear| {
        let found = ear.listener.as_mut().and_then(Listener::late);
        let delay = found.and_then(|seconds| ear.late.take(held + seconds));
        delay.map_or(Ok(JsValue::UNDEFINED), |delay| to_js(&view::microphone::measured(Ok(delay))))
    })
});

door!(Listen, listen: fn levelled() -> f32 {
    EAR.with_borrow(|ear| ear.listener.as_ref().map_or(0.0, |listener| microphone::meter(listener.level().rms as f32)))
});

door!(Listen, listen: fn shown() -> Result<JsValue, JsError> {
    EAR.with_borrow_mut(|ear| {
        let view = view::microphone::view(&ear.microphone);
        if ear.shown.as_ref() == Some(&view) {
            return Ok(JsValue::UNDEFINED);
        }
        let sent = to_js(&view);
        ear.shown = Some(view);
        sent
    })
});

impl Ear {
    fn begin(&mut self, rate: f64, a4: f64, device: &[f64], model: &[u8]) {
        let known = |index: usize| device.get(index).copied().filter(|value| *value >= 0.0);
        let switch = |index: usize| known(index).map(|value| value > 0.0);
        let processing = Processing {
            echo: switch(0),
            noise: switch(1),
            gain: switch(2),
            rate: known(3).filter(|rate| *rate > 0.0),
        };
        (self.rate, self.note, self.frames) = (rate, 0, 0);
        self.microphone.open(processing);
        self.model = Model::read(model).ok();
        self.listener = None;
        self.recent = VecDeque::from(vec![0.0; (TUNED_SECONDS * rate.clamp(0.0, 768_000.0)) as usize]);
        self.tune(a4 as u16);
        if self.listener.is_none() {
            self.microphone.fail(if self.model.is_none() { Fault::Broken } else { Fault::Rate });
        }
    }

    fn tune(&mut self, a4: u16) {
        let tuning = Tuning::new(a4).unwrap_or(Tuning::ORDINARY);
        self.tuning = Some(tuning);
        self.tuner.forget();
        let hertz = f64::from(tuning.hertz());
        if self.listener.as_mut().is_some_and(|listener| listener.tune(hertz).is_ok()) {
            return;
        }
        (self.before, self.is_beside, self.late) = (self.frames, false, ByAndBy::default());
        let model = self.model.as_ref().filter(|_| self.microphone.state() == State::On);
        self.listener = model.and_then(|model| Listener::new(self.rate, hertz, model).ok());
    }

    fn pitch(&mut self) -> TunerView {
        let tuning = self.tuning.unwrap_or(Tuning::ORDINARY);
        let found = pitch(self.recent.make_contiguous(), self.rate).filter(|found| found.clarity >= CLEAR);
        self.tuner.hear(found.map(|found| Hz(found.hz)), tuning);
        view::microphone::tuner(&self.tuner, tuning)
    }

    fn push(&mut self, block: &[f32], played: [&[f32]; 2]) -> Vec<f64> {
        let Some(listener) = &mut self.listener else { return Vec::new() };
        // Until something is played there is nothing to take out.
        self.is_beside |= played.iter().any(|played| !played.is_empty());
        if self.is_beside {
            listener.push_beside(block, played);
        } else {
            listener.push(block);
        }
        for sample in block {
            self.recent.pop_front();
            self.recent.push_back(*sample);
        }
        self.frames += block.len() as u64;
        // A listener counts from its own first sample.
        let before = self.before as f64 / self.rate;
        let level = listener.level();
        let (peak, mean) = (level.peak as f32, level.rms as f32);
        self.microphone.listen(block.len() as f64 / self.rate, peak, mean);
        let mut told = Vec::new();
        while let Some(event) = listener.next_note() {
            match event {
                Event::Started(note) => {
                    self.microphone.note(mean);
                    self.note = note.midi;
                    let hard = microphone::velocity(note.strength);
                    told.extend([
                        1.0,
                        before + note.onset,
                        f64::from(note.midi),
                        f64::from(hard),
                        f64::from(note.cents),
                    ]);
                }
                Event::Ended { offset, .. } => {
                    self.microphone.note_over();
                    told.extend([0.0, before + offset, f64::from(self.note), 0.0, 0.0]);
                }
            }
        }
        debug_assert_eq!(told.len() % NUMBERS, 0);
        if self.microphone.state() != State::On {
            self.listener = None;
        }
        told
    }
}
