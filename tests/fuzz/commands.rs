//! Sequences of commands, with numbers at their edges; and that whatever they lead to can be kept and passed on.

use riffloom::desk::command::Command;
use riffloom::desk::stored;
use riffloom::desk::{Desk, Refusal};
use riffloom::files::link::{self, Link, LinkTune};
use riffloom::files::{abc, record};
use riffloom::form::{FormChoice, chart};
use riffloom::notebook::demo;
use riffloom::notebook::tune::Tune;
use riffloom::notebook::versions::Versions;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Riff, RiffId, write_id};
use riffloom::units::Ticks;
use riffloom::view::screen::Screen;

use super::readers::class_links;
use super::{Dice, Target};

/// Sequences of commands; each byte of the input makes a choice.
pub const TARGET: Target = Target { name: "commands", seeds, check };

fn seeds() -> Vec<Vec<u8>> {
    let mut dice = Dice(7);
    (0..24).map(|length| (0..40 + 20 * length).map(|_| dice.next() as u8).collect()).collect()
}

fn check(input: &[u8]) {
    let mut choices = Choices(input);
    let mut desk = if choices.byte().is_multiple_of(2) { Desk::new(RiffId(1)) } else { woven() };
    while !choices.0.is_empty() {
        let command = any(&mut choices);
        let before = desk.document().clone();
        let done = desk.apply(command.clone());
        if done.is_err() {
            assert_eq!(*desk.document(), before, "{command:?} was refused and changed something");
        }
        if let Err(refusal) = done {
            says_why(&refusal);
        }
        if let Some(looking) = desk.looking().cloned()
            && desk.course().bars() <= 24
            && choices.byte().is_multiple_of(8)
            && let Ok(answer) = looking.question.answer()
        {
            desk.take_answer(looking.number, answer);
        }
    }
    for place in ["riff", "chorus", "notebook", "play"] {
        desk.apply(Command::Go { place: place.to_owned() }).expect("there is such a place");
        let _ = Screen::of(&desk).all();
    }
    carries_all(&desk);
}

fn says_why(refusal: &Refusal) {
    let said = refusal.to_string();
    assert!(!said.is_empty() && said.len() < 600, "{said}");
}

/// A desk with four riffs and a chorus of them.
pub fn woven() -> Desk {
    let mut desk = Desk::new(RiffId(1));
    for midi in [67, 70, 72, 74] {
        desk.apply(Command::EnterNote { midi }).expect("there is room");
    }
    desk.apply(Command::OpenDemo { id: write_id(RiffId(2)) }).expect("it is not there yet");
    desk.apply(Command::DuplicateRiff { id: write_id(RiffId(2)), copy: write_id(RiffId(3)) })
        .expect("it is there");
    desk.apply(Command::SetRiffStart { quarters: -1.5 }).expect("a pickup");
    desk.apply(Command::NewRiff { id: write_id(RiffId(4)) }).expect("there is room");
    for (riff, bar) in [(1, 0), (2, 3), (3, 5), (2, 9)] {
        let id = write_id(RiffId(riff));
        desk.apply(Command::PlaceRiff { id, bar, half_beats: 1 }).expect("it fits");
    }
    desk.apply(Command::TransposePlacement { index: 0, semitones: 5 }).expect("it is there");
    desk.apply(Command::VaryPlacement { index: 1, how: "invert".to_owned(), seed: 1 }).expect("it has notes");
    desk
}

