//! How results are written.

use serde::{Serialize, Serializer};

use crate::options::Failure;

/// One line of JSON.
pub fn json(value: &impl Serialize) -> Result<String, Failure> {
    Ok(serde_json::to_string(value)?)
}

/// A number that is written without a fraction where it has none: `0`, `1.5`.
#[derive(Clone, Copy, Debug)]
pub struct Number(pub f64);

impl Serialize for Number {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        // Up to 2⁵³ every whole number is exact.
        if self.0.fract() == 0.0 && self.0.abs() < (1_i64 << 53) as f64 {
            serializer.serialize_i64(self.0 as i64)
        } else {
            serializer.serialize_f64(self.0)
        }
    }
}

/// Everything in its ASCII form, as data has it.
pub fn texts<T: ToString>(things: impl IntoIterator<Item = T>) -> Vec<String> {
    things.into_iter().map(|thing| thing.to_string()).collect()
}
