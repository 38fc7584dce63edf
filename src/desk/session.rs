//! What a person looks at and points to. Not undone, not kept.

use crate::desk::vary::Varied;
use crate::riff::RiffId;
use crate::units::Ticks;

/// Where a person is.
#[derive(Clone, Debug, PartialEq)]
pub struct Session {
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
    /// The riff that was on the desk before the chosen one: undo goes back to it when it takes the chosen one away.
    pub(super) previous: Option<RiffId>,
    /// The running drag: its number and the document before it, so that one drag is one step back.
    pub(super) gesture: Option<u32>,
}

impl Session {
    /// At the start of a riff.
    pub fn at(chosen: RiffId) -> Session {
        Session {
            chosen,
            cursor: Ticks::ZERO,
            selected: None,
            bar: 0,
            looped: None,
            varied: None,
            previous: None,
            gesture: None,
        }
    }
}
