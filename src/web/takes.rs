//! Takes, at the edge: for the page, which shows and plays them, and for the worker, which records them.

use js_sys::{Float32Array, Uint8Array};
use wasm_bindgen::prelude::*;

use crate::desk::takes::{TakesQuestion, lie};
use crate::files::{take, wav};
use crate::practice::review::Day;
use crate::rooms::door;
use crate::units::SampleRate;
use crate::view;
use crate::web::to_js;

/// Answers a `TakesQuestion`; `bytes` are the samples or the piece that it is about. `undefined` where its room is not open.
#[wasm_bindgen]
pub fn takes(question: JsValue, bytes: &[u8]) -> Result<JsValue, JsError> {
    answered(question, bytes).unwrap_or(Ok(JsValue::UNDEFINED))
}

door!(Takes, takes: fn answered(question: JsValue, bytes: &[u8]) -> Result<JsValue, JsError> {
    let sent = |bytes: &[u8]| Uint8Array::from(bytes).into();
    Ok(match serde_wasm_bindgen::from_value(question)? {
        TakesQuestion::Pack => sent(&take::pack(&take::quantised(&floats(bytes)))),
        TakesQuestion::Floats => take::unpack(bytes).map_or(JsValue::UNDEFINED, |samples| {
            Float32Array::from(take::as_floats(&samples).as_slice()).into()
        }),
        TakesQuestion::Pcm => take::unpack(bytes).map_or(JsValue::UNDEFINED, |samples| {
            sent(&samples.iter().flat_map(|sample| sample.to_le_bytes()).collect::<Vec<u8>>())
        }),
        TakesQuestion::WavHead { frames, rate } => {
            let rate = SampleRate::new(rate).unwrap_or(SampleRate::HZ_48000);
            sent(&wav::header_of(1, frames as usize, rate))
        }
        TakesQuestion::Lie { first, last, round } => to_js(&lie(first, last, &round))?,
        TakesQuestion::Show { takes, link, today } => to_js(&view::takes::view(&takes, &link, Day(today.into())))?,
        TakesQuestion::Trouble { what } => JsValue::from(view::takes::trouble(&what)),
    })
});

/// Numbers of 32 bits from their bytes, as every machine that runs browsers has them.
fn floats(bytes: &[u8]) -> Vec<f32> {
    bytes.chunks_exact(4).map(|four| f32::from_le_bytes([four[0], four[1], four[2], four[3]])).collect()
}
