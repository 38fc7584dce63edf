//! What a person looks at and points to. Not undone, not kept.

use std::rc::Rc;

use crate::band::settings::{self, name_of};
use crate::desk::vary::Varied;
use crate::notebook::tune::Tune;
use crate::perform::Part;
use crate::riff::RiffId;
use crate::theory::instrument::Instrument;
use crate::theory::key::Key;
use crate::units::Ticks;

/// A part of the page, of which one is shown at a time.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Place {
    /// The riff on the desk.
    #[default]
    Riff,
    /// The riff, to be played until it comes by itself.
    Practice,
    /// The chorus that is being built.
    Chorus,
    /// The notebook.
    Notebook,
    /// The form and the keys, and nothing to do but to play.
    Play,
}

impl Place {
    /// Every place with its name in data.
    pub const NAMES: [(Place, &str); 5] = [
        (Place::Riff, "riff"),
        (Place::Practice, "practice"),
        (Place::Chorus, "chorus"),
        (Place::Notebook, "notebook"),
        (Place::Play, "play"),
    ];

    /// The name in data.
    pub fn name(self) -> &'static str {
        name_of(&self, &Place::NAMES).unwrap_or_default()
    }

    /// The place with this name in data.
    pub fn named(name: &str) -> Option<Place> {
        settings::named(name, &Place::NAMES)
    }
}

/// What belongs together on the way back: commands of one step that follow each other are undone at once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Step {
    /// A drag, by its number: however far a note is dragged, it is one step.
    Gesture(u32),
    /// The tempo: however often it is changed, it is one step.
    Tempo,
    /// A part's level: however long its slider is moved, it is one step.
    Level(Part),
    /// Undo or redo, which is no step itself.
    History,
}

/// Where a person is.
#[derive(Clone, Debug, PartialEq)]
pub struct Session {
    /// The part of the page that is shown; what only another part shows is not worked out.
    pub place: Place,
    /// The riff on the desk.
    pub chosen: RiffId,
    /// The grid step where the next note goes, from the riff's start; may be the riff's end.
    pub cursor: Ticks,
    /// The note that accent, longer, shorter and delete act on, by index.
    pub selected: Option<usize>,
    /// The bar that is looked at, index from 0.
    pub bar: usize,
    /// The bars that are looped, indices from 0, or the whole form.
    pub looped: Option<(usize, usize)>,
    /// The variation that is being tried.
    pub varied: Option<Varied>,
    /// The tune that was on the desk before a link or the demo brought another one.
    pub(super) own_tune: Option<Rc<Tune>>,
    /// The instrument that a link was made for, where it is another one and nobody has said yet what is played here.
    pub made_for: Option<&'static Instrument>,
    /// What a refused chart would be with the capitals that it lacks.
    pub(super) meant: Option<String>,
    /// A riff that was kept before its key was, and the key that the tune left it in.
    pub(super) left: Option<(RiffId, Key)>,
    /// The riff that was on the desk before the chosen one: undo goes back to it when it takes the chosen one away.
    pub(super) previous: Option<RiffId>,
    /// What the last command was to the way back, where it was not a step of its own.
    pub(super) step: Option<Step>,
}

impl Session {
    /// At the start of a riff.
    pub fn at(chosen: RiffId) -> Session {
        Session {
            place: Place::default(),
            chosen,
            cursor: Ticks::ZERO,
            selected: None,
            bar: 0,
            looped: None,
            varied: None,
            own_tune: None,
            made_for: None,
            meant: None,
            left: None,
            previous: None,
            step: None,
        }
    }
}
