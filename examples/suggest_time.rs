//! Prints how long it takes to suggest up to ten choruses. A measurement, not a test.
//!
//! `cargo run --release --example suggest_time`

use std::hint::black_box;
use std::time::{Duration, Instant};

use riffloom::chorus::check::Range;
use riffloom::chorus::course::Course;
use riffloom::chorus::rules::{Adventure, Room};
use riffloom::chorus::score::Taste;
use riffloom::chorus::suggest::{Request, suggest};
use riffloom::form::standard::{self, ChordStyle, FormKind};
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Note, Riff, RiffId, edit};
use riffloom::theory::key::Key;
use riffloom::theory::pitch::Pitch;
use riffloom::theory::scale::ScaleKind;
use riffloom::units::{MidiNote, Ticks};

const RUNS: usize = 11;

fn main() {
    let key: Key = "G".parse().expect("G is a key");
    let riffs: Vec<Riff> = (0..32).map(|number| riff(key, number)).collect();
    let range =
        Range { lowest: MidiNote::new(55).expect("a note"), highest: MidiNote::new(79).expect("a note") };
    println!("Time to suggest up to ten choruses, in milliseconds (median of {RUNS}, least and most)\n");
    for (form, choruses) in
        [(FormKind::Twelve, 1), (FormKind::Twelve, 2), (FormKind::TwelveJazz, 2), (FormKind::Twelve, 4)]
    {
        for (adventure, name) in Adventure::ALL {
            let changes = standard::changes(form, key, ChordStyle::Sevenths, Metre::FOUR_FOUR);
            let course = Course::new(changes, choruses);
            let taste = Taste { adventure, room: Room::Some };
            let request = Request { riffs: &riffs, course: &course, range, taste, fixed: &[] };
            let mut times: Vec<Duration> = (0..RUNS).map(|_| time(&request)).collect();
            times.sort();
            let [least, middle, most] =
                [0, RUNS / 2, RUNS - 1].map(|index| times[index].as_secs_f64() * 1000.0);
            let what = format!("32 riffs, {}, {choruses} choruses, {name}", form.name());
            println!("{what:44}{middle:9.3}   ({least:.3} to {most:.3})");
        }
    }
}

fn time(request: &Request) -> Duration {
    let begun = Instant::now();
    let found = black_box(suggest(request, Request::SHOWN).expect("the riffs fit"));
    assert!(found.suggestions.len() >= 3, "there are some that differ");
    begun.elapsed()
}

/// Four to eight beats with four to seven notes of the blues scale and rests between, each number another riff.
fn riff(key: Key, number: usize) -> Riff {
    let mut dice = number as u64 + 1;
    let mut roll = |sides: u64| {
        // D. Lehmer's generator with the multiplier of Park and Miller, CACM 31(10), 1988.
        dice = dice * 48_271 % 2_147_483_647;
        dice / 7 % sides
    };
    let beats = 4 + (roll(3) * 2) as usize;
    let scale = ScaleKind::MinorBlues.notes(key.tonic());
    let mut riff = Riff::empty(RiffId(number as u64), Ticks::QUARTER, beats);
    if roll(4) == 0 {
        riff = edit::begin_at(&riff, -Ticks::QUARTER).expect("a beat early is allowed");
    }
    let half = Ticks::QUARTER / 2;
    let mut at = Ticks::ZERO;
    while at < riff.length() - half * 2 {
        let name = scale[roll(6) as usize];
        let octave_up = MidiNote::new(60 + (name.pitch_class() + 5) % 12 + 2).expect("a note");
        let pitch = (0..12)
            .find_map(|up| Pitch::of_name(name, MidiNote::new(i32::from(octave_up.number()) - 6 + up)?));
        let length = half * (1 + roll(3) as i64);
        let note = Note {
            onset: at,
            length,
            pitch: pitch.expect("every name is in an octave"),
            accent: roll(5) == 0,
            ornament: None,
        };
        riff = edit::insert(&riff, note).expect("it lies within the riff").riff;
        at = at + length + half * roll(2) as i64;
    }
    riff
}
