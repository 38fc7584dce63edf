//! The keyboard: two octaves from a C as the player reads it, with the notes in use marked by their role now.

use crate::form::Changes;
use crate::insight::roles::{self, NoteInsight};
use crate::riff::Note;
use crate::theory::pitch::{Pitch, Step};
use crate::theory::spell::Around;
use crate::units::{MidiNote, Ticks};
use crate::view::context::Context;
use crate::view::model::{KeyView, KeysView, LetterView};
use crate::view::{role_name, spoken};

/// The rows of a computer keyboard by place (`KeyboardEvent.code`, UI Events KeyboardEvent code Values, W3C), the row
/// below the hand's first, each from the left. The arrangement is our own: the home row holds the notes in use from home
/// upwards, the row above the same an octave higher, the row below the same an octave lower. So three notes in use are
/// three keys side by side, and none of them is a wrong one.
const ROWS: [&[&str]; 3] = [
    &["KeyZ", "KeyX", "KeyC", "KeyV", "KeyB", "KeyN", "KeyM", "Comma", "Period", "Slash"],
    &["KeyA", "KeyS", "KeyD", "KeyF", "KeyG", "KeyH", "KeyJ", "KeyK", "KeyL", "Semicolon", "Quote"],
    &[
        "KeyQ",
        "KeyW",
        "KeyE",
        "KeyR",
        "KeyT",
        "KeyY",
        "KeyU",
        "KeyI",
        "KeyO",
        "KeyP",
        "BracketLeft",
        "BracketRight",
    ],
];
/// The row under the fingers at rest.
const HOME_ROW: usize = 1;

/// A place of a form: what the marks and the notes in use stand on.
#[derive(Clone, Copy)]
pub(super) struct Ground<'a> {
    /// The form in its key, as it sounds.
    pub changes: &'a Changes,
    /// From its beginning.
    pub at: Ticks,
}

impl Ground<'_> {
    /// The bar that is looked at.
    pub(super) fn chosen<'a>(context: &Context<'a>) -> Ground<'a> {
        Ground { changes: context.changes, at: context.changes.bar_start(context.desk.session().bar) }
    }
}

/// The keyboard over one place of a form.
pub(super) fn view(context: &Context, ground: Ground) -> KeysView {
    let lowest = lowest(context);
    let letters = letters(context, ground, lowest);
    let code = |midi: MidiNote| {
        let of = letters.iter().find(|letter| letter.midi == midi.number());
        of.map(|letter| letter.code.clone()).unwrap_or_default()
    };
    let keys = (0..=24)
        .filter_map(|above| {
            let midi = MidiNote::new(lowest + above)?;
            Some(KeyView { code: code(midi), ..key(context, ground, midi) })
        })
        .collect();
    KeysView { keys, home_index: 0, letters }
}

/// What each computer key plays, where the lowest key on the screen sounds as `lowest`. Home is its lowest one there.
fn letters(context: &Context, ground: Ground, lowest: i32) -> Vec<LetterView> {
    let tune = context.desk.tune();
    let used = tune.material.notes(tune.key, ground.changes.chord_at(ground.at).chord);
    let tonic = tune.key.tonic().pitch_class();
    let mut above_home: Vec<i32> =
        used.iter().map(|name| (name.pitch_class() - tonic).rem_euclid(12)).collect();
    above_home.sort_unstable();
    above_home.dedup();
    let home = lowest + (tonic - lowest).rem_euclid(12);
    let fits = ROWS.iter().all(|row| above_home.len() <= row.len());
    let places: Vec<(&str, i32)> = if fits {
        let row = |(row, codes): (usize, &&'static [&'static str])| {
            let octave = 12 * (row as i32 - HOME_ROW as i32);
            codes.iter().copied().zip(above_home.iter().map(move |above| octave + above)).collect::<Vec<_>>()
        };
        ROWS.iter().enumerate().flat_map(row).collect()
    } else {
        // More notes than a row has keys: one line of half steps through all rows, home where the little finger lies.
        let below_home = ROWS[..HOME_ROW].iter().map(|row| row.len() as i32).sum::<i32>();
        ROWS.concat().into_iter().zip(-below_home..).collect()
    };
    let sounds = |(code, above): (&str, i32)| {
        let midi = MidiNote::new(home + above)?;
        Some(LetterView { code: code.to_owned(), midi: midi.number() })
    };
    places.into_iter().filter_map(sounds).collect()
}

/// The key or place on a neck that sounds as `midi`, over one place of a form.
pub(super) fn key(context: &Context, ground: Ground, midi: MidiNote) -> KeyView {
    let tune = context.desk.tune();
    let chord = ground.changes.chord_at(ground.at).chord;
    let used = tune.material.notes(tune.key, chord);
    let pitch = Around { chord: Some(chord), ..Around::key(tune.key) }.spell(midi);
    let insight = insight(ground, pitch);
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

fn insight(ground: Ground, pitch: Pitch) -> NoteInsight {
    let note = Note { onset: Ticks::ZERO, length: Ticks(1), pitch, accent: false, ornament: None };
    roles::of_note(ground.changes, &note, 0, ground.at)
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
    let role = spoken::role(insight);
    if used { format!("{}, {role}", spoken::pitch(read)) } else { spoken::pitch(read) }
}
