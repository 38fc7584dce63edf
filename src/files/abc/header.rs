//! Fields: what stands before the music, and which of the lines are music.

use super::length::{Fraction, take_number};
use super::{Error, cut};
use crate::rhythm::metre::Metre;
use crate::theory::key::{Key, Mode};
use crate::theory::pitch::{NoteName, Step, split_name};
use crate::units::Ticks;

/// What the fields before the music say.
pub(super) struct Header {
    pub title: String,
    pub key: Key,
    pub signature: Signature,
    pub metre: Metre,
    /// What a note without a number lasts, in whole notes.
    pub unit: Fraction,
    /// How each beat is divided, where the text says so; see [`DIVISIONS`].
    pub divisions: Vec<u8>,
    /// Where the riff begins, from the bar line, where the text says so; see [`START`].
    pub start: Option<Ticks>,
    /// Quarters a minute, where the text says so.
    pub tempo: Option<f64>,
}

/// The directive that says how each beat is divided, where the notes do not show it. Section 11: programs pass over
/// directives that they do not know.
pub(super) const DIVISIONS: &str = "%%riffloom-divisions";

/// The directive that says where the riff begins, in quarters from the bar line (`-9/4`), where its bars and
/// rests do not show it.
pub(super) const START: &str = "%%riffloom-start";

/// Alterations of the seven steps from C on, and octaves to add.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Signature {
    pub alters: [i32; 7],
    pub octaves: i32,
}

impl Signature {
    /// The signature with this many sharps (flats negative), −7 ..= 7.
    pub fn of_fifths(fifths: i32) -> Signature {
        let alter = |step: Step| {
            // A step is altered once its name lies outside the seven names in a row that the key has.
            let natural = NoteName::new(step, 0).fifths();
            (fifths + 5 - natural).div_euclid(7)
        };
        Signature { alters: Step::ALL.map(alter), octaves: 0 }
    }
}

/// A line of music, and its number.
pub(super) struct Line<'a> {
    pub number: usize,
    pub text: &'a str,
}

/// Reads the fields of the first tune, and finds the lines of its first voice. Fields between the lines of music are
/// handed on with them, as `K:…`.
pub(super) fn read(text: &str) -> Result<(Header, Vec<Line<'_>>), Error> {
    let mut fields = Fields::default();
    let mut music = Vec::new();
    let mut voices = Voices::default();
    let mut begun = false;
    for (index, line) in text.lines().enumerate() {
        let number = index + 1;
        if let Some(parts) = line.strip_prefix(DIVISIONS) {
            fields.divisions = divisions(parts, number)?;
            continue;
        }
        if let Some(quarters) = line.strip_prefix(START) {
            fields.start = start(quarters);
            continue;
        }
        if line.trim().is_empty() {
            // Section 2.2: an empty line ends a tune.
            if begun {
                break;
            }
            continue;
        }
        let line = without_comment(line);
        match field(line) {
            Some(('K', value)) if !fields.has_key => {
                (fields.key, fields.signature) = key(value, number)?;
                (fields.has_key, begun) = (true, true);
            }
            Some(('V', value)) if begun => voices.turn_to(value),
            Some((name, value)) if !begun => fields.take(name, value, number)?,
            Some(('K' | 'L' | 'M', _)) if voices.is_first() => music.push(Line { number, text: line }),
            Some(_) => (),
            // Before the key it is free text (section 2.2.3).
            None if begun && !line.trim().is_empty() && voices.has_music(line) => {
                music.push(Line { number, text: line });
            }
            None => (),
        }
    }
    Ok((fields.header(), music))
}

/// The letter and the value of a line that is a field.
pub(super) fn field(line: &str) -> Option<(char, &str)> {
    let mut chars = line.chars();
    let name = chars.next().filter(|name| name.is_ascii_alphabetic() || *name == '+')?;
    chars
        .as_str()
        .strip_prefix(':')
        .filter(|rest| !(name == '+' && rest.is_empty()))
        .map(|value| (name, value.trim()))
}

/// The line without what follows a `%` (section 2.2.5); `\%` is a sign like others.
fn without_comment(line: &str) -> &str {
    let mut escaped = false;
    for (at, sign) in line.char_indices() {
        if sign == '%' && !escaped {
            return &line[..at];
        }
        escaped = sign == '\\' && !escaped;
    }
    line
}

/// Which voice is written, and which is read: the first that has music.
#[derive(Default)]
struct Voices {
    now: String,
    first: Option<String>,
}

impl Voices {
    fn turn_to(&mut self, value: &str) {
        self.now = value.split_whitespace().next().unwrap_or_default().to_owned();
    }

    fn is_first(&self) -> bool {
        self.first.as_ref().is_none_or(|first| *first == self.now)
    }

    /// Whether a line of music is the first voice's. A line may begin with `[V:2]`.
    fn has_music(&mut self, line: &str) -> bool {
        if let Some((value, _)) = line.trim_start().strip_prefix("[V:").and_then(|rest| rest.split_once(']'))
        {
            self.turn_to(value);
        }
        self.first.get_or_insert_with(|| self.now.clone());
        self.is_first()
    }
}

