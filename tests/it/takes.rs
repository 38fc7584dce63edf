//! Takes: where they lie on the form, which is the first of its kind, and how they are said. Our own rules, so there is no
//! source outside the project but arithmetic.

use riffloom::desk::takes::{Comes, Place, Stood, Take, lie, may_go, then_and_now};
use riffloom::files::link::{Shared, encode};
use riffloom::notebook::demo;
use riffloom::notebook::tune::Tune;
use riffloom::practice::review::Day;
use riffloom::theory::instrument::Instrument;
use riffloom::units::QuartersPerMinute;
use riffloom::view::takes::{trouble, view};

/// 14 September and 29 November 2026, counted from 1 January 1970 (`date -u -d 2026-09-14 +%s`, divided by 86 400).
const SEPTEMBER: i32 = 20_710;
const NOVEMBER: i32 = 20_786;

fn link_of(tune: &Tune) -> String {
    encode(&tune.shared(), &demo::porch_light())
}

fn take(id: &str, over: &str, day: i32, link: &str) -> Take {
    Take {
        id: id.to_owned(),
        began: f64::from(day) * 86_400_000.0,
        day,
        minute: 13 * 60 + 5,
        over: over.to_owned(),
        link: link.to_owned(),
        rate: 48_000,
        frames: 42 * 48_000,
        bytes: 1_912_345,
        peaks: vec![0, 64, 255, 16],
        ended: true,
        place: Some(Place { bar: 0, seconds: 2.5, beat: 60.0 / 92.0 }),
        gone: false,
    }
}

/// Twelve bars of four beats that go round.
fn twelve() -> Vec<Comes> {
    (0..12).map(|bar| Comes { bar, beats: 4.0 }).collect()
}

fn stood(time: f64, bar: u32, fraction: f64, bpm: f64) -> Stood {
    Stood { time, bar, fraction, speed: bpm / 60.0 / 4.0, beats: 4.0 }
}

#[test]
fn a_take_lies_where_its_first_bar_line_was() {
    // At 120 a bar of four lasts 2 s: 13 bars and a half later it is bar 2 of the second time.
    let found = lie(stood(3.0, 0, 0.25, 120.0), stood(29.5, 1, 0.5, 120.0), &twelve());
    assert_eq!(found, Some(Place { bar: 0, seconds: 2.5, beat: 0.5 }));
    // It may begin anywhere, and last no longer than a moment.
    let found = lie(stood(0.0, 7, 0.5, 120.0), stood(0.1, 7, 0.55, 120.0), &twelve());
    assert_eq!(found, Some(Place { bar: 7, seconds: -1.0, beat: 0.5 }));
}

#[test]
fn a_take_over_a_form_that_did_not_go_on_evenly_lies_nowhere() {
    let first = stood(2.0, 0, 0.0, 120.0);
    for (what, last) in [
        ("another tempo", stood(26.0, 0, 0.0, 126.0)),
        ("another bar was jumped to", stood(26.0, 4, 0.0, 120.0)),
        ("the tempo was changed and set back", stood(26.3, 0, 0.0, 120.0)),
        ("no time at all", stood(26.0, 0, 0.0, 0.0)),
    ] {
        assert_eq!(lie(first, last, &twelve()), None, "{what}");
    }
    let absurd = Stood { beats: 0.0, ..first };
    assert_eq!(lie(absurd, absurd, &twelve()), None);
    assert_eq!(lie(first, first, &[]), None);
    let nothing = [Comes { bar: 0, beats: 0.0 }];
    assert_eq!(lie(first, stood(26.0, 0, 0.0, 120.0), &nothing), None);
}

#[test]
fn the_first_take_and_the_latest_of_one_riff_are_found() {
    let (demo, other) = (link_of(&Tune::demo()), link_of(&Tune::first()));
    let takes = [
        take("c", "practice", NOVEMBER, &other),
        take("a", "practice", SEPTEMBER, &demo),
        take("b", "practice", SEPTEMBER + 3, &demo),
        take("x", "play", NOVEMBER - 1, &demo),
    ];
    // A riff is itself whatever the tune is; what is played freely is of the tune.
    let pairs = then_and_now(&takes);
    assert_eq!(pairs.len(), 1);
    assert_eq!((pairs[0].then.id.as_str(), pairs[0].now.id.as_str()), ("a", "c"));
    // Neither of the two may go, and nothing that is alone.
    assert_eq!(may_go(&takes).iter().map(|take| take.id.as_str()).collect::<Vec<_>>(), ["b"]);

    let shown = view(&takes, &demo, Day(NOVEMBER.into()));
    assert_eq!(shown.pairs[0].text, "Porch light: 14 September 2026, 13:05, then today, 13:05");
    let marks: Vec<&str> = shown.takes.iter().map(|take| take.mark.as_str()).collect();
    assert_eq!(marks, ["", "", "", "First take"], "newest first");
    // Thrown away, it is the first no more.
    let mut without = takes.clone();
    without[1].gone = true;
    let shown = view(&without, &demo, Day(NOVEMBER.into()));
    assert_eq!((shown.pairs[0].then.as_str(), shown.pairs[0].now.as_str()), ("b", "c"));
}

