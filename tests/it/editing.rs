//! Editing a riff step by step. Expected values are worked by hand from the documentation of each edit.

use proptest::prelude::*;
use riffloom::rhythm::grid::Division;
use riffloom::riff::edit::{self, Error};
use riffloom::riff::{Note, Ornament, Riff, RiffId};
use riffloom::theory::pitch::{Pitch, Step};
use riffloom::units::Ticks;

/// Hundredths of a quarter, so that places read easily: 50 is half a beat.
fn ticks(hundredths: i64) -> Ticks {
    Ticks(hundredths * Ticks::PER_QUARTER / 100)
}

fn note(pitch: &str, onset: i64, length: i64) -> Note {
    let pitch = pitch.parse().unwrap();
    Note { onset: ticks(onset), length: ticks(length), pitch, accent: false, ornament: None }
}

/// A riff of four beats in halves.
fn riff(notes: &[(&str, i64, i64)]) -> Riff {
    notes.iter().fold(Riff::empty(RiffId(7), Ticks::QUARTER, 4), |riff, (pitch, onset, length)| {
        edit::insert(&riff, note(pitch, *onset, *length)).unwrap().riff
    })
}

/// Pitch, onset and length of every note, in hundredths of a quarter.
#[track_caller]
fn check(riff: &Riff, expected: &[(&str, i64, i64)]) {
    let found: Vec<_> = riff.notes().iter().map(|n| (n.pitch.to_string(), n.onset, n.length)).collect();
    let expected: Vec<_> =
        expected.iter().map(|(pitch, on, len)| (pitch.to_string(), ticks(*on), ticks(*len))).collect();
    assert_eq!(found, expected);
}

#[test]
fn a_new_note_shortens_what_sounds_and_replaces_what_begins() {
    let before = riff(&[("G4", 0, 200), ("D4", 200, 50), ("E4", 250, 100)]);
    let placed = edit::insert(&before, note("C4", 150, 100)).unwrap();
    assert_eq!(placed.index, 1);
    check(&placed.riff, &[("G4", 0, 150), ("C4", 150, 100), ("E4", 250, 100)]);
    let at_the_end = edit::insert(&before, note("C4", 350, 100)).unwrap();
    check(&at_the_end.riff, &[("G4", 0, 200), ("D4", 200, 50), ("E4", 250, 100), ("C4", 350, 50)]);
}

#[test]
fn what_cannot_be_done_says_why() {
    let before = riff(&[("G4", 0, 100)]);
    let outside = Error::OutsideRiff { at: ticks(400), length: ticks(400) };
    assert_eq!(edit::insert(&before, note("G4", 400, 50)), Err(outside));
    assert_eq!(edit::insert(&before, note("G4", 100, 0)), Err(Error::NoLength));
    assert!(matches!(edit::insert(&before, note("A9", 100, 50)), Err(Error::PitchOutOfRange { .. })));
    assert_eq!(edit::remove(&before, 1), Err(Error::NoSuchNote { index: 1, notes: 1 }));
    assert_eq!(edit::divide(&before, 4, Division::THIRDS), Err(Error::NoSuchBeat { beat: 4, beats: 4 }));
    assert_eq!(edit::resize(&before, 17), Err(Error::BeatsOutOfRange { beats: 17 }));
    assert!(matches!(edit::begin_at(&before, ticks(1601)), Err(Error::StartOutOfRange)));
}

#[test]
fn a_note_grows_up_to_the_next_and_shrinks_to_one_step() {
    let before = riff(&[("G4", 0, 50), ("D4", 150, 50)]);
    check(&edit::lengthen(&before, 0, 1).unwrap(), &[("G4", 0, 100), ("D4", 150, 50)]);
    let full = edit::lengthen(&before, 0, 9).unwrap();
    check(&full, &[("G4", 0, 150), ("D4", 150, 50)]);
    assert_eq!(edit::lengthen(&full, 0, 1), Err(Error::NoRoom));
    check(&edit::lengthen(&full, 0, -9).unwrap(), &[("G4", 0, 50), ("D4", 150, 50)]);
    assert_eq!(edit::lengthen(&before, 0, -1), Err(Error::Shortest));
    check(&edit::end_at(&before, 0, ticks(110)).unwrap(), &[("G4", 0, 100), ("D4", 150, 50)]);
    check(&edit::end_at(&before, 0, ticks(-90)).unwrap(), &[("G4", 0, 50), ("D4", 150, 50)]);
}

