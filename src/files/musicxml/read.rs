//! MusicXML as sheets of written music.

use std::fmt;

use super::write::RIFF;
use super::xml::{Element, Unread};
use crate::files::melody::{Bar, Kept, Line, Sheet};
use crate::rhythm::grid::Division;
use crate::rhythm::metre::Metre;
use crate::riff::{Note, Ornament};
use crate::theory::interval::Interval;
use crate::theory::key::{Key, Mode};
use crate::theory::pitch::{NoteName, Pitch, Step};
use crate::units::{QuartersPerMinute, Ticks};

/// The most bytes that are read.
pub const MOST_BYTES: usize = 4 << 20;
/// The most voices that a file is told to have.
pub const MOST_LINES: usize = 64;
/// The longest name that is taken, in characters.
const LONGEST_TEXT: usize = 80;
/// The longest duration of one note or rest, in our ticks: a thousand quarters.
const LONGEST: f64 = 1e3 * Ticks::PER_QUARTER as f64;

/// Why bytes are no file that can be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Error {
    /// More than [`MOST_BYTES`], packed or unpacked, or more elements than are read.
    TooLarge,
    /// The text is no XML, or breaks off.
    Damaged,
    /// It is XML, and no score.
    Foreign,
    /// There is no note.
    Empty,
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Error::TooLarge => "this MusicXML file has more in it than the 4 MB that can be opened here",
            Error::Damaged => "this MusicXML file is damaged: a part of it is missing or changed",
            Error::Foreign => "this file has no written music in it: expected a score in MusicXML",
            Error::Empty => "this MusicXML file has no notes",
        })
    }
}

impl std::error::Error for Error {}

impl From<Unread> for Error {
    fn from(unread: Unread) -> Error {
        match unread {
            Unread::Damaged => Error::Damaged,
            Unread::TooMuch => Error::TooLarge,
        }
    }
}

/// Whether bytes begin as XML does, in any of the encodings that are read.
pub fn claims_to_be(bytes: &[u8]) -> bool {
    text_of(&bytes[..bytes.len().min(64)]).trim_start().starts_with('<')
}

/// The text of a file: UTF-8, UTF-16 with or without its mark, else each byte as its character (ISO 8859-1).
pub(super) fn text_of(bytes: &[u8]) -> String {
    let wide = |bytes: &[u8], of: fn([u8; 2]) -> u16| {
        let units = bytes.as_chunks::<2>().0.iter().map(|pair| of(*pair));
        char::decode_utf16(units).map(|sign| sign.unwrap_or(char::REPLACEMENT_CHARACTER)).collect()
    };
    match bytes {
        [0xff, 0xfe, rest @ ..] => wide(rest, u16::from_le_bytes),
        [0xfe, 0xff, rest @ ..] => wide(rest, u16::from_be_bytes),
        [b'<', 0, ..] => wide(bytes, u16::from_le_bytes),
        [0, b'<', ..] => wide(bytes, u16::from_be_bytes),
        _ => {
            let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
            match std::str::from_utf8(bytes) {
                Ok(text) => text.to_owned(),
                Err(_) => bytes.iter().copied().map(char::from).collect(),
            }
        }
    }
}

/// Reads a file: every voice of every part by itself.
pub fn read(bytes: &[u8]) -> Result<Sheet, Error> {
    if bytes.len() > MOST_BYTES {
        return Err(Error::TooLarge);
    }
    let root = Element::read(&text_of(bytes))?;
    let parts = match root.name.as_str() {
        "score-partwise" => root.all("part").map(|part| (id(part), part.all("measure").collect())).collect(),
        "score-timewise" => by_part(&root),
        _ => return Err(Error::Foreign),
    };
    let mut sheet = Sheet { name: title(&root), kept: kept(&root), ..Sheet::default() };
    for (id, measures) in parts {
        let part = Part::read(&measures, &mut sheet);
        let name = part_name(&root, id);
        for (index, voice) in part.voices.into_iter().filter(|voice| !voice.notes.is_empty()).enumerate() {
            if sheet.lines.len() == MOST_LINES {
                break;
            }
            let named = if name.is_empty() { "Part" } else { &name };
            let name = if index > 0 { format!("{named}, voice {}", index + 1) } else { name.clone() };
            let notes = voice.notes.into_iter().map(|(note, _)| note).collect();
            let (bars, words) = (part.bars.clone(), voice.words);
            sheet.lines.push(Line { name, key: part.key, bars, notes, words });
        }
    }
    if sheet.lines.is_empty() { Err(Error::Empty) } else { Ok(sheet) }
}

type Parts<'a> = Vec<(&'a str, Vec<&'a Element>)>;

fn id(part: &Element) -> &str {
    part.attribute("id").unwrap_or_default()
}

