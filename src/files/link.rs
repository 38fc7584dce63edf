//! Share links: a riff, or a chorus with its riffs, and the tune, as a short text for what stands behind `#`.
//!
//! The text is base64url of a few bytes: version, tune, riff, name, and a checksum last, so that a cut or mistyped link
//! is noticed. Each riff and tune has exactly one text: what does not come out the same when written again is damaged.
//!
//! | version | holds |
//! |---|---|
//! | 1 | a riff |
//! | 2 | a chorus |
//! | 3 | a riff, and what is asked of the band |
//! | 4 | a chorus in which placements may have several changes or hang over the count-in, and what is asked of the band |
//! | 5 | a lesson |
//! | 6 | an answer to a lesson |
//! | 7 | several riffs |
//! | 8 | a chorus with words over its lines |
//! | 9 | a tune alone |
//!
//! What fits into an older version is written in it, so that an older page opens it.

mod chorus;
mod lesson;

use std::fmt;
use std::rc::Rc;

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;

use crate::form::standard::{ChordStyle, FormKind};
use crate::form::{FormChoice, chart};
use crate::rhythm::feel::SwingRatio;
use crate::rhythm::grid::Division;
use crate::rhythm::metre::Metre;
use crate::riff::{Note, Ornament, Riff, RiffId};
use crate::theory::key::{Key, Mode};
use crate::theory::pitch::{Pitch, Step};
use crate::units::{QuartersPerMinute, Ticks};

pub use chorus::{SharedChorus, encode_chorus};
pub use lesson::{
    Answer, Lesson, LessonStep, Limits, Several, encode_answer, encode_lesson, encode_several, lesson_number,
};

/// The tune as a link holds it.
#[derive(Clone, Debug, PartialEq)]
pub struct LinkTune {
    /// The key.
    pub key: Key,
    /// The form.
    pub form: FormChoice,
    /// With sevenths or plain.
    pub style: ChordStyle,
    /// How beats are shared out.
    pub swing: SwingRatio,
    /// Whether the beat is dotted, as in a slow 12/8; the swing is the triplet's then.
    pub dotted: bool,
    /// The tempo, in whole quarters a minute.
    pub tempo: QuartersPerMinute,
    /// What is asked of the band; `None` where nothing is said, and whoever opens the link keeps their own.
    pub band: Option<LinkBand>,
}

/// What is asked of the band: numbered settings with their values, of which the notebook knows the meaning. A setting or a
/// value that a page does not know is kept and passed over.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LinkBand(pub Vec<(u8, u16)>);

/// What a link holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Shared {
    /// The tune.
    pub tune: LinkTune,
    /// The riff; a link has no id, so this one's is zero.
    pub riff: Riff,
}

/// What there is behind a `#`.
#[derive(Clone, Debug, PartialEq)]
pub enum Link {
    /// One riff.
    Riff(Shared),
    /// A chorus.
    Chorus(SharedChorus),
    /// A lesson.
    Lesson(Lesson),
    /// An answer to a lesson.
    Answer(Answer),
    /// Several riffs.
    Several(Several),
    /// A tune alone.
    Tune(LinkTune),
}

