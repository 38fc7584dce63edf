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
}
