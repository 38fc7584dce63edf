//! What a command did, or why it was not done.

use std::fmt;

use crate::chorus::{kept, suggest};
use crate::files::link;
use crate::riff::{edit as riff_edit, variation};
use crate::rooms::Room;
use crate::theory::key::{Key, NotAKey};

/// What a command did, beyond what the document shows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Done {
    /// Nothing more to say.
    Quietly,
    /// Notes beyond the riff's end are gone.
    Dropped {
        /// How many.
        notes: usize,
    },
    /// Riffs were thrown away; undo brings them back.
    Deleted {
        /// The name of the last of them.
        name: String,
        /// How many.
        riffs: usize,
    },
    /// A riff is as it was before; undo brings the other one back.
    TakenBack {
        /// Its name.
        name: String,
    },
    /// The riff on the desk, or the chorus, stands in another key than the tune's.
    InAnotherKey {
        /// Its name.
        name: String,
        /// Whether it is a chorus.
        chorus: bool,
        /// The key that it stands in, as the player reads it.
        from: Key,
        /// The tune's key, as the player reads it.
        to: Key,
    },
    /// The riff on the desk, or the chorus, was moved to the tune's key.
    Moved {
        /// Its name.
        name: String,
        /// Whether it is a chorus.
        chorus: bool,
        /// The key, as the player reads it.
        to: Key,
    },
    /// A link's riff, or the demo riff, was added.
    Added {
        /// Its name.
        name: String,
        /// The tune that came with it, where it took the place of another one.
        tune: Option<Brought>,
    },
    /// A variation was kept as a new riff.
    Kept {
        /// Its name.
        name: String,
    },
    /// A chorus was thrown away; undo brings it back.
    ChorusDeleted {
        /// Its name.
        name: String,
    },
    /// A link's chorus was added.
    ChorusAdded {
        /// Its name.
        name: String,
        /// How many of its riffs came with it.
        riffs: usize,
        /// The tune that came with it, where it took the place of another one.
        tune: Option<Brought>,
    },
    /// Several riffs of a link, or those of a lesson, were added; how many of them were not here yet.
    SeveralAdded {
        /// The lesson's title; empty where they came from a link of riffs.
        lesson: String,
        /// How many.
        riffs: usize,
        /// The tune that came with them, where it took the place of another one.
        tune: Option<Brought>,
    },
    /// The tune of a link that holds nothing else was put on the desk.
    TuneBrought {
        /// It, where it took the place of another one.
        tune: Option<Brought>,
    },
    /// The link holds a lesson or an answer: it is looked at, and nothing is added yet.
    ForClass,
    /// A placement was taken out of the chorus; undo brings it back.
    TakenOut {
        /// Its riff's name.
        name: String,
    },
    /// Everything was taken out of the chorus; undo brings it back.
    Cleared,
    /// A time through the form went, with what was begun in it; undo brings it back.
    TimesGone {
        /// How many placements.
        riffs: usize,
    },
    /// Of the line that was copied, some did not fit.
    LeftOut {
        /// How many placements.
        riffs: usize,
    },
    /// A suggestion took the place of what was there; undo brings that back.
    Taken,
    /// There was nothing to undo or redo.
    NothingThere,
}

/// A tune that came with a riff or a chorus.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Brought {
    /// Its key, as the player reads it.
    pub key: Key,
    /// Its tempo, in whole beats a minute.
    pub bpm: u32,
}

