//! The band: click, drums, bass and chords, made from the changes a bar at a time.
//!
//! Every part is a function from a [`BarContext`] to notes; the same bar gives the same notes. Patterns are tables.

pub mod bass;
pub mod click;
pub mod comp;
pub mod drums;

use crate::form::Bar;
use crate::rhythm::grid::Division;
use crate::theory::chord::Chord;
use crate::units::{MidiNote, Ticks, Velocity};

/// What a part must know of a bar to play it.
#[derive(Clone, Copy, Debug)]
pub struct BarContext<'a> {
    /// The bar: its metre and chords.
    pub bar: &'a Bar,
    /// The chord that the next bar begins with.
    pub next: &'a Chord,
    /// Its place in the form, index from 0.
    pub index: usize,
    /// Bars in the form.
    pub bars: usize,
    /// Whether it is the very last bar to be played.
    pub closes: bool,
    /// Whether eighths are straight, swung, or triplets throughout.
    pub feel: DrumFeel,
}

/// The families of patterns.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum DrumFeel {
    /// Even eighths.
    Straight,
    /// Long and short eighths.
    #[default]
    Swung,
    /// Three to the beat.
    Triplets,
}

/// A note of the band, relative to its bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BandNote {
    /// From the bar line.
    pub at: Ticks,
    /// How long.
    pub length: Ticks,
    /// How the beat in which it begins is divided, so that swing knows it.
    pub division: Division,
    /// What sounds; drums by General MIDI percussion number.
    pub midi: MidiNote,
    /// How hard.
    pub velocity: Velocity,
}

impl BarContext<'_> {
    /// The chord that sounds `at` ticks into the bar.
    pub fn chord_at(&self, at: Ticks) -> &Chord {
        let sounding = self.bar.chords.iter().take_while(|place| place.at <= at).last();
        &sounding.unwrap_or(&self.bar.chords[0]).chord
    }

    /// The chord one beat after `beat`, and whether it differs from the one at `beat`.
    pub fn chord_after(&self, beat: u8) -> (&Chord, bool) {
        let now = self.chord_at(self.beat(beat));
        let next =
            if beat + 1 < self.bar.metre.beats() { self.chord_at(self.beat(beat + 1)) } else { self.next };
        (next, next != now)
    }

    /// Where beat `index` (from 0) begins.
    pub fn beat(&self, index: u8) -> Ticks {
        self.bar.metre.beat() * i64::from(index)
    }
}

/// A velocity written in a table.
pub(crate) const fn hard(value: u8) -> u8 {
    assert!(value >= 1 && value < 128);
    value
}

pub(crate) fn note(
    at: Ticks,
    length: Ticks,
    division: Division,
    midi: i32,
    velocity: u8,
) -> Option<BandNote> {
    Some(BandNote {
        at,
        length,
        division,
        midi: MidiNote::new(midi)?,
        velocity: Velocity::new(i32::from(velocity))?,
    })
}
