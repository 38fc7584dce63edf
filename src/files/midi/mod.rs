//! Standard MIDI Files: notes in parts, with tempo, metre, key and names.
//!
//! The bytes are the library's (`midly`); what they mean is here. [`melody`] makes a riff of a part.
//!
//! Source: MIDI Manufacturers Association, "Standard MIDI Files 1.0" (RP-001, 1996): formats, divisions and the meta
//! events 01 to 59; "General MIDI System Level 1" (1991): channel 10 for drums, programs.

pub mod melody;

use std::fmt;

use midly::num::{u4, u7, u15, u24, u28};
use midly::{Format, Header, MetaMessage, MidiMessage, PitchBend, Smf, Timing, TrackEvent, TrackEventKind};

use crate::rhythm::metre::Metre;
use crate::theory::key::{Key, Mode};
use crate::units::{MidiNote, QuartersPerMinute, Ticks, Velocity};

/// The most bytes that are read.
pub const MOST_BYTES: usize = 1 << 20;
/// The most parts that a file is told to have.
pub const MOST_PARTS: usize = 64;
/// The channel of the drums, counted from 0.
pub const DRUMS: u8 = 9;
/// Ticks of a file in which everything is written on the grid.
const PER_QUARTER: i64 = 480;

/// What a file holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Song {
    /// The music's name; may be empty.
    pub name: String,
    /// The tempo: the first where there are several.
    pub tempo: QuartersPerMinute,
    /// How often the tempo changes.
    pub tempo_changes: usize,
    /// Metres and where each begins; the first at the beginning.
    pub metres: Vec<(Ticks, Metre)>,
    /// The key, where one is written: the first where there are several.
    pub key: Option<Key>,
    /// The parts with notes, in order.
    pub parts: Vec<Part>,
    /// Words at places, such as chord symbols.
    pub marks: Vec<(Ticks, String)>,
    /// Where the last of it ends.
    pub end: Ticks,
}

/// Notes that belong together: of one track and channel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// What the part is called; may be empty.
    pub name: String,
    /// The channel, 0 to 15.
    pub channel: u8,
    /// The General MIDI program, 0 to 127, where one is chosen.
    pub program: Option<u8>,
    /// The notes by onset.
    pub notes: Vec<Note>,
}

/// A note of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Note {
    /// From the beginning of the file.
    pub at: Ticks,
    /// How long; more than 0.
    pub length: Ticks,
    /// Which note.
    pub midi: MidiNote,
    /// How hard.
    pub velocity: Velocity,
    /// Whether it is slid into from below.
    pub scooped: bool,
}

impl Note {
    /// Where it ends.
    pub fn end(&self) -> Ticks {
        self.at + self.length
    }
}

/// Why bytes are no file that can be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Error {
    /// More than [`MOST_BYTES`].
    TooLarge {
        /// How many.
        bytes: usize,
    },
    /// The bytes do not read as a file.
    Damaged,
    /// Time is counted in frames of film, which says nothing of beats.
    Frames,
    /// There is no note.
    Empty,
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::TooLarge { bytes } => {
                write!(f, "this MIDI file has {} kilobytes, more than can be opened here", bytes / 1000)
            }
            Error::Damaged => write!(f, "this MIDI file is damaged: a part of it is missing or changed"),
            Error::Frames => {
                write!(
                    f,
                    "this MIDI file counts time in frames of film, not in beats, and cannot be written down"
                )
            }
            Error::Empty => write!(f, "this MIDI file has no notes"),
        }
    }
}

impl std::error::Error for Error {}

/// Whether bytes begin as a file does.
pub fn claims_to_be(bytes: &[u8]) -> bool {
    bytes.starts_with(b"MThd")
}

