//! A riff of music that came in a file, and what of the music it could not keep.

use crate::files::abc;
use crate::rhythm::grid::Division;
use crate::rhythm::metre::Metre;
use crate::riff::{Note, Riff, RiffId};
use crate::theory::key::{Key, Mode};
use crate::units::{MidiNote, QuartersPerMinute, Ticks};

/// A riff of a part, and what could not be kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Melody {
    /// The riff, with the id 0 and the name of the music, else the part's.
    pub riff: Riff,
    /// The key that it stands in: the file's, or the nearest to its notes.
    pub key: Key,
    /// The metre of the bar in which it begins.
    pub metre: Metre,
    /// What is sung with its notes, syllables joined by hyphens as [`crate::chorus::verse`] reads them; mostly empty.
    pub words: String,
    /// What could not be kept.
    pub lost: Lost,
}

/// What of a part a riff does not hold.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Lost {
    /// Notes under a higher one that begins with them.
    pub under: usize,
    /// Notes that come after the riff's end.
    pub beyond: usize,
    /// Notes that were cut where the next one begins.
    pub cut: usize,
    /// Notes that lay far from any place of the grid.
    pub moved: usize,
    /// How long the first half of a beat was against the second, where all off-beats came late or the file says that
    /// they do; they are written even.
    pub swing: Option<f64>,
    /// How often the tempo changes.
    pub tempo_changes: usize,
    /// Chord symbols over the notes.
    pub chords: usize,
    /// Repeats and other endings, which are read once as they are written.
    pub repeats: usize,
}

/// Written music as it came in.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sheet {
    /// The music's name; may be empty.
    pub name: String,
    /// The tempo: the first where there are several.
    pub tempo: Option<QuartersPerMinute>,
    /// What of all parts a riff does not hold.
    pub lost: Lost,
    /// The parts with notes, in order.
    pub lines: Vec<Line>,
    /// What a file of ours says of its riff beside the notes.
    pub kept: Option<Kept>,
}

/// What a staff does not show of a riff.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// Where it begins, from the bar line.
    pub start: Ticks,
    /// The length of a beat.
    pub beat: Ticks,
    /// How each beat is divided.
    pub divisions: Vec<Division>,
}

/// A voice of written music.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Line {
    /// What it is called; may be empty.
    pub name: String,
    /// The key, as it sounds.
    pub key: Option<Key>,
    /// The bars, in order.
    pub bars: Vec<Bar>,
    /// The notes as they sound, by onset, counted from the first bar's beginning; several may begin together.
    pub notes: Vec<Note>,
    /// Syllables and when they begin, each with a hyphen where its word goes on.
    pub words: Vec<(Ticks, String)>,
}

/// A bar as it is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bar {
    /// Where it begins.
    pub at: Ticks,
    /// How long what is in it lasts.
    pub length: Ticks,
    /// How it is counted.
    pub metre: Metre,
}

/// Makes a riff of a line. Its bar lines are the file's; a short first bar is a pickup, and so is a first note in the
/// second half of its bar where more comes after that bar. What comes after [`Riff::MOST_BEATS`] beats is left out.
pub fn of_line(sheet: &Sheet, line: &Line) -> Option<Melody> {
    let mut lost = sheet.lost;
    let notes = one_voice(&line.notes, &mut lost);
    let first = notes.first()?;
    let index = line.bars.iter().rposition(|bar| bar.at <= first.onset).unwrap_or(0);
    let bar = line.bars.get(index).copied();
    let bar = bar.unwrap_or(Bar { at: Ticks::ZERO, length: Ticks::ZERO, metre: Metre::FOUR_FOUR });
    let (metre, beat) = (bar.metre, bar.metre.beat());
    let is_short = index == 0 && line.bars.len() > 1 && bar.length < metre.bar();
    let begins = if is_short { bar.at + bar.length - metre.bar() } else { bar.at };
    let into = first.onset - begins;
    let last = notes.last()?.onset;
    let is_late = into * 2 >= metre.bar() && last >= begins + metre.bar();
    let begin = if is_short || is_late { begins + beat * into.div_floor(beat) } else { begins };
    let start = if is_short || is_late { begin - (begins + metre.bar()) } else { Ticks::ZERO };
    let key = line.key.unwrap_or_else(|| {
        nearest_key(&notes.iter().filter_map(|note| note.pitch.midi()).collect::<Vec<_>>())
    });
    let name = if sheet.name.is_empty() { &line.name } else { &sheet.name };
    if let Some(riff) = as_kept(sheet, &notes, name, metre) {
        let words = words(line, &notes);
        return Some(Melody { riff, key, metre, words, lost });
    }
    let most = beat * Riff::MOST_BEATS as i64;
    lost.beyond = notes.iter().filter(|note| note.onset >= begin + most).count();
    let mut kept: Vec<Note> = notes.into_iter().filter(|note| note.onset < begin + most).collect();
    let words = words(line, &kept[..kept.len().min(Riff::MOST_NOTES)]);
    kept = kept.into_iter().map(|note| Note { onset: note.onset - begin, ..note }).collect();
    let room = kept.len().min(Riff::MOST_NOTES);
    lost.beyond += kept.split_off(room).len();
    let end = line.bars.last().map_or(Ticks::ZERO, |bar| bar.at + bar.length);
    let beats = beats(kept.last()?.end(), beat, end - begin, lost.beyond > 0);
    for note in &mut kept {
        note.length = note.length.min(beat * beats as i64 - note.onset);
    }
    let divisions = abc::divisions(beat, metre.is_compound(), beats, &kept);
    let riff = Riff::from_parts(RiffId(0), name.clone(), start, beat, divisions, kept)?;
    Some(Melody { riff, key, metre, words, lost })
}

