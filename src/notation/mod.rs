//! How music is written on a staff: bars of notes and rests with their values, dots, ties, tuplets, beams and signs.
//!
//! Score time says when a note begins and how long it lasts; paper wants values that are halves of one another, cut so
//! that the beats can be seen. This is the whole of that step: what is drawn, exported or read aloud follows from a
//! [`Written`], and its times add up again to those of the notes ([`Written::notes`]).
//!
//! Swing is not written: score time is straight, and swung eighths are written as eighths, as the trade does.
//!
//! Source of the rules: common engraving practice, as Elaine Gould, *Behind Bars* (Faber, 2011), chapters "Ground rules"
//! (beams, ties, grouping of rests), "Metre" and "Tuplets", is commonly quoted; from memory where no test names a source.

mod backing;
mod beams;
mod cells;
mod clef;
mod cut;
pub mod fingering;
mod grid;
mod lyrics;
mod passage;
mod signs;
pub mod tab;

pub use backing::Backing;
pub use clef::{Part, fitting};
pub use lyrics::{Lyric, lyrics, unsung};
pub use passage::Passage;

use std::ops::Range;

use crate::form::ChordAt;
use crate::rhythm::metre::Metre;
use crate::riff::Ornament;
use crate::theory::instrument::{Clef, Reading};
use crate::theory::key::Key;
use crate::theory::pitch::Pitch;
use crate::units::Ticks;

/// How long a note or a rest looks: a value and its dots.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Value {
    /// How many of it make a whole note: 1 (whole), 2 (half), 4 (quarter) … 128.
    pub part: u8,
    /// Whether a dot makes it half as long again.
    pub dotted: bool,
}

impl Value {
    /// The value that lasts `length`, or `None` where it takes more than one.
    pub fn of(length: Ticks) -> Option<Value> {
        let lasts = |value: Value| value.length() == length;
        let parts = (0..8).map(|power| 1_u8 << power);
        let both = parts.flat_map(|part| [false, true].map(|dotted| Value { part, dotted }));
        both.into_iter().find(|value| lasts(*value))
    }

    /// How long it lasts outside a tuplet.
    pub fn length(self) -> Ticks {
        let plain = Ticks::quarters(4) / i64::from(self.part);
        if self.dotted { plain + plain / 2 } else { plain }
    }

    /// Flags on its stem, or beams: 1 for an eighth, 2 for a sixteenth; none from a quarter up.
    pub fn flags(self) -> u8 {
        (self.part.trailing_zeros() as u8).saturating_sub(2)
    }
}

/// So many notes in the time of so many.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Ratio {
    /// How many there are: the number that is written.
    pub actual: u8,
    /// In the time of how many of the same value.
    pub normal: u8,
}

/// A note or a rest as it is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Symbol {
    /// When it begins, from its measure's bar line; a pickup's measure counts from where a whole bar would begin.
    pub at: Ticks,
    /// How long it lasts.
    pub length: Ticks,
    /// How it looks; in a tuplet, what is written there. A rest for a whole bar is a whole note in any metre.
    pub value: Value,
    /// The tuplet that it belongs to.
    pub ratio: Option<Ratio>,
    /// What sounds; `None` is a rest.
    pub note: Option<Head>,
}

/// The note of a symbol.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Head {
    /// Which of the passage's notes.
    pub index: usize,
    /// As it is written for who reads it.
    pub pitch: Pitch,
    /// Whether a sharp, flat or natural stands before it.
    pub sign: bool,
    /// A lower note that is struck with it and lasts as long, as it is written, and whether a sign stands before that.
    pub with: Option<(Pitch, bool)>,
    /// Whether it goes on from the symbol before.
    pub tied_from: bool,
    /// Whether it goes on in the next symbol.
    pub tied_to: bool,
    /// Whether an accent stands on it. Only where a note begins, as what follows.
    pub accent: bool,
    /// A crushed note right before it, as it is written, and whether a sign stands before that.
    pub crushed: Option<(Pitch, bool)>,
    /// Whether it is slid into from a little below.
    pub scoop: bool,
}

