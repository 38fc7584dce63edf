//! What the voices and the mix sound like, by measurement.

use std::collections::BTreeMap;
use std::rc::Rc;

use riffloom::files::wav;
use riffloom::form::standard::{ChordStyle, FormKind, changes};
use riffloom::perform::planner::Planned;
use riffloom::perform::takes::TAKES;
use riffloom::perform::track::Track;
use riffloom::perform::{Attack, Part, Parts, Score};
use riffloom::rhythm::feel::SwingRatio;
use riffloom::sound::limit::{self, Programme};
use riffloom::sound::loudness::{self, Lufs};
use riffloom::sound::mix::{self, Mixer, Space, Stereo};
use riffloom::sound::mixdown::{Mixdown, Step};
use riffloom::sound::room;
use riffloom::sound::voice::{Layer, Lineup, Reach, Sample, Voice};
use riffloom::units::{
    AudioTime, Cents, Decibels, Frames, Hz, MidiNote, QuartersPerMinute, SampleRate, Seconds, Tuning,
    Velocity,
};

const RATE: SampleRate = SampleRate::HZ_48000;

fn sample(voice: Voice, midi: i32, layer: Layer) -> Sample {
    Sample {
        voice,
        midi: MidiNote::new(midi).unwrap(),
        layer,
        attack: Attack::Plain,
        falls_after: 0,
        take: 0,
        reach: Reach::Whole,
        tuning: Tuning::ORDINARY,
    }
}

/// Where each pitched voice is used, in MIDI notes.
const RANGES: [(Voice, i32, i32); 12] = [
    (Voice::Keys, 36, 96),
    (Voice::Organ, 36, 96),
    (Voice::Guitar, 40, 88),
    (Voice::Vibraphone, 53, 89),
    (Voice::Reed, 44, 88),
    (Voice::Flute, 60, 96),
    (Voice::Bass, 28, 60),
    (Voice::Upright, 36, 96),
    (Voice::Harmonica, 60, 96),
    (Voice::Tenor, 44, 76),
    (Voice::MutedBrass, 52, 84),
    (Voice::Doo, 45, 81),
];

/// The frequency near `expected` at which a sine fits best: the phase of the fundamental is followed from one part of
/// the sound to another, which is far finer than a cent.
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
    for (voice, lowest, highest) in RANGES {
        for midi in (lowest..=highest).step_by(if cfg!(debug_assertions) { 6 } else { 1 }) {
            for layer in [Layer::Soft, Layer::Hard] {
                let sample = sample(voice, midi, layer);
                let expected = sample.midi.frequency();
                let Cents(off) = Hz(frequency(&sample.render(RATE), expected.0)).cents_above(expected);
                assert!(off.abs() < 2.0, "{voice:?} {midi} {layer:?}: {off} cents");
            }
        }
    }
}

/// Values: A·2^((m−69)/12), worked by hand: 432 for the A itself, and an octave and a third lower 432·2^(−16/12). Drums
/// have no pitch to be tuned, and one buffer whatever the tuning.
#[test]
fn everything_with_a_pitch_follows_the_tuning() {
    let lineup = Lineup { tuning: Tuning::new(432).unwrap(), ..Lineup::default() };
    for (midi, expected) in [(69, 432.0), (53, 171.439)] {
        let midi = MidiNote::new(midi).unwrap();
        let sample = lineup.key(midi, Velocity::PLAIN);
        let Cents(off) = Hz(frequency(&sample.render(RATE), expected)).cents_above(Hz(expected));
        assert!(off.abs() < 2.0, "{expected}: {off} cents");
        assert_eq!(Sample::from_code(sample.code()), Some(sample));
        assert_ne!(sample.code(), Lineup::default().key(midi, Velocity::PLAIN).code());
    }
    assert!(lineup.kit().eq(Lineup::default().kit()));
    assert_eq!((Tuning::new(429), Tuning::new(451)), (None, None));
}

/// The largest step from one frame to the next.
fn step(sound: &[f32]) -> f32 {
    sound.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0, f32::max)
}

fn peak(sound: &[f32]) -> f32 {
    sound.iter().fold(0.0, |peak, value| peak.max(value.abs()))
}

