//! Riffs to start from, and choruses woven from them, all made up for this project.
//!
//! A riff is written by the degrees of its key, an eighth a word: `1` is home, `b3` the blue third, `_b7` the seventh below
//! home, `8` home an octave higher; `-` holds, `.` rests, `>` before a degree accents it, `|` is a bar line for the reader.

use crate::chorus::kept::{Chorus, ChorusId, Spot};
use crate::chorus::placement::Placement;
use crate::rhythm::grid::Division;
use crate::riff::{Note, Riff, RiffId};
use crate::theory::interval::Interval;
use crate::theory::key::{Key, Mode};
use crate::theory::pitch::Pitch;
use crate::units::Ticks;

/// How far a riff goes in what it needs to know: four steps, each with its notes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Step {
    /// The home note alone: rhythm.
    One,
    /// Home, the blue third and the fourth.
    Three,
    /// The blues scale.
    Blues,
    /// The tones of the home chord.
    Chord,
}

impl Step {
    /// The four steps, the easiest first.
    pub const ALL: [Step; 4] = [Step::One, Step::Three, Step::Blues, Step::Chord];

    /// The degrees that its riffs use, in any octave.
    pub fn degrees(self) -> &'static [&'static str] {
        match self {
            Step::One => &["1"],
            Step::Three => &["1", "b3", "4"],
            Step::Blues => &["1", "b3", "4", "b5", "5", "b7"],
            Step::Chord => &["1", "3", "5", "b7"],
        }
    }
}

/// A riff to start from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Starter {
    /// What it needs to know.
    pub step: Step,
    /// Its name; no two have the same.
    pub name: &'static str,
    /// What it teaches, in a line.
    pub teaches: &'static str,
    notes: &'static str,
}

/// A chorus of twelve bars, woven from riffs to start from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Model {
    /// Its name; no two have the same.
    pub name: &'static str,
    /// What it shows, in a line.
    pub teaches: &'static str,
    /// The bar, from 1, and the riff that begins there.
    spots: &'static [(i64, &'static str)],
}

/// Every riff to start from. What makes each of them easy is checked by tests: see `tests/it/starters.rs`.
#[rustfmt::skip]
pub const STARTERS: [Starter; 24] = {
    use Step::*;
    [
        Starter { step: One, name: "Two knocks", teaches: "Two notes on the beat, then leave room.", notes: "1 - 1 - . . . ." },
        Starter { step: One, name: "Wait for two", teaches: "Let beat 1 go by, and begin on beat 2.", notes: ". . 1 - 1 - . ." },
        Starter { step: One, name: "Skipping stone", teaches: "One note on the beat, one between two beats.", notes: "1 - . 1 - . . ." },
        Starter { step: One, name: "Long and short", teaches: "One long note, then two short ones.", notes: "1 - - . 1 . 1 ." },
        Starter { step: One, name: "Just before", teaches: "Come in just before beat 3.", notes: ". . . >1 - - . ." },
        Starter { step: One, name: "Ask and wait", teaches: "Three quick notes ask, one long note answers a bar later.", notes: "1 1 1 . . . . . | 1 - - - . . . ." },

        Starter { step: Three, name: "Low hill", teaches: "Up to the blue third and home again.", notes: "1 1 b3 - 1 - . ." },
        Starter { step: Three, name: "Down the lane", teaches: "Begin at the top and come down to home.", notes: "4 b3 1 - . . . ." },
        Starter { step: Three, name: "Loose gate", teaches: "Begin between two beats; swing does the rest.", notes: ". 1 >b3 - 1 - . ." },
        Starter { step: Three, name: "Say it again", teaches: "Say a short thing, then say it with one note more.", notes: "b3 - 1 - . . . . | b3 4 b3 - 1 - . ." },
        Starter { step: Three, name: "Dry leaves", teaches: "Short notes, with air between them.", notes: "1 . b3 . 4 b3 1 ." },
        Starter { step: Three, name: "Back and forth", teaches: "Go up in the first bar, come back in the second.", notes: "1 - b3 4 . . . . | 4 b3 1 - - . . ." },

        Starter { step: Blues, name: "Slow ladder", teaches: "Walk down through the blue fifth, a note between 5 and 4.", notes: "5 b5 4 b3 1 - . ." },
        Starter { step: Blues, name: "Wet gravel", teaches: "Start home from the note below it.", notes: "_b7 1 - b3 1 - . ." },
        Starter { step: Blues, name: "Night ferry", teaches: "Up to the fifth in one bar, home in the next.", notes: "1 b3 4 5 . . . . | 5 4 b3 1 - - . ." },
        Starter { step: Blues, name: "Crooked fence", teaches: "Lean on the blue fifth, and let it rise to the fifth.", notes: "4 >b5 5 . b3 1 . ." },
        Starter { step: Blues, name: "High window", teaches: "Begin high and fall: the loudest note comes first.", notes: ">b7 - 5 4 b3 - 1 ." },
        Starter { step: Blues, name: "Far bell", teaches: "One high note, a rest, then the way home.", notes: "8 - - . . . . . | b7 5 4 b3 1 - . ." },

        Starter { step: Chord, name: "Brass key", teaches: "Home, third, fifth: the chord, one note at a time.", notes: "1 3 5 . 3 1 . ." },
        Starter { step: Chord, name: "Kitchen stairs", teaches: "Climb the whole chord, up to its seventh.", notes: "1 . 3 . 5 . b7 ." },
        Starter { step: Chord, name: "Old clock", teaches: "Down the chord on the beat, with no third.", notes: "8 - b7 - 5 . 1 ." },
        Starter { step: Chord, name: "Open hand", teaches: "Begin on the fifth and close in on home.", notes: "5 . 3 1 - - . ." },
        Starter { step: Chord, name: "Half past", teaches: "Chord notes between the beats.", notes: ". 3 5 . . 3 1 -" },
        Starter { step: Chord, name: "Long table", teaches: "Ask on the fifth, answer on home.", notes: "1 3 5 . . . . . | 5 3 1 - - . . ." },
    ]
};

