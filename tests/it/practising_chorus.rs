//! Practising a chorus as it was built: what is asked for is what stands in it, worked here by hand (beats from the first
//! bar line, swung 2:1; MIDI notes), and a scripted player plays it with offsets that are known.

use riffloom::chorus::kept::ChorusId;
use riffloom::desk::command::Command;
use riffloom::desk::practice::Doing;
use riffloom::desk::{Desk, Refusal};
use riffloom::notebook::past::Past;
use riffloom::notebook::past::known::{Standing, standing};
use riffloom::perform::{Asked, Part};
use riffloom::practice::Heard;
use riffloom::practice::delay::{Delay, Found};
use riffloom::practice::ladder::Went;
use riffloom::practice::review::{Day, Extent, Help};
use riffloom::practice::run::PassEnded;
use riffloom::practice::subject::Subject;
use riffloom::riff::{RiffId, write_id};
use riffloom::units::{AudioTime, Cents, Seconds, Velocity};
use riffloom::view::screen::Screen;
use riffloom::view::{past, practice};

const BEGIN: AudioTime = AudioTime(10.0);
const CHORUS: Subject = Subject::Chorus(ChorusId(50));

fn id(number: u64) -> String {
    write_id(RiffId(number))
}

fn apply(desk: &mut Desk, command: Command) {
    desk.apply(command.clone()).unwrap_or_else(|refusal| panic!("{command:?}: {refusal}"));
}

fn set(desk: &mut Desk, what: &str, value: &str) {
    apply(desk, Command::SetPractice { what: what.into(), value: value.into() });
}

fn write(desk: &mut Desk, number: u64, name: &str, beats: usize, notes: &[u8]) {
    apply(desk, Command::NewRiff { id: id(number) });
    apply(desk, Command::SetRiffBeats { beats });
    apply(desk, Command::PlaceCursor { tick: 0 });
    for midi in notes {
        apply(desk, Command::EnterNote { midi: *midi });
    }
    apply(desk, Command::RenameRiff { id: id(number), name: name.to_owned() });
}

fn put(desk: &mut Desk, number: u64, bar: usize) {
    apply(desk, Command::PlaceRiff { id: id(number), bar: bar - 1, half_beats: 0 });
}

/// *Porch light* (1), *Ferry bell* (2: G D on a beat and its half), *Long stairs* (3: a pickup of a beat), and an empty
/// chorus (50) over the demo's twelve bars in G at 92.
fn desk() -> Desk {
    let mut desk = Desk::new(RiffId(9));
    write(&mut desk, 3, "Long stairs", 5, &[62, 64, 67, 70, 71, 67]);
    apply(&mut desk, Command::SetRiffStart { quarters: -1.0 });
    write(&mut desk, 2, "Ferry bell", 4, &[67, 74]);
    apply(&mut desk, Command::OpenDemo { id: id(1) });
    apply(&mut desk, Command::NewChorus { id: id(50) });
    desk.set_today(Day(20));
    desk.set_delay(Delay::kept(0.0, 0.004, Found::ByTapping));
    desk
}

/// Two times through: *Porch light* in bar 1, *Ferry bell* a fourth up in bar 5, *Long stairs* to bar 9; *Ferry bell* in
/// bar 1 of the second time.
fn woven() -> Desk {
    let mut desk = desk();
    apply(&mut desk, Command::SetChorusTimes { times: 2 });
    put(&mut desk, 1, 1);
    put(&mut desk, 2, 5);
    apply(&mut desk, Command::TransposePlacement { index: 1, semitones: 5 });
    put(&mut desk, 3, 9);
    put(&mut desk, 2, 13);
    set(&mut desk, "subject", &CHORUS.to_string());
    desk
}

