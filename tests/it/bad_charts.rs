//! Charts that do not read: each gives one clear sentence with the bar, what was found and what was expected.

use riffloom::form::chart;
use riffloom::form::standard::ChordStyle;
use riffloom::form::text;
use riffloom::rhythm::metre::Metre;
use riffloom::theory::key::Key;

const KIND: &str = "says nothing about a chord: expected nothing more, or what stands behind the note in Gm, G7, Gm7, \
                    Gmaj7, Gdim7, G9 or G7b9";

#[track_caller]
fn check(typed: &str, expected: &str) {
    let key: Key = "G".parse().unwrap();
    let said = text::read(typed, key, ChordStyle::Sevenths, Metre::FOUR_FOUR).map(|form| chart::write(&form));
    assert_eq!(said.map_err(|error| error.to_string()), Err(expected.replace("KIND", KIND)), "{typed:?}");
}

#[test]
fn each_says_where_and_what_was_expected() {
    let no_chord =
        "is not a chord: expected it to begin with a capital A to G, as in G7, or with a numeral, as in IV7";
    let empty = "the chart is empty: expected chords with | between the bars, as in G7 | C7";
    check("", empty);
    check(" | ", empty);
    check("\n\n", empty);
    check("% | G7", "bar 1: % repeats the bar before, but there is none");
    check("G7 | C7 %", "bar 2: % repeats a whole bar: expected nothing beside it");
    check("G7 | | C7", "bar 2 is empty: expected a chord or %");
    check("G7 || || C7", "bar 2 is empty: expected a chord or %");
    check("G7 | 3/4", "bar 2 is empty: expected a chord or %");
    check("5/5 G7", "bar 1: “5/5” is not a metre: expected one such as 4/4, 3/4, 6/8 or 12/8");
    check("G7 | 0/4 G7", "bar 2: “0/4” is not a metre: expected one such as 4/4, 3/4, 6/8 or 12/8");
    check("G7 | 4/4/4 G7", "bar 2: “4/4/4” is not a metre: expected one such as 4/4, 3/4, 6/8 or 12/8");
    check("G7 C7 G7 C7 G7", "bar 1 has 5 chords: expected at most 4, one a beat");
    check("3/4 G7 C7 G7 C7", "bar 1 has 4 chords: expected at most 3, one a beat");
    check("6/8 G7 C7 G7", "bar 1 has 3 chords: expected at most 2, one a beat");
    check("C7 D7 G7 | 2/4 %", "bar 2 has 3 chords: expected at most 2, one a beat");
    check(&"G7 | ".repeat(65), "the chart has 65 bars: expected at most 64");
    check("H7", &format!("bar 1: “H7” {no_chord}"));
    check("G7 | c7", "bar 2: “c7” begins with a small letter: did you mean C7?");
    check("g7 | C7", "bar 1: “g7” begins with a small letter: did you mean G7?");
    check("G7 | bbm7", "bar 2: “bbm7” begins with a small letter: did you mean Bbm7?");
    check("G7 | 🎵", &format!("bar 2: “🎵” {no_chord}"));
    check("G7 | G7x", "bar 2: “x” at character 3 KIND");
    check("G7#", "bar 1: “#” at character 3 KIND");
    check("G7 | G7(b9", "bar 2: “(b9” at character 3 KIND");
    check("G7, C7", "bar 1: “,” at character 3 KIND");
    check("Cbbbb", "bar 1: “b” at character 5 KIND");
    check(&format!("G{}", "7".repeat(5_000)), "bar 1: “77777777777777777777” at character 3 KIND");
    check("G7 | IV7x", "bar 2: “x” at character 4 KIND");
    check("G7 / C7", "bar 1 has 3 chords and /: expected 4, one a beat, as in G7 / C7 /");
    check("G7 | ///", "bar 2 has 3 chords and /: expected 4, one a beat, as in G7 / C7 /");
    check("G7 | /", "bar 2 has only 1 chord or /: expected 4, one a beat, as in G7 / C7 /");
    check("/ G7 / /", "bar 1: / is one more beat of the chord before, but there is none");
    check(
        "G7 |: C7 | D7",
        "the repeat that begins with |: at bar 2 has no end: expected :| behind its last bar",
    );
    check(
        "|: G7 |: C7 :|",
        "the repeat that begins with |: at bar 1 has no end: expected :| behind its last bar",
    );
    let one = "after the first ending, which ends with bar 2: expected a second one, marked |2.";
    check("G7 |1. C7 :| D7 | G7", one);
    check("|: G7 |1. C7 :|: D7 :|", one);
    check("|: G7 |1. C7", one);
    check("G7 |2. C7", "bar 2 is marked as ending 2: expected ending 1");
    check("|: G7 |1. C7 :|3. D7", "bar 3 is marked as ending 3: expected ending 2");
    check("G7 : C7", &format!("bar 1: “:” {no_chord}"));
    check("G7 | : C7", "the repeat that begins with |: at bar 2 has no end: expected :| behind its last bar");
    check(&format!("|: {} :|", ["G7"; 33].join(" | ")), "the chart has 66 bars: expected at most 64");
    check("G7/H", "bar 1: “H” at character 4 is not a bass note: expected one as in C/E");
    check("G7 | C7/", "bar 2: nothing stands after the slash: expected a bass note, as in C/E");
}

#[test]
fn a_name_that_is_no_form_is_told_the_forms() {
    let forms = "12-bar, 12-bar-four, 12-bar-quick-change, 12-bar-turnaround, 12-bar-five-five, 12-bar-minor, \
                 12-bar-minor-b6, 12-bar-jazz, 8-bar, 16-bar, or a chart such as G7 | C7 | G7 | G7";
    for name in ["13-bar", "12 bar", "12-Bar", "slow-blues"] {
        check(name, &format!("“{name}” is not a form: expected {forms}"));
    }
}
