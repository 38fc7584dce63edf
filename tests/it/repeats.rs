//! Whether the band and the riff repeat themselves or get in each other's way, counted over seeds.
//!
//! `examples/breathing.rs` prints the same counts over a thousand seeds.

use std::rc::Rc;

use riffloom::band::dice::Dice;
use riffloom::band::settings::{Arrangement, Busyness, CompStyle};
use riffloom::form::standard::{ChordStyle, FormKind, changes};
use riffloom::perform::planner::{Planned, Planner};
use riffloom::perform::{Event, Part, Parts, Score};
use riffloom::rhythm::feel::SwingRatio;
use riffloom::rhythm::grid::Division;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Note, Riff, RiffId};
use riffloom::theory::key::Key;
use riffloom::units::{AudioTime, MidiNote, QuartersPerMinute, ScoreTime, Ticks};

/// What was looked at, and how much of it is not as it should be.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Notes of the riff that come again at the pitch of the one before.
    pub repeated: usize,
    /// Of them, those with the same samples, since they are the same take.
    pub same_samples: usize,
    /// Notes of chords.
    pub chords: usize,
    /// Of them, those struck together with a note of the riff.
    pub together: usize,
    /// Of them, those that lie among the notes of a riff that has nothing below the C above middle C.
    pub among_high: usize,
    /// The same of riffs that go lower, where chords have not always room.
    pub among_low: usize,
    /// Bars of the walking bass.
    pub bars: usize,
    /// Of them, those with the notes of one of the two bars before.
    pub repeated_bars: usize,
}

/// Two choruses, enough that the form comes round to its beginning.
const BARS: i64 = 24;

/// The counts over the band's first `seeds` seeds: each has a riff of two bars of its own, made up by chance, and takes its
/// turn in key, busyness and the way in which chords are played.
pub fn counts(seeds: u32) -> Counts {
    let mut counts = Counts::default();
    for seed in 0..seeds {
        let score = score(seed);
        let events = score.events(0.0, (Metre::FOUR_FOUR.bar() * BARS).in_quarters());
        count_takes(&score, &mut counts);
        count_collisions(&events, &mut counts);
        count_bars(&events, &mut counts);
    }
    counts
}

fn score(seed: u32) -> Score {
    fn turn<T: Copy>(seed: u32, choices: &[T]) -> T {
        choices[seed as usize % choices.len()]
    }
    let keys: Vec<Key> = Key::all().collect();
    let form = changes(FormKind::Twelve, turn(seed, &keys), ChordStyle::Sevenths, Metre::FOUR_FOUR);
    let parts = Parts::of(&[Part::Bass, Part::Comp, Part::Solo]);
    let mut score = Score::new(Rc::new(form), Some(Rc::new(riff(seed))), SwingRatio::TRIPLET, parts);
    let busyness = turn(seed / 2, &Busyness::NAMES).0;
    let comp = turn(seed, &CompStyle::NAMES).0;
    score.arrangement = Arrangement { seed, busyness, comp, ..Arrangement::default() };
    score
}

/// Two bars, a note in three of five half beats, many of them at the pitch of the one before.
fn riff(seed: u32) -> Riff {
    let mut dice = Dice::new(&[seed.into(), 16]);
    let mut notes = Vec::new();
    let low = ["C4", "Eb4", "F4", "G4", "Bb4", "C5"];
    let high = ["C5", "Eb5", "F5", "G5", "Bb5", "C6"];
    let names = if (seed / 4).is_multiple_of(2) { high } else { low };
    let mut name = names[0];
    for half in 0..16 {
        // The first is always there, since a riff has a note.
        let sounds = dice.pick(&[true, true, true, false, false]).copied().unwrap_or_default();
        if half > 0 && !sounds {
            continue;
        }
        let repeats = dice.pick(&[true, false, false]).copied().unwrap_or_default();
        name = dice.pick(&names).copied().filter(|_| !repeats).unwrap_or(name);
        let pitch = name.parse().unwrap_or_else(|error| panic!("{name}: {error}"));
        let (onset, length) = (Ticks::QUARTER / 2 * half, Ticks::QUARTER / 2);
        notes.push(Note { onset, length, pitch, accent: false, ornament: None });
    }
    let divisions = vec![Division::HALVES; 8];
    Riff::from_parts(RiffId(1), String::new(), Ticks::ZERO, Ticks::QUARTER, divisions, notes)
        .unwrap_or_else(|| unreachable!("whole beats, and a first note"))
}

/// As the page hands sounds out, a second at a time.
fn count_takes(score: &Score, counts: &mut Counts) {
    let tempo = QuartersPerMinute::new(240.0).unwrap_or_else(|| unreachable!("within the range"));
    let mut planner = Planner::start(AudioTime(0.0), score.clone(), tempo);
    // Four quarters a second: a bar.
    let mut solo: Vec<Planned> = Vec::new();
    for second in 0..BARS as u32 {
        let started = planner.advance(AudioTime(f64::from(second))).start;
        solo.extend(started.into_iter().filter(|sound| sound.part == Part::Solo));
    }
    for pair in solo.windows(2).filter(|pair| pair[0].midi == pair[1].midi) {
        counts.repeated += 1;
        counts.same_samples += usize::from(pair[0].take == pair[1].take);
    }
}

fn count_collisions(events: &[Event], counts: &mut Counts) {
    let of = |part: Part| events.iter().filter(move |event| event.part == part);
    let solo = || of(Part::Solo).map(|event| event.midi);
    let Some((lowest, highest)) = solo().min().zip(solo().max()) else { return };
    for chord in of(Part::Comp) {
        counts.chords += 1;
        // Nobody is late here, so that what is struck together is at one place.
        let together = of(Part::Solo).any(|note| (note.position - chord.position).abs() < 0.01);
        counts.together += usize::from(together);
        if (lowest..=highest).contains(&chord.midi) {
            let is_high = lowest.number() >= MidiNote::MIDDLE_C.number() + 12;
            *(if is_high { &mut counts.among_high } else { &mut counts.among_low }) += 1;
        }
    }
}

fn count_bars(events: &[Event], counts: &mut Counts) {
    let length = Metre::FOUR_FOUR.bar();
    let mut bars = vec![Vec::<(Ticks, MidiNote)>::new(); BARS as usize];
    for event in events.iter().filter(|event| event.part == Part::Bass) {
        let at = event.at - ScoreTime::ZERO;
        bars[at.div_floor(length) as usize].push((at.rem_floor(length), event.midi));
    }
    for (index, bar) in bars.iter().enumerate() {
        counts.bars += 1;
        counts.repeated_bars += usize::from(bars[index.saturating_sub(2)..index].contains(bar));
    }
}

/// Whoever hears the same twice hears a machine; common practice, no source.
#[test]
fn nobody_repeats_themselves_or_gets_in_the_way() {
    let counts = counts(24);
    assert!(counts.repeated > 500 && counts.chords > 500, "something was looked at: {counts:?}");
    assert_eq!(
        (counts.same_samples, counts.together, counts.among_high, counts.repeated_bars),
        (0, 0, 0, 0),
        "{counts:?}"
    );
}
