//! What stands under the notes of a staff for one instrument: tablature, or fingerings.

use crate::notation::fingering::{Fingered, Fingering, Hole};
use crate::notation::tab::{self, HIGHEST_FRET, Stop};
use crate::riff::{Note, Ornament};
use crate::theory::instrument::Instrument;
use crate::theory::interval::Interval;
use crate::theory::pitch::Pitch;
use crate::view::model::{FingersView, TabView};
use crate::view::{capital, count};

/// What stands under each note, by the index of the note.
#[derive(Default)]
pub(super) struct Under {
    /// The names of the strings, the highest line first; empty for all but tablature.
    pub strings: Vec<String>,
    /// What is worth knowing of it.
    pub note: String,
    /// Which charts it is from; empty where it follows from the strings.
    pub source: String,
    tabs: Vec<Option<TabView>>,
    fingers: Vec<Option<FingersView>>,
}

/// The names in data of what can stand under notes, the instruments whose fingerings are known, what a column shows, and
/// where it is from (see [`crate::notation::fingering`]).
const FINGERED: [(&str, Fingered, &str, &str); 3] = [
    (
        "recorder",
        Fingered::Recorder,
        "Baroque (English) fingering: thumb, left hand, right hand",
        "Fingerings from the charts of Recorder Method Online, Recorder Home Page, and Toft and Toddy.",
    ),
    (
        "alto-sax",
        Fingered::AltoSax,
        "Fingering: octave key, left hand, right hand",
        "Fingerings from the map in “Heave, sway, surge”, and the chart of Tunable; high G♯ from memory.",
    ),
    (
        "trumpet",
        Fingered::Trumpet,
        "Valves: 0 is none",
        "Valves by rule: the second one lowers by a half step, the first by two, the third by three.",
    ),
];
const STRUNG: [&str; 2] = ["guitar", "ukulele"];

impl Under {
    /// What stands under these notes for the instrument with this name; nothing for any other name.
    pub fn of(name: &str, notes: &[Note]) -> Under {
        let Some(instrument) = Instrument::named(name) else { return Under::default() };
        if STRUNG.contains(&name) {
            return Under::strung(instrument, notes);
        }
        let known = FINGERED.into_iter().find(|(known, ..)| *known == name);
        known.map_or_else(Under::default, |(_, fingered, what, source)| Under {
            source: source.to_owned(),
            ..Under::fingered(instrument, fingered, what, notes)
        })
    }

    fn strung(instrument: &Instrument, notes: &[Note]) -> Under {
        let strings = instrument.strings();
        let placed = &|octaves: i32| -> Vec<Option<Stop>> {
            tab::stops(strings, &notes.iter().map(|note| up(note.pitch, octaves)).collect::<Vec<_>>())
        };
        let (octaves, stops) = near_the_nut(fitting(placed), placed);
        let line = |stop: &Stop| strings.len() - 1 - stop.string;
        let view = |(stop, note): (&Option<Stop>, &Note)| {
            stop.as_ref().map(|stop| TabView {
                line: line(stop),
                fret: stop.fret,
                crushed: crushed(stop, note),
            })
        };
        let name = |open: &Pitch| open.name.pretty();
        let about =
            format!("{} tablature: a line is a string, a number is the fret", capital(instrument.title()));
        Under {
            strings: strings.iter().rev().map(name).collect(),
            note: note(
                &about,
                instrument.title(),
                octaves,
                stops.iter().filter(|stop| stop.is_none()).count(),
            ),
            source: String::new(),
            tabs: stops.iter().zip(notes).map(view).collect(),
            fingers: Vec::new(),
        }
    }

    fn fingered(instrument: &Instrument, fingered: Fingered, what: &str, notes: &[Note]) -> Under {
        let above = instrument.written_above();
        let taken = |octaves: i32| -> Vec<Option<Fingering>> {
            notes.iter().map(|note| fingered.fingering(up(note.pitch, octaves).up(above))).collect()
        };
        let (octaves, taken) = fitting(taken);
        let view = |fingering: &Option<Fingering>| {
            fingering.as_ref().map(|fingering| FingersView {
                holes: fingering.holes.iter().map(|hole| closed(*hole)).collect(),
                keys: fingering.keys.to_owned(),
                text: fingering.text(fingered),
            })
        };
        let about = format!("{}. {what}", capital(instrument.title()));
        Under {
            strings: Vec::new(),
            note: note(&about, instrument.title(), octaves, taken.iter().filter(|one| one.is_none()).count()),
            source: String::new(),
            tabs: Vec::new(),
            fingers: taken.iter().map(view).collect(),
        }
    }