/// A bar as it is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Measure {
    /// How it is counted.
    pub metre: Metre,
    /// Its place in the form, from 0, as the bars of the passage's changes; `None` for a pickup.
    pub bar: Option<usize>,
    /// Where its bar line lies, from the passage's; before it for a pickup.
    pub at: Ticks,
    /// Where its first symbol begins, from its bar line: more than 0 for a pickup.
    pub from: Ticks,
    /// Everything in it, in order, without a gap.
    pub symbols: Vec<Symbol>,
    /// Runs of two or more symbols that a beam joins.
    pub beams: Vec<Range<usize>>,
    /// Runs of symbols that make a tuplet.
    pub tuplets: Vec<Range<usize>>,
    /// Its chords as they are written; none for a pickup.
    pub chords: Vec<ChordAt>,
}

impl Measure {
    /// Whether nothing sounds in it.
    pub fn is_silent(&self) -> bool {
        self.symbols.iter().all(|symbol| symbol.note.is_none())
    }
}

/// A passage as it is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// The key whose signature stands in front.
    pub key: Key,
    /// The clef.
    pub clef: Clef,
    /// The bars, in order.
    pub measures: Vec<Measure>,
    /// Whether every note is written exactly when it begins and as long as it lasts. What no value can say is written
    /// where it comes nearest.
    pub exact: bool,
    /// The syllables of the passage's notes, by index; those of the last notes may be left out.
    pub lyrics: Vec<Option<Lyric>>,
}

/// A note as a reader of the staff would play it, straight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Read {
    /// Which of the passage's notes.
    pub index: usize,
    /// When it begins, from the passage's bar line.
    pub onset: Ticks,
    /// How long it lasts, ties added up.
    pub length: Ticks,
}

impl Written {
    /// The same with these syllables, one a note of the passage or none.
    #[must_use]
    pub fn with_lyrics(self, lyrics: Vec<Option<Lyric>>) -> Written {
        Written { lyrics, ..self }
    }

    /// The syllable that stands under a head: under the first one of a note that is tied on.
    pub fn lyric(&self, head: &Head) -> Option<&Lyric> {
        self.lyrics.get(head.index).filter(|_| !head.tied_from)?.as_ref()
    }

    /// What a reader would play: ties added up.
    pub fn notes(&self) -> Vec<Read> {
        let mut read: Vec<Read> = Vec::new();
        for measure in &self.measures {
            for symbol in &measure.symbols {
                let Some(head) = &symbol.note else { continue };
                match read.last_mut() {
                    Some(last) if head.tied_from && last.index == head.index => last.length += symbol.length,
                    _ => read.push(Read {
                        index: head.index,
                        onset: measure.at + symbol.at,
                        length: symbol.length,
                    }),
                }
            }
        }
        read
    }
}

/// Writes a passage in `clef` as one player reads it.
pub fn write(passage: &Passage, reading: Reading, clef: Clef) -> Written {
    let (spans, exact) = passage.spans();
    let mut measures: Vec<Measure> = passage
        .measures()
        .map(|frame| {
            let cells = cells::of_bar(frame.metre, &frame.points(&spans));
            let symbols = cut::symbols(&frame, &cells, &spans);
            let tuplets = cut::tuplets(&cells, &symbols);
            let beams = beams::of(frame.metre, &symbols);
            let written = |place: &ChordAt| ChordAt { at: place.at, chord: reading.chord(&place.chord) };
            let chords = frame.chords.iter().map(written).collect();
            Measure {
                metre: frame.metre,
                bar: frame.bar,
                at: frame.at,
                from: frame.from,
                symbols,
                beams,
                tuplets,
                chords,
            }
        })
        .collect();
    for symbol in measures.iter_mut().flat_map(|measure| &mut measure.symbols) {
        if let Some(head) = &mut symbol.note {
            *head = dressed(passage, head, reading);
        }
    }
    signs::put(reading.key(), &mut measures);
    Written { key: reading.key(), clef, measures, exact, lyrics: Vec::new() }
}

/// The head with what its note says of it.
fn dressed(passage: &Passage, head: &Head, reading: Reading) -> Head {
    let note = &passage.notes[head.index];
    let written = |pitch: Pitch| reading.pitch(pitch).at_most_double();
    let begins = !head.tied_from;
    let crushed = match note.ornament {
        Some(Ornament::Crushed(pitch)) if begins => Some((written(pitch), false)),
        _ => None,
    };
    Head {
        pitch: written(note.pitch),
        with: passage.with(head.index).map(|pitch| (written(pitch), false)),
        accent: begins && note.accent,
        crushed,
        scoop: begins && note.ornament == Some(Ornament::Scoop),
        ..head.clone()
    }
}
