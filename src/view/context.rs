//! What every part of the screen needs. It stands by itself, so that no view needs the file that needs all views.

use crate::desk::Desk;
use crate::form::Changes;
use crate::theory::instrument::Reading;

/// What every part of the screen needs of a desk, worked out once.
pub(super) struct Context<'a> {
    /// The desk.
    pub desk: &'a Desk,
    /// The form in its key, as it sounds.
    pub changes: &'a Changes,
    /// How the player reads it.
    pub reading: Reading,
}
