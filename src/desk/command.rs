//! Everything that a person can do, as data. The page sends these; nothing else changes a `Desk`.

#![expect(missing_docs, reason = "each variant says what its fields mean")]

use serde::Deserialize;

/// One thing that a person does.
///
/// Texts are as in data: keys `Bb` or `F#m`, forms by name or a chart as text, riff ids as 16 hexadecimal digits.
/// A text that does not read leaves everything as it was and gives a message. Pitches are MIDI note numbers as they
/// sound; places in a riff are parts of its grid or ticks from its start.
///
/// In data a command is its name, or an object with its name and its fields: `"enter-rest"`, `{"set-key":{"key":"Bb"}}`.
/// Of serde's shapes this one costs the page's module least; `www/command.js` makes it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", rename_all_fields = "camelCase")]
#[cfg_attr(target_arch = "wasm32", derive(tsify::Tsify))]
pub enum Command {
    // The tune.
    /// Put the tune in another key; typed charts move along, the riff stays.
    SetKey { key: String },
    /// Move the riff on the desk from the key that it stands in to the tune's.
    MoveToKey,
    /// Choose a form by name, or type one as a chart.
    SetForm { form: String },
    /// Take the chart that was refused for small letters, with capitals: `g7` as `G7`.
    UseCapitals,
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
    /// Set one thing of the band, such as `drums` to `brushes`: names from the band's view.
    SetBand { what: String, value: String },
    /// Let the band make other choices of the same kind.
    AnotherTake,
    /// Make a part of the band, or `all` of it, louder or softer; decibels.
    SetLevel { part: String, decibels: i32 },
    /// Which instrument I play: a name from the tune view's list.
    SetInstrument { instrument: String },
    /// Which notes to use: `one`, `three`, `five`, `minor-blues`, `major-blues`, `chord`, `all`.
    SetMaterial { material: String },

    /// Take up the tune again that was there before a link or the demo brought another one.
    OwnTuneAgain,

    // The notebook.
    /// Begin a new, empty riff and choose it.
    NewRiff { id: String },
    /// Choose a riff to work on.
    PickRiff { id: String },
    /// Copy a riff under a new id and choose the copy.
    DuplicateRiff { id: String, copy: String },
    /// Take a riff of the shelf into the notebook, by its name, in the tune's key.
    TakeStarter { name: String, id: String },
    /// Take a model chorus of the shelf with its riffs, by its name, in the tune's key.
    TakeModel { name: String, id: String },
    /// Name the riff.
    RenameRiff { id: String, name: String },
    /// Do one thing with labels or earlier versions: a `NotebookCommand` as JSON, read where it is done, so that what
    /// opens the page knows nothing of it.
    Notebook { does: String },
    /// Throw a riff away, or several in one step, their ids with a space between; undo brings them back.
    DeleteRiff { id: String },
    /// Add what a link holds: its riff, and its tune where that is wished.
    OpenLink { text: String, id: String, take_tune: bool },
    /// Take up the lesson that was opened: its riffs, its tune, and the notes that its first tier asks for. Where none
    /// was opened, lay the riff on the desk that the step of the lesson asks for.
    TakeLesson { id: String },
    /// Take the demo tune with its riff.
    OpenDemo { id: String },

    // The chosen riff, step by step.
    /// Move the cursor by grid steps (negative: back).
    MoveCursor { steps: i32 },
    /// Put the cursor at a tick of the riff (snapped to the grid).
    PlaceCursor { tick: i64 },
    /// Write a note at the cursor and move on.
    EnterNote { midi: u8 },
    /// Write an accented note at the cursor and move on: a key that was struck hard.
    EnterAccented { midi: u8 },
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

