//! A thousand seeds of the band: the bass leads on and repeats no bar, the chords keep out of the riff's way.

use std::rc::Rc;

use riffloom::band::settings::{Arrangement, BassStyle, Busyness, CompStyle};
use riffloom::form::standard::{ChordStyle, FormKind, changes};
use riffloom::perform::{Event, Part, Parts, Score};
use riffloom::rhythm::feel::SwingRatio;
use riffloom::rhythm::grid::Division;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Note, Riff, RiffId};
use riffloom::units::Ticks;
use riffloom::units::percussion::Percussion;

/// Onset in eighths, length in eighths, pitch, accent.
type Written = (i64, i64, &'static str, bool);

fn riff(beats: usize, written: &[Written]) -> Rc<Riff> {
    let eighth = Ticks::PER_QUARTER / 2;
    let notes = written.iter().map(|(onset, length, pitch, accent)| Note {
        onset: Ticks(onset * eighth),
        length: Ticks(length * eighth),
        pitch: pitch.parse().unwrap(),
        accent: *accent,
        ornament: None,
    });
    let divisions = vec![Division::HALVES; beats];
    let name = String::new();
    Rc::new(
        Riff::from_parts(RiffId(1), name, Ticks::ZERO, Ticks::QUARTER, divisions, notes.collect()).unwrap(),
    )
}

const QUARTERS: [Written; 4] =
    [(0, 2, "G4", false), (2, 2, "Bb4", false), (4, 2, "C5", false), (6, 2, "D5", false)];

/// A phrase of eighths with a leap, a repeated note and a rest.
const PHRASE: [Written; 8] = [
    (0, 1, "G4", false),
    (1, 1, "Bb4", false),
    (2, 1, "C5", true),
    (3, 1, "C5", false),
    (4, 2, "D5", false),
    (6, 1, "Bb4", false),
    (7, 1, "G4", false),
    (10, 4, "F4", false),
];

fn numbers(events: &[Event], part: Part) -> Vec<(Ticks, i32)> {
    let chosen = events.iter().filter(|event| event.part == part);
    let mut numbers: Vec<(Ticks, i32)> =
        chosen.map(|event| (event.at.since_start(), i32::from(event.midi.number()))).collect();
    numbers.sort_unstable();
    numbers
}

fn arranged(kind: FormKind, key: &str, seed: u32, riff: Option<Rc<Riff>>) -> Score {
    let changes = changes(kind, key.parse().unwrap(), ChordStyle::Sevenths, Metre::FOUR_FOUR);
    let mut score = Score::new(changes.into(), riff, SwingRatio::TRIPLET, Parts::of(&Part::ALL));
    let busyness = Busyness::NAMES[seed as usize % 3].0;
    let comp = CompStyle::NAMES[seed as usize / 3 % 2].0;
    score.arrangement =
        Arrangement { seed, busyness, comp, bass: Some(BassStyle::Walking), ..Arrangement::default() };
    score
}

const KEYS: [&str; 12] = ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"];

/// Common practice, no source: a walking bass leads into what follows by a step or a half step, and no bar comes again
/// while the one before it, or the one before that, is still in the ear.
#[test]
fn a_walking_bass_leads_on_and_repeats_no_bar() {
    let kinds: Vec<FormKind> = FormKind::all().collect();
    for seed in 0..1000_u32 {
        let (kind, key) = (kinds[seed as usize % kinds.len()], KEYS[seed as usize % 12]);
        let mut score = arranged(kind, key, seed, None);
        score.parts = Parts::of(&[Part::Bass]);
        if seed % 5 == 0 {
            score.looped = 0..1;
        }
        let bars = score.changes.bars().len();
        let notes = numbers(&score.events(0.0, 4.0 * 26.0), Part::Bass);
        let whole = Ticks::quarters(4);
        let bar = |number: i64| -> Vec<(Ticks, i32)> {
            let within = notes.iter().filter(|(at, _)| at.div_floor(whole) == number);
            within.map(|(at, midi)| (at.rem_floor(whole), *midi)).collect()
        };
        for number in 0..24 {
            assert!(!bar(number).is_empty(), "{kind:?} in {key}, seed {seed}, bar {number}");
            for later in [1, 2] {
                assert_ne!(
                    bar(number),
                    bar(number + later),
                    "{kind:?} in {key} of {bars}, seed {seed}, bar {number}"
                );
            }
            let (last, next) = (bar(number).last().unwrap().1, bar(number + 1)[0].1);
            assert!((1..=2).contains(&(last - next).abs()), "{kind:?} in {key}, seed {seed}, bar {number}");
        }
    }
}

/// Common practice, no source: nothing of the chords is struck together with the riff or lies above it, and no voice moves
/// further than a third.
#[test]
fn chords_keep_out_of_the_riffs_way_whatever_the_seed() {
    let eighths: Vec<Written> = (0..8).map(|at| (at, 1, "D5", false)).collect();
    let riffs = [riff(8, &PHRASE), riff(4, &QUARTERS), riff(4, &eighths), riff(8, &[(3, 5, "Bb4", true)])];
    let kinds: Vec<FormKind> = FormKind::all().collect();
    for seed in 0..1000_u32 {
        let riff = &riffs[seed as usize % riffs.len()];
        let (kind, key) = (kinds[seed as usize % kinds.len()], KEYS[seed as usize % 12]);
        let score = arranged(kind, key, seed, Some(Rc::clone(riff)));
        let events = score.events(0.0, 48.0);
        let (comp, solo) = (numbers(&events, Part::Comp), numbers(&events, Part::Solo));
        let lowest = solo.iter().map(|(_, midi)| *midi).min().unwrap();
        for (at, midi) in &comp {
            assert!(solo.iter().all(|(other, _)| other != at), "{kind:?} in {key}, seed {seed}, {at:?}");
            // The riffs here leave the chords their octave from D3 on; what lies lower must share it.
            assert!(*midi < lowest.max(67), "{kind:?} in {key}, seed {seed}: {midi} under {lowest}");
        }
        let mut before: Option<Vec<i32>> = None;
        for chord in comp.chunk_by(|a, b| a.0 == b.0) {
            let voices: Vec<i32> = chord.iter().map(|(_, midi)| *midi).collect();
            for (a, b) in before.iter().flatten().zip(&voices) {
                assert!((a - b).abs() <= 4, "{kind:?} in {key}, seed {seed}: {before:?} {voices:?}");
            }
            before = Some(voices);
        }
    }
}

/// The end is announced by the longest fill, a bar before it (common practice, no source).
#[test]
fn the_drums_announce_the_end() {
    let mut score = arranged(FormKind::Twelve, "G", 2, None);
    let fill = |score: &Score, bar: f64| {
        let toms = [Percussion::HighTom.midi(), Percussion::LowTom.midi()];
        let within = score.events(4.0 * bar, 4.0 * bar + 4.0);
        within.iter().filter(|event| event.part == Part::Drums && toms.contains(&event.midi)).count()
    };
    assert_eq!(fill(&score, 10.0), 0);
    score.times = Some(1);
    assert!(fill(&score, 10.0) >= 3);
    assert_eq!(fill(&score, 11.0), 0);
}
