//! The view-models of takes: what was recorded with the microphone.

use serde::Serialize;

view_models! {
    /// All takes.
    pub struct TakesView {
        /// The takes, newest first.
        pub takes: Vec<TakeRowView>,
        /// "3 takes, 5.2 MB, on this device only."; empty where there are none.
        pub summary: String,
        /// The first take and the latest of things that were recorded more than once.
        pub pairs: Vec<PairView>,
        /// The takes that may go where room is needed, by their ids.
        pub may_go: Vec<String>,
        /// The offer to throw them away; empty where none may go.
        pub may_go_text: String,
    }

    /// One take.
    pub struct TakeRowView {
        /// Its id.
        pub id: String,
        /// "Porch light", or the tune where it was played freely.
        pub title: String,
        /// "Today, 13:05".
        pub when: String,
        /// "0:42 · 1.9 MB · 12-bar blues in G, 92".
        pub line: String,
        /// "First take", where it is the first of several; else empty.
        pub mark: String,
        /// What it looks like: heights from 0 to 1; as many for every take.
        pub wave: Vec<f64>,
        /// What the picture says, for who does not see it.
        pub label: String,
        /// Whether it was thrown away and can still be had back.
        pub gone: bool,
        /// Whether it can be heard over the form as that is now.
        pub lies: bool,
        /// What to do so that it can be, or why it cannot; empty where it does.
        pub note: String,
        /// Whether to bring its tune back is that.
        pub wants_tune: bool,
        /// The gain to hear it at.
        pub gain: f64,
        /// What its file is called.
        pub file: String,
    }

    /// A first take and the latest of one thing.
    pub struct PairView {
        /// The first, by its id.
        pub then: String,
        /// The latest, by its id.
        pub now: String,
        /// "Porch light: 14 September 2026, then today".
        pub text: String,
    }
}