/// What [`woven`] asks for: beats from the first bar line, and notes.
const WOVEN: [(f64, u8); 15] = [
    (2.0 / 3.0, 74),
    (1.0, 76),
    (2.0 + 2.0 / 3.0, 70),
    (3.0, 71),
    (4.0 + 2.0 / 3.0, 67),
    (16.0, 72),
    (16.0 + 2.0 / 3.0, 79),
    (31.0, 62),
    (31.0 + 2.0 / 3.0, 64),
    (32.0, 67),
    (32.0 + 2.0 / 3.0, 70),
    (33.0, 71),
    (33.0 + 2.0 / 3.0, 67),
    (48.0, 67),
    (48.0 + 2.0 / 3.0, 74),
];

fn begin(desk: &mut Desk) -> Vec<(AudioTime, Asked)> {
    let course = desk.practice_setup().unwrap();
    desk.practice_begin(course, BEGIN);
    let Doing::Run(run) = desk.practice().doing() else { panic!("no run") };
    run.wanted()
}

fn asked(desk: &mut Desk) -> Vec<(f64, u8)> {
    begin(desk).iter().map(|(_, asked)| (asked.position, asked.midi.number())).collect()
}

#[track_caller]
fn check(found: &[(f64, u8)], expected: &[(f64, u8)]) {
    let is_same = |(one, other): (&(f64, u8), &(f64, u8))| (one.0 - other.0).abs() < 1e-9 && one.1 == other.1;
    assert!(
        found.len() == expected.len() && found.iter().zip(expected).all(is_same),
        "{found:?} for {expected:?}"
    );
}

/// One time through, every note late by what `late` says of it.
fn pass(desk: &mut Desk, late: impl Fn(&Asked) -> Option<f64>) -> PassEnded {
    let goals = begin(desk);
    for (at, asked) in &goals {
        if let Some(late) = late(asked) {
            let at = *at + Seconds(late);
            desk.hear(Heard { at, midi: Some(asked.midi), above: Cents(0.0), velocity: Velocity::PLAIN });
        }
    }
    let Doing::Run(run) = desk.practice().doing() else { panic!("no run") };
    let setup = run.setup();
    let end = BEGIN + setup.tempo.duration(setup.score.time_through()) + Seconds(2.0);
    (*desk.practice_tick(end, Seconds(0.0)).unwrap()).clone()
}

#[test]
fn a_chorus_asks_for_what_stands_in_it_as_it_was_placed() {
    let mut desk = woven();
    check(&asked(&mut desk), &WOVEN);
    // What was placed stays as it was placed, whatever becomes of the riff.
    apply(&mut desk, Command::PickRiff { id: id(2) });
    apply(&mut desk, Command::PlaceCursor { tick: 0 });
    apply(&mut desk, Command::EnterNote { midi: 60 });
    assert_eq!(desk.subject(), Subject::Riff(RiffId(2)), "a riff that is picked is what is practised");
    set(&mut desk, "subject", &CHORUS.to_string());
    check(&asked(&mut desk), &WOVEN);
}

#[test]
fn a_time_through_it_is_measured_as_a_riff_is() {
    let mut desk = woven();
    let ended = pass(&mut desk, |_| Some(0.012));
    assert_eq!((ended.of, ended.went, ended.complete, ended.goals.len()), (CHORUS, Went::Clean, true, 15));
    assert_eq!((ended.help, ended.over), (Help::NotesShown, Extent::Form));
    for ((beat, midi), goal) in WOVEN.iter().zip(&ended.goals) {
        assert!((goal.note.onset - BEGIN - Seconds(beat * 60.0 / 92.0)).0.abs() < 1e-9);
        assert_eq!(goal.note.midi.number(), *midi);
    }
    let figures = ended.pass.figures;
    assert_eq!((figures.right, figures.missed, figures.extra), (15, 0, 0));
    assert!((figures.bias.unwrap().0 - 0.012).abs() < 1e-9);
    let after = practice::view(&desk).after.unwrap();
    let table = after.timing.unwrap().table;
    let told = |row: usize| (table[row].place.as_str(), table[row].asked.as_str(), table[row].text.as_str());
    assert_eq!(told(2), ("bar 1, beat 3 and", "B♭", "12 ms late"));
    assert_eq!(told(5), ("bar 5, beat 1", "C", "12 ms late"));
    assert_eq!(told(13), ("bar 13, beat 1", "G", "12 ms late"));
    // Half of it left out is not all the notes.
    let ended = pass(&mut desk, |asked| (asked.position < 20.0).then_some(0.0));
    assert_eq!((ended.went, ended.pass.figures.missed), (Went::Poor, 8));
    // Nothing but its rhythm, tapped on any key.
    set(&mut desk, "plays", "rhythm");
    let ended = pass(&mut desk, |_| Some(0.0));
    assert_eq!((ended.went, ended.rhythm_alone), (Went::Clean, true));
}

