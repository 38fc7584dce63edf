//! The music: signs to events, in the order in which they are written.

use super::Error;
use super::header::{self, Header, Line, Signature};
use super::length::{self, Fraction, take_number};
use crate::rhythm::metre::Metre;
use crate::riff::Ornament;
use crate::theory::pitch::{NoteName, Pitch, Step};

/// What a sign of the music means.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Event {
    /// Something that takes time.
    Timed {
        /// What it is.
        what: What,
        /// In whole notes; bars are counted in [`Event::Bars`].
        length: Fraction,
        /// The line that it stands on.
        line: usize,
    },
    /// Rests of whole bars: how many, and whether they belong to the riff.
    Bars { count: i128, what: What, line: usize },
    /// A bar line of any kind.
    BarLine,
    /// Another metre; only where [`Reach::Music`] is read.
    Metre(Metre),
}

/// How much is read.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Reach {
    /// What a riff can hold: all else is refused.
    Riff,
    /// Music of any kind, of which what a melody cannot hold is passed over and counted.
    Music,
}

/// What was read.
#[derive(Default)]
pub(super) struct Heard {
    pub events: Vec<Event>,
    /// Notes under the highest of a chord.
    pub under: usize,
    /// Repeats and other endings.
    pub repeats: usize,
    /// Chord symbols.
    pub chords: usize,
}

/// What takes time.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum What {
    /// A note, and whether it is tied to the next.
    Note { pitch: Pitch, accent: bool, ornament: Option<Ornament>, tied: bool },
    /// A rest of the riff.
    Rest,
    /// Room that positions the riff.
    Position,
}

/// Reads lines of music.
pub(super) fn read(header: &Header, lines: &[Line], reach: Reach) -> Result<Heard, Error> {
    let mut reader = Reader {
        header,
        reach,
        signature: header.signature,
        unit: header.unit,
        line: 0,
        altered: [None; 7],
        tuplet: None,
        broken: None,
        held: None,
        accent: false,
        ornament: None,
        heard: Heard::default(),
    };
    for line in lines {
        reader.line = line.number;
        match header::field(line.text) {
            Some((name, value)) => reader.field(name, value)?,
            None => reader.music(line.text)?,
        }
    }
    Ok(reader.heard)
}

struct Reader<'a> {
    header: &'a Header,
    reach: Reach,
    signature: Signature,
    unit: Fraction,
    line: usize,
    /// Accidentals that hold until the bar line, in every octave: the default of section 11.3.
    altered: [Option<i32>; 7],
    /// By how much the next notes are stretched, and how many of them.
    tuplet: Option<(Fraction, i128)>,
    /// By how much a `>` or `<` stretches the next note.
    broken: Option<Fraction>,
    /// The note that a tie holds over to the next, past bar lines too, with its accidental.
    held: Option<Pitch>,
    accent: bool,
    ornament: Option<Ornament>,
    heard: Heard,
}