/// Why a text is no link.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Error {
    /// There is nothing to read.
    Empty,
    /// Longer than any link.
    TooLong {
        /// How many characters there are.
        found: usize,
        /// How many a link has at most.
        most: usize,
    },
    /// A character that no link has.
    Character {
        /// The character.
        found: char,
        /// Where it stands, counted from 1.
        place: usize,
    },
    /// The checksum does not fit: something is missing or changed.
    Damaged,
    /// The link was written by a newer format than this page reads.
    UnknownVersion {
        /// The version that the link claims.
        found: u8,
        /// The newest version that this build reads.
        newest: u8,
    },
    /// The link holds a chorus, and one riff is asked for.
    IsChorus,
    /// The link holds something for a class, and one riff is asked for.
    IsForClass,
    /// The link holds a tune alone, and one riff is asked for.
    IsTune,
    /// The link is whole, yet says something that no riff or tune has.
    Nonsense,
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::Empty => write!(f, "the link is empty: there is nothing behind the #"),
            Error::TooLong { found, most } => {
                write!(
                    f,
                    "the link has {found} characters, and no link has more than {most}: is it a Riffloom link?"
                )
            }
            Error::Character { found, place } => {
                write!(
                    f,
                    "that is not a Riffloom link: it has “{}” at place {place}, which no link has. Was it copied whole?",
                    found.escape_debug()
                )
            }
            Error::Damaged => {
                write!(
                    f,
                    "that is not a Riffloom link, or it is damaged: a part is missing or changed. Ask for it once more"
                )
            }
            Error::UnknownVersion { found, newest } => write!(
                f,
                "the link was made by a newer Riffloom (format {found}, this page reads up to {newest}): reload the page"
            ),
            Error::IsChorus => write!(f, "the link holds a whole chorus, not one riff"),
            Error::IsForClass => write!(f, "the link is for a class: open it on the page"),
            Error::IsTune => write!(f, "the link holds a tune alone, without a riff"),
            Error::Nonsense => write!(f, "the link is whole, but does not hold a riff that can be played"),
        }
    }
}

impl std::error::Error for Error {}

/// The version of a link that holds one riff.
pub const VERSION: u8 = 1;
/// The version of a link that holds one riff and what is asked of the band.
pub const VERSION_WITH_BAND: u8 = 3;
/// The version of a link that holds a tune alone.
pub const VERSION_OF_TUNE: u8 = 9;
/// The longest text that is looked at: no riff and tune are longer, even a full riff over the longest chart.
pub const MOST_CHARACTERS: usize = 1 << 16;
/// The longest text that is made of a chorus: longer ones do not come through mail and chats whole.
pub const MOST_CHARACTERS_OF_CHORUS: usize = 8000;

/// Writes the link's text. Lengths are exact; the tempo is rounded to whole quarters a minute.
pub fn encode(tune: &LinkTune, riff: &Riff) -> String {
    finished(|salt| body(salt, tune, riff))
}

/// Writes the text of a tune alone. Its tempo is rounded to whole quarters a minute.
pub fn encode_tune(tune: &LinkTune) -> String {
    finished(|salt| {
        let mut out = vec![salt << 5 | VERSION_OF_TUNE];
        write_band(tune, &mut out);
        write_tune(tune, &mut out);
        out
    })
}

/// The text of a body, with its checksum.
fn finished(body: impl Fn(u8) -> Vec<u8>) -> String {
    // A text that ends in "-" or "_" may lose it in mail: the salt is the first that gives a letter or digit.
    let texts = (0..8).map(|salt| URL_SAFE_NO_PAD.encode(with_checksum(body(salt))));
    let mut last = String::new();
    for text in texts {
        if text.ends_with(|c: char| c.is_ascii_alphanumeric()) {
            return text;
        }
        last = text;
    }
    last
}

/// Reads the text of a link to one riff, with or without what mail adds: a leading `#` or `%23`, line breaks,
/// punctuation behind it.
pub fn decode(text: &str) -> Result<Shared, Error> {
    match decode_any(text)? {
        Link::Riff(shared) => Ok(shared),
        Link::Chorus(_) => Err(Error::IsChorus),
        Link::Lesson(_) | Link::Answer(_) | Link::Several(_) => Err(Error::IsForClass),
        Link::Tune(_) => Err(Error::IsTune),
    }
}

