//! A lesson on paper.

use super::*;

view_models! {
    /// A lesson on paper: for learners, and for a teacher who is no musician.
    pub struct LessonSheetView {
        /// Its title.
        pub title: String,
        /// The tune.
        pub ground: String,
        /// The teacher's own words; empty where there are none.
        pub words: String,
        /// "I can" statements.
        pub can: Vec<String>,
        /// The steps, in order.
        pub steps: Vec<LessonStepView>,
        /// What is asked, a row for each group; one without a name where there is only one.
        pub tiers: Vec<NamedView>,
        /// That the lesson is locked, or free.
        pub locked: String,
        /// The models.
        pub riffs: Vec<LessonRiffView>,
        /// What is played on which bar, four bars a line: the chords of each.
        pub lines: Vec<Vec<String>>,
        /// Every chord of the form once, with its notes.
        pub chords: Vec<SheetChordView>,
        /// How many empty bars there are to write in at most.
        pub empty_bars: usize,
        /// What stands after `#` in the lesson's link.
        pub link: String,
        /// What a teacher reads who is no musician.
        pub cover: CoverView,
    }

    /// A step on paper.
    pub struct LessonStepView {
        /// "Clap it".
        pub title: String,
        /// What is to be done.
        pub say: String,
        /// More about it.
        pub more: String,
    }

    /// A name, and what belongs to it.
    pub struct NamedView {
        /// The name; may be empty.
        pub name: String,
        /// The text.
        pub text: String,
    }

    /// A model on paper.
    pub struct LessonRiffView {
        /// Its name.
        pub name: String,
        /// It on the staff.
        pub staff: StaffView,
        /// It as a strip.
        pub strip: Option<PhraseView>,
    }

    /// How somebody who is no musician leads a lesson.
    pub struct CoverView {
        /// What is good to know before, sentence by sentence.
        pub before: Vec<String>,
        /// The minutes.
        pub plan: Vec<CoverRowView>,
        /// Words of the trade that the page uses, and what they mean.
        pub words: Vec<NamedView>,
        /// What may go wrong, and what to do then.
        pub trouble: Vec<NamedView>,
        /// What is left for the class's own teacher to read: a line to write on each.
        pub back: Vec<String>,
    }

    /// Some minutes of a lesson.
    pub struct CoverRowView {
        /// "4 to 8".
        pub when: String,
        /// The step.
        pub title: String,
        /// What learners do.
        pub they: String,
        /// What the teacher does.
        pub you: String,
    }
}