/// The start is no step: what the first frames do, the sound itself does more strongly later.
#[test]
fn voices_begin_and_end_without_a_step_and_stay_below_full_scale() {
    for voice in Voice::ALL {
        for layer in Layer::ALL {
            let sound = sample(voice, 60, layer).render(RATE);
            let peak = peak(&sound);
            assert!((0.2..1.0).contains(&peak), "{voice:?} {layer:?} peaks at {peak}");
            assert!(sound[0].abs() < 0.02 * peak, "{voice:?} begins at {}", sound[0]);
            assert!(step(&sound[..16]) <= step(&sound[16..]), "{voice:?} {layer:?} begins with a step");
            assert_eq!(*sound.last().unwrap(), 0.0, "{voice:?}");
            assert!(peak.is_finite() && sound.iter().all(|value| value.is_finite()));
        }
    }
}

/// Brightness: the centre of gravity of the spectrum in its simplest form, from the power of the slope.
fn brightness(sound: &[f32]) -> f64 {
    let power: f64 = sound.iter().map(|value| f64::from(*value).powi(2)).sum();
    let slope: f64 = sound.windows(2).map(|pair| f64::from(pair[1] - pair[0]).powi(2)).sum();
    (slope / power).sqrt() * f64::from(RATE.hz()) / std::f64::consts::TAU
}

#[test]
fn harder_notes_are_brighter_not_only_louder() {
    let drums = [(Voice::Snare, 38), (Voice::Kick, 36), (Voice::Tom, 45), (Voice::Ride, 51)];
    let pitched = RANGES.map(|(voice, lowest, highest)| (voice, (lowest + highest) / 2));
    for (voice, midi) in pitched.into_iter().chain(drums) {
        let [soft, plain, hard] =
            Layer::ALL.map(|layer| brightness(&sample(voice, midi, layer).render(RATE)));
        assert!(soft * 1.02 < plain && plain * 1.02 < hard, "{voice:?}: {soft} {plain} {hard}");
    }
}

/// Notes in a row have different takes (`perform`'s business), and those differ, for more than a stroke of the same
/// loudness: by ear no two alike. The click never differs.
#[test]
fn no_two_takes_are_alike() {
    for voice in Voice::ALL {
        let of = |take| Sample { take, ..sample(voice, 60, Layer::Plain) }.render(RATE);
        let takes: Vec<Vec<f32>> = (0..voice.takes()).map(of).collect();
        let is_click = matches!(voice, Voice::WoodClick | Voice::PipClick | Voice::StickClick);
        assert_eq!(takes.len(), if is_click { 1 } else { usize::from(TAKES) });
        for (one, another) in (0..takes.len()).flat_map(|one| (0..one).map(move |another| (one, another))) {
            assert_ne!(takes[one], takes[another], "{voice:?} {one} {another}");
            let louder = Decibels::of_gain(f64::from(peak(&takes[one]) / peak(&takes[another]))).0;
            assert!(louder.abs() < 1.0, "{voice:?}: {louder} dB");
        }
    }
}

/// A take is off by less than the two cents that a trained ear tells (from memory), the first by nothing, and all
/// together by nothing: what is practised against them stays in tune.
#[test]
fn takes_breathe_and_stay_in_tune() {
    for (voice, midi) in [(Voice::Keys, 60), (Voice::Reed, 62), (Voice::Guitar, 64), (Voice::Bass, 43)] {
        let off = |take| {
            let sample = Sample { take, ..sample(voice, midi, Layer::Plain) };
            let expected = sample.midi.frequency();
            Hz(frequency(&sample.render(RATE), expected.0)).cents_above(expected).0
        };
        let [first, second, third] = [off(0), off(1), off(2)];
        assert!(first.abs() < 0.1, "{voice:?}: {first} cents");
        assert!(second > 0.5 && second < 2.0 && third < -0.5 && third > -2.0, "{voice:?}: {second}, {third}");
        assert!((first + second + third).abs() / 3.0 < 0.1, "{voice:?}");
    }
}

/// Whichever of the two buffers a note has, on the page or in a file, its frames are the same.
#[test]
fn a_short_buffer_is_what_the_whole_one_begins_with() {
    for voice in Voice::MELODIC.into_iter().chain([Voice::Bass]) {
        for (attack, falls_after) in [(Attack::Plain, 0), (Attack::Scooped, 0), (Attack::Falling, 7)] {
            let whole = Sample { attack, falls_after, take: 1, ..sample(voice, 57, Layer::Hard) };
            let short = Sample { reach: Reach::Short, ..whole };
            assert!(whole.serves(short) && !short.serves(whole));
            let (whole, short) = (whole.render(RATE), short.render(RATE));
            assert_eq!(short.len(), 36_000);
            // A scoop looks two frames ahead, where a short buffer ends.
            assert_eq!(whole[..35_990], short[..35_990], "{voice:?} {attack:?}");
        }
    }
}

