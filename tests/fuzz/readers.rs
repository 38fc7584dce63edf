//! The readers: records, a notebook's file, links, ABC, MIDI files, MusicXML, also packed, charts, chord symbols, the bytes of a MIDI keyboard, commands as JSON, names.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use riffloom::desk::Desk;
use riffloom::desk::class::ClassCommand;
use riffloom::desk::command::Command;
use riffloom::desk::score::{What, Who};
use riffloom::desk::stored::Stored;
use riffloom::files::link::{self, Answer, Lesson, LessonStep, Limits, Link, LinkBand, LinkTune, Several};
use riffloom::files::{Kind, abc, incoming, midi, musicxml, record, whole};
use riffloom::form::{chart, text};
use riffloom::notebook::choruses::ChorusEntry;
use riffloom::notebook::demo::{porch_light, salt_wind};
use riffloom::notebook::tune::Tune;
use riffloom::notebook::{Entry, demo};
use riffloom::perform::song::Times;
use riffloom::practice::midi_in::{KeyMove, Keyboard};
use riffloom::practice::settings::Settings;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Riff, RiffId};
use riffloom::theory::chord::Chord;
use riffloom::theory::interval::Interval;
use riffloom::theory::key::Key;
use riffloom::theory::pitch::{NoteName, Pitch};
use riffloom::units::Ticks;
use riffloom::view::file;
use riffloom::view::screen::Screen;

use super::Target;
use super::commands::{carries_all, same_riff, woven};

/// Every reader.
pub fn targets() -> Vec<Target> {
    vec![
        Target { name: "riff-record", seeds: riff_records, check: riff_record },
        Target { name: "chorus-record", seeds: chorus_records, check: chorus_record },
        Target { name: "tune-record", seeds: tune_records, check: tune_record },
        Target { name: "past-record", seeds: past_records, check: past_record },
        Target { name: "notebook-file", seeds: notebook_files, check: notebook_file },
        Target { name: "link", seeds: links, check: link },
        Target { name: "class", seeds: class_texts, check: pasted },
        Target { name: "abc", seeds: abcs, check: abc },
        Target { name: "chart", seeds: charts, check: chart },
        Target { name: "chord", seeds: chords, check: chord },
        Target { name: "midi-file", seeds: midi_files, check: midi_file },
        Target { name: "musicxml", seeds: music_xmls, check: melodies },
        Target { name: "mxl", seeds: mxls, check: melodies },
        Target { name: "midi", seeds: midi_bytes, check: midi },
        Target { name: "command-json", seeds: command_jsons, check: command_json },
        Target { name: "names", seeds: names, check: name },
    ]
}

fn text_of(input: &[u8]) -> String {
    String::from_utf8_lossy(input).into_owned()
}

fn bytes_of<T: AsRef<[u8]>>(texts: impl IntoIterator<Item = T>) -> Vec<Vec<u8>> {
    texts.into_iter().map(|text| text.as_ref().to_vec()).collect()
}

/// A desk on which `riff` lies, and everything that the page shows of it.
fn shown(riff: Riff) -> Desk {
    let id = riff.id;
    let entry = Entry::new(riff, None);
    let desk = Desk::restored(None, vec![entry], Some(id), RiffId(99));
    let _ = Screen::of(&desk).all();
    desk
}

fn riff_records() -> Vec<Vec<u8>> {
    let long = abc::read("X:1\nM:12/8\nK:Eb\n{^A}!>!B2!slide!d4 (3abc z3 | c6-c6 | d2 e2 f2")
        .expect("it reads")
        .riff;
    bytes_of([porch_light(), salt_wind(), long].map(|riff| record::write_riff(&riff, Some(demo::key()), 3)))
}

fn riff_record(input: &[u8]) {
    let Ok(kept) = record::read_riff(&text_of(input)) else { return };
    let again = record::read_riff(&record::write_riff(&kept.riff, kept.key, kept.revision));
    assert_eq!(again, Ok(kept.clone()));
    carries_all(&shown(kept.riff));
}

fn chorus_records() -> Vec<Vec<u8>> {
    let desk = woven();
    bytes_of(desk.document().choruses.entries().iter().map(|entry| record::write_chorus(&entry.chorus, 2)))
}

