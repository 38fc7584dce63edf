//! ABC text: what is read and written, against "The abc music standard 2.1", December 2011. The sections are named;
//! where an example is the standard's own it says so.

use proptest::prelude::*;
use riffloom::files::abc::{self, Error, Tune};
use riffloom::rhythm::grid::Division;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Note, Ornament, Riff, RiffId};
use riffloom::theory::key::Key;
use riffloom::theory::pitch::{NoteName, Pitch, Step};
use riffloom::units::Ticks;

/// Onset and length in quarters and pitch of each note, `G4 0 1, Bb4 1 0.5`; `!` is an accent, `{A4}` a crushed note,
/// `/` a scoop.
fn notes(riff: &Riff) -> String {
    let one = |note: &Note| {
        let ornament = match note.ornament {
            Some(Ornament::Crushed(pitch)) => format!("{{{pitch}}}"),
            Some(Ornament::Scoop) => "/".to_owned(),
            None => String::new(),
        };
        let accent = if note.accent { "!" } else { "" };
        let hundredths = |ticks: Ticks| (ticks.in_quarters() * 100.0).round() / 100.0;
        format!("{ornament}{}{accent} {} {}", note.pitch, hundredths(note.onset), hundredths(note.length))
    };
    riff.notes().iter().map(one).collect::<Vec<_>>().join(", ")
}

fn divisions(riff: &Riff) -> Vec<u8> {
    riff.divisions().iter().map(|division| division.parts()).collect()
}

/// Reads music in G, 4/4, eighths.
fn read(music: &str) -> Result<Tune, Error> {
    abc::read(&format!("X:1\nT:Test\nM:4/4\nL:1/8\nK:G\n{music}\n"))
}

#[track_caller]
fn check(music: &str, expected: &str) -> Riff {
    let riff = read(music).unwrap_or_else(|error| panic!("{music}: {error}")).riff;
    assert_eq!(notes(&riff), expected, "{music}");
    riff
}

/// Sections 4.1 to 4.5: octaves, accidentals up to the bar line, lengths, `>` and `<`, rests.
#[test]
fn notes_are_read_as_the_standard_says() {
    check("C, C c c'", "C3 0 0.5, C4 0.5 0.5, C5 1 0.5, C6 1.5 0.5");
    check("^C =C _C ^^c __c,", "C#4 0 0.5, C4 0.5 0.5, Cb4 1 0.5, C##5 1.5 0.5, Cbb4 2 0.5");
    check("F4 _B2B2 | B8", "F#4 0 2, Bb4 2 1, Bb4 3 1, B4 4 4");
    check(
        "G2 G/2 G/ G// G3/2 G//",
        "G4 0 1, G4 1 0.25, G4 1.25 0.25, G4 1.5 0.13, G4 1.63 0.75, G4 2.38 0.13",
    );
    // Section 4.4: a>b is a dotted, b halved; a<b the other way; >> doubles the dots.
    check("a>b c<d", "A5 0 0.75, B5 0.75 0.25, C5 1 0.25, D5 1.25 0.75");
    check("a2>>b2", "A5 0 1.75, B5 1.75 0.25");
    let rests = check("z2 G2 z4", "G4 1 1");
    assert_eq!((rests.start, rests.beats()), (Ticks::ZERO, 4));
    // Section 4.11: ties, past bar lines, where the accidental holds as well.
    check("z4 ^g4- | g2 g2", "G#5 2 3, G5 5 1");
    // Section 4.12 and 4.14; slurs, beams, chord symbols and annotations change nothing.
    check(
        "\"G7\"!>!G2 {^A}B2 (L.d2 \"^text\" !slide!g`g)",
        "G4! 0 1, {A#4}B4 1 1, D5! 2 1, /G5 3 0.5, G5 3.5 0.5",
    );
}

/// Section 3.1.6: its examples of what a metre may be; bars of whole notes are bars of twice as many halves.
#[test]
fn metres_are_read_as_the_standard_writes_them() {
    for (written, expected) in [
        ("(2+3+2)/8", (7, 8)),
        ("2+3+2/8", (7, 8)),
        ("6/4", (6, 4)),
        ("12/8", (12, 8)),
        ("3/1", (6, 2)),
        ("C|", (2, 2)),
    ] {
        let metre = abc::read(&format!("X:1\nM:{written}\nL:1/8\nK:C\nC")).unwrap().metre;
        assert_eq!((metre.upper(), metre.lower()), expected, "{written}");
    }
}

