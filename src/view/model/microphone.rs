//! The view-models of the microphone.

use serde::Serialize;

view_models! {
    /// How it stands with the microphone.
    pub struct EarView {
        /// `off`, `asking`, `on`, or `trouble` where it is off because something stands in the way.
        pub state: String,
        /// The state in a word or two, for the button.
        pub word: String,
        /// What happened and what to do; what becomes of the sound where it is off.
        pub text: String,
        /// Whether `text` is about trouble while it is on: the person has to do something.
        pub pressing: bool,
        /// What the check of the room came to, a sentence each; empty where it is off.
        pub room: Vec<String>,
    }

    /// What the tuner shows.
    pub struct TunerView {
        /// The note that sounds, as it sounds; none where nothing does.
        pub midi: Option<u8>,
        /// How far above it the pitch lies, −50 to 50 cents.
        pub cents: i32,
        /// The same in a word or two; empty where nothing sounds.
        pub word: String,
        /// What the band could be tuned to, so that it is with the player, in hertz; 0 for nothing.
        pub offer: u16,
        /// Why.
        pub why: String,
    }

    /// What measuring the delay came to.
    pub struct LoopView {
        /// The whole way from playing to hearing, in seconds, where it was found.
        pub seconds: Option<f64>,
        /// How far from it the truth may lie.
        pub give_or_take: f64,
        /// What is said of it.
        pub text: String,
    }
}
