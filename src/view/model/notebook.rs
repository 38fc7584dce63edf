//! The view-models of labels and earlier versions.

use serde::Serialize;

view_models! {
    /// The labels that are in use.
    pub struct LabelsView {
        /// Each once, in the order of the alphabet.
        pub labels: Vec<LabelView>,
    }

    /// A label that is in use.
    pub struct LabelView {
        /// The label.
        pub text: String,
        /// "slow (3)": on how many riffs and choruses it is.
        pub counted: String,
    }

    /// How a riff was before.
    pub struct VersionsView {
        /// "Earlier versions of Salt wind".
        pub title: String,
        /// Which versions are kept.
        pub note: String,
        /// The last one first; none where nothing was changed.
        pub versions: Vec<VersionView>,
    }

    /// An earlier version of a riff.
    pub struct VersionView {
        /// Its number, as commands take it.
        pub version: usize,
        /// "Until 25 November 2026".
        pub until: String,
        /// "6 beats, 5 notes · in G".
        pub summary: String,
        /// What was changed then, a sentence each.
        pub changed: Vec<String>,
        /// Its notes in small, over the form's first bar.
        pub marks: Vec<super::MarkView>,
        /// Beats, for the picture.
        pub beats: usize,
    }
}