#[test]
fn a_note_grows_by_the_step_of_the_beat_it_ends_in() {
    let thirds = edit::divide(&riff(&[("G4", 0, 100)]), 1, Division::THIRDS).unwrap();
    let longer = edit::lengthen(&thirds, 0, 1).unwrap();
    assert_eq!(longer.notes()[0].end(), Ticks::QUARTER * 4 / 3);
}

#[test]
fn a_note_moves_by_steps_and_exchanges_places_with_a_neighbour() {
    let before = riff(&[("G4", 0, 100), ("D4", 100, 50)]);
    let later = edit::shift(&before, 0, 1).unwrap();
    check(&later.riff, &[("G4", 50, 50), ("D4", 100, 50)]);
    let past = edit::shift(&before, 0, 2).unwrap();
    assert_eq!(past.index, 1);
    check(&past.riff, &[("D4", 50, 50), ("G4", 100, 50)]);
    let earlier = edit::shift(&before, 1, -1).unwrap();
    check(&earlier.riff, &[("G4", 0, 50), ("D4", 50, 50)]);
    assert_eq!(edit::shift(&before, 0, -1), Err(Error::Edge));
    check(&edit::shift(&before, 1, 100).unwrap().riff, &[("G4", 0, 100), ("D4", 350, 50)]);
}

#[test]
fn a_dragged_note_passes_its_neighbours_and_loses_none() {
    let before = riff(&[("G4", 0, 50), ("D4", 100, 100), ("E4", 200, 50)]);
    let placed = edit::place(&before, 0, ticks(160)).unwrap();
    assert_eq!(placed.index, 1);
    check(&placed.riff, &[("D4", 100, 50), ("G4", 150, 50), ("E4", 200, 50)]);
    let last = edit::place(&before, 0, ticks(9000)).unwrap();
    check(&last.riff, &[("D4", 100, 100), ("E4", 200, 50), ("G4", 350, 50)]);
}

#[test]
fn a_crushed_note_moves_with_its_note() {
    let before = edit::ornament(&riff(&[("B4", 0, 50)]), 0, Some(Ornament::Crushed("Bb4".parse().unwrap())));
    let after = edit::repitch(&before.unwrap(), 0, "E4".parse().unwrap()).unwrap();
    assert_eq!(after.notes()[0].ornament, Some(Ornament::Crushed("Eb4".parse().unwrap())));
}

#[test]
fn a_beat_divided_anew_keeps_its_notes_in_it_and_in_order() {
    let before = riff(&[("G4", 0, 50), ("D4", 50, 50), ("E4", 100, 100)]);
    let thirds = edit::divide(&before, 0, Division::THIRDS).unwrap();
    let third = |parts: i64| Ticks(parts * Ticks::PER_QUARTER / 3);
    let places: Vec<_> = thirds.notes().iter().map(|note| (note.onset, note.end())).collect();
    let expected = [(third(0), third(2)), (third(2), third(3)), (ticks(100), ticks(200))];
    assert_eq!(places, expected, "half a beat lies between two thirds and goes to the later");
    let one = Division::new(1).unwrap();
    assert_eq!(edit::divide(&before, 0, one), Err(Error::TooManyNotes { notes: 2, parts: 1 }));
    let halves = edit::divide(&thirds, 0, Division::HALVES).unwrap();
    check(&halves, &[("G4", 0, 50), ("D4", 50, 50), ("E4", 100, 100)]);
}

#[test]
fn notes_that_want_the_same_new_step_share_out_the_beat() {
    let empty = edit::divide(&riff(&[]), 0, Division::QUARTERS).unwrap();
    let three = [("A4", 25), ("B4", 50), ("C5", 75)]
        .iter()
        .fold(empty, |riff, (pitch, onset)| edit::insert(&riff, note(pitch, *onset, 25)).unwrap().riff);
    let thirds = edit::divide(&three, 0, Division::THIRDS).unwrap();
    let onsets: Vec<i64> = thirds.notes().iter().map(|note| note.onset.0 * 3 / Ticks::PER_QUARTER).collect();
    assert_eq!(onsets, [0, 1, 2]);
}

