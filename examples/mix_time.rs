//! How fast a chorus with the whole band is mixed, and how loud the parts and voices are before any levelling.
//!
//! `cargo run --release --example mix_time`

use std::hint::black_box;
use std::rc::Rc;

use riffloom::files::abc;
use riffloom::form::standard::{ChordStyle, FormKind, changes};
use riffloom::perform::track::Track;
use riffloom::perform::{Part, Parts, Score};
use riffloom::rhythm::feel::SwingRatio;
use riffloom::sound::limit::Programme;
use riffloom::sound::loudness;
use riffloom::sound::mix::{self, Stereo};
use riffloom::sound::voice::{Lineup, Sample, Voice};
use riffloom::units::{Frames, MidiNote, QuartersPerMinute, SampleRate, Velocity};

const RIFF: &str = "X:1\nT:Porch light\nM:4/4\nL:1/8\nK:G\nD2 E_B =B2 G2|z G _BG D2 z2|\n";
const RATE: SampleRate = SampleRate::HZ_48000;
const RUNS: usize = 7;

fn track(parts: &[Part]) -> Track {
    let tune = abc::read(RIFF).expect("the riff is good ABC");
    let form = changes(FormKind::Twelve, tune.key, ChordStyle::Sevenths, tune.metre);
    let mut score =
        Score::new(Rc::new(form), Some(Rc::new(tune.riff)), SwingRatio::TRIPLET, Parts::of(parts));
    score.times = Some(1);
    let tempo = QuartersPerMinute::new(100.0).expect("within the range");
    Track::of(&score, tempo).expect("it ends after one time")
}

/// Seconds that this thread has had a core for, so that a busy machine measures alike. Linux only.
fn core_seconds() -> f64 {
    let text =
        std::fs::read_to_string("/proc/thread-self/schedstat").expect("Linux tells the time of a thread");
    let nanoseconds: f64 = text.split(' ').next().and_then(|first| first.parse().ok()).expect("a number");
    nanoseconds / 1e9
}

fn main() {
    let whole = track(&Part::ALL);
    let mut times = [0.0; RUNS].map(|_: f64| {
        let begun = core_seconds();
        let mut sound = mix::mix(&whole.sounds, Lineup::default(), RATE);
        let mixed = core_seconds() - begun;
        Programme::of(&sound, RATE).apply(Frames(0), &mut sound);
        (mixed, core_seconds() - begun, sound.left.len())
    });
    times.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mixed, levelled, frames) = times[RUNS / 2];
    let seconds = frames as f64 / f64::from(RATE.hz());
    println!(
        "A chorus of {seconds:.1} s with the whole band, {} sounds, median of {RUNS} runs:",
        whole.sounds.len()
    );
    println!(
        "  voices rendered and mixed in {:.0} ms of one core: {:.0} times real time",
        mixed * 1e3,
        seconds / mixed
    );
    println!(
        "  levelled and limited too {:.0} ms: {:.0} times real time",
        levelled * 1e3,
        seconds / levelled
    );
    println!("\nMilliseconds to render a buffer");
    for (name, part, midi) in
        [("a click", Part::Click, 76), ("a key", Part::Solo, 60), ("a bass note", Part::Bass, 40)]
    {
        let sample = Sample::of(part, MidiNote::new(midi).expect("a MIDI note"), Velocity::PLAIN);
        let begun = core_seconds();
        (0..100).for_each(|_| drop(black_box(sample.render(RATE))));
        println!("  {name:<12}{:6.2}", (core_seconds() - begun) * 1e3 / 100.0);
    }
    println!("\nLoudness before levelling, LUFS");
    for part in Part::ALL {
        println!("  {:<12}{}", part.name(), loud(&mix::mix(&track(&[part]).sounds, Lineup::default(), RATE)));
    }
    println!("  {:<12}{}", "all", loud(&mix::mix(&whole.sounds, Lineup::default(), RATE)));
    println!("\nThe riff alone in each voice");
    for solo in Voice::MELODIC {
        let lineup = Lineup { solo, ..Lineup::default() };
        println!("  {:<12}{}", solo.name(), loud(&mix::mix(&track(&[Part::Solo]).sounds, lineup, RATE)));
    }
}

fn loud(sound: &Stereo) -> String {
    let peak = loudness::true_peak(&sound.left, &sound.right).0;
    loudness::integrated(&sound.left, &sound.right, RATE)
        .map_or_else(|| "silent".to_owned(), |loud| format!("{:6.1}   true peak {peak:6.1} dBTP", loud.0))
}
