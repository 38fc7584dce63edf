//! Words over the lines of a chorus. What is sung on which beat is our own rule, without a source; that a verse has its
//! words over the first half of each line is held to what the sources in `chorus::verse` say.

use proptest::prelude::*;
use riffloom::chorus::course::Course;
use riffloom::chorus::kept::{Chorus, ChorusId};
use riffloom::chorus::verse::{Stage, Verse};
use riffloom::desk::chorus::singing::EXAMPLE;
use riffloom::desk::command::Command;
use riffloom::desk::{Desk, Done, Refusal};
use riffloom::files::link::{self, Link};
use riffloom::files::record;
use riffloom::form::chart;
use riffloom::form::standard::{ChordStyle, FormKind, changes};
use riffloom::notebook::tune::Tune;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{RiffId, write_id};
use riffloom::units::Ticks;
use riffloom::view::staff::{self, What};

fn twelve(times: usize) -> Course {
    Course::new(
        changes(FormKind::Twelve, "G".parse().unwrap(), ChordStyle::Sevenths, Metre::FOUR_FOUR),
        times,
    )
}

fn stage(line: usize) -> Stage {
    Stage::of(&twelve(2), line).unwrap()
}

/// Syllables with the half beat on which each begins: "rain@1 on@2".
fn beats(text: &str, stage: &Stage) -> String {
    let verse = Verse::read(text);
    let line = verse.line(0);
    let places = line.places(stage);
    let told = line.syllables().iter().zip(&places).map(|(syllable, at)| {
        let halves = at.0 as f64 / 10_080.0 + 1.0;
        format!("{}{halves}", syllable.shown())
    });
    told.collect::<Vec<_>>().join(" ")
}

#[test]
fn the_example_stands_as_it_would_be_said() {
    // Beats counted from 1 through both bars.
    assert_eq!(
        beats(EXAMPLE[0], &stage(0)),
        "Left1 my1.5 um-2.5 brel-3 la3.5 on4.5 the5.5 ear-7 ly7.5 train8"
    );
}

#[test]
fn a_verse_has_a_line_for_each_line_of_the_form() {
    assert_eq!(twelve(1).lines(), EXAMPLE.len());
    assert!(Stage::of(&twelve(2), 5).is_some() && Stage::of(&twelve(2), 6).is_none());
    assert_eq!(Stage::of(&twelve(2), 4).unwrap().first(), 16);
    let three = chart::parse("G7 | C7 | G7", "G".parse().unwrap(), Metre::FOUR_FOUR).unwrap();
    assert_eq!(Stage::of(&Course::new(three, 1), 0).unwrap().length(), Ticks::quarters(12));
}

#[test]
fn what_is_strong_is_marked_or_guessed() {
    #[track_caller]
    fn check(text: &str, expected: &[bool]) {
        assert_eq!(Verse::read(text).line(0).strong(), expected, "{text}");
    }
    // As dictionaries stress them: UMbrella is what the rule says of a word that is not marked, umBRELla what it is.
    check("um-brel-la", &[true, false, false]);
    check("um-*brel-la", &[false, true, false]);
    check("on the ear-ly train", &[false, false, true, false, true]);
    check("*I am", &[true, false]);
    check("The, “rain”!", &[false, true]);
}

#[test]
fn fast_words_get_finer_steps_and_then_the_other_bars() {
    let words = |count: usize| vec!["la"; count].join(" ");
    let last = |count: usize| {
        let verse = Verse::read(&words(count));
        let places = verse.line(0).places(&stage(0));
        (places.len(), *places.last().unwrap() < Ticks::quarters(8))
    };
    assert_eq!(last(16), (16, true));
    assert_eq!(last(17), (17, true));
    assert_eq!(last(48), (48, true));
    // A bar of two has room for 24 twelfths.
    let short = chart::parse("2/4 G7", "G".parse().unwrap(), Metre::FOUR_FOUR).unwrap();
    let short = Stage::of(&Course::new(short, 1), 0).unwrap();
    assert_eq!(Verse::read(&words(30)).line(0).places(&short).len(), 24);
}

