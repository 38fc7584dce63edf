//! The keyboard: two octaves from a C as the player reads it, with the notes in use marked by their role now.

use crate::insight::roles::{self, NoteInsight};
use crate::riff::Note;
use crate::theory::pitch::{Pitch, Step};
use crate::theory::spell::Around;
use crate::units::{MidiNote, Ticks};
use crate::view::context::Context;
use crate::view::model::{KeyView, KeysView};
use crate::view::{is_pale, role_name, spoken};

/// Computer keys by place (`KeyboardEvent.code`): white keys along the home row from A, and on from Z's row for the
/// second octave; black keys stand in the row above, between their neighbours.
const CODES: [&str; 25] = [
    "KeyA",
    "KeyW",
    "KeyS",
    "KeyE",
    "KeyD",
    "KeyF",
    "KeyT",
    "KeyG",
    "KeyY",
    "KeyH",
    "KeyU",
    "KeyJ",
    "KeyK",
    "KeyO",
    "KeyL",
    "KeyP",
    "Semicolon",
    "Quote",
    "BracketRight",
    "",
    "",
    "",
    "",
    "",
    "",
];

pub(super) fn view(context: &Context) -> KeysView {
    let lowest = lowest(context);
    let keys = (0..=24)
        .filter_map(|above| {
            let midi = MidiNote::new(lowest + above)?;
            Some(KeyView { code: CODES[above as usize].to_owned(), ..key(context, midi) })
        })
        .collect();
    KeysView { keys, home_index: 0 }
}

/// The key or place on a neck that sounds as `midi`.
pub(super) fn key(context: &Context, midi: MidiNote) -> KeyView {
    let tune = context.desk.tune();
    let bar = context.desk.session().bar;
    let at = context.changes.bar_start(bar);
    let chord = context.changes.chord_at(at).chord;
    let used = tune.material.notes(tune.key, chord);
    let pitch = Around { chord: Some(chord), ..Around::key(tune.key) }.spell(midi);
    let insight = insight(context, pitch, at);
    let is_used = used.iter().any(|name| name.pitch_class() == pitch.name.pitch_class());
    let read = context.reading.pitch(pitch);
    let read = if is_used { read } else { plain(read) };
    KeyView {
        midi: midi.number(),
        name: read.name.pretty(),
        black: is_black(read),
        used: is_used,
        home: pitch.name.pitch_class() == tune.key.tonic().pitch_class(),
        role: role_name(&insight),
        blue: insight.blue.is_some(),
        pale: is_pale(&insight),
        code: String::new(),
        label: label(read, is_used, &insight),
    }
}

/// C3 to C6 as read: the octaves around the riff, or from C4.
fn lowest(context: &Context) -> i32 {
    let written = |pitch: Pitch| context.reading.pitch(pitch).semitones();
    let sounds: Vec<i32> = context.desk.riff().notes().iter().map(|note| written(note.pitch)).collect();
    let (low, high) =
        (sounds.iter().min().copied().unwrap_or(60), sounds.iter().max().copied().unwrap_or(84));
    // The lowest C from which two octaves hold the riff, at C4 unless the riff says otherwise.
    let from = if low >= 60 && high <= 84 { 60 } else { low - low.rem_euclid(12) };
    let transposition = context.reading.interval().semitones;
    (from - transposition).clamp(0, 103)
}

fn insight(context: &Context, pitch: Pitch, at: Ticks) -> NoteInsight {
    let note = Note { onset: Ticks::ZERO, length: Ticks(1), pitch, accent: false, ornament: None };
    roles::of_note(context.changes, &note, 0, at)
}

fn is_black(read: Pitch) -> bool {
    white(read).is_none()
}

/// The white key's own letter.
fn white(read: Pitch) -> Option<Step> {
    Step::ALL.into_iter().find(|step| step.semitones() == read.semitones().rem_euclid(12))
}

/// How a key is called that stands in no relation to the tune: a white one by its letter, E and not F flat.
fn plain(read: Pitch) -> Pitch {
    white(read).map_or(read, |step| Pitch::new(step, 0, read.semitones().div_euclid(12) - 1))
}

fn label(read: Pitch, used: bool, insight: &NoteInsight) -> String {
    let role = match insight.role {
        roles::Role::InChord if insight.blue.is_some() => "in the chord, and a blue note",
        roles::Role::InChord => "in the chord",
        roles::Role::Blue => "blue note",
        roles::Role::NextChord => "coming next",
        roles::Role::Other => "outside note",
    };
    if used { format!("{}, {role}", spoken::pitch(read)) } else { spoken::pitch(read) }
}