/// Whatever a desk holds comes back from a record, a link and ABC.
pub fn carries_all(desk: &Desk) {
    let tune = desk.tune();
    let kept = tune.record(desk.session().chosen, desk.weaving().chosen);
    assert_eq!(record::read_tune(&record::write_tune(&kept)), Ok(kept));
    for entry in desk.document().notebook.entries() {
        carries(tune, &entry.riff);
        let kept = record::read_riff(&stored::riff_text(entry, entry.revision));
        let kept = kept.expect("what is written reads");
        assert_eq!((&kept.riff, kept.key, &kept.labels), (&*entry.riff, entry.key, &entry.labels));
    }
    if let Some(varied) = desk.varied() {
        carries(tune, &varied.riff);
    }
    for id in desk.versions().riffs() {
        let mut kept = Versions::default();
        kept.read(&desk.versions_record(id).expect("there are some")).expect("what is written reads");
        assert_eq!(kept.of(id), desk.versions().of(id));
    }
    for entry in desk.document().choruses.entries() {
        let (kept, _) =
            record::read_chorus(&record::write_chorus(&entry.chorus, 1)).expect("what is written reads");
        let mut pruned = (*entry.chorus).clone();
        pruned.prune();
        assert_eq!(kept, pruned);
        if let Some(text) = link::encode_chorus(&tune.shared(), &entry.chorus) {
            let Ok(Link::Chorus(shared)) = link::decode_any(&text) else {
                panic!("a link that does not read: {text}")
            };
            assert_eq!(shared.chorus.spots().len(), pruned.spots().len());
            assert_eq!(shared.chorus.words(), pruned.words());
            for (one, other) in shared.chorus.spots().iter().zip(pruned.spots()) {
                assert_eq!(one.placement, other.placement);
            }
            for (one, other) in shared.chorus.riffs().iter().zip(pruned.riffs()) {
                same_riff(one, other);
            }
        }
    }
}

fn carries(tune: &Tune, riff: &Riff) {
    let text = link::encode(&tune.shared(), riff);
    match link::decode_any(&text) {
        Ok(Link::Riff(shared)) => {
            same_riff(&shared.riff, riff);
            // A link keeps tempos in whole quarters a minute and swing in twentieths, as all are that can be set.
            let sent = tune.shared();
            assert!((shared.tune.tempo.value() - sent.tempo.value()).abs() <= 0.5);
            assert!((shared.tune.swing.value() - sent.swing.value()).abs() <= 0.025);
            assert_eq!(shared.tune, LinkTune { tempo: shared.tune.tempo, swing: shared.tune.swing, ..sent });
        }
        other => panic!("a link that does not read: {other:?}, {text}"),
    }
    assert_eq!(link::decode(&text).map(|shared| shared.riff.notes().len()), Ok(riff.notes().len()));
    let metre = Metre::of_beat(riff.beat()).expect("a riff's beat is some metre's");
    let written = abc::write(&abc::Tune { riff: riff.clone(), key: tune.key, metre }, &[]);
    let again = abc::read(&written).unwrap_or_else(|error| panic!("{error}: {written}"));
    assert_eq!((again.key, again.metre), (tune.key, metre));
    // What ABC does not have: pickups of a bar or more, and triple accidentals (said in `abc::write`).
    let bar = metre.bar();
    let short = if riff.start > -bar { riff.start } else { riff.start.rem_floor(bar) - bar };
    let start = if riff.start <= -bar && short == -bar { Ticks::ZERO } else { short };
    assert_eq!(again.riff.start, start, "{written}");
    assert_eq!(again.riff.name, riff.name, "{written}");
    assert_eq!((again.riff.beat(), again.riff.divisions()), (riff.beat(), riff.divisions()), "{written}");
    assert_eq!(again.riff.notes().len(), riff.notes().len(), "{written}");
    for (one, other) in again.riff.notes().iter().zip(riff.notes()) {
        assert_eq!(
            (one.onset, one.length, one.accent),
            (other.onset, other.length, other.accent),
            "{written}"
        );
        assert_eq!(one.pitch.midi(), other.pitch.midi(), "{written}");
        if other.pitch.name.alter.abs() < 3 {
            assert_eq!(one.pitch, other.pitch, "{written}");
        }
        assert_eq!(one.ornament.is_some(), other.ornament.is_some(), "{written}");
    }
}

/// The same but for the id.
#[track_caller]
pub fn same_riff(one: &Riff, other: &Riff) {
    let mut one = one.clone();
    one.id = other.id;
    assert_eq!(&one, other);
}

/// Bytes that make choices; at their end all are 0.
struct Choices<'a>(&'a [u8]);

