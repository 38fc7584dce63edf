//! What the voices and the mix sound like, by measurement.

use riffloom::files::wav;
use riffloom::perform::planner::Planned;
use riffloom::perform::{Entry, Part};
use riffloom::sound::mix;
use riffloom::sound::voice::{Layer, Sample, Voice};
use riffloom::units::{AudioTime, Cents, Decibels, MidiNote, SampleRate, Seconds, Velocity};

const RATE: SampleRate = SampleRate::HZ_48000;

fn sample(voice: Voice, midi: i32, layer: Layer) -> Sample {
    Sample { voice, midi: MidiNote::new(midi).unwrap(), layer }
}

/// The frequency near `expected` at which a sine fits best: the phase of the fundamental is followed from one half of
/// the sound to the other, which is far finer than a cent.
fn frequency(sound: &[f32], expected: f64) -> f64 {
    let hz = f64::from(RATE.hz());
    let window = 8192;
    let phase = |begin: usize| {
        let (mut re, mut im) = (0.0, 0.0);
        for (frame, value) in sound[begin..begin + window].iter().enumerate() {
            let shape = 0.5 - 0.5 * (std::f64::consts::TAU * frame as f64 / window as f64).cos();
            let angle = std::f64::consts::TAU * expected * (begin + frame) as f64 / hz;
            re += f64::from(*value) * shape * angle.cos();
            im -= f64::from(*value) * shape * angle.sin();
        }
        im.atan2(re)
    };
    let (first, second) = (1000, 5000);
    let mut turned = phase(second) - phase(first);
    turned -= std::f64::consts::TAU * (turned / std::f64::consts::TAU).round();
    expected + turned / std::f64::consts::TAU * hz / (second - first) as f64
}

/// f = 440·2^((m−69)/12), the MIDI Tuning Standard; two cents is the least that a trained ear tells (from memory).
#[test]
fn pitched_voices_are_in_tune_within_two_cents() {
    for (voice, range) in [(Voice::Keys, 48..=96), (Voice::Comp, 48..=84), (Voice::Bass, 28..=60)] {
        for midi in range {
            for layer in [Layer::Soft, Layer::Hard] {
                let sample = sample(voice, midi, layer);
                let expected = sample.midi.frequency();
                let found = frequency(&sample.render(RATE), expected.0);
                let Cents(off) = riffloom::units::Hz(found).cents_above(expected);
                assert!(off.abs() < 2.0, "{voice:?} {midi}: {off} cents");
            }
        }
    }
}

#[test]
fn voices_begin_and_end_without_a_step_and_stay_below_full_scale() {
    let kit = [
        Voice::Kick,
        Voice::Snare,
        Voice::HiHat,
        Voice::Ride,
        Voice::Crash,
        Voice::ClickHigh,
        Voice::ClickLow,
    ];
    let pitched = [Voice::Keys, Voice::Comp, Voice::Bass];
    for voice in kit.into_iter().chain(pitched) {
        for layer in [Layer::Soft, Layer::Plain, Layer::Hard] {
            let sound = sample(voice, 60, layer).render(RATE);
            let peak = sound.iter().fold(0.0_f32, |peak, value| peak.max(value.abs()));
            assert!((0.05..1.0).contains(&peak), "{voice:?} {layer:?} peaks at {peak}");
            assert!(sound[0].abs() < 0.02 * peak, "{voice:?} begins at {}", sound[0]);
            assert_eq!(*sound.last().unwrap(), 0.0, "{voice:?}");
        }
    }
}

#[test]
fn harder_notes_are_brighter_not_only_louder() {
    let centroid = |layer| {
        let sound = sample(Voice::Keys, 60, layer).render(RATE);
        let energy: f64 = sound.iter().map(|value| f64::from(*value).powi(2)).sum();
        let slope: f64 = sound.windows(2).map(|pair| f64::from(pair[1] - pair[0]).powi(2)).sum();
        slope / energy
    };
    assert!(centroid(Layer::Soft) < centroid(Layer::Plain) && centroid(Layer::Plain) < centroid(Layer::Hard));
}

fn planned(part: Part, midi: i32, when: f64, duration: f64) -> Planned {
    let velocity = Velocity::PLAIN;
    let midi = MidiNote::new(midi).unwrap();
    let (when, duration, entry) = (AudioTime(when), Seconds(duration), Entry::Plain);
    Planned { id: 0, part, when, duration, midi, velocity, entry, take: 0 }
}

/// A sound in the mix is its own buffer, moved to its frame and scaled: the onset is exact to the sample.
#[test]
fn onsets_in_the_mix_are_exact_to_the_sample() {
    let sound = mix::mix(&[planned(Part::Solo, 67, 0.5, 1.0)], RATE);
    let buffer = Sample::of(Part::Solo, MidiNote::new(67).unwrap(), Velocity::PLAIN).render(RATE);
    assert!(sound.left[..24_000].iter().all(|value| *value == 0.0));
    let gain =
        mix::strip(Part::Solo).level.gain() * mix::velocity_gain(Velocity::PLAIN) * mix::pan_gains(0.0).0;
    for frame in [10, 1000, 40_000] {
        assert!((f64::from(sound.left[24_000 + frame]) - f64::from(buffer[frame]) * gain).abs() < 1e-6);
    }
}

#[test]
fn a_short_note_is_released_without_a_step() {
    let sound = mix::mix(&[planned(Part::Solo, 60, 0.0, 0.1)], RATE);
    let whole = mix::mix(&[planned(Part::Solo, 60, 0.0, 9.0)], RATE);
    let step = |sound: &mix::Stereo| {
        sound.left.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0_f32, f32::max)
    };
    assert!(step(&sound) <= step(&whole) * 1.0001);
    assert_eq!(sound.left.len(), ((0.1 + mix::RELEASE.0) * 48_000.0).round() as usize);
}

#[test]
fn a_file_stays_under_its_ceiling() {
    let chord: Vec<Planned> = (40..76).map(|midi| planned(Part::Solo, midi, 0.0, 1.0)).collect();
    let mut sound = mix::mix(&chord, RATE);
    assert!(mix::peak(&sound) > 1.0);
    mix::keep_under(&mut sound, Decibels(-1.0));
    assert!(f64::from(mix::peak(&sound)) <= Decibels(-1.0).gain() + 1e-6);
}

/// Read back by the crate `hound`, an independent reader of WAV.
#[test]
fn files_read_back_with_an_independent_reader() {
    let left: Vec<f32> = (0..1000).map(|frame| (frame as f32 * 0.01).sin() * 0.5).collect();
    let right = vec![0.0; 1000];
    let bytes = wav::write(&left, &right, RATE, 7);
    let mut reader = hound::WavReader::new(bytes.as_slice()).unwrap();
    let spec = reader.spec();
    assert_eq!((spec.channels, spec.sample_rate, spec.bits_per_sample), (2, 48_000, 16));
    let samples: Vec<i16> = reader.samples().map(Result::unwrap).collect();
    assert_eq!(samples.len(), 2000);
    for (frame, value) in left.iter().enumerate() {
        assert!((f32::from(samples[2 * frame]) / 32_767.0 - value).abs() < 2.0 / 32_767.0);
        assert_eq!(samples[2 * frame + 1], 0);
    }
}
