//! Events, windows and planning: nothing missing, nothing twice, nothing late.

use std::collections::BTreeMap;
use std::rc::Rc;

use proptest::prelude::*;
use riffloom::form::standard::{ChordStyle, FormKind, changes};
use riffloom::form::text;
use riffloom::perform::planner::{Actions, LEAST_AHEAD, Planned, Planner};
use riffloom::perform::{Part, Parts, Score, Solo};
use riffloom::rhythm::feel::SwingRatio;
use riffloom::rhythm::grid::Division;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Note, Riff, RiffId};
use riffloom::units::{AudioTime, QuartersPerMinute, Seconds, Ticks};

fn tempo(value: f64) -> QuartersPerMinute {
    QuartersPerMinute::new(value).unwrap()
}

/// A riff of six beats with an upbeat quarter before the bar line where `pickup` is set.
fn riff(pickup: i64) -> Rc<Riff> {
    let note = |onset: i64, length: i64, pitch: &str| Note {
        onset: Ticks(onset),
        length: Ticks(length),
        pitch: pitch.parse().unwrap(),
        accent: onset == 0,
        ornament: None,
    };
    let notes = vec![
        note(0, 5040, "D4"),
        note(5040, 5040, "E4"),
        note(25_200, 5040, "Bb4"),
        note(30_240, 20_160, "B4"),
    ];
    let start = Ticks(-pickup * Ticks::PER_QUARTER);
    Rc::new(
        Riff::from_parts(RiffId(1), String::new(), start, Ticks::QUARTER, vec![Division::HALVES; 6], notes)
            .unwrap(),
    )
}

fn score(kind: FormKind, pickup: i64, ratio: f64) -> Score {
    let changes = Rc::new(changes(kind, "G".parse().unwrap(), ChordStyle::Sevenths, Metre::FOUR_FOUR));
    let mut score =
        Score::new(changes, Some(riff(pickup)), SwingRatio::new(ratio).unwrap(), Parts::of(&Part::ALL));
    score.count_in = 1;
    score
}

#[test]
fn a_riff_of_six_beats_comes_every_two_bars_and_its_pickup_sounds_before_the_bar_line() {
    let solo = |score: &Score, from, to| -> Vec<f64> {
        let events = score.events(from, to);
        events.iter().filter(|event| event.part == Part::Solo).map(|event| event.position).collect()
    };
    let plain = score(FormKind::Twelve, 0, 1.0);
    assert_eq!(solo(&plain, -4.0, 12.0), [0.0, 0.5, 2.5, 3.0, 8.0, 8.5, 10.5, 11.0]);
    let pickup = score(FormKind::Twelve, 1, 1.0);
    assert_eq!(solo(&pickup, -4.0, 8.0), [-1.0, -0.5, 1.5, 2.0, 7.0, 7.5]);
    // At the end of a time through, the pickup to the next one sounds.
    assert_eq!(solo(&pickup, 46.5, 48.0), [47.0, 47.5]);
    let mut once = score(FormKind::Twelve, 1, 1.0);
    once.times = Some(1);
    assert!(solo(&once, 46.5, 60.0).is_empty());
}

/// The off-beat lies at r/(1+r) of the beat (see `rhythm::feel`): 2/3 in the shuffle.
#[test]
fn swing_moves_the_off_beats_and_nothing_else() {
    let events = score(FormKind::Twelve, 0, 2.0).events(0.0, 4.0);
    let solo: Vec<f64> = events.iter().filter(|e| e.part == Part::Solo).map(|e| e.position).collect();
    let expected = [0.0, 2.0 / 3.0, 2.0 + 2.0 / 3.0, 3.0];
    assert!(solo.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-9), "{solo:?}");
}