    /// Where the note with this index is played.
    pub fn tab(&self, index: usize) -> Option<TabView> {
        self.tabs.get(index).cloned().flatten()
    }

    /// The fingers of the note with this index.
    pub fn fingers(&self, index: usize) -> Option<FingersView> {
        self.fingers.get(index).cloned().flatten()
    }

    /// What a screen reader says of it: "string 2, fret 3", "thumb 1 2 3"; nothing where there is nothing under it.
    pub fn spoken(&self, index: usize) -> Option<String> {
        let tab = self.tab(index).map(|tab| match tab.fret {
            0 => format!("string {} open", tab.line + 1),
            fret => format!("string {}, fret {fret}", tab.line + 1),
        });
        tab.or_else(|| self.fingers(index).map(|fingers| fingers.text))
    }
}

fn up(pitch: Pitch, octaves: i32) -> Pitch {
    pitch.up(Interval::new(7 * octaves, 12 * octaves))
}

/// The crushed note on the string of its note: the finger slides or is pulled off there.
fn crushed(stop: &Stop, note: &Note) -> Option<u8> {
    let Some(Ornament::Crushed(pitch)) = note.ornament else { return None };
    let fret = i32::from(stop.fret) + pitch.semitones() - note.pitch.semitones();
    u8::try_from(fret).ok().filter(|fret| *fret <= HIGHEST_FRET)
}

/// By how many octaves notes are moved, and what that gives: the least move after which most of them can be played.
fn fitting<T>(place: impl Fn(i32) -> Vec<Option<T>>) -> (i32, Vec<Option<T>>) {
    let mut best = (0, place(0));
    let played = |placed: &[Option<T>]| placed.iter().filter(|one| one.is_some()).count();
    for octaves in [-1, 1, -2, 2, -3, 3] {
        if played(&best.1) == best.1.len() {
            break;
        }
        let placed = place(octaves);
        if played(&placed) > played(&best.1) {
            best = (octaves, placed);
        }
    }
    best
}

/// An octave lower, or two, where a riff lies beyond fret [`FAR`] and all that can be played then lies nearer to the nut:
/// so a beginner plays it. Source: common practice, no source (tutors begin in the first position).
fn near_the_nut(
    found: (i32, Vec<Option<Stop>>),
    place: impl Fn(i32) -> Vec<Option<Stop>>,
) -> (i32, Vec<Option<Stop>>) {
    let played = |stops: &[Option<Stop>]| stops.iter().flatten().count();
    let farthest = |stops: &[Option<Stop>]| stops.iter().flatten().map(|stop| stop.fret).max().unwrap_or(0);
    let mut best = found;
    for octaves in [best.0 - 1, best.0 - 2] {
        if farthest(&best.1) <= FAR {
            break;
        }
        let lower = place(octaves);
        if played(&lower) >= played(&best.1) && farthest(&lower) < farthest(&best.1) {
            best = (octaves, lower);
        }
    }
    best
}

/// The farthest fret at which a riff stays where it is written.
const FAR: u8 = 7;

fn closed(hole: Hole) -> u8 {
    match hole {
        Hole::Open => 0,
        Hole::Half => 1,
        Hole::Closed => 2,
    }
}

/// "Guitar tablature: … An octave lower. 2 notes are too high or too low for the guitar: nothing stands under them."
fn note(about: &str, title: &str, octaves: i32, beyond: usize) -> String {
    let way = if octaves < 0 { "lower" } else { "higher" };
    let moved = match octaves.abs() {
        0 => String::new(),
        1 => format!(" An octave {way}."),
        more => format!(" {} octaves {way}.", more),
    };
    let left = match beyond {
        0 => String::new(),
        1 => format!(" One note is too high or too low for the {title}: nothing stands under it."),
        more => format!(
            " {} are too high or too low for the {title}: nothing stands under them.",
            count(more, "note", "notes")
        ),
    };
    format!("{about}.{moved}{left}")
}
