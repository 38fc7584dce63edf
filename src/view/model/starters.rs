//! The shelf of riffs to start from.

use serde::Serialize;

use crate::view::model::{ClothView, MarkView};

view_models! {
    /// The whole shelf.
    pub struct StartersView {
        /// Four steps, the easiest first.
        pub steps: Vec<ShelfStepView>,
        /// Choruses woven from the riffs.
        pub choruses: Vec<ModelChorusView>,
    }

    /// The riffs of one step.
    pub struct ShelfStepView {
        /// "Three notes".
        pub title: String,
        /// Which notes these are.
        pub about: String,
        /// Its riffs.
        pub riffs: Vec<StarterView>,
    }

    /// A riff to start from.
    pub struct StarterView {
        /// Its name, by which it is heard and taken.
        pub name: String,
        /// What it teaches.
        pub teaches: String,
        /// Its notes over the first bar of the form.
        pub marks: Vec<MarkView>,
    }

    /// A chorus woven from riffs to start from.
    pub struct ModelChorusView {
        /// Its name, by which it is heard and taken.
        pub name: String,
        /// What it shows.
        pub teaches: String,
        /// The chorus as a woven band.
        pub cloth: ClothView,
    }
}
