//! The view-models of a free chorus.

use crate::files::json::{self, Json};
use crate::view::model::ClothView;

view_models! {
    /// What a free chorus was, once it is over.
    pub struct FreeChorusView {
        /// It as a band; places below are along it.
        pub cloth: ClothView,
        /// The player's riffs in it, in the order of time.
        pub found: Vec<FoundView>,
        /// A word where none was found, or about all that were.
        pub found_note: String,
        /// Ideas worth keeping, the best first.
        pub ideas: Vec<IdeaView>,
        /// How it met the changes.
        pub landings: String,
        /// What stayed of the chorus before; none where there was none.
        pub stayed: Vec<String>,
    }

    /// A riff that was found.
    pub struct FoundView {
        /// The riff's id.
        pub riff: String,
        /// Where its first note begins along the band.
        pub from: f64,
        /// Where its last note ends.
        pub to: f64,
        /// "“Porch light” from bar 5, a fourth higher."
        pub text: String,
    }

    /// An idea.
    pub struct IdeaView {
        /// Where it begins along the band.
        pub from: f64,
        /// Where it ends, rest and all.
        pub to: f64,
        /// "Bar 5: you played it twice and it meets C7 on G."
        pub text: String,
        /// It as a band of its own.
        pub cloth: ClothView,
        /// The text of a link that holds it: opening that keeps it in the notebook.
        pub link: String,
    }
}
