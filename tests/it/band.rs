//! The band against the theory: over every form, key and style, and over charts made up at random.

use std::rc::Rc;

use proptest::prelude::*;
use riffloom::band::Pulse;
use riffloom::band::settings::{
    Arrangement, BassStyle, Busyness, ClickPattern, CompStyle, DropOut, DrumStyle, StopTime, name_of, named,
};
use riffloom::form::standard::{ChordStyle, FormKind, changes};
use riffloom::form::{Changes, text};
use riffloom::perform::touch::Touch;
use riffloom::perform::{Event, Part, Parts, Score, Solo};
use riffloom::rhythm::feel::SwingRatio;
use riffloom::rhythm::grid::Division;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Note, Riff, RiffId};
use riffloom::theory::key::Key;
use riffloom::units::percussion::Percussion;
use riffloom::units::{QuartersPerMinute, ScoreTime, Ticks};

const BAND: [Part; 3] = [Part::Drums, Part::Bass, Part::Comp];

fn score(changes: Changes, arrangement: Arrangement) -> Score {
    let mut score = Score::new(Rc::new(changes), None, SwingRatio::TRIPLET, Parts::of(&BAND));
    score.arrangement = arrangement;
    score
}

fn twelve(key: &str) -> Changes {
    changes(FormKind::Twelve, key.parse().unwrap(), ChordStyle::Sevenths, Metre::FOUR_FOUR)
}

/// The events of a part over `choruses` of a score's form.
fn events(score: &Score, part: Part, choruses: i64) -> Vec<Event> {
    let score = Score { parts: Parts::of(&[part]), ..score.clone() };
    score.events(0.0, (looped(&score).length() * choruses).in_quarters())
}

/// The bars that are looped, as a form of their own.
fn looped(score: &Score) -> Changes {
    Changes::new(score.changes.key(), score.changes.bars()[score.looped.clone()].to_vec()).unwrap()
}

fn every_form() -> impl Iterator<Item = (FormKind, Key, ChordStyle)> {
    FormKind::all().flat_map(|kind| {
        Key::all().flat_map(move |key| {
            [ChordStyle::Sevenths, ChordStyle::Triads].map(move |style| (kind, key, style))
        })
    })
}

fn arrangements() -> impl Strategy<Value = Arrangement> {
    let busyness = prop_oneof![Just(Busyness::Sparse), Just(Busyness::Steady), Just(Busyness::Lively)];
    let bass = prop_oneof![Just(BassStyle::Roots), Just(BassStyle::Boogie), Just(BassStyle::Walking)];
    let comp = prop_oneof![Just(CompStyle::Stabs), Just(CompStyle::Sustained)];
    (any::<u32>(), busyness, bass, comp).prop_map(|(seed, busyness, bass, comp)| Arrangement {
        seed,
        busyness,
        bass: Some(bass),
        comp,
        ..Arrangement::default()
    })
}