impl Choices<'_> {
    fn byte(&mut self) -> u8 {
        let Some((first, rest)) = self.0.split_first() else { return 0 };
        self.0 = rest;
        *first
    }

    fn one<T: Clone>(&mut self, list: &[T]) -> T {
        list[usize::from(self.byte()) % list.len()].clone()
    }

    fn yes(&mut self) -> bool {
        self.byte().is_multiple_of(2)
    }

    /// Mostly small, now and then at an edge.
    fn number(&mut self) -> i64 {
        match self.byte() {
            byte @ 0..=199 => i64::from(byte % 25) - 8,
            200..=215 => i64::from(self.byte()) * 63,
            _ => self.one(&[
                0,
                1,
                -1,
                63,
                64,
                65,
                127,
                128,
                255,
                256,
                -128,
                4096,
                65_536,
                i64::from(i32::MAX),
                i64::from(i32::MIN),
                i64::from(i32::MAX) - 1,
                i64::from(u32::MAX),
                1 << 40,
                -(1 << 40),
                1 << 53,
                i64::MAX,
                i64::MIN,
            ]),
        }
    }

    fn signed(&mut self) -> i32 {
        let number = self.number();
        number.clamp(i32::MIN.into(), i32::MAX.into()) as i32
    }

    fn unsigned(&mut self) -> u32 {
        self.number().clamp(0, u32::MAX.into()) as u32
    }

    fn index(&mut self) -> usize {
        let number = self.number();
        if number < 0 { usize::MAX } else { number as usize }
    }

    fn maybe_index(&mut self) -> Option<usize> {
        (!self.byte().is_multiple_of(4)).then(|| self.index())
    }

    fn bars(&mut self) -> Option<(usize, usize)> {
        (!self.byte().is_multiple_of(4)).then(|| (self.index(), self.index()))
    }

    fn tick(&mut self) -> i64 {
        if self.yes() { i64::from(self.byte()) * 840 } else { self.number() }
    }

    fn midi(&mut self) -> u8 {
        let byte = self.byte();
        if self.yes() { 55 + byte % 25 } else { byte }
    }

    fn quarters(&mut self) -> f64 {
        match self.byte() {
            byte @ 0..=239 => f64::from(byte % 67) / 2.0 - 17.0,
            _ => self.one(&[
                f64::NAN,
                f64::INFINITY,
                -f64::INFINITY,
                1e300,
                -1e300,
                f64::MIN_POSITIVE,
                1e12,
                -0.0,
            ]),
        }
    }

    fn id(&mut self) -> String {
        match self.byte() {
            byte @ 0..=239 => write_id(RiffId(u64::from(byte % 9))),
            byte => {
                self.one(&["", "x", "00000000000000000", "ffffffffffffffff"]).to_owned()
                    + if byte > 250 { "z" } else { "" }
            }
        }
    }

    fn word(&mut self, words: &[&str]) -> String {
        if self.byte().is_multiple_of(16) { self.text() } else { self.one(words).to_owned() }
    }

    fn text(&mut self) -> String {
        let long = "🎷 é ♭ ".repeat(usize::from(self.byte()));
        self.one(&[
            "",
            " ",
            "Porch light",
            "%",
            "a\\b%c&d",
            "\u{202e}x",
            "\u{0}\n",
            "\u{85}  ",
            "𝄫",
            long.as_str(),
        ])
        .to_owned()
    }

    fn key(&mut self) -> String {
        self.word(&["G", "C", "F#", "Cb", "C#", "Abm", "A#m", "Ebm", "D#m", "Bb", "Gb", "Fm"])
    }

    fn form(&mut self) -> String {
        let many = "Cb13sus4/Gb Fb7b9 Bbbdim9 E##m7b5 | ".repeat(usize::from(self.byte()) % 66);
        let crowded = format!("16/16 {}", "Ebbm11b5/Fb ".repeat(16));
        let crowded = [crowded.as_str(); 64].join("|");
        self.word(&[
            "12-bar",
            "12-bar-jazz",
            "12-bar-minor",
            "8-bar",
            "16-bar",
            "G",
            "1/16 G7",
            "g7 | bbm7",
            "|: I7 | N.C. |1. / / ii7 V7 :|2. bVII7 |",
            "N.C.",
            "16/2 G7 C7 | D7",
            "6/16 Am | 15/8 D7",
            "F##7 | Bbbm | Cbmaj7/Gb",
            "3/4 G7 | % | 4/4 C7 Bb7 | 7/8 D7",
            many.trim_end_matches(" | "),
            crowded.as_str(),
        ])
    }

    fn how(&mut self) -> String {
        self.word(&[
            "displace",
            "augment",
            "diminish",
            "sequence",
            "fragment",
            "extend",
            "new-ending",
            "thin",
            "fill",
            "ornament",
            "invert",
            "retrograde",
            "octave",
            "answer",
            "fit",
            "with-chord",
            "",
        ])
    }

    /// A thing done with words, or something that is none.
    fn verse(&mut self) -> String {
        let (line, number) = (self.byte() % 8, self.byte());
        match self.byte() % 6 {
            0 => r#"{"write":{"line":0,"text":"rain*-ing @7 mor-ning"}}"#.replace('0', &line.to_string()),
            1 => {
                let text = serde_json::to_string(&self.text()).expect("a text is JSON");
                format!(r#"{{"write":{{"line":{line},"text":{text}}}}}"#)
            }
            2 => r#""example""#.to_owned(),
            3 => format!(r#"{{"move":{{"line":{line},"syllable":{},"to":{number}}}}}"#, number % 7),
            4 => format!(r#"{{"sing":{{"line":{line},"id":"{}"}}}}"#, self.id()),
            _ => self.text(),
        }
    }

    /// A thing done with labels or earlier versions, or something that is none.
    fn in_notebook(&mut self) -> String {
        let ids = [self.id(), format!("chorus-{}", self.id()), format!("{} {}", self.id(), self.id())];
        let ids = &ids[usize::from(self.byte() % 3)];
        match self.byte() % 4 {
            0 => self.text(),
            1 => format!(r#"{{"take-back":{{"id":"{}","version":{}}}}}"#, self.id(), self.byte() % 10),
            what => {
                let label = serde_json::to_string(&self.text()).expect("a text is JSON");
                format!(r#"{{"label":{{"ids":"{ids}","label":{label},"on":{}}}}}"#, what == 2)
            }
        }
    }

    fn link(&mut self) -> String {
        let desk = woven();
        match self.byte() % 6 {
            0 => link::encode(&Tune::demo().shared(), &demo::porch_light()),
            1 => desk.chorus_link().unwrap_or_default(),
            place @ 2..=4 => class_links()[usize::from(place) - 2].clone(),
            _ => {
                let key = demo::key();
                let changes = chart::parse("12/16 Fb7 | 16/2 C", key, Metre::FOUR_FOUR).expect("it reads");
                let tune = Tune { form: FormChoice::Chart(changes.into()), ..Tune::demo() };
                link::encode(&tune.shared(), &demo::salt_wind())
            }
        }
    }
}

/// Lists every command with what its fields are drawn from. A command that is missing here does not compile.
macro_rules! every_command {
    ($($variant:ident $({ $($field:ident: $draw:ident $(($($with:expr),*))?),* })?,)*) => {
        fn any(choices: &mut Choices) -> Command {
            let drawn: &[fn(&mut Choices) -> Command] = &[
                $(|_choices| Command::$variant $({ $($field: _choices.$draw($($($with),*)?)),* })?),*
            ];
            drawn[usize::from(choices.byte()) % drawn.len()](choices)
        }

        #[expect(dead_code, reason = "it is there to be compiled")]
        fn is_listed(command: &Command) {
            match command {
                $(Command::$variant { .. } => {},)*
            }
        }
    };
}

every_command! {
    SetKey { key: key },
    MoveToKey,
    SetForm { form: form },
    UseCapitals,
    SetFourInBarTwo { on: yes },
    SetFiveInBarTwelve { on: yes },
    SetChords { chords: word(&["sevenths", "triads"]) },
    SetFeel { feel: word(&["straight", "light-swing", "shuffle", "hard-shuffle", "slow-twelve"]) },
    SetTempo { bpm: quarters },
    SetPart { part: word(&["click", "drums", "bass", "comp", "solo"]), on: yes },
    SetBand { what: word(&["drums", "bass", "times", "intro", "silent-bars"]), value: word(&["brushes", "walking", "8", "3-5"]) },
    AnotherTake,
    SetLevel { part: word(&["click", "drums", "bass", "all"]), decibels: signed },
    SetInstrument { instrument: word(&["piano", "alto-sax", "trumpet", "guitar", "ukulele"]) },
    SetMaterial { material: word(&["one", "three", "five", "minor-blues", "major-blues", "chord", "all"]) },
    OwnTuneAgain,
    NewRiff { id: id },
    PickRiff { id: id },
    DuplicateRiff { id: id, copy: id },
    RenameRiff { id: id, name: text },
    Notebook { does: in_notebook },
    DeleteRiff { id: id },
    OpenLink { text: link, id: id, take_tune: yes },
    TakeLesson { id: id },
    OpenDemo { id: id },
    TakeStarter { name: word(&["Two knocks", "Far bell", "Long table", "Only rhythm"]), id: id },
    TakeModel { name: word(&["Only rhythm", "Old and new", "Two knocks"]), id: id },
    MoveCursor { steps: signed },
    PlaceCursor { tick: tick },
    EnterNote { midi: midi },
    EnterAccented { midi: midi },
    EnterRest,
    SelectNote { index: maybe_index },
    ToggleAccent,
    LongerNote,
    ShorterNote,
    DeleteNote,
    SetDivision { beat: index, parts: midi },
    SetDivisionHere { parts: one(&[1, 2, 3, 4, 5, 6, 7, 8, 9, 0, 255]) },
    MoveNote { index: index, steps: signed, pitch: signed, in_scale: yes },
    DragNote { index: index, tick: tick, midi: midi, gesture: unsigned },
    StretchNote { index: index, tick: tick, gesture: unsigned },
    SetRiffBeats { beats: index },
    SetRiffStart { quarters: quarters },
    ClearRiff,
    SetPlayIn { what: word(&["with", "bars"]), value: word(&["click", "band", "any", "1", "4"]) },
    TakeDown { id: id },
    TakeReading { index: index },
    NameNotes { on: yes },
    CloseTake,
    Vary { how: how, seed: unsigned },
    ShowVariation { on: yes },
    KeepVariation { id: id, name: text },
    DropVariation,
    SetPractice { what: word(&["click", "tempo", "times", "take-up", "bars"]), value: word(&["two-and-four", "92", "4"]) },
    PractiseIn { id: id, key: key, how: word(&["along", ""]) },
    NewChorus { id: id },
    PickChorus { id: id },
    DuplicateChorus { id: id, copy: id },
    RenameChorus { id: id, name: text },
    DeleteChorus { id: id },
    SetChorusTimes { times: index },
    ChooseChorusBar { bar: index },
    LoopChorus { bars: bars },
    PlaceRiff { id: id, bar: index, half_beats: signed },
    SelectPlacement { index: maybe_index },
    MovePlacement { index: maybe_index, bars: signed, half_beats: signed, gesture: unsigned },
    RemovePlacement { index: index },
    TransposePlacement { index: index, semitones: signed },
    VaryPlacement { index: index, how: how, seed: unsigned },
    TakeBackChange { index: index },
    RenewPlacement { index: index },
    KeepPlacement { index: index, id: id },
    FixPlacement { index: index, on: yes },
    CopyLine { from: index, to: index },
    Verse { does: verse },
    ClearChorus,
    FindRiffs { text: text },
    AskForChorus { on: yes },
    AskRiff { id: id, on: yes },
    SetAdventure { adventure: word(&["plain", "some", "bold"]) },
    SetRoom { room: word(&["little", "some", "much"]) },
    SuggestChorus,
    StopLooking,
    ShowSuggestion { index: maybe_index },
    TakeSuggestion { index: index },
    BeginFreeChorus,
    EndFreeChorus,
    ForgetFreeChorus,
    LookAtFreeChorus { index: index },
    Go { place: word(&["riff", "chorus", "notebook", "play"]) },
    ChooseBar { bar: index },
    SetLoop { bars: bars },
    LoopTo { bar: index },
    Undo,
    Redo,
}
