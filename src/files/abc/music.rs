//! Tunes of any length as sheets of written music, with what a melody of one voice leaves out.

use super::body::{self, Event, Reach, What};
use super::header;
use super::words::{self, Sign};
use super::{Error, MOST_BYTES};
use crate::files::melody::{Bar, Line, Lost, Sheet};
use crate::riff::Note;
use crate::units::{QuartersPerMinute, Ticks};

/// The most bytes of a file of tunes.
pub const MOST_BYTES_OF_TUNES: usize = 1 << 20;
/// The most tunes of a file.
const MOST_TUNES: usize = 64;

/// Whether a text is a tune: it numbers one and says its key, each at the beginning of a line (section 2.2).
pub fn claims_to_be(text: &str) -> bool {
    let has = |field: &str| text.lines().any(|line| line.starts_with(field));
    has("X:") && has("K:")
}

/// The tunes of a text, each from its number on; what stands before the first belongs to none.
pub fn tunes(text: &str) -> Vec<&str> {
    let mut starts: Vec<usize> = Vec::new();
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        if line.starts_with("X:") {
            starts.push(at);
        }
        at += line.len();
    }
    let ends = starts.iter().skip(1).copied().chain([text.len()]);
    starts.iter().zip(ends).take(MOST_TUNES).map(|(from, to)| &text[*from..to]).collect()
}

/// Reads the first voice of a tune, whatever stands in it.
pub fn read_sheet(tune: &str) -> Result<Sheet, Error> {
    if tune.len() > MOST_BYTES {
        return Err(Error::TooLong { bytes: tune.len() });
    }
    let (header, music) = header::read(tune)?;
    let heard = body::read(&header, &music, Reach::Music)?;
    let (slowest, fastest) = (QuartersPerMinute::SLOWEST, QuartersPerMinute::FASTEST);
    let mut line = Line { name: header.title.clone(), key: Some(header.key), ..Line::default() };
    let (mut at, mut begins, mut metre, mut tied) = (Ticks::ZERO, Ticks::ZERO, header.metre, false);
    let mut signs = Vec::new();
    for event in &heard.events {
        let (what, length, number) = match event {
            Event::BarLine => {
                if at > begins {
                    line.bars.push(Bar { at: begins, length: at - begins, metre });
                }
                begins = at;
                continue;
            }
            Event::Metre(other) => {
                metre = *other;
                continue;
            }
            Event::Bars { count, what, line } => {
                let bars = i64::try_from(*count).ok().filter(|bars| (1..=999).contains(bars));
                (what, bars.map(|bars| metre.bar() * bars), line)
            }
            Event::Timed { what, length, line } => (what, length.of_whole_note(), line),
        };
        let length = length.ok_or(Error::Length { line: *number })?;
        if let What::Note { pitch, accent, ornament, tied: on } = what {
            signs.push(Sign { line: *number, bar: line.bars.len(), onset: at });
            match line.notes.last_mut().filter(|before| tied && before.pitch == *pitch) {
                Some(before) => before.length += length,
                None => line.notes.push(Note {
                    onset: at,
                    length,
                    pitch: *pitch,
                    accent: *accent,
                    ornament: *ornament,
                }),
            }
            tied = *on;
        } else {
            tied = false;
        }
        at += length;
    }
    if at > begins {
        line.bars.push(Bar { at: begins, length: at - begins, metre });
    }
    if line.notes.is_empty() {
        return Err(Error::Empty);
    }
    line.words = words::under(tune, &signs);
    let tempo = header.tempo.and_then(|quarters| QuartersPerMinute::new(quarters.clamp(slowest, fastest)));
    let (under, repeats, chords) = (heard.under, heard.repeats, heard.chords);
    let lost = Lost { under, repeats, chords, ..Lost::default() };
    Ok(Sheet { name: header.title, tempo, lost, lines: vec![line], kept: None })
}
