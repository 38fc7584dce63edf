//! The view-models of the Practice screen.

use serde::Serialize;

use crate::view::model::{BeatView, ChoiceView, NumberView, TokenView};

view_models! {
    /// The Practice screen, beside the form and the keys.
    pub struct PracticeView {
        /// Whether a run is going on.
        pub running: bool,
        /// Whether someone taps along to clicks.
        pub tapping: bool,
        /// Whether there is something to practise.
        pub can_start: bool,
        /// What is missing where nothing can be practised, or what to do while tapping along; else empty.
        pub hint: String,
        /// What is in sight: `all`, `chords` or `nothing`.
        pub sight: String,
        /// The only bar of the form that is played, index from 0; −1 where more are.
        pub bar: i32,
        /// Whether the rhythm alone is asked for, so that the pad is tapped.
        pub taps: bool,
        /// The setting as a sentence, part by part.
        pub parts: Vec<PartView>,
        /// The same in a few words: "Porch light · steady at 92".
        pub brief: String,
        /// Whether the numbers lie open.
        pub numbers: bool,
        /// What to expect, for who has not played a time through yet.
        pub first: String,
        /// What was said of the last time through; none before the first.
        pub after: Option<AfterView>,
        /// What is known of the device's delay.
        pub delay: DelayView,
        /// A suggestion to rest, else empty.
        pub rest: String,
        /// The drill that is chosen in place of a riff over and over.
        pub drill: Option<DrillView>,
    }

    /// The chorus that is to be played, riff by riff.
    pub struct ToPlayView {
        /// The riffs in the order of time.
        pub phrases: Vec<PhraseView>,
    }

    /// A riff to be played, where it stands.
    pub struct PhraseView {
        /// Its name, and where it stands in a chorus: "Porch light, a fourth higher · bar 5".
        pub title: String,
        /// What comes after it: "then Ferry bell · bar 7"; nothing where it is alone.
        pub then: String,
        /// The first bar of the form in which it sounds, index from 0.
        pub bar: usize,
        /// The first bar after it.
        pub until: usize,
        /// The beats under its notes.
        pub beats: Vec<BeatView>,
        /// Its notes.
        pub tokens: Vec<TokenView>,
        /// Where it ends, as a fraction of the width.
        pub ends_at: f64,
        /// The spot of the chorus that it has, index from 0.
        pub spot: usize,
    }

    /// A drill.
    pub struct DrillView {
        /// "Echo".
        pub name: String,
        /// What happens in it.
        pub line: String,
        /// Whether it is going on.
        pub going: bool,
        /// The turns that are known, in order; none before it begins.
        pub turns: Vec<DrillTurnView>,
        /// What came of the last answer, or nothing.
        pub said: String,
        /// Answers so far: another number is another answer.
        pub number: u32,
        /// Whether the notes of a turn can be shown on request.
        pub can_reveal: bool,
        /// How many bars there are to choose from, where the place is to be found; else 0.
        pub places: usize,
    }

    /// One turn of a drill.
    pub struct DrillTurnView {
        /// When it begins, in seconds on the audio clock.
        pub at: f64,
        /// When it ends.
        pub until: f64,
        /// `band`, `you`, or empty for nobody.
        pub who: String,
        /// "Your turn".
        pub text: String,
        /// Whether it is said to a screen reader: what is called for, and nothing over a cue by its sound.
        pub aloud: bool,
        /// Its bars in the form, indices from 0.
        pub bars: Vec<usize>,
        /// Times through the form before it.
        pub round: u32,
        /// The notes that are asked for, by name, for who asks to see them; else empty.
        pub notes: String,
    }

    /// One part of the sentence, and what it can be.
    pub struct PartView {
        /// What it is called: "Click".
        pub title: String,
        /// The words before it.
        pub before: String,
        /// The part itself: "on 2 and 4".
        pub text: String,
        /// What can be chosen.
        pub groups: Vec<GroupView>,
        /// What can be counted up and down.
        pub steppers: Vec<StepperView>,
    }

    /// Choices of which one holds.
    pub struct GroupView {
        /// What the command sets.
        pub what: String,
        /// A heading, or nothing where the part has but one group.
        pub title: String,
        /// The choices.
        pub choices: Vec<ChoiceView>,
    }

    /// A number that is counted up and down.
    pub struct StepperView {
        /// What the command sets.
        pub what: String,
        /// What it is called.
        pub title: String,
        /// The number.
        pub value: f64,
        /// The smallest.
        pub least: f64,
        /// The largest.
        pub most: f64,
        /// From one press to the next.
        pub step: f64,
    }

    /// After a time through.
    pub struct AfterView {
        /// Which it is, counted from the opening of the page: a new number is a new time through.
        pub number: u32,
        /// "That time through".
        pub title: String,
        /// Two sentences, or one where nothing is to be said of notes and timing.
        pub said: Vec<String>,
        /// One thing to try, or nothing.
        pub to_try: String,
        /// What comes next in a run from slow to fast, or nothing.
        pub next: String,
        /// The tempo of "a little faster", where that is offered; else 0.
        pub faster: f64,
        /// What a screen reader says, once.
        pub spoken: String,
        /// Whether there is something to hear again.
        pub can_replay: bool,
        /// What it is called to hear oneself with what was asked for: "Yourself and the riff".
        pub both: String,
        /// The numbers; none where they are not wanted.
        pub timing: Option<TimingView>,
    }

    /// The numbers of a time through.
    pub struct TimingView {
        /// The figures.
        pub rows: Vec<NumberView>,
        /// A stick for each note that was asked for.
        pub strip: Vec<StickView>,
        /// What the strip's half height stands for: "120 ms".
        pub scale: String,
        /// What the picture says, for who does not see it.
        pub label: String,
        /// How near counts as in time, and why.
        pub window: String,
        /// How much room there is.
        pub rooms: Vec<ChoiceView>,
        /// One row a note.
        pub table: Vec<TimingRowView>,
    }

    /// A note on the strip of early and late.
    pub struct StickView {
        /// Where, as a fraction of the time through.
        pub at: f64,
        /// How late, as a fraction of half the height: below 0 is early and drawn upwards.
        pub late: f64,
        /// Its name.
        pub name: String,
        /// `right`, `elsewhere` (another pitch) or `left-out`.
        pub kind: String,
    }

    /// A row of the table of notes.
    pub struct TimingRowView {
        /// "bar 3, beat 2 and".
        pub place: String,
        /// The note that was asked for, or nothing for one too many.
        pub asked: String,
        /// The note that was played, or nothing where it was left out.
        pub played: String,
        /// "12 ms late", "left out", "one too many".
        pub text: String,
    }

    /// What is known of the device's delay.
    pub struct DelayView {
        /// Whether it is known.
        pub known: bool,
        /// The delay in seconds, to be kept; 0 where it is not known.
        pub seconds: f64,
        /// How far from it the truth may lie, in seconds, to be kept.
        pub give_or_take: f64,
        /// What it means for what is said.
        pub text: String,
        /// How sure it is, or why none was found.
        pub sure: String,
        /// A warning, or nothing.
        pub warning: String,
        /// What the button says.
        pub button: String,
        /// How far tapping along has come, "4 of 16 taps"; nothing where nobody taps along.
        pub progress: String,
        /// What came of tapping along, for a screen reader, once it is over; else nothing.
        pub spoken: String,
    }
}
