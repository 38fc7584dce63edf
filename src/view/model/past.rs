//! The view-models of what was practised: ten minutes for today, and a look back.

use serde::Serialize;

view_models! {
    /// Ten minutes for today.
    pub struct PlanView {
        /// "Ten minutes for today".
        pub title: String,
        /// The turns, in order; none where there is nothing to play.
        pub turns: Vec<TurnView>,
        /// A word beneath.
        pub note: String,
    }

    /// One turn of the plan.
    pub struct TurnView {
        /// What is practised, as commands take it.
        pub of: String,
        /// The key as commands take it.
        pub key: String,
        /// How it is practised, as commands take it.
        pub how: String,
        /// "Porch light, in C: slow to fast".
        pub text: String,
        /// "worth bringing back".
        pub why: String,
        /// "2 minutes".
        pub length: String,
    }

    /// A look back at one riff or chorus.
    pub struct PastView {
        /// "Looking back at Porch light".
        pub title: String,
        /// How well it is known, and when it comes back.
        pub standing: Vec<String>,
        /// The times through, for the picture.
        pub points: Vec<PointView>,
        /// Days along the picture's foot.
        pub days: Vec<MarkedView>,
        /// Tempos along its side.
        pub tempos: Vec<MarkedView>,
        /// What the picture says, for who does not see it.
        pub label: String,
        /// A row a time through, the newest first.
        pub rows: Vec<PastRowView>,
        /// The same as a file of comma-separated values.
        pub csv: String,
        /// What the file is called.
        pub file: String,
    }

    /// A time through in the picture.
    pub struct PointView {
        /// Where along the days, from 0 to 1.
        pub at: f64,
        /// Where among the tempos, 0 the slowest and 1 the fastest.
        pub height: f64,
        /// `by-heart`, `all-notes` (with the notes in sight) or `on-the-way`.
        pub kind: String,
    }

    /// A name along an axis.
    pub struct MarkedView {
        /// Where, from 0 to 1.
        pub at: f64,
        /// "25 Nov".
        pub text: String,
    }

    /// A time through in the table.
    pub struct PastRowView {
        /// "25 November 2026".
        pub day: String,
        /// The key as the player reads it.
        pub key: String,
        /// Beats a minute.
        pub tempo: String,
        /// "by heart, over the form".
        pub how: String,
        /// "all the notes", "most of the notes".
        pub went: String,
    }
}