/// Every model chorus. Source of their plans (a line said, said again and answered; call and response; riff blues): common
/// practice, no source.
#[rustfmt::skip]
pub const MODELS: [Model; 8] = [
    Model { name: "Only rhythm", teaches: "One note for twelve bars: rhythm and rests do the work.", spots: &[
        (1, "Two knocks"), (2, "Skipping stone"), (3, "Ask and wait"), (5, "Two knocks"), (6, "Skipping stone"), (7, "Ask and wait"),
        (9, "Wait for two"), (10, "Just before"), (11, "Long and short"),
    ] },
    Model { name: "One riff all the way", teaches: "The same riff over every chord: hear how each chord colours it.", spots: &[
        (1, "Say it again"), (3, "Say it again"), (5, "Say it again"), (7, "Say it again"), (9, "Say it again"), (11, "Say it again"),
    ] },
    Model { name: "Said, said, answered", teaches: "Say a line, say it again over chord 4, then answer it.", spots: &[
        (1, "Back and forth"), (5, "Back and forth"), (9, "Down the lane"), (10, "Loose gate"), (11, "Low hill"),
    ] },
    Model { name: "Call and reply", teaches: "A call from one riff, a reply from another, three times.", spots: &[
        (1, "Loose gate"), (2, "Loose gate"), (3, "Slow ladder"), (5, "Loose gate"), (6, "Loose gate"), (7, "Slow ladder"),
        (9, "High window"), (10, "Crooked fence"), (11, "Slow ladder"),
    ] },
    Model { name: "Room to breathe", teaches: "Few notes: what you leave out is part of the music.", spots: &[
        (1, "Low hill"), (3, "Down the lane"), (5, "Low hill"), (7, "Down the lane"), (9, "Night ferry"),
    ] },
    Model { name: "Up to line three", teaches: "Begin low and short, and keep the highest notes for the third line.", spots: &[
        (1, "Wet gravel"), (3, "Wet gravel"), (5, "Crooked fence"), (6, "Wet gravel"), (7, "Slow ladder"), (9, "Far bell"), (11, "Wet gravel"),
    ] },
    Model { name: "Through the chord", teaches: "Chord notes over chord 1, the blues scale over the rest.", spots: &[
        (1, "Brass key"), (2, "Open hand"), (3, "Long table"), (5, "Slow ladder"), (6, "Crooked fence"), (7, "Brass key"), (8, "Open hand"),
        (9, "High window"), (10, "Slow ladder"), (11, "Open hand"),
    ] },
    Model { name: "Old and new", teaches: "Bring one riff back in every line, beside something new.", spots: &[
        (1, "Dry leaves"), (2, "Old clock"), (3, "Dry leaves"), (5, "Dry leaves"), (6, "High window"), (7, "Night ferry"),
        (9, "Night ferry"), (11, "Dry leaves"),
    ] },
];

