//! Forms and scales against published rows, copied by hand.

use riffloom::form::numeral;
use riffloom::form::standard::{ChordStyle, FormKind, changes};
use riffloom::rhythm::metre::Metre;
use riffloom::theory::key::Key;
use riffloom::theory::scale::ScaleKind;

fn key(text: &str) -> Key {
    text.parse().unwrap()
}

/// The functions of a form's chords in G, with bars that hold several joined by a hyphen.
#[track_caller]
fn check(name: &str, style: ChordStyle, expected: &str) {
    let kind = FormKind::named(name).unwrap();
    let form = changes(kind, key("G"), style, Metre::FOUR_FOUR);
    let bars: Vec<String> = form
        .bars()
        .iter()
        .map(|bar| {
            let functions: Vec<String> =
                bar.chords.iter().map(|place| numeral::function(&place.chord, key("G"))).collect();
            functions.join("-")
        })
        .collect();
    assert_eq!(bars.join(" "), expected.split_whitespace().collect::<Vec<_>>().join(" "), "{name}");
}

/// Open Music Theory, version 1, "Blues": phrases of tonic, subdominant and dominant.
#[test]
fn twelve_and_sixteen_bars_are_open_music_theorys() {
    check("12-bar", ChordStyle::Triads, "I I I I  IV IV I I  V IV I I");
    check("16-bar", ChordStyle::Triads, "I I I I  I I I I  IV IV I I  V IV I I");
}

/// Benward and Saker, "Music in Theory and Practice", 2003, p. 186, as encyclopaedias quote it: the older form keeps
/// V in bars 9 and 10, the quick change has IV in bar 2, the turnaround V in the last bar.
#[test]
fn the_twelve_bar_variants_are_the_handbooks() {
    check("12-bar-five-five", ChordStyle::Triads, "I I I I  IV IV I I  V V I I");
    check("12-bar-quick-change", ChordStyle::Triads, "I IV I I  IV IV I I  V IV I V");
    check("12-bar-turnaround", ChordStyle::Sevenths, "I7 I7 I7 I7  IV7 IV7 I7 I7  V7 IV7 I7 V7");
}

/// Encyclopaedias' entry "Eight-bar blues", second variant.
#[test]
fn eight_bars_are_the_encyclopaedias_second_variant() {
    check("8-bar", ChordStyle::Triads, "I V IV IV  I V I V");
}

/// A music engraving library's published article on the jazz form: I7 IV7 I7 I7, IV7 IV7 I7 VI7, ii7 V7 I7–VI7
/// ii7–V7.
#[test]
fn the_jazz_form_is_the_published_one() {
    check("12-bar-jazz", ChordStyle::Sevenths, "I7 IV7 I7 I7  IV7 IV7 I7 VI7  ii7 V7 I7-VI7 ii7-V7");
}

/// A guitar magazine's article "Style Guide: Essential Blues Progressions", premierguitar.com/articles/19663: like the
/// major form with minor chords and V7 in bar 9; or ♭VI in bar 9 that moves to V7 in bar 10. Dominant ♭VI (there also
/// a major seventh), IV in bar 10 and i in bar 12 (there V7): common practice, no source.
#[test]
fn the_minor_forms_have_five_or_flat_six_in_bar_nine() {
    check("12-bar-minor", ChordStyle::Sevenths, "i7 i7 i7 i7  iv7 iv7 i7 i7  V7 iv7 i7 i7");
    check("12-bar-minor-b6", ChordStyle::Sevenths, "i7 i7 i7 i7  iv7 iv7 i7 i7  bVI7 V7 i7 i7");
    check("12-bar-minor", ChordStyle::Triads, "i i i i  iv iv i i  V iv i i");
}