proptest! {
    #![proptest_config(crate::cases(96))]

    #[test]
    fn windows_lose_nothing_and_double_nothing(
        cuts in proptest::collection::vec(-4.0..120.0_f64, 0..20),
        ratio in 1.0..3.5_f64,
        pickup in 0..3_i64,
    ) {
        let score = score(FormKind::TwelveJazz, pickup, ratio);
        let mut edges = vec![-4.0];
        edges.extend(cuts);
        edges.push(120.0);
        edges.sort_by(f64::total_cmp);
        let pieces: Vec<_> = edges.windows(2).flat_map(|edge| score.events(edge[0], edge[1])).collect();
        prop_assert_eq!(pieces, score.events(-4.0, 120.0));
    }

    /// A page that stalls for a second in every three, ticks once a second or worse, and is edited at random.
    #[test]
    fn nothing_is_late_lost_or_doubled_under_stalls_and_edits(
        steps in proptest::collection::vec((0.02..1.2_f64, 0..6_u8), 5..60),
        ratio in 1.0..3.5_f64,
    ) {
        let mut now = 10.0;
        let mut speed = 120.0;
        let mut current = score(FormKind::Twelve, 1, ratio);
        let mut planner = Planner::start(AudioTime(now), current.clone(), tempo(speed));
        let mut alive: BTreeMap<u64, Planned> = BTreeMap::new();
        obey(&mut alive, planner.advance(AudioTime(now)), now)?;
        for (wait, edit) in steps {
            now += wait;
            let actions = match edit {
                0 => {
                    speed = if speed > 150.0 { 66.0 } else { speed + 37.0 };
                    planner.replan(AudioTime(now), current.clone(), tempo(speed))
                }
                1 => {
                    let count_in = current.count_in;
                    current = score(FormKind::Eight, 0, ratio);
                    current.count_in = count_in;
                    planner.replan(AudioTime(now), current.clone(), tempo(speed))
                }
                2 => {
                    current.parts = if current.parts.has(Part::Drums) {
                        current.parts.without(Part::Drums)
                    } else {
                        current.parts.with(Part::Drums)
                    };
                    planner.replan(AudioTime(now), current.clone(), tempo(speed))
                }
                _ => planner.advance(AudioTime(now)),
            };
            obey(&mut alive, actions, now)?;
        }
        // What is left equals what the score says, from the last cut on: the click is never off.
        let from = now + 0.2 + 60.0 / speed;
        let clicks: Vec<f64> =
            alive.values().filter(|p| p.part == Part::Click && p.when.0 > from).map(|p| p.when.0).collect();
        let gaps: Vec<f64> = clicks.windows(2).map(|pair| pair[1] - pair[0]).collect();
        prop_assert!(gaps.iter().all(|gap| (gap - 60.0 / speed).abs() < 1e-6), "{gaps:?}");
    }
}

/// Keeps what is to sound; checks that starts are in time, that only what has not begun is taken back, and that no
/// sound is there twice.
fn obey(alive: &mut BTreeMap<u64, Planned>, actions: Actions, now: f64) -> Result<(), TestCaseError> {
    prop_assert_eq!(actions.left_out, 0);
    for id in actions.cancel {
        let gone = alive.remove(&id);
        prop_assert!(gone.is_some_and(|planned| planned.when.0 > now));
    }
    for planned in actions.start {
        prop_assert!(planned.when.0 >= now + LEAST_AHEAD.0);
        let twin = alive.values().find(|other| {
            (other.part, other.midi) == (planned.part, planned.midi)
                && (other.when.0 - planned.when.0).abs() < 0.02
        });
        prop_assert!(twin.is_none(), "{twin:?} and {planned:?}");
        prop_assert!(alive.insert(planned.id, planned).is_none());
    }
    Ok(())
}

#[test]
fn a_stall_longer_than_the_horizon_leaves_out_what_came_too_late() {
    let mut planner = Planner::start(AudioTime(0.0), score(FormKind::Twelve, 0, 1.0), tempo(120.0));
    planner.advance(AudioTime(0.0));
    let actions = planner.advance(AudioTime(30.0));
    assert!(actions.left_out > 0);
    assert!(actions.start.iter().all(|planned| planned.when >= AudioTime(30.0) + Seconds(0.005)));
}

#[test]
fn a_score_with_an_end_finishes() {
    let mut score = score(FormKind::Twelve, 0, 1.0);
    score.times = Some(1);
    let mut planner = Planner::start(AudioTime(0.0), score, tempo(240.0));
    assert!(!planner.advance(AudioTime(0.0)).finished);
    assert!(planner.advance(AudioTime(14.0)).finished);
}

#[test]
fn a_new_form_keeps_the_bar_number() {
    let mut planner = Planner::start(AudioTime(0.0), score(FormKind::Twelve, 0, 1.0), tempo(240.0));
    planner.advance(AudioTime(0.0));
    // Bar 10 (index 9) of twelve becomes bar 2 (index 1) of eight. A bar lasts a second, after a bar's count-in.
    let now = AudioTime(0.15 + 1.0 + 9.4);
    planner.replan(now, score(FormKind::Eight, 0, 1.0), tempo(240.0));
    let later = planner.positions(AudioTime(now.0 + 0.5));
    assert_eq!(later[0].bar, Some(1));
}

