//! What the page draws: plain data, one view-model a part of the screen, and every sentence that a person reads.

pub mod model;
pub mod variation;