/// Reads the text of any link, as [`decode`] does.
pub fn decode_any(text: &str) -> Result<Link, Error> {
    let most = MOST_CHARACTERS;
    let trimmed: String = text.chars().filter(|c| !c.is_whitespace()).take(most + 20).collect();
    let trimmed = trimmed.strip_prefix('#').or_else(|| trimmed.strip_prefix("%23")).unwrap_or(&trimmed);
    let trimmed =
        trimmed.trim_end_matches(['.', ',', ';', ':', '!', '?', ')', ']', '>', '"', '\'', '”', '’']);
    if trimmed.is_empty() {
        return Err(Error::Empty);
    }
    if trimmed.len() > most {
        return Err(Error::TooLong { found: text.chars().count(), most });
    }
    let allowed = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
    if let Some((index, found)) = trimmed.chars().enumerate().find(|(_, c)| !allowed(*c)) {
        return Err(Error::Character { found, place: index + 1 });
    }
    let bytes = URL_SAFE_NO_PAD.decode(trimmed).map_err(|_| Error::Damaged)?;
    let body = without_checksum(&bytes).ok_or(Error::Damaged)?;
    let mut reader = Reader { bytes: body };
    let link = match reader.byte()? & 0x1f {
        VERSION => Link::Riff(Shared { tune: read_tune(&mut reader)?, riff: read_riff(&mut reader)? }),
        VERSION_WITH_BAND => {
            let band = read_band(&mut reader)?;
            let tune = LinkTune { band, ..read_tune(&mut reader)? };
            Link::Riff(Shared { tune, riff: read_riff(&mut reader)? })
        }
        version @ (chorus::VERSION | chorus::VERSION_WITH_BAND | chorus::VERSION_WITH_WORDS) => {
            Link::Chorus(chorus::read(&mut reader, version)?)
        }
        lesson::VERSION => Link::Lesson(lesson::read_lesson(&mut reader)?),
        lesson::ANSWER_VERSION => Link::Answer(lesson::read_answer(&mut reader)?),
        lesson::SEVERAL_VERSION => Link::Several(lesson::read_several(&mut reader)?),
        VERSION_OF_TUNE => Link::Tune(read_whole_tune(&mut reader)?),
        found => return Err(Error::UnknownVersion { found, newest: VERSION_OF_TUNE }),
    };
    let again = match &link {
        Link::Riff(shared) => Some(encode(&shared.tune, &shared.riff)),
        Link::Chorus(shared) => encode_chorus(&shared.tune, &shared.chorus),
        Link::Lesson(lesson) => encode_lesson(lesson),
        Link::Answer(answer) => encode_answer(answer),
        Link::Several(several) => encode_several(several),
        Link::Tune(tune) => Some(encode_tune(tune)),
    };
    if reader.bytes.is_empty() && again.as_deref() == Some(trimmed) { Ok(link) } else { Err(Error::Nonsense) }
}

fn body(salt: u8, tune: &LinkTune, riff: &Riff) -> Vec<u8> {
    let mut out = vec![salt << 5 | if tune.band.is_some() { VERSION_WITH_BAND } else { VERSION }];
    if tune.band.is_some() {
        write_band(tune, &mut out);
    }
    write_tune(tune, &mut out);
    write_riff(riff, &mut out);
    out
}

/// How many settings there are, and one more; 0 where nothing is said of the band. Then each with its value.
fn write_band(tune: &LinkTune, out: &mut Vec<u8>) {
    let Some(LinkBand(settings)) = &tune.band else { return out.push(0) };
    out.push(settings.len() as u8 + 1);
    for (setting, value) in settings {
        out.push(*setting);
        write_number((*value).into(), out);
    }
}

fn read_band(reader: &mut Reader) -> Result<Option<LinkBand>, Error> {
    let Some(count) = reader.byte()?.checked_sub(1) else { return Ok(None) };
    let setting = |_| Ok((reader.byte()?, u16::try_from(reader.number()?).map_err(|_| Error::Nonsense)?));
    Ok(Some(LinkBand((0..count).map(setting).collect::<Result<_, _>>()?)))
}

/// Marks a chart where a form's number would stand.
const CHART: u8 = 0x3f;
/// Swing is kept in twentieths, 1.00 ..= 3.50.
const SWING_PARTS: f64 = 20.0;
/// Marks a dotted beat where the swing would stand.
const DOTTED: u8 = 0xff;

