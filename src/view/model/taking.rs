//! The view-models of playing a riff in.

use serde::Serialize;

use crate::view::model::ChoiceView;

view_models! {
    /// Playing a riff in: while it is played, and what came of it.
    pub struct TakeView {
        /// Whether a riff is being played in.
        pub listening: bool,
        /// Whether what was played in is looked at.
        pub taken: bool,
        /// What is heard meanwhile: `set-play-in` with `with`.
        pub with: Vec<ChoiceView>,
        /// How long the riff is to be: `set-play-in` with `bars`.
        pub bars: Vec<ChoiceView>,
        /// What to do now, or what was heard.
        pub text: String,
        /// Ways to read it; `value` is the index of `take-reading`.
        pub readings: Vec<ChoiceView>,
        /// What was played, under the strip: where each note began and how long it was held.
        pub played: Vec<PlayedView>,
        /// Whether it was tapped: pitches come afterwards.
        pub tapped: bool,
        /// Whether keys give the notes their pitches, one by one.
        pub naming: bool,
    }

    /// A note as it was played.
    pub struct PlayedView {
        /// Where it began, as a fraction of the strip's width.
        pub at: f64,
        /// How long it was held.
        pub length: f64,
    }
}