/// Reads a file. Where several tracks are named after no part, the first names the music.
pub fn read(bytes: &[u8]) -> Result<Song, Error> {
    if bytes.len() > MOST_BYTES {
        return Err(Error::TooLarge { bytes: bytes.len() });
    }
    if !claims_to_be(bytes) {
        return Err(Error::Damaged);
    }
    // Before the library looks: of some counts of frames it makes a number that does not exist.
    if bytes.get(12).is_some_and(|division| division & 0x80 != 0) {
        return Err(Error::Frames);
    }
    let smf = Smf::parse(bytes).map_err(|_| Error::Damaged)?;
    let per_quarter = match smf.header.timing {
        Timing::Metrical(ticks) if ticks.as_int() > 0 => i64::from(ticks.as_int()),
        Timing::Metrical(_) => return Err(Error::Damaged),
        Timing::Timecode(..) => return Err(Error::Frames),
    };
    let mut reading = Reading {
        per_quarter,
        song: Song {
            name: String::new(),
            tempo: QuartersPerMinute::new(120.0).expect("120 lies in range"),
            tempo_changes: 0,
            metres: Vec::new(),
            key: None,
            parts: Vec::new(),
            marks: Vec::new(),
            end: Ticks::ZERO,
        },
        has_tempo: false,
    };
    for (index, track) in smf.tracks.iter().enumerate() {
        // Of songs in a row the first is read.
        if smf.header.format == Format::Sequential && index > 0 {
            break;
        }
        reading.track(index, track);
    }
    let mut song = reading.song;
    song.parts.retain(|part| !part.notes.is_empty());
    if song.parts.is_empty() {
        return Err(Error::Empty);
    }
    song.metres.sort_by_key(|(at, _)| *at);
    song.metres.dedup_by(|later, kept| later.1 == kept.1);
    if song.metres.first().is_none_or(|(at, _)| *at > Ticks::ZERO) {
        song.metres.insert(0, (Ticks::ZERO, Metre::FOUR_FOUR));
    }
    song.marks.sort_by_key(|(at, _)| *at);
    for part in &mut song.parts {
        part.notes.sort_by_key(|note| (note.at, note.midi));
    }
    Ok(song)
}

struct Reading {
    per_quarter: i64,
    song: Song,
    has_tempo: bool,
}

impl Reading {
    /// A time of the file in our ticks, to the nearest.
    fn ticks(&self, at: i64) -> Ticks {
        Ticks((at * Ticks::PER_QUARTER + self.per_quarter / 2).div_euclid(self.per_quarter))
    }

    fn track(&mut self, index: usize, events: &[TrackEvent]) {
        let mut at = 0_i64;
        let mut name = String::new();
        let first_part = self.song.parts.len();
        // What each channel sounds, its program and whether it is bent down.
        let mut held: Vec<(u8, MidiNote, i64, Velocity, bool)> = Vec::new();
        let (mut programs, mut bent) = ([None; 16], [false; 16]);
        for event in events {
            at += i64::from(event.delta.as_int());
            match event.kind {
                TrackEventKind::Meta(message) => self.meta(message, at, index, &mut name),
                TrackEventKind::Midi { channel, message } => {
                    let channel = channel.as_int();
                    match message {
                        MidiMessage::NoteOn { key, vel } if vel.as_int() > 0 => {
                            // A key that is struck again was let go.
                            self.release(&mut held, channel, key, at, first_part);
                            let midi = MidiNote::new(i32::from(key.as_int()));
                            let velocity = Velocity::new(i32::from(vel.as_int()));
                            if let (Some(midi), Some(velocity)) = (midi, velocity) {
                                held.push((channel, midi, at, velocity, bent[usize::from(channel)]));
                            }
                        }
                        MidiMessage::NoteOn { key, .. } | MidiMessage::NoteOff { key, .. } => {
                            self.release(&mut held, channel, key, at, first_part);
                        }
                        MidiMessage::ProgramChange { program } => {
                            programs[usize::from(channel)].get_or_insert(program.as_int());
                        }
                        MidiMessage::PitchBend { bend } => {
                            bent[usize::from(channel)] = bend.as_int() < -SCOOP / 4;
                        }
                        _ => {}
                    }
                }
                _ => {}
            }
        }
        // What is never let go ends with the track.
        while let Some((channel, midi, ..)) = held.last().copied() {
            self.release(&mut held, channel, u7::new(midi.number()), at, first_part);
        }
        self.song.end = self.song.end.max(self.ticks(at));
        for part in &mut self.song.parts[first_part..] {
            part.name.clone_from(&name);
            part.program = programs[usize::from(part.channel)];
        }
        if index == 0 {
            self.song.name = name;
        }
    }