/// A riff that comes several times has one habit, by the name of its note.
#[test]
fn a_note_that_is_late_each_time_is_named() {
    let mut desk = desk();
    for bar in [1, 3, 5, 7, 9] {
        put(&mut desk, 1, bar);
    }
    put(&mut desk, 2, 11);
    set(&mut desk, "subject", &CHORUS.to_string());
    pass(&mut desk, |asked| Some(if asked.midi.number() == 71 { 0.07 } else { 0.0 }));
    let said = practice::view(&desk).after.unwrap().said;
    assert!(said.iter().any(|said| said.contains("B comes late each time.")), "{said:?}");
}

/// A pickup to the first looped bar is asked for before it, and once more at the end for the next time round.
#[test]
fn a_part_of_it_is_looped_with_its_pickup() {
    let mut desk = woven();
    apply(&mut desk, Command::Go { place: "practice".into() });
    apply(&mut desk, Command::SetLoop { bars: Some((8, 10)) });
    assert_eq!((desk.weaving().looped, desk.session().looped), (Some((8, 10)), None));
    let stairs = [
        (-1.0, 62),
        (-1.0 / 3.0, 64),
        (0.0, 67),
        (2.0 / 3.0, 70),
        (1.0, 71),
        (1.0 + 2.0 / 3.0, 67),
        (7.0, 62),
        (7.0 + 2.0 / 3.0, 64),
    ];
    check(&asked(&mut desk), &stairs);
    assert_eq!(pass(&mut desk, |_| Some(0.0)).over, Extent::Loop);
    // Played once and no more, nothing leads on.
    set(&mut desk, "goes-on", "off");
    check(&asked(&mut desk), &stairs[..6]);
}

#[test]
fn one_bar_at_a_time_goes_on_to_the_next_that_has_a_note() {
    let mut desk = woven();
    apply(&mut desk, Command::Go { place: "practice".into() });
    set(&mut desk, "one-bar", "on");
    let mut bars = Vec::new();
    for _ in 0..7 {
        let ended = pass(&mut desk, |_| Some(0.0));
        assert_eq!((ended.went, ended.over), (Went::Clean, Extent::Loop));
        bars.push(ended.asked[0].bar.unwrap() + 1);
    }
    // The pickup lies in bar 8; bar 13 is the first of the second time; then from the beginning.
    assert_eq!(bars, [1, 2, 5, 8, 9, 13, 1]);
    // A bar that is pointed to is the one that is practised.
    apply(&mut desk, Command::ChooseBar { bar: 4 });
    assert_eq!(pass(&mut desk, |_| Some(0.0)).asked[0].bar, Some(4));
    assert!(practice::view(&desk).parts.iter().any(|part| part.text.starts_with("bar 6, first time, one")));
}