/// The key's fifths and its mode.
fn write_key(key: Key, out: &mut Vec<u8>) {
    let minor = u8::from(key.mode() == Mode::Minor);
    out.push((key.fifths() + 7) as u8 | minor << 4);
}

fn read_key(byte: u8) -> Key {
    let mode = if byte & 0x10 == 0 { Mode::Major } else { Mode::Minor };
    Key::of_signature(i32::from(byte & 0x0f) - 7, mode)
}

fn write_tune(tune: &LinkTune, out: &mut Vec<u8>) {
    write_key(tune.key, out);
    let triads = u8::from(tune.style == ChordStyle::Triads) << 7;
    match &tune.form {
        FormChoice::Standard(kind) => {
            let number = FormKind::all().position(|other| other == *kind).unwrap_or_default() as u8;
            out.push(number | triads);
        }
        FormChoice::Chart(changes) => {
            out.push(CHART | triads);
            write_text(&chart::write(changes), out);
        }
    }
    let swing = ((tune.swing.value() - 1.0) * SWING_PARTS).round() as u8;
    out.push(if tune.dotted { DOTTED } else { swing });
    write_number(tune.tempo.value().round() as u64, out);
}

fn read_tune(reader: &mut Reader) -> Result<LinkTune, Error> {
    let key = read_key(reader.byte()?);
    let form = reader.byte()?;
    let style = if form & 0x80 == 0 { ChordStyle::Sevenths } else { ChordStyle::Triads };
    let form = match form & 0x7f {
        CHART => {
            let changes =
                chart::parse(&reader.text()?, key, Metre::FOUR_FOUR).map_err(|_| Error::Nonsense)?;
            FormChoice::Chart(Rc::new(changes))
        }
        number => FormChoice::Standard(FormKind::all().nth(usize::from(number)).ok_or(Error::Nonsense)?),
    };
    let swing = reader.byte()?;
    let dotted = swing == DOTTED;
    let ratio = SwingRatio::new(1.0 + f64::from(swing) / SWING_PARTS);
    let swing = if dotted { SwingRatio::TRIPLET } else { ratio.ok_or(Error::Nonsense)? };
    let tempo = QuartersPerMinute::new(reader.number()? as f64).ok_or(Error::Nonsense)?;
    Ok(LinkTune { key, form, style, swing, dotted, tempo, band: None })
}

/// What is asked of the band, then the tune.
fn read_whole_tune(reader: &mut Reader) -> Result<LinkTune, Error> {
    let band = read_band(reader)?;
    Ok(LinkTune { band, ..read_tune(reader)? })
}

fn write_riff(riff: &Riff, out: &mut Vec<u8>) {
    let unit = unit(riff);
    write_number(unit as u64, out);
    write_number((riff.beat().0 / unit) as u64, out);
    // Zigzag: the sign goes into the lowest bit.
    let start = riff.start.0 / unit;
    write_number(((start << 1) ^ (start >> 63)) as u64, out);
    out.push(riff.beats() as u8);
    let first = riff.divisions()[0];
    let uniform = riff.divisions().iter().all(|division| *division == first);
    out.push(first.parts() | u8::from(!uniform) << 7);
    if !uniform {
        for pair in riff.divisions()[1..].chunks(2) {
            out.push(pair[0].parts() | pair.get(1).map_or(0, |second| second.parts()) << 4);
        }
    }
    out.push(riff.notes().len() as u8);
    let mut end = 0;
    for note in riff.notes() {
        let (gap, length) = ((note.onset.0 - end) / unit, note.length.0 / unit);
        end = note.end().0;
        write_times(gap as u64, length as u64, out);
        write_sound(note, out);
    }
    write_text(&riff.name, out);
}