/// Section 4.13, its table: 2 in the time of 3, 3 of 2, 4 of 3, 6 of 2; 5 and 7 of 2, or of 3 in compound metres.
#[test]
fn tuplets_have_the_times_of_the_standard() {
    for (metre, music, quarters) in [
        ("4/4", "(2GG", 1.5),
        ("4/4", "(3GGG", 1.0),
        ("4/4", "(4GGGG", 1.5),
        ("4/4", "(5GGGGG", 1.0),
        ("12/8", "(5GGGGG", 1.5),
        ("4/4", "(6GGGGGG", 1.0),
        ("4/4", "(7GGGGGGG", 1.0),
        ("12/8", "(7GGGGGGG", 1.5),
        ("4/4", "(3:2:2G2G", 1.0),
        ("4/4", "(3::4G2A2Bc", 2.0),
    ] {
        let riff = abc::read(&format!("X:1\nM:{metre}\nL:1/8\nK:C\n{music}")).unwrap().riff;
        let last = riff.notes().last().unwrap();
        assert_eq!(last.end().in_quarters(), quarters, "{music} in {metre}");
    }
    let thirds = check(
        "(3GAB d2 (3:2:2G2A G>A",
        "G4 0 0.33, A4 0.33 0.33, B4 0.67 0.33, D5 1 1, G4 2 0.67, A4 2.67 0.33, G4 3 0.75, A4 3.75 0.25",
    );
    assert_eq!(divisions(&thirds), [3, 2, 3, 4]);
}

/// Section 3.1.7: without `L:` a metre under 0.75 counts in sixteenths, others in eighths. Section 3.1.6: `C`, `C|`.
#[test]
fn fields_have_the_defaults_of_the_standard() {
    for (fields, quarters) in [
        ("M:2/4\n", 0.25),
        ("M:3/4\n", 0.5),
        ("M:6/8\n", 0.5),
        ("M:C\n", 0.5),
        ("M:C|\n", 0.5),
        ("", 0.5),
        ("M:4/4\nL:1/4\n", 1.0),
    ] {
        let tune = abc::read(&format!("X:1\n{fields}K:C\nG")).unwrap();
        assert_eq!(tune.riff.notes()[0].length.in_quarters(), quarters, "{fields}");
    }
}

/// Section 3.1.14: modes share the signature of a major key: A mixolydian and D, E dorian and D, and so on.
#[test]
fn keys_and_modes_have_their_signatures() {
    for (key, expected) in [
        ("D", "F#4"),
        ("Bm", "F#4"),
        ("A mix", "F#4"),
        ("EDor", "F#4"),
        ("F", "F4"),
        ("Cb", "Fb4"),
        ("C", "F4"),
        ("none", "F4"),
        ("", "F4"),
        ("D exp _b", "F4"),
        ("C ^f", "F#4"),
        ("D clef=treble", "F#4"),
    ] {
        let tune = abc::read(&format!("X:1\nL:1/4\nK:{key}\nF")).unwrap();
        assert_eq!(tune.riff.notes()[0].pitch.to_string(), expected, "{key}");
    }
    assert_eq!(abc::read("X:1\nK:A mix\nA").unwrap().key.to_string(), "A");
    assert_eq!(abc::read("X:1\nK:F#m\nA").unwrap().key.to_string(), "F#m");
    for key in ["H", "G#", "Gfoo", "Fb"] {
        assert!(
            matches!(abc::read(&format!("X:1\nK:{key}\nA")), Err(Error::Field { line: 2, field: 'K', .. })),
            "{key}"
        );
    }
}

/// What `z`, `x`, short bars and one bar alone mean is this project's own choice.
#[test]
fn short_bars_and_invisible_rests_place_the_riff() {
    for (music, start, beats) in [
        ("G2A2", 0.0, 2),
        ("G2A2|]", 0.0, 2),
        ("D2 | G2A2|]", -1.0, 3),
        ("D | G2A2|]", -0.5, 3),
        ("D | GABc defz|]", -0.5, 5),
        ("x4 G2A2|]", 2.0, 2),
        ("x4 G2A2| x8|]", 2.0, 2),
        ("G2A2 | x8 |]", -2.0, 2),
        ("x2 G2 z2 A2 | B4 |]", 1.0, 5),
        ("x8 | x2 G2", 5.0, 1),
        ("Z | G2", 0.0, 5),
        ("|: G2A2 B4 :|", 0.0, 4),
    ] {
        let riff = read(music).unwrap().riff;
        assert_eq!((riff.start.in_quarters(), riff.beats()), (start, beats), "{music}");
    }
}

