//! Thirty riffs such as a teacher uses, and every sentence that the page says of them over twelve bars.

use riffloom::form::Changes;
use riffloom::form::standard::{self, ChordStyle, FormKind};
use riffloom::insight::shape::Shape;
use riffloom::insight::{reasons, roles};
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Note, Riff, RiffId, edit};
use riffloom::theory::instrument::Reading;
use riffloom::theory::interval::Interval;
use riffloom::theory::key::{Key, Mode};
use riffloom::theory::pitch::Pitch;
use riffloom::units::{MidiNote, Ticks};
use riffloom::view::words::note::{About, sentence, to_try};
use riffloom::view::words::{over_form, shape};

const RIFFS: &str = include_str!("../../data/teacher_riffs.tsv");

const VERDICTS: &str = include_str!("../../data/teacher_verdicts.tsv");

/// What a teacher would change: riff, key, verdict and sentence.
pub fn verdicts() -> Vec<[&'static str; 4]> {
    let rows = VERDICTS.lines().filter(|line| !line.starts_with('#'));
    rows.map(|line| {
        let cells: Vec<&str> = line.split('\t').collect();
        let [riff, key, verdict, sentence, _] = cells[..] else { panic!("{line}") };
        [riff, key, verdict, sentence]
    })
    .collect()
}

/// A riff of the table: its name, what it is, and how to make it.
pub struct Lesson {
    pub name: &'static str,
    #[allow(dead_code)]
    pub what: &'static str,
    beats: usize,
    notes: &'static str,
}

pub fn lessons() -> Vec<Lesson> {
    let rows = RIFFS.lines().filter(|line| !line.starts_with('#'));
    rows.map(|line| {
        let cells: Vec<&str> = line.split('\t').collect();
        let [name, what, beats, notes] = cells[..] else { panic!("{line}") };
        Lesson { name, what, beats: beats.parse().unwrap(), notes }
    })
    .collect()
}

/// Where the riffs are read: twelve bars in G and in F, and a minor form.
pub fn grounds() -> [Changes; 3] {
    [("G", FormKind::Twelve), ("F", FormKind::TwelveQuickChange), ("Gm", FormKind::TwelveMinor)].map(
        |(key, form)| standard::changes(form, key.parse().unwrap(), ChordStyle::Sevenths, Metre::FOUR_FOUR),
    )
}

/// The interval above home that a degree stands for, octaves and signs with it.
fn interval(degree: &str, key: Key) -> Interval {
    let number: i32 = degree.trim_matches(|c: char| !c.is_ascii_digit()).parse().unwrap();
    let is_minor_third = number == 3 && key.mode() == Mode::Minor;
    let lowered = i32::from(degree.starts_with('b') || is_minor_third);
    let octaves = degree.matches('\'').count() as i32 - degree.matches('.').count() as i32;
    let semitones = [0, 2, 4, 5, 7, 9, 11][number as usize - 1];
    Interval::new(number - 1 + 7 * octaves, semitones - lowered + 12 * octaves)
}

impl Lesson {
    pub fn riff(&self, key: Key) -> Riff {
        let quarters = |text: &str| Ticks::from_quarters(text.parse().unwrap()).unwrap();
        let notes = self.notes.split(", ").map(|note| {
            let words: Vec<&str> = note.split_whitespace().collect();
            let [degree, onset, length] = words[..] else { panic!("{note}") };
            (degree, quarters(onset), quarters(length))
        });
        let start = notes.clone().map(|(_, onset, _)| onset).min().unwrap().min(Ticks::ZERO);
        let empty = Riff::empty(RiffId(1), Ticks::QUARTER, self.beats);
        let empty = if start < Ticks::ZERO { edit::begin_at(&empty, start).unwrap() } else { empty };
        // Home between E4 and E♭5.
        let middle = MidiNote::new(64 + (key.tonic().pitch_class() - 4).rem_euclid(12)).unwrap();
        let home = Pitch::of_name(key.tonic(), middle).unwrap();
        notes.fold(empty, |riff, (degree, onset, length)| {
            let pitch = home.up(interval(degree, key));
            let accent = degree.ends_with('!');
            let note = Note { onset: onset - start, length, pitch, accent, ornament: None };
            edit::insert(&riff, note).unwrap().riff
        })
    }
}

/// Every sentence about the riff over `changes`, each once with where it is said first: the shape, the form, the bars.
pub fn said(riff: &Riff, changes: &Changes) -> Vec<(String, String)> {
    let about = About { riff, reading: Reading::concert(changes.key()) };
    let shape = Shape::of(riff, changes.bars()[0].metre);
    let mut all: Vec<(String, String)> = Vec::new();
    let mut add = |place: String, text: String| {
        if all.iter().all(|(_, said)| *said != text) {
            all.push((place, text));
        }
    };
    for text in shape::sentences(riff, &shape, about.reading) {
        add("shape".to_owned(), text);
    }
    for one in over_form::sentences(about, changes) {
        add("form".to_owned(), one.head + &one.text);
    }
    for bar in 0..changes.bars().len() {
        let insights = roles::over(changes, riff, bar);
        let kinds = reasons::kinds(changes, riff, &insights);
        for (insight, kind) in insights.iter().zip(&kinds) {
            for one in [Some(sentence(about, insight, kind)), to_try(about, insight)].into_iter().flatten() {
                add(format!("bar {}", bar + 1), one.head + &one.text);
            }
        }
    }
    all
}