/// Why a command was not done.
#[derive(Clone, Debug, PartialEq)]
pub enum Refusal {
    /// The text is no key.
    Key(NotAKey),
    /// The text is no form and no chart.
    Form {
        /// Why.
        error: crate::form::text::Error,
        /// Whether it would be nearer to one with capitals: see `Command::UseCapitals`.
        is_meant: bool,
    },
    /// A name that the tune does not know, such as a feel or an instrument.
    UnknownName {
        /// What was asked for.
        found: String,
    },
    /// A tempo outside what can be played.
    Tempo {
        /// What was asked for.
        found: f64,
    },
    /// A level beyond what a part, or everything, can have.
    Level {
        /// What was asked for, in decibels.
        found: i32,
    },
    /// A riff id that does not read or is not in the notebook.
    NoSuchRiff {
        /// What was asked for.
        found: String,
    },
    /// The notebook is full.
    Full {
        /// How many riffs it holds.
        most: usize,
    },
    /// The riff cannot be edited so.
    Edit(riff_edit::Error),
    /// The cursor stands at the end of the riff.
    AtTheEnd,
    /// There is no note to act on.
    NoNote,
    /// Moved there, the riff has notes that nothing can play.
    TooFar,
    /// A bar that the form does not have.
    NoSuchBar {
        /// Counted from 1.
        found: usize,
        /// How many there are.
        bars: usize,
    },
    /// The link does not read.
    Link(link::Error),
    /// The riff cannot be varied so.
    Vary(variation::Error),
    /// There is no variation to look at or to keep.
    NothingVaried,
    /// The riff waits while a variation of it is being tried.
    BeingVaried,
    /// A chorus id that does not read, is not there, or is there already.
    NoSuchChorus {
        /// What was asked for.
        found: String,
    },
    /// There are as many choruses as are kept.
    TooManyChoruses {
        /// How many that is.
        most: usize,
    },
    /// A line of the form that the chorus does not have.
    NoSuchLine {
        /// Counted from 1.
        found: usize,
        /// How many there are.
        lines: usize,
    },
    /// The chorus cannot be changed so.
    Chorus(kept::Error),
    /// Nothing can be suggested.
    Suggest(suggest::Error),
    /// No riff is chosen to make suggestions from.
    NoRiffAsked,
    /// There is no such suggestion.
    NothingSuggested,
    /// The code for it is not here yet; once the room is open, the same command is done.
    NotHere(Room),
    /// There is no lesson that was opened.
    NoLesson,
    /// Nothing was played in, or nothing that could be read so.
    NothingPlayed,
    /// A riff or a chorus has as many labels as it can have.
    ManyLabels,
    /// There is no such earlier version.
    NoSuchVersion,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refusal::Key(error) => error.fmt(f),
            Refusal::Form { error, .. } => error.fmt(f),
            Refusal::UnknownName { found } => write!(f, "“{found}” is not a name that the tune knows"),
            Refusal::Tempo { found } => {
                write!(f, "{found} is not a tempo: expected 20 to 400 quarters a minute")
            }
            Refusal::Level { found } => write!(f, "{found} decibels is louder or softer than it goes"),
            Refusal::NoSuchRiff { .. } => write!(f, "this riff is not in the notebook any more"),
            Refusal::Full { most } => write!(f, "the notebook is full: it holds {most} riffs"),
            Refusal::Edit(error) => error.fmt(f),
            Refusal::AtTheEnd => write!(f, "the riff ends here: make it longer to write on"),
            Refusal::NoNote => write!(f, "there is no note here yet"),
            Refusal::TooFar => write!(f, "there the riff would be too high or too low to be played"),
            Refusal::NoSuchBar { found, bars } => write!(f, "there is no bar {found}: the form has {bars}"),
            Refusal::Link(error) => error.fmt(f),
            Refusal::Vary(error) => error.fmt(f),
            Refusal::NothingVaried => write!(f, "there is no variation here yet"),
            Refusal::BeingVaried => write!(f, "keep the new one or go back first, then change it"),
            Refusal::NoSuchChorus { .. } => write!(f, "this chorus is not in the notebook any more"),
            Refusal::TooManyChoruses { most } => write!(f, "the notebook is full: it holds {most} choruses"),
            Refusal::NoSuchLine { found, lines } => {
                write!(f, "there is no line {found}: the chorus has {lines}")
            }
            Refusal::Chorus(error) => error.fmt(f),
            Refusal::Suggest(error) => error.fmt(f),
            Refusal::NoRiffAsked => write!(f, "choose a riff or two first: suggestions are made from those"),
            Refusal::NotHere(_) => write!(f, "this is still on its way: try again in a moment"),
            Refusal::NothingSuggested => write!(f, "there is no such suggestion any more: ask again"),
            Refusal::NoLesson => write!(f, "there is no lesson here: open its link once more"),
            Refusal::ManyLabels => write!(f, "one of them has all the labels that it can have"),
            Refusal::NoSuchVersion => write!(f, "this version is not kept any more"),
            Refusal::NothingPlayed => {
                write!(f, "nothing was heard: play keys here, by letters or MIDI, or turn the microphone on")
            }
        }
    }
}

impl std::error::Error for Refusal {}

impl Refusal {
    /// A name that is not known, cut where it is long.
    pub(super) fn unknown(name: &str) -> Refusal {
        Refusal::UnknownName { found: name.chars().take(40).collect() }
    }
}