#[test]
fn the_first_tune_and_its_first_voice_with_music_are_read() {
    let text = "%abc-2.1\nFree text about it.\n\nX:7\nT:Porch light\nT:Another title\nM:4/4\nL:1/8\nV:1\nV:2\n\
                K:G % the key\nV:1\nD2 E_B % four\nw: la la\nV:2\nG,8\nV:1\n=B2 G2 |]\n\nX:8\nK:C\nc8\n";
    let tune = abc::read(text).unwrap();
    assert_eq!(tune.riff.name, "Porch light");
    assert_eq!(notes(&tune.riff), "D4 0 1, E4 1 0.5, Bb4 1.5 0.5, B4 2 1, G4 3 1");
    let inline = abc::read("X:1\nL:1/4\nK:C\n[V:1]G A\n[V:2]C, D,\n[V:1][K:D]F [L:1/8]F").unwrap();
    assert_eq!(notes(&inline.riff), "G4 0 1, A4 1 1, F#4 2 1, F#4 3 0.5");
    assert_eq!(
        abc::read("X:1\nT:50\\% \\\\ \\& more % but not this\nK:C\nC").unwrap().riff.name,
        "50% \\ & more"
    );
}

#[test]
fn what_cannot_be_read_says_where_and_what() {
    for (music, message) in [
        ("G2 [GB]2", "line 6: a riff cannot hold chords"),
        ("G2 |1 A2 :|2 B2", "line 6: a riff cannot hold other endings"),
        ("G2 & C2", "line 6: a riff cannot hold a second voice beside the first"),
        ("G4 | [M:3/4] A4", "line 6: a riff cannot hold another metre half-way"),
        ("G2 @", "line 6: found “@”, expected a note, a rest or a bar line"),
        ("G2 [V:2] A2", "line 6: a riff cannot hold another voice in the middle of a line"),
        ("G2 ^", "line 6: found “ ”, expected a note A to G"),
        ("^^^G", "line 6: found “^”, expected one accidental"),
        ("{G", "line 6: found “{”, expected “}” behind it"),
        ("(1G", "line 6: found “(”, expected a tuplet of 2 to 9 notes"),
        ("> G", "line 6: found “>”, expected a note before it and a note behind it"),
        ("G2\nG0", "line 7: a length is too fine or too long"),
        ("G1/11", "line 6: a length is too fine or too long"),
        ("g''''''''", "line 6: a note is too high or too low"),
        ("G8 | A6 | B8 | c2", "bar 2 has 3 quarters, expected 4"),
        ("G8|G8|G8|G8|G8", "20 beats: a riff has at most 16, and as many before it"),
        ("X9 | G8", "36 beats: a riff has at most 16, and as many before it"),
        ("x8", "no notes: expected a tune in ABC, with a key line such as K:G before its notes"),
    ] {
        assert_eq!(read(music).map(|tune| notes(&tune.riff)).unwrap_err().to_string(), message, "{music}");
    }
    assert_eq!(abc::read("hello world"), Err(Error::Empty));
    let metre = abc::read("X:1\nM:4/5\nK:C\nC").unwrap_err().to_string();
    assert_eq!(metre, "line 2: M: is “4/5”, expected a metre such as 4/4, 12/8 or (2+3)/8, C or C|");
    for metre in ["300/4", "200+100/4", "200/1", "(2+)/8", "+/8", "9/1"] {
        assert!(abc::read(&format!("X:1\nM:{metre}\nK:C\nC")).is_err(), "{metre}");
    }
    assert!(matches!(abc::read(&"x".repeat(70_000)), Err(Error::TooLong { .. })));
}

