//! What was learnt about how notes sound: the weights of a small network.
//!
//! `scripts/listening/train.py` learns them and `export.py` writes the file: the mark, then layer after layer in the order of
//! [`Model`], each a row an output: its scale, a little-endian `f32`, and a byte (`i8`) a weight; then the layer's biases,
//! an `f32` each.

use std::sync::Arc;

use super::ListenError;
use super::features::{CHANNELS, PITCHES, SHORT_INPUTS};

/// First bytes of the file; the digit counts the shapes it has had.
const MARK: &[u8; 8] = b"listens1";

/// Outputs of the layers; `scripts/listening/network.py` has the same.
pub(super) const WIDTH: usize = 48;
pub(super) const FIRST: usize = 16;
pub(super) const SECOND: usize = 10;
pub(super) const THIRD: usize = 8;
pub(super) const REDUCED: usize = 2;
pub(super) const JOINT: usize = 12;
/// Frames that a layer over time looks at.
pub(super) const TAPS: usize = 5;
/// Of the layer over pitches, how many of them lie in the future.
pub(super) const PITCH_AFTER: usize = 2;
/// Of each layer over all: the frames between its taps, and how many taps lie in the future.
pub(super) const TIME: [(usize, usize); 5] = [(1, 2), (1, 1), (2, 0), (4, 0), (8, 0)];

/// What a [`Listener`](super::Listener) knows of how notes sound; the same bytes as `www/listen-model.bin`.
#[derive(Clone, Debug)]
pub struct Model {
    pub(super) layers: Arc<Layers>,
}

/// The layers in the order of the file.
#[derive(Debug)]
pub(super) struct Layers {
    pub(super) first: Layer,
    pub(super) second: Layer,
    pub(super) third: Layer,
    pub(super) reduce: Layer,
    pub(super) joined: Layer,
    pub(super) time: [Layer; TIME.len()],
    pub(super) said: Layer,
    pub(super) context: Layer,
    pub(super) joint: Layer,
    pub(super) pitch: Layer,
}

/// One layer: sums of inputs, each with its weight, and a bias.
#[derive(Debug)]
pub(super) struct Layer {
    /// Input by input, so that a sum over inputs runs along memory.
    weights: Box<[f32]>,
    biases: Box<[f32]>,
}

impl Model {
    /// Reads the file.
    ///
    /// # Errors
    ///
    /// Where it is not the model of this version.
    pub fn read(bytes: &[u8]) -> Result<Model, ListenError> {
        let layers = bytes.strip_prefix(MARK).and_then(Layers::read).ok_or(ListenError::Model)?;
        Ok(Model { layers: Arc::new(layers) })
    }

    /// The model that comes with this version. The page fetches it instead, when the room opens.
    #[cfg(not(target_arch = "wasm32"))]
    pub fn built_in() -> Model {
        Model::read(include_bytes!("../../www/listen-model.bin")).expect("a test reads it")
    }
}

impl Layers {
    fn read(mut bytes: &[u8]) -> Option<Layers> {
        let mut layer = |inputs, outputs| Layer::read(&mut bytes, inputs, outputs);
        let layers = Layers {
            first: layer(CHANNELS, FIRST)?,
            second: layer(FIRST, SECOND)?,
            third: layer(TAPS * SECOND, THIRD)?,
            reduce: layer(THIRD, REDUCED)?,
            joined: layer(REDUCED * PITCHES + SHORT_INPUTS, WIDTH)?,
            time: [
                layer(TAPS * WIDTH, WIDTH)?,
                layer(TAPS * WIDTH, WIDTH)?,
                layer(TAPS * WIDTH, WIDTH)?,
                layer(TAPS * WIDTH, WIDTH)?,
                layer(TAPS * WIDTH, WIDTH)?,
            ],
            said: layer(WIDTH, 2)?,
            context: layer(WIDTH, JOINT)?,
            joint: layer(THIRD, JOINT)?,
            pitch: layer(JOINT, 1)?,
        };
        bytes.is_empty().then_some(layers)
    }
}

impl Layer {
    fn read(bytes: &mut &[u8], inputs: usize, outputs: usize) -> Option<Layer> {
        let float = |bytes: &mut &[u8]| {
            let (four, rest) = bytes.split_first_chunk()?;
            *bytes = rest;
            let value = f32::from_le_bytes(*four);
            value.is_finite().then_some(value)
        };
        let mut weights = vec![0.0; inputs * outputs];
        for output in 0..outputs {
            let scale = float(bytes)?;
            let (row, rest) = bytes.split_at_checked(inputs)?;
            *bytes = rest;
            for (input, weight) in row.iter().enumerate() {
                weights[input * outputs + output] = f32::from(weight.cast_signed()) * scale;
            }
        }
        let biases = (0..outputs).map(|_| float(bytes)).collect::<Option<_>>()?;
        Some(Layer { weights: weights.into(), biases })
    }

    /// Sums that begin with the biases. `N` is the number of outputs.
    pub(super) fn biases<const N: usize>(&self) -> [f32; N] {
        std::array::from_fn(|output| self.biases[output])
    }

    /// Adds what the inputs from number `first` on come to.
    pub(super) fn add<const N: usize>(&self, first: usize, inputs: &[f32], sums: &mut [f32; N]) {
        for (input, weights) in inputs.iter().zip(self.weights[first * N..].chunks_exact(N)) {
            for (sum, weight) in sums.iter_mut().zip(weights) {
                *sum += input * weight;
            }
        }
    }

    /// The sums of all inputs.
    pub(super) fn run<const N: usize>(&self, inputs: &[f32]) -> [f32; N] {
        let mut sums = self.biases();
        self.add(0, inputs, &mut sums);
        sums
    }
}

/// Nothing below zero.
pub(super) fn positive<const N: usize>(sums: [f32; N]) -> [f32; N] {
    sums.map(|sum| sum.max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_one_that_comes_along_is_read_and_nothing_else_is() {
        Model::built_in();
        let whole = include_bytes!("../../www/listen-model.bin");
        let longer = [whole, &b"0"[..]].concat();
        let shorter = &whole[..whole.len() - 1];
        for bytes in [&b""[..], b"listen", b"<!doctype html>", &[0xff; 100_000], &longer, shorter] {
            assert_eq!(Model::read(bytes).err(), Some(ListenError::Model));
        }
    }
}