fn read_riff(reader: &mut Reader) -> Result<Riff, Error> {
    let unit = small(reader.number()?)?;
    let beat = Ticks(small(reader.number()?)? * unit);
    let zigzag = small(reader.number()?)?;
    let start = Ticks(((zigzag >> 1) ^ -(zigzag & 1)) * unit);
    let beats = usize::from(reader.byte()?);
    if !(1..=Riff::MOST_BEATS).contains(&beats) {
        return Err(Error::Nonsense);
    }
    let divisions = read_divisions(reader, beats)?;
    let count = reader.byte()?;
    let mut notes = Vec::with_capacity(usize::from(count));
    let mut end = Ticks::ZERO;
    for _ in 0..count {
        let (gap, length) = reader.times()?;
        let onset = end + Ticks(small(gap)? * unit);
        let note = reader.sound(onset, Ticks(small(length)? * unit))?;
        end = note.end();
        notes.push(note);
    }
    let name = reader.text()?;
    Riff::from_parts(RiffId(0), name, start, beat, divisions, notes).ok_or(Error::Nonsense)
}

/// A number of which no product of two overflows. A quarter of a million ticks is more than a riff ever lasts.
fn small(number: u64) -> Result<i64, Error> {
    i64::try_from(number).ok().filter(|n| *n <= 1 << 24).ok_or(Error::Nonsense)
}

fn read_divisions(reader: &mut Reader, beats: usize) -> Result<Vec<Division>, Error> {
    let division = |parts: u8| Division::new(parts).ok_or(Error::Nonsense);
    let first = reader.byte()?;
    let mut divisions = vec![division(first & 0x7f)?];
    if first & 0x80 == 0 {
        divisions.resize(beats, divisions[0]);
        return Ok(divisions);
    }
    while divisions.len() < beats {
        let pair = reader.byte()?;
        divisions.push(division(pair & 0x0f)?);
        if divisions.len() < beats {
            divisions.push(division(pair >> 4)?);
        }
    }
    Ok(divisions)
}

/// The longest time of which everything in the riff is a whole multiple.
fn unit(riff: &Riff) -> i64 {
    let notes = riff.notes().iter().flat_map(|note| [note.onset.0, note.length.0]);
    notes.chain([riff.start.0.abs()]).fold(riff.beat().0, greatest_common_divisor)
}

fn greatest_common_divisor(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { greatest_common_divisor(b, a % b) }
}

/// Two numbers in one byte where both are below 15; else the byte 0xff and two numbers.
fn write_times(gap: u64, length: u64, out: &mut Vec<u8>) {
    if gap < 15 && length < 15 {
        out.push((gap << 4 | length) as u8);
    } else {
        out.push(0xff);
        write_number(gap, out);
        write_number(length, out);
    }
}

/// Two bytes: pitch as steps of the staff and alteration, accent, ornament; two more for a crushed note.
fn write_sound(note: &Note, out: &mut Vec<u8>) {
    let ornament = match note.ornament {
        None => 0,
        Some(Ornament::Scoop) => 1,
        Some(Ornament::Crushed(_)) => 2,
    };
    write_pitch(note.pitch, u16::from(note.accent) << 3 | ornament << 1, out);
    if let Some(Ornament::Crushed(pitch)) = note.ornament {
        write_pitch(pitch, 0, out);
    }
}

fn write_pitch(pitch: Pitch, rest: u16, out: &mut Vec<u8>) {
    // Staff steps above C−1 in seven bits, alteration + 3 in three, four left for the rest. MIDI's lowest notes may be
    // written on steps below C−1, as B♯−2: they come round to the top, where no other note of MIDI is written.
    let staff = (pitch.staff_step() + 7) as u16 & 0x7f;
    let alter = (pitch.name.alter + 3) as u16 & 0x7;
    out.extend((staff << 9 | alter << 6 | rest).to_be_bytes());
}

/// The highest step above C−1 on which a note of MIDI can be written: A9, three flats below it.
const HIGHEST_STAFF: i32 = 75;

fn write_text(text: &str, out: &mut Vec<u8>) {
    write_number(text.len() as u64, out);
    out.extend(text.as_bytes());
}

