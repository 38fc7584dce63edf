//! Laws of theory and forms on random input.

use proptest::prelude::*;
use riffloom::form::standard::{ChordStyle, FormKind, changes};
use riffloom::form::{Changes, chart, text};
use riffloom::rhythm::metre::Metre;
use riffloom::theory::chord::Chord;
use riffloom::theory::interval::Interval;
use riffloom::theory::key::{Key, Mode};
use riffloom::theory::pitch::{NoteName, Pitch, Step};
use riffloom::theory::spell::{Around, melody};
use riffloom::units::{MidiNote, Ticks};

const SUFFIXES: [&str; 16] =
    ["", "m", "7", "m7", "maj7", "dim7", "m7b5", "aug", "sus4", "7sus4", "6", "69", "9", "m9", "13", "alt"];
const CHANGES: [&str; 12] =
    ["", "b5", "#5", "b9", "#9", "#11", "b13", "add9", "b6", "no3", "no5", "(b9,#11)"];

fn names(most: i32) -> impl Strategy<Value = NoteName> {
    (0..7, -most..=most).prop_map(|(step, alter)| NoteName::new(Step::from_index(step), alter))
}

fn pitches() -> impl Strategy<Value = Pitch> {
    (names(1), 0..=7).prop_map(|(name, octave)| Pitch { name, octave })
}

/// Intervals up to an octave whose quality has a name: within one half step of the major scale's.
fn intervals() -> impl Strategy<Value = Interval> {
    (0..=7_i32, -1..=1, prop::bool::ANY).prop_map(|(steps, alter, down)| {
        let interval = Interval::new(steps, [0, 2, 4, 5, 7, 9, 11, 12][steps as usize] + alter);
        if down { -interval } else { interval }
    })
}

fn keys() -> impl Strategy<Value = Key> {
    (0..30_usize).prop_map(|index| Key::all().nth(index).expect("there are thirty keys"))
}

fn metres() -> impl Strategy<Value = Metre> {
    (0..5_usize).prop_map(|index| ["4/4", "3/4", "6/8", "12/8", "5/4"][index].parse().expect("a metre"))
}

fn symbols() -> impl Strategy<Value = String> {
    (names(1), 0..SUFFIXES.len(), 0..CHANGES.len(), prop::option::of(names(1))).prop_map(
        |(root, suffix, change, bass)| {
            // Brackets, since a sharp or flat right behind the root would read as the root's own.
            let change = match CHANGES[change] {
                "" => String::new(),
                bare => format!("({})", bare.trim_matches(['(', ')'])),
            };
            let bass = bass.map_or(String::new(), |bass| format!("/{bass}"));
            format!("{root}{}{change}{bass}", SUFFIXES[suffix])
        },
    )
}

/// Bars as a person might type them: a metre now and then, one or two chords, or a repeat.
fn charts() -> impl Strategy<Value = String> {
    let bar = (prop::option::weighted(0.2, metres()), prop::collection::vec(symbols(), 0..3));
    prop::collection::vec(bar, 1..20).prop_map(|bars| {
        let written = bars.into_iter().enumerate().map(|(index, (metre, chords))| {
            let metre = metre.map_or(String::new(), |metre| format!("{metre} "));
            let chords = match (chords.is_empty(), index) {
                (true, 0) => "G7".to_owned(),
                (true, _) => "%".to_owned(),
                (false, _) => chords.join(" "),
            };
            format!("{metre}{chords}")
        });
        written.collect::<Vec<_>>().join(" | ")
    })
}

fn read(chart: &str) -> Result<Changes, chart::Error> {
    chart::parse(chart, "G".parse().expect("a key"), Metre::FOUR_FOUR)
}

