//! What was learnt about how notes sound.

use super::ListenError;

/// First bytes of the file.
const MARK: &[u8; 8] = b"rllisten";

/// What a [`Listener`](super::Listener) knows of how notes sound; the same bytes as `www/listen-model.bin`.
#[derive(Clone, Debug)]
pub struct Model {}

impl Model {
    /// Reads the file.
    ///
    /// # Errors
    ///
    /// Where it is not the model of this version.
    pub fn read(bytes: &[u8]) -> Result<Model, ListenError> {
        if bytes.starts_with(MARK) { Ok(Model {}) } else { Err(ListenError::Model) }
    }

    /// The model that comes with this version. The page fetches it instead, when the room opens.
    #[cfg(not(target_arch = "wasm32"))]
    pub fn built_in() -> Model {
        Model::read(include_bytes!("../../www/listen-model.bin")).expect("a test reads it")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_one_that_comes_along_is_read_and_nothing_else_is() {
        Model::built_in();
        for bytes in [&b""[..], b"rllist", b"<!doctype html>", &[0xff; 100_000]] {
            assert_eq!(Model::read(bytes).err(), Some(ListenError::Model));
        }
    }
}
