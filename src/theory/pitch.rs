//! Spelled pitches: a step, an alteration and an octave, as in MusicXML.

use std::fmt;
use std::str::FromStr;

use crate::theory::interval::Interval;
use crate::units::MidiNote;

/// The seven letters of note names.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Step {
    /// C.
    C,
    /// D.
    D,
    /// E.
    E,
    /// F.
    F,
    /// G.
    G,
    /// A.
    A,
    /// B.
    B,
}

impl Step {
    /// All steps, from C upwards.
    pub const ALL: [Step; 7] = [Step::C, Step::D, Step::E, Step::F, Step::G, Step::A, Step::B];

    /// The place in the octave, counted from C: 0 ..= 6.
    pub fn index(self) -> i32 {
        self as i32
    }

    /// The step `index` places above C, in any octave.
    pub fn from_index(index: i32) -> Step {
        Step::ALL[index.rem_euclid(7) as usize]
    }

    /// Half steps above C without an accidental: 0 2 4 5 7 9 11.
    pub fn semitones(self) -> i32 {
        [0, 2, 4, 5, 7, 9, 11][self as usize]
    }

    pub(crate) fn letter(self) -> char {
        ['C', 'D', 'E', 'F', 'G', 'A', 'B'][self as usize]
    }

    fn from_letter(letter: char) -> Option<Step> {
        Step::ALL.into_iter().find(|step| step.letter() == letter)
    }
}

/// A note name without an octave, such as B♭ or F♯.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NoteName {
    /// The letter.
    pub step: Step,
    /// Half steps of alteration: −1 is flat, +2 double sharp. Kept within ±3, the most that theory asks for
    /// in the thirty keys (C♭dim7 has a triple flat).
    pub alter: i32,
}

impl NoteName {
    /// A name from its parts.
    pub const fn new(step: Step, alter: i32) -> NoteName {
        NoteName { step, alter }
    }

    /// Half steps above C within the octave: 0 ..= 11.
    pub fn pitch_class(self) -> i32 {
        (self.step.semitones() + self.alter).rem_euclid(12)
    }

    /// The name that lies `interval` above.
    pub fn up(self, interval: Interval) -> NoteName {
        Pitch { name: self, octave: 4 }.up(interval).name
    }

    /// The ascending interval within an octave from `self` to `other`, by their spelling.
    pub fn interval_to(self, other: NoteName) -> Interval {
        let steps = (other.step.index() - self.step.index()).rem_euclid(7);
        let octave = if other.step.index() < self.step.index() { 12 } else { 0 };
        let semitones = other.step.semitones() + other.alter + octave - self.step.semitones() - self.alter;
        Interval { steps, semitones }
    }

    /// Place on the line of fifths: C = 0, G = 1, F = −1, B♭ = −2.
    pub fn fifths(self) -> i32 {
        [0, 2, 4, -1, 1, 3, 5][self.step as usize] + 7 * self.alter
    }

    /// The name `place` fifths from C on the line of fifths: 1 is G, −2 is B♭.
    pub fn on_line_of_fifths(place: i32) -> NoteName {
        let step = [Step::F, Step::C, Step::G, Step::D, Step::A, Step::E, Step::B]
            [(place + 1).rem_euclid(7) as usize];
        NoteName { step, alter: (place + 1).div_euclid(7) }
    }

    /// As a person reads it: `B♭`, `F♯`, `E𝄫`.
    pub fn pretty(self) -> String {
        let sign = match self.alter {
            -3 => "♭𝄫",
            -2 => "𝄫",
            -1 => "♭",
            1 => "♯",
            2 => "𝄪",
            3 => "♯𝄪",
            _ => "",
        };
        format!("{}{sign}", self.step.letter())
    }
}

/// ASCII, as data has it: `Bb`, `F#`, `Ebb`.
impl fmt::Display for NoteName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.alter < 0 { "b" } else { "#" };
        write!(f, "{}{}", self.step.letter(), sign.repeat(self.alter.unsigned_abs() as usize))
    }
}

/// Why a text is no note name or pitch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotANote {
    /// What was found.
    pub found: String,
}

impl fmt::Display for NotANote {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "“{}” is not a note: expected a letter A to G, then b or # if needed", self.found)
    }
}

impl std::error::Error for NotANote {}

/// Splits a note name off the front of `text`: letter, then up to three flats or sharps (ASCII or ♭ ♯).
/// Returns the rest with it, or `None` where no letter A to G stands in front.
pub fn split_name(text: &str) -> Option<(NoteName, &str)> {
    let mut chars = text.chars();
    let step = Step::from_letter(chars.next()?)?;
    let mut rest = chars.as_str();
    let mut alter = 0_i32;
    while let Some(sign) = rest.chars().next() {
        let by = match sign {
            'b' | '♭' => -1,
            '#' | '♯' => 1,
            '𝄫' => -2,
            '𝄪' => 2,
            _ => break,
        };
        if alter * by < 0 || (alter + by).abs() > 3 {
            break;
        }
        alter += by;
        rest = &rest[sign.len_utf8()..];
    }
    Some((NoteName { step, alter }, rest))
}