#[test]
fn a_shorter_riff_says_how_many_notes_are_gone() {
    let before = riff(&[("G4", 0, 50), ("D4", 50, 100), ("E4", 200, 100), ("C4", 300, 100)]);
    let after = edit::resize(&before, 1).unwrap();
    assert_eq!(after.dropped, 2);
    check(&after.riff, &[("G4", 0, 50), ("D4", 50, 50)]);
    assert_eq!(edit::resize(&before, 6).unwrap().riff.divisions(), [Division::HALVES; 6]);
}

#[test]
fn a_name_is_one_short_line() {
    let named = |name: &str| edit::rename(&riff(&[]), name).name;
    assert_eq!(named("  Porch\u{7} light\n"), "Porch light");
    assert_eq!(named("\u{202e}thgil"), "thgil");
    assert_eq!(named(&"é".repeat(70)), "é".repeat(60));
    assert_eq!(named("\r\n\t"), "");
}

/// One edit, with any numbers.
#[derive(Clone, Debug)]
enum Edit {
    Insert { onset: i64, length: i64, midi: i32 },
    Silence { from: i64, length: i64 },
    Remove(usize),
    Lengthen(usize, i32),
    EndAt(usize, i64),
    Shift(usize, i32),
    Place(usize, i64),
    Repitch(usize, i32),
    Accent(usize),
    Crush(usize, i32),
    Divide(usize, u8),
    Resize(usize),
    BeginAt(i64),
}

fn edits() -> impl Strategy<Value = Edit> {
    // Mostly places on a fine grid inside the riff, now and then anything at all.
    let place = || prop_oneof![9 => (-4_i64..200).prop_map(|n| n * 840), 1 => any::<i64>()];
    let midi = || prop_oneof![9 => 40_i32..90, 1 => -3_i32..140];
    let index = || 0_usize..12;
    let steps = || prop_oneof![9 => -5_i32..=5, 1 => any::<i32>()];
    prop_oneof![
        8 => (place(), place(), midi()).prop_map(|(onset, length, midi)| Edit::Insert { onset, length, midi }),
        8 => (0..32_i64, 1..5_i64, midi())
            .prop_map(|(at, parts, midi)| Edit::Insert { onset: at * 2520, length: parts * 2520, midi }),
        1 => (place(), place()).prop_map(|(from, length)| Edit::Silence { from, length }),
        1 => index().prop_map(Edit::Remove),
        2 => (index(), steps()).prop_map(|(index, steps)| Edit::Lengthen(index, steps)),
        2 => (index(), place()).prop_map(|(index, at)| Edit::EndAt(index, at)),
        4 => (index(), steps()).prop_map(|(index, steps)| Edit::Shift(index, steps)),
        4 => (index(), place()).prop_map(|(index, at)| Edit::Place(index, at)),
        1 => (index(), midi()).prop_map(|(index, midi)| Edit::Repitch(index, midi)),
        1 => index().prop_map(Edit::Accent),
        1 => (index(), midi()).prop_map(|(index, midi)| Edit::Crush(index, midi)),
        4 => (0_usize..18, 1_u8..=8).prop_map(|(beat, parts)| Edit::Divide(beat, parts)),
        2 => (0_usize..18).prop_map(Edit::Resize),
        1 => place().prop_map(Edit::BeginAt),
    ]
}

fn pitch(midi: i32) -> Pitch {
    Pitch::new(Step::C, midi.rem_euclid(12) % 4, midi.div_euclid(12) - 1)
}

