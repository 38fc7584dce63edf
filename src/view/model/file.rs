//! A file that was opened, before anything of it is added; and how the notebook is kept safe.

use super::*;

view_models! {
    /// What is in a file that was opened.
    pub struct FileView {
        /// "A notebook".
        pub title: String,
        /// What it holds and what of it is new here, a sentence each.
        pub lines: Vec<String>,
        /// Melodies to choose from; empty where there is nothing to choose.
        pub parts: Vec<FilePartView>,
        /// What the button that adds it says; empty where there is nothing to add.
        pub action: String,
    }

    /// A melody of a file.
    pub struct FilePartView {
        /// "Flute: 24 notes".
        pub text: String,
        /// What of it cannot be kept, a sentence each.
        pub lines: Vec<String>,
    }

    /// A text as a QR code.
    pub struct QrView {
        /// How many modules wide and high it is, with its margin; 0 where the text is too long.
        pub size: usize,
        /// The dark modules, as the path of a drawing with one unit a module.
        pub path: String,
    }

    /// How the notebook is kept safe.
    pub struct KeepingView {
        /// Where it is kept, and when it was last saved to a file.
        pub text: String,
        /// Whether it is time to save it once more.
        pub due: bool,
        /// What the file is called.
        pub file: String,
    }
}