fn chorus_record(input: &[u8]) {
    let Ok((chorus, revision)) = record::read_chorus(&text_of(input)) else { return };
    let written = record::write_chorus(&chorus, revision);
    let (again, _) = record::read_chorus(&written).expect("what is written reads");
    assert_eq!(record::write_chorus(&again, revision), written);
    let id = chorus.id;
    let entry = ChorusEntry { chorus: chorus.into(), labels: Default::default(), revision };
    let mut desk = shown(porch_light()).with_choruses(vec![entry], Some(id));
    desk.apply(Command::Go { place: "chorus".to_owned() }).expect("there is such a place");
    let _ = Screen::of(&desk).all();
    carries_all(&desk);
}

fn tune_records() -> Vec<Vec<u8>> {
    let chart =
        chart::parse("3/4 G7 | % | 4/4 Am7 D7b9 | C/E", demo::key(), Metre::FOUR_FOUR).expect("it reads");
    let form = riffloom::form::FormChoice::Chart(chart.into());
    let tunes = [Tune::first(), Tune::demo(), Tune { form, ..Tune::demo() }];
    bytes_of(tunes.map(|tune| record::write_tune(&tune.record(RiffId(7), None))))
}

fn tune_record(input: &[u8]) {
    let Ok(kept) = record::read_tune(&text_of(input)) else { return };
    assert_eq!(record::read_tune(&record::write_tune(&kept)), Ok(kept.clone()));
    let tune = Tune::of_record(&kept);
    let entry = Entry::new(porch_light(), None);
    let mut desk = Desk::restored(Some(tune), vec![entry], None, RiffId(99));
    desk.read_practice(&kept.practice);
    let _ = Screen::of(&desk).all();
    carries_all(&desk);
}

fn past_records() -> Vec<Vec<u8>> {
    bytes_of([
        r#"{"version":1,"passes":[{"subject":"000000000000ffff","day":20000,"key":"G","tempo":92}]}"#,
        "{}",
        "past 1\n0000000000000001 G 20000 92 12 11 0",
    ])
}

fn past_record(input: &[u8]) {
    let text = text_of(input);
    let mut desk = Desk::new(RiffId(1));
    let _ = desk.read_past(&text);
    desk.read_practice(&text);
    let _ = desk.apply(Command::Go { place: "notebook".to_owned() });
    let _ = Screen::of(&desk).all();
}

fn notebook_files() -> Vec<Vec<u8>> {
    let small = [("order".to_owned(), "0000000000000001".to_owned()), ("?".to_owned(), "{".to_owned())];
    vec![include_bytes!("../data/records/notebook-1.json").to_vec(), whole::write(&small).into_bytes()]
}

/// What is read is written and read again the same, and comes in twice as once.
fn notebook_file(input: &[u8]) {
    let Ok(records) = whole::read(&text_of(input)) else { return };
    assert_eq!(whole::read(&whole::write(&records)), Ok(records.clone()));
    let mut desk = woven();
    let stored = || Stored::read(&records);
    desk.merge(stored(), &|_| 0);
    let document = desk.document().clone();
    assert!(desk.merge(stored(), &|_| 0).is_nothing());
    assert_eq!(*desk.document(), document);
    let _ = Screen::of(&desk).all();
    carries_all(&desk);
}

/// The bytes of links without their checksums, which the check puts behind again, so that what is read is not all refused.
fn links() -> Vec<Vec<u8>> {
    let desk = woven();
    let texts = [
        link::encode(&Tune::demo().shared(), &porch_light()),
        link::encode(&desk.tune().shared(), &salt_wind()),
        desk.chorus_link().expect("it is short"),
        link::encode_tune(&practised(&desk)),
    ];
    let texts = texts.into_iter().chain(class_links());
    let bytes = texts.map(|text| URL_SAFE_NO_PAD.decode(text).expect("a link is base64url"));
    bytes.map(|bytes| bytes[..bytes.len() - 3].to_vec()).collect()
}

/// A tune with a tempo to reach.
fn practised(desk: &Desk) -> LinkTune {
    let tempo = desk.tune().tempo;
    let settings = Settings::default()
        .with("goal", "120", tempo)
        .and_then(|set| set.with("click", "two-and-four", tempo));
    let numbers = settings.expect("these are names in data").numbered();
    LinkTune { band: Some(LinkBand(numbers)), ..desk.tune().shared() }
}