#[test]
fn a_riff_is_written_as_a_musician_would() {
    let written = |music: &str| {
        let text = abc::write(&read(music).unwrap(), &["later by half a beat", "two\nlines"]);
        assert!(
            text.starts_with("X:1\nT:Test\n% later by half a beat\n% two lines\nM:4/4\nL:1/8\n"),
            "{text}"
        );
        text.lines().last().unwrap().to_owned()
    };
    for (music, expected) in [
        ("D2E_B=B2G2", "D2 E_B =B2 G2|]"),
        ("(3GABd2(3:2:2G2AG3/2A/", "(3:2:3GAB d2 (3:2:2G2A G3/2A/|]"),
        ("D|G2A2", "D | G2A2z|]"),
        ("x4G2A2", "x4 G2 A2|]"),
        ("D2A2x2|x8|]", "D2 A2 x2 | x8|]"),
        ("G4z2A2-|A4|]", "G4 z2 A2- | A4|]"),
        // Five eighths are no one note: the beat ends between its two.
        ("zG5 z2", "zG- G4 z2|]"),
        ("{^A}!>!B2!slide!d2", "{^A}!>!B2 !slide!d2|]"),
        // An accidental is written again, whether or not a reader lets it hold.
        ("^g4g4|g4^g4", "^g4 ^g4 | g4 ^g4|]"),
    ] {
        assert_eq!(written(music), expected, "{music}");
    }
}

/// Tunes with riffs on any grid, now and then off it, in any metre and key.
pub fn tunes() -> impl Strategy<Value = Tune> {
    let metres = [(4, 4), (3, 4), (12, 8), (6, 8), (2, 2), (5, 4), (3, 8), (9, 8)];
    let metres =
        prop::sample::select(metres.map(|(upper, lower)| Metre::new(upper, lower).unwrap()).to_vec());
    let note = (0_usize..130, 1_usize..40, 0_usize..7, -2_i32..=2, 1_i32..8, 0_u8..6, any::<bool>());
    (
        metres,
        prop::sample::select(Key::all().collect::<Vec<_>>()),
        prop::collection::vec(1_u8..=8, 1..=16),
        prop::collection::vec(note, 0..14),
        -11_i64..40,
        prop_oneof![8 => Just(0_i64), 1 => -50_i64..50],
        "[a-zA-Z%\\\\&♭ ]{0,20}",
    )
        .prop_map(|(metre, key, parts, drawn, start, off, name)| {
            let beat = metre.beat();
            let divisions: Vec<Division> = parts.iter().map(|parts| Division::new(*parts).unwrap()).collect();
            let empty = Riff::from_parts(RiffId(0), String::new(), Ticks::ZERO, beat, divisions, Vec::new());
            let mut riff = riffloom::riff::edit::rename(&empty.unwrap(), &name);
            let steps: Vec<Ticks> = riff.steps().collect();
            for (at, length, step, alter, octave, ornament, accent) in drawn {
                let (at, name) = (at % (steps.len() - 1), NoteName::new(Step::ALL[step], alter));
                let pitch = Pitch { name, octave };
                let ornament = match ornament {
                    0 => Some(Ornament::Scoop),
                    1 => Some(Ornament::Crushed(Pitch { octave: 9 - octave, ..pitch })),
                    _ => None,
                };
                let to = steps[(at + length).min(steps.len() - 1)];
                // Now and then a note that does not lie on the grid.
                let onset = (steps[at] + Ticks(off)).clamp(Ticks::ZERO, riff.length() - Ticks(1));
                let length = (to - onset).max(Ticks(1));
                let note = Note { onset, length, pitch, accent, ornament };
                riff = riffloom::riff::edit::insert(&riff, note).unwrap().riff;
            }
            riff.start = (beat / 2 * start).clamp(Ticks(1) - metre.bar(), beat * 16);
            Tune { riff, key, metre }
        })
}

proptest! {
    #[test]
    fn what_is_written_reads_back_the_same(tune in tunes()) {
        let text = abc::write(&tune, &["100 % of it"]);
        let again = abc::read(&text);
        prop_assert_eq!(again.as_ref(), Ok(&tune), "{}", text);
    }

    #[test]
    fn no_text_makes_the_reader_panic(text in any::<String>()) {
        let _ = abc::read(&text);
        let _ = abc::read(&format!("X:1\nK:G\n{text}"));
    }

    #[test]
    fn no_music_makes_the_reader_panic(music in "[A-Ga-gzxZX0-9/|:\\[\\](){}<>!\"'^_=,.\\-&% KLMV\n]{0,60}", fields in "[MLKVT%]:[A-Ga-g0-9/|# mexp]{0,8}") {
        let text = format!("X:1\nM:12/8\n{fields}\nK:Eb\n{music}");
        if let Ok(tune) = abc::read(&text) {
            let written = abc::write(&tune, &[]);
            prop_assert_eq!(abc::read(&written), Ok(tune), "{}", written);
        }
    }
}
