//! The band: click, drums, bass and chords, made from the changes a bar at a time.
//!
//! Where a chart says that no chord sounds, bass and chords rest, and drums and click keep the time (common practice, no
//! source).
//!
//! Every part is a function from a [`BarContext`] to notes; the same bar of the same chorus gives the same notes, and
//! another seed gives others. Patterns are tables of text (see [`pattern`]).

pub mod answer;
pub mod bass;
pub mod click;
pub mod comp;
pub mod dice;
pub mod drums;
pub mod pattern;
pub mod settings;
pub mod voicing;

use std::ops::Range;

use crate::band::dice::Dice;
use crate::band::pattern::Stroke;
use crate::band::settings::{Arrangement, Busyness};
use crate::band::voicing::Voicing;
use crate::form::Bar;
use crate::rhythm::grid::Division;
use crate::theory::chord::Chord;
use crate::units::{MidiNote, Ticks, Velocity};

/// What a part must know of a bar to play it.
#[derive(Clone, Debug)]
pub struct BarContext<'a> {
    /// The bar: its metre and chords.
    pub bar: &'a Bar,
    /// The chord that the next bar begins with.
    pub next: &'a Chord,
    /// How the chords of the bar lie under the hands, one for each.
    pub voicings: &'a [Voicing],
    /// When the soloist's notes begin, from the bar line.
    pub solo: &'a [Ticks],
    /// The beats, counted from the bar line, in which the band answers the soloist, who rests in them; `None` where it
    /// does not.
    pub space: Option<Range<Ticks>>,
    /// Its place in the form, index from 0.
    pub index: usize,
    /// Bars in the form.
    pub bars: usize,
    /// Times through before it.
    pub chorus: u32,
    /// Bars played before it.
    pub count: usize,
    /// Whether it is the very last bar to be played.
    pub closes: bool,
    /// Whether the one after it is.
    pub ends_next: bool,
    /// How beats are divided.
    pub pulse: Pulse,
    /// What the band was asked for.
    pub arrangement: &'a Arrangement,
}

/// How beats are divided throughout.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Pulse {
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

impl BandNote {
    /// A note where a pattern has its stroke, or `None` beyond MIDI's range. Velocities are brought into it.
    fn new(stroke: Stroke, midi: i32, velocity: i32) -> Option<BandNote> {
        let Stroke { at, length, division, .. } = stroke;
        let velocity = Velocity::new(velocity.clamp(1, 127))?;
        Some(BandNote { at, length, division, midi: MidiNote::new(midi)?, velocity })
    }
}

impl BarContext<'_> {
    /// The chord that sounds `at` ticks into the bar, and its index within the bar.
    pub fn chord_at(&self, at: Ticks) -> (usize, &Chord) {
        let later = self.bar.chords.iter().skip(1).take_while(|place| place.at <= at).count();
        (later, &self.bar.chords[later].chord)
    }

    /// The stretches of the bar in which one chord sounds: the chord, from where to where, and the chord that follows.
    fn stretches(&self) -> impl Iterator<Item = Stretch<'_>> {
        let chords = &self.bar.chords;
        chords.iter().enumerate().map(move |(index, place)| {
            let next = chords.get(index + 1);
            let end = next.map_or(self.bar.metre.bar(), |next| next.at);
            let next = next.map_or(self.next, |next| &next.chord);
            Stretch { chord: &place.chord, start: place.at, end, next }
        })
    }

    /// The whole bar as one stroke.
    fn whole_bar(&self) -> Stroke {
        let (at, length) = (Ticks::ZERO, self.bar.metre.bar());
        Stroke { at, length, division: Division::HALVES, letter: b'X' }
    }

    /// Whether the band only marks the first beat of this bar.
    fn is_stopped(&self) -> bool {
        self.arrangement.stop_time.stops(self.chorus, self.index)
    }

    /// The first beat struck short, as in stop-time.
    fn stop(&self) -> Stroke {
        Stroke { length: self.bar.metre.beat() / 2, ..self.whole_bar() }
    }

    /// The choices that a part, by its own `salt`, has in this bar.
    fn dice(&self, salt: u64) -> Dice {
        Dice::new(&[self.arrangement.seed.into(), self.chorus.into(), self.index as u64, salt])
    }

    /// One of `choices`, which go from plain to lively; a sparse band knows only the first, a steady one the first
    /// half.
    fn choose<'a, T>(&self, dice: &mut Dice, choices: &'a [T]) -> Option<&'a T> {
        dice.pick(self.known(choices))
    }

    /// The part of `choices` that a band as busy as this one knows.
    fn known<'a, T>(&self, choices: &'a [T]) -> &'a [T] {
        let known = match self.arrangement.busyness {
            Busyness::Sparse => choices.len().min(1),
            Busyness::Steady => choices.len().div_ceil(2),
            Busyness::Lively => choices.len(),
        };
        &choices[..known]
    }
}

/// A stretch of a bar in which one chord sounds.
struct Stretch<'a> {
    chord: &'a Chord,
    start: Ticks,
    end: Ticks,
    next: &'a Chord,
}

/// How much louder or softer than written a stroke of the drums, the bass or the chords may be, in steps of MIDI
/// velocity, so that no two bars are alike. About a decibel; common practice, no source.
const LIVELINESS: u8 = 4;
