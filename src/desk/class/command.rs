//! What can be done in a class.

use serde::Deserialize;

/// One thing that is done in a class. A lesson or an answer is told by its id, 16 hexadecimal digits.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", rename_all_fields = "camelCase")]
#[cfg_attr(target_arch = "wasm32", derive(tsify::Tsify))]
pub enum ClassCommand {
    /// Nothing: only to see how it stands.
    Look,
    /// Nothing: only to see how the riff on the desk stands beside the lesson on which a learner works.
    Follow,
    /// Make a lesson, or another one of the one with this id, from the tune on the desk and riffs of the notebook; where
    /// no riff is named, the models and the tune that it had stay.
    Make {
        /// Its id.
        id: String,
        /// What it is called.
        title: String,
        /// The teacher's own words.
        words: String,
        /// "I can" statements; empty ones are left out.
        can: Vec<String>,
        /// Names of steps.
        steps: Vec<String>,
        /// Whether only a riff within the limits can be handed in.
        locked: bool,
        /// Groups of limits.
        tiers: Vec<TierSaid>,
        /// The ids of riffs in the notebook.
        riffs: Vec<String>,
    },
    /// Make one link of several riffs of the notebook.
    Several {
        /// Their ids.
        riffs: Vec<String>,
    },
    /// Make a link of the tune alone.
    TuneLink,
    /// Look at what a link holds, of which nothing is added.
    LookAt {
        /// The link.
        text: String,
    },
    /// Look at the answers to this lesson.
    Choose {
        /// Its id; empty for all answers.
        id: String,
    },
    /// Take in answers and lessons from links.
    Paste {
        /// The links, one a line or among other words.
        text: String,
        /// From which ids are made.
        id: String,
        /// Whether they stand among other words, as in a mail: a line without a link is then nothing to be told.
        among_words: bool,
    },
    /// Show a lesson with made-up answers instead of what is kept, or what is kept again. None of it is ever written.
    Example {
        /// Show it.
        on: bool,
    },
    /// Put away what a link held.
    Close,
    /// Go to a step of the lesson on which a learner works.
    Work {
        /// From 0.
        step: usize,
    },
    /// Choose a group of limits.
    ChooseTier {
        /// From 0.
        tier: usize,
    },
    /// Work on the lesson no longer, or end what goes from seat to seat; all of it stays.
    Leave,
    /// Let the riff of a lesson or an answer go from seat to seat here: of what is kept under this id, or of the answer
    /// that was opened, which is kept under it then. [`TakeLesson`](crate::desk::command::Command::TakeLesson) lays it on the desk.
    Relay {
        /// Its id.
        id: String,
    },
    /// Put what this seat made of the riff on the board, and take it to the next seat.
    PassOn {
        /// A made-up name or a seat number.
        who: String,
        /// The id of the answer.
        id: String,
    },
    /// Make an answer of the riff on the desk.
    HandIn {
        /// A made-up name or a seat number.
        who: String,
        /// Ticked statements, a bit each.
        can: u8,
    },
    /// Put a mark on an answer, or take it off.
    Mark {
        /// Its id.
        id: String,
        /// Which mark, from 0.
        mark: u8,
        /// On or off.
        on: bool,
    },
    /// Take a lesson or an answer out.
    Delete {
        /// Its id.
        id: String,
    },
    /// Bring back what was deleted, or take back what came in.
    Undo,
    /// Say who plays what while one plays alone.
    Rota {
        /// How many seats there are, or their names, see [`crate::notebook::rota::seats`].
        seats: String,
        /// The names of parts that accompany, see [`crate::notation::Backing::name`].
        plays: Vec<String>,
    },
    /// What became of the camera: `on`, `off`, or the browser's name for what went wrong.
    Camera {
        /// The name.
        state: String,
    },
    /// No code was found in a picture that was opened.
    NoCode,
    /// Show names on the board, or numbers.
    ShowNames {
        /// Names.
        on: bool,
    },
    /// Play: `turns`, `chorus`, `family`, `model` with its place from 0 (the riff of an answer that was opened, too), or an
    /// answer's id.
    Play {
        /// What.
        what: String,
    },
}

/// A group of limits as the page says it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "camelCase")]
#[cfg_attr(target_arch = "wasm32", derive(tsify::Tsify))]
pub struct TierSaid {
    /// The most beats; 0 for any.
    pub beats: u8,
    /// The fewest beats without a note.
    pub space: u8,
    /// The name of the notes to use.
    pub notes: String,
}
