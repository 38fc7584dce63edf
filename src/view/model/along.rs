//! The view-models of what the page follows while something plays.

use serde::Serialize;

use crate::view::model::{KeysView, NeckView, TokenView, WordsView};

view_models! {
    /// What sounds, from now to the horizon: lists that ascend in time, all by the audio clock in seconds.
    pub struct AlongView {
        /// Where playing stands in the bar.
        pub positions: Vec<PositionView>,
        /// On which chord of the form.
        pub scenes: Vec<SceneView>,
        /// In which time of the riff.
        pub riff: Vec<TimeOfRiffView>,
        /// The solo's notes; those that are over are told of a little longer.
        pub notes: Vec<LightView>,
    }

    /// Where playing stands, for drawing between ticks: ascending instants of the audio clock.
    pub struct PositionView {
        /// Seconds on the audio clock.
        pub time: f64,
        /// The bar, index from 0; −1 during the count-in.
        pub bar: i32,
        /// Fraction of the bar at that instant.
        pub fraction: f64,
        /// Fractions of the bar a second.
        pub speed: f64,
        /// Beats in the bar.
        pub beats: u8,
    }

    /// From `time` on this chord of the form sounds, or is counted to.
    pub struct SceneView {
        /// Seconds on the audio clock.
        pub time: f64,
        /// Which.
        pub here: OnFormView,
        /// The other chord that comes next, during the last beat before it.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub coming: Option<OnFormView>,
    }

    /// A chord of the form as it is played.
    pub struct OnFormView {
        /// The bar, index from 0.
        pub bar: usize,
        /// The chord, among those of its bar.
        pub chord: usize,
        /// Whether this bar is the very last, which ends on the home chord.
        pub closes: bool,
    }

    /// From `time` on the riff is played, or asked for, once more.
    pub struct TimeOfRiffView {
        /// Seconds on the audio clock.
        pub time: f64,
        /// How far behind the bar line that the riff belongs to, in quarters; before it below zero.
        pub quarters: f64,
        /// Quarters a second.
        pub speed: f64,
        /// The bar of the form with that bar line, index from 0.
        pub begun: usize,
    }

    /// A note that sounds.
    pub struct LightView {
        /// Its own number while something plays.
        pub id: f64,
        /// When it begins, in seconds on the audio clock.
        pub time: f64,
        /// When it ends.
        pub until: f64,
        /// Until when its key is lit: a little longer where the same note follows at once, so that nothing flashes.
        pub key_until: f64,
        /// What sounds.
        pub midi: u8,
        /// The riff's note, by index; −1 for what is of no riff.
        pub note: i32,
        /// The bar of the form in which this time of the riff was begun, or the spot in a chorus, index from 0; −1 for
        /// what is of no riff.
        pub begun: i32,
    }

    /// Keys and neck while a chord sounds.
    pub struct OverChordView {
        /// The keyboard.
        pub keys: KeysView,
        /// The neck, for players of fretted instruments.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub neck: Option<NeckView>,
        /// The keys and places that sound a tone of the chord: MIDI notes.
        pub tones: Vec<u8>,
        /// What a screen reader says: "C seven".
        pub spoken: String,
    }

    /// The riff and the words about it while a bar sounds.
    pub struct InBarView {
        /// The notes with their roles in this time of the riff.
        pub tokens: Vec<TokenView>,
        /// About the notes in the bar.
        pub words: WordsView,
    }
}
