//! What of the solo sounds, and what is about to: from the very actions that start and take back its sounds, so that no
//! light can tell of another plan than the one that is heard.

use crate::perform::Part;
use crate::perform::planner::{Actions, Planned};
use crate::units::{AudioTime, Seconds};

/// How long a note is remembered after its end: longer than any output delay that a page is told of.
pub const REMEMBERED: Seconds = Seconds(0.75);
/// A key that is struck again sooner than this stays lit in between, so that nothing flashes more than three times in a
/// second (WCAG 2.1, success criterion 2.3.1).
pub const LEAST_PERIOD: Seconds = Seconds(1.0 / 3.0);

/// The solo notes that were handed out and are not over.
#[derive(Clone, Debug, Default)]
pub struct Sounding {
    /// In the order of their onsets.
    notes: Vec<Planned>,
}

impl Sounding {
    /// Takes what the browser is told to do.
    pub fn take(&mut self, actions: &Actions) {
        self.notes.retain(|note| !actions.cancel.contains(&note.id));
        self.notes.extend(actions.start.iter().filter(|note| note.part == Part::Solo).cloned());
        self.notes.sort_by(|one, other| one.when.0.total_cmp(&other.when.0));
    }

    /// Forgets what has long been over.
    pub fn forget(&mut self, now: AudioTime) {
        self.notes.retain(|note| note.when + note.duration + REMEMBERED >= now);
    }

    /// Everything stops.
    pub fn clear(&mut self) {
        self.notes.clear();
    }

    /// The notes in the order of their onsets, each with the moment until which its key is lit: its end, or the onset of
    /// the same pitch that follows too soon for a dark moment between them.
    pub fn notes(&self) -> impl Iterator<Item = (&Planned, AudioTime)> {
        self.notes.iter().enumerate().map(|(index, note)| {
            let ends = note.when + note.duration;
            let again = self.notes[index + 1..].iter().find(|other| other.midi == note.midi);
            let again = again.map(|other| other.when).filter(|when| *when - note.when < LEAST_PERIOD);
            (note, again.map_or(ends, |when| if when > ends { when } else { ends }))
        })
    }
}
