//! Variation: the same idea, changed in one way that can be named.
//!
//! Each way ([`How`]) lists what it can do with a riff, plainest first; the seed picks one, so that the same seed
//! always gives the same variation and the next seed the next one. Nothing leaves the range, and only ways that are
//! meant to change the length do so; what else no variation does, the table in `rules` says. Which ways suit a riff best
//! at its place, the table in [`best`] says. The original is never touched.

pub mod best;
mod ending;
mod ground;
mod length;
mod pitches;
pub mod rules;
mod space;
mod time;

use std::fmt;

use crate::riff::variation::rules::Tried;
use crate::riff::{Note, Riff};
use crate::theory::chord::Chord;
use crate::theory::interval::Interval;
use crate::theory::pitch::Pitch;
use crate::units::Ticks;

pub use ground::Ground;

/// A way to vary a riff.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum How {
    /// Begin the same notes earlier or later.
    Displace,
    /// Play twice as slow.
    Augment,
    /// Play twice as fast.
    Diminish,
    /// Keep the shape and begin on another note: along the scale, or with the chord.
    Sequence,
    /// Take a piece and say it again.
    Fragment,
    /// Go on after the end.
    Extend,
    /// End on the home note, or on a tone of the next bar's chord.
    NewEnding,
    /// Leave notes out.
    Thin,
    /// Put notes where there is room.
    Fill,
    /// Crush a note in before another, touch a neighbour, or scoop.
    Ornament,
    /// Turn upside down: what went up goes down.
    Invert,
    /// Play backwards.
    Retrograde,
    /// Move to another octave.
    Octave,
    /// Reply: the same rhythm and length, ending home or on a tone of the chord that follows.
    Answer,
    /// Move only the notes that rub, to the nearest tone of the chord.
    Fit,
}

/// One way and its name in data.
struct Row {
    how: How,
    name: &'static str,
}

#[rustfmt::skip]
const WAYS: [Row; 15] = {
    use How::*;
    [
        Row { how: Displace, name: "displace" },
        Row { how: Augment, name: "augment" },
        Row { how: Diminish, name: "diminish" },
        Row { how: Sequence, name: "sequence" },
        Row { how: Fragment, name: "fragment" },
        Row { how: Extend, name: "extend" },
        Row { how: NewEnding, name: "new-ending" },
        Row { how: Thin, name: "thin" },
        Row { how: Fill, name: "fill" },
        Row { how: Ornament, name: "ornament" },
        Row { how: Invert, name: "invert" },
        Row { how: Retrograde, name: "retrograde" },
        Row { how: Octave, name: "octave" },
        Row { how: Answer, name: "answer" },
        Row { how: Fit, name: "fit" },
    ]
};

impl How {
    /// Every way, in the order of the table.
    pub fn all() -> impl Iterator<Item = How> {
        WAYS.iter().map(|row| row.how)
    }

    /// The way with this name in data, such as `new-ending`.
    pub fn named(name: &str) -> Option<How> {
        WAYS.iter().find(|row| row.name == name).map(|row| row.how)
    }

    /// The name in data.
    pub fn name(self) -> &'static str {
        self.row().name
    }

    /// Whether it is meant to change how many beats the riff has.
    pub fn changes_length(self) -> bool {
        matches!(self, How::Augment | How::Diminish | How::Extend)
    }

    fn row(self) -> &'static Row {
        WAYS.iter().find(|row| row.how == self).expect("every way has its row")
    }
}

/// What a way can do with a riff, plainest first. Apart from the table: whoever asks for a name needs none of this code.
fn list(how: How, riff: &Riff, ground: &Ground) -> Vec<Draft> {
    match how {
        How::Displace => time::displace(riff, ground),
        How::Augment => time::augment(riff, ground),
        How::Diminish => time::diminish(riff, ground),
        How::Sequence => pitches::sequence(riff, ground),
        How::Fragment => length::fragment(riff, ground),
        How::Extend => length::extend(riff, ground),
        How::NewEnding => ending::new_ending(riff, ground),
        How::Thin => space::thin(riff, ground),
        How::Fill => space::fill(riff, ground),
        How::Ornament => space::ornament(riff, ground),
        How::Invert => pitches::invert(riff, ground),
        How::Retrograde => time::retrograde(riff, ground),
        How::Octave => pitches::octave(riff, ground),
        How::Answer => ending::answer(riff, ground),
        How::Fit => ending::fit(riff, ground),
    }
}

/// A variation: the new riff, and what was changed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Variation {
    /// The new riff. Its id and name are the original's: who keeps it gives it its own.
    pub riff: Riff,
    /// What was changed.
    pub change: Change,
}

