//! Prints how long it takes to look through a free chorus: a notebook's riffs in it, and what is worth keeping.
//!
//! `cargo run --release --example find_time`

use std::time::Instant;

use riffloom::chorus::course::Course;
use riffloom::form::standard::{self, ChordStyle, FormKind};
use riffloom::found::find::riffs_in;
use riffloom::found::free::{Free, FreeNote};
use riffloom::found::ideas::ideas;
use riffloom::rhythm::feel::SwingRatio;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Note, Riff, RiffId, edit};
use riffloom::theory::key::Key;
use riffloom::theory::spell::Around;
use riffloom::units::{MidiNote, Ticks};

const SCALE: [i32; 6] = [67, 70, 72, 73, 74, 77];

fn main() {
    let key: Key = "G".parse().expect("G is a key");
    let form = standard::changes(FormKind::Twelve, key, ChordStyle::Sevenths, Metre::FOUR_FOUR);
    for (choruses, count) in [(1, 8), (1, 64), (4, 64)] {
        let course = Course::new(form.clone(), choruses);
        let riffs: Vec<Riff> = (0..count).map(|seed| riff(key, seed)).collect();
        let begin = Instant::now();
        let free = Free::of(&course, solo(&course), SwingRatio::TRIPLET);
        let found = riffs_in(&free, &course, &riffs, &[]);
        let looked = begin.elapsed().as_secs_f64() * 1e3;
        let begin = Instant::now();
        let ideas = ideas(&free, &course, &found, 10);
        let thought = begin.elapsed().as_secs_f64() * 1e3;
        println!(
            "{choruses} choruses, {} notes, {count} riffs: {looked:.1} ms to find {}, {thought:.1} ms for {} ideas",
            free.sounded.len(),
            found.len(),
            ideas.len()
        );
    }
}

/// A note on most half beats; every eighth bar line is followed by a rest.
fn solo(course: &Course) -> Vec<FreeNote> {
    let half = Ticks::QUARTER / 2;
    let places =
        (0..course.length().div_floor(half)).filter(|place| place % 16 < 11 && place * place % 7 < 5);
    let midi = |place: i64| MidiNote::new(SCALE[(place * place * 3 + place) as usize % 6]);
    let note = |place: i64| Some(FreeNote { at: half * place, length: half, midi: midi(place)? });
    places.filter_map(note).collect()
}

/// Six notes in four beats.
fn riff(key: Key, seed: usize) -> Riff {
    let empty = Riff::empty(RiffId(seed as u64), Ticks::QUARTER, 4);
    (0..6).fold(empty, |riff, index| {
        let midi = MidiNote::new(SCALE[(index * seed + index / 2) % 6]).unwrap_or(MidiNote::MIDDLE_C);
        let onset = Ticks::QUARTER / 2 * (index as i64 + i64::from(seed.is_multiple_of(2) && index > 2));
        let pitch = Around::key(key).spell(midi);
        let note = Note { onset, length: Ticks::QUARTER / 2, pitch, accent: false, ornament: None };
        edit::insert(&riff, note).map_or(riff, |placed| placed.riff)
    })
}
