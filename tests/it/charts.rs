//! Charts as people write and paste them: numerals, repeat signs, slashes, bars without a chord.

use riffloom::band::voicing::{self, Voices};
use riffloom::desk::command::Command;
use riffloom::desk::{Desk, Done};
use riffloom::form::chart;
use riffloom::form::numeral;
use riffloom::form::standard::{ChordStyle, FormKind, changes};
use riffloom::insight::roles::{self, Role};
use riffloom::perform::{Event, Part, Parts, Score};
use riffloom::rhythm::feel::SwingRatio;
use riffloom::rhythm::grid::Division;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Note, Riff, RiffId};
use riffloom::theory::chord::Chord;
use riffloom::theory::key::Key;
use riffloom::units::Ticks;
use riffloom::view::screen;

fn key(text: &str) -> Key {
    text.parse().unwrap()
}

/// What a chart in G is written back as.
#[track_caller]
fn check(typed: &str, expected: &str) {
    check_in("G", typed, expected);
}

#[track_caller]
fn check_in(home: &str, typed: &str, expected: &str) {
    let read =
        chart::parse(typed, key(home), Metre::FOUR_FOUR).unwrap_or_else(|error| panic!("{typed:?}: {error}"));
    let written = chart::write(&read);
    assert_eq!(written, expected, "{typed:?}");
    assert_eq!(chart::parse(&written, key(home), Metre::FOUR_FOUR), Ok(read), "{typed:?}");
}

/// Open Music Theory, version 1, "Blues": I I I I, IV IV I I, V IV I I. The jazz form as a music engraving library
/// publishes it. Both are the standard forms of those names, typed.
#[test]
fn handbook_progressions_are_typed_as_they_stand_there() {
    let twelve = "I7 | I7 | I7 | I7 | IV7 | IV7 | I7 | I7 | V7 | IV7 | I7 | I7";
    let jazz = "I7|IV7|I7|I7|IV7|IV7|I7|VI7|ii7|V7|I7 VI7|ii7 V7";
    let minor = "i7|i7|i7|i7|iv7|iv7|i7|i7|♭VI7|V7|i7|i7";
    for home in Key::all() {
        for (typed, name) in [(twelve, "12-bar"), (jazz, "12-bar-jazz"), (minor, "12-bar-minor-b6")] {
            let form = changes(FormKind::named(name).unwrap(), home, ChordStyle::Sevenths, Metre::FOUR_FOUR);
            assert_eq!(chart::parse(typed, home, Metre::FOUR_FOUR), Ok(form), "{name} in {home}");
        }
    }
}

/// Common practice, no source; the chords are worked by hand.
#[test]
fn numerals_are_told_from_the_home_note() {
    check("I7 | IV7 | ii7 V7", "G7 | C7 | Am7 D7");
    check("I | bVII | ♭III | ♯IVdim7", "G | F | Bb | C#dim7");
    check("Imaj7 vi7 | ii9 V13", "Gmaj7 Em7 | Am9 D13");
    check_in("Am", "i7 | iv7 | bVI7 V7 | VII7", "Am7 | Dm7 | F7 E7 | G#7");
    check_in("Eb", "I6 | ii° | vi", "Eb6 | Fdim | Cm");
    check("I7 | C7 | N.C. | G7", "G7 | C7 | N.C. | G7");
}

/// What the page shows of a chord, typed again, is that chord: every kind in every key.
#[test]
fn the_numeral_of_a_chord_is_read_as_that_chord() {
    let kinds = [
        "", "m", "7", "m7", "maj7", "mmaj7", "dim", "dim7", "m7b5", "aug", "5", "sus4", "6", "m69", "9",
        "7alt", "7b9", "(b5)",
    ];
    for home in Key::all() {
        for fifths in -5..=6 {
            let root = riffloom::theory::pitch::NoteName::on_line_of_fifths(home.tonic().fifths() + fifths);
            for kind in kinds {
                let Ok(chord) = format!("{root}{kind}").parse::<Chord>() else { continue };
                let typed = numeral::function(&chord, home);
                assert_eq!(numeral::chord(&typed, home), Some(Ok(chord)), "{typed} in {home}");
                assert_eq!(numeral::chord(&typed.replace('b', "♭"), home), numeral::chord(&typed, home));
            }
        }
    }
}

