//! The measures of rhythm against published values, and the laws that follow from their definitions.

use proptest::prelude::*;
use riffloom::insight::rhythm::{Measures, Pattern, keith, lhl, metric_complexity, npvi, off_beatness, wnbd};
use riffloom::rhythm::grid::Division;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Note, Riff, RiffId};
use riffloom::theory::pitch::{Pitch, Step};
use riffloom::units::Ticks;

/// A timeline of sixteen pulses, four to the beat, with what is published about it.
struct Timeline {
    name: &'static str,
    onsets: &'static str,
    keith: u32,
    off_beatness: u32,
    /// As a fraction.
    wnbd: (u32, u32),
    metric_complexity: i32,
    lhl: i32,
    npvi: f64,
}

/// Sources, by column. Keith, off-beatness, WNBD: F. Gómez, A. Melvin, D. Rappaport and G. T. Toussaint,
/// "Mathematical measures of syncopation", BRIDGES 2005, Fig. 8, as the tests of the Python library `amads` quote it.
/// nPVI: G. T. Toussaint, "The Geometry of Musical Rhythm", 2013, Fig. 17.13, quoted there too. Metric complexity:
/// G. T. Toussaint, BRIDGES 2002, its table from memory. LHL: no printed table is known to us; worked out
/// from the definition (strongest silent place) by another program. The Fig. 9 examples below are the authors' own.
#[rustfmt::skip]
const TIMELINES: [Timeline; 6] = [
    Timeline { name: "shiko", onsets: "x...x.x...x.x...", keith: 1, off_beatness: 0, wnbd: (6, 5), metric_complexity: 2, lhl: 2, npvi: 66.7 },
    Timeline { name: "son", onsets: "x..x..x...x.x...", keith: 2, off_beatness: 1, wnbd: (14, 5), metric_complexity: 4, lhl: 4, npvi: 40.5 },
    Timeline { name: "soukous", onsets: "x..x..x...xx....", keith: 3, off_beatness: 2, wnbd: (18, 5), metric_complexity: 6, lhl: 6, npvi: 70.5 },
    Timeline { name: "rumba", onsets: "x..x...x..x.x...", keith: 2, off_beatness: 2, wnbd: (18, 5), metric_complexity: 5, lhl: 5, npvi: 41.0 },
    Timeline { name: "bossa nova", onsets: "x..x..x...x..x..", keith: 3, off_beatness: 2, wnbd: (20, 5), metric_complexity: 6, lhl: 6, npvi: 14.3 },
    Timeline { name: "gahu", onsets: "x..x..x...x...x.", keith: 3, off_beatness: 1, wnbd: (18, 5), metric_complexity: 5, lhl: 5, npvi: 23.8 },
];

fn sixteen(onsets: &str) -> Pattern {
    Pattern::read(onsets, &[2, 2, 2, 2], 4).expect("sixteen pulses")
}

#[test]
fn timelines_measure_as_published() {
    for row in &TIMELINES {
        let pattern = sixteen(row.onsets);
        assert_eq!(keith::syncopation(&pattern), Some(row.keith), "Keith of {}", row.name);
        assert_eq!(off_beatness::off_beatness(&pattern), row.off_beatness, "off-beatness of {}", row.name);
        let (upper, lower) = row.wnbd;
        let found = wnbd::note_to_beat_distance(&pattern).unwrap() * f64::from(lower);
        // Sums of whole numbers and halves of them: only the last division rounds.
        assert!((found - f64::from(upper)).abs() < 1e-12, "WNBD of {}: {found}/{lower}", row.name);
        assert_eq!(metric_complexity::metric_complexity(&pattern), row.metric_complexity, "{}", row.name);
        assert_eq!(lhl::syncopation(&pattern), row.lhl, "LHL of {}", row.name);
        let gaps: Vec<f64> = pattern.gaps().map(|(_, gap)| gap as f64).collect();
        let found = npvi::npvi(&gaps).unwrap();
        // Printed with one decimal.
        assert!((found - row.npvi).abs() <= 0.05 + 1e-9, "nPVI of {}: {found}", row.name);
    }
}

