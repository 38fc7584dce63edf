//! Lessons, and what came back.

use serde::Serialize;

use crate::view::model::{ChoiceView, MarkView};

view_models! {
    /// All that the class part shows.
    pub struct ClassView {
        /// What came of the last press; empty where there is nothing to say.
        pub told: String,
        /// What was pasted last and does not read, one a line.
        pub unread: String,
        /// What a link held that was opened, before anything of it is added.
        pub opened: Option<OpenedView>,
        /// What the link holds that was looked at.
        pub seen: Option<OpenedView>,
        /// The lesson on which a learner works.
        pub work: Option<WorkView>,
        /// The lessons that are kept, in the order in which they came.
        pub lessons: Vec<LessonRow>,
        /// Whether the board shows the example, of which nothing is kept.
        pub example: bool,
        /// The answers.
        pub board: BoardView,
        /// What stands after `#` in the link that was made last; empty where none was.
        pub made: String,
        /// Whether what `told` says can be taken back.
        pub can_undo: bool,
        /// What a lesson may ask for.
        pub choices: LessonChoices,
        /// Who plays what while one plays alone.
        pub rota: RotaView,
        /// The ids of records to be written.
        pub save: Vec<String>,
        /// The ids of records to be forgotten.
        pub forget: Vec<String>,
        /// When each turn begins on the audio clock, in seconds, and when the last ends; empty where none plays.
        pub turns: Vec<f64>,
        /// The ids of the answers in turn.
        pub turn_ids: Vec<String>,
    }

    /// Who plays what while one plays alone.
    pub struct RotaView {
        /// What to do, or what a turn is.
        pub told: String,
        /// What each part is called, of those that accompany.
        pub parts: Vec<String>,
        /// Turn by turn; empty where nothing was asked for, or it cannot be.
        pub turns: Vec<RotaRow>,
        /// All parts that accompany.
        pub choices: Vec<ChoiceView>,
    }

    /// One turn.
    pub struct RotaRow {
        /// Who plays alone.
        pub solo: String,
        /// Who plays each part.
        pub plays: Vec<String>,
    }

    /// What a lesson may ask for, for its form.
    pub struct LessonChoices {
        /// Steps.
        pub steps: Vec<ChoiceView>,
        /// Notes to use.
        pub notes: Vec<ChoiceView>,
        /// Riffs of the notebook that have notes, newest first.
        pub riffs: Vec<ChoiceView>,
        /// The tune that the lesson would have.
        pub ground: String,
        /// The most beats of a riff.
        pub most_beats: usize,
        /// The most model riffs.
        pub most_models: usize,
        /// The most tiers.
        pub most_tiers: usize,
        /// The most characters of a title.
        pub most_title: usize,
        /// The most characters of the teacher's own words.
        pub most_words: usize,
        /// The most statements, and the characters of one.
        pub most_can: usize,
        /// The most characters of a statement.
        pub most_statement: usize,
        /// The most characters of a name.
        pub most_who: usize,
    }

    /// What a link holds, before it is added.
    pub struct OpenedView {
        /// Whether it is a lesson.
        pub lesson: bool,
        /// Whether it is a lesson or an answer, which a class looks at.
        pub for_class: bool,
        /// What the button says that adds it; empty for what is for a class.
        pub take: String,
        /// Whether all that it holds is in the notebook already.
        pub here: bool,
        /// Its title, or who answers.
        pub title: String,
        /// The tune.
        pub ground: String,
        /// What it holds, line by line.
        pub lines: Vec<String>,
        /// The teacher's own words; empty where there are none.
        pub words: String,
        /// "I can" statements.
        pub can: Vec<String>,
        /// Its riffs.
        pub riffs: Vec<ClassRiffView>,
        /// What stands after `#` in its link.
        pub link: String,
    }

    /// A riff with its cloth.
    pub struct ClassRiffView {
        /// Its name.
        pub name: String,
        /// Its notes, for its cloth.
        pub notes: Vec<MarkView>,
        /// How many beats it has.
        pub beats: usize,
    }

    /// A lesson that is kept.
    pub struct LessonRow {
        /// Its id.
        pub id: String,
        /// Its title.
        pub title: String,
        /// Its tune, and how many answers came.
        pub about: String,
        /// Whether its answers are looked at.
        pub chosen: bool,
        /// What stands after `#` in its link.
        pub link: String,
        /// All that its form holds, to be changed.
        pub form: LessonForm,
    }

    /// What was written into the form of a lesson.
    pub struct LessonForm {
        /// The title.
        pub title: String,
        /// The teacher's own words.
        pub words: String,
        /// Statements.
        pub can: Vec<String>,
        /// Names of steps.
        pub steps: Vec<String>,
        /// Whether it is locked.
        pub locked: bool,
        /// Groups of limits.
        pub tiers: Vec<TierForm>,
    }

    /// A group of limits in the form.
    pub struct TierForm {
        /// The most beats; 0 for any.
        pub beats: u8,
        /// The fewest free beats.
        pub space: u8,
        /// The name of the notes to use.
        pub notes: String,
    }

    /// The lesson on which a learner works.
    pub struct WorkView {
        /// Its title.
        pub title: String,
        /// Its steps.
        pub steps: Vec<ChoiceView>,
        /// The step that is on, from 0.
        pub step: usize,
        /// What is to be done now, in a sentence.
        pub say: String,
        /// More about it.
        pub hint: String,
        /// What is heard of the riff on the desk in this step; empty where nothing is to be said.
        pub heard: String,
        /// Whether that is as the step asks.
        pub good: bool,
        /// Whether the step asks for another riff on the desk: a copy of the model, or the model again.
        pub begins: bool,
        /// Whether the step writes: in the others keys only play, so that the model stays as it is.
        pub writes: bool,
        /// Whether the step is done by hearing the model.
        pub hears: bool,
        /// What is asked, and whether the riff on the desk is so.
        pub limits: Vec<LimitView>,
        /// That the lesson is locked, or free.
        pub locked: String,
        /// Groups of limits, where there are several.
        pub tiers: Vec<ChoiceView>,
        /// The teacher's own words.
        pub words: String,
        /// Statements to tick.
        pub can: Vec<String>,
        /// The name used last.
        pub who: String,
        /// The models' names.
        pub models: Vec<String>,
        /// Whether it is no lesson, but a riff that goes from seat to seat.
        pub passes: bool,
    }

    /// One thing that is asked, held against a riff.
    pub struct LimitView {
        /// "8 beats at most: 6".
        pub text: String,
        /// Whether it is so.
        pub kept: bool,
    }

    /// The answers.
    pub struct BoardView {
        /// Whose answers these are.
        pub title: String,
        /// Each answer, in the order in which it came.
        pub answers: Vec<AnswerView>,
        /// Whether names are shown.
        pub names: bool,
        /// How long all of them play, and what is left out.
        pub about: String,
        /// The answers as a table: comma-separated values.
        pub csv: String,
        /// The table's file name.
        pub file: String,
        /// What stands after `#` in a link to all answers as one chorus; empty where they are too many.
        pub chorus: String,
        /// The answers that came from one another, each after the one it came from; empty where none did.
        pub family: Vec<RelativeView>,
    }

    /// A model or an answer among those that came from one another.
    pub struct RelativeView {
        /// The answer's id; of a model 16 times 0.
        pub id: String,
        /// Who made it; its number where names are hidden.
        pub name: String,
        /// From whom it came: "from Seat 1"; empty at the beginning.
        pub from: String,
        /// What was changed, thing by thing.
        pub changed: Vec<String>,
        /// How many stand before it.
        pub depth: usize,
        /// Its notes, for its cloth.
        pub notes: Vec<MarkView>,
        /// How many beats it has.
        pub beats: usize,
    }

    /// An answer.
    pub struct AnswerView {
        /// Its id.
        pub id: String,
        /// Who answers: a made-up name, or its number where names are hidden.
        pub name: String,
        /// Its riff: "Porch light, 8 beats, 5 notes".
        pub about: String,
        /// Its notes, for its cloth.
        pub notes: Vec<MarkView>,
        /// How many beats it has.
        pub beats: usize,
        /// What was asked, held against it.
        pub limits: Vec<LimitView>,
        /// What the learner ticked.
        pub can: Vec<String>,
        /// The teacher's marks.
        pub marks: Vec<ChoiceView>,
    }
}