/// Half steps above the root. Aebersold, "How to Play Jazz and Improvise", vol. 1, revised 1970, p. 26, as
/// encyclopaedias quote it: minor blues 0 3 5 6 7 10 (steps 3 2 1 1 3 2), major blues 0 2 3 4 7 9.
#[test]
fn blues_scales_have_the_published_steps() {
    for (scale, expected) in
        [(ScaleKind::MinorBlues, vec![0, 3, 5, 6, 7, 10]), (ScaleKind::MajorBlues, vec![0, 2, 3, 4, 7, 9])]
    {
        let semitones: Vec<i32> = scale.intervals().map(|interval| interval.semitones).collect();
        assert_eq!(semitones, expected);
        let mut steps: Vec<i32> = semitones.windows(2).map(|pair| pair[1] - pair[0]).collect();
        steps.push(12 - semitones[semitones.len() - 1]);
        if scale == ScaleKind::MinorBlues {
            assert_eq!(steps, [3, 2, 1, 1, 3, 2]);
        }
    }
}

/// C minor blues against the three chords of C: the notes that each chord has. Worked by hand from the chords' notes:
/// C7 is C E G B♭, F7 is F A C E♭, G7 is G B D F.
#[test]
fn the_minor_blues_scale_meets_each_chord_in_three_or_two_notes() {
    for (symbol, expected) in [("C7", "C G Bb"), ("F7", "C Eb F"), ("G7", "F G")] {
        let chord: riffloom::theory::chord::Chord = symbol.parse().unwrap();
        let mut held: Vec<String> = ScaleKind::MinorBlues
            .notes("C".parse().unwrap())
            .into_iter()
            .filter(|note| chord.degree_of(*note).is_some())
            .map(|note| note.to_string())
            .collect();
        let mut expected: Vec<&str> = expected.split(' ').collect();
        held.sort();
        expected.sort_unstable();
        assert_eq!(held, expected, "{symbol}");
    }
}

/// The two switches of the twelve bars give four forms, each found from the other side.
#[test]
fn two_switches_make_four_forms() {
    let with_switches: Vec<FormKind> = FormKind::all().filter(|kind| kind.switches().is_some()).collect();
    assert_eq!(with_switches.len(), 4);
    for kind in with_switches {
        assert_eq!(FormKind::twelve(kind.switches().unwrap()), kind);
        let form = changes(kind, key("C"), ChordStyle::Triads, Metre::FOUR_FOUR);
        let root = |bar: usize| form.bars()[bar].chords[0].chord.to_string();
        let switches = kind.switches().unwrap();
        assert_eq!(root(1), if switches.four_in_bar_two { "F" } else { "C" });
        assert_eq!(root(11), if switches.five_in_bar_twelve { "G" } else { "C" });
    }
}

/// Bars of several metres: where each chord begins, in quarters, worked by hand: 4/4 lasts 4 quarters, 3/4 lasts 3,
/// 6/8 lasts 3 in two dotted beats, 12/8 lasts 6 in four.
#[test]
fn bars_of_other_lengths_stand_where_they_should() {
    let chart = "G7 | 3/4 C7 | 6/8 G7 D7 | 12/8 C7 G7 D7 | 4/4 G7 E7 A7";
    let form = riffloom::form::chart::parse(chart, key("G"), Metre::FOUR_FOUR).unwrap();
    let found: Vec<(String, usize, f64)> =
        form.places().map(|place| (place.chord.to_string(), place.bar + 1, place.at.in_quarters())).collect();
    let expected = [
        ("G7", 1, 0.0),
        ("C7", 2, 4.0),
        ("G7", 3, 7.0),
        ("D7", 3, 8.5),
        ("C7", 4, 10.0),
        ("G7", 4, 13.0), // four beats for three chords: two, one, one
        ("D7", 4, 14.5),
        ("G7", 5, 16.0),
        ("E7", 5, 18.0),
        ("A7", 5, 19.0),
    ];
    assert_eq!(found, expected.map(|(symbol, bar, at)| (symbol.to_owned(), bar, at)));
    assert_eq!(form.length().in_quarters(), 20.0);
}