    fn meta(&mut self, message: MetaMessage, at: i64, index: usize, name: &mut String) {
        match message {
            MetaMessage::TrackName(text) if name.is_empty() => *name = text_of(text),
            MetaMessage::Tempo(micros) => {
                let quarters = 60e6 / f64::from(micros.as_int()).max(1.0);
                let rounded = (quarters * 100.0).round() / 100.0;
                let tempo = QuartersPerMinute::new(
                    rounded.clamp(QuartersPerMinute::SLOWEST, QuartersPerMinute::FASTEST),
                );
                match tempo {
                    Some(tempo) if !self.has_tempo => self.song.tempo = tempo,
                    Some(tempo) if tempo != self.song.tempo => self.song.tempo_changes += 1,
                    _ => {}
                }
                self.has_tempo = true;
            }
            MetaMessage::TimeSignature(upper, lower, ..) => {
                let lower = 1_u8.checked_shl(lower.into()).unwrap_or(0);
                if let Some(metre) = Metre::new(upper, lower)
                    && self.song.metres.len() < MOST_MARKS
                {
                    self.song.metres.push((self.ticks(at), metre));
                }
            }
            MetaMessage::KeySignature(fifths, minor) if (-7..=7).contains(&fifths) => {
                let mode = if minor { Mode::Minor } else { Mode::Major };
                self.song.key.get_or_insert_with(|| Key::of_signature(fifths.into(), mode));
            }
            MetaMessage::Marker(text) if index == 0 && self.song.marks.len() < MOST_MARKS => {
                let mark = (self.ticks(at), text_of(text));
                self.song.marks.push(mark);
            }
            _ => {}
        }
    }

    fn release(
        &mut self,
        held: &mut Vec<(u8, MidiNote, i64, Velocity, bool)>,
        channel: u8,
        key: u7,
        until: i64,
        first_part: usize,
    ) {
        let is_it = |(on, midi, ..): &(u8, MidiNote, i64, Velocity, bool)| {
            *on == channel && midi.number() == key.as_int()
        };
        let Some(place) = held.iter().position(is_it) else { return };
        let (_, midi, from, velocity, scooped) = held.remove(place);
        let (at, end) = (self.ticks(from), self.ticks(until));
        if end <= at {
            return;
        }
        let parts = &mut self.song.parts;
        let index = parts[first_part..].iter().position(|part| part.channel == channel);
        let index = match index {
            Some(index) => first_part + index,
            None if parts.len() >= MOST_PARTS => return,
            None => {
                parts.push(Part { name: String::new(), channel, program: None, notes: Vec::new() });
                parts.len() - 1
            }
        };
        parts[index].notes.push(Note { at, length: end - at, midi, velocity, scooped });
    }
}

/// The most metres and words that are taken.
const MOST_MARKS: usize = 4096;
/// How far a note that is slid into begins below itself, of 8192 for the usual two half steps: one.
const SCOOP: i16 = 4096;
/// How long the slide takes, of the note's length at most.
const SLIDE: Ticks = Ticks(Ticks::PER_QUARTER / 8);

/// A name or word of a file: UTF-8, else each byte as its character (ISO 8859-1), without signs that steer a line.
fn text_of(bytes: &[u8]) -> String {
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => bytes.iter().copied().map(char::from).collect(),
    };
    text.chars().filter(|c| !c.is_control()).take(LONGEST_TEXT).collect::<String>().trim().to_owned()
}

/// The longest name or word that is taken, in characters.
const LONGEST_TEXT: usize = 80;

