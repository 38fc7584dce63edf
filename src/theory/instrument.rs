//! Instruments: what their players read, how far they reach, and how they are strung.
//!
//! A transposing instrument sounds another pitch than its player reads: on a B♭ trumpet a written D sounds as C.
//! Inside, everything is at concert pitch; a [`Reading`] turns it into what one player reads.

use crate::theory::chord::Chord;
use crate::theory::interval::Interval;
use crate::theory::key::Key;
use crate::theory::pitch::{NoteName, Pitch, Step};

/// The clef that an instrument's part is written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Clef {
    /// G on the second line.
    Treble,
    /// C on the middle line.
    Alto,
    /// F on the fourth line.
    Bass,
    /// No pitch: a rhythm to be clapped.
    Percussion,
}

impl Clef {
    /// The name in data.
    pub fn name(self) -> &'static str {
        match self {
            Clef::Treble => "treble",
            Clef::Alto => "alto",
            Clef::Bass => "bass",
            Clef::Percussion => "percussion",
        }
    }
}

/// How an instrument is played.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Family {
    /// Keys or bars in a row.
    Keys,
    /// Strings over frets.
    Fretted,
    /// Strings that are bowed.
    Bowed,
    /// Wood- or metalwind with keys and holes.
    Woodwind,
    /// Brass.
    Brass,
    /// Singing.
    Voice,
}

/// An instrument.
#[derive(Debug, PartialEq, Eq)]
pub struct Instrument {
    name: &'static str,
    title: &'static str,
    family: Family,
    clef: Clef,
    /// From the sounding pitch up to the written one.
    written_above: Interval,
    /// Lowest and highest written pitch.
    range: (Pitch, Pitch),
    /// Open strings as they sound, in the order in which they lie.
    strings: &'static [Pitch],
}

/// Where a pitch lies when it is out of an instrument's range.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Beyond {
    /// Lower than the lowest.
    Below,
    /// Higher than the highest.
    Above,
}

const fn p(step: Step, alter: i32, octave: i32) -> Pitch {
    Pitch::new(step, alter, octave)
}

const AS_WRITTEN: Interval = Interval::UNISON;
const OCTAVE_LOWER: Interval = Interval::OCTAVE;
const OCTAVE_HIGHER: Interval = Interval::new(-7, -12);
const TWO_OCTAVES_HIGHER: Interval = Interval::new(-14, -24);
const IN_B_FLAT: Interval = Interval::MAJOR_SECOND;
const IN_B_FLAT_OCTAVE: Interval = Interval::new(8, 14);
const IN_E_FLAT: Interval = Interval::MAJOR_SIXTH;
const IN_E_FLAT_OCTAVE: Interval = Interval::new(12, 21);
const IN_F: Interval = Interval::PERFECT_FIFTH;