/// The same timelines as riffs, each note held to the next, on whatever grid of the beats holds them: quarters and eighths
/// alone (shiko) measure as on sixteen pulses. Syncopation by Longuet-Higgins and Lee needs no finer grid than the notes.
#[test]
fn held_notes_measure_as_published() {
    for row in &TIMELINES {
        let onsets: Vec<i64> = row.onsets.match_indices('x').map(|(at, _)| at as i64).collect();
        let needs_quarters = |beat: i64| onsets.iter().any(|at| at / 4 == beat && at % 2 == 1);
        let divisions: Vec<Division> = (0..4)
            .map(|beat| if needs_quarters(beat) { Division::QUARTERS } else { Division::HALVES })
            .collect();
        let ends = onsets.iter().copied().skip(1).chain([16]);
        let sixteenth = Ticks::QUARTER / 4;
        let notes = onsets.iter().zip(ends).map(|(at, end)| Note {
            onset: sixteenth * *at,
            length: sixteenth * (end - at),
            pitch: Pitch::new(Step::G, 0, 4),
            accent: false,
            ornament: None,
        });
        let riff = Riff::from_parts(
            RiffId(1),
            String::new(),
            Ticks::ZERO,
            Ticks::QUARTER,
            divisions,
            notes.collect(),
        );
        let measures = Measures::of(&Pattern::of_riff(&riff.unwrap(), Metre::FOUR_FOUR).unwrap());
        assert_eq!(measures.pulses_per_beat, 4, "{}", row.name);
        assert_eq!(measures.off_beatness, row.off_beatness, "{}", row.name);
        assert_eq!((measures.keith, measures.lhl), (Some(row.keith), row.lhl), "{}", row.name);
        assert_eq!(measures.metric_complexity, row.metric_complexity, "{}", row.name);
    }
}

/// WNBD with the beat at every third pulse, and off-beatness where our copy has it: Gómez and others 2005, Fig. 11; the
/// timelines and values as `amads` quotes them.
#[test]
fn twelve_pulse_timelines_measure_as_published() {
    for (name, onsets, off, (upper, lower)) in [
        ("soli", "x.x.x.x.xx.x", Some(1), (15, 7)),
        ("tambú", "x.x.x.xx.x.x", Some(2), (15, 7)),
        ("bembé", "x.x.xx.x.x.x", Some(3), (21, 7)),
        ("yoruba", "x.x.xx.x.xx.", None, (21, 7)),
        ("tonada", "x.xx.xx.x.x.", None, (15, 7)),
        ("sorsonet", "xxx.x.x.x.x.", None, (21, 7)),
    ] {
        let pattern = Pattern::read(onsets, &[2, 2, 3], 3).unwrap();
        let found = wnbd::note_to_beat_distance(&pattern).unwrap() * f64::from(lower);
        assert!((found - f64::from(upper)).abs() < 1e-12, "{name}: {found}/{lower}");
        let found = off_beatness::off_beatness(&pattern);
        assert!(off.is_none_or(|published| found == published), "{name}: {found}");
        assert_eq!(keith::syncopation(&pattern), None, "{name}");
    }
}

/// Weights: Longuet-Higgins and Lee, Music Perception 1(4), 1984, for 4/4 and 6/8, and 12/8 by the same rule.
#[test]
fn weights_fall_by_one_a_level() {
    for (levels, expected) in [
        (&[2, 2, 2][..], &[0, -3, -2, -3, -1, -3, -2, -3][..]),
        (&[2, 3], &[0, -2, -2, -1, -2, -2]),
        (&[2, 2, 3], &[0, -3, -3, -2, -3, -3, -1, -3, -3, -2, -3, -3]),
    ] {
        let silent = ".".repeat(expected.len());
        assert_eq!(Pattern::read(&silent, levels, 1).unwrap().weights(), expected);
    }
}

/// Strengths of the syncopations of notes with these lengths on a bar divided so. Source: Longuet-Higgins and Lee
/// 1984, Fig. 9, as later programs for research quote it; the figure itself was not before us.
#[test]
fn the_examples_of_longuet_higgins_and_lee_come_out() {
    for (lengths, levels, expected) in [
        (&[1, 3][..], &[2, 2][..], &[1][..]),
        (&[2, 1, 3, 2], &[2, 2, 2], &[2]),
        (&[3, 1], &[2, 2], &[]),
        (&[2, 1], &[3], &[]),
        (&[1, 2], &[3], &[0]),
    ] {
        let text: String = lengths.iter().map(|length| format!("x{}", ".".repeat(length - 1))).collect();
        let pattern = Pattern::read(&text, levels, 1).unwrap();
        let found: Vec<i32> = lhl::syncopations(&pattern).iter().map(|found| found.strength).collect();
        assert_eq!(found, expected, "{lengths:?}");
    }
}

