//! What the panel "Who plays" shows.

use serde::Serialize;

use super::ChoiceView;

view_models! {
    /// The band: who plays, how, and how loud.
    pub struct BandView {
        /// One row for each part.
        pub parts: Vec<BandPartView>,
        /// How loud everything is.
        pub master: LevelView,
        /// What a page cannot know about loudness.
        pub caution: String,
        /// What else can be set, in groups.
        pub groups: Vec<SettingGroupView>,
        /// "take 3": which of the band's ways through the form it is.
        pub take_text: String,
    }

    /// A part of the band.
    pub struct BandPartView {
        /// What the command takes: "drums".
        pub part: String,
        /// What a person reads: "drums".
        pub title: String,
        /// Whether it plays.
        pub on: bool,
        /// How it plays, or what plays it.
        pub style: SettingView,
        /// How loud it is.
        pub level: LevelView,
    }

    /// How loud something is, for a slider.
    pub struct LevelView {
        /// Decibels beside the mix, or below the loudest.
        pub decibels: i32,
        /// The softest on offer.
        pub least: i32,
        /// The loudest on offer.
        pub most: i32,
        /// "a little softer".
        pub text: String,
        /// The same in a word, of three; values are decibels.
        pub words: Vec<ChoiceView>,
    }

    /// Settings that belong together.
    pub struct SettingGroupView {
        /// "In time".
        pub title: String,
        /// The settings.
        pub settings: Vec<SettingView>,
    }

    /// One thing that can be set.
    pub struct SettingView {
        /// What the command takes: "busyness".
        pub what: String,
        /// What a person reads: "How much is played".
        pub title: String,
        /// What it can be.
        pub choices: Vec<ChoiceView>,
        /// Silent bars alone: after how many bars with click. The command takes both with a hyphen between, "3-1", or
        /// "none".
        pub after: Vec<ChoiceView>,
        /// A few words about what is chosen.
        pub hint: String,
    }
}