#[test]
fn a_take_says_how_long_and_how_large_it_is() {
    let demo = link_of(&Tune::demo());
    let shown = view(&[take("a", "practice", NOVEMBER - 1, &demo)], &demo, Day(NOVEMBER.into()));
    let row = &shown.takes[0];
    assert_eq!((row.title.as_str(), row.when.as_str()), ("Porch light", "Yesterday, 13:05"));
    assert_eq!(row.line, "0:42 · 1.9 MB · 12-bar blues in G, 92");
    assert_eq!(row.file, "Porch light, take 2026-11-28 13.05.wav");
    assert_eq!(shown.summary, "1 take, 1.9 MB, on this device only.");
    assert!(row.mark.is_empty() && shown.pairs.is_empty(), "one alone is not compared");
    assert_eq!((row.wave.len(), row.wave[30], row.wave[0]), (48, 1.0, 0.0));
    let mut cut = take("a", "play", NOVEMBER, &demo);
    (cut.ended, cut.bytes) = (false, 640_000);
    let row = view(&[cut], &demo, Day(NOVEMBER.into())).takes.remove(0);
    assert_eq!(row.line, "0:42 · 640 kB · cut off as the page was closed", "its tune is its title");
    // Too little to matter is not told.
    let little = Take { bytes: 99_999, ..take("a", "practice", NOVEMBER, &demo) };
    let shown = view(&[little], &demo, Day(NOVEMBER.into()));
    assert_eq!(shown.takes[0].line, "0:42 · 12-bar blues in G, 92");
    assert_eq!(shown.summary, "1 take, on this device only.");
    // In the key that the player reads: an alto saxophone's part is written a major sixth above what sounds (common
    // practice).
    let alto = Instrument::named("alto-sax").unwrap();
    let hers = link_of(&Tune { instrument: alto, ..Tune::demo() });
    let row = view(&[take("a", "play", NOVEMBER, &demo)], &hers, Day(NOVEMBER.into())).takes.remove(0);
    assert_eq!(row.title, "12-bar blues in E (sounds G), 92");
}

#[test]
fn a_take_is_heard_over_its_own_tune_alone() {
    let (demo, first) = (link_of(&Tune::demo()), link_of(&Tune::first()));
    let lies = |take: Take, desk: &str| {
        let row = view(&[take], desk, Day(NOVEMBER.into())).takes.remove(0);
        (row.lies, row.wants_tune, row.note)
    };
    assert_eq!(lies(take("a", "play", NOVEMBER, &demo), &demo), (true, false, String::new()));
    let (lies_now, wants_tune, note) = lies(take("a", "play", NOVEMBER, &demo), &first);
    assert!(!lies_now && wants_tune);
    assert_eq!(note, "To hear it over the form, bring its tune back: 12-bar blues in G, 92.");
    // What was practised slower than the tune stands is heard by itself, and so is what was played without the band.
    let slow = link_of(&Tune { tempo: QuartersPerMinute::new(60.0).unwrap(), ..Tune::demo() });
    assert!(!lies(take("a", "play", NOVEMBER, &slow), &slow).0);
    let alone = Take { place: None, ..take("a", "play", NOVEMBER, &demo) };
    assert_eq!(lies(alone, &demo), (false, false, String::new()));
}

#[test]
fn whatever_stands_in_a_record_is_borne() {
    let mut odd = take("a", "?", i32::MIN, "no link");
    (odd.rate, odd.began, odd.minute, odd.peaks) = (0, f64::NAN, u16::MAX, Vec::new());
    let shown = view(&[odd.clone(), odd], "", Day(NOVEMBER.into()));
    assert_eq!(shown.takes[0].title, "A take");
    assert!(shown.takes[0].wave.iter().all(|height| (0.0..=1.0).contains(height)));
}

#[test]
fn whatever_ends_a_take_is_said_with_what_to_do() {
    let names =
        ["full", "nearly-full", "stopped-for-room", "memory", "longest", "lost", "damaged", "microphone"];
    let mut said: Vec<String> = names.iter().map(|name| trouble(name)).collect();
    assert!(said[4].starts_with("10 minutes are the longest take."));
    said.sort();
    said.dedup();
    assert_eq!(said.len(), names.len());
}

#[test]
fn takes_that_fill_the_device_offer_what_may_go() {
    let demo = link_of(&Tune::demo());
    let many: Vec<Take> = (0..10)
        .map(|at| Take { bytes: 20_000_000, ..take(&at.to_string(), "practice", SEPTEMBER + at, &demo) })
        .collect();
    let shown = view(&many, &demo, Day(NOVEMBER.into()));
    assert_eq!(
        shown.may_go_text,
        "To make room, throw away what lies between the first take and the latest: 8 takes, 160.0 MB."
    );
    assert_eq!(shown.may_go.len(), 8);
    assert!(view(&many[..4], &demo, Day(NOVEMBER.into())).may_go.is_empty(), "80 MB are not many");
    let shared = Shared { tune: Tune::demo().shared(), riff: demo::porch_light() };
    assert_eq!(many[0].shared().map(|shared| shared.riff.name), Some(shared.riff.name));
}