/// What a listener hears again and again: no part plays a pitch twice running from the same buffer, click apart.
#[test]
fn no_note_is_followed_by_its_own_samples() {
    let riff = riffloom::files::abc::read("X:1\nM:4/4\nL:1/8\nK:G\nGGGG GGGG|").unwrap();
    let form = changes(FormKind::Twelve, riff.key, ChordStyle::Sevenths, riff.metre);
    for seed in 0..20 {
        let riff = Some(Rc::new(riff.riff.clone()));
        let mut score = Score::new(Rc::new(form.clone()), riff, SwingRatio::TRIPLET, Parts::of(&Part::ALL));
        score.times = Some(1);
        score.arrangement.seed = seed;
        let track = Track::of(&score, QuartersPerMinute::new(120.0).unwrap()).unwrap();
        let mut last: BTreeMap<(Part, MidiNote), Sample> = BTreeMap::new();
        for sound in track.sounds.iter().filter(|sound| sound.part != Part::Click) {
            let sample = Lineup::default().sample(sound);
            let before = last.insert((sound.part, sound.midi), sample);
            assert!(before.is_none_or(|before| before.take != sample.take), "{sound:?}");
        }
        assert!(last.len() > 20);
    }
}

/// A scoop begins a half step or so below, arrives at the pitch and stays there (a scoop's depth and length: common
/// practice, no source).
#[test]
fn scooped_notes_begin_below_and_arrive() {
    for voice in [Voice::Keys, Voice::Reed, Voice::Guitar] {
        let plain = sample(voice, 69, Layer::Plain);
        let scooped = Sample { attack: Attack::Scooped, ..plain }.render(RATE);
        let found = Hz(frequency(&scooped[8_000..], 440.0));
        assert!(found.cents_above(Hz(440.0)).0.abs() < 2.0, "{voice:?} arrives at {found:?}");
        assert_eq!(scooped.len(), plain.render(RATE).len());
        let begins = Hz(frequency_of_start(&scooped));
        let Cents(below) = begins.cents_above(Hz(440.0));
        assert!((-150.0..-40.0).contains(&below), "{voice:?} begins {below} cents off");
    }
}

/// A fall leaves its pitch a quarter of a second before the note is over and is a third to a fifth below at its end, softer,
/// without a click (common practice, no source); what cannot bend ends as it is.
#[test]
fn falling_notes_end_below_and_softer() {
    for solo in [Voice::Reed, Voice::Flute, Voice::Guitar, Voice::Harmonica, Voice::MutedBrass, Voice::Doo] {
        let lineup = Lineup { solo, ..Lineup::default() };
        let plain = lineup.sample(&planned(Part::Solo, 69, 0.0, 0.6));
        let falling =
            lineup.sample(&Planned { attack: Attack::Falling, ..planned(Part::Solo, 69, 0.0, 0.6) });
        assert_eq!(Sample::from_code(falling.code()), Some(falling));
        let (plain, fallen) = (plain.render(RATE), falling.render(RATE));
        // 600 − 280 ms, in sixteenths: at 312.5 ms.
        assert_eq!(plain[..15_000], fallen[..15_000], "{solo:?}");
        assert!(step(&fallen[14_000..28_800]) <= 1.1 * step(&plain), "{solo:?} clicks");
        let strongest = |from: usize, sound: &[f32]| {
            let hertz = (300..460).map(f64::from);
            let power = |hz: &f64| strength(&sound[from..from + 2400], *hz);
            hertz.max_by(|a, b| power(a).total_cmp(&power(b))).unwrap()
        };
        let Cents(below) = Hz(strongest(26_400, &fallen)).cents_above(Hz(440.0));
        assert!((-700.0..-250.0).contains(&below), "{solo:?}: {below} cents");
        assert!(peak(&fallen[26_400..28_800]) < 0.6 * peak(&plain[26_400..28_800]), "{solo:?}");
        // One that is held for as long as can be said, and longer.
        let long = |held| Planned { attack: Attack::Falling, ..planned(Part::Solo, 69, 0.0, held) };
        assert_eq!(lineup.sample(&long(5.0)).attack, Attack::Plain);
    }
    let struck =
        Lineup::default().sample(&Planned { attack: Attack::Falling, ..planned(Part::Solo, 69, 0.0, 0.6) });
    assert_eq!(struck.attack, Attack::Plain);
}