/// Sources. Transpositions and open strings: common practice, no source (the reference tests compare the
/// transpositions and lower ends with those that music21 keeps). Ranges, on each row: \[O\] "Ranges of Orchestral
/// Instruments", reference tables of the Orchestra Library, written ranges; \[A\] a textbook's appendix "Instrument
/// ranges and transpositions", as study cards made from it quote it (studystack.com/flashcard-697185; the tuba's
/// lower end as music21 keeps it, since the cards' octave is in doubt); \[L\] lower end as music21's instrument
/// classes keep it, upper end from memory, about where a school player stops; \[S\] Society of Recorder Players, "The
/// recorder family", for the lower end, upper end from memory (two octaves and a step); \[C\] common practice, no
/// source; \[T\] open strings and about a dozen frets, or first positions, above the highest.
#[rustfmt::skip]
const INSTRUMENTS: [Instrument; 24] = {
    use Clef::*;
    use Family::*;
    use Step::*;
    const fn row(name: &'static str, title: &'static str, family: Family, clef: Clef, written_above: Interval, range: (Pitch, Pitch), strings: &'static [Pitch]) -> Instrument {
        Instrument { name, title, family, clef, written_above, range, strings }
    }
    [
        row("keyboard", "keyboard", Keys, Treble, AS_WRITTEN, (p(A, 0, 0), p(C, 0, 8)), &[]), // [C] the piano's 88 keys
        row("guitar", "guitar", Fretted, Treble, OCTAVE_LOWER, (p(E, 0, 3), p(E, 0, 6)), &[p(E, 0, 2), p(A, 0, 2), p(D, 0, 3), p(G, 0, 3), p(B, 0, 3), p(E, 0, 4)]), // [T]
        row("ukulele", "ukulele", Fretted, Treble, AS_WRITTEN, (p(C, 0, 4), p(A, 0, 5)), &[p(G, 0, 4), p(C, 0, 4), p(E, 0, 4), p(A, 0, 4)]), // [T] C4 to A5
        row("bass-guitar", "bass guitar", Fretted, Bass, OCTAVE_LOWER, (p(E, 0, 2), p(G, 0, 4)), &[p(E, 0, 1), p(A, 0, 1), p(D, 0, 2), p(G, 0, 2)]), // [T]
        row("recorder", "descant recorder", Woodwind, Treble, OCTAVE_HIGHER, (p(C, 0, 4), p(D, 0, 6)), &[]), // [S]
        row("treble-recorder", "treble recorder", Woodwind, Treble, AS_WRITTEN, (p(F, 0, 4), p(G, 0, 6)), &[]), // [S]
        row("flute", "flute", Woodwind, Treble, AS_WRITTEN, (p(C, 0, 4), p(D, 0, 7)), &[]), // [O]
        row("oboe", "oboe", Woodwind, Treble, AS_WRITTEN, (p(B, -1, 3), p(E, 0, 6)), &[]), // [L]
        row("clarinet", "clarinet", Woodwind, Treble, IN_B_FLAT, (p(E, 0, 3), p(C, 0, 7)), &[]), // [O]
        row("soprano-sax", "soprano sax", Woodwind, Treble, IN_B_FLAT, (p(B, -1, 3), p(F, 0, 6)), &[]), // [A] as its sisters
        row("alto-sax", "alto sax", Woodwind, Treble, IN_E_FLAT, (p(B, -1, 3), p(F, 0, 6)), &[]), // [A]
        row("tenor-sax", "tenor sax", Woodwind, Treble, IN_B_FLAT_OCTAVE, (p(B, -1, 3), p(F, 0, 6)), &[]), // [A]
        row("baritone-sax", "baritone sax", Woodwind, Treble, IN_E_FLAT_OCTAVE, (p(B, -1, 3), p(F, 0, 6)), &[]), // [A]
        row("trumpet", "trumpet or cornet", Brass, Treble, IN_B_FLAT, (p(F, 1, 3), p(C, 0, 6)), &[]), // [A]
        row("horn", "horn in F", Brass, Treble, IN_F, (p(F, 1, 3), p(C, 0, 6)), &[]), // [A]
        row("trombone", "trombone", Brass, Bass, AS_WRITTEN, (p(E, 0, 2), p(B, -1, 4)), &[]), // [L]
        row("tuba", "tuba", Brass, Bass, AS_WRITTEN, (p(D, 0, 1), p(D, 0, 4)), &[]), // [A]
        row("violin", "violin", Bowed, Treble, AS_WRITTEN, (p(G, 0, 3), p(E, 0, 6)), &[p(G, 0, 3), p(D, 0, 4), p(A, 0, 4), p(E, 0, 5)]), // [T]
        row("viola", "viola", Bowed, Alto, AS_WRITTEN, (p(C, 0, 3), p(A, 0, 5)), &[p(C, 0, 3), p(G, 0, 3), p(D, 0, 4), p(A, 0, 4)]), // [T]
        row("cello", "cello", Bowed, Bass, AS_WRITTEN, (p(C, 0, 2), p(A, 0, 4)), &[p(C, 0, 2), p(G, 0, 2), p(D, 0, 3), p(A, 0, 3)]), // [T]
        row("double-bass", "double bass", Bowed, Bass, OCTAVE_LOWER, (p(E, 0, 2), p(G, 0, 4)), &[p(E, 0, 1), p(A, 0, 1), p(D, 0, 2), p(G, 0, 2)]), // [T]
        row("glockenspiel", "glockenspiel", Keys, Treble, TWO_OCTAVES_HIGHER, (p(G, 0, 3), p(C, 0, 6)), &[]), // [A]
        row("voice", "voice", Voice, Treble, AS_WRITTEN, (p(G, 0, 3), p(E, 0, 5)), &[]), // [C]
        row("low-voice", "low voice", Voice, Bass, AS_WRITTEN, (p(G, 0, 2), p(E, 0, 4)), &[]), // [C]
    ]
};

