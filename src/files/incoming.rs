//! Music in a file that another program wrote, whatever its form.

use std::fmt;

use super::melody::{self, Melody};
use super::{Kind, midi, musicxml};
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
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::Midi(error) => error.fmt(f),
            Error::MusicXml(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for Error {}

/// What bytes claim to be, or `None` where they are no music.
pub fn kind(bytes: &[u8]) -> Option<Kind> {
    if midi::claims_to_be(bytes) {
        Some(Kind::Midi)
    } else if musicxml::claims_to_be(bytes) {
        Some(Kind::MusicXml)
    } else {
        None
    }
}

/// Reads music; `None` where the bytes are none.
pub fn read(bytes: &[u8]) -> Option<Result<Music, Error>> {
    Some(match kind(bytes)? {
        Kind::Midi => midi::read(bytes).map(of_song).map_err(Error::Midi),
        Kind::MusicXml => {
            let sheet = musicxml::read(bytes).map_err(Error::MusicXml);
            sheet.map(|sheet| of_sheet(Kind::MusicXml, &sheet))
        }
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