/// A lesson, an answer to it, and several riffs.
pub fn class_links() -> [String; 3] {
    let tune = Tune::demo().shared();
    let riff = |place| porch_light().with_id(RiffId(place));
    let lesson = Lesson {
        title: "Two bars".to_owned(),
        tune: tune.clone(),
        models: vec![riff(1), salt_wind().with_id(RiffId(2))],
        steps: LessonStep::NAMES.iter().map(|(step, _)| *step).collect(),
        tiers: vec![Limits { beats: 8, space: 2, notes: 1 }, Limits { beats: 0, space: 0, notes: 8 }],
        locked: true,
        words: "Listen first.\nThen play.".to_owned(),
        can: vec!["leave room".to_owned(), "begin on beat 2".to_owned()],
    };
    let number = link::lesson_number(&lesson);
    let riffs = vec![(tune.key, riff(1)), (tune.key, salt_wind().with_id(RiffId(2)))];
    let several = Several { tune: tune.clone(), riffs };
    let answer = Answer { lesson: number, who: "Seat 7".to_owned(), tier: 1, can: 2, tune, riff: riff(0) };
    let made = [link::encode_lesson(&lesson), link::encode_answer(&answer), link::encode_several(&several)];
    made.map(|text| text.expect("it keeps to its bounds"))
}

/// What a class pastes: links among words, whole and damaged.
fn pasted(input: &[u8]) {
    let mut desk = woven();
    let id = riffloom::riff::write_id(RiffId(9));
    let text = text_of(input);
    desk.do_in_class(ClassCommand::Paste { text: text.clone(), id: id.clone(), among_words: false });
    let first = riffloom::view::class::view(&desk);
    desk.do_in_class(ClassCommand::Paste { text, id, among_words: true });
    let again = riffloom::view::class::view(&desk);
    assert_eq!((first.board.answers, first.lessons), (again.board.answers, again.lessons));
    for what in ["turns", "chorus", "model0"] {
        let _ = desk.class_plays(what).map(|play| play.score.events(0.0, 16.0));
    }
}

fn class_texts() -> Vec<Vec<u8>> {
    let [lesson, answer, several] = class_links();
    let words = format!(
        "Here is mine: https://example.org/#{answer} thanks,\n{lesson}\n<https://example.org/#{several}>"
    );
    vec![words.into_bytes(), answer.into_bytes()]
}

fn link(input: &[u8]) {
    let _ = link::decode_any(&text_of(input));
    let mut bytes = input.to_vec();
    bytes.extend(&crc24(input).to_be_bytes()[1..]);
    let text = URL_SAFE_NO_PAD.encode(bytes);
    let _ = link::decode(&text);
    let Ok(read) = link::decode_any(&text) else { return };
    match &read {
        Link::Riff(shared) => assert_eq!(link::encode(&shared.tune, &shared.riff), text),
        Link::Chorus(shared) => {
            assert_eq!(link::encode_chorus(&shared.tune, &shared.chorus).as_ref(), Some(&text));
        }
        Link::Lesson(lesson) => assert_eq!(link::encode_lesson(lesson).as_ref(), Some(&text)),
        Link::Answer(answer) => assert_eq!(link::encode_answer(answer).as_ref(), Some(&text)),
        Link::Several(several) => assert_eq!(link::encode_several(several).as_ref(), Some(&text)),
        Link::Tune(tune) => assert_eq!(link::encode_tune(tune), text),
    }
    let mut desk = Desk::new(RiffId(1));
    let id = riffloom::riff::write_id(RiffId(2));
    let open = Command::OpenLink { text, id: id.clone(), take_tune: true };
    desk.apply(open).expect("what was read can be opened");
    if matches!(read, Link::Lesson(_)) {
        desk.apply(Command::TakeLesson { id }).expect("what was opened can be taken up");
    }
    let _ = riffloom::view::class::view(&desk);
    let _ = Screen::of(&desk).all();
    carries_all(&desk);
}

/// RFC 4880, section 6.1: initial value 0xB704CE, polynomial 0x1864CFB.
fn crc24(bytes: &[u8]) -> u32 {
    let mut sum = 0x00b7_04ce_u32;
    for byte in bytes {
        sum ^= u32::from(*byte) << 16;
        for _ in 0..8 {
            sum <<= 1;
            if sum & 0x0100_0000 != 0 {
                sum ^= 0x0186_4cfb;
            }
        }
    }
    sum & 0x00ff_ffff
}

fn abcs() -> Vec<Vec<u8>> {
    bytes_of([
        "X:1\nT:Porch light\nM:4/4\nL:1/8\nK:G\nd2 e_B =B2 G2|]",
        "X:1\nM:12/8\nL:1/8\nK:Eb\nx3 {^A}!>!B2-!slide!B (3abc z3 | c6-c6 | d2 e2 f2|]",
        "M:C|\nK:D mix exp _b\n(3abc (5:4:5abcde a>b c<d | Z2 | [V:1] ^f,, __e''|",
        "X:1\nM:6/16\nK:F#m\nG/4A/4B/4 c3/2|",
    ])
}

