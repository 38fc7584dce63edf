//! Music in a file that another program wrote, whatever its form.

use std::fmt;

use super::melody::{self, Melody};
use super::{Kind, abc, midi, musicxml};
use crate::rhythm::metre::Metre;
use crate::theory::key::Key;
use crate::units::QuartersPerMinute;

/// What a file holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Music {
    /// The form of the file.
    pub kind: Kind,
    /// The music's name; may be empty.
    pub name: String,
    /// The tempo, where one is written.
    pub tempo: Option<QuartersPerMinute>,
    /// The metre that it begins in.
    pub metre: Option<Metre>,
    /// The key, where one is written.
    pub key: Option<Key>,
    /// The parts that may be melodies, in order.
    pub parts: Vec<Part>,
}

/// A part that may be a melody.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// What it is called; may be empty.
    pub name: String,
    /// How many notes it has.
    pub notes: usize,
    /// It as a riff, and what of it was lost.
    pub melody: Melody,
}

/// Why a file cannot be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Error {
    /// A MIDI file that does not read.
    Midi(midi::Error),
    /// A MusicXML file that does not read.
    MusicXml(musicxml::Error),
    /// A tune that does not read.
    Abc(abc::Error),
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::Midi(error) => error.fmt(f),
            Error::MusicXml(error) => error.fmt(f),
            Error::Abc(error) => write!(f, "this tune does not read: {error}"),
        }
    }
}

impl std::error::Error for Error {}

/// What bytes claim to be, or `None` where they are no music.
pub fn kind(bytes: &[u8]) -> Option<Kind> {
    if midi::claims_to_be(bytes) {
        Some(Kind::Midi)
    } else if musicxml::claims_to_be_packed(bytes) {
        Some(Kind::Mxl)
    } else if musicxml::claims_to_be(bytes) {
        Some(Kind::MusicXml)
    } else {
        text_of(bytes).filter(|text| abc::claims_to_be(text)).map(|_| Kind::Abc)
    }
}

/// A text in UTF-8, else each byte as its character (ISO 8859-1), of files that are not too large for tunes.
fn text_of(bytes: &[u8]) -> Option<String> {
    let of_bytes = |bytes: &[u8]| bytes.iter().copied().map(char::from).collect();
    let text = || std::str::from_utf8(bytes).map_or_else(|_| of_bytes(bytes), str::to_owned);
    (bytes.len() <= abc::MOST_BYTES_OF_TUNES).then(text)
}

/// Reads music; `None` where the bytes are none.
pub fn read(bytes: &[u8]) -> Option<Result<Music, Error>> {
    Some(match kind(bytes)? {
        Kind::Midi => midi::read(bytes).map(of_song).map_err(Error::Midi),
        kind @ (Kind::MusicXml | Kind::Mxl) => {
            let sheet = match kind {
                Kind::Mxl => musicxml::unpack(bytes).and_then(|score| musicxml::read(&score)),
                _ => musicxml::read(bytes),
            };
            sheet.map(|sheet| of_sheet(kind, &sheet)).map_err(Error::MusicXml)
        }
        Kind::Abc => of_tunes(&text_of(bytes).unwrap_or_default()).map_err(Error::Abc),
    })
}

fn of_song(song: midi::Song) -> Music {
    let parts = song.parts.iter().filter(|part| midi::melody::may_be(part));
    let parts = parts.filter_map(|part| {
        let melody = midi::melody::riff(&song, part)?;
        Some(Part { name: part.name.clone(), notes: part.notes.len(), melody })
    });
    Music {
        kind: Kind::Midi,
        parts: parts.collect(),
        tempo: Some(song.tempo),
        metre: song.metres.first().map(|(_, metre)| *metre),
        key: song.key,
        name: song.name,
    }
}

fn of_sheet(kind: Kind, sheet: &melody::Sheet) -> Music {
    let parts = sheet.lines.iter().filter_map(|line| {
        let melody = melody::of_line(sheet, line)?;
        Some(Part { name: line.name.clone(), notes: line.notes.len(), melody })
    });
    let first = sheet.lines.first();
    Music {
        kind,
        name: sheet.name.clone(),
        tempo: sheet.tempo,
        metre: first.and_then(|line| line.bars.first()).map(|bar| bar.metre),
        key: first.and_then(|line| line.key),
        parts: parts.collect(),
    }
}

/// The tunes of a text, each as a part. A tune that is a riff as it stands is read as it is.
fn of_tunes(text: &str) -> Result<Music, abc::Error> {
    let mut all: Vec<Music> = Vec::new();
    let mut wrong = abc::Error::Empty;
    for tune in abc::tunes(text) {
        match abc::read_sheet(tune) {
            Ok(sheet) => {
                let mut music = of_sheet(Kind::Abc, &sheet);
                if let Ok(read) = abc::read(tune) {
                    let lost = sheet.lost;
                    let words = music.parts.pop().map_or_else(String::new, |part| part.melody.words);
                    let melody = Melody { riff: read.riff, key: read.key, metre: read.metre, words, lost };
                    music.parts = vec![Part { name: sheet.name, notes: melody.riff.notes().len(), melody }];
                }
                all.push(music);
            }
            Err(error) => wrong = error,
        }
    }
    if all.len() > 1 {
        let parts = all.into_iter().flat_map(|music| music.parts).collect();
        let name = String::new();
        return Ok(Music { kind: Kind::Abc, name, tempo: None, metre: None, key: None, parts });
    }
    all.pop().ok_or(wrong)
}
