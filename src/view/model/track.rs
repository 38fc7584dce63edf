//! A file of sound before it is made.

use super::*;

view_models! {
    /// What is said of a file of sound before it is made.
    pub struct TrackView {
        /// What the file is called.
        pub file: String,
        /// How long and how large it will be, in words.
        pub about: String,
        /// The most choruses that a file may hold.
        pub most: u32,
    }
}
