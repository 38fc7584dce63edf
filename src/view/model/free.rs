//! The view-models of a free chorus.

use serde::Serialize;

use crate::view::model::{ChoiceView, PhraseView};

view_models! {
    /// What a free chorus was, once it is over.
    pub struct FreeChorusView {
        /// The notes, in lines of up to four bars; only lines in which something was played.
        pub phrases: Vec<PhraseView>,
        /// The last ones that are kept, the newest first, where there are several: `look-at-free-chorus` with `index`.
        pub kept: Vec<ChoiceView>,
        /// The player's riffs in it, in the order of time.
        pub found: Vec<FoundView>,
        /// A word where none was found, or about all that were.
        pub found_note: String,
        /// A word where there is nothing to keep; empty where there is.
        pub ideas_note: String,
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
        /// "“Porch light” from bar 5, a fourth higher."
        pub text: String,
    }

    /// An idea.
    pub struct IdeaView {
        /// "Bar 5: you played it twice and it meets C7 on G."
        pub text: String,
        /// Its notes.
        pub phrase: PhraseView,
        /// The text of a link that holds it: opening that keeps it in the notebook.
        pub link: String,
    }
}