/// Seven bits a byte, the highest bit says that more follow (as in MIDI files, but lowest group first).
fn write_number(mut number: u64, out: &mut Vec<u8>) {
    while number >= 0x80 {
        out.push(number as u8 | 0x80);
        number >>= 7;
    }
    out.push(number as u8);
}

/// Reads from the front; every reading may find the end.
struct Reader<'a> {
    bytes: &'a [u8],
}

impl Reader<'_> {
    fn byte(&mut self) -> Result<u8, Error> {
        let (first, rest) = self.bytes.split_first().ok_or(Error::Nonsense)?;
        self.bytes = rest;
        Ok(*first)
    }

    fn number(&mut self) -> Result<u64, Error> {
        let mut number = 0_u64;
        for shift in (0..63).step_by(7) {
            let byte = self.byte()?;
            number |= u64::from(byte & 0x7f) << shift;
            if byte & 0x80 == 0 {
                return Ok(number);
            }
        }
        Err(Error::Nonsense)
    }

    fn text(&mut self) -> Result<String, Error> {
        let length = usize::try_from(self.number()?).map_err(|_| Error::Nonsense)?;
        if length > self.bytes.len() {
            return Err(Error::Nonsense);
        }
        let (text, rest) = self.bytes.split_at(length);
        self.bytes = rest;
        String::from_utf8(text.to_vec()).map_err(|_| Error::Nonsense)
    }

    fn times(&mut self) -> Result<(u64, u64), Error> {
        match self.byte()? {
            0xff => Ok((self.number()?, self.number()?)),
            both => Ok((u64::from(both >> 4), u64::from(both & 0x0f))),
        }
    }

    fn sound(&mut self, onset: Ticks, length: Ticks) -> Result<Note, Error> {
        let (pitch, rest) = self.pitch()?;
        let ornament = match rest >> 1 & 0x3 {
            0 => None,
            1 => Some(Ornament::Scoop),
            2 => Some(Ornament::Crushed(self.pitch()?.0)),
            _ => return Err(Error::Nonsense),
        };
        Ok(Note { onset, length, pitch, accent: rest & 0x8 != 0, ornament })
    }

    fn pitch(&mut self) -> Result<(Pitch, u16), Error> {
        let packed = u16::from_be_bytes([self.byte()?, self.byte()?]);
        let staff = i32::from(packed >> 9);
        let staff = if staff > HIGHEST_STAFF { staff - 0x80 } else { staff } - 7;
        let alter = i32::from(packed >> 6 & 0x7) - 3;
        if alter > 3 {
            return Err(Error::Nonsense);
        }
        Ok((Pitch::new(Step::from_index(staff), alter, staff.div_euclid(7)), packed & 0x3f))
    }
}

fn with_checksum(mut bytes: Vec<u8>) -> Vec<u8> {
    let sum = crc24(&bytes);
    bytes.extend(&sum.to_be_bytes()[1..]);
    bytes
}

fn without_checksum(bytes: &[u8]) -> Option<&[u8]> {
    let (body, sum) = bytes.split_at_checked(bytes.len().checked_sub(3)?)?;
    (crc24(body).to_be_bytes()[1..] == *sum).then_some(body)
}

/// The checksum of OpenPGP, 24 bits.
///
/// Source: RFC 4880, section 6.1, "An Implementation of the CRC-24" (initial value 0xB704CE, polynomial 0x864CFB).
fn crc24(bytes: &[u8]) -> u32 {
    bytes.iter().fold(0x00b7_04ce, |sum, byte| {
        (0..8).fold(sum ^ u32::from(*byte) << 16, |sum, _| {
            let shifted = sum << 1;
            (if shifted & 0x0100_0000 == 0 { shifted } else { shifted ^ 0x0186_4cfb }) & 0x00ff_ffff
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The check value of CRC-24/OPENPGP over "123456789" in the catalogue of parametrised CRC algorithms (from
    /// memory).
    #[test]
    fn the_checksum_has_its_published_check_value() {
        assert_eq!(crc24(b"123456789"), 0x21_cf02);
    }
}