/// The measures of each part, where a file has the parts of each measure.
fn by_part(root: &Element) -> Parts<'_> {
    let mut parts: Parts<'_> = Vec::new();
    for part in root.all("measure").flat_map(|measure| measure.all("part")) {
        match parts.iter().position(|(other, _)| *other == id(part)) {
            Some(index) => parts[index].1.push(part),
            None if parts.len() < MOST_LINES => parts.push((id(part), vec![part])),
            None => {}
        }
    }
    parts
}

fn clean(text: &str) -> String {
    let line: String = text.chars().map(|sign| if sign.is_control() { ' ' } else { sign }).collect();
    line.trim().chars().take(LONGEST_TEXT).collect()
}

fn title(root: &Element) -> String {
    let work = root.child("work").and_then(|work| work.text_of("work-title"));
    let titles = [work, root.text_of("movement-title")];
    titles.into_iter().flatten().map(clean).find(|title| !title.is_empty()).unwrap_or_default()
}

fn part_name(root: &Element, id: &str) -> String {
    let list = root.child("part-list");
    let part = list.and_then(|list| list.all("score-part").find(|part| part.attribute("id") == Some(id)));
    part.and_then(|part| part.text_of("part-name")).map(clean).unwrap_or_default()
}

/// What a file of ours says of its riff.
fn kept(root: &Element) -> Option<Kept> {
    let fields = root.child("identification")?.child("miscellaneous")?;
    let field = fields.all("miscellaneous-field").find(|field| field.attribute("name") == Some(RIFF))?;
    let mut words = field.text.split_whitespace().take(64);
    let mut ticks = || words.next()?.parse().ok().map(Ticks);
    let (start, beat) = (ticks()?, ticks()?);
    let divisions = words.map(|parts| parts.parse().ok().and_then(Division::new));
    Some(Kept { start, beat, divisions: divisions.collect::<Option<_>>()? })
}

/// What is sung with a note in the first verse. Source: elements `lyric` and `syllabic`.
fn syllable(note: &Element) -> Option<String> {
    let lyric = note.all("lyric").find(|lyric| matches!(lyric.attribute("number"), None | Some("1")))?;
    let text = clean(lyric.text_of("text")?);
    let goes_on = matches!(lyric.text_of("syllabic"), Some("begin" | "middle"));
    (!text.is_empty()).then(|| if goes_on { format!("{text}-") } else { text })
}

/// A part while it is read.
struct Part {
    divisions: f64,
    metre: Metre,
    key: Option<Key>,
    /// From the written pitch up to the sounding one.
    sounding_above: Interval,
    bars: Vec<Bar>,
    voices: Vec<Voice>,
    /// Where the measure begins, and how far into it we are.
    begins: Ticks,
    into: Ticks,
    /// Where the last note or chord began, and the furthest that the measure reaches.
    onset: Ticks,
    furthest: Ticks,
}

/// A voice of a part: its notes, and whether each is tied on.
struct Voice {
    name: String,
    notes: Vec<(Note, bool)>,
    /// A grace note that waits for its note.
    crushed: Option<Pitch>,
    words: Vec<(Ticks, String)>,
}

impl Part {
    fn read(measures: &[&Element], sheet: &mut Sheet) -> Part {
        let mut part = Part {
            divisions: 1.0,
            metre: Metre::FOUR_FOUR,
            key: None,
            sounding_above: Interval::UNISON,
            bars: Vec::new(),
            voices: Vec::new(),
            begins: Ticks::ZERO,
            into: Ticks::ZERO,
            onset: Ticks::ZERO,
            furthest: Ticks::ZERO,
        };
        for measure in measures {
            (part.into, part.furthest) = (Ticks::ZERO, Ticks::ZERO);
            for element in &measure.children {
                part.element(element, sheet);
            }
            // A bar with nothing in it is a whole one.
            let length = if part.furthest > Ticks::ZERO { part.furthest } else { part.metre.bar() };
            part.bars.push(Bar { at: part.begins, length, metre: part.metre });
            part.begins += length;
        }
        part
    }

    fn element(&mut self, element: &Element, sheet: &mut Sheet) {
        match element.name.as_str() {
            "attributes" => self.attributes(element),
            "note" => self.note(element),
            "backup" => self.into = (self.into - self.duration(element)).max(Ticks::ZERO),
            "forward" => self.advance(self.duration(element)),
            "harmony" => sheet.lost.chords += 1,
            "barline" => {
                let again = element.child("repeat").or(element.child("ending"));
                sheet.lost.repeats += usize::from(again.is_some());
            }
            "sound" => sound(element, sheet),
            "direction" => {
                let told = element.all("sound").filter(|sound| sound.attribute("tempo").is_some()).count();
                element.all("sound").for_each(|element| sound(element, sheet));
                let shown = element.all("direction-type").filter_map(|kind| kind.child("metronome"));
                shown.filter(|_| told == 0).for_each(|metronome| tempo(per_minute(metronome), sheet));
            }
            _ => {}
        }
    }