/// Repeat signs as any handbook of notation has them: common practice, no source. Written out by hand.
#[test]
fn repeats_are_played_out() {
    check("|: G7 | C7 :|", "G7 | C7 | G7 | C7");
    check("G7 |: C7 :| D7", "G7 | C7 | % | D7");
    check("G7 | C7 :| D7", "G7 | C7 | G7 | C7 | D7");
    check("|: G7 :|: C7 :|", "G7 | % | C7 | %");
    check("|: G7 :: C7 :|", "G7 | % | C7 | %");
    check("|: G7 :| |: C7 :|", "G7 | % | C7 | %");
    check("||: G7 :||\n||: C7 | D7 :||", "G7 | % | C7 | D7 | C7 | D7");
    check("|: G7 | C7 |1. D7 | A7 :|2. E7 | G7 ||", "G7 | C7 | D7 | A7 | G7 | C7 | E7 | G7");
    check("|: G7 |1 D7 :|2 G7 |", "G7 | D7 | G7 | %");
    check("|: G7 |[1. D7 :|[2. C7 :| A7", "G7 | D7 | G7 | C7 | A7");
    check("|: G7\n1. D7 :|\n2. C7 |]", "G7 | D7 | G7 | C7");
    check("|: G7 |1. D7 |2. C7 |: A7 :|", "G7 | D7 | G7 | C7 | A7 | %");
    check("|: G7 |1. D7 :|2. C7 :|3. A7 |", "G7 | D7 | G7 | C7 | G7 | A7");
}

#[test]
fn a_slash_is_a_beat_more() {
    check("G7 / / /", "G7");
    check("G7 / C7 /", "G7 C7");
    check("G7 / / C7", "G7 / / C7");
    check("G7 /// | / / C7 / | %", "G7 | G7 C7 | %");
    check("G7 C7 / / | D7/F# / / /", "G7 C7 / / | D7/F#");
    check("3/4 G7 / C7", "3/4 G7 C7");
    check("12/8 G7 / / N.C.", "12/8 G7 / / N.C.");
}

/// As texts from elsewhere have it: tabs, line breaks of other systems, signs that only look like bar lines, and spaces
/// that cannot be seen.
#[test]
fn odd_texts_are_read() {
    check("\u{feff}  G7\t|\u{a0}C7  |\r\n| G7 |\rC7\u{2028}D7 ||", "G7 | C7 | G7 | C7 | D7");
    check("G7 │ C7 ‖ B♭7 ¦ F♯m7", "G7 | C7 | Bb7 | F#m7");
    check("𝄆 G7 | C–7 𝄇", "G7 | Cm7 | G7 | Cm7");
    check("|\u{a0}: G7\u{200b} :\t|", "G7 | %");
    check("G△7 | A∅7 | B˚7 | n.c. | NC", "Gmaj7 | Am7b5 | Bdim7 | N.C. | %");
    check("G7 ∕ C7 ⁄ | 𝄎", "G7 C7 | %");
}

#[test]
fn a_chord_that_lacks_a_capital_is_mended() {
    assert_eq!(chart::with_capitals("g7 | C7\n|: bbm7 :|"), Some("G7 | C7\n|: Bbm7 :|".to_owned()));
    assert_eq!(chart::with_capitals("G7 | bVII7 | ii7 | x"), None);
}

fn riff(pitches: &[&str]) -> Riff {
    let notes = pitches.iter().enumerate().map(|(index, pitch)| Note {
        onset: Ticks::QUARTER * index as i64,
        length: Ticks::QUARTER,
        pitch: pitch.parse().unwrap(),
        accent: false,
        ornament: None,
    });
    let divisions = vec![Division::HALVES; pitches.len()];
    Riff::from_parts(RiffId(1), String::new(), Ticks::ZERO, Ticks::QUARTER, divisions, notes.collect())
        .unwrap()
}