/// Rhythms of the blues, worked by hand from the weights above.
#[test]
fn rhythms_of_the_blues_are_as_syncopated_as_the_weights_say() {
    for (what, onsets, expected) in [
        ("quarters", "x.x.x.x.", 0),
        ("eighths", "xxxxxxxx", 0),
        ("dotted quarter and eighth", "x..x....", 2),
        ("three, three, two", "x..x..x.", 2),
        ("four-and, held over", ".......x", 3),
        ("off-beats", ".x.x.x.x", 7),
        ("two and four", "..x...x.", 3),
    ] {
        let pattern = Pattern::read(onsets, &[2, 2, 2], 2).unwrap();
        assert_eq!(lhl::syncopation(&pattern), expected, "{what}");
    }
    for (what, onsets, expected) in [
        ("shuffle", "x.xx.xx.xx.x", 0),
        ("last triplets", "..x..x..x..x", 7),
        ("last triplet, held over", "...........x", 3),
    ] {
        let pattern = Pattern::read(onsets, &[2, 2, 3], 3).unwrap();
        assert_eq!(lhl::syncopation(&pattern), expected, "{what}");
    }
}

#[test]
fn what_cannot_be_measured_says_so() {
    assert_eq!(Pattern::read("x..", &[2, 2], 2), None);
    assert_eq!(Pattern::read("x.x.", &[2, 2], 3), None);
    assert_eq!(Pattern::read("x.y.", &[2, 2], 2), None);
    assert_eq!(Pattern::read("", &[0], 1), None);
    assert_eq!(wnbd::note_to_beat_distance(&sixteen(&".".repeat(16))), None);
    assert_eq!(npvi::npvi(&[1.0]), None);
    assert_eq!(npvi::npvi(&[1.0, 0.0]), None);
    assert_eq!(npvi::npvi(&[1.0, f64::NAN]), None);
}

/// A riff whose notes begin at these parts of its beats: beat, part.
fn riff(start: i64, divisions: &[u8], notes: &[(usize, u8)]) -> Riff {
    let divisions: Vec<Division> = divisions.iter().map(|parts| Division::new(*parts).unwrap()).collect();
    let notes = notes.iter().map(|&(beat, part)| {
        let step = divisions[beat].step(Ticks::QUARTER);
        let onset = Ticks::QUARTER * beat as i64 + step * i64::from(part);
        Note { onset, length: step, pitch: Pitch::new(Step::G, 0, 4), accent: false, ornament: None }
    });
    let notes = notes.collect();
    let start = Ticks::quarters(start);
    Riff::from_parts(RiffId(1), String::new(), start, Ticks::QUARTER, divisions, notes).unwrap()
}

