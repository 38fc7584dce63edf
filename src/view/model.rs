//! The view-models. Places along a width or height are fractions from 0 to 1; the page only scales them.

use serde::{Deserialize, Serialize};

/// Declares view-models: plain data that is compared, sent to the page and described to its type checker.
macro_rules! view_models {
    ($($item:item)*) => {
        $(
            #[derive(Clone, Debug, Default, PartialEq, Serialize)]
            #[serde(rename_all = "camelCase")]
            #[cfg_attr(target_arch = "wasm32", derive(tsify::Tsify))]
            $item
        )*
    };
}

mod along;
mod chorus;
mod class;
mod cloth;
mod file;
mod free;
mod lesson_sheet;
mod microphone;
mod notebook;
mod past;
mod practice;
mod staff;
mod starters;
mod takes;
mod taking;
mod track;

pub use along::*;
pub use chorus::*;
pub use class::*;
pub use cloth::*;
pub use file::*;
pub use free::*;
pub use lesson_sheet::*;
pub use microphone::*;
pub use notebook::*;
pub use past::*;
pub use practice::*;
pub use staff::*;
pub use starters::*;
pub use takes::*;
pub use taking::*;
pub use track::*;

/// The four roles as the page draws them: shapes first, colours second.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
#[cfg_attr(target_arch = "wasm32", derive(tsify::Tsify))]
pub enum RoleName {
    /// Full round.
    InChord,
    /// Drop.
    Blue,
    /// A shape pointing right.
    NextChord,
    /// Open ring.
    #[default]
    Other,
}

