//! A staff and a sheet to print: symbols in the order of time, and a sentence for each bar.

use super::*;

view_models! {
    /// A riff or a chorus on a staff.
    pub struct StaffView {
        /// `treble`, `alto`, `bass`, or `percussion` for claps.
        pub clef: String,
        /// The major key with the same signature, in ASCII: `Bb`, `F#`.
        pub signature: String,
        /// Whether pairs of eighths are played long and short.
        pub swung: bool,
        /// The feel, as it stands over the first bar; empty where it is straight.
        pub feel: String,
        /// For whom it is written: "As you read it, for trumpet, in A."
        pub written_for: String,
        /// How a part that accompanies is played, in a sentence or two; empty for the riff and the chorus themselves.
        pub how: String,
        /// What is worth knowing of how it is written; empty where it is written exactly.
        pub note: String,
        /// What is worth knowing of what stands under the notes; empty where that says itself.
        pub under_note: String,
        /// From which charts that is; empty where none is needed.
        pub under_source: String,
        /// The names of the strings of a tablature, the upper line first; empty without one.
        pub strings: Vec<String>,
        /// The parts that it can be written for.
        pub parts: Vec<StaffPartView>,
        /// What a picture of it is called, without its ending: "Porch light in E for alto sax".
        pub file: String,
        /// The bars.
        pub measures: Vec<MeasureView>,
    }

    /// A part that music can be written for.
    pub struct StaffPartView {
        /// Its name in data.
        pub name: String,
        /// "For B♭ instruments".
        pub text: String,
        /// Whether it is the one.
        pub chosen: bool,
    }

    /// A bar.
    pub struct MeasureView {
        /// Its number in the form, from 1; 0 for a pickup.
        pub number: usize,
        /// The upper and the lower number of its metre, where it is another one than the bar's before.
        pub metre: Option<(u8, u8)>,
        /// Notes and rests.
        pub symbols: Vec<SymbolView>,
        /// Runs that a beam joins: the first index and the one after the last.
        pub beams: Vec<(usize, usize)>,
        /// Runs that make a tuplet: the same, and its two numbers.
        pub tuplets: Vec<(usize, usize, u8, u8)>,
        /// The chords: where in the bar, 0 to 1, and the name.
        pub chords: Vec<(f64, String)>,
        /// What a screen reader says: "Bar 1, G seven. Eighth note D, eighth note E, quarter rest."
        pub spoken: String,
    }

    /// A note or a rest.
    pub struct SymbolView {
        /// Where it begins in its bar, 0 to 1.
        pub at: f64,
        /// How many of its value make a whole note: 1, 2, 4, 8 …
        pub value: u8,
        /// Whether it has a dot.
        pub dotted: bool,
        /// What one says when it begins, counting aloud; in brackets where nothing is struck; empty where nobody counts so
        /// finely.
        pub count: String,
        /// The head; none for a rest.
        pub head: Option<HeadView>,
    }

    /// The head of a note.
    pub struct HeadView {
        /// Letter and octave, with a slash between: `b/4`.
        pub key: String,
        /// The sign before it, in ASCII: `b`, `#`, `n`, `bb`, `##`; empty where none stands.
        pub sign: String,
        /// A lower note that is struck with it: its key and its sign.
        pub with: Option<(String, String)>,
        /// Whether it is tied to the next symbol, which may be in the next bar.
        pub tied: bool,
        /// Whether it is tied to the one before.
        pub goes_on: bool,
        /// Whether an accent stands on it.
        pub accent: bool,
        /// Whether it is slid into.
        pub scoop: bool,
        /// A crushed note before it: its key and its sign.
        pub crushed: Option<(String, String)>,
        /// The name: `B♭`.
        pub name: String,
        /// What it is to the chord.
        pub role: RoleName,
        /// The syllable that is sung with it: `morn-`; empty where there is none.
        pub word: String,
        /// Where it is played on strings.
        pub tab: Option<TabView>,
        /// Which fingers it takes.
        pub fingers: Option<FingersView>,
    }

    /// A place on strings.
    pub struct TabView {
        /// Which line, from 0 at the top.
        pub line: usize,
        /// Which fret; 0 for the open string.
        pub fret: u8,
        /// The fret of a crushed note before it, on the same string.
        pub crushed: Option<u8>,
    }

    /// What the fingers do.
    pub struct FingersView {
        /// Each hole or key from the top: 0 open, 1 half, 2 closed. On the recorder the first is the thumb's, on the
        /// saxophone the octave key; on the trumpet they are the valves.
        pub holes: Vec<u8>,
        /// Keys beside them by name; empty for none.
        pub keys: String,
        /// "thumb 1 2 3".
        pub text: String,
    }

    /// What stands on a printed sheet beside the staff.
    pub struct SheetView {
        /// What it is called.
        pub title: String,
        /// "12-bar blues in G, shuffle, 76 beats a minute."
        pub ground: String,
        /// What is played on which bar, four bars a line: the chords of each.
        pub lines: Vec<Vec<String>>,
        /// Every chord of the form once, with its notes.
        pub chords: Vec<SheetChordView>,
        /// The riff as a strip; none for a chorus.
        pub strip: Option<PhraseView>,
        /// The cloth.
        pub cloth: ClothView,
        /// The lines of a chorus with the words over them; none for a riff.
        pub verse: Vec<VerseLineView>,
        /// What each in a band can play, the riff or the chorus first: with a colon and the name of a [`StaffPartView`]
        /// behind its value, that part is written.
        pub band: Vec<ChoiceView>,
        /// How many empty bars there are to write in at most.
        pub empty_bars: usize,
        /// What a picture of the cloth is called, without its ending: "Porch light in G, weave".
        pub file: String,
    }

    /// A line of the form with the words over it.
    pub struct VerseLineView {
        /// Which line, from 0 through all times.
        pub index: usize,
        /// Which time through the form, from 0.
        pub time: usize,
        /// "Line 1".
        pub title: String,
        /// "bars 1 to 4".
        pub about: String,
        /// The words as they are typed.
        pub text: String,
        /// The syllables where they are sung, in order.
        pub syllables: Vec<SyllableView>,
        /// The words of each bar: "morn-ing came".
        pub bars: Vec<String>,
        /// Where each bar line stands, 0 to 1.
        pub lines: Vec<f64>,
        /// How many half beats (thirds of dotted ones) there are, with those before the line.
        pub steps: usize,
        /// How many of them come before the line begins: those of a pickup's bar, where there is one.
        pub before: usize,
        /// Whether a syllable was moved.
        pub moved: bool,
        /// What is worth knowing; mostly empty.
        pub note: String,
    }

    /// A syllable.
    pub struct SyllableView {
        /// Its letters, with a hyphen where its word goes on.
        pub text: String,
        /// Where it begins in its line, 0 to 1.
        pub at: f64,
        /// On which half beat of its line, or after it; below 0 before the line begins.
        pub step: i32,
        /// Whether it is strong.
        pub strong: bool,
        /// "morn-, bar 1, beat 2 and".
        pub label: String,
    }

    /// A chord and its notes.
    pub struct SheetChordView {
        /// `G7`.
        pub name: String,
        /// `G B D F`.
        pub notes: String,
    }
}