#[test]
fn band_click_silent_bars_and_slow_to_fast_are_set_as_for_a_riff() {
    let mut desk = woven();
    let parts = |desk: &Desk| {
        let parts = desk.practice_setup().unwrap().score.parts;
        [Part::Click, Part::Drums, Part::Solo].map(|part| parts.has(part))
    };
    assert_eq!(parts(&desk), [true, true, false]);
    set(&mut desk, "along", "on");
    let course = desk.practice_setup().unwrap();
    let solo = course.score.events(-4.0, 96.0).into_iter().filter(|event| event.part == Part::Solo);
    let solo: Vec<(f64, u8)> = solo.map(|event| (event.position, event.midi.number())).collect();
    check(&solo, &WOVEN);
    set(&mut desk, "along", "off");
    set(&mut desk, "band", "off");
    set(&mut desk, "silent", "one-of-four");
    assert_eq!(parts(&desk), [true, false, false]);
    let ended = pass(&mut desk, |_| Some(0.0));
    // Every fourth bar is silent: the click is met again in bars 5, 9 and 13, by the sixth, tenth and fourteenth note.
    let met: Vec<usize> = ended.pass.re_entries.iter().map(|entry| entry.target).collect();
    assert_eq!(met, [5, 9, 13]);
    for (what, value) in [("speed", "slow-to-fast"), ("start", "60"), ("goal", "64"), ("clean", "1")] {
        set(&mut desk, what, value);
    }
    assert_eq!(desk.practice_tempo().value(), 60.0);
    pass(&mut desk, |_| Some(0.0));
    assert_eq!(desk.practice_tempo().value(), 64.0);
    apply(&mut desk, Command::PickRiff { id: id(1) });
    assert_eq!(desk.practice_tempo().value(), 60.0, "each has a ladder of its own");
}

/// The words are our own.
#[test]
fn what_is_said_speaks_of_the_chorus() {
    let mut desk = woven();
    assert!(practice::view(&desk).first.contains("Play the chorus"), "{}", practice::view(&desk).first);
    pass(&mut desk, |_| Some(0.0));
    // What was played keeps its name where another thing is chosen since, and where no figures are wanted.
    apply(&mut desk, Command::PickRiff { id: id(1) });
    let view = practice::view(&desk);
    assert!(view.first.contains("Play the riff"), "{}", view.first);
    assert_eq!(view.after.expect("one was played").both, "Yourself and the chorus");
    set(&mut desk, "figures", "off");
    assert_eq!(practice::view(&desk).after.expect("one was played").both, "Yourself and the chorus");
    pass(&mut desk, |_| Some(0.0));
    assert_eq!(practice::view(&desk).after.expect("another").both, "Yourself and the riff");
}

#[test]
fn what_was_practised_of_it_is_kept_known_and_planned() {
    let mut desk = woven();
    set(&mut desk, "sight", "chords");
    for day in [20, 21] {
        desk.set_today(Day(day));
        let ended = pass(&mut desk, |_| Some(0.0));
        assert_eq!(desk.remember(&ended, 3), Some(CHORUS));
    }
    assert_eq!(standing(desk.past().of(CHORUS)), Standing::Known);
    let mut again = Past::default();
    again.read(&desk.past().write(CHORUS)).unwrap();
    assert_eq!(again.of(CHORUS), desk.past().of(CHORUS));
    let back = past::view(&desk, CHORUS);
    assert_eq!(back.title, "Looking back at Chorus with Porch light");
    assert_eq!((back.points.len(), back.rows.len()), (2, 2));
    assert!(back.standing[0].starts_with("You know it in G up to 92."), "{:?}", back.standing);
    assert!(back.csv.lines().count() == 3 && back.csv.contains("Chorus with Porch light"), "{}", back.csv);
    // A week later it is worth bringing back.
    desk.set_today(Day(28));
    let plan = past::plan_view(&desk);
    let turn = plan.turns.iter().find(|turn| turn.of == CHORUS.to_string()).expect("it is due");
    assert_eq!(
        (turn.text.as_str(), turn.why.as_str()),
        ("Chorus with Porch light, in G: only the chords in sight", "worth bringing back")
    );
    apply(&mut desk, Command::PickRiff { id: id(1) });
    apply(
        &mut desk,
        Command::PractiseIn { id: turn.of.clone(), key: turn.key.clone(), how: turn.how.clone() },
    );
    assert_eq!((desk.subject(), desk.moved()), (CHORUS, None));
}

