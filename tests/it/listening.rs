//! Listening: what is heard of sounds that are made here, and that nothing breaks it.

use proptest::prelude::*;
use riffloom::listen::{Event, Known, Listener, Model, transcribe};

/// A second and a half of a plucked tone at `hz` from half a second on, at `rate`.
fn plucked(hz: f64, rate: f64) -> Vec<f32> {
    (0..(2.0 * rate) as usize)
        .map(|k| {
            let time = k as f64 / rate - 0.5;
            if time < 0.0 {
                return 0.0;
            }
            let partial = |n: i32| (std::f64::consts::TAU * hz * f64::from(n) * time).sin() / f64::from(n);
            (0.3 * (1..=6).map(partial).sum::<f64>() * (-3.0 * time).exp()) as f32
        })
        .collect()
}

/// A4 by ISO 16:1975, at the rates of sound cards. The onset is when it was made to begin; 10 ms are a fifth of the window
/// in which onsets are matched (mir_eval).
#[test]
fn a_plucked_note_is_heard_at_any_rate() {
    let model = Model::built_in();
    for rate in [22_050.0, 44_100.0, 48_000.0, 96_000.0] {
        let notes = transcribe(&plucked(440.0, rate), rate, 440.0, &Known::default(), &model).unwrap();
        assert_eq!(notes.len(), 1, "{rate}: {notes:?}");
        assert_eq!(notes[0].midi, 69, "{rate}");
        assert!(notes[0].cents.abs() < 5.0, "{rate}: {notes:?}");
        assert!((notes[0].onset - 0.5).abs() < 0.02, "{rate}: {notes:?}");
        assert!(notes[0].offset.unwrap() > 1.0, "{rate}: {notes:?}");
    }
}

/// The same pitch by an A of 450 Hz lies 39 cents lower: 1200·log2(440/450) = -38.9.
#[test]
fn cents_are_counted_from_the_given_a() {
    let notes = transcribe(&plucked(440.0, 48_000.0), 48_000.0, 450.0, &Known::default(), &Model::built_in())
        .unwrap();
    assert_eq!(notes[0].midi, 69);
    assert!((notes[0].cents + 38.9).abs() < 5.0, "{notes:?}");
}

#[test]
fn impossible_rates_are_refused() {
    let model = Model::built_in();
    for rate in [0.0, -48_000.0, 2_999.0, 1e9, f64::NAN, f64::INFINITY] {
        assert!(Listener::new(rate, 440.0, &model).is_err(), "{rate}");
    }
    for a4 in [0.0, 379.0, 501.0, f64::NAN] {
        assert!(Listener::new(48_000.0, a4, &model).is_err(), "{a4}");
    }
}

/// Samples that no microphone gives.
fn sample() -> impl Strategy<Value = f32> {
    prop_oneof![
        4 => -1.0_f32..1.0,
        1 => any::<f32>(),
        1 => Just(f32::NAN),
        1 => Just(f32::INFINITY),
        1 => Just(0.0),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn nothing_breaks_it(
        rate in 3_000.0..768_000.0_f64,
        piece in prop::collection::vec(sample(), 1..200),
        times in 1..200_usize,
        sizes in prop::collection::vec(1..5_000_usize, 1..8),
        clicks in prop::collection::vec(any::<f64>(), 0..100),
    ) {
        let mut listener = Listener::new(rate, 440.0, &Model::built_in()).unwrap();
        clicks.iter().for_each(|click| listener.expect_click(*click));
        let samples = piece.repeat(times);
        let mut rest = samples.as_slice();
        for size in sizes.iter().cycle() {
            let (block, after) = rest.split_at((*size).min(rest.len()));
            listener.push(block);
            rest = after;
            while let Some(event) = listener.next_note() {
                if let Event::Started(heard) = event {
                    prop_assert!(heard.onset.is_finite() && heard.onset >= 0.0 && heard.midi < 128);
                    prop_assert!(heard.cents.abs() <= 50.01 && (0.0..=1.0).contains(&heard.strength));
                }
            }
            prop_assert!(listener.level().peak.is_finite() && listener.level().rms.is_finite());
            if rest.is_empty() {
                break;
            }
        }
    }
}