#[test]
fn a_riff_is_measured_on_its_own_grid_and_where_it_stands_in_the_bar() {
    let eighths = Pattern::read("x..x..x.", &[2, 2, 2], 2).unwrap();
    let same = riff(0, &[2, 2, 2, 2], &[(0, 0), (1, 1), (3, 0)]);
    let found = Pattern::of_riff(&same, Metre::FOUR_FOUR).unwrap();
    assert_eq!((found.onsets(), found.beat()), (&[0, 6, 12][..], 4));
    assert_eq!(lhl::syncopations(&found).len(), lhl::syncopations(&eighths).len());
    // A pickup on beat 4 stands at the end of the bar before it.
    let pickup = riff(-1, &[2, 2], &[(0, 1), (1, 0)]);
    let expected = sixteen("x.............x.");
    let found = Pattern::of_riff(&pickup, Metre::FOUR_FOUR).unwrap();
    assert_eq!((found.onsets(), found.beat()), (expected.onsets(), 4));
    // So does one that begins with an eighth off the beat; its beats are not the bar's.
    let mut late = riff(0, &[2, 2], &[(0, 0), (0, 1), (1, 1)]);
    late.start = -Ticks::QUARTER / 2;
    let found = Pattern::of_riff(&late, Metre::FOUR_FOUR).unwrap();
    assert_eq!((found.onsets(), found.weights()), (&[0, 4, 14][..], expected.weights()));
    // Halves beside thirds meet on six pulses; each beat has the weights of its own division.
    let mixed = riff(0, &[2, 3, 2, 2], &[(0, 1), (1, 1), (1, 2)]);
    let found = Pattern::of_riff(&mixed, Metre::FOUR_FOUR).unwrap();
    assert_eq!((found.onsets(), found.pulses()), (&[3, 8, 10][..], 24));
    assert_eq!([3, 6, 8, 10].map(|pulse| found.weights()[pulse]), [-3, -2, -3, -3]);
    // &1 over 2 by 1; the first third of beat 2 over nothing; its second over the next bar line by 3.
    assert_eq!(lhl::syncopation(&found), 4);
    // Six beats come again after two bars; dotted beats are not the beats of 4/4.
    let six = riff(0, &[2; 6], &[(5, 1)]);
    assert_eq!(Pattern::of_riff(&six, Metre::FOUR_FOUR).unwrap().pulses(), 32);
    assert_eq!(Pattern::of_riff(&six, Metre::TWELVE_EIGHT), None);
}

proptest! {
    /// Putting the same onsets on a grid twice as fine changes nothing but off-beatness, which is of the grid.
    #[test]
    fn a_finer_grid_changes_only_off_beatness(bits in 1_u32..256) {
        let signs = |fine: &str| (0..8).map(|pulse| if bits >> pulse & 1 == 1 { format!("x{fine}") } else { format!(".{fine}") }).collect::<String>();
        let coarse = Measures::of(&Pattern::read(&signs(""), &[2, 2, 2], 2).unwrap());
        let fine = Measures::of(&Pattern::read(&signs("."), &[2, 2, 2, 2], 4).unwrap());
        prop_assert_eq!((coarse.lhl, coarse.keith, coarse.metric_complexity), (fine.lhl, fine.keith, fine.metric_complexity));
        prop_assert_eq!(coarse.wnbd, fine.wnbd);
        prop_assert_eq!(fine.off_beatness, 0);
    }

    #[test]
    fn measures_stay_within_their_bounds(onsets in "[x.]{16}", lengths in proptest::collection::vec(0.01_f64..100.0, 2..20)) {
        let pattern = sixteen(&onsets);
        let measures = Measures::of(&pattern);
        let notes = pattern.onsets().len() as u32;
        prop_assert!(measures.lhl >= 0 && measures.metric_complexity >= 0);
        prop_assert!(measures.keith.unwrap() <= notes && measures.off_beatness <= notes);
        // 1/T is at most 4 a quarter of a beat from the beat, doubled at most.
        prop_assert!(measures.wnbd.is_none_or(|wnbd| (0.0..=8.0).contains(&wnbd)));
        let npvi = npvi::npvi(&lengths).unwrap();
        prop_assert!((0.0..200.0).contains(&npvi));
        let scaled: Vec<f64> = lengths.iter().map(|length| length * 8.0).collect();
        prop_assert_eq!(npvi::npvi(&scaled), Some(npvi));
    }

    #[test]
    fn any_riff_on_its_grid_is_measured(
        start in -16_i64..16,
        divisions in proptest::collection::vec(1_u8..=8, 1..=16),
        upper in 1_u8..=16,
        late in 0_i64..4,
    ) {
        let notes: Vec<(usize, u8)> = divisions.iter().enumerate().map(|(beat, parts)| (beat, parts / 2)).collect();
        let mut riff = riff(start, &divisions, &notes);
        riff.start += Ticks::QUARTER / 4 * late;
        let pattern = Pattern::of_riff(&riff, Metre::new(upper, 4).unwrap()).unwrap();
        prop_assert_eq!(pattern.onsets().len(), notes.len());
        prop_assert!(pattern.pulses() <= Pattern::MOST_PULSES);
        prop_assert!(Measures::of(&pattern).lhl >= 0);
    }
}