fn abc(input: &[u8]) {
    melodies(input);
    let Ok(tune) = abc::read(&text_of(input)) else { return };
    assert_eq!(abc::read(&abc::write(&tune, &[])).as_ref(), Ok(&tune));
    carries_all(&shown(tune.riff));
}

fn charts() -> Vec<Vec<u8>> {
    bytes_of([
        "G7 | C7 | G7 | %",
        "| G7 E7 | Am7 D7 ||\n3/4 C/E | % | 12/8 G13sus4 C7b9no5 |",
        "F#m7b5 | B7(b9,#5) | Ebmmaj7/Gb | Abdim9",
        "|: I7 / / ♭VII7 | N.C. |1. ii7 V7 :|2. / / #ivdim7 / :| g7",
        "𝄆 G7 ‖ [2. 1. %:|: :: C7\t𝄇",
    ])
}

fn chart(input: &[u8]) {
    let text = text_of(input);
    let keys: Vec<Key> = Key::all().collect();
    for (key, metre) in
        [(keys[input.len() % keys.len()], Metre::FOUR_FOUR), (demo::key(), Metre::TWELVE_EIGHT)]
    {
        let _ = text::read(&text, key, Default::default(), metre);
        let Ok(changes) = chart::parse(&text, key, metre) else { continue };
        assert_eq!(chart::parse(&chart::write(&changes), key, Metre::FOUR_FOUR), Ok(changes.clone()));
        let moved =
            changes.in_key(keys[input.iter().map(|byte| usize::from(*byte)).sum::<usize>() % keys.len()]);
        assert_eq!(chart::parse(&chart::write(&moved), moved.key(), Metre::FOUR_FOUR), Ok(moved));
    }
    let mut desk = Desk::new(RiffId(1));
    if desk.apply(Command::SetForm { form: text }).is_ok() {
        desk.apply(Command::EnterNote { midi: 67 }).expect("there is room");
        let _ = Screen::of(&desk).all();
        carries_all(&desk);
    }
}

fn chords() -> Vec<Vec<u8>> {
    bytes_of([
        "G7",
        "C#m7b5",
        "Ebmmaj7/Gb",
        "B7(b9,#5)",
        "F6/9",
        "Abdim9",
        "D7alt",
        "G13sus4no5",
        "C°7",
        "Bø11/Fb",
    ])
}

fn chord(input: &[u8]) {
    let Ok(chord) = text_of(input).parse::<Chord>() else { return };
    let by = Interval::new(i32::from(input.len() as u8 % 7), i32::from(input.len() as u8 % 12));
    for chord in [chord.clone(), chord.up(by), chord.up(-by)] {
        assert_eq!(chord.to_string().parse(), Ok(chord.clone()), "{chord}");
    }
}

fn midi_files() -> Vec<Vec<u8>> {
    let desks = [woven(), shown(porch_light())];
    let heard = [(What::Riff, Times::Written), (What::Form, Times::Played), (What::Chorus, Times::Written)];
    let files = |desk: &Desk| heard.map(|(what, times)| desk.midi_file((what, Who::WithSolo), times));
    desks.iter().flat_map(files).flatten().collect()
}

/// What is read is written and read again the same, but for names that are no UTF-8 and times between the ticks; every
/// melody of it is a riff that each format carries.
fn midi_file(input: &[u8]) {
    let Ok(song) = midi::read(input) else { return };
    let _ = midi::read(&midi::write(&song));
    melodies(input);
}

/// Every melody of a file of music is a riff that each format carries.
fn melodies(input: &[u8]) {
    let Some(Ok(music)) = incoming::read(input) else { return };
    let _ = file::music(&music);
    for part in music.parts.into_iter().take(4) {
        carries_all(&shown(part.melody.riff));
    }
}

fn music_xmls() -> Vec<Vec<u8>> {
    let desks = [woven(), shown(porch_light())];
    let both = |desk: &Desk| {
        [What::Riff, What::Chorus]
            .map(|what| file::exported(desk, (what, Who::WithSolo), Kind::MusicXml, Times::Written))
    };
    let score = b"<score-timewise><measure><part id='a'><attributes><divisions>3</divisions><time><beats>3+2</beats>\
        <beat-type>8</beat-type></time><transpose><chromatic>-2</chromatic></transpose></attributes><note><chord/><pitch>\
        <step>C</step><alter>-1</alter><octave>4</octave></pitch><duration>2</duration><voice>2</voice><tie type='start'/>\
        <type>quarter</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes>\
        </time-modification></note><backup><duration>1</duration></backup></part></measure></score-timewise>";
    desks.iter().flat_map(both).flatten().chain([score.to_vec()]).collect()
}