impl Instrument {
    /// Every instrument, keyboard first.
    pub fn all() -> impl Iterator<Item = &'static Instrument> {
        INSTRUMENTS.iter()
    }

    /// The instrument with this name in data, such as `alto-sax`.
    pub fn named(name: &str) -> Option<&'static Instrument> {
        INSTRUMENTS.iter().find(|instrument| instrument.name == name)
    }

    /// The keyboard, which everything is first shown for.
    pub fn keyboard() -> &'static Instrument {
        &INSTRUMENTS[0]
    }

    /// The name in data.
    pub fn name(&self) -> &'static str {
        self.name
    }

    /// The name that a person says: "alto sax".
    pub fn title(&self) -> &'static str {
        self.title
    }

    /// How it is played.
    pub fn family(&self) -> Family {
        self.family
    }

    /// The clef that its player reads.
    pub fn clef(&self) -> Clef {
        self.clef
    }

    /// Open strings as they sound, in the order in which they lie; empty for instruments without.
    pub fn strings(&self) -> &'static [Pitch] {
        self.strings
    }

    /// The lowest and the highest pitch as its player reads them.
    pub fn written_range(&self) -> (Pitch, Pitch) {
        self.range
    }

    /// The lowest and the highest pitch as they sound.
    pub fn sounding_range(&self) -> (Pitch, Pitch) {
        (self.range.0.up(-self.written_above), self.range.1.up(-self.written_above))
    }

    /// The interval from the sounding pitch up to the written one: a major second for a B♭ trumpet.
    pub fn written_above(&self) -> Interval {
        self.written_above
    }

    /// The note that sounds when the player reads C: B♭ for a trumpet, C where names are as they sound.
    pub fn pitched_in(&self) -> NoteName {
        NoteName::new(Step::C, 0).up(-self.written_above)
    }

    /// Where a sounding pitch lies, if it is out of range: a reason to warn, never to forbid.
    pub fn beyond(&self, sounding: Pitch) -> Option<Beyond> {
        let (low, high) = self.sounding_range();
        if sounding.semitones() < low.semitones() {
            Some(Beyond::Below)
        } else if sounding.semitones() > high.semitones() {
            Some(Beyond::Above)
        } else {
            None
        }
    }

    /// How this player reads a tune that sounds in `key`.
    pub fn reading(&self, key: Key) -> Reading {
        Reading::written_above(key, self.written_above)
    }
}

/// The key `interval` above `key`, or its enharmonic twin where that one has fewer sharps or flats. A key that only
/// moves by octaves is the player's own choice and stays.
fn friendliest(key: Key, interval: Interval) -> Key {
    if interval.within_octave() == Interval::UNISON {
        return key;
    }
    let moved = key.up(interval);
    let twin = Key::of_signature(moved.fifths() - 12 * moved.fifths().signum(), key.mode());
    let is_twin = twin.tonic().pitch_class() == moved.tonic().pitch_class();
    if is_twin && twin.fifths().abs() < moved.fifths().abs() { twin } else { moved }
}

/// How one player reads what sounds in one key: every name moves by the same interval, so that the written key has
/// at most seven sharps or flats and chords and notes are spelled in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Reading {
    key: Key,
    interval: Interval,
}

impl Reading {
    /// As it sounds.
    pub fn concert(key: Key) -> Reading {
        Reading { key, interval: Interval::UNISON }
    }

    /// How a tune that sounds in `key` is read by who reads `interval` above what sounds, in the spelling with fewer
    /// accidentals.
    pub fn written_above(key: Key, interval: Interval) -> Reading {
        let written = friendliest(key, interval);
        let octaves = interval - interval.within_octave();
        Reading { key: written, interval: key.tonic().interval_to(written.tonic()) + octaves }
    }

    /// The written key.
    pub fn key(self) -> Key {
        self.key
    }

    /// From the sounding pitch up to the written one.
    pub fn interval(self) -> Interval {
        self.interval
    }

    /// A sounding pitch as it is written.
    pub fn pitch(self, sounding: Pitch) -> Pitch {
        sounding.up(self.interval)
    }

    /// A written pitch as it sounds.
    pub fn sounding(self, written: Pitch) -> Pitch {
        written.up(-self.interval)
    }

    /// A note name as it is written.
    pub fn name(self, sounding: NoteName) -> NoteName {
        sounding.up(self.interval)
    }

    /// A chord as it is written.
    pub fn chord(self, sounding: &Chord) -> Chord {
        sounding.up(self.interval)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_sound() {
        for instrument in Instrument::all() {
            assert_eq!(Instrument::named(instrument.name()), Some(instrument));
            let (low, high) = instrument.sounding_range();
            assert!(low.semitones() + 12 <= high.semitones(), "{}", instrument.name());
            assert!(low.midi().is_some() && high.midi().is_some(), "{}", instrument.name());
            assert_eq!(instrument.beyond(low).or(instrument.beyond(high)), None);
            assert_eq!(instrument.beyond(low.up(-Interval::MINOR_SECOND)), Some(Beyond::Below));
            assert_eq!(instrument.beyond(high.up(Interval::MINOR_SECOND)), Some(Beyond::Above));
            for string in instrument.strings() {
                assert_eq!(instrument.beyond(*string), None, "{}", instrument.name());
            }
        }
    }
}