view_models! {
    /// The parts of the page that changed; a part that did not change is absent.
    pub struct Changed {
        /// The tune strip.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub tune: Option<TuneView>,
        /// The form in lines.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub form: Option<FormView>,
        /// The beats that the riff lies on.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub grid: Option<GridView>,
        /// The riff as a strip of beats.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub strip: Option<StripView>,
        /// Ways to vary the riff, and the variation that is being tried.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub vary: Option<VaryView>,
        /// The keyboard.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub keys: Option<KeysView>,
        /// The neck, for players of fretted instruments.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub neck: Option<NeckView>,
        /// Sentences about the riff in the chosen bar.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub words: Option<WordsView>,
        /// Sentences about the riff as a whole.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub whole: Option<WholeView>,
        /// The notebook.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub notebook: Option<NotebookView>,
        /// What was found in a free chorus, where one is played; an empty one where it is put away.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub free: Option<FreeChorusView>,
        /// The choruses that are kept, where the notebook is shown.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub choruses: Option<ChorusesView>,
        /// The chorus, where its screen is shown.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub chorus: Option<ChorusView>,
        /// What to say once, politely: the answer to a command that could not be done, or what was done.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub message: Option<String>,
        /// What a screen reader says of what was written: "G, bar 1, beat 1, in the chord".
        #[serde(skip_serializing_if = "Option::is_none")]
        pub spoken: Option<String>,
        /// What is offered beside the message.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub offer: Option<OfferView>,
        /// Which records to write to storage: riff ids, or `tune`; deleted riffs are listed in `forget`.
        pub save: Vec<String>,
        /// Riffs that are gone from the notebook.
        pub forget: Vec<String>,
        /// The room that the command waits for, where it was not done for want of it: the same command can be given
        /// again once the room is open.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub room: Option<String>,
        /// The part of the page to show now, where what was done belongs to another one.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub show: Option<String>,
        /// Whether what sounds must be planned anew (the Player does so by itself; for information).
        pub sounds: bool,
    }

    /// One thing that can be done about what was just said.
    pub struct OfferView {
        /// What the button says.
        pub text: String,
        /// The command that it sends, one without fields: `undo`, `move-to-key` or `own-tune-again`.
        pub does: String,
    }

    /// One thing to choose from a list.
    pub struct ChoiceView {
        /// What the command takes.
        pub value: String,
        /// What a person reads.
        pub text: String,
        /// Whether it is the one chosen.
        pub chosen: bool,
        /// A few words more, or nothing.
        pub hint: String,
    }

    /// The chords of a bar as players of one pitch read them.
    pub struct ReadView {
        /// "B♭": what their C sounds as.
        pub pitch: String,
        /// "A7", or two with a space between.
        pub chords: String,
    }

    /// The tune strip: one sentence whose parts can be tapped.
    pub struct TuneView {
        /// Instruments; the chosen one is the first part of the sentence.
        pub instruments: Vec<ChoiceView>,
        /// `keyboard`, `trumpet` …: the words after "I play".
        pub instrument_text: String,
        /// How names are shown: "" at concert pitch, else such as "B♭ instrument: names are as you read them".
        pub transposition_note: String,
        /// "your D sounds as F", for the end of the instrument's name; empty at concert pitch.
        pub sounds_text: String,
        /// What a link asks of whoever opens it: "This was made for alto sax. What do you play?"; else empty.
        pub made_for_text: String,
        /// The answers: the instrument that it was made for, and the one that is set.
        pub made_for: Vec<ChoiceView>,
        /// "Back to mine: G, 76", where a link or the demo brought a tune; else empty.
        pub own_text: String,
        /// Keys, as the player reads them.
        pub keys: Vec<ChoiceView>,
        /// The chosen key, as the player reads it.
        pub key_text: String,
        /// "Move “Salt wind” from G to A", where the riff stands in another key; else empty.
        pub move_text: String,
        /// Forms.
        pub forms: Vec<ChoiceView>,
        /// "12-bar blues with quick change".
        pub form_text: String,
        /// The twelve bars that belong to the key's mode, where the form has those of the other one: an offer; else empty.
        pub form_offer: Vec<ChoiceView>,
        /// What can be typed as a chart, with the key's own chords.
        pub chart_hint: String,
        /// The form as a chart in text, in the player's pitch, to edit.
        pub chart_text: String,
        /// Whether the two switches apply.
        pub has_switches: bool,
        /// IV in bar 2.
        pub four_in_bar_two: bool,
        /// V in bar 12.
        pub five_in_bar_twelve: bool,
        /// Sevenths or triads.
        pub chords: Vec<ChoiceView>,
        /// Feels.
        pub feels: Vec<ChoiceView>,
        /// "shuffle".
        pub feel_text: String,
        /// Beats a minute, as shown.
        pub bpm: f64,
        /// The slowest tempo on offer.
        pub bpm_least: f64,
        /// The fastest tempo on offer.
        pub bpm_most: f64,
        /// What a beat is, and a word about tempo.
        pub tempo_hint: String,
        /// "drums and bass".
        pub band_text: String,
        /// Notes to use.
        pub materials: Vec<ChoiceView>,
        /// "three notes".
        pub material_text: String,
        /// What can be looped: the whole form, a line, the chosen bar. The value is the bars as `from-to`, indices
        /// from 0, `to` not included; empty for the whole form.
        pub loops: Vec<ChoiceView>,
        /// "all 12 bars".
        pub loop_text: String,
        /// Whether undo has something to undo.
        pub can_undo: bool,
        /// Whether redo has something to redo.
        pub can_redo: bool,
    }

    /// A note drawn small in the form.
    pub struct MarkView {
        /// Fraction of the bar at which it begins.
        pub at: f64,
        /// Fraction of the bar that it lasts.
        pub length: f64,
        /// Fraction of the height: 0 low, 1 high.
        pub height: f64,
        /// Its role.
        pub role: RoleName,
        /// A blue note besides its role: the round gets the drop's tip.
        pub blue: bool,
        /// A frayed edge: it rubs.
        pub rubs: bool,
        /// The riff's note, by index.
        pub note: usize,
        /// Which time of the riff in the form it belongs to: the bar index in which that time was begun.
        pub begun: usize,
    }

    /// A chord where it stands in a bar.
    pub struct ChordView {
        /// Fraction of the bar at which it begins.
        pub at: f64,
        /// "G7", in the player's pitch.
        pub symbol: String,
        /// "I7".
        pub numeral: String,
        /// "chord 1".
        pub number: String,
        /// What a screen reader says: "G seven".
        pub spoken: String,
    }

    /// One bar of the form.
    pub struct BarView {
        /// Counted from 1.
        pub number: usize,
        /// Beats in it.
        pub beats: usize,
        /// Its metre where it differs from the bar before, such as "3/4"; else empty.
        pub metre: String,
        /// The chords.
        pub chords: Vec<ChordView>,
        /// The riff's notes in it.
        pub marks: Vec<MarkView>,
        /// Whether this bar is looked at.
        pub chosen: bool,
        /// Where it stands in the loop: `first`, `inside`, `last`, `only`; empty where it is not looped.
        pub looped: String,
        /// "bar 2, C seven, chord 4".
        pub label: String,
    }

    /// The form in lines of four bars.
    pub struct FormView {
        /// Lines from the top.
        pub lines: Vec<LineView>,
        /// The notes of each chord for the line "chord now, chord next": symbol and number by place, in order.
        pub places: Vec<PlaceView>,
        /// Where the lines make up several times through the form, since a chorus is practised that goes through it
        /// several times, a name for each: "first time of 2"; else nothing.
        pub times: Vec<String>,
    }

    /// Four bars (the last line may have fewer).
    pub struct LineView {
        /// The bars.
        pub bars: Vec<BarView>,
    }

    /// A chord on the time line of the form, for "next: C7 in 2 beats".
    pub struct PlaceView {
        /// The bar, index from 0.
        pub bar: usize,
        /// Fraction of that bar.
        pub at: f64,
        /// The symbol in the player's pitch.
        pub symbol: String,
    }

    /// One beat of the strip.
    pub struct BeatView {
        /// Into how many parts it is divided.
        pub division: u8,
        /// Where it begins, as a fraction of the strip's width.
        pub at: f64,
        /// Its width as a fraction of the strip's.
        pub width: f64,
        /// Whether it is beat 1 of a bar.
        pub first: bool,
        /// Whether it belongs to the riff (beats after its end are shown pale, to be reached by lengthening).
        pub inside: bool,
        /// Its grid steps: what is counted and where, as drawn (swung).
        pub steps: Vec<StepView>,
    }

    /// One step of the grid.
    pub struct StepView {
        /// Ticks from the riff's start.
        pub tick: i64,
        /// Where it is drawn, as a fraction of the strip's width.
        pub at: f64,
        /// "1", "&", "e" …
        pub syllable: String,
    }

    /// One note of the strip.
    pub struct TokenView {
        /// The note's index.
        pub index: usize,
        /// Its name without octave, in the player's pitch: "B♭".
        pub name: String,
        /// What sounds.
        pub midi: u8,
        /// Where it begins, in ticks from the riff's start.
        pub tick: i64,
        /// Where it ends, in ticks from the riff's start.
        pub end_tick: i64,
        /// Where it is drawn (swung), as a fraction of the strip's width.
        pub at: f64,
        /// How wide its tail is, as a fraction of the strip's width.
        pub length: f64,
        /// Fraction of the height: 0 low, 1 high.
        pub height: f64,
        /// Its role in the chosen bar.
        pub role: RoleName,
        /// A blue note besides.
        pub blue: bool,
        /// Frayed edge.
        pub rubs: bool,
        /// Played louder.
        pub accent: bool,
        /// Selected.
        pub selected: bool,
        /// "D, beat 1 and, half a beat, the fifth of G7".
        pub label: String,
    }

    /// The beats that the riff lies on: few notes change them.
    pub struct GridView {
        /// From the bar line at or before the riff's start.
        pub beats: Vec<BeatView>,
    }

    /// The riff as a strip of beats.
    pub struct StripView {
        /// The riff's id.
        pub id: String,
        /// Its name; may be empty.
        pub name: String,
        /// "6 beats".
        pub length_text: String,
        /// Beats in the riff.
        pub beats_count: usize,
        /// Where the riff begins, in quarters from the bar line (negative: pickup).
        pub start: f64,
        /// "begins on beat 1", "begins 1 beat before the bar line".
        pub start_text: String,
        /// The notes.
        pub tokens: Vec<TokenView>,
        /// Where the riff begins, as a fraction of the strip's width.
        pub begins_at: f64,
        /// Where the riff ends by fraying, as a fraction of the strip's width.
        pub ends_at: f64,
        /// Where the bar line is drawn that the riff belongs to, as a fraction of the strip's width.
        pub line_at: f64,
        /// How wide a quarter is, as a fraction of the strip's width.
        pub quarter: f64,
        /// The cursor's tick.
        pub cursor_tick: i64,
        /// Where the cursor is drawn.
        pub cursor_at: f64,
        /// How wide the cursor's step is.
        pub cursor_width: f64,
        /// The division at the cursor.
        pub division: u8,
        /// What the cursor's place is called: "bar 1, beat 2 and".
        pub cursor_label: String,
        /// The lowest and highest MIDI note that the strip's height stands for.
        pub lowest: u8,
        /// See `lowest`.
        pub highest: u8,
        /// Whether there is a note that longer, shorter, accent and delete would act on.
        pub has_target: bool,
        /// Whether the target is accented.
        pub target_accent: bool,
        /// A hint for an empty riff, else empty.
        pub hint: String,
        /// A warning that a note lies outside the instrument's range, else empty.
        pub range_warning: String,
    }

    /// Ways to vary the riff, and the variation that is being tried.
    pub struct VaryView {
        /// Every way; the one being tried is chosen.
        pub ways: Vec<ChoiceView>,
        /// Whether a variation is being tried; what follows speaks of it.
        pub on: bool,
        /// Whether it lies on the strip, or else the riff as it was.
        pub shows_new: bool,
        /// "Same rhythm, upside down around D: what went up goes down."
        pub text: String,
        /// The try after this one.
        pub next_try: u32,
        /// Whether the next try is another riff.
        pub has_more: bool,
        /// What it is called when it is kept: "Porch light, upside down".
        pub keep_name: String,
    }

    /// One key of the keyboard or one place on a neck.
    pub struct KeyView {
        /// What sounds.
        pub midi: u8,
        /// Its name in the player's pitch.
        pub name: String,
        /// A black key.
        pub black: bool,
        /// Whether the note is in use (marked with its role).
        pub used: bool,
        /// Whether it is the home note.
        pub home: bool,
        /// Its role in the chosen bar.
        pub role: RoleName,
        /// A blue note besides.
        pub blue: bool,
        /// `event.code` of the computer key that plays it, or empty.
        pub code: String,
        /// What a screen reader says: "B flat 4, blue note".
        pub label: String,
    }

    /// The keyboard: two octaves, from a C as the player reads it.
    pub struct KeysView {
        /// Keys from low to high.
        pub keys: Vec<KeyView>,
        /// The octave shown first where only one fits: index of its first key.
        pub home_index: usize,
        /// What the keys of a computer keyboard play, also beyond the keys on the screen.
        pub letters: Vec<LetterView>,
    }

    /// A key of a computer keyboard.
    pub struct LetterView {
        /// Its place, as `KeyboardEvent.code` has it.
        pub code: String,
        /// What it sounds.
        pub midi: u8,
    }

    /// A neck: strings from the lowest-drawn, frets from the nut.
    pub struct NeckView {
        /// Strings from the one drawn lowest.
        pub strings: Vec<StringView>,
        /// The frets that are shown, from the first.
        pub frets: Vec<FretView>,
    }

    /// A fret, as it is found on the neck.
    pub struct FretView {
        /// "3".
        pub number: String,
        /// How many dots lie before it: 2 at the octave.
        pub dots: usize,
    }

    /// One string.
    pub struct StringView {
        /// Its name in words: "low E string".
        pub name: String,
        /// Its places, the open string first.
        pub places: Vec<KeyView>,
    }

    /// One sentence, and the note that it is about.
    pub struct SentenceView {
        /// The words before the first stop that are set bold: "E", "B♭ → B", or nothing.
        pub head: String,
        /// The rest of the sentence.
        pub text: String,
        /// The riff's note, by index, or none.
        pub note: Option<usize>,
        /// Spoken quietly: something to try.
        pub to_try: bool,
    }

    /// Words beside the riff: what is heard where a person looks.
    pub struct WordsView {
        /// "What you hear · bar 1, G7".
        pub title: String,
        /// About the notes in that bar, or the selected note; what there is to try comes first.
        pub sentences: Vec<SentenceView>,
        /// How many of them stand in sight; the others are behind "More".
        pub first: usize,
    }

    /// Words about the riff as a whole.
    pub struct WholeView {
        /// The riff over the whole form.
        pub over_form: Vec<SentenceView>,
        /// The shape of the riff.
        pub shape: Vec<String>,
        /// Published measures of its rhythm; none where there are no notes or they cannot be measured.
        pub numbers: Vec<NumberView>,
        /// On which grid they were taken, and what they do not say; or why there are none.
        pub numbers_note: String,
    }

    /// A published measure of the riff's rhythm.
    pub struct NumberView {
        /// "Syncopation".
        pub name: String,
        /// "3".
        pub value: String,
        /// What it counts, and whose it is.
        pub text: String,
    }

    /// What a riff's card in the notebook shows beside its name.
    pub struct RiffCardView {
        /// The riff's id.
        pub id: String,
        /// "6 beats, 5 notes".
        pub summary: String,
        /// Its notes in small, over the form's first bar.
        pub marks: Vec<MarkView>,
        /// Beats, for the picture.
        pub beats: usize,
        /// Whether it is on the desk.
        pub chosen: bool,
        /// How well it is known: "You know it in G up to 92. Worth bringing back."
        pub standing: String,
        /// Whether there is something to look back on.
        pub practised: bool,
        /// The labels on it.
        pub labels: Vec<String>,
        /// Whether there are earlier versions of it.
        pub versions: bool,
    }

    /// A riff in the list of the notebook. Its card is made when it comes into sight.
    pub struct RiffRowView {
        /// Its id.
        pub id: String,
        /// Its name, or a stand-in such as "Riff of 5 notes".
        pub name: String,
    }

    /// The notebook.
    pub struct NotebookView {
        /// Riffs, newest first.
        pub riffs: Vec<RiffRowView>,
        /// "4 riffs".
        pub summary: String,
    }
}

/// What is written to storage for one riff or for the tune: text that only the core reads.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(target_arch = "wasm32", derive(tsify::Tsify))]
pub struct RecordView {
    /// A riff's id, or `tune`.
    pub id: String,
    /// The record.
    pub text: String,
    /// Counts up with each change, so that of two tabs the loser is known.
    pub revision: u32,
}

mod band;
pub use band::*;

impl ChoiceView {
    /// A choice without a hint.
    pub(super) fn of(value: &str, text: &str, chosen: bool) -> ChoiceView {
        ChoiceView { value: value.to_owned(), text: text.to_owned(), chosen, hint: String::new() }
    }

    /// A choice with a few words more.
    pub(super) fn hinted(value: &str, text: &str, chosen: bool, hint: &str) -> ChoiceView {
        ChoiceView { hint: hint.to_owned(), ..ChoiceView::of(value, text, chosen) }
    }
}