/// What is packed is changed before it is unpacked: by chance it rarely reads again, and must not go on for long.
fn mxls() -> Vec<Vec<u8>> {
    let score = "<score-partwise><part id='a'><measure><note><pitch><step>C</step><octave>4</octave></pitch>\
        <duration>1</duration></note></measure></part></score-partwise>";
    let more = music_xmls().into_iter().filter_map(|score| String::from_utf8(score).ok());
    more.take(1).chain([score.to_owned(), " ".repeat(70_000)]).map(|score| musicxml::pack(&score)).collect()
}

fn midi_bytes() -> Vec<Vec<u8>> {
    vec![
        vec![0x90, 60, 80, 62, 81, 0xf8, 60, 0, 0x80, 62, 64],
        vec![0xb0, 123, 0, 0xf0, 1, 2, 0xf7, 0x99, 127, 127, 0xff],
    ]
}

/// The same bytes in two pieces say the same; every key that went down comes up, at the latest when it is unplugged.
fn midi(input: &[u8]) {
    let heard = |cut: usize| {
        let (mut keyboard, mut moves) = (Keyboard::default(), Vec::new());
        keyboard.take(&input[..cut], &mut moves);
        keyboard.take(&input[cut..], &mut moves);
        keyboard.unplug(&mut moves);
        moves
    };
    let moves = heard(0);
    assert_eq!(heard(input.len() / 2), moves);
    let mut down = [false; 128];
    for one in moves {
        match one {
            KeyMove::Down { midi, .. } => down[usize::from(midi.number())] = true,
            KeyMove::Up { midi } => {
                assert!(
                    std::mem::take(&mut down[usize::from(midi.number())]),
                    "a key comes up that was not down"
                );
            }
        }
    }
    assert!(!down.contains(&true), "a key stays down");
}

fn command_jsons() -> Vec<Vec<u8>> {
    bytes_of([
        r#"{"set-tempo":{"bpm":92.5}}"#,
        r#"{"move-note":{"index":1,"steps":0,"pitch":-1,"inScale":true}}"#,
        r#"{"drag-note":{"index":1,"tick":-10080,"midi":60,"gesture":4294967295}}"#,
        r#"{"set-riff-start":{"quarters":-0.5}}"#,
        r#"{"set-loop":{"bars":[4,8]}}"#,
        r#"{"place-riff":{"id":"0000000000000001","bar":3,"halfBeats":-2}}"#,
        r#"{"transpose-placement":{"index":0,"semitones":-3}}"#,
        r#"{"set-form":{"form":"G7 | C7 Bb7"}}"#,
        r#"{"rename-riff":{"id":"0000000000000001","name":"Ferry bell"}}"#,
    ])
}

fn command_json(input: &[u8]) {
    let Ok(command) = serde_json::from_str::<Command>(&text_of(input)) else { return };
    let mut desk = woven();
    let _ = desk.apply(command);
    let _ = Screen::of(&desk).all();
    carries_all(&desk);
}

fn names() -> Vec<Vec<u8>> {
    bytes_of([
        "Bb4",
        "F##-1",
        "Cb",
        "F#m",
        "12/8",
        "12-bar-minor",
        "00000000000000ff",
        "drums=brushes take=4 master=-9",
    ])
}

fn name(input: &[u8]) {
    let text = text_of(input);
    if let Ok(pitch) = text.parse::<Pitch>() {
        assert_eq!(pitch.to_string().parse(), Ok(pitch));
    }
    if let Ok(name) = text.parse::<NoteName>() {
        assert_eq!(name.to_string().parse(), Ok(name));
    }
    if let Ok(key) = text.parse::<Key>() {
        assert_eq!(key.to_string().parse(), Ok(key));
    }
    if let Ok(metre) = text.parse::<Metre>() {
        assert_eq!(metre.to_string().parse(), Ok(metre));
        assert!(metre.beat() > Ticks::ZERO);
    }
    let band = riffloom::notebook::band::Band::read(&text);
    assert_eq!(riffloom::notebook::band::Band::read(&band.write()), band);
    let riff = riffloom::riff::edit::rename(&porch_light(), &text);
    same_riff(&riffloom::riff::edit::rename(&riff, &riff.name), &riff);
    carries_all(&shown(riff));
}