/// Half steps counted on a keyboard: from G up to C is five.
#[test]
fn it_is_practised_in_another_key() {
    let mut desk = woven();
    apply(&mut desk, Command::PractiseIn { id: CHORUS.to_string(), key: "C".into(), how: String::new() });
    let moved: Vec<(f64, u8)> = WOVEN.iter().map(|(beat, midi)| (*beat, midi + 5)).collect();
    check(&asked(&mut desk), &moved);
    assert_eq!(
        desk.chosen_chorus().riffs()[0].notes()[0].pitch.to_string(),
        "D5",
        "it stays as it was built"
    );
    let ended = pass(&mut desk, |_| Some(0.0));
    desk.remember(&ended, 3);
    let kept = desk.past().of(CHORUS)[0];
    assert_eq!((kept.key.to_string(), kept.moved), ("C".to_owned(), 5));
    assert!(practice::view(&desk).hint.contains("the same chorus, 5 half steps higher"));
}

#[test]
fn the_page_shows_the_chorus_where_it_is_practised() {
    let mut desk = woven();
    let form = |desk: &Desk| Screen::of(desk).all().form.unwrap();
    assert_eq!((form(&desk).times.len(), form(&desk).lines.len()), (0, 3), "elsewhere the form is the form");
    apply(&mut desk, Command::Go { place: "practice".into() });
    let form = form(&desk);
    assert_eq!(form.times, ["first time of 2", "second time of 2"]);
    assert_eq!((form.lines.len(), form.places.last().unwrap().bar), (6, 23));
    let marks: Vec<usize> =
        form.lines.iter().flat_map(|line| &line.bars).map(|bar| bar.marks.len()).collect();
    let expected = |bar: usize| match bar {
        0 => 4,
        1 => 1,
        4 | 7 | 12 => 2,
        8 => 4,
        _ => 0,
    };
    assert_eq!(marks, (0..24).map(expected).collect::<Vec<_>>());
    let phrases = practice::to_play(&desk).unwrap().phrases;
    let told: Vec<_> =
        phrases.iter().map(|phrase| (phrase.title.as_str(), phrase.bar, phrase.until)).collect();
    assert_eq!(
        told,
        [
            ("Porch light · bar 1, first time", 0, 2),
            ("Ferry bell, a fourth up · bar 5, first time", 4, 5),
            ("Long stairs · bar 8, first time", 7, 9),
            ("Ferry bell · bar 1, second time", 12, 13),
        ]
    );
    assert_eq!(phrases[3].then, "then Porch light · bar 1, first time");
    assert_eq!(phrases[1].tokens[0].label, "C 5, bar 5, beat 1, half a beat, in C seven");
    let view = practice::view(&desk);
    assert_eq!(view.brief, "Chorus with Porch light · steady at 92");
    let what = view.parts.iter().find(|part| part.title == "What you practise").unwrap();
    assert_eq!(what.groups.iter().map(|group| group.choices.len()).collect::<Vec<_>>(), [1, 4]);
    let chosen = what.groups.iter().flat_map(|group| &group.choices).filter(|choice| choice.chosen);
    assert_eq!(chosen.map(|choice| choice.value.clone()).collect::<Vec<_>>(), [CHORUS.to_string()]);
    // A drill asks for riffs, over the form as it is.
    set(&mut desk, "drill", "echo");
    assert_eq!(Screen::of(&desk).all().form.unwrap().lines.len(), 3);
    assert_eq!(practice::to_play(&desk), None);
}

#[test]
fn an_empty_chorus_and_one_that_is_gone_are_told_of() {
    let mut desk = desk();
    set(&mut desk, "subject", &CHORUS.to_string());
    assert_eq!(desk.practice_setup().unwrap_err(), Refusal::NoNote);
    let view = practice::view(&desk);
    assert!(!view.can_start && view.hint.starts_with("This chorus is empty yet."), "{}", view.hint);
    for value in ["chorus-0000000000000063", "0000000000000063", "nothing", ""] {
        let command = Command::SetPractice { what: "subject".into(), value: value.into() };
        assert!(desk.apply(command).is_err(), "{value}");
        assert_eq!(desk.subject(), CHORUS);
    }
    apply(&mut desk, Command::DeleteChorus { id: id(50) });
    assert_eq!(desk.subject(), Subject::Riff(RiffId(1)));
    assert!(practice::view(&desk).can_start);
}