impl FromStr for NoteName {
    type Err = NotANote;

    fn from_str(text: &str) -> Result<NoteName, NotANote> {
        match split_name(text) {
            Some((name, "")) => Ok(name),
            _ => Err(NotANote { found: text.chars().take(20).collect() }),
        }
    }
}

/// A spelled pitch; octave 4 starts at middle C.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Pitch {
    /// The name without the octave.
    pub name: NoteName,
    /// The octave of the step: C♭4 sounds as B3, yet its octave is 4.
    pub octave: i32,
}

impl Pitch {
    /// A pitch from its parts.
    pub const fn new(step: Step, alter: i32, octave: i32) -> Pitch {
        Pitch { name: NoteName { step, alter }, octave }
    }

    /// Half steps above C−1, where MIDI begins; may lie outside MIDI's range.
    pub fn semitones(self) -> i32 {
        (self.octave + 1) * 12 + self.name.step.semitones() + self.name.alter
    }

    /// Steps of the staff above C0: neighbouring letters differ by one.
    pub fn staff_step(self) -> i32 {
        self.octave * 7 + self.name.step.index()
    }

    /// The MIDI note that sounds, or `None` outside MIDI's range.
    pub fn midi(self) -> Option<MidiNote> {
        MidiNote::new(self.semitones())
    }

    /// The pitch `interval` above; a negative interval goes down. Where the exact spelling would need more than
    /// three accidentals, the neighbouring step is used instead; the sound is always exact.
    pub fn up(self, interval: Interval) -> Pitch {
        let sound = self.semitones() + interval.semitones;
        let mut staff = self.staff_step() + interval.steps;
        loop {
            let (octave, step) = (staff.div_euclid(7), Step::from_index(staff));
            let alter = sound - (octave + 1) * 12 - step.semitones();
            if alter.abs() <= 3 {
                return Pitch { name: NoteName { step, alter }, octave };
            }
            staff += alter.signum();
        }
    }

    /// The same sound with at most a double accidental, which is as many as paper and most formats have.
    pub fn at_most_double(self) -> Pitch {
        if self.name.alter.abs() < 3 { self } else { self.up(Interval::new(self.name.alter.signum(), 0)) }
    }

    /// The interval from `self` up to `other`; negative where `other` is lower.
    pub fn interval_to(self, other: Pitch) -> Interval {
        Interval {
            steps: other.staff_step() - self.staff_step(),
            semitones: other.semitones() - self.semitones(),
        }
    }

    /// The pitch of this name that sounds as `midi`, or `None` where the name does not sound so.
    pub fn of_name(name: NoteName, midi: MidiNote) -> Option<Pitch> {
        let above_c = i32::from(midi.number()) - name.step.semitones() - name.alter;
        (above_c.rem_euclid(12) == 0).then(|| Pitch { name, octave: above_c.div_euclid(12) - 1 })
    }
}

/// ASCII with the octave: `Bb4`.
impl fmt::Display for Pitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.name, self.octave)
    }
}

impl FromStr for Pitch {
    type Err = NotANote;

    fn from_str(text: &str) -> Result<Pitch, NotANote> {
        let error = || NotANote { found: text.chars().take(20).collect() };
        let (name, rest) = split_name(text).ok_or_else(error)?;
        let octave = rest.parse().ok().filter(|octave| (-2..=10).contains(octave)).ok_or_else(error)?;
        Ok(Pitch { name, octave })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::interval::Interval;

    #[test]
    fn middle_c_is_midi_60_and_c_flat_4_sounds_as_b3() {
        assert_eq!("C4".parse::<Pitch>().unwrap().midi(), MidiNote::new(60));
        assert_eq!("Cb4".parse::<Pitch>().unwrap().midi(), MidiNote::new(59));
        assert_eq!("B#3".parse::<Pitch>().unwrap().midi(), MidiNote::new(60));
    }

    #[test]
    fn names_read_back_as_written() {
        for text in ["C", "Bb", "F#", "Ebb", "Bbbb", "F##"] {
            assert_eq!(text.parse::<NoteName>().unwrap().to_string(), text);
        }
        for text in ["", "H", "Bb#", "bb", "Cbbbb", "C4"] {
            assert!(text.parse::<NoteName>().is_err(), "{text}");
        }
    }

    #[test]
    fn intervals_move_by_spelling() {
        let d = "D4".parse::<Pitch>().unwrap();
        assert_eq!(d.up(Interval::MAJOR_THIRD).to_string(), "F#4");
        assert_eq!(d.up(-Interval::MAJOR_THIRD).to_string(), "Bb3");
    }
}