    // Playing a riff in.
    /// Set one thing of playing in: `with` to `click` or `band`, `bars` to `any`, `1`, `2` or `4`.
    SetPlayIn { what: String, value: String },
    /// What was played in becomes a riff: the empty one on the desk, or a new one with this id.
    TakeDown { id: String },
    /// Take another reading of what was played in, by its index.
    TakeReading { index: usize },
    /// Write pitches for the notes of the riff one by one, from its first note on; or stop that.
    NameNotes { on: bool },
    /// Put the readings away; the riff stays.
    CloseTake,

    // Another form of the same idea.
    /// Vary the chosen riff: a way from the vary view's list, and which try. Nothing is kept yet.
    Vary { how: String, seed: u32 },
    /// Look at the variation, or at the riff as it was.
    ShowVariation { on: bool },
    /// Keep the variation as a new riff.
    KeepVariation { id: String, name: String },
    /// Put the variation away.
    DropVariation,

    // Practising.
    /// Set one thing of a practice run, such as `click` to `two-and-four`: names from the practice view's sentence.
    SetPractice { what: String, value: String },
    /// Take up a riff in a key, also in another than it stands in; `how` is a name from the plan for today, or empty
    /// for the way that is set.
    PractiseIn { id: String, key: String, how: String },

    // The chorus. Placements are told by their index in the order of time; bars count from 0 through all times.
    /// Begin a new, empty chorus and work on it.
    NewChorus { id: String },
    /// Choose a chorus to work on.
    PickChorus { id: String },
    /// Copy a chorus under a new id and work on the copy.
    DuplicateChorus { id: String, copy: String },
    /// Name a chorus.
    RenameChorus { id: String, name: String },
    /// Throw a chorus away; undo brings it back.
    DeleteChorus { id: String },
    /// Play the form so many times.
    SetChorusTimes { times: usize },
    /// Where the next riff goes.
    ChooseChorusBar { bar: usize },
    /// Loop these bars (`to` not included), or all of them.
    LoopChorus { bars: Option<(usize, usize)> },
    /// Put a riff of the notebook into a bar, so many half beats later than it is written.
    PlaceRiff { id: String, bar: usize, half_beats: i32 },
    /// Choose a placement, or none.
    SelectPlacement { index: Option<usize> },
    /// Move a placement, or the chosen one; one gesture, one undo step.
    MovePlacement { index: Option<usize>, bars: i32, half_beats: i32, gesture: u32 },
    /// Take a placement out.
    RemovePlacement { index: usize },
    /// Move a placement's notes by half steps; steps in a row are one change.
    TransposePlacement { index: usize, semitones: i32 },
    /// Change a placement on the spot, after what was changed there: a way to vary, `with-chord`, or nothing for as it
    /// was; and which try.
    VaryPlacement { index: usize, how: String, seed: u32 },
    /// Take the last change of a placement back.
    TakeBackChange { index: usize },
    /// Take the riff as the notebook has it now, in all its placements.
    RenewPlacement { index: usize },
    /// Keep what sounds at a placement as a new riff.
    KeepPlacement { index: usize, id: String },
    /// Let suggestions leave a placement as it is.
    FixPlacement { index: usize, on: bool },
    /// Copy what is begun in one line to another.
    CopyLine { from: usize, to: usize },
    /// Do one thing with the words over the lines: a `VerseCommand` as JSON, read where it is done, so that what opens
    /// the page knows nothing of it.
    Verse { does: String },
    /// Take everything out of the chorus.
    ClearChorus,
    /// Show the riffs beside the chorus whose name or length holds this text.
    FindRiffs { text: String },
    /// Begin to ask for suggestions, or put them away.
    AskForChorus { on: bool },
    /// Make suggestions from a riff, or not.
    AskRiff { id: String, on: bool },
    /// `plain`, `some` or `bold`.
    SetAdventure { adventure: String },
    /// `little`, `some` or `much`.
    SetRoom { room: String },
    /// Look for choruses to suggest; what was found is taken when it comes.
    SuggestChorus,
    /// Look for no more.
    StopLooking,
    /// Look at a suggestion, or at the chorus as it is.
    ShowSuggestion { index: Option<usize> },
    /// Take a suggestion.
    TakeSuggestion { index: usize },