/// How strong a frequency is in these frames.
fn strength(frames: &[f32], hz: f64) -> f64 {
    let (mut re, mut im) = (0.0, 0.0);
    for (frame, value) in frames.iter().enumerate() {
        let shape = 0.5 - 0.5 * (std::f64::consts::TAU * frame as f64 / frames.len() as f64).cos();
        let angle = std::f64::consts::TAU * hz * frame as f64 / 48_000.0;
        re += f64::from(*value) * shape * angle.cos();
        im += f64::from(*value) * shape * angle.sin();
    }
    re * re + im * im
}

/// The frequency between 400 and 460 Hz that is strongest in the first 50 ms.
fn frequency_of_start(sound: &[f32]) -> f64 {
    let power = |hz: f64| strength(&sound[..2400], hz);
    (400..460).map(f64::from).max_by(|a, b| power(*a).total_cmp(&power(*b))).unwrap()
}

#[test]
fn codes_go_there_and_back() {
    for voice in Voice::ALL {
        for layer in Layer::ALL {
            for take in 0..voice.takes() {
                for (attack, falls_after) in [(Attack::Plain, 0), (Attack::Scooped, 0), (Attack::Falling, 63)]
                {
                    for reach in [Reach::Short, Reach::Whole] {
                        let sample = Sample { take, attack, falls_after, reach, ..sample(voice, 61, layer) };
                        assert_eq!(Sample::from_code(sample.code()), Some(sample));
                    }
                }
            }
        }
    }
    assert_eq!(Sample::from_code(u32::MAX), None);
    assert!(Voice::ALL.iter().all(|voice| Voice::named(voice.name()) == Some(*voice)));
}

fn planned(part: Part, midi: i32, when: f64, duration: f64) -> Planned {
    let velocity = Velocity::PLAIN;
    let midi = MidiNote::new(midi).unwrap();
    let (when, duration, attack) = (AudioTime(when), Seconds(duration), Attack::Plain);
    Planned { id: 0, part, when, duration, midi, velocity, attack, take: 0, written: None }
}

fn mixed(planned: &[Planned]) -> Stereo {
    mix::mix(planned, Lineup::default(), RATE)
}

/// Without the room.
fn dry(planned: &[Planned]) -> Stereo {
    let mut mixer = Mixer::new(Lineup::default(), RATE, Space::Dry);
    planned.iter().for_each(|sound| mixer.add(sound));
    mixer.take(mix::length(planned, Lineup::default(), RATE, Space::Dry))
}

/// A sound in the mix is its own buffer, moved to its frame and scaled: the onset is exact to the sample.
#[test]
fn onsets_in_the_mix_are_exact_to_the_sample() {
    let sound = dry(&[planned(Part::Solo, 67, 0.5, 1.0)]);
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
    let sound = dry(&[planned(Part::Solo, 60, 0.0, 0.1)]);
    let whole = dry(&[planned(Part::Solo, 60, 0.0, 9.0)]);
    assert!(step(&sound.left) <= step(&whole.left) * 1.0001);
    assert_eq!(sound.left.len(), ((0.1 + mix::RELEASE.0) * 48_000.0).round() as usize);
}

/// A chorus's worth of crowded chords with drums, far above full scale in places.
fn crowded() -> Stereo {
    let chords = (0..24).flat_map(|beat| {
        (45..75).step_by(5).map(move |midi| planned(Part::Solo, midi, f64::from(beat) * 0.5, 0.45))
    });
    let drums = (0..24)
        .map(|beat| planned(Part::Drums, if beat % 2 == 0 { 36 } else { 38 }, f64::from(beat) * 0.5, 0.1));
    mixed(&chords.chain(drums).collect::<Vec<_>>())
}

/// Loudness −16 ± 1 LUFS and a true peak of at most −1 dBTP; checked against another meter in `tests/reference`.
#[test]
fn a_programme_has_its_loudness_and_stays_under_its_ceiling() {
    let clicks: Vec<Planned> =
        (0..24).map(|beat| planned(Part::Click, 76, f64::from(beat) * 0.5, 0.1)).collect();
    // Clicks alone would have to be squashed to be as loud as music, and are not.
    for (sound, least) in [(crowded(), -17.0), (mixed(&clicks), -40.0)] {
        let programme = Programme::of(&sound, RATE);
        let mut out = sound.clone();
        programme.apply(Frames(0), &mut out);
        let peak = loudness::true_peak(&out.left, &out.right);
        assert!(peak.0 <= -1.0, "{} dBTP", peak.0);
        let Lufs(loud) = loudness::integrated(&out.left, &out.right, RATE).unwrap();
        assert!(
            (least..=limit::TARGET.0 + 1.0).contains(&loud),
            "{loud} LUFS with {} dips",
            programme.dips.len()
        );
        assert!(programme.dips.windows(2).all(|pair| pair[0].at < pair[1].at));
    }
}

