//! Roles and reasons, against the table in `tests/data/roles.tsv`, which was written out by hand; its sources stand in
//! its head.

use proptest::prelude::*;
use riffloom::form::standard::{self, ChordStyle, FormKind};
use riffloom::form::{Changes, chart};
use riffloom::insight::reasons::{self, Kind};
use riffloom::insight::roles::{self, BlueNote, NoteInsight, Role};
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Note, Riff, RiffId, edit};
use riffloom::theory::instrument::Reading;
use riffloom::theory::interval::Interval;
use riffloom::theory::key::Key;
use riffloom::theory::pitch::Pitch;
use riffloom::theory::scale::ScaleKind;
use riffloom::units::{MidiNote, Ticks};
use riffloom::view::words::note::{About, sentence, to_try};
use riffloom::view::words::over_form;

const TABLE: &str = include_str!("../data/roles.tsv");

/// A riff of two bars from pitch, onset and length in quarters, with `!` behind an accented pitch.
fn riff(text: &str) -> Riff {
    let empty = Riff::empty(RiffId(1), Ticks::QUARTER, 8);
    text.split(',').fold(empty, |riff, note| {
        let words: Vec<&str> = note.split_whitespace().collect();
        let [pitch, onset, length] = words[..] else { panic!("{note}") };
        let quarters = |text: &str| Ticks::from_quarters(text.parse().unwrap()).unwrap();
        let (onset, length) = (quarters(onset), quarters(length));
        let (accent, pitch) = (pitch.ends_with('!'), pitch.trim_end_matches('!').parse().unwrap());
        edit::insert(&riff, Note { onset, length, pitch, accent, ornament: None }).unwrap().riff
    })
}

fn role(insight: &NoteInsight) -> &'static str {
    match insight.role {
        Role::InChord => "in-chord",
        Role::Blue => "blue",
        Role::NextChord => "next-chord",
        Role::Other => "other",
    }
}

fn blue(insight: &NoteInsight) -> &'static str {
    match insight.blue {
        Some(BlueNote::Third) => "third",
        Some(BlueNote::Fifth) => "fifth",
        Some(BlueNote::Seventh) => "seventh",
        None => "-",
    }
}