    fn attributes(&mut self, element: &Element) {
        if let Some(divisions) = element.number_of("divisions").filter(|number| *number > 0.0) {
            self.divisions = divisions;
        }
        if let Some(transpose) = element.child("transpose") {
            self.sounding_above = transposition(transpose);
        }
        if let Some(key) = element.child("key").filter(|_| self.key.is_none()) {
            let mode = if key.text_of("mode") == Some("minor") { Mode::Minor } else { Mode::Major };
            let fifths = key.number_of("fifths").filter(|fifths| fifths.abs() <= 7.0);
            self.key = fifths.map(|fifths| Key::of_signature(fifths as i32, mode).up(self.sounding_above));
        }
        if let Some(time) = element.child("time") {
            // `beats` may be a sum, as in 3+2.
            let sum =
                |text: &str| text.split('+').map(|one| one.trim().parse::<u8>().ok()).sum::<Option<u8>>();
            let upper = time.text_of("beats").filter(|text| text.len() < 16).and_then(sum);
            let lower = time.text_of("beat-type").and_then(|text| text.parse().ok());
            let metre = upper.zip(lower).and_then(|(upper, lower)| Metre::new(upper, lower));
            self.metre = metre.unwrap_or(self.metre);
        }
    }

    fn advance(&mut self, by: Ticks) {
        self.into += by;
        self.furthest = self.furthest.max(self.into);
    }

    fn duration(&self, element: &Element) -> Ticks {
        self.ticks(element.number_of("duration").unwrap_or(0.0))
    }

    fn ticks(&self, duration: f64) -> Ticks {
        let ticks = duration * Ticks::PER_QUARTER as f64 / self.divisions;
        Ticks(ticks.clamp(0.0, LONGEST).round() as i64)
    }

    /// How long a note lasts: its duration, or exactly what its value says where the file's divisions can only come near.
    fn length(&self, note: &Element) -> Ticks {
        let duration = self.duration(note);
        let near = self.ticks(1.0);
        written_length(note).filter(|length| (*length - duration).0.abs() <= near.0).unwrap_or(duration)
    }

    fn note(&mut self, note: &Element) {
        let is_grace = note.child("grace").is_some();
        let length = self.length(note);
        if !is_grace && note.child("chord").is_none() {
            self.onset = self.begins + self.into;
            self.advance(length);
        }
        let pitch = note.child("pitch").and_then(pitch).map(|pitch| pitch.up(self.sounding_above));
        let Some(pitch) = pitch.filter(|pitch| pitch.midi().is_some()) else { return };
        if note.child("cue").is_some() {
            return;
        }
        let onset = self.onset;
        let Some(voice) = self.voice(note.text_of("voice").unwrap_or("1")) else { return };
        if is_grace {
            voice.crushed = Some(pitch);
            return;
        }
        if length <= Ticks::ZERO {
            return;
        }
        let tied = |kind: &str| {
            let sounds = note.all("tie").any(|tie| tie.attribute("type") == Some(kind));
            sounds
                || notations(note).any(|one| one.all("tied").any(|tied| tied.attribute("type") == Some(kind)))
        };
        if tied("stop") {
            let goes_on =
                |(before, on): &&mut (Note, bool)| *on && before.pitch == pitch && before.end() == onset;
            if let Some((before, on)) = voice.notes.iter_mut().rev().take(16).find(goes_on) {
                before.length += length;
                *on = tied("start");
                return;
            }
        }
        let is_in_chord = note.child("chord").is_some();
        voice.words.extend(syllable(note).filter(|_| !is_in_chord).map(|text| (onset, text)));
        let crushed = voice.crushed.take_if(|_| !is_in_chord).map(Ornament::Crushed);
        let scoop = has_articulation(note, &["scoop"]).then_some(Ornament::Scoop);
        let accent = has_articulation(note, &["accent", "strong-accent"]);
        let note = Note { onset, length, pitch, accent, ornament: crushed.or(scoop) };
        voice.notes.push((note, tied("start")));
    }

    /// The voice of this name; `None` where there are too many.
    fn voice(&mut self, name: &str) -> Option<&mut Voice> {
        let index = self.voices.iter().position(|voice| voice.name == name);
        let index = match index {
            Some(index) => index,
            None if self.voices.len() == MOST_LINES => return None,
            None => {
                self.voices.push(Voice {
                    name: name.to_owned(),
                    notes: Vec::new(),
                    crushed: None,
                    words: Vec::new(),
                });
                self.voices.len() - 1
            }
        };
        self.voices.get_mut(index)
    }
}