struct Fields {
    title: Option<String>,
    key: Key,
    has_key: bool,
    signature: Signature,
    metre: Option<Metre>,
    unit: Option<Fraction>,
    divisions: Vec<u8>,
    start: Option<Ticks>,
    tempo: Option<f64>,
}

impl Default for Fields {
    fn default() -> Fields {
        Fields {
            title: None,
            key: Key::of_signature(0, Mode::Major),
            has_key: false,
            signature: Signature::of_fifths(0),
            metre: None,
            unit: None,
            divisions: Vec::new(),
            start: None,
            tempo: None,
        }
    }
}

impl Fields {
    fn take(&mut self, name: char, value: &str, line: usize) -> Result<(), Error> {
        match name {
            'T' if self.title.is_none() => self.title = Some(unescaped(value)),
            'M' => self.metre = metre(value, line)?,
            'L' => self.unit = Some(unit(value, line)?),
            'Q' if self.tempo.is_none() => self.tempo = tempo(value),
            _ => (),
        }
        Ok(())
    }

    fn header(self) -> Header {
        // Section 3.1.7: without L: a metre of less than 0.75 counts in sixteenths, any other in eighths.
        let metre = self.metre.unwrap_or(Metre::FOUR_FOUR);
        let fine = i32::from(metre.upper()) * 4 < i32::from(metre.lower()) * 3;
        let unit = Fraction::ONE.times(fraction(1, if fine { 16 } else { 8 }));
        Header {
            title: self.title.unwrap_or_default(),
            key: self.key,
            signature: self.signature,
            metre,
            unit: self.unit.unwrap_or(unit),
            divisions: self.divisions,
            start: self.start,
            tempo: self.tempo,
        }
    }
}

fn fraction(over: i128, under: i128) -> Fraction {
    Fraction::new(over, under).expect("small numbers above zero")
}

/// Section 3.1.8: `1/4=92`, also of several lengths and with words between quotes; a number alone counts quarters.
fn tempo(value: &str) -> Option<f64> {
    let plain: String = value.split('"').step_by(2).collect::<Vec<_>>().join(" ");
    let (lengths, number) = plain.split_once('=').unwrap_or(("1/4", &plain));
    let length = |text: &str| {
        let (over, under) = text.split_once('/').unwrap_or((text, "1"));
        Some(over.trim().parse::<f64>().ok()? / under.trim().parse::<f64>().ok()? * 4.0)
    };
    let quarters = lengths.split_whitespace().map(length).sum::<Option<f64>>()?;
    let number: f64 = number.trim().parse().ok()?;
    Some(quarters * number).filter(|quarters| quarters.is_finite() && *quarters > 0.0)
}

/// `\%`, `\&` and `\\` are the signs themselves (section 8.2).
fn unescaped(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    let mut signs = text.chars().peekable();
    while let Some(sign) = signs.next() {
        let next = signs.next_if(|next| sign == '\\' && matches!(next, '%' | '&' | '\\'));
        plain.push(next.unwrap_or(sign));
    }
    plain
}

fn divisions(text: &str, line: usize) -> Result<Vec<u8>, Error> {
    let one = |word: &str| word.parse().ok().filter(|parts| (1..=8).contains(parts));
    text.split_whitespace().map(one).collect::<Option<_>>().ok_or_else(|| Error::Field {
        line,
        field: '%',
        found: cut(text.trim()),
        expected: "for each beat the number of its parts, 1 to 8",
    })
}

/// A number of quarters, as `-9/4` or `-3`; `None` where it is no whole number of ticks.
fn start(text: &str) -> Option<Ticks> {
    let (over, under) = text.split_once('/').unwrap_or((text, "1"));
    let (over, under) = (over.trim().parse::<i32>().ok()?, under.trim().parse::<i32>().ok()?);
    let ticks = i64::from(over) * Ticks::PER_QUARTER;
    let under = i64::from(under);
    (under > 0 && ticks % under == 0).then(|| Ticks(ticks / under))
}

/// Section 3.1.6: `4/4`, `C`, `C|`, `(2+3)/8`; `none` and nothing are no metre. Bars of whole notes are read in halves:
/// `3/1` as `6/2`.
pub(super) fn metre(value: &str, line: usize) -> Result<Option<Metre>, Error> {
    let (upper, lower) = match value {
        "" | "none" => return Ok(None),
        "C" => ("4", "4"),
        "C|" => ("2", "2"),
        _ => value.split_once('/').unwrap_or((value, "")),
    };
    let number = |text: &str| text.trim().parse::<u8>().ok();
    let groups = upper.trim().trim_start_matches('(').trim_end_matches(')').split('+');
    let upper = groups.map(number).try_fold(0_u8, |sum, group| sum.checked_add(group?));
    let metre = match (upper, number(lower)) {
        (Some(upper), Some(1)) => upper.checked_mul(2).and_then(|halves| Metre::new(halves, 2)),
        (Some(upper), Some(lower)) => Metre::new(upper, lower),
        _ => None,
    };
    let expected = "a metre such as 4/4, 12/8 or (2+3)/8, C or C|";
    metre.map(Some).ok_or_else(|| Error::Field { line, field: 'M', found: cut(value), expected })
}

