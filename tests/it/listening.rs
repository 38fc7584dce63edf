//! Listening: what is heard of sounds that are made here, and that nothing breaks it.

use proptest::prelude::*;
use riffloom::listen::{Event, Heard, Known, Listener, Model, transcribe};

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

/// The same while it listens: a second note by an A of 450 Hz lies 39 cents lower than the first by one of 440, and what
/// came before is not heard anew.
#[test]
fn a_listener_is_tuned_as_it_goes() {
    let mut listener = Listener::new(48_000.0, 440.0, &Model::built_in()).unwrap();
    let mut cents = Vec::new();
    for a4 in [440.0, 450.0] {
        listener.tune(a4).unwrap();
        listener.push(&plucked(440.0, 48_000.0));
        while let Some(event) = listener.next_note() {
            if let Event::Started(note) = event {
                cents.push((note.midi, note.cents, note.onset));
            }
        }
    }
    assert!(listener.tune(379.0).is_err());
    let [(69, first, _), (69, second, onset)] = cents[..] else { panic!("{cents:?}") };
    assert!((first - second - 38.9).abs() < 5.0, "{cents:?}");
    assert!((onset - 2.5).abs() < 0.02, "{cents:?}");
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
    #![proptest_config(crate::cases(12))]

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

/// A minute at 24 kHz of what is not music, each sample from its number and a uniform number from -1 to 1.
fn minute(sample: impl Fn(usize, f64) -> f64) -> Vec<f32> {
    let mut seed = 20_u32;
    let mut uniform = || {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(seed >> 8) / f64::from(1 << 23) - 1.0
    };
    (0..60 * 24_000).map(|k| sample(k, uniform()) as f32).collect()
}

/// At most one note in a minute of what is not music, in both passes.
#[track_caller]
fn check_that_nothing_is_heard(what: &str, samples: &[f32], clicks: &[f64]) {
    let model = Model::built_in();
    let known = Known { clicks: clicks.to_vec(), ..Known::default() };
    let notes = transcribe(samples, 24_000.0, 440.0, &known, &model).unwrap();
    assert!(notes.len() <= 1, "{what}: {} notes, {:?}", notes.len(), notes.first());
    let mut listener = Listener::new(24_000.0, 440.0, &model).unwrap();
    let mut told = 0;
    for (block, samples) in samples.chunks(128).enumerate() {
        let come = (block * 128) as f64 / 24_000.0;
        let next = |click: &&f64| (come..come + 128.0 / 24_000.0).contains(&(**click - 0.1));
        clicks.iter().filter(next).for_each(|click| listener.expect_click(*click));
        listener.push(samples);
        while let Some(event) = listener.next_note() {
            told += usize::from(matches!(event, Event::Started(_)));
        }
    }
    assert!(told <= 1, "{what}, as it comes: {told} notes");
}

#[test]
fn silence_and_noise_are_no_notes() {
    check_that_nothing_is_heard("silence", &minute(|_, _| 0.0), &[]);
    check_that_nothing_is_heard("white noise", &minute(|_, uniform| 0.05 * uniform), &[]);
    check_that_nothing_is_heard("soft noise", &minute(|_, uniform| 1e-3 * uniform), &[]);
    // Pink to within half a decibel above 30 Hz: P. Kellet's filter of three poles, from memory.
    let state = std::cell::Cell::new([0.0; 3]);
    let pink = minute(|_, uniform| {
        let [a, b, c] = state.get();
        let next = [
            0.99765 * a + 0.0990460 * uniform,
            0.96300 * b + 0.2965164 * uniform,
            0.57 * c + 1.0526913 * uniform,
        ];
        state.set(next);
        0.02 * (next.iter().sum::<f64>() + 0.1848 * uniform)
    });
    check_that_nothing_is_heard("pink noise", &pink, &[]);
}

/// A hundred and twenty clicks, every fourth higher, as a metronome gives them; known beforehand and not.
#[test]
fn clicks_are_no_notes() {
    let click = |k: usize, _: f64| {
        let (beat, time) = (k / 12_000, (k % 12_000) as f64 / 24_000.0);
        let hertz = if beat % 4 == 0 { 1_550.0 } else { 1_050.0 };
        0.3 * (std::f64::consts::TAU * hertz * time).sin() * (-time / 0.006).exp()
    };
    let times: Vec<f64> = (0..120).map(|beat| 0.5 * f64::from(beat)).collect();
    check_that_nothing_is_heard("known clicks", &minute(click), &times);
    check_that_nothing_is_heard("clicks", &minute(click), &[]);
}

/// Samples, their rate, what was played (onset, MIDI note), and the times of clicks.
type Rendered = (Vec<f32>, f64, Vec<(f64, f64)>, Vec<f64>);

/// A riff of `tests/data/listening`, rendered from a sound font with the times at which it was rendered.
fn rendered(name: &str) -> Rendered {
    let folder = format!("{}/tests/data/listening", env!("CARGO_MANIFEST_DIR"));
    let mut reader = hound::WavReader::open(format!("{folder}/audio/{name}.wav")).unwrap();
    let rate = f64::from(reader.spec().sample_rate);
    let samples = reader.samples::<i16>().map(|sample| f32::from(sample.unwrap()) / 32_768.0).collect();
    let truth = std::fs::read_to_string(format!("{folder}/truth/{name}.json")).unwrap();
    let truth: serde_json::Value = serde_json::from_str(&truth).unwrap();
    let list = |key: &str| truth[key].as_array().unwrap().clone();
    let notes = list("notes")
        .iter()
        .map(|note| (note["onset"].as_f64().unwrap(), note["midi"].as_f64().unwrap()))
        .collect();
    let clicks = list("clicks").iter().map(|click| click.as_f64().unwrap()).collect();
    (samples, rate, notes, clicks)
}

const RENDERED: [&str; 6] =
    ["bass", "clarinet-noise", "guitar-click", "piano", "trumpet-noise", "voice-room"];

/// How many of the notes were heard, within 50 ms and of the same pitch, as mir_eval matches them. Notes of one voice are
/// in order, and each is taken once.
fn matched(meant: &[(f64, f64)], heard: &[Heard]) -> u32 {
    let mut rest = heard;
    let mut found = 0;
    for (onset, midi) in meant {
        let is_it = |one: &Heard| (one.onset - onset).abs() <= 0.05 && f64::from(one.midi) == midi.round();
        if let Some(at) = rest.iter().position(is_it) {
            rest = &rest[at + 1..];
            found += 1;
        }
    }
    found
}

/// The floor only rises.
#[test]
fn rendered_riffs_are_heard() {
    const LEAST: f64 = 0.97;
    let model = Model::built_in();
    let (mut shared, mut all) = (0, 0);
    for name in RENDERED {
        let (samples, rate, meant, clicks) = rendered(name);
        let heard = transcribe(&samples, rate, 440.0, &Known { clicks, ..Known::default() }, &model).unwrap();
        let found = matched(&meant, &heard);
        println!("{name}: {found} of {}, {} heard", meant.len(), heard.len());
        shared += found;
        all += meant.len() + heard.len();
    }
    let f = 2.0 * f64::from(shared) / all as f64;
    assert!(f >= LEAST, "F is {f:.3}");
}

/// As they sound: every note is told within 120 ms of its onset, in blocks of an audio worklet. The floor only rises.
#[test]
fn notes_are_told_soon() {
    const LEAST: f64 = 0.9;
    let model = Model::built_in();
    let (mut shared, mut all) = (0, 0);
    for name in RENDERED {
        let (mut samples, rate, meant, clicks) = rendered(name);
        samples.extend(vec![0.0; 4_800]);
        let mut listener = Listener::new(rate, 440.0, &model).unwrap();
        clicks.iter().for_each(|click| listener.expect_click(*click));
        let (mut heard, mut come) = (Vec::new(), 0);
        for block in samples.chunks(128) {
            come += block.len();
            listener.push(block);
            while let Some(event) = listener.next_note() {
                if let Event::Started(note) = event {
                    let late = come as f64 / rate - note.onset;
                    assert!((0.0..=0.12).contains(&late), "{name}: told {late} s after {note:?}");
                    heard.push(note);
                }
            }
        }
        let found = matched(&meant, &heard);
        println!("{name}: {found} of {}, {} told", meant.len(), heard.len());
        shared += found;
        all += meant.len() + heard.len();
    }
    let f = 2.0 * f64::from(shared) / all as f64;
    assert!(f >= LEAST, "F is {f:.3}");
}

/// A way from two loudspeakers to a microphone: 40 ms, a tail of noise that dies by 60 dB in 0.2 s and lies 8 dB below, and
/// a little bending of what is loud (J. A. Moorer, "About this reverberation business", 1979).
fn through_a_room(played: &[Vec<f32>; 2], rate: f64) -> Vec<f32> {
    let mut seed = 5_u32;
    let mut uniform = || {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(seed >> 8) / f64::from(1 << 23) - 1.0
    };
    let late = (0.04 * rate) as usize;
    let count = (0.2 * rate) as usize;
    let mut heard = vec![0.0; played[0].len()];
    for played in played {
        let tail: Vec<f64> =
            (0..count).map(|k| uniform() * 10_f64.powf(-3.0 * k as f64 / count as f64)).collect();
        let loud = tail.iter().map(|one| one * one).sum::<f64>().sqrt();
        let tail: Vec<f32> = tail.iter().map(|one| (0.4 * one / loud) as f32).collect();
        let bent: Vec<f32> = played.iter().map(|one| (0.4 * one).tanh() / 0.4).collect();
        for at in late..heard.len() {
            let from = (at - late).saturating_sub(count - 1);
            let past = bent[from..=at - late].iter().rev();
            heard[at] += bent[at - late] + past.zip(&tail).map(|(one, other)| one * other).sum::<f32>();
        }
    }
    heard
}

/// The page plays a bass on the left and clicks on the right: nothing of it is a note once it has been heard for some
/// seconds, and a piano beside it is heard. The floors only rise.
#[test]
fn what_the_page_plays_is_no_note() {
    const LEAST: f64 = 0.85;
    let (bass, rate, _, _) = rendered("bass");
    let (piano, _, meant, _) = rendered("piano");
    let bass = &bass[..bass.len().min((5.0 * rate) as usize)];
    let begins = 3 * bass.len();
    let count = begins + piano.len();
    let click = |at: usize| {
        let time = (at % 12_000) as f64 / rate;
        (0.4 * (std::f64::consts::TAU * 1_300.0 * time).sin() * (-time / 0.008).exp()) as f32
    };
    let played =
        [(0..count).map(|at| bass[at % bass.len()]).collect(), (0..count).map(click).collect::<Vec<_>>()];
    let leaked = through_a_room(&played, rate);
    let energy = |samples: &[f32]| samples.iter().map(|one| f64::from(*one).powi(2)).sum::<f64>();
    let gain = (energy(&piano) / energy(&leaked[begins..]) / 16.0).sqrt() as f32;
    let mut heard: Vec<f32> = leaked.iter().map(|one| gain * one).collect();
    heard[begins..].iter_mut().zip(&piano).for_each(|(heard, piano)| *heard += piano);
    let mut listener = Listener::new(rate, 440.0, &Model::built_in()).unwrap();
    let (mut before, mut notes) = (0, Vec::new());
    for (block, samples) in heard.chunks(256).enumerate() {
        let beside = played.each_ref().map(|played| &played[block * 256..block * 256 + samples.len()]);
        listener.push_beside(samples, beside);
        while let Some(event) = listener.next_note() {
            let Event::Started(mut note) = event else { continue };
            note.onset -= begins as f64 / rate;
            before += usize::from((-8.0..-0.05).contains(&note.onset));
            notes.extend((note.onset >= -0.05).then_some(note));
        }
    }
    assert!(before <= 1, "{before} notes of the page's own");
    let found = matched(&meant, &notes);
    let f = 2.0 * f64::from(found) / (meant.len() + notes.len()) as f64;
    println!("{found} of {}, {} told, {before} before", meant.len(), notes.len());
    assert!(f >= LEAST, "F is {f:.3}");
}