fn notations(note: &Element) -> impl Iterator<Item = &Element> {
    note.all("notations")
}

fn has_articulation(note: &Element, names: &[&str]) -> bool {
    let all = notations(note).flat_map(|one| one.all("articulations"));
    all.flat_map(|one| &one.children).any(|one| names.contains(&one.name.as_str()))
}

/// The pitch as it is written, microtones brought to half steps.
fn pitch(element: &Element) -> Option<Pitch> {
    let step = element.text_of("step")?;
    let step = Step::ALL.into_iter().find(|one| one.letter().to_string() == step)?;
    let alter = element.number_of("alter").unwrap_or(0.0).round().clamp(-3.0, 3.0) as i32;
    // The format has octaves from 0 to 9; a part that is written further down or up goes on counting, ours too.
    let octave = element.text_of("octave")?.parse().ok().filter(|octave| (-4..=12).contains(octave))?;
    Some(Pitch { name: NoteName { step, alter }, octave })
}

/// What a note's value, dots and tuplet come to.
fn written_length(note: &Element) -> Option<Ticks> {
    let kind = note.text_of("type")?;
    let whole = Ticks::quarters(4).0;
    let plain = match kind {
        "breve" => whole * 2,
        "whole" => whole,
        "half" => whole / 2,
        "quarter" => whole / 4,
        "eighth" => whole / 8,
        _ => {
            whole
                / kind
                    .trim_end_matches(['s', 't', 'n', 'd', 'h', 'r'])
                    .parse::<i64>()
                    .ok()
                    .filter(|part| [16, 32, 64, 128].contains(part))?
        }
    };
    let dots = note.all("dot").count().min(3) as u32;
    // Each dot adds half of what was added before it.
    let dotted = plain * 2 - (plain >> dots);
    let Some(ratio) = note.child("time-modification") else { return Some(Ticks(dotted)) };
    let number = |name: &str| ratio.number_of(name).filter(|number| (1.0..=64.0).contains(number));
    let (actual, normal) = (number("actual-notes")? as i64, number("normal-notes")? as i64);
    Some(Ticks((dotted * normal + actual / 2) / actual))
}

/// From the written pitch up to the sounding one. Source: element `transpose`; where `diatonic` is left out, the steps
/// that such an interval usually has.
fn transposition(element: &Element) -> Interval {
    const STEPS: [i32; 12] = [0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6];
    let number = |name: &str| element.number_of(name).map(|number| number.clamp(-48.0, 48.0) as i32);
    let semitones = number("chromatic").unwrap_or(0);
    let usual = STEPS[(semitones.abs() % 12) as usize] + 7 * (semitones.abs() / 12);
    let steps = number("diatonic").unwrap_or(usual * semitones.signum());
    let octaves = number("octave-change").unwrap_or(0).clamp(-4, 4);
    Interval::new(steps + 7 * octaves, semitones + 12 * octaves)
}

fn sound(element: &Element, sheet: &mut Sheet) {
    let quarters = element.attribute("tempo").and_then(|text| text.trim().parse().ok());
    tempo(quarters, sheet);
    if let Some(swing) = element.child("swing").filter(|_| sheet.lost.swing.is_none()) {
        let ratio = swing.number_of("first").zip(swing.number_of("second"));
        let ratio = ratio.filter(|(_, second)| *second > 0.0).map(|(first, second)| first / second);
        sheet.lost.swing = ratio.filter(|ratio| *ratio > 1.0);
    }
}

fn tempo(quarters: Option<f64>, sheet: &mut Sheet) {
    let found = quarters.filter(|quarters| quarters.is_finite());
    let (slowest, fastest) = (QuartersPerMinute::SLOWEST, QuartersPerMinute::FASTEST);
    let found = found.and_then(|quarters| QuartersPerMinute::new(quarters.clamp(slowest, fastest)));
    match found {
        Some(found) if sheet.tempo.is_none() => sheet.tempo = Some(found),
        Some(found) if sheet.tempo != Some(found) => sheet.lost.tempo_changes += 1,
        _ => {}
    }
}

/// Quarters a minute of a metronome mark.
fn per_minute(metronome: &Element) -> Option<f64> {
    let beats = metronome.number_of("per-minute")?;
    let length = match metronome.text_of("beat-unit")? {
        "whole" => 4.0,
        "half" => 2.0,
        "quarter" => 1.0,
        "eighth" => 0.5,
        "16th" => 0.25,
        _ => return None,
    };
    let dots = metronome.all("beat-unit-dot").count().min(3) as i32;
    Some(beats * length * (2.0 - 0.5_f64.powi(dots)))
}