#[test]
fn a_syllable_moves_between_its_neighbours_and_stays_through_other_words() {
    let verse = Verse::read("rain on the roof");
    let before = verse.line(0).places(&stage(0));
    let moved = verse.moved(0, 3, 12, &stage(0));
    assert_eq!(moved.text(), "rain on the roof@72");
    assert_eq!(moved.line(0).places(&stage(0))[..3], before[..3]);
    assert_eq!(moved.line(0).places(&stage(0))[3], Ticks::quarters(6));
    // Not over a neighbour, and not out of the line.
    let far = verse.moved(0, 1, 31, &stage(0)).line(0).places(&stage(0));
    assert!(far[0] < far[1] && far[1] < far[2]);
    assert_eq!(verse.moved(0, 3, 99, &stage(0)).line(0).places(&stage(0))[3], Ticks(31 * 5040));
    assert_eq!(verse.moved(0, 9, 1, &stage(0)), verse);
    // Other words before it: what is the same at the end stays.
    let other = moved.written(0, "snow up on the roof", &stage(0));
    assert_eq!(other.text(), "snow up on the roof@72");
    assert_eq!(other.unmoved(0).text(), "snow up on the roof");
    // What is typed moves nothing.
    assert_eq!(verse.written(0, "rain@3", &stage(0)).text(), "rain3");
}

fn desk() -> Desk {
    let mut desk = Desk::new(RiffId(9));
    desk.apply(Command::OpenDemo { id: write_id(RiffId(1)) }).unwrap();
    desk
}

fn act(desk: &mut Desk, does: &str) -> Result<Done, Refusal> {
    desk.apply(Command::Verse { does: does.to_owned() })
}

