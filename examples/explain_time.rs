//! Prints how long it takes to explain a riff over a form: every note in every bar, the riff over the form and its
//! shape, with all sentences. A measurement, not a test.
//!
//! `cargo run --release --example explain_time`

use std::hint::black_box;
use std::time::{Duration, Instant};

use riffloom::form::standard::{self, ChordStyle, FormKind};
use riffloom::form::{Changes, chart};
use riffloom::insight::reasons;
use riffloom::insight::roles;
use riffloom::insight::shape::Shape;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Note, Riff, RiffId, edit};
use riffloom::theory::instrument::Reading;
use riffloom::theory::key::Key;
use riffloom::theory::scale::ScaleKind;
use riffloom::units::{MidiNote, Ticks};
use riffloom::view::words::note::{About, sentence, to_try};
use riffloom::view::words::{over_form, shape};

const RUNS: usize = 51;

fn main() {
    let key: Key = "G".parse().expect("G is a key");
    let form = |kind| standard::changes(kind, key, ChordStyle::Sevenths, Metre::FOUR_FOUR);
    let longest = vec!["G7 C7 D7 E7"; Changes::MOST_BARS].join(" | ");
    let longest = chart::parse(&longest, key, Metre::FOUR_FOUR).expect("a chart of 64 bars");
    println!("Time to explain a riff over a form, in milliseconds (median of {RUNS}, least and most)\n");
    for (name, changes, beats, notes) in [
        ("5 notes, 12-bar-quick-change", form(FormKind::TwelveQuickChange), 4, 5),
        ("16 notes, 12-bar-jazz", form(FormKind::TwelveJazz), 8, 16),
        ("64 notes, 12-bar-jazz", form(FormKind::TwelveJazz), 16, 64),
        ("64 notes, 64 bars of 4 chords", longest, 16, 64),
    ] {
        let riff = riff(beats, notes);
        let mut times: Vec<Duration> = (0..RUNS).map(|_| time(&changes, &riff)).collect();
        times.sort();
        let [least, middle, most] = [0, RUNS / 2, RUNS - 1].map(|index| times[index].as_secs_f64() * 1000.0);
        println!("{name:32}{middle:9.3}   ({least:.3} to {most:.3})");
    }
}

fn time(changes: &Changes, riff: &Riff) -> Duration {
    let begun = Instant::now();
    black_box(explain(changes, riff));
    begun.elapsed()
}

/// Every sentence that `riffloom explain` prints; gives their length, so that none is left out.
fn explain(changes: &Changes, riff: &Riff) -> usize {
    let about = About { riff, reading: Reading::concert(changes.key()) };
    let mut letters = 0;
    for bar in 0..changes.bars().len() {
        let insights = roles::over(changes, riff, bar);
        let kinds = reasons::kinds(changes, riff, &insights);
        for (insight, kind) in insights.iter().zip(&kinds) {
            letters += sentence(about, insight, kind).text.len();
            letters += to_try(about, insight).map_or(0, |sentence| sentence.text.len());
        }
    }
    let over = over_form::sentences(about, changes);
    letters += over.iter().map(|sentence| sentence.text.len()).sum::<usize>();
    let shape = Shape::of(riff, changes.bars()[0].metre);
    letters + shape::sentences(riff, &shape, about.reading).iter().map(String::len).sum::<usize>()
}

/// `notes` equal notes that fill `beats` beats as they can, up and down the twelve half steps.
fn riff(beats: usize, notes: usize) -> Riff {
    let empty = Riff::empty(RiffId(1), Ticks::QUARTER, beats);
    let length = empty.length() / notes as i64;
    let names = ScaleKind::Chromatic.notes("G".parse().expect("a note"));
    (0..notes).fold(empty, |riff, index| {
        let pitch = names.iter().find_map(|name| {
            let midi = MidiNote::new(60 + (index * 5 % 12) as i32)?;
            riffloom::theory::pitch::Pitch::of_name(*name, midi)
        });
        let pitch = pitch.expect("every half step has a name");
        let note =
            Note { onset: length * index as i64, length, pitch, accent: index % 3 == 0, ornament: None };
        edit::insert(&riff, note).expect("it lies within the riff").riff
    })
}