impl Starter {
    /// The riff with this name.
    pub fn named(name: &str) -> Option<&'static Starter> {
        STARTERS.iter().find(|starter| starter.name == name)
    }

    /// The riff in `key`, around the home note from middle C to the B above it. In a minor key its major third is the minor
    /// one, so that it stays a note of the home chord.
    ///
    /// # Panics
    ///
    /// Where the table does not read, which a test makes sure of.
    pub fn riff(&self, key: Key, id: RiffId) -> Riff {
        let half = Ticks::QUARTER / 2;
        let mut notes: Vec<Note> = Vec::new();
        let mut at = 0;
        for word in self.notes.split_whitespace().filter(|word| *word != "|") {
            match (word, notes.last_mut()) {
                (".", _) => {}
                ("-", Some(note)) => note.length += half,
                _ => {
                    let accent = word.starts_with('>');
                    let pitch =
                        pitch(word.trim_start_matches('>'), key).expect("the table holds degrees only");
                    notes.push(Note { onset: half * at, length: half, pitch, accent, ornament: None });
                }
            }
            at += 1;
        }
        let divisions = vec![Division::HALVES; (at / 2) as usize];
        Riff::from_parts(id, self.name.to_owned(), Ticks::ZERO, Ticks::QUARTER, divisions, notes)
            .expect("every row of the table is a sound riff")
    }
}

impl Model {
    /// The chorus with this name.
    pub fn named(name: &str) -> Option<&'static Model> {
        MODELS.iter().find(|model| model.name == name)
    }

    /// The chorus in `key`; its riffs have their places counted from 1 as ids, as those of a link have.
    ///
    /// # Panics
    ///
    /// Where the table does not read, which a test makes sure of.
    pub fn chorus(&self, key: Key) -> Chorus {
        let mut names: Vec<&str> = Vec::new();
        let mut spots = Vec::new();
        for (bar, name) in self.spots {
            let riff = names.iter().position(|other| other == name).unwrap_or_else(|| {
                names.push(name);
                names.len() - 1
            });
            let at = Ticks::QUARTER * 4 * (bar - 1);
            spots.push(Spot { placement: Placement { at, riff, changes: Vec::new() }, stays: false });
        }
        let riff = |(index, name): (usize, &&str)| {
            let starter = Starter::named(name).expect("the table holds names of riffs only");
            starter.riff(key, RiffId(index as u64 + 1))
        };
        let riffs = names.iter().enumerate().map(riff).collect();
        Chorus::from_parts(ChorusId(0), self.name, 1, riffs, spots).expect("every row is a sound chorus")
    }
}

/// The pitch of a degree such as `b3`, `_b7` or `8` in `key`.
fn pitch(word: &str, key: Key) -> Option<Pitch> {
    let (octave, degree) = word.strip_prefix('_').map_or((0, word), |degree| (-1, degree));
    let interval = match degree {
        "1" => Interval::UNISON,
        "b3" => Interval::MINOR_THIRD,
        "3" if key.mode() == Mode::Minor => Interval::MINOR_THIRD,
        "3" => Interval::MAJOR_THIRD,
        "4" => Interval::PERFECT_FOURTH,
        "b5" => Interval::DIMINISHED_FIFTH,
        "5" => Interval::PERFECT_FIFTH,
        "b7" => Interval::MINOR_SEVENTH,
        "8" => Interval::OCTAVE,
        _ => return None,
    };
    // By the letter, so that C♭ stands beside C and B♯ beside B.
    let home = Pitch { name: key.tonic(), octave: 4 };
    Some(home.up(interval + Interval::new(7 * octave, 12 * octave)))
}