#[test]
fn words_are_written_undone_and_kept() {
    let mut desk = desk();
    act(&mut desk, r#"{"write":{"line":0,"text":"rain on the roof"}}"#).unwrap();
    act(&mut desk, r#"{"write":{"line":2,"text":"sun on the stair"}}"#).unwrap();
    assert_eq!(desk.chorus().words(), "rain on the roof\n\nsun on the stair");
    let sheet = staff::sheet(&desk, What::Chorus, "own");
    assert_eq!(sheet.verse.len(), 3);
    assert_eq!((sheet.verse[2].title.as_str(), sheet.verse[2].about.as_str()), ("Line 3", "bars 9 to 12"));
    assert_eq!(sheet.verse[2].bars, ["sun on the stair", "", "", ""]);
    assert_eq!(sheet.verse[0].syllables[0].label, "rain, bar 1, beat 1");
    desk.apply(Command::Undo).unwrap();
    assert_eq!(desk.chorus().words(), "rain on the roof");
    // The key, times and suggestions leave words alone.
    desk.apply(Command::SetChorusTimes { times: 2 }).unwrap();
    desk.apply(Command::SetKey { key: "A".to_owned() }).unwrap();
    assert_eq!(desk.chorus().words(), "rain on the roof");
    let id = desk.weaving().chosen.unwrap();
    desk.apply(Command::DuplicateChorus { id: write_id(RiffId(id.0)), copy: write_id(RiffId(77)) }).unwrap();
    assert_eq!(desk.chorus().words(), "rain on the roof");
}

#[test]
fn what_cannot_be_done_with_words_is_refused_in_words() {
    let mut desk = desk();
    let before = desk.document().clone();
    for does in [
        "",
        "fly",
        r#"{"write":{"line":3,"text":"x"}}"#,
        r#"{"write":{"line":18446744073709551615,"text":"x"}}"#,
        r#"{"sing":{"line":0,"id":"0000000000000005"}}"#,
        r#"{"sing":{"line":0,"id":"x"}}"#,
    ] {
        let refusal = act(&mut desk, does).unwrap_err();
        assert!(!refusal.to_string().is_empty());
        assert_eq!(*desk.document(), before, "{does}");
    }
}

#[test]
fn a_sung_line_is_a_riff_and_its_notes_have_the_syllables() {
    let mut desk = desk();
    act(&mut desk, r#""example""#).unwrap();
    let id = write_id(RiffId(5));
    let done = act(&mut desk, &format!(r#"{{"sing":{{"line":1,"id":"{id}"}}}}"#)).unwrap();
    assert_eq!(done, Done::Added { name: "Left my umbrella on".to_owned(), tune: None });
    let riff = desk.document().notebook.riff(RiffId(5)).unwrap().clone();
    let verse = desk.chorus().verse();
    let onsets: Vec<Ticks> = riff.notes().iter().map(|note| note.onset).collect();
    assert_eq!(onsets, verse.line(1).places(&stage(1)));
    assert!(
        riff.notes().iter().all(|note| note.pitch.name.to_string() == "G" && note.length <= Ticks::QUARTER)
    );
    // It stands in bar 5, where its line is sung, and the staff has the words.
    let over = desk.over();
    assert_eq!(over.course.bar_at(over.placed[0].at()), (4, Ticks::ZERO));
    let view = staff::view(&desk, What::Chorus, "own", "");
    let words: Vec<&str> = view
        .measures
        .iter()
        .flat_map(|measure| &measure.symbols)
        .filter_map(|symbol| symbol.head.as_ref())
        .map(|head| head.word.as_str())
        .filter(|word| !word.is_empty())
        .collect();
    assert_eq!(words, ["Left", "my", "um-", "brel-", "la", "on", "the", "ear-", "ly", "train"]);
    assert!(view.measures[4].spoken.contains("sung “um-”"), "{}", view.measures[4].spoken);
    // ABC 2.1, section 5.1.
    let abc = staff::abc_text(&desk, What::Chorus).unwrap();
    assert!(abc.contains("\nw: Left my um-brel-la on_ the ear-ly train\n"), "{abc}");
    let xml = staff::music_xml(&desk, What::Chorus).unwrap();
    let part = |syllabic: &str, text: &str| {
        let plain: String = xml.split_whitespace().collect();
        plain.contains(&format!("<syllabic>{syllabic}</syllabic><text>{text}</text>"))
    };
    assert!(part("single", "Left") && part("begin", "um") && part("middle", "brel") && part("end", "la"));
    // The notebook's riff can be edited; the chorus holds what was placed. One step back takes the riff out of both.
    desk.apply(Command::Undo).unwrap();
    assert!(desk.document().notebook.riff(RiffId(5)).is_none() && desk.chorus().spots().is_empty());
}

/// Written when words first came; read for ever.
#[test]
fn records_and_links_of_before_and_of_the_first_words_read() {
    let (before, _) = record::read_chorus(include_str!("../data/records/chorus.json").trim_end()).unwrap();
    assert_eq!(before.words(), "");
    let text = include_str!("../data/records/chorus-words.json").trim_end();
    let (chorus, revision) = record::read_chorus(text).unwrap();
    assert_eq!(chorus.words(), "Slow gate, o-*pen wide@36\n\nI am com-ing in");
    assert_eq!(record::write_chorus(&chorus, revision), text);
    let words = link::encode_chorus(&Tune::first().shared(), &chorus).unwrap();
    assert_eq!(words, include_str!("../data/records/chorus-words.link").trim_end());
}

#[test]
fn a_pickup_comes_before_its_line() {
    let stage = stage(1);
    let verse = Verse::default().written(1, "And then it | rained all day", &stage);
    let halves = |verse: &Verse| -> Vec<i64> {
        verse.line(1).places(&stage).iter().map(|at| at.0 / (Ticks::PER_QUARTER / 2)).collect()
    };
    // Three half beats before the line; the rest as it would stand alone.
    let alone = Verse::default().written(1, "rained all day", &stage);
    let expected: Vec<i64> = [-3, -2, -1].into_iter().chain(halves(&alone)).collect();
    assert_eq!(halves(&verse), expected);
    assert_eq!(verse.text(), "\nAnd@~18 then@~12 it@~6 rained all day");
    assert_eq!(verse.line(1).plain(), "And then it | rained all day");
    assert_eq!(Verse::read(&verse.text()), verse);
    // Typed again it stays, also where one of it was moved; without the bar line it is none.
    let moved = verse.moved(1, 0, -6, &stage);
    assert_eq!(halves(&moved)[0], -6);
    assert_eq!(
        moved.written(1, "And then it | snowed all day", &stage).line(1).places(&stage)[0],
        stage.step() * -6
    );
    assert!(halves(&moved.written(1, "And then it rained all day", &stage)).iter().all(|at| *at >= 0));
    // No further than a bar; and sung it is a riff that begins before its bar.
    assert_eq!(halves(&verse.moved(1, 0, -99, &stage))[0], -8);
    let sung = verse.line(1).sung(&stage, "G4".parse().unwrap(), RiffId(1)).unwrap();
    assert_eq!((sung.bar, sung.riff.start), (0, -Ticks::quarters(2)));
    assert_eq!(sung.riff.notes()[0].onset, Ticks::QUARTER / 2);
}

prop_compose! {
    fn any_text()(text in "[ a-cA-C'*@0-9|\n-]{0,80}") -> String { text }
}

proptest! {
    #[test]
    fn any_text_is_a_verse_that_reads_as_itself(text in any_text(), wild in any::<String>()) {
        for text in [text, wild] {
            let verse = Verse::read(&text);
            prop_assert_eq!(&Verse::read(&verse.text()), &verse);
            prop_assert_eq!(Verse::read(&verse.text()).text(), verse.text());
        }
    }

    /// Whatever is typed and moved: in order, inside the line, one place a syllable; by the rule in the first half.
    #[test]
    fn syllables_stand_in_order_inside_their_line(
        text in any_text(), line in 0_usize..3, moves in prop::collection::vec((0_usize..12, -40_i32..40), 0..6),
        eight in any::<bool>(),
    ) {
        let form = if eight { "12/8 G7 | C7 | 6/8 G7 | 4/4 G7" } else { "G7 | 3/4 C7 | G7 D7 | G7 | C7 | C7 | G7 | E7 | A7 | D7 | G7" };
        let form = chart::parse(form, "G".parse().unwrap(), Metre::FOUR_FOUR).unwrap();
        let stage = Stage::of(&Course::new(form, 3), line).unwrap();
        let mut verse = Verse::default().written(0, &text, &stage);
        let count = verse.line(0).syllables().len();
        let check = |verse: &Verse| {
            let places = verse.line(0).places(&stage);
            assert_eq!(places.len(), count);
            assert!(places.is_sorted_by(|one, next| one < next));
            assert!(places.iter().all(|at| (-stage.pickup()..stage.length()).contains(at)));
            places
        };
        let half = stage.bars().nth(stage.bars().count().div_ceil(2)).unwrap_or(stage.length());
        prop_assert!(check(&verse).iter().all(|at| *at < half));
        for (syllable, to) in moves {
            verse = verse.moved(0, syllable, to, &stage);
            check(&verse);
            prop_assert_eq!(&Verse::read(&verse.text()), &verse);
        }
        let sung = verse.line(0).sung(&stage, "G4".parse().unwrap(), RiffId(1));
        prop_assert_eq!(sung.is_some(), count > 0);
        if let Some(sung) = sung {
            let start = stage.bars().nth(sung.bar).unwrap();
            let start = start + sung.riff.start;
            let onsets: Vec<Ticks> = sung.riff.notes().iter().map(|note| start + note.onset).collect();
            let places = check(&verse);
            // A pickup takes some of the sixteen beats that a riff has: what comes last may find no room.
            prop_assert!(places.starts_with(&onsets));
            prop_assert!(onsets.len() == places.len() || sung.riff.start < Ticks::ZERO);
        }
    }

    #[test]
    fn words_come_through_record_and_link(text in any_text()) {
        let chorus = Chorus::empty(ChorusId(3)).with_verse(&Verse::read(&text));
        let (kept, _) = record::read_chorus(&record::write_chorus(&chorus, 1)).unwrap();
        prop_assert_eq!(&kept, &chorus);
        let link = link::encode_chorus(&Tune::demo().shared(), &chorus).unwrap();
        let Link::Chorus(shared) = link::decode_any(&link).unwrap() else { panic!("a chorus") };
        prop_assert_eq!(shared.chorus.words(), chorus.words());
    }
}