/// Writes a file of format 1: a track with tempo, metre, key and words, and one a part. Times are kept exactly where
/// they lie on the grid of notated music, else to the nearest 960th of a quarter.
pub fn write(song: &Song) -> Vec<u8> {
    let times = song.parts.iter().flat_map(|part| &part.notes).flat_map(|note| [note.at.0, note.end().0]);
    let per_quarter = [PER_QUARTER, Ticks::PER_QUARTER]
        .into_iter()
        .find(|per_quarter| times.clone().all(|time| time % (Ticks::PER_QUARTER / per_quarter) == 0))
        .filter(|per_quarter| *per_quarter == PER_QUARTER || is_on_grid(song))
        .unwrap_or(2 * PER_QUARTER);
    let at = |ticks: Ticks| {
        let unit = Ticks::PER_QUARTER;
        ((ticks.0 * per_quarter + unit / 2).div_euclid(unit)).clamp(0, i64::from(u32::MAX >> 4))
    };
    let mut smf = Smf::new(Header::new(Format::Parallel, Timing::Metrical(u15::new(per_quarter as u16))));
    let mut head = vec![(0, 0, TrackEventKind::Meta(MetaMessage::TrackName(song.name.as_bytes())))];
    let micros = (60e6 / song.tempo.value()).round() as u32;
    head.push((0, 1, TrackEventKind::Meta(MetaMessage::Tempo(u24::new(micros)))));
    for (from, metre) in &song.metres {
        let lower = metre.lower().trailing_zeros() as u8;
        // A click of the metronome is 24 to the quarter; eight 32nds to it, as everywhere.
        let click = (metre.beat().0 * 24 / Ticks::PER_QUARTER) as u8;
        let signature = MetaMessage::TimeSignature(metre.upper(), lower, click, 8);
        head.push((at(*from), 2, TrackEventKind::Meta(signature)));
    }
    if let Some(key) = song.key {
        let signature = MetaMessage::KeySignature(key.fifths() as i8, key.mode() == Mode::Minor);
        head.push((0, 3, TrackEventKind::Meta(signature)));
    }
    for (from, text) in &song.marks {
        head.push((at(*from), 4, TrackEventKind::Meta(MetaMessage::Marker(text.as_bytes()))));
    }
    smf.tracks.push(track(head, at(song.end)));
    for part in &song.parts {
        let channel = u4::new(part.channel & 0xf);
        let midi = |message| TrackEventKind::Midi { channel, message };
        let mut events = vec![(0, 0, TrackEventKind::Meta(MetaMessage::TrackName(part.name.as_bytes())))];
        if let Some(program) = part.program {
            let program = u7::new(program & 0x7f);
            events.push((0, 1, midi(MidiMessage::ProgramChange { program })));
        }
        for note in &part.notes {
            let (key, vel) = (u7::new(note.midi.number()), u7::new(note.velocity.value()));
            let (begin, end) = (at(note.at), at(note.end()).max(at(note.at) + 1));
            // Of what falls together, notes end first, then bends, then notes begin.
            events.push((begin, 4, midi(MidiMessage::NoteOn { key, vel })));
            events.push((end, 2, midi(MidiMessage::NoteOff { key, vel: u7::new(64) })));
            if note.scooped {
                let back = begin + (at(SLIDE) - at(Ticks::ZERO)).min((end - begin) / 2).max(1);
                let bend = |by: i16| midi(MidiMessage::PitchBend { bend: PitchBend::from_int(by) });
                events.push((begin, 3, bend(-SCOOP)));
                events.push((back, 3, bend(0)));
            }
        }
        smf.tracks.push(track(events, at(song.end)));
    }
    let mut bytes = Vec::new();
    smf.write(&mut bytes).expect("a vector takes all bytes");
    bytes
}

/// Whether every note begins and ends where notated music has it: on an eighth or less of a beat, or on parts of it in
/// threes, fives or sevens.
fn is_on_grid(song: &Song) -> bool {
    let is_near = |time: i64| [8, 12, 5, 7].iter().any(|parts| time % (Ticks::PER_QUARTER / parts) == 0);
    song.parts.iter().flat_map(|part| &part.notes).all(|note| is_near(note.at.0) && is_near(note.end().0))
}

