//! A strip of cloth: music as a woven band.

use serde::Serialize;

use crate::view::model::RoleName;

view_models! {
    /// A woven band, the same for the same music. Undyed ground in plain weave, a weft at each beat; dyed threads run along
    /// it, over the ground where something sounds and under it where nothing does.
    pub struct ClothView {
        /// Rows of threads, alike from the middle outwards.
        pub rows: usize,
        /// Beats, and so wefts, along its length.
        pub beats: usize,
        /// The dyed threads piece by piece, in the order of time; pieces of a row do not overlap.
        pub threads: Vec<ThreadView>,
    }

    /// A piece of a thread.
    pub struct ThreadView {
        /// Its row, 0 at the top.
        pub row: usize,
        /// Where it begins along the band.
        pub from: f64,
        /// Where it ends.
        pub to: f64,
        /// Its dye: what the note is to the chord; of a piece under the ground, the note that it comes up for.
        pub role: RoleName,
        /// Whether it lies over the ground and is seen.
        pub over: bool,
        /// Whether it is thick: an accent.
        pub thick: bool,
    }
}