    // A free chorus.
    /// From now on everything that is played belongs to a new free chorus.
    BeginFreeChorus,
    /// The free chorus is over; what is found in it is shown.
    EndFreeChorus,
    /// Put away what was found; it stays among what was played.
    ForgetFreeChorus,
    /// Look at one of the last free choruses, the newest being 0.
    LookAtFreeChorus { index: usize },

    // Looking and going back.
    /// Show a part of the page: `riff`, `chorus`, `notebook` or `play`.
    Go { place: String },
    /// Look at the riff begun in this bar (index from 0).
    ChooseBar { bar: usize },
    /// Loop these bars (indices from 0, `to` not included), or the whole form.
    SetLoop { bars: Option<(usize, usize)> },
    /// Loop from the bar that is looked at to this one (index from 0), in either order.
    LoopTo { bar: usize },
    /// Undo one step.
    Undo,
    /// Redo one step.
    Redo,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The page writes these; `tests/browser` sends them for real, and the type checker holds its calls to the fields.
    #[test]
    fn commands_read_as_the_page_writes_them() {
        #[track_caller]
        fn check(text: &str, expected: &Command) {
            assert_eq!(&serde_json::from_str::<Command>(text).unwrap(), expected);
        }
        check(r#"{"set-key":{"key":"Bb"}}"#, &Command::SetKey { key: "Bb".into() });
        check(r#"{"set-tempo":{"bpm":92}}"#, &Command::SetTempo { bpm: 92.0 });
        check(r#"{"set-tempo":{"bpm":92.5}}"#, &Command::SetTempo { bpm: 92.5 });
        check(r#"{"set-four-in-bar-two":{"on":true}}"#, &Command::SetFourInBarTwo { on: true });
        check(r#"{"enter-note":{"midi":67}}"#, &Command::EnterNote { midi: 67 });
        check(r#""enter-rest""#, &Command::EnterRest);
        check(r#"{"select-note":{"index":null}}"#, &Command::SelectNote { index: None });
        check(r#"{"select-note":{}}"#, &Command::SelectNote { index: None });
        check(r#"{"set-loop":{"bars":[4,8]}}"#, &Command::SetLoop { bars: Some((4, 8)) });
        let link = Command::OpenLink { text: "1a".into(), id: "00".into(), take_tune: true };
        check(r#"{"open-link":{"text":"1a","id":"00","takeTune":true}}"#, &link);
        let moved = Command::MoveNote { index: 1, steps: 0, pitch: -1, in_scale: true };
        check(r#"{"move-note":{"index":1,"steps":0,"pitch":-1,"inScale":true}}"#, &moved);
        let dragged = Command::DragNote { index: 1, tick: -10_080, midi: 60, gesture: u32::MAX };
        check(r#"{"drag-note":{"index":1,"tick":-10080,"midi":60,"gesture":4294967295}}"#, &dragged);
    }

    #[test]
    fn what_is_no_command_is_refused() {
        for text in [
            "",
            "null",
            "[]",
            "{}",
            r#"1"#,
            r#""""#,
            r#""fly""#,
            r#"{"SetKey":{"key":"G"}}"#,
            r#"{"set_key":{"key":"G"}}"#,
            r#"{"set-key":{"key":"G"},"undo":null}"#,
            r#""set-key""#,
            r#"{"set-key":{"key":1}}"#,
            r#"{"enter-note":{"midi":256}}"#,
            r#"{"enter-note":{"midi":-1}}"#,
            r#"{"enter-note":{"midi":60.5}}"#,
            r#"{"move-note":{"index":1,"steps":0,"pitch":-1,"in_scale":true}}"#,
            r#"{"set-loop":{"bars":[4]}}"#,
        ] {
            assert!(serde_json::from_str::<Command>(text).is_err(), "{text}");
        }
    }
}
