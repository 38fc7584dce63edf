//! Time as music counts it: metre, the grid of beats and their divisions, feel and tempo.

pub mod counting;
pub mod feel;
pub mod grid;
pub mod metre;
pub mod tapped;
pub mod tempo;
