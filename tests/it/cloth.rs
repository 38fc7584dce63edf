//! Strips of cloth: what is woven where, worked by hand; and that the same music looks the same.

use riffloom::chorus::course::Course;
use riffloom::chorus::placement::{Placement, place};
use riffloom::form::Changes;
use riffloom::form::standard::{self, ChordStyle, FormKind};
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Note, Riff, RiffId, edit};
use riffloom::theory::key::Key;
use riffloom::theory::pitch::Pitch;
use riffloom::units::Ticks;
use riffloom::view::cloth::{of_chorus, of_riff};
use riffloom::view::model::{ClothView, RoleName};

fn twelve(key: &str) -> Changes {
    let key: Key = key.parse().unwrap();
    standard::changes(FormKind::Twelve, key, ChordStyle::Sevenths, Metre::FOUR_FOUR)
}

/// Names, with onset and length in half beats and whether it is accented.
fn riff(beats: usize, notes: &[(&str, i64, i64, bool)]) -> Riff {
    let half = Ticks::QUARTER / 2;
    notes.iter().fold(Riff::empty(RiffId(3), Ticks::QUARTER, beats), |riff, (name, onset, length, accent)| {
        let pitch: Pitch = name.parse().unwrap();
        let note =
            Note { onset: half * *onset, length: half * *length, pitch, accent: *accent, ornament: None };
        edit::insert(&riff, note).unwrap().riff
    })
}

/// Eighth of a beat by eighth: a letter for the role where the thread is seen, a point where it runs below, a blank
/// where there is none.
fn drawn(cloth: &ClothView) -> Vec<String> {
    let width = cloth.beats * 8;
    let mut rows = vec![vec![' '; width]; cloth.rows];
    for thread in &cloth.threads {
        let letter = match (thread.over, thread.role, thread.thick) {
            (false, _, _) => '.',
            (_, RoleName::InChord, false) => 'c',
            (_, RoleName::InChord, true) => 'C',
            (_, RoleName::Blue, _) => 'b',
            (_, RoleName::NextChord, _) => 'n',
            (_, RoleName::Other, _) => 'o',
        };
        let middle = |cell: usize| (cell as f64 + 0.5) / width as f64;
        for cell in (0..width).filter(|cell| (thread.from..thread.to).contains(&middle(*cell))) {
            assert_eq!(rows[thread.row][cell], ' ', "two pieces of a row overlap");
            rows[thread.row][cell] = letter;
        }
    }
    rows.into_iter().map(|row| row.into_iter().collect()).collect()
}

/// G on beat 1, B♭ on the & of 1 held across beat 2, D accented on beat 4, over G7. Of thirteen rows, the
/// highest first, each note has three; the octave around them begins 2 half steps below G: D is 3 half steps below its
/// top, so from row 3 × 10 / 12, rounded: 3; B♭ from row 6, G from row 8. B♭ is tied down at beat 2 for a quarter of a beat.
#[test]
fn a_riff_is_woven_from_its_rhythm_and_roles() {
    let riff = riff(4, &[("G4", 0, 1, false), ("Bb4", 1, 2, false), ("D5", 6, 2, true)]);
    let cloth = of_riff(&twelve("G"), &riff, 0);
    assert_eq!(
        drawn(&cloth),
        [
            "                                ",
            "                                ",
            "                                ",
            "........................CCCCCCCC",
            "........................CCCCCCCC",
            "........................CCCCCCCC",
            "....bbb..bbb....................",
            "....bbb..bbb....................",
            "ccccbbb..bbb....................",
            "cccc............................",
            "cccc............................",
            "                                ",
            "                                ",
        ]
    );
    // The tie is half before the beat and half after it.
    let tie =
        cloth.threads.iter().find(|thread| !thread.over && thread.row == 7 && thread.from > 0.2).unwrap();
    assert!((tie.from * 4.0 - 0.875).abs() < 1e-9 && (tie.to * 4.0 - 1.125).abs() < 1e-9, "{tie:?}");
}

#[test]
fn the_same_music_is_the_same_cloth_in_every_key_and_under_any_name() {
    let notes = [("G4", 0, 1, false), ("Bb4", 1, 2, false), ("D5", 6, 2, true)];
    let one = of_riff(&twelve("G"), &riff(4, &notes), 0);
    let moved = [("A4", 0, 1, false), ("C5", 1, 2, false), ("E5", 6, 2, true)];
    let mut other = riff(4, &moved);
    other.name = "Salt wind".to_owned();
    other.id = RiffId(99);
    assert_eq!(of_riff(&twelve("A"), &other, 0), one);
    // Another rhythm, or another chord, is another cloth.
    let later = [("G4", 0, 1, false), ("Bb4", 2, 2, false), ("D5", 6, 2, true)];
    assert_ne!(of_riff(&twelve("G"), &riff(4, &later), 0), one);
    assert_ne!(of_riff(&twelve("G"), &riff(4, &notes), 4), one);
}

/// Threads run from end to end.
#[test]
fn a_chorus_is_woven_from_end_to_end() {
    let course = Course::new(twelve("G"), 1);
    let riffs = [riff(4, &[("G4", 0, 1, false), ("Bb4", 1, 2, false), ("D5", 6, 2, false)])];
    let bars = [0, 4, 8];
    let placed = bars.map(|bar| {
        let placement = Placement { at: course.bar_start(bar), riff: 0, changes: Vec::new() };
        place(&riffs, &course, &placement).unwrap()
    });
    let cloth = of_chorus(&course, &placed);
    assert_eq!((cloth.rows, cloth.beats), (13, 48));
    for row in 3..11 {
        let mut own: Vec<_> = cloth.threads.iter().filter(|thread| thread.row == row).collect();
        own.sort_by(|one, other| one.from.total_cmp(&other.from));
        assert!(own[0].from == 0.0 && own[own.len() - 1].to == 1.0);
        assert!(own.windows(2).all(|two| two[0].to == two[1].from), "{row}");
    }
    assert!(of_chorus(&course, &[]).threads.is_empty());
}
