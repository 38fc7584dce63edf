//! Hearing a microphone, in a worker: samples and facts about the device go in, notes and what is shown come out.
//!
//! A worker has one ear. It lies behind the doors of its room, with all that it is made of.

use std::cell::RefCell;

use wasm_bindgen::prelude::*;

use crate::desk::microphone::{self, Fault, Microphone, Processing, State};
use crate::listen::{Event, Listener, Model};
use crate::rooms::door;
use crate::view;
use crate::view::model::EarView;
use crate::web::to_js;

/// How many numbers tell of one note.
const NUMBERS: usize = 5;

/// What hears.
#[derive(Default)]
struct Ear {
    microphone: Microphone,
    listener: Option<Listener>,
    rate: f64,
    /// The note that was told last.
    note: u8,
    shown: Option<EarView>,
}

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

/// Takes the next samples. Gives five numbers for each note: 1 where it began or 0 where it ended; when, in seconds since
/// the first sample; which; how hard, 1 to 127; and how far off in cents.
#[wasm_bindgen(js_name = earPush)]
pub fn ear_push(block: &[f32]) -> Vec<f64> {
    pushed(block).unwrap_or_default()
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

door!(Listen, listen: fn pushed(block: &[f32]) -> Vec<f64> {
    EAR.with_borrow_mut(|ear| ear.push(block))
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
        (self.rate, self.note) = (rate, 0);
        self.microphone.open(processing);
        let listener = Model::read(model).ok().and_then(|model| Listener::new(rate, a4, &model).ok());
        if listener.is_none() {
            self.microphone.fail(Fault::Rate);
        }
        self.listener = listener;
    }

    fn push(&mut self, block: &[f32]) -> Vec<f64> {
        let Some(listener) = &mut self.listener else { return Vec::new() };
        listener.push(block);
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
                        note.onset,
                        f64::from(note.midi),
                        f64::from(hard),
                        f64::from(note.cents),
                    ]);
                }
                Event::Ended { offset, .. } => {
                    self.microphone.note_over();
                    told.extend([0.0, offset, f64::from(self.note), 0.0, 0.0]);
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