/// A track of events at times, of which those that fall together stand in the order of their second number.
fn track(mut events: Vec<(i64, u8, TrackEventKind<'_>)>, end: i64) -> Vec<TrackEvent<'_>> {
    events.sort_by_key(|(at, order, _)| (*at, *order));
    let last = events.last().map_or(0, |(at, ..)| *at).max(end);
    events.push((last, u8::MAX, TrackEventKind::Meta(MetaMessage::EndOfTrack)));
    let mut before = 0;
    let event = |(at, _, kind): (i64, u8, _)| {
        let delta = u28::new((at - before) as u32);
        before = at;
        TrackEvent { delta, kind }
    };
    events.into_iter().map(event).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn note(at: i64, length: i64, midi: i32, velocity: i32, scooped: bool) -> Note {
        let (midi, velocity) = (MidiNote::new(midi).unwrap(), Velocity::new(velocity).unwrap());
        Note { at: Ticks(at), length: Ticks(length), midi, velocity, scooped }
    }

    fn song() -> Song {
        let riff = vec![
            note(0, 5040, 70, 80, false),
            note(5040, 3360, 71, 112, true),
            note(8400, 1680, 74, 80, false),
        ];
        let drums = vec![note(0, 2520, 36, 100, false), note(0, 2520, 42, 60, false)];
        Song {
            name: "Porch light – nº 2".to_owned(),
            tempo: QuartersPerMinute::new(92.0).unwrap(),
            tempo_changes: 0,
            metres: vec![
                (Ticks::ZERO, Metre::new(12, 8).unwrap()),
                (Ticks(60_480), Metre::new(3, 4).unwrap()),
            ],
            key: "Ebm".parse().ok(),
            parts: vec![
                Part { name: "Riff".to_owned(), channel: 0, program: Some(4), notes: riff },
                Part { name: "Drums".to_owned(), channel: DRUMS, program: None, notes: drums },
            ],
            marks: vec![(Ticks::ZERO, "Ebm7".to_owned()), (Ticks(60_480), "Bb7".to_owned())],
            end: Ticks(90_720),
        }
    }

    #[test]
    fn what_is_written_reads_back_the_same() {
        assert_eq!(read(&write(&song())), Ok(song()));
    }

    /// Sevenths of a beat lie on no tick of 480, and are kept as exactly as thirds.
    #[test]
    fn notated_times_are_exact_and_played_ones_within_a_960th() {
        let mut sevenths = song();
        sevenths.parts[0].notes = vec![note(1440, 2880, 70, 80, false)];
        assert_eq!(read(&write(&sevenths)), Ok(sevenths));
        let mut played = song();
        played.parts[0].notes = vec![note(6123, 4001, 70, 80, false)];
        let back = read(&write(&played)).unwrap().parts[0].notes[0];
        assert!((back.at.0 - 6123).abs() <= 6 && (back.end().0 - 10_124).abs() <= 6, "{back:?}");
    }

    /// Bytes by hand from the standard: format 0, 96 to the quarter; running status, a note-on of velocity 0 as a
    /// note-off, a key that is struck again while it is held, and one that is never let go.
    #[test]
    fn the_bytes_of_the_standard_read() {
        let body = [
            0x00, 0xff, 0x51, 0x03, 0x0a, 0x2c, 0x2b, // 666 667 µs: 90 a minute
            0x00, 0xff, 0x58, 0x04, 6, 3, 36, 8, // 6/8
            0x00, 0xff, 0x59, 0x02, 0xfe, 0x01, // two flats, minor
            0x00, 0x90, 67, 80, // G4
            0x30, 67, 90, // again, an eighth later
            0x30, 67, 0, // let go
            0x00, 70, 80, // B♭4
            0x60, 0xff, 0x2f, 0x00, // the end, a quarter later
        ];
        let mut bytes = b"MThd\0\0\0\x06\0\0\0\x01\0\x60MTrk\0\0\0".to_vec();
        bytes.push(body.len() as u8);
        bytes.extend(body);
        let song = read(&bytes).unwrap();
        assert_eq!(
            (song.tempo.value(), song.key, song.metres),
            (90.0, "Gm".parse().ok(), vec![(Ticks::ZERO, Metre::new(6, 8).unwrap())])
        );
        let notes = &song.parts[0].notes;
        assert_eq!(
            notes.as_slice(),
            [
                note(0, 5040, 67, 80, false),
                note(5040, 5040, 67, 90, false),
                note(10_080, 10_080, 70, 80, false)
            ]
        );
    }

    #[test]
    fn what_is_no_file_says_why() {
        assert_eq!(read(b""), Err(Error::Damaged));
        assert_eq!(read(b"MThd\0\0\0\x06\0\0\0\x01\xe7\x28MTrk\0\0\0\x04\0\xff\x2f\0"), Err(Error::Frames));
        assert_eq!(read(b"MThd\0\0\0\x06\0\0\0\x01\0\x60MTrk\0\0\0\x04\0\xff\x2f\0"), Err(Error::Empty));
        assert_eq!(read(b"MThd\0\0\0\x06\0\0\0\x01\0\0MTrk\0\0\0\x04\0\xff\x2f\0"), Err(Error::Damaged));
        assert_eq!(read(&vec![0; MOST_BYTES + 1]), Err(Error::TooLarge { bytes: MOST_BYTES + 1 }));
    }
}