/// What is sung with these notes.
fn words(line: &Line, notes: &[Note]) -> String {
    let mut text = String::new();
    for (at, syllable) in &line.words {
        if notes.binary_search_by_key(at, |note| note.onset).is_ok() {
            let gap = if text.is_empty() || text.ends_with('-') { "" } else { " " };
            text.push_str(gap);
            text.push_str(syllable);
        }
    }
    text.truncate(text.trim_end_matches('-').len());
    text
}

/// The riff as a file of ours says that it is, where its notes fit.
fn as_kept(sheet: &Sheet, notes: &[Note], name: &str, metre: Metre) -> Option<Riff> {
    let Kept { start, beat, divisions } = sheet.kept.clone()?;
    if Metre::of_beat(beat).is_none() || !Riff::may_begin(start, beat) {
        return None;
    }
    // The staff begins with a whole beat of its own, at the latest at the bar line from which the start is counted.
    let line = -metre.beat() * start.div_floor(metre.beat()).min(0);
    let begin = line + start;
    let notes = notes.iter().map(|note| Note { onset: note.onset - begin, ..note.clone() });
    Riff::from_parts(RiffId(0), name.to_owned(), start, beat, divisions, notes.collect())
}

/// The highest of notes that begin together, each cut where the next one begins.
fn one_voice(notes: &[Note], lost: &mut Lost) -> Vec<Note> {
    let mut voice: Vec<Note> = Vec::new();
    for note in notes {
        match voice.last_mut() {
            Some(last) if note.onset <= last.onset => {
                lost.under += 1;
                if note.pitch.semitones() > last.pitch.semitones() {
                    *last = Note { onset: last.onset, ..note.clone() };
                }
            }
            _ => voice.push(note.clone()),
        }
    }
    for index in 1..voice.len() {
        let next = voice[index].onset;
        let note = &mut voice[index - 1];
        lost.cut += usize::from(note.end() > next);
        note.length = note.length.min(next - note.onset);
    }
    voice
}

/// How many beats a riff has whose last note ends at `last`: to the end of the music where that lies within a bar behind,
/// else to the end of that note's beat; as many as there can be where more would follow.
pub(super) fn beats(last: Ticks, beat: Ticks, end: Ticks, is_full: bool) -> usize {
    let most = Riff::MOST_BEATS as i64;
    let whole = |time: Ticks| (time - Ticks(1)).div_floor(beat) + 1;
    let last = whole(last).clamp(1, most);
    let end = whole(end);
    let has_room = (last..=most.min(last + 3)).contains(&end);
    if is_full {
        most as usize
    } else if has_room {
        end as usize
    } else {
        last as usize
    }
}

/// The key whose scale holds most of the notes; of several the one whose home the last note is, then the first named.
pub(super) fn nearest_key(notes: &[MidiNote]) -> Key {
    let class = |note: &MidiNote| i32::from(note.number()).rem_euclid(12);
    let last = notes.last().map_or(0, class);
    let score = |key: &Key| {
        let home = key.tonic().pitch_class();
        let scale: &[i32] = match key.mode() {
            Mode::Major => &[0, 2, 4, 5, 7, 9, 11],
            Mode::Minor => &[0, 2, 3, 5, 7, 8, 10],
        };
        let inside = notes.iter().filter(|note| scale.contains(&(class(note) - home).rem_euclid(12))).count();
        (inside, home == last, -key.fifths().abs())
    };
    Key::all().max_by_key(score).unwrap_or_else(|| Key::of_signature(0, Mode::Major))
}