fn apply(riff: &Riff, edit: &Edit) -> Result<Riff, Error> {
    match *edit {
        Edit::Insert { onset, length, midi } => {
            let (onset, length) = (Ticks(onset), Ticks(length));
            let note = Note { onset, length, pitch: pitch(midi), accent: false, ornament: None };
            edit::insert(riff, note).map(|placed| placed.riff)
        }
        Edit::Silence { from, length } => edit::silence(riff, Ticks(from), Ticks(length)),
        Edit::Remove(index) => edit::remove(riff, index),
        Edit::Lengthen(index, steps) => edit::lengthen(riff, index, steps),
        Edit::EndAt(index, at) => edit::end_at(riff, index, Ticks(at)),
        Edit::Shift(index, steps) => edit::shift(riff, index, steps).map(|placed| placed.riff),
        Edit::Place(index, at) => edit::place(riff, index, Ticks(at)).map(|placed| placed.riff),
        Edit::Repitch(index, midi) => edit::repitch(riff, index, pitch(midi)),
        Edit::Accent(index) => edit::toggle_accent(riff, index),
        Edit::Crush(index, midi) => edit::ornament(riff, index, Some(Ornament::Crushed(pitch(midi)))),
        Edit::Divide(beat, parts) => edit::divide(riff, beat, Division::new(parts).unwrap()),
        Edit::Resize(beats) => edit::resize(riff, beats).map(|resized| resized.riff),
        Edit::BeginAt(start) => edit::begin_at(riff, Ticks(start)),
    }
}

/// Whether an edit may take no note away.
fn keeps_all_notes(edit: &Edit) -> bool {
    !matches!(edit, Edit::Insert { .. } | Edit::Silence { .. } | Edit::Remove(_) | Edit::Resize(_))
}

fn is_sound(riff: &Riff) -> bool {
    let (name, divisions, notes) = (riff.name.clone(), riff.divisions().to_vec(), riff.notes().to_vec());
    Riff::from_parts(riff.id, name, riff.start, riff.beat(), divisions, notes).is_some()
}

/// Whether every note that begins in `beat` begins on one of its steps.
fn is_on_grid(riff: &Riff, beat: usize) -> bool {
    let start = riff.beat() * beat as i64;
    let step = riff.divisions()[beat].step(riff.beat());
    let inside = riff.notes().iter().map(|note| note.onset - start);
    inside.filter(|at| (Ticks::ZERO..riff.beat()).contains(at)).all(|at| at.rem_floor(step) == Ticks::ZERO)
}

proptest! {
    #[test]
    fn no_sequence_of_edits_breaks_a_riff(
        compound in any::<bool>(),
        sequence in prop::collection::vec(edits(), 1..60),
    ) {
        let beat = if compound { Ticks::QUARTER * 3 / 2 } else { Ticks::QUARTER };
        let mut riff = Riff::empty(RiffId(1), beat, 5);
        for edit in &sequence {
            let Ok(after) = apply(&riff, edit) else { continue };
            prop_assert!(is_sound(&after), "{edit:?} broke {riff:?}");
            if keeps_all_notes(edit) {
                prop_assert_eq!(after.notes().len(), riff.notes().len(), "{:?}", edit);
            }
            if let Edit::Divide(beat, _) = edit {
                prop_assert!(is_on_grid(&after, *beat), "{edit:?} left a note off the grid");
            }
            riff = after;
        }
    }

    #[test]
    fn any_text_becomes_a_short_name_and_stays_it(name in any::<String>()) {
        let named = |name: &str| edit::rename(&Riff::empty(RiffId(1), Ticks::QUARTER, 1), name).name;
        let clean = named(&name);
        prop_assert!(clean.chars().count() <= edit::LONGEST_NAME && !clean.chars().any(char::is_control));
        prop_assert_eq!(named(&clean), clean);
    }

    /// Notes with any numbers are refused or hold; adding them up never overflows.
    #[test]
    fn parts_with_any_numbers_are_refused_or_sound(onset in any::<i64>(), length in any::<i64>(), beat in any::<i64>()) {
        let note = Note { onset: Ticks(onset), length: Ticks(length), pitch: pitch(60), accent: false, ornament: None };
        let parts = |beat| Riff::from_parts(RiffId(1), String::new(), Ticks::ZERO, beat, vec![Division::HALVES; 4], vec![note.clone(), note.clone()]);
        prop_assert!(parts(Ticks::QUARTER).is_none() && parts(Ticks(beat)).is_none());
    }
}