proptest! {
    #[test]
    fn up_and_down_is_the_identity(pitch in pitches(), interval in intervals()) {
        prop_assert_eq!(pitch.up(interval).up(-interval), pitch);
        prop_assert_eq!(pitch.interval_to(pitch.up(interval)), interval);
    }

    #[test]
    fn transpositions_add(pitch in pitches(), one in intervals(), other in intervals()) {
        prop_assert_eq!(pitch.up(one).up(other).semitones(), pitch.up(one + other).semitones());
    }

    #[test]
    fn a_spelled_pitch_and_its_midi_note_are_the_same_sound(name in names(3), number in 0..=127_i32) {
        let midi = MidiNote::new(number).expect("in range");
        match Pitch::of_name(name, midi) {
            Some(pitch) => prop_assert_eq!(pitch.midi(), Some(midi)),
            None => prop_assert_ne!(name.pitch_class(), number % 12),
        }
    }

    #[test]
    fn pitches_and_keys_read_back_as_written(pitch in pitches(), key in keys()) {
        prop_assert_eq!(pitch.to_string().parse::<Pitch>(), Ok(pitch));
        prop_assert_eq!(key.to_string().parse::<Key>(), Ok(key));
    }

    #[test]
    fn a_key_moved_up_sounds_higher_by_that_much(key in keys(), steps in -30..30_i32, semitones in -60..60_i32) {
        let interval = Interval::new(steps, semitones);
        let moved = key.up(interval);
        prop_assert_eq!(moved.tonic().pitch_class(), (key.tonic().pitch_class() + interval.semitones).rem_euclid(12));
        prop_assert!(moved.fifths().abs() <= 7);
    }

    #[test]
    fn chords_read_back_as_written(symbol in symbols()) {
        if let Ok(chord) = symbol.parse::<Chord>() {
            prop_assert_eq!(chord.to_string().parse::<Chord>(), Ok(chord), "{}", symbol);
        } else {
            // An alteration that says a degree twice, or one that its kind has no room for.
            prop_assert!(symbol.contains('('), "{}", symbol);
        }
    }

    #[test]
    fn charts_read_back_as_written(chart in charts()) {
        if let Ok(changes) = read(&chart) {
            prop_assert_eq!(read(&chart::write(&changes)), Ok(changes), "{}", chart);
        }
    }

    #[test]
    fn standard_forms_read_back_as_charts(
        index in 0..10_usize, key in keys(), triads in prop::bool::ANY, metre in metres()
    ) {
        let kind = FormKind::all().nth(index).expect("there are ten forms");
        let style = if triads { ChordStyle::Triads } else { ChordStyle::Sevenths };
        let form = changes(kind, key, style, metre);
        prop_assert_eq!(chart::parse(&chart::write(&form), key, Metre::FOUR_FOUR), Ok(form));
    }

    #[test]
    fn a_form_goes_to_another_key_and_back(chart in charts(), key in keys()) {
        if let Ok(changes) = read(&chart) {
            let there = changes.in_key(key);
            let sounds = |changes: &Changes| -> Vec<i32> {
                let tonic = changes.key().tonic().pitch_class();
                changes.places().map(|p| (p.chord.root.pitch_class() - tonic).rem_euclid(12)).collect()
            };
            prop_assert_eq!(sounds(&there), sounds(&changes));
            prop_assert_eq!(there.length(), changes.length());
            prop_assert_eq!(sounds(&there.in_key(changes.key())), sounds(&changes));
        }
    }

    /// Against a list of every eighth-of-a-quarter of the form, written out bar by bar.
    #[test]
    fn what_sounds_and_what_comes_next_are_found_as_by_counting(chart in charts(), step in -400..800_i64) {
        let Ok(changes) = read(&chart) else { return Ok(()) };
        let unit = Ticks::QUARTER / 8;
        let mut written_out: Vec<(usize, &Chord)> = Vec::new();
        for (index, bar) in changes.bars().iter().enumerate() {
            for at in 0..bar.metre.bar().0 / unit.0 {
                let sounding = bar.chords.iter().rfind(|place| place.at.0 <= at * unit.0);
                written_out.push((index, &sounding.expect("a bar begins with a chord").chord));
            }
        }
        let count = written_out.len() as i64;
        prop_assert_eq!(changes.length(), unit * count);
        let here = step.rem_euclid(count);
        let (bar, chord) = written_out[here as usize];
        prop_assert_eq!(changes.chord_at(unit * step).chord, chord);
        prop_assert_eq!(changes.bar_at(unit * step).0, bar);
        let ahead = (1..=count).find(|ahead| written_out[((here + ahead) % count) as usize].1 != chord);
        let next = changes.next_chord(unit * step);
        prop_assert_eq!(next.map(|next| next.distance), ahead.map(|ahead| unit * ahead));
        let bar_lines = ahead.map(|ahead| {
            let bars: Vec<usize> = (0..=ahead).map(|on| written_out[((here + on) % count) as usize].0).collect();
            let turns = (here + ahead) / count;
            bars[ahead as usize] + turns as usize * changes.bars().len() - bar
        });
        prop_assert_eq!(next.map(|next| next.bars), bar_lines);
    }

    #[test]
    fn the_last_time_ends_on_the_home_chord(index in 0..10_usize, key in keys()) {
        let kind = FormKind::all().nth(index).expect("there are ten forms");
        let last = changes(kind, key, ChordStyle::Sevenths, Metre::FOUR_FOUR).last_time();
        prop_assert_eq!(last.places().last().map(|place| place.chord.root), Some(key.tonic()));
    }

    #[test]
    fn a_spelled_melody_sounds_the_same(
        numbers in prop::collection::vec(0..=127_i32, 0..80), key in prop::option::of(keys()), symbol in symbols()
    ) {
        let notes: Vec<MidiNote> = numbers.into_iter().filter_map(MidiNote::new).collect();
        let sounds: Vec<Option<MidiNote>> = notes.iter().copied().map(Some).collect();
        let spelled: Vec<Option<MidiNote>> = melody(&notes, key).into_iter().map(Pitch::midi).collect();
        prop_assert_eq!(&spelled, &sounds);
        let chord = symbol.parse::<Chord>().ok();
        let around = Around { chord: chord.as_ref(), ..Around::key(key.unwrap_or(Key::of_signature(0, Mode::Major))) };
        let one_by_one: Vec<Option<MidiNote>> = notes.iter().map(|note| around.spell(*note).midi()).collect();
        prop_assert_eq!(&one_by_one, &sounds);
    }

    /// Whatever is typed gives a value or an error.
    #[test]
    fn any_text_is_read_or_refused(any in ".{0,60}", musical in "[A-G#bm79sudi(),/|% ♭♯\n]{0,40}") {
        for text in [any, musical] {
            let _ = text.parse::<Chord>().map(|chord| chord.notes());
            let _ = (text.parse::<Key>(), text.parse::<Pitch>(), text.parse::<Metre>());
            let _ = read(&text);
            let _ = text::read(&text, "Cb".parse().expect("a key"), ChordStyle::Triads, Metre::TWELVE_EIGHT);
        }
    }
}