/// Charts of one to twelve bars of one or two chords out of a book of qualities.
fn charts() -> impl Strategy<Value = Changes> {
    let root = prop::sample::select(vec!["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]);
    let quality = prop::sample::select(vec!["", "m", "7", "m7", "maj7", "m7b5", "dim7", "6", "9", "7b9"]);
    let chord = (root, quality).prop_map(|(root, quality)| format!("{root}{quality}"));
    let bar = prop::collection::vec(chord, 1..=2).prop_map(|chords| chords.join(" "));
    prop::collection::vec(bar, 1..=12).prop_map(|bars| {
        let key = "C".parse().unwrap();
        text::read(&bars.join(" | "), key, ChordStyle::Sevenths, Metre::FOUR_FOUR).unwrap()
    })
}

/// Common practice, no source: the bass states each change by its root, or its fifth.
#[track_caller]
fn bass_states_every_change(score: &Score) {
    let (notes, changes) = (events(score, Part::Bass, 2), looped(score));
    for place in changes.places() {
        let on_change = notes.iter().find(|event| event.at == ScoreTime::ZERO + place.at);
        let Some(event) = on_change else { panic!("no bass on the change to {}", place.chord) };
        let above = (i32::from(event.midi.number()) - place.chord.root.pitch_class()).rem_euclid(12);
        let fifth = place.chord.quality.intervals().iter().find(|interval| interval.steps == 4);
        assert!(above == 0 || fifth.is_some_and(|fifth| fifth.semitones == above), "{event:?}");
    }
    assert!(notes.iter().all(|event| (28..=55).contains(&event.midi.number())), "E1 to G3: a bass's range");
}

/// Common practice, no source: a shell is a chord's third and seventh.
#[track_caller]
fn chords_hold_third_and_seventh_and_lead_smoothly(score: &Score, furthest: i32) {
    let (notes, changes) = (events(score, Part::Comp, 2), looped(score));
    let mut before: Option<Vec<i32>> = None;
    for chord_notes in notes.chunk_by(|a, b| a.at == b.at) {
        let mut voicing: Vec<i32> = chord_notes.iter().map(|event| event.midi.number().into()).collect();
        voicing.sort_unstable();
        let chord = changes.chord_at(chord_notes[0].at.since_start()).chord;
        for interval in chord.quality.intervals().iter().filter(|i| [2, 6].contains(&i.steps)) {
            let class = chord.root.up(*interval).pitch_class();
            assert!(voicing.iter().any(|note| (note - class) % 12 == 0), "{chord}: {voicing:?}");
        }
        for (a, b) in before.iter().flatten().zip(&voicing) {
            assert!((a - b).abs() <= furthest, "to {chord}: {before:?} {voicing:?}");
        }
        before = Some(voicing);
    }
    assert!(before.is_some());
}

#[test]
fn parts_follow_the_changes_of_every_form_in_every_key() {
    for (kind, key, style) in every_form() {
        let changes = changes(kind, key, style, Metre::FOUR_FOUR);
        for (comp, _) in CompStyle::NAMES {
            let score = score(changes.clone(), Arrangement { comp, ..Arrangement::default() });
            chords_hold_third_and_seventh_and_lead_smoothly(&score, 4);
        }
        for (bass, _) in BassStyle::NAMES {
            // Every key has a seed of its own, so that in all of them the liveliest lines are seen as well.
            let seed = key.fifths().unsigned_abs();
            let arrangement =
                Arrangement { bass: Some(bass), busyness: Busyness::Lively, seed, ..Arrangement::default() };
            bass_states_every_change(&score(changes.clone(), arrangement));
        }
    }
}

/// The same where every beat has three parts, as in a slow 12/8, and over any bars that are looped.
#[test]
fn parts_follow_the_changes_of_loops_and_of_dotted_beats() {
    for (kind, from) in FormKind::all().flat_map(|kind| (0..8).map(move |from| (kind, from))) {
        let key = "Eb".parse().unwrap();
        let whole = changes(kind, key, ChordStyle::Sevenths, Metre::FOUR_FOUR);
        for to in from + 1..=whole.bars().len() {
            for (comp, _) in CompStyle::NAMES {
                let pulse = Some(Pulse::Triplets);
                let mut score = score(whole.clone(), Arrangement { comp, pulse, ..Arrangement::default() });
                score.looped = from..to;
                chords_hold_third_and_seventh_and_lead_smoothly(&score, 4);
                bass_states_every_change(&score);
            }
        }
    }
}

proptest! {
    #![proptest_config(crate::cases(128))]

    #[test]
    fn parts_follow_any_chart(chart in charts(), arrangement in arrangements()) {
        let score = score(chart, arrangement);
        bass_states_every_change(&score);
        // Of charts that chance throws together one in 1500 leaves no way within a third (searched through).
        chords_hold_third_and_seventh_and_lead_smoothly(&score, 5);
    }

    /// "No two choruses alike, but the same for a seed."
    #[test]
    fn choruses_differ_and_a_seed_repeats_them(arrangement in arrangements()) {
        let score = score(twelve("G"), arrangement);
        let chorus = |number: u32| {
            let begin = f64::from(number) * 48.0;
            let events = score.events(begin, begin + 48.0);
            let heard = events.into_iter().map(|e| (e.part, e.at - ScoreTime::ZERO - Ticks::quarters(48) * i64::from(number), e.midi, e.velocity));
            heard.collect::<Vec<_>>()
        };
        let choruses: Vec<_> = (0..6).map(chorus).collect();
        for (index, one) in choruses.iter().enumerate() {
            prop_assert!(choruses[index + 1..].iter().all(|other| other != one));
        }
        prop_assert_eq!(&choruses[1], &chorus(1));
    }

    /// A band that plays as people do and laid back plays the same notes, none early, none later than it may.
    #[test]
    fn people_are_late_within_bounds(seed in any::<u32>(), laid_back in 0.0..0.1_f64, speed in 20.0..400.0_f64) {
        let exact = score(twelve("G"), Arrangement { seed, ..Arrangement::default() });
        let mut loose = exact.clone();
        loose.touch = Touch { laid_back, people: QuartersPerMinute::new(speed), ..Touch::default() };
        let sorted = |score: &Score| {
            let mut events = score.events(0.0, 48.5);
            events.retain(|event| event.at < ScoreTime::ZERO + Ticks::quarters(48));
            events.sort_by_key(|event| (event.at, event.part, event.midi));
            events
        };
        let (exact, loose) = (sorted(&exact), sorted(&loose));
        prop_assert_eq!(exact.len(), loose.len());
        for (written, played) in exact.iter().zip(&loose) {
            let late = played.position - written.position;
            prop_assert!((0.0..=laid_back / 2.0 + 0.12 + 1e-9).contains(&late), "{}", late);
        }
    }
}

fn of(events: &[Event], drum: Percussion) -> Vec<f64> {
    let strokes = events.iter().filter(|event| event.part == Part::Drums && event.midi == drum.midi());
    strokes.map(|event| event.position).collect()
}

/// Common practice, no source: the backbeat is on 2 and 4.
#[test]
fn every_style_marks_two_and_four() {
    for (style, drum) in [
        (DrumStyle::Shuffle, Percussion::Snare),
        (DrumStyle::Straight, Percussion::Snare),
        (DrumStyle::Slow, Percussion::Snare),
        (DrumStyle::Swing, Percussion::PedalHiHat),
        (DrumStyle::Brushes, Percussion::BrushTap),
    ] {
        let score = score(
            twelve("G"),
            Arrangement { drums: Some(style), busyness: Busyness::Sparse, ..Arrangement::default() },
        );
        let strokes = of(&score.events(0.0, 8.0), drum);
        assert_eq!(strokes, [1.0, 3.0, 5.0, 7.0], "{style:?}");
    }
}

/// Fills mark bars 4, 8 and 12: the strokes of the toms and the snare in the last beats, more in each.
#[test]
fn fills_mark_the_ends_of_lines_and_grow() {
    for (seed, swing) in
        (0..20).flat_map(|seed| [SwingRatio::STRAIGHT, SwingRatio::TRIPLET].map(|s| (seed, s)))
    {
        let arrangement = Arrangement { seed, busyness: Busyness::Sparse, ..Arrangement::default() };
        let score = Score { swing, ..score(twelve("G"), arrangement) };
        let strokes = |bar: f64| {
            let events = score.events((bar - 1.0) * 4.0, bar * 4.0);
            let drums = [Percussion::Snare, Percussion::HighTom, Percussion::LowTom];
            drums.iter().map(|drum| of(&events, *drum).len()).sum::<usize>()
        };
        assert_eq!([1.0, 2.0, 3.0, 5.0, 6.0, 7.0, 9.0, 10.0, 11.0].map(strokes), [2; 9]);
        let [first, second, last] = [4.0, 8.0, 12.0].map(strokes);
        assert!(2 < first && first < second && second < last, "{first} {second} {last}");
    }
}

/// Common practice, no source: a drummer with brushes plays the fills, the lead-in and the answers with them, too.
#[test]
fn nobody_changes_hands_for_a_fill() {
    let plays = |drums| {
        let strokes = (0..20).flat_map(move |seed| {
            let arrangement = Arrangement { drums: Some(drums), seed, ..Arrangement::default() };
            let score = Score { pickup: 2, times: Some(2), ..score(twelve("G"), arrangement) };
            of(&score.events(-8.0, 96.0), Percussion::Snare)
        });
        strokes.count()
    };
    assert!(plays(DrumStyle::Swing) > 100);
    assert_eq!(plays(DrumStyle::Brushes), 0);
}

#[test]
fn the_last_chorus_ends_on_the_home_chord_whatever_bar_twelve_says() {
    let quick =
        changes(FormKind::TwelveQuickChange, "G".parse().unwrap(), ChordStyle::Sevenths, Metre::FOUR_FOUR);
    let mut score = score(quick, Arrangement::default());
    score.times = Some(2);
    let bass_of_bar = |score: &Score, bar: f64| {
        let mut events = score.events((bar - 1.0) * 4.0, bar * 4.0);
        events.retain(|event| event.part == Part::Bass);
        events
    };
    // V is D; the home note is G.
    assert_eq!(bass_of_bar(&score, 12.0)[0].midi.number() % 12, 2);
    let last = bass_of_bar(&score, 24.0);
    assert_eq!((last.len(), last[0].midi.number() % 12), (1, 7));
    assert_eq!(score.events(96.0, 200.0), []);
}

#[test]
fn the_click_counts_what_was_asked_and_falls_silent() {
    let mut score = score(twelve("G"), Arrangement::default());
    score.parts = Parts::of(&[Part::Click]);
    let mut clicks = |click, drop_out| {
        score.arrangement = Arrangement { click, drop_out, ..Arrangement::default() };
        score.events(0.0, 8.0).iter().map(|event| event.position).collect::<Vec<_>>()
    };
    assert_eq!(clicks(ClickPattern::Backbeat, None), [1.0, 3.0, 5.0, 7.0]);
    assert_eq!(clicks(ClickPattern::First, None), [0.0, 4.0]);
    assert_eq!(clicks(ClickPattern::Beats, Some(DropOut { plays: 1, silent: 1 })), [0.0, 1.0, 2.0, 3.0]);
    assert_eq!(clicks(ClickPattern::Beats, Some(DropOut { plays: 0, silent: 0 })).len(), 8);
    let divided = clicks(ClickPattern::Divided, None);
    assert_eq!(divided.len(), 16);
    assert!((divided[1] - 2.0 / 3.0).abs() < 1e-12);
}

#[test]
fn stop_time_leaves_the_first_beats_of_four_bars() {
    let score =
        score(twelve("G"), Arrangement { stop_time: StopTime::EverySecond, ..Arrangement::default() });
    let stopped = score.events(48.0, 64.0);
    assert!(stopped.iter().all(|event| event.position % 4.0 == 0.0));
    assert_eq!(stopped.iter().filter(|event| event.part == Part::Bass).count(), 4);
    assert!(score.events(0.0, 16.0).iter().any(|event| event.position % 4.0 != 0.0));
}

#[test]
fn only_the_ride_follows_the_tempo() {
    let tempo = QuartersPerMinute::new(120.0).unwrap();
    let mut score =
        score(twelve("G"), Arrangement { drums: Some(DrumStyle::Swing), ..Arrangement::default() });
    score.touch.ride = Some(SwingRatio::by_tempo(tempo));
    let off_beats = |part: Part| {
        let events = score.events(0.0, 4.0);
        let drum = |event: &Event| part != Part::Drums || event.midi == Percussion::Ride.midi();
        let chosen = events.into_iter().filter(|e| e.part == part && drum(e));
        chosen.map(|e| e.position.fract()).filter(|into| *into > 0.0).collect::<Vec<_>>()
    };
    // 3.5:1 at 120 (Friberg and Sundström 2002, see `rhythm::feel`): the off-beat at 3.5/4.5.
    let ride = off_beats(Part::Drums);
    assert!(!ride.is_empty() && ride.iter().all(|into| (into - 3.5 / 4.5).abs() < 1e-9), "{ride:?}");
    let comp = off_beats(Part::Comp);
    assert!(comp.iter().all(|into| (into - 2.0 / 3.0).abs() < 1e-9), "{comp:?}");
}

/// Common practice, no source: between two dotted beats of 12/8 there are two eighths, so nothing falls elsewhere.
#[test]
fn in_twelve_eight_everything_falls_on_an_eighth() {
    let changes = changes(FormKind::Twelve, "G".parse().unwrap(), ChordStyle::Sevenths, Metre::TWELVE_EIGHT);
    for swing in [SwingRatio::STRAIGHT, SwingRatio::TRIPLET] {
        for seed in 0..10 {
            let arrangement = Arrangement { seed, busyness: Busyness::Lively, ..Arrangement::default() };
            let score = Score { swing, ..score(changes.clone(), arrangement) };
            for event in score.events(0.0, 72.0) {
                let eighths = event.position * 2.0;
                assert!((eighths - eighths.round()).abs() < 1e-9, "{event:?}");
            }
        }
    }
}

/// A band in any metre states each change and stays within its bars.
#[test]
fn parts_play_in_every_metre() {
    for (upper, lower) in [(2, 4), (3, 4), (5, 4), (6, 8), (7, 8), (9, 8), (1, 4), (16, 16)] {
        let metre = Metre::new(upper, lower).unwrap();
        let changes = changes(FormKind::TwelveJazz, "Eb".parse().unwrap(), ChordStyle::Sevenths, metre);
        for busyness in [Busyness::Sparse, Busyness::Lively] {
            let score = score(changes.clone(), Arrangement { busyness, ..Arrangement::default() });
            bass_states_every_change(&score);
            chords_hold_third_and_seventh_and_lead_smoothly(&score, 4);
            let drums = events(&score, Part::Drums, 1);
            assert!(
                drums.iter().all(|event| (0.0..changes.length().in_quarters()).contains(&event.position))
            );
            assert!(drums.len() >= changes.bars().len(), "{metre}");
        }
    }
}

#[test]
fn names_of_choices_read_back() {
    for (style, name) in DrumStyle::NAMES {
        assert_eq!(
            (named(name, &DrumStyle::NAMES), name_of(&style, &DrumStyle::NAMES)),
            (Some(style), Some(name))
        );
    }
    assert_eq!(named("none", &CompStyle::NAMES), None);
}

/// Common practice, no source: the chords leave the beats to the soloist who plays on them, and answer in the rests.
#[test]
fn chords_stay_out_of_the_soloists_way() {
    let note = |onset: i64| Note {
        onset: Ticks::QUARTER * onset,
        length: Ticks::QUARTER,
        pitch: "G4".parse().unwrap(),
        accent: false,
        ornament: None,
    };
    let notes = (0..4).map(note).collect();
    let divisions = vec![Division::HALVES; 4];
    let on_the_beats =
        Riff::from_parts(RiffId(1), String::new(), Ticks::ZERO, Ticks::QUARTER, divisions, notes).unwrap();
    for (seed, busyness) in (0..20).flat_map(|seed| [(seed, Busyness::Steady), (seed, Busyness::Lively)]) {
        let mut score = score(twelve("G"), Arrangement { seed, busyness, ..Arrangement::default() });
        let on_beats = |score: &Score| {
            let events = score.events(0.0, 48.0);
            events.iter().filter(|e| e.part == Part::Comp && e.position.fract() == 0.0).count()
        };
        assert!(on_beats(&score) > 0);
        score.solo = Solo::Over(Rc::new(on_the_beats.clone()));
        score.parts = score.parts.with(Part::Solo);
        // Of the rhythms that the band knows, only those off the beat throughout are played.
        assert_eq!(on_beats(&score), 0);
    }
}