#[test]
fn every_case_of_the_table_is_as_it_was_written_by_hand() {
    let mut cases = 0;
    let mut wrong = Vec::new();
    for line in TABLE.lines().filter(|line| !line.starts_with('#')) {
        let cells: Vec<&str> = line.split('\t').collect();
        let [key, chords, bar, notes, number, expected @ ..] = &cells[..] else { panic!("{line}") };
        let changes = chart::parse(chords, key.parse().unwrap(), Metre::FOUR_FOUR).unwrap();
        let riff = riff(notes);
        let insights = roles::over(&changes, &riff, bar.parse::<usize>().unwrap() - 1);
        let kinds = reasons::kinds(&changes, &riff, &insights);
        let index = number.parse::<usize>().unwrap() - 1;
        let insight = &insights[index];
        let rubs = insight.rubs.map_or("-".to_owned(), |rub| rub.against.to_string());
        let found = [role(insight), blue(insight), &rubs, kinds[index].name()];
        if found != expected {
            wrong.push(format!("{line}\n  found {found:?}"));
        }
        cases += 1;
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(cases >= 120, "{cases} cases");
}

const ADVICE: &str = include_str!("../data/advice.tsv");

/// What is said of a note, in the words of `tests/data/advice.tsv`.
fn said_of(riff: &Riff, insight: &NoteInsight, kind: &Kind) -> String {
    if let Some(rub) = insight.rubs {
        return format!("try {}", rub.against);
    }
    let name = riff.notes()[insight.note].pitch.name;
    let above = (name.pitch_class() - insight.chord.root.pitch_class()).rem_euclid(12);
    let word = match kind {
        Kind::ChordTone => "chord",
        Kind::Anticipation { .. } => "early",
        Kind::HalfStepApproach { .. } => "approach",
        Kind::Extension => match above {
            2 => "ninth",
            5 => "fourth",
            9 => "sixth",
            _ => "seventh",
        },
        Kind::LeapOutside { .. } | Kind::Outside => match &insight.ahead {
            Some(ahead) if ahead.near => "next",
            _ => "outside",
        },
        other => other.name(),
    };
    word.to_owned()
}

/// The table was written before the rules that it judges; its own rules and sources stand in its head.
#[test]
fn every_note_of_the_advice_table_is_told_what_a_teacher_would_say() {
    let mut cases = 0;
    let mut wrong = Vec::new();
    for line in ADVICE.lines().filter(|line| !line.starts_with('#')) {
        let cells: Vec<&str> = line.split('\t').collect();
        let [key, chords, bar, notes, number, expected] = cells[..] else { panic!("{line}") };
        let changes = chart::parse(chords, key.parse().unwrap(), Metre::FOUR_FOUR).unwrap();
        let riff = riff(notes);
        let insights = roles::over(&changes, &riff, bar.parse::<usize>().unwrap() - 1);
        let kinds = reasons::kinds(&changes, &riff, &insights);
        let index = number.parse::<usize>().unwrap() - 1;
        let found = said_of(&riff, &insights[index], &kinds[index]);
        if found != expected {
            wrong.push(format!("{line}\n  found {found}"));
        }
        cases += 1;
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(cases >= 150, "{cases} cases");
}

fn blues(key: Key, form: FormKind) -> Changes {
    standard::changes(form, key, ChordStyle::Sevenths, Metre::FOUR_FOUR)
}

/// All sentences about a riff begun in a bar, as one text.
fn words(changes: &Changes, riff: &Riff, bar: usize) -> Vec<String> {
    let about = About { riff, reading: Reading::concert(changes.key()) };
    let insights = roles::over(changes, riff, bar);
    let kinds = reasons::kinds(changes, riff, &insights);
    let notes = insights.iter().zip(&kinds).flat_map(|(insight, kind)| {
        [Some(sentence(about, insight, kind)), to_try(about, insight)].into_iter().flatten()
    });
    let all = notes.chain(over_form::sentences(about, changes));
    all.map(|sentence| sentence.head + &sentence.text).collect()
}

#[track_caller]
fn check(notes: &str, bar: usize, expected: &str) {
    let changes = blues("G".parse().unwrap(), FormKind::TwelveQuickChange);
    let riff = riff(notes);
    let words = words(&changes, &riff, bar - 1);
    assert!(words.iter().any(|sentence| sentence == expected), "{words:#?}");
}

/// The first is the sentence that was asked for; the others follow its pattern, worked by hand.
#[test]
fn sentences_begin_with_the_place_in_chord_or_key() {
    check("E4 0 0.5", 1, "E is the sixth over G7, the boogie sound. C7, the next chord, has it.");
    check("E4 0 2", 1, "E is the sixth over G7, sweet even when held. C7, the next chord, has it.");
    check("F4 0 1", 1, "F is the seventh of G7, and a blue note of G.");
    check("G4 0 1", 2, "G is the fifth of C7, and the home note.");
    check(
        "Bb4 0 0.5, B4 0.5 1",
        1,
        "B♭ is the blue third of G. C7, the next chord, has it. It goes on to B.",
    );
    check("A4 0 0.5", 1, "A is the ninth over G7, a sweet note.");
    check("G4 0 0.5, A4 0.5 0.5, B4 1 1", 1, "A is the ninth over G7. It passes from G to B.");
    check("C5 3.5 0.5, C5 4 1", 1, "C comes half a beat early: it is the root of C7.");
    check(
        "B4 3 1, B4 4 0.5",
        1,
        "B is held over from G7. Now it is the third of G, and over C7 a note of the next chord.",
    );
    check("B4 0 1", 2, "B clashes with the B♭ of C7. Try B♭, the chord’s seventh and a blue note.");
    check(
        "C5 0 2, G4 3 1",
        1,
        "C clashes with the B of G7. Let it fall to B or the blue B♭, or play it short.",
    );
    check(
        "G4 0 1, F#4 1 1",
        9,
        "G is the home note over D7. It leans on F♯, a half step below, and settles there.",
    );
    check("G4 0 2", 9, "G is the home note over D7. Keep it, or step down to F♯, the third of the chord.");
    check(
        "G4 0 0.5, Eb5 0.5 0.5",
        1,
        "E♭ is the lowered sixth of G, an outside note over G7. It comes by a leap from G.",
    );
    check("Ab4 0 0.5", 1, "A♭ is a half step above home, an outside note over G7.");
    check("E4 3.5 2", 1, "E comes half a beat early: it is the third of C7.");
    check(
        "F4 3.5 2",
        1,
        "F is the seventh of G7, and a blue note of G. Most of it sounds under C7, where it is the fourth.",
    );
    check(
        "E4 2 0.5, Eb4 2.5 0.5, D4 3 0.5",
        2,
        "E♭ is the lowered sixth of G, an outside note over C7. It passes from E to D.",
    );
    check("D4 0 0.5, E4 0.5 0.5, B4 1 1", 9, "B is the sixth over D7, sweet even when held.");
}

/// C♯ has the sound of D♭, which E♭7 has.
#[test]
fn a_note_that_is_written_otherwise_than_in_the_chord_is_called_by_both_names() {
    let changes = chart::parse("C7 | Eb7", "C".parse().unwrap(), Metre::FOUR_FOUR).unwrap();
    let said = words(&changes, &riff("C#5 0 1"), 1);
    assert_eq!(said[0], "C♯ sounds like D♭, the seventh of E♭7.");
}

/// A riff of two bars comes six times in twelve bars.
#[test]
fn over_the_form_it_says_what_each_chord_is_met_with_and_where_it_rubs() {
    check("D4 0 1, G4 4 1", 1, "At each change you land on D over G7, G over C7, D over D7.");
    check("G4 0 1", 1, "At each change you land on G, over G7, C7 and D7.");
    check("D4 0 1, G4 4 1", 1, "G is where it ends: the fifth of C7; the root of G7; the home note over D7.");
    check(
        "D4 0 1, C5 2 1",
        1,
        "C clashes with the B of G7 in bars 1, 3, 7 and 11. Let it fall to B or the blue B♭, or play it short.",
    );
}

/// Bent notes measured by Cutting, Empirical Musicology Review 13, 2019, doi:10.18061/emr.v13i1-2.6316: thirds at
/// 319.1, fifths at 582.8, sevenths at 1037.9 cents above the home note.
#[test]
fn bent_notes_between_lowered_and_natural_are_blue() {
    use riffloom::units::Cents;
    let major: Key = "C".parse().unwrap();
    for (cents, expected) in [
        (319.1, Some(BlueNote::Third)),
        (582.8, Some(BlueNote::Fifth)),
        (1037.9, Some(BlueNote::Seventh)),
        (300.0, Some(BlueNote::Third)),
        (350.0, Some(BlueNote::Third)),
        (400.0, None),
        (700.0, None),
        (200.0, None),
        (1100.0, None),
        (0.0, None),
        (-881.0, Some(BlueNote::Third)),
    ] {
        assert_eq!(BlueNote::of_bent(Cents(cents), major), expected, "{cents}");
    }
    assert_eq!(BlueNote::of_bent(Cents(319.1), "Am".parse().unwrap()), None);
    assert_eq!(BlueNote::of_bent(Cents(f64::NAN), major), None);
}

fn riffs() -> impl Strategy<Value = Riff> {
    let note = (0_i64..16, 1_i64..6, 48_i32..84, any::<bool>());
    (prop::collection::vec(note, 1..8), -4_i64..4).prop_map(|(notes, start)| {
        let half = Ticks::QUARTER / 2;
        let riff = notes.into_iter().fold(
            Riff::empty(RiffId(1), Ticks::QUARTER, 8),
            |riff, (at, length, sound, accent)| {
                let pitch = spelled(sound);
                let note = Note { onset: half * at, length: half * length, pitch, accent, ornament: None };
                edit::insert(&riff, note).unwrap().riff
            },
        );
        edit::begin_at(&riff, half * start).unwrap()
    })
}

fn spelled(sound: i32) -> Pitch {
    let midi = MidiNote::new(sound).unwrap();
    let names = ScaleKind::Chromatic.notes("C".parse().unwrap());
    names.into_iter().find_map(|name| Pitch::of_name(name, midi)).unwrap()
}

fn moved(riff: &Riff, by: Interval) -> Riff {
    riff.notes()
        .iter()
        .enumerate()
        .fold(riff.clone(), |moved, (index, note)| edit::repitch(&moved, index, note.pitch.up(by)).unwrap())
}

/// What a note is, without names.
fn bare(changes: &Changes, riff: &Riff, bar: usize) -> Vec<(Role, Option<BlueNote>, bool, &'static str)> {
    let insights = roles::over(changes, riff, bar);
    let kinds: Vec<Kind> = reasons::kinds(changes, riff, &insights);
    let one = |(insight, kind): (&NoteInsight, &Kind)| {
        (insight.role, insight.blue, insight.rubs.is_some(), kind.name())
    };
    insights.iter().zip(&kinds).map(one).collect()
}

/// Every note name taken out, so that sentences in two keys can be compared.
fn without_names(sentence: &str) -> String {
    let mut rest = String::new();
    for word in sentence.split_inclusive(' ') {
        let letters = word.trim_end_matches([' ', '.', ',', ';', ':']);
        let is_name = letters.starts_with(|c: char| ('A'..='G').contains(&c))
            && letters.chars().skip(1).all(|c| "♭♯𝄫𝄪7m".contains(c));
        let end = &word[letters.len()..];
        rest.push_str(if is_name { "*" } else { letters });
        rest.push_str(end);
    }
    rest
}

proptest! {
    #[test]
    fn roles_do_not_depend_on_the_octave(
        riff in riffs(),
        fifths in -7_i32..=7,
        form in prop::sample::select(FormKind::all().collect::<Vec<_>>()),
        bar in 0_usize..8,
    ) {
        let changes = blues(Key::of_signature(fifths, riffloom::theory::key::Mode::Major), form);
        prop_assert_eq!(bare(&changes, &moved(&riff, Interval::OCTAVE), bar), bare(&changes, &riff, bar));
    }

    #[test]
    fn transposing_tune_and_riff_changes_no_role_and_no_sentence_but_its_names(
        riff in riffs(),
        fifths in -3_i32..=3,
        form in prop::sample::select(FormKind::all().collect::<Vec<_>>()),
        bar in 0_usize..8,
        by in prop::sample::select(vec![Interval::MAJOR_SECOND, Interval::PERFECT_FIFTH, -Interval::MINOR_THIRD]),
    ) {
        let changes = blues(Key::of_signature(fifths, riffloom::theory::key::Mode::Major), form);
        let (up, there) = (moved(&riff, by), changes.up(by));
        prop_assert_eq!(there.key().tonic(), changes.key().tonic().up(by));
        prop_assert_eq!(bare(&there, &up, bar), bare(&changes, &riff, bar));
        let here: Vec<String> = words(&changes, &riff, bar).iter().map(|words| without_names(words)).collect();
        let there: Vec<String> = words(&there, &up, bar).iter().map(|words| without_names(words)).collect();
        prop_assert_eq!(here, there);
    }
}

/// The lowered third and seventh of a minor key are its own over every chord: no teacher calls them outside.
#[test]
fn the_notes_of_a_minor_key_are_never_outside() {
    let changes = blues("Gm".parse().unwrap(), FormKind::TwelveMinor);
    for (notes, expected) in [
        ("Bb4 0 1", "B♭ is the third of G, a note of the key. Cm7, the next chord, has it."),
        ("F4 0 1", "F is the seventh of G, a note of the key."),
    ] {
        let said = words(&changes, &riff(notes), 8);
        assert_eq!(said[0], expected, "{said:#?}");
    }
}

/// Words and shapes are one: what is called an outside note is drawn as one, and what is drawn as coming next comes within
/// a bar.
#[test]
fn what_is_called_outside_is_drawn_outside() {
    let mut outside = 0;
    for (kind, key) in [(FormKind::Twelve, "G"), (FormKind::TwelveJazz, "F"), (FormKind::TwelveMinor, "Em")] {
        let key: Key = key.parse().unwrap();
        let changes = standard::changes(kind, key, ChordStyle::Sevenths, Metre::FOUR_FOUR);
        for pitch in ["C4", "Db4", "D4", "Eb4", "E4", "F4", "F#4", "G4", "Ab4", "A4", "Bb4", "B4"] {
            let riff = riff(&format!("{pitch} 0 1"));
            let about = About { riff: &riff, reading: Reading::concert(key) };
            for bar in 0..12 {
                let insights = roles::over(&changes, &riff, bar);
                let kinds = reasons::kinds(&changes, &riff, &insights);
                let text = sentence(about, &insights[0], &kinds[0]).text;
                let told = insights[0].told();
                let is_outside = text.contains("outside note");
                assert!(!is_outside || told == Role::Other, "{pitch} in bar {}: {told:?}, {text}", bar + 1);
                let near = insights[0].ahead.as_ref().is_some_and(|ahead| ahead.near);
                assert!(told != Role::NextChord || near, "{pitch} in bar {}", bar + 1);
                outside += usize::from(is_outside);
            }
        }
    }
    assert!(outside > 20, "{outside}");
}
