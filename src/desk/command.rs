//! Everything that a person can do, as data. The page sends these; nothing else changes a `Desk`.

#![expect(missing_docs, reason = "each variant says what its fields mean")]

use serde::{Deserialize, Serialize};

/// One thing that a person does.
///
/// Texts are as in data: keys `Bb` or `F#m`, forms by name or a chart as text, riff ids as 16 hexadecimal digits.
/// A text that does not read leaves everything as it was and gives a message. Pitches are MIDI note numbers as they
/// sound; places in a riff are parts of its grid or ticks from its start.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "do", rename_all = "kebab-case", rename_all_fields = "camelCase", deny_unknown_fields)]
#[cfg_attr(target_arch = "wasm32", derive(tsify::Tsify))]
pub enum Command {
    // The tune.
    /// Put the tune in another key; typed charts move along.
    SetKey { key: String },
    /// Choose a form by name, or type one as a chart.
    SetForm { form: String },
    /// Twelve bars only: IV in bar 2, or not.
    SetFourInBarTwo { on: bool },
    /// Twelve bars only: V in bar 12, or not.
    SetFiveInBarTwelve { on: bool },
    /// `sevenths` or `triads`.
    SetChords { chords: String },
    /// `straight`, `light-swing`, `shuffle`, `hard-shuffle` …: a name from the tune view's list.
    SetFeel { feel: String },
    /// Beats a minute as the page shows them (the beat of the metre).
    SetTempo { bpm: f64 },
    /// Let a part of the band play or not: `click`, `drums`, `bass`, `comp`, `solo`.
    SetPart { part: String, on: bool },
    /// Which instrument I play: a name from the tune view's list.
    SetInstrument { instrument: String },
    /// Which notes to use: `one`, `three`, `five`, `minor-blues`, `major-blues`, `chord`, `all`.
    SetMaterial { material: String },

    // The notebook.
    /// Begin a new, empty riff and choose it.
    NewRiff { id: String },
    /// Choose a riff to work on.
    PickRiff { id: String },
    /// Copy a riff under a new id and choose the copy.
    DuplicateRiff { id: String, copy: String },
    /// Name the riff.
    RenameRiff { id: String, name: String },
    /// Throw a riff away; undo brings it back.
    DeleteRiff { id: String },
    /// Add what a link holds: its riff, and its tune where that is wished.
    OpenLink { text: String, id: String, take_tune: bool },
    /// Take the demo tune with its riff.
    OpenDemo { id: String },

    // The chosen riff, step by step.
    /// Move the cursor by grid steps (negative: back).
    MoveCursor { steps: i32 },
    /// Put the cursor at a tick of the riff (snapped to the grid).
    PlaceCursor { tick: i64 },
    /// Write a note at the cursor and move on.
    EnterNote { midi: u8 },
    /// Leave room: a rest at the cursor, and move on.
    EnterRest,
    /// Select a note by its index, or none.
    SelectNote { index: Option<usize> },
    /// Accent the selected note (or the one before the cursor), or take the accent away.
    ToggleAccent,
    /// A grid step longer, the selected note or the one before the cursor.
    LongerNote,
    /// A grid step shorter.
    ShorterNote,
    /// Take the selected note away, or the one before the cursor.
    DeleteNote,
    /// Divide a beat (index from 0) into 2, 3 or 4.
    SetDivision { beat: usize, parts: u8 },
    /// Divide the beat at the cursor and those written from now on.
    SetDivisionHere { parts: u8 },
    /// Move a note in time, by grid steps, and in pitch, by half steps or (with `in_scale`) by notes in use.
    MoveNote { index: usize, steps: i32, pitch: i32, in_scale: bool },
    /// Drag a note to a tick and a pitch; one gesture, one undo step.
    DragNote { index: usize, tick: i64, midi: u8, gesture: u32 },
    /// Give a note the length that ends at `tick`; one gesture, one undo step.
    StretchNote { index: usize, tick: i64, gesture: u32 },
    /// Make the riff longer or shorter, in beats.
    SetRiffBeats { beats: usize },
    /// Begin the riff somewhere else in the bar: quarters from the bar line, negative for a pickup.
    SetRiffStart { quarters: f64 },
    /// Take out all notes of the chosen riff.
    ClearRiff,

    // Another form of the same idea.
    /// Vary the chosen riff: a way from the vary view's list, and which try. Nothing is kept yet.
    Vary { how: String, seed: u32 },
    /// Look at the variation, or at the riff as it was.
    ShowVariation { on: bool },
    /// Keep the variation as a new riff.
    KeepVariation { id: String, name: String },
    /// Put the variation away.
    DropVariation,

    // Looking and going back.
    /// Look at the riff begun in this bar (index from 0).
    ChooseBar { bar: usize },
    /// Loop these bars (indices from 0, `to` not included), or the whole form.
    SetLoop { bars: Option<(usize, usize)> },
    /// Undo one step.
    Undo,
    /// Redo one step.
    Redo,
}