/// When and what the solo plays, by walking along the time line: the riff is begun at the loop's first bar line, then at
/// the next one where it is over; a time that would run past the loop's end is left out, but for a riff that is longer
/// than the loop, which goes on through the next times of the loop.
fn solo_by_hand(score: &Score, riff: &Riff, cycles: usize) -> Vec<(i64, u8)> {
    let bars: Vec<Ticks> =
        score.changes.bars()[score.looped.clone()].iter().map(|bar| bar.metre.bar()).collect();
    let total: Ticks = bars.iter().copied().sum();
    let (mut begins, mut line, mut free) = (Vec::new(), Ticks::ZERO, Ticks::ZERO);
    for cycle in 0..cycles {
        let loop_begins = total * cycle as i64;
        for (place, bar) in bars.iter().enumerate() {
            let fits = line + riff.length() <= loop_begins + total || place == 0;
            if line >= free && fits {
                begins.push(line + riff.start);
                free = line + riff.length();
            }
            line += *bar;
        }
    }
    let notes = begins.iter().flat_map(|begin| riff.notes().iter().map(move |note| (*begin, note)));
    notes.map(|(begin, note)| ((begin + note.onset).0, note.pitch.midi().unwrap().number())).collect()
}

proptest! {
    #![proptest_config(crate::cases(96))]

    /// Any riff over any loop: as the walk along the time line says, and never two notes at once.
    #[test]
    fn any_riff_comes_as_a_walk_along_the_time_line_says(
        beats in 1..=16_usize,
        start in -4..4_i64,
        onsets in proptest::collection::btree_set(0..32_i64, 1..16),
        from in 0..12_usize,
        bars in 1..12_usize,
    ) {
        let half = Ticks::PER_QUARTER / 2;
        let onsets: Vec<i64> = onsets.into_iter().filter(|onset| *onset < 2 * beats as i64).collect();
        let notes = onsets.iter().enumerate().map(|(index, onset)| Note {
            onset: Ticks(onset * half),
            length: Ticks(half),
            pitch: ["G4", "Bb4", "C5"][index % 3].parse().unwrap(),
            accent: false,
            ornament: None,
        });
        let divisions = vec![Division::HALVES; beats];
        let riff = Riff::from_parts(
            RiffId(1), String::new(), Ticks::quarters(start), Ticks::QUARTER, divisions, notes.collect(),
        );
        let riff = Rc::new(riff.unwrap());
        let mut score = score(FormKind::Twelve, 0, 1.0);
        score.solo = Solo::Over(Rc::clone(&riff));
        score.parts = Parts::of(&[Part::Solo]);
        score.looped = from..(from + bars).min(12);
        score.count_in = 0;
        let cycles = 20;
        let until = score.looped.len() as f64 * 4.0 * (cycles - 1) as f64 - 4.0;
        let events = score.events(-4.0, until);
        let found: Vec<(i64, u8)> = events.iter().map(|event| (event.at.0, event.midi.number())).collect();
        let mut expected = solo_by_hand(&score, &riff, cycles);
        expected.retain(|(at, _)| (*at as f64) < until * Ticks::PER_QUARTER as f64);
        prop_assert_eq!(found, expected);
        let apart = events.windows(2).all(|pair| pair[0].position + pair[0].length <= pair[1].position + 1e-9);
        prop_assert!(apart);
    }
}

/// The solo of a riff alone, begun in bar `bar` of a chart: where it begins in the form, when it ends, what sounds.
fn alone(chart: &str, riff: &Rc<Riff>, bar: usize) -> (usize, f64, Vec<f64>) {
    let key = "G".parse().unwrap();
    let changes = text::read(chart, key, ChordStyle::Sevenths, Metre::FOUR_FOUR).unwrap();
    let score = Score::alone(Rc::new(changes), Rc::clone(riff), SwingRatio::STRAIGHT, bar);
    let events = score.events(score.begin().since_start().in_quarters(), 400.0);
    assert!(events.iter().all(|event| event.part == Part::Solo));
    let end = score.end().unwrap().since_start().in_quarters();
    (score.looped.start, end, events.iter().map(|event| event.position).collect())
}

#[test]
fn a_riff_alone_sounds_once_wherever_it_is_begun() {
    let (six, pickup) = (riff(0), riff(1));
    let once = vec![0.0, 0.5, 2.5, 3.0];
    assert_eq!(alone("G7 | C7 | G7 | D7", &six, 0), (0, 8.0, once.clone()));
    assert_eq!(alone("G7 | C7 | G7 | D7", &six, 2), (2, 8.0, once.clone()));
    // Six beats do not fit into the last bar: begun a bar earlier. With its pickup it needs two bars still.
    assert_eq!(alone("G7 | C7 | G7 | D7", &six, 3), (2, 8.0, once.clone()));
    assert_eq!(alone("G7 | C7 | G7 | D7", &pickup, 3), (2, 8.0, vec![-1.0, -0.5, 1.5, 2.0]));
    // A form of one bar is gone through twice.
    assert_eq!(alone("G7", &six, 5), (0, 8.0, once));
}