/// Section 3.1.7: `1/8`.
pub(super) fn unit(value: &str, line: usize) -> Result<Fraction, Error> {
    let mut rest = value;
    let over = take_number(&mut rest);
    let under = rest.strip_prefix('/').map_or(Some(1), |after| {
        rest = after;
        take_number(&mut rest)
    });
    let unit = over.zip(under).and_then(|(over, under)| Fraction::new(over, under));
    let is_short = |unit: &Fraction| !Fraction::ONE.is_below(*unit);
    let expected = "a length of at most a whole note, such as 1/8";
    unit.filter(is_short).filter(|_| rest.trim().is_empty()).ok_or_else(|| Error::Field {
        line,
        field: 'L',
        found: cut(value),
        expected,
    })
}

/// The modes of section 3.1.14 by their first three letters: fifths that they lie below major, and whether their
/// third is minor.
#[rustfmt::skip]
const MODES: [(&str, i32, Mode); 9] = [
    ("maj", 0, Mode::Major), ("ion", 0, Mode::Major), ("lyd", -1, Mode::Major), ("mix", 1, Mode::Major),
    ("min", 3, Mode::Minor), ("aeo", 3, Mode::Minor), ("dor", 2, Mode::Minor), ("phr", 4, Mode::Minor),
    ("loc", 5, Mode::Minor),
];

/// Section 3.1.14: `G`, `Bb`, `F#m`, `D mix`, `none`; then accidentals such as `_b`, after `exp` in place of the mode's.
pub(super) fn key(value: &str, line: usize) -> Result<(Key, Signature), Error> {
    let error = || Error::Field {
        line,
        field: 'K',
        found: cut(value),
        expected: "a key such as G, Bb, F#m or D mix, of at most seven sharps or flats",
    };
    let first = value.split_whitespace().next().unwrap_or_default();
    let (mut key, mut signature) = (Key::of_signature(0, Mode::Major), Signature::of_fifths(0));
    let mut rest = value;
    let names_key =
        !first.contains('=') && !first.starts_with(['^', '_']) && !first.eq_ignore_ascii_case("none");
    if names_key && !first.is_empty() {
        let (tonic, after) = split_name(value).ok_or_else(error)?;
        let (fifths, mode, after) = mode(after).ok_or_else(error)?;
        let tonic_fifths = tonic.fifths() - fifths;
        if tonic_fifths.abs() > 7 {
            return Err(error());
        }
        key = Key::new(tonic, mode).ok_or_else(error)?;
        (signature, rest) = (Signature::of_fifths(tonic_fifths), after);
    }
    for word in rest.split_whitespace() {
        if word.eq_ignore_ascii_case("exp") || word.eq_ignore_ascii_case("none") {
            signature.alters = [0; 7];
        } else if let Some(octaves) = word.strip_prefix("octave=") {
            signature.octaves = octaves.parse().ok().filter(|n: &i32| n.abs() <= 9).ok_or_else(error)?;
        } else if let Some((step, alter)) = altered_step(word) {
            signature.alters[step.index() as usize] = alter;
        }
    }
    Ok((key, signature))
}

/// The mode behind a tonic, and what follows it.
fn mode(text: &str) -> Option<(i32, Mode, &str)> {
    let word_end = |word: &str| word.find(|sign: char| !sign.is_ascii_alphabetic()).unwrap_or(word.len());
    let trimmed = text.trim_start();
    let (word, after) = trimmed.split_at(word_end(trimmed));
    let is_parameter = after.starts_with('=') || ["exp", "bass", "alto", "tenor", "treble"].contains(&word);
    match word.to_ascii_lowercase().as_str() {
        "" => Some((0, Mode::Major, trimmed)),
        _ if is_parameter => Some((0, Mode::Major, trimmed)),
        "m" if word == "m" => Some((3, Mode::Minor, after)),
        name => {
            let row = MODES.iter().find(|(mode, _, _)| name.starts_with(mode))?;
            Some((row.1, row.2, after))
        }
    }
}

/// An accidental of a signature: `_b`, `^f`, `=c`.
fn altered_step(word: &str) -> Option<(Step, i32)> {
    let letter = word.trim_start_matches(['^', '_', '=']);
    let alter = match &word[..word.len() - letter.len()] {
        "^" => 1,
        "^^" => 2,
        "_" => -1,
        "__" => -2,
        "=" => 0,
        _ => return None,
    };
    let letter = letter.to_ascii_uppercase();
    let (name, rest) = split_name(&letter)?;
    (rest.is_empty() && name.alter == 0).then_some((name.step, alter))
}