/// Over a bar without a chord a note is in the key, blue, or neither, and rubs against nothing.
#[test]
fn without_a_chord_notes_are_told_from_the_key() {
    let form = chart::parse("N.C. | C7", key("G"), Metre::FOUR_FOUR).unwrap();
    let insights = roles::over(&form, &riff(&["G4", "F4", "C#4", "Eb4"]), 0);
    let told: Vec<Role> = insights.iter().map(|insight| insight.role).collect();
    assert_eq!(told, [Role::InChord, Role::Blue, Role::Blue, Role::Other]);
    assert!(insights.iter().all(|insight| insight.rubs.is_none() && insight.ahead.is_none()));
    // The bar after it is as ever.
    assert_eq!(roles::over(&form, &riff(&["Bb4"]), 1)[0].role, Role::InChord);
}

/// Bass and chords rest where no chord sounds, drums keep the time, and the last chorus ends on the home chord all the
/// same: common practice, no source.
#[test]
fn without_a_chord_bass_and_chords_rest() {
    let form = chart::parse("G7 | N.C. | C7 N.C. | G7", key("G"), Metre::FOUR_FOUR).unwrap();
    let score = Score::new(
        form.clone().into(),
        None,
        SwingRatio::TRIPLET,
        Parts::of(&[Part::Drums, Part::Bass, Part::Comp]),
    );
    let events = score.events(0.0, 200.0);
    let bar = |event: &Event| (event.position.rem_euclid(16.0) / 4.0) as usize;
    let silent = |event: &&Event| {
        let within = event.position.rem_euclid(16.0);
        (4.0..8.0).contains(&within) || (10.0..12.0).contains(&within)
    };
    for event in events.iter().filter(silent) {
        assert_eq!(event.part, Part::Drums, "{event:?}");
    }
    for part in [Part::Drums, Part::Bass, Part::Comp] {
        assert!(events.iter().any(|event| event.part == part && bar(event) == 0), "{part:?}");
    }
    assert!(events.iter().any(|event| event.part == Part::Drums && bar(event) == 1));
    assert_eq!(form.last_time().bars()[3].chords[0].chord.to_string(), "G7");
    let all = chart::parse("N.C. | %", key("G"), Metre::FOUR_FOUR).unwrap();
    assert_eq!(all.last_time().bars()[1].chords[0].chord, Chord::none(key("G").tonic()));
}

/// Voices lead over a bar without a chord as if it were not there.
#[test]
fn voices_go_on_from_where_they_were() {
    let chords: Vec<Chord> = ["G7", "C7"].iter().map(|symbol| symbol.parse().unwrap()).collect();
    let none = Chord::none(key("G").tonic());
    let (_, led) = voicing::lead(&[&none, &chords[0], &none, &chords[1]], Voices::Two, None);
    let (_, without) = voicing::lead(&[&chords[0], &chords[1]], Voices::Two, None);
    assert_eq!(led, [vec![], without[0].clone(), vec![], without[1].clone()]);
}

/// One tap takes the chart as it was meant; without one that was refused there is nothing to take.
#[test]
fn small_letters_are_asked_about_and_mended() {
    let mut desk = Desk::new(RiffId(1));
    let typed = Command::SetForm { form: "g7 | c7 | N.C. | G7".to_owned() };
    let refused = desk.apply(typed);
    assert_eq!(screen::say(&refused).unwrap(), "Bar 1: “g7” begins with a small letter: did you mean G7?");
    let offer = screen::offer(&refused).unwrap();
    assert_eq!((offer.text.as_str(), offer.does.as_str()), ("Yes", "use-capitals"));
    desk.apply(Command::UseCapitals).unwrap();
    assert_eq!(chart::write(&desk.changes()), "G7 | C7 | N.C. | G7");
    assert_eq!(desk.apply(Command::UseCapitals), Ok(Done::NothingThere));
    desk.apply(Command::Undo).unwrap();
    assert_eq!(desk.changes().bars().len(), 12);
    // Another mistake is only told.
    let refused = desk.apply(Command::SetForm { form: "G7 | x".to_owned() });
    assert_eq!(screen::offer(&refused), None);
}
