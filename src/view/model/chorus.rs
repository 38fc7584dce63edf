//! What the chorus screen shows.

use super::{BarView, ChoiceView, ClothView, MarkView, PlaceView};
use serde::Serialize;

view_models! {
    /// The chorus screen.
    pub struct ChorusView {
        /// The chorus's id, or nothing where none has been begun.
        pub id: String,
        /// The same as commands about practising take it.
        pub subject: String,
        /// Its name as it was written; may be empty.
        pub name: String,
        /// Its name, or a stand-in such as "Chorus with Porch light".
        pub title: String,
        /// Every chorus that is kept; the value is its id.
        pub choruses: Vec<ChoiceView>,
        /// "6 riffs placed, two ideas".
        pub summary: String,
        /// That a suggestion is on the lines and one's own chorus waits; empty while it does not.
        pub trying: String,
        /// The one thing to do first, for an empty chorus; else empty.
        pub hint: String,
        /// How often the form is played.
        pub times: usize,
        /// The most that it can be.
        pub most_times: usize,
        /// Bars in one time through.
        pub bars: usize,
        /// Every line of every time, in order.
        pub lines: Vec<ChorusLineView>,
        /// Every chord of all times, for "next: C7 in 2 beats".
        pub places: Vec<PlaceView>,
        /// The bar where the next riff goes, from 0 through all times.
        pub bar: usize,
        /// "bar 5", with the time where there are several.
        pub bar_text: String,
        /// What can be looped; values as in the tune's list, bars counted through all times.
        pub loops: Vec<ChoiceView>,
        /// "all of it".
        pub loop_text: String,
        /// The chosen placement.
        pub chosen: Option<ChosenView>,
        /// How it hangs together.
        pub together: Vec<String>,
        /// What cannot be played as it stands.
        pub warnings: Vec<String>,
        /// Height, density and loudness over the form.
        pub arc: ArcView,
        /// Riffs of the notebook to put in.
        pub riffs: Vec<ChorusRiffView>,
        /// What is typed to find riffs.
        pub find: String,
        /// "4 riffs", "8 of 30 riffs".
        pub riffs_text: String,
        /// Suggestions.
        pub ask: AskView,
    }

    /// Four bars (the last line may have fewer), and the riffs woven under them.
    pub struct ChorusLineView {
        /// The time through, from 0.
        pub time: usize,
        /// Its first bar, from 0 through all times.
        pub first: usize,
        /// The bars, numbered within the form; marks tell their placement in `begun`.
        pub bars: Vec<BarView>,
        /// The riffs, or the parts of them that lie in this line.
        pub bands: Vec<WovenView>,
        /// From one riff to the next, where there is room to say it.
        pub joins: Vec<JoinView>,
        /// "line 2".
        pub label: String,
    }

    /// A riff under a line, or the part of it that lies there. Fractions are of the line's width.
    pub struct WovenView {
        /// The placement, by index.
        pub index: usize,
        /// Where it begins.
        pub at: f64,
        /// How wide it is.
        pub length: f64,
        /// Its riff's name; only where it begins.
        pub name: String,
        /// What is changed, in a word or two; only where it begins.
        pub change: String,
        /// Which dye, 0 to 4.
        pub dye: usize,
        /// Whether the riff begins here, or goes on from the line before.
        pub begins: bool,
        /// Whether it ends here.
        pub ends: bool,
        /// Whether it is the chosen one.
        pub chosen: bool,
        /// Whether suggestions leave it as it is.
        pub stays: bool,
        /// Whether it overlaps another.
        pub clashes: bool,
        /// Where its notes lie: the cloth is dense there, loose in the rests.
        pub threads: Vec<SoundView>,
        /// What a screen reader says.
        pub label: String,
    }

    /// A stretch of sound in a band; fractions are of the band's width.
    pub struct SoundView {
        /// Where it begins.
        pub at: f64,
        /// How long it is.
        pub length: f64,
    }

    /// From one riff to the next; fractions are of the line's width.
    pub struct JoinView {
        /// Where the silence begins.
        pub at: f64,
        /// How wide it is.
        pub length: f64,
        /// "↓ fifth".
        pub text: String,
        /// Whether the leap is wider than a fifth.
        pub far: bool,
    }

    /// The chosen placement.
    pub struct ChosenView {
        /// Which, by index.
        pub index: usize,
        /// Its riff's name.
        pub name: String,
        /// "From bar 5, beat 1, to bar 6, beat 2."
        pub place: String,
        /// What is changed, in a sentence or two a change.
        pub change: String,
        /// How many changes there are.
        pub changes: usize,
        /// Ways to change it; the last one made is chosen, and the first is as it was.
        pub ways: Vec<ChoiceView>,
        /// The try after this one.
        pub next_try: u32,
        /// Whether the next try is another.
        pub has_more: bool,
        /// How the riff before leads here, and this one on.
        pub joins: Vec<String>,
        /// Whether suggestions leave it as it is.
        pub stays: bool,
        /// The notebook has the riff otherwise by now: what to say, else empty.
        pub behind: String,
    }

    /// The choruses that are kept, in the notebook.
    pub struct ChorusesView {
        /// Newest first.
        pub cards: Vec<ChorusCardView>,
    }

    /// A chorus in the notebook.
    pub struct ChorusCardView {
        /// Its id.
        pub id: String,
        /// Its name, or a stand-in.
        pub name: String,
        /// "6 riffs placed, two ideas".
        pub summary: String,
        /// What it looks like woven.
        pub cloth: ClothView,
        /// Whether it is the one that is worked on.
        pub chosen: bool,
        /// How well it is known.
        pub standing: String,
        /// Whether there is something to look back on.
        pub practised: bool,
        /// As commands about practising take it.
        pub subject: String,
        /// The labels on it.
        pub labels: Vec<String>,
    }

    /// The arc of a chorus, bar by bar.
    pub struct ArcView {
        /// The bars.
        pub bars: Vec<ArcBarView>,
        /// The same in words.
        pub text: String,
    }

    /// One bar of the arc; fractions from 0 to 1.
    pub struct ArcBarView {
        /// The mean height of its notes; none where it has no note.
        pub height: Option<f64>,
        /// How many notes begin in it, of the most in any bar.
        pub density: f64,
        /// How much of it is accented.
        pub loudness: f64,
    }

    /// A riff of the notebook beside the chorus.
    pub struct ChorusRiffView {
        /// Its id.
        pub id: String,
        /// Its name.
        pub name: String,
        /// "6 beats, 5 notes".
        pub summary: String,
        /// Its notes in small.
        pub marks: Vec<MarkView>,
        /// How many beats it has.
        pub beats: usize,
        /// Whether suggestions are made from it.
        pub asked: bool,
        /// Which dye, 0 to 4.
        pub dye: usize,
        /// "Put it here: Porch light in bar 5".
        pub put_text: String,
    }

    /// Suggestions, and what they are asked for with.
    pub struct AskView {
        /// Whether they are being looked at.
        pub open: bool,
        /// How adventurous.
        pub adventures: Vec<ChoiceView>,
        /// How much room.
        pub rooms: Vec<ChoiceView>,
        /// What was suggested, best first.
        pub ideas: Vec<SuggestedView>,
        /// Which of them lies on the lines, or none.
        pub shown: Option<usize>,
        /// The number of the question that is being looked into; 0 while none is.
        pub looking: u32,
        /// How far was looked, where that was not at everything: "There was too much to try it all …"; else empty.
        pub looked_text: String,
        /// How many placements stay as they are: "1 riff stays as it is", or empty.
        pub stays_text: String,
    }

    /// One suggestion.
    pub struct SuggestedView {
        /// "Idea 1".
        pub title: String,
        /// Why this one.
        pub reasons: Vec<String>,
        /// The riffs of each line of the form in small, line by line.
        pub lines: Vec<IdeaLineView>,
    }

    /// A line of a suggestion in small.
    pub struct IdeaLineView {
        /// Its notes.
        pub notes: Vec<IdeaNoteView>,
    }

    /// A note of a suggestion in small; fractions of the line's width.
    pub struct IdeaNoteView {
        /// Where it begins.
        pub at: f64,
        /// How wide it is.
        pub length: f64,
        /// How high it is: 0 the lowest note of the suggestion, 1 the highest.
        pub height: f64,
        /// Which dye.
        pub dye: usize,
    }
}