#[test]
fn silence_stays_silence() {
    let mut silence = Stereo { left: vec![0.0; 48_000], right: vec![0.0; 48_000] };
    Programme::of(&silence, RATE).apply(Frames(0), &mut silence);
    assert_eq!(peak(&silence.left), 0.0);
    Programme::of(&Stereo::default(), RATE).apply(Frames(0), &mut Stereo::default());
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

/// The room is there, comes after the sound and never before it, and stays far below it.
#[test]
fn the_room_is_quiet_and_comes_after_the_sound() {
    let sounds = [planned(Part::Solo, 67, 0.5, 0.2), planned(Part::Comp, 60, 0.5, 0.2)];
    let (wet, dry) = (mixed(&sounds), dry(&sounds));
    let (mut room, mut sound) = (0.0, 0.0);
    for (wet, dry) in [(&wet.left, &dry.left), (&wet.right, &dry.right)] {
        assert_eq!(wet.len(), dry.len() + RATE.frame_at(room::LENGTH).0 as usize);
        for (frame, wet) in wet.iter().enumerate() {
            let dry = dry.get(frame).copied().unwrap_or(0.0);
            // Nothing before the nearest wall, 2.9 ms away.
            assert!(frame > 24_000 + 130 || (wet - dry).abs() < 1e-9, "frame {frame}");
            room += f64::from(wet - dry).powi(2);
            sound += f64::from(dry).powi(2);
        }
    }
    let level = 10.0 * (room / sound).log10();
    assert!((-24.0..-12.0).contains(&level), "{level} dB");
}

/// Music made slice by slice is the music made at once: short music, which is kept between the two passes, and music
/// longer than a minute, which is mixed twice.
#[test]
fn slices_are_the_whole() {
    for apart in [0.5, 5.0] {
        let sounds: Vec<Planned> = (0..16_u8)
            .map(|at| planned([Part::Solo, Part::Drums][usize::from(at % 2)], 38, f64::from(at) * apart, 0.4))
            .collect();
        let mut whole = mixed(&sounds);
        Programme::of(&whole, RATE).apply(Frames(0), &mut whole);
        let mut work = Mixdown::new(sounds, Lineup::default(), RATE, Space::Room);
        let mut made = Stereo::default();
        let mut progress = 0.0;
        loop {
            match work.step() {
                Step::Measured => assert!(made.left.is_empty()),
                Step::Finished(slice) => {
                    assert!(slice.left.len() <= 48_000);
                    made.left.extend(slice.left);
                    made.right.extend(slice.right);
                }
                Step::Over => break,
            }
            assert!(work.progress() > progress && work.progress() <= 1.0);
            progress = work.progress();
        }
        assert!((progress - 1.0).abs() < 1e-9);
        assert_eq!(made.left.len() as u64, work.frames().0);
        assert!(made == whole, "{apart} s apart");
    }
}

/// On a page the gain is the file's, unless peaks would then reach where the guard bends: half of full scale.
#[test]
fn a_page_plays_at_the_files_gain_as_long_as_nothing_has_to_dip() {
    let master = Decibels(-6.0);
    let tone: Vec<f32> = (0..144_000).map(|frame| (frame as f32 * 0.05).sin() * 0.1).collect();
    let quiet = Programme::of(&Stereo { left: tone.clone(), right: tone }, RATE);
    assert_eq!(quiet.gain_without_dips(master), quiet.gain);
    let clicks: Vec<Planned> =
        (0..24).map(|beat| planned(Part::Click, 76, f64::from(beat) * 0.5, 0.1)).collect();
    let sharp = mixed(&clicks);
    let programme = Programme::of(&sharp, RATE);
    assert!(!programme.dips.is_empty());
    let highest = f64::from(peak(&sharp.left).max(peak(&sharp.right)));
    let reached = highest * programme.gain_without_dips(master) * master.gain();
    assert!((reached - 0.5).abs() < 1e-6, "{reached}");
}