impl Reader<'_> {
    fn music(&mut self, text: &str) -> Result<(), Error> {
        // Lines of other voices are left out already.
        let voice = text.trim_start().strip_prefix("[V:").and_then(|rest| rest.split_once(']'));
        let mut rest = voice.map_or(text, |(_, rest)| rest);
        while let Some(sign) = rest.chars().next() {
            let after = &rest[sign.len_utf8()..];
            match sign {
                '^' | '_' | '=' | 'A'..='G' | 'a'..='g' => self.note(&mut rest)?,
                'z' | 'x' | 'Z' | 'X' => {
                    rest = after;
                    self.rest(sign, &mut rest)?;
                }
                '|' | ':' | ']' => {
                    let behind = after.trim_start_matches(['|', ':', ']']);
                    self.heard.repeats += usize::from(rest[..rest.len() - behind.len()].contains(':'));
                    rest = self.bar_line(behind)?;
                }
                '[' => rest = self.bracket(after)?,
                '(' => {
                    rest = after;
                    if rest.starts_with(|sign: char| sign.is_ascii_digit()) {
                        self.begin_tuplet(&mut rest)?;
                    }
                }
                '{' => rest = self.grace(after)?,
                '>' | '<' => rest = self.broken_rhythm(rest)?,
                '-' => {
                    rest = after;
                    self.tie();
                }
                '!' => rest = self.decoration(after),
                '"' => {
                    let (text, behind) =
                        after.split_once('"').ok_or_else(|| self.unexpected('"', "another “\"”"))?;
                    // Section 4.18: what begins with another sign is a word and no chord.
                    self.heard.chords +=
                        usize::from(text.starts_with(|sign: char| sign.is_ascii_uppercase()));
                    rest = behind;
                }
                'L' => {
                    rest = after;
                    self.accent = true;
                }
                'y' => {
                    rest = after;
                    self.length(&mut rest)?;
                }
                '&' if self.reach == Reach::Music => {
                    let behind = after.find('|').map_or("", |end| &after[end..]);
                    let beside = &after[..after.len() - behind.len()];
                    self.heard.under +=
                        beside.chars().filter(|sign| "ABCDEFGabcdefg".contains(*sign)).count();
                    rest = behind;
                }
                '&' => return Err(self.not_in_a_riff("a second voice beside the first")),
                // Section 8.1: signs that are kept for later; an old way of writing decorations.
                '#' | '*' | ';' | '?' | '@' if self.reach == Reach::Music => rest = after,
                '+' if self.reach == Reach::Music => {
                    rest = after.split_once('+').map_or(after, |(_, behind)| behind);
                }
                // Slurs, beams, line ends, and the short signs of section 4.14, which change neither time nor pitch.
                ')' | '`' | '\\' | '$' | '.' | '~' | 'H'..='W' | 'h'..='w' => rest = after,
                _ if sign.is_whitespace() => rest = after,
                _ => return Err(self.unexpected(sign, "a note, a rest or a bar line")),
            }
        }
        Ok(())
    }

    fn note(&mut self, rest: &mut &str) -> Result<(), Error> {
        let pitch = self.pitch(rest)?;
        let length = self.length(rest)?;
        let (accent, ornament) = (self.accent, self.ornament.take());
        self.accent = false;
        self.push(What::Note { pitch, accent, ornament, tied: false }, length);
        Ok(())
    }

    /// Accidental, letter and octave marks (sections 4.1 and 4.2).
    fn pitch(&mut self, rest: &mut &str) -> Result<Pitch, Error> {
        let letters = rest.trim_start_matches(['^', '_', '=']);
        let explicit = match &rest[..rest.len() - letters.len()] {
            "" => None,
            "=" => Some(0),
            "^" => Some(1),
            "^^" => Some(2),
            "_" => Some(-1),
            "__" => Some(-2),
            _ => return Err(self.unexpected(rest.chars().next().unwrap_or(' '), "one accidental")),
        };
        let letter = letters.chars().next().unwrap_or(' ');
        let index = "CDEFGAB".find(letter.to_ascii_uppercase());
        let step = Step::from_index(index.ok_or_else(|| self.unexpected(letter, "a note A to G"))? as i32);
        let marks = &letters[1..];
        let after = marks.trim_start_matches(['\'', ',']);
        let mut octave = if letter.is_ascii_lowercase() { 5 } else { 4 } + self.signature.octaves;
        for mark in marks[..marks.len() - after.len()].bytes().take(16) {
            octave += if mark == b'\'' { 1 } else { -1 };
        }
        *rest = after;
        let place = step.index() as usize;
        self.altered[place] = explicit.or(self.altered[place]);
        let is_tied = |held: &Pitch| explicit.is_none() && held.name.step == step && held.octave == octave;
        let held = self.held.filter(is_tied).map(|held| held.name.alter);
        let alter = held.or(self.altered[place]).unwrap_or(self.signature.alters[place]);
        let pitch = Pitch { name: NoteName { step, alter }, octave };
        pitch.midi().map(|_| pitch).ok_or(Error::Pitch { line: self.line })
    }

    fn rest(&mut self, sign: char, rest: &mut &str) -> Result<(), Error> {
        let what = if sign.eq_ignore_ascii_case(&'z') { What::Rest } else { What::Position };
        if sign.is_ascii_lowercase() {
            let length = self.length(rest)?;
            self.push(what, length);
        } else {
            let count = take_number(rest).unwrap_or(1);
            self.heard.events.push(Event::Bars { count, what, line: self.line });
        }
        Ok(())
    }

    /// Adds what takes time, stretched by its tuplet and by a `>` before it.
    fn push(&mut self, what: What, mut length: Fraction) {
        if let Some((stretch, left)) = self.tuplet {
            length = length.times(stretch);
            self.tuplet = (left > 1).then_some((stretch, left - 1));
        }
        if let Some(stretch) = self.broken.take() {
            length = length.times(stretch);
        }
        self.held = None;
        self.heard.events.push(Event::Timed { what, length, line: self.line });
    }

    fn length(&self, rest: &mut &str) -> Result<Fraction, Error> {
        let length = length::take(rest).ok_or(Error::Length { line: self.line })?;
        Ok(self.unit.times(length))
    }

    /// Section 4.13: `(3`, `(3:2`, `(3:2:3`, with the defaults named there.
    fn begin_tuplet(&mut self, rest: &mut &str) -> Result<(), Error> {
        let mut numbers = [None; 3];
        for (index, number) in numbers.iter_mut().enumerate() {
            if index > 0 {
                match rest.strip_prefix(':') {
                    Some(after) => *rest = after,
                    None => break,
                }
            }
            *number = take_number(rest);
        }
        let [notes, time, count] = numbers;
        let notes = notes.unwrap_or(0);
        let usual = match notes {
            2 | 4 | 8 => 3,
            3 | 6 => 2,
            _ if self.header.metre.is_compound() => 3,
            _ => 2,
        };
        let expected = "a tuplet of 2 to 9 notes";
        let stretch = Fraction::new(time.unwrap_or(usual), notes).filter(|_| (2..=9).contains(&notes));
        let count = count.unwrap_or(notes);
        self.tuplet = Some((stretch.ok_or_else(|| self.unexpected('(', expected))?, count));
        if count == 0 { Err(self.unexpected('(', expected)) } else { Ok(()) }
    }

    /// Section 4.4: `>` makes the note before it half as long again and the one behind it half as long.
    fn broken_rhythm<'t>(&mut self, text: &'t str) -> Result<&'t str, Error> {
        let sign = if text.starts_with('>') { '>' } else { '<' };
        let rest = text.trim_start_matches(sign);
        let short = 1_i128 << (text.len() - rest.len()).min(4);
        let parts = Fraction::new(2 * short - 1, short).zip(Fraction::new(1, short));
        let before = self.heard.events.last_mut().filter(|_| short <= 8 && self.broken.is_none());
        let (Some(Event::Timed { length, .. }), Some((long, short))) = (before, parts) else {
            return Err(self.unexpected(sign, "a note before it and a note behind it"));
        };
        let (here, next) = if sign == '>' { (long, short) } else { (short, long) };
        *length = length.times(here);
        self.broken = Some(next);
        Ok(rest)
    }

    fn tie(&mut self) {
        if let Some(Event::Timed { what: What::Note { pitch, tied, .. }, .. }) = self.heard.events.last_mut()
        {
            *tied = true;
            self.held = Some(*pitch);
        }
    }

    /// Section 4.14. A `!` alone is an old sign for a line end.
    fn decoration<'t>(&mut self, text: &'t str) -> &'t str {
        let Some((name, rest)) = text.split_once('!') else { return text };
        match name {
            ">" | "accent" | "emphasis" => self.accent = true,
            "slide" => self.ornament = Some(Ornament::Scoop),
            _ => (),
        }
        rest
    }

    /// Section 4.12. Of several grace notes the one next to the note is kept.
    fn grace<'t>(&mut self, text: &'t str) -> Result<&'t str, Error> {
        let (notes, rest) = text.split_once('}').ok_or_else(|| self.unexpected('{', "“}” behind it"))?;
        let mut inside = notes.strip_prefix('/').unwrap_or(notes);
        while let Some(sign) = inside.chars().next() {
            if sign.is_whitespace() || matches!(sign, '(' | ')' | '-') {
                inside = &inside[sign.len_utf8()..];
                continue;
            }
            self.ornament = Some(Ornament::Crushed(self.pitch(&mut inside)?));
            self.length(&mut inside)?;
        }
        Ok(rest)
    }

    /// What follows a `[`: a bar line, a field, or what a riff cannot hold.
    fn bracket<'t>(&mut self, text: &'t str) -> Result<&'t str, Error> {
        if text.starts_with('|') {
            return Ok(text);
        }
        if let Some((name, _)) = header::field(text) {
            let (inside, rest) = text.split_once(']').ok_or_else(|| self.unexpected('[', "“]” behind it"))?;
            self.field(name, inside[2..].trim())?;
            return Ok(rest);
        }
        let digit = text.starts_with(|sign: char| sign.is_ascii_digit());
        match self.reach {
            Reach::Riff => Err(self.not_in_a_riff(if digit { "other endings" } else { "chords" })),
            Reach::Music if digit => Ok(self.ending(text)),
            Reach::Music => self.chord(text),
        }
    }

    /// A bar line, and what ending it begins; gives what follows.
    fn bar_line<'t>(&mut self, rest: &'t str) -> Result<&'t str, Error> {
        let digit = rest.starts_with(|sign: char| sign.is_ascii_digit());
        if digit && self.reach == Reach::Riff {
            return Err(self.not_in_a_riff("other endings"));
        }
        self.altered = [None; 7];
        self.heard.events.push(Event::BarLine);
        Ok(if digit { self.ending(rest) } else { rest })
    }

    /// The numbers of an ending, as in `1,3` or `1-3`.
    fn ending<'t>(&mut self, text: &'t str) -> &'t str {
        self.heard.repeats += 1;
        text.trim_start_matches(|sign: char| sign.is_ascii_digit() || matches!(sign, ',' | '-' | '.'))
    }

    /// Section 4.17: notes that begin together, as long as the first of them; the highest is kept.
    fn chord<'t>(&mut self, text: &'t str) -> Result<&'t str, Error> {
        let (inside, mut rest) = text.split_once(']').ok_or_else(|| self.unexpected('[', "“]” behind it"))?;
        let (mut inside, mut notes) = (inside, Vec::new());
        while let Some(sign) = inside.chars().next() {
            if matches!(sign, '^' | '_' | '=' | 'A'..='G' | 'a'..='g') {
                let pitch = self.pitch(&mut inside)?;
                notes.push((pitch, self.length(&mut inside)?));
            } else if sign == '!' {
                inside = self.decoration(&inside[1..]);
            } else {
                inside = &inside[sign.len_utf8()..];
            }
        }
        let highest = notes.iter().map(|(pitch, _)| *pitch).max_by_key(|pitch| pitch.semitones());
        let (Some(pitch), Some((_, first))) = (highest, notes.first()) else { return Ok(rest) };
        let times = length::take(&mut rest).ok_or(Error::Length { line: self.line })?;
        self.heard.under += notes.len() - 1;
        let (accent, ornament) = (std::mem::take(&mut self.accent), self.ornament.take());
        self.push(What::Note { pitch, accent, ornament, tied: false }, first.times(times));
        Ok(rest)
    }

    /// A field in the middle of the music.
    fn field(&mut self, name: char, value: &str) -> Result<(), Error> {
        match name {
            'K' => self.signature = header::key(value, self.line)?.1,
            'L' => self.unit = header::unit(value, self.line)?,
            'M' => {
                let other = header::metre(value, self.line)?.filter(|metre| *metre != self.header.metre);
                match (other, self.reach) {
                    (Some(_), Reach::Riff) => return Err(self.not_in_a_riff("another metre half-way")),
                    (Some(metre), Reach::Music) => self.heard.events.push(Event::Metre(metre)),
                    (None, _) => {}
                }
            }
            'V' => return Err(self.not_in_a_riff("another voice in the middle of a line")),
            _ => (),
        }
        Ok(())
    }

    fn unexpected(&self, found: char, expected: &'static str) -> Error {
        Error::Unexpected { line: self.line, found, expected }
    }

    fn not_in_a_riff(&self, found: &'static str) -> Error {
        Error::NotInARiff { line: self.line, found }
    }
}