/// What a variation changed. Indices count notes from 0: of the original, unless said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    /// All notes begin later by this much, or earlier where it is negative.
    Displaced {
        /// How far.
        by: Ticks,
        /// How many notes ran over the riff's end (or start) and come in at its other side.
        wrapped: usize,
        /// How many notes are cut short by the riff's end: none or one.
        cut: usize,
    },
    /// Everything takes twice as long.
    Slower,
    /// Everything takes half as long.
    Faster {
        /// How often the riff is then played: once, or twice to fill its old length.
        times: usize,
    },
    /// Every note moved along the scale by this many scale steps; negative is down.
    Sequenced {
        /// How many scale steps.
        steps: i32,
    },
    /// Every note moved as the chord moves.
    MovedToChord {
        /// The chord at the riff's first note.
        from: Chord,
        /// The next different chord.
        to: Chord,
        /// How far every note moved.
        by: Interval,
    },
    /// A piece was taken and repeated.
    Fragmented {
        /// The beat at which the piece begins, from 0.
        from_beat: usize,
        /// How many beats it has.
        beats: usize,
        /// How often it is heard.
        times: usize,
    },
    /// Beats were added at the end.
    Extended {
        /// How many beats.
        beats: usize,
        /// What they hold.
        with: Continuation,
    },
    /// The last note has another pitch.
    NewEnding {
        /// What it was.
        from: Pitch,
        /// What it is.
        to: Pitch,
        /// Why that one.
        landing: Landing,
    },
    /// Notes were left out.
    Thinned {
        /// Which.
        removed: Vec<usize>,
    },
    /// Notes were put in.
    Filled {
        /// Which, by their indices in the variation.
        added: Vec<usize>,
    },
    /// A note is crushed in right before another.
    Crushed {
        /// The note that got it.
        note: usize,
        /// The crushed pitch.
        with: Pitch,
    },
    /// A note goes to its neighbour and comes back.
    Neighboured {
        /// The note that does.
        note: usize,
        /// The neighbour.
        with: Pitch,
    },
    /// A note is scooped into from below.
    Scooped {
        /// The note that is.
        note: usize,
    },
    /// Upside down.
    Inverted {
        /// The pitch that stayed: the mirror's line.
        around: Pitch,
        /// What the distances were counted in.
        mirror: Mirror,
        /// Octaves by which all of it then moved: 0, or 1 up or −1 down.
        octaves: i32,
        /// The notes, by index, that stayed: a blue note and the major third that it slides up into.
        curls: Vec<usize>,
    },
    /// Backwards.
    Reversed {
        /// Whether the rhythm was turned round as well.
        rhythm: Rhythm,
    },
    /// In another octave.
    Octave {
        /// Up 1 or down −1.
        octaves: i32,
        /// The first note that moved; those after it moved as well.
        from: usize,
    },
    /// A reply that comes to rest.
    Answered {
        /// How many notes at the start stayed.
        kept: usize,
        /// The note it ends on.
        to: Pitch,
        /// Why there.
        landing: Landing,
    },
    /// Notes that rubbed moved to a tone of the chord under them.
    Fitted {
        /// Each note that moved.
        moved: Vec<Move>,
    },
}

/// What the beats that were added hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Continuation {
    /// The riff's last beats again.
    Again,
    /// The riff's last beats again, one scale step lower.
    Lower,
    /// A walk along the scale to the home note.
    WalkHome,
}

/// Why an ending was chosen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Landing {
    /// It is the home note.
    Home,
    /// It is a tone of the chord that follows: of the next bar, or after an answer's end.
    NextBar {
        /// That chord.
        chord: Chord,
        /// The tone's interval above its root.
        degree: Interval,
    },
}

/// What the distances of a mirror are counted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mirror {
    /// Steps of the scale.
    ScaleSteps,
    /// Half steps: exact.
    HalfSteps,
}

/// What happens to a rhythm.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rhythm {
    /// It stays as it was.
    Kept,
    /// It is turned round.
    Reversed,
}

/// A note that got another pitch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Move {
    /// The note, by index.
    pub note: usize,
    /// What it was.
    pub from: Pitch,
    /// What it is.
    pub to: Pitch,
}

/// Why there is no variation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Error {
    /// The riff has no notes.
    NoNotes,
    /// Nothing that this way can do gives another riff within the range, the length and the grid.
    NothingFits {
        /// The way asked for.
        how: How,
    },
    /// No note rubs, so that none need move.
    NothingRubs,
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::NoNotes => write!(f, "the riff has no notes to vary"),
            Error::NothingFits { how } => write!(
                f,
                "“{}” gives nothing new for this riff within its range, the longest length and the grid",
                how.name()
            ),
            Error::NothingRubs => write!(f, "no note rubs, so there is nothing to move"),
        }
    }
}

impl std::error::Error for Error {}

/// The variation of `riff` that `seed` picks: 0 is the plainest, 1 the next, and after the last the first again.
pub fn vary(how: How, riff: &Riff, ground: &Ground, seed: u64) -> Result<Variation, Error> {
    let mut all = variations(how, riff, ground)?;
    let index = (seed % all.len() as u64) as usize;
    Ok(all.swap_remove(index))
}

/// Every variation of this way, plainest first; at least one, each another riff than the original and all others.
pub fn variations(how: How, riff: &Riff, ground: &Ground) -> Result<Vec<Variation>, Error> {
    if riff.notes().is_empty() {
        return Err(Error::NoNotes);
    }
    let mut found: Vec<Variation> = Vec::new();
    for Draft { riff: new, change } in list(how, riff, ground) {
        let is_new = sounds_other(&new, riff) && found.iter().all(|other| sounds_other(&new, &other.riff));
        let fits = ground.has_room_for(&new, riff) && (how.changes_length() || new.beats() == riff.beats());
        let tried = Tried { before: riff, after: &new, change: &change, ground };
        if is_new && fits && rules::keeps_all(how, &tried) {
            found.push(Variation { riff: new, change });
        }
    }
    match (found.is_empty(), how) {
        (false, _) => Ok(found),
        (true, How::Fit) if ground.rubbing.is_empty() => Err(Error::NothingRubs),
        (true, _) => Err(Error::NothingFits { how }),
    }
}

/// A variation before it is known to be new and within bounds.
struct Draft {
    riff: Riff,
    change: Change,
}

/// Whether two riffs differ in more than how pitches are spelled.
fn sounds_other(one: &Riff, other: &Riff) -> bool {
    let heard = |riff: &Riff| -> Vec<_> {
        let sound =
            |note: &Note| (note.onset, note.length, note.pitch.semitones(), note.accent, note.ornament);
        riff.notes().iter().map(sound).collect()
    };
    (one.start, one.beats()) != (other.start, other.beats()) || heard(one) != heard(other)
}
