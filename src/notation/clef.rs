//! For whom a part is written: how its names are moved, and in which clef it stands.

use crate::theory::instrument::{Clef, Instrument, Reading};
use crate::theory::interval::Interval;
use crate::theory::key::Key;
use crate::theory::pitch::{NoteName, Pitch, Step};

/// A part for instruments of one kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part {
    /// What sounds when its player reads C: C, B♭, E♭ or F.
    pub pitched_in: NoteName,
    /// The clef.
    pub clef: Clef,
}

impl Part {
    /// The parts of a mixed band.
    pub const ALL: [Part; 6] = [
        Part { pitched_in: NoteName::new(Step::C, 0), clef: Clef::Treble },
        Part { pitched_in: NoteName::new(Step::C, 0), clef: Clef::Bass },
        Part { pitched_in: NoteName::new(Step::C, 0), clef: Clef::Alto },
        Part { pitched_in: NoteName::new(Step::B, -1), clef: Clef::Treble },
        Part { pitched_in: NoteName::new(Step::E, -1), clef: Clef::Treble },
        Part { pitched_in: NoteName::new(Step::F, 0), clef: Clef::Treble },
    ];

    /// The name in data: `C-bass`, `Bb-treble`.
    pub fn name(self) -> String {
        format!("{}-{}", self.pitched_in, self.clef.name())
    }

    /// The part with this name in data.
    pub fn named(name: &str) -> Option<Part> {
        Part::ALL.into_iter().find(|part| part.name() == name)
    }

    /// The part that the players of an instrument read: in its clef, moved as its names are.
    pub fn of(instrument: &Instrument) -> Part {
        Part { pitched_in: instrument.pitched_in(), clef: instrument.clef() }
    }

    /// How the part is read where `key` sounds, and by how many octaves it is moved from where such an instrument would
    /// sound the same: only where that saves a ledger line a note.
    pub fn reading(self, key: Key, sounding: &[Pitch]) -> (Reading, i32) {
        let notes = sounding.len().max(1) as i32;
        self.moved(key, |reading| self.lines(reading, sounding).sum::<i32>() / notes)
    }

    /// The same for music that is written for nobody else, and may be moved as it suits: where even the furthest note
    /// needs the fewest ledger lines, and then all of them.
    pub fn own_reading(self, key: Key, sounding: &[Pitch]) -> Reading {
        let lines = |reading: Reading| {
            (self.lines(reading, sounding).max(), self.lines(reading, sounding).sum::<i32>())
        };
        self.moved(key, lines).0
    }

    fn moved<C: Ord>(self, key: Key, cost: impl Fn(Reading) -> C) -> (Reading, i32) {
        let up = self.pitched_in.interval_to(NoteName::new(Step::C, 0));
        let moved = |octaves: i32| Reading::written_above(key, up + Interval::new(7 * octaves, 12 * octaves));
        let octaves = (-4..=4).min_by_key(|octaves| (cost(moved(*octaves)), octaves.abs())).unwrap_or(0);
        (moved(octaves), octaves)
    }

    fn lines(self, reading: Reading, sounding: &[Pitch]) -> impl Iterator<Item = i32> {
        sounding.iter().map(move |pitch| ledger_lines(self.clef, reading.pitch(*pitch)))
    }
}

/// The middle line of a clef, in steps of the staff.
fn middle_line(clef: Clef) -> i32 {
    match clef {
        Clef::Treble | Clef::Percussion => Pitch::new(Step::B, 0, 4),
        Clef::Alto => Pitch::new(Step::C, 0, 4),
        Clef::Bass => Pitch::new(Step::D, 0, 3),
    }
    .staff_step()
}

/// How many ledger lines a written pitch needs.
fn ledger_lines(clef: Clef, written: Pitch) -> i32 {
    // The outer lines lie four steps from the middle one; a line more every two steps.
    ((written.staff_step() - middle_line(clef)).abs() - 4).max(0) / 2
}

/// The clef in which written pitches need the fewest ledger lines: `own`, unless treble or bass clef saves two lines a
/// note.
pub fn fitting(own: Clef, written: &[Pitch]) -> Clef {
    let lines = |clef: Clef| written.iter().map(|pitch| ledger_lines(clef, *pitch)).sum::<i32>();
    let best = [own, Clef::Treble, Clef::Bass].into_iter().min_by_key(|clef| lines(*clef)).unwrap_or(own);
    if lines(best) + 2 * written.len() as i32 <= lines(own) && !written.is_empty() { best } else { own }
}
