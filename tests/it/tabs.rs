//! Notes on strings and under fingers. First positions are common knowledge of tutors, from memory; the trumpet is held
//! to the harmonic series, which is computed here.

use proptest::prelude::*;
use riffloom::desk::Desk;
use riffloom::desk::command::Command;
use riffloom::notation::fingering::{Fingered, Hole};
use riffloom::notation::tab::{HIGHEST_FRET, Stop, stops};
use riffloom::riff::{RiffId, write_id};
use riffloom::theory::instrument::Instrument;
use riffloom::theory::interval::Interval;
use riffloom::theory::pitch::Pitch;
use riffloom::units::MidiNote;
use riffloom::view::staff::{self, What};

fn strings(name: &str) -> &'static [Pitch] {
    Instrument::named(name).unwrap().strings()
}

/// Strings counted from the highest line, as players do: "5/3" is the third fret of the fifth string.
fn tab(name: &str, notes: &str) -> String {
    let strings = strings(name);
    let notes: Vec<Pitch> = notes.split(' ').map(|note| note.parse().unwrap()).collect();
    let told = stops(strings, &notes).into_iter().map(|stop| {
        stop.map_or("-".to_owned(), |stop| format!("{}/{}", strings.len() - stop.string, stop.fret))
    });
    told.collect::<Vec<_>>().join(" ")
}

#[test]
fn scales_lie_in_the_first_position() {
    let c = "C3 D3 E3 F3 G3 A3 B3 C4";
    assert_eq!(tab("guitar", c), "5/3 4/0 4/2 4/3 3/0 3/2 2/0 2/1");
    assert_eq!(tab("guitar", "E2 G2 A2 Bb2 B2 D3 E3"), "6/0 6/3 5/0 5/1 5/2 4/0 4/2");
    assert_eq!(tab("ukulele", "C4 D4 E4 F4 G4 A4 B4 C5"), "3/0 3/2 2/0 2/1 2/3 1/0 1/2 1/3");
}

#[test]
fn the_hand_moves_only_where_it_must() {
    // Over the twelfth fret of the first string, and down again within the same four frets.
    assert_eq!(tab("guitar", "E5 D5 C#5"), "1/12 1/10 1/9");
    // Below the lowest string, and beyond the fifteenth fret of the highest.
    assert_eq!(tab("guitar", "D2 E2 G5 G#5"), "- 6/0 1/15 -");
    assert_eq!(tab("ukulele", "B3 C6 C#6"), "- 1/15 -");
}

proptest! {
    #[test]
    fn a_stop_sounds_its_note(
        midi in prop::collection::vec(30_i32..100, 0..24), guitar in any::<bool>(),
    ) {
        let strings = strings(if guitar { "guitar" } else { "ukulele" });
        let names = midi.iter().map(|number| {
            let midi = MidiNote::new(*number).unwrap();
            "C C# D Eb E F F# G Ab A Bb B".split(' ')
                .find_map(|name| Pitch::of_name(name.parse().unwrap(), midi)).unwrap()
        });
        let notes: Vec<Pitch> = names.collect();
        let placed = stops(strings, &notes);
        prop_assert_eq!(placed.len(), notes.len());
        for (note, stop) in notes.iter().zip(&placed) {
            let frets = strings.iter().map(|open| note.semitones() - open.semitones());
            let can = frets.clone().any(|fret| (0..=i32::from(HIGHEST_FRET)).contains(&fret));
            prop_assert_eq!(stop.is_some(), can);
            if let Some(Stop { string, fret }) = stop {
                prop_assert!(*fret <= HIGHEST_FRET);
                prop_assert_eq!(strings[*string].semitones() + i32::from(*fret), note.semitones());
            }
        }
        // A note alone lies as low as it can.
        if let (true, [note]) = (guitar, &notes[..1.min(notes.len())]) {
            let alone = stops(strings, &[*note])[0];
            let lowest = strings.iter().map(|open| note.semitones() - open.semitones()).filter(|fret| *fret >= 0).min();
            prop_assert!(alone.is_none_or(|stop| Some(i32::from(stop.fret)) == lowest));
        }
    }
}

fn closed(of: Fingered, written: &str) -> String {
    of.fingering(written.parse().unwrap()).map_or("-".to_owned(), |fingering| fingering.text(of))
}

/// The valves bring a harmonic of C3 down by a tone, a half tone and three half tones: common practice.
#[test]
fn trumpet_valves_bring_a_harmonic_down_to_the_note() {
    for midi in 54..=84 {
        let pitch: Pitch = Pitch::of_name("C".parse().unwrap(), MidiNote::new(60).unwrap()).unwrap();
        let pitch = pitch.up(Interval::new(0, midi - 60));
        let fingering = Fingered::Trumpet.fingering(pitch).unwrap();
        let down: i32 = fingering
            .holes
            .iter()
            .zip([2, 1, 3])
            .filter(|(hole, _)| **hole == Hole::Closed)
            .map(|(_, by)| by)
            .sum();
        let natural = |k: i32| (48.0 + 12.0 * f64::from(k).log2()).round() as i32;
        // The seventh harmonic is a third of a half tone flat and is not used.
        assert!([2, 3, 4, 5, 6, 8].iter().any(|k| natural(*k) == midi + down), "{midi} {down}");
        // No shorter tube gives it.
        assert!((0..down).all(|by| ![2, 3, 4, 5, 6, 8].iter().any(|k| natural(*k) == midi + by)), "{midi}");
    }
    assert_eq!(closed(Fingered::Trumpet, "F#3"), "valves 1 2 3");
    assert_eq!(closed(Fingered::Trumpet, "C#5"), "valves 1 2");
    assert_eq!(closed(Fingered::Trumpet, "G4"), "no valve");
    assert_eq!((closed(Fingered::Trumpet, "F3"), closed(Fingered::Trumpet, "C#6")), ("-".into(), "-".into()));
}

/// Dolmetsch Online, *Recorder method online: descant/soprano*, lessons 1, 2, 11, 16, 17, 19, 20 and 22, and lesson 6 of
/// *treble/alto*; N. S. Lander, *Recorder
/// Home Page*, "Fingering", where the descant's note stands in brackets.
#[test]
fn the_recorder_is_fingered_as_published() {
    let check = |written: &str, expected: &str| {
        assert_eq!(closed(Fingered::Recorder, written), expected, "{written}")
    };
    check("B4", "thumb 1");
    check("A4", "thumb 1 2");
    check("G#4", "thumb 1 2 4 5");
    check("D#5", "2 3 4 5 6");
    check("E5", "pinched thumb 1 2 3 4 5");
    check("F#5", "pinched thumb 1 2 3 5");
    check("G5", "pinched thumb 1 2 3");
    check("A5", "pinched thumb 1 2");
    check("C4", "thumb 1 2 3 4 5 6 7");
    check("C5", "thumb 2");
    check("C#5", "1 2");
    check("D5", "2");
    check("Bb4", "thumb 1 3 4");
    check("B5", "pinched thumb 1 2 4 5");
    check("C6", "pinched thumb 1 4 5");
    check("C#4", "thumb 1 2 3 4 5 6 half 7");
    check("C#6", "-");
    // Dolmetsch Online, lesson 23: two fingers of the right hand, not three.
    check("Bb5", "pinched thumb 1 2 5 6");
    // C. D. R., "Recorder Fingering Chart" (Toft and Toddy, 2015), soprano.
    check("D4", "thumb 1 2 3 4 5 6");
    check("D#4", "thumb 1 2 3 4 5 half 6");
    check("E4", "thumb 1 2 3 4 5");
    check("F4", "thumb 1 2 3 4 6 7");
    check("F#4", "thumb 1 2 3 5 6");
    check("G4", "thumb 1 2 3");
    check("F5", "pinched thumb 1 2 3 4 6");
    check("G#5", "pinched thumb 1 2 4");
}

/// From D to B the upper octave is the lower one with the octave key: J. Davancens, *Heave, sway, surge*, basic fingering
/// map of the alto saxophone.
#[test]
fn the_saxophone_has_its_octave_key() {
    for name in "D4 Eb4 E4 F4 F#4 G4 G#4 A4 Bb4 B4 C5".split(' ') {
        let low: Pitch = name.parse().unwrap();
        let (low, high) = (
            Fingered::AltoSax.fingering(low).unwrap(),
            Fingered::AltoSax.fingering(low.up(Interval::OCTAVE)).unwrap(),
        );
        assert_eq!((low.holes[0], high.holes[0]), (Hole::Open, Hole::Closed), "{name}");
        assert_eq!((&low.holes[1..], low.keys), (&high.holes[1..], high.keys), "{name}");
    }
    // The right little finger holds low C, too: J. Davancens, *Heave, sway, surge*, basic fingering map.
    assert_eq!(closed(Fingered::AltoSax, "Bb3"), "1 2 3 4 5 6 and low B♭, low C");
    assert_eq!(closed(Fingered::AltoSax, "C#4"), "1 2 3 4 5 6 and low C♯, low C");
    assert_eq!(closed(Fingered::AltoSax, "C#5"), "open");
    assert_eq!(closed(Fingered::AltoSax, "F6"), "octave key and palm D, E♭, F, side E");
    assert_eq!((closed(Fingered::AltoSax, "A3"), closed(Fingered::AltoSax, "F#6")), ("-".into(), "-".into()));
}

/// *Porch light* is D5 E5 B♭4 B4 G4 as it sounds.
#[test]
fn the_staff_says_where_a_riff_is_played() {
    let mut desk = Desk::new(RiffId(9));
    desk.apply(Command::OpenDemo { id: write_id(RiffId(1)) }).unwrap();
    let view = |under: &str| staff::view(&desk, What::Riff, "own", under);
    let said =
        |under: &str| view(under).measures.iter().map(|one| one.spoken.clone()).collect::<Vec<_>>().join(" ");
    let guitar = view("guitar");
    assert_eq!(guitar.strings, ["E", "B", "G", "D", "A", "E"]);
    // As it sounds E5 is the twelfth fret of the highest string; an octave lower all lies in the first position.
    assert_eq!(
        guitar.under_note,
        "Guitar tablature: a line is a string, a number is the fret. An octave lower."
    );
    let frets =
        guitar.measures.iter().flat_map(|one| &one.symbols).filter_map(|one| one.head.as_ref()?.tab.as_ref());
    assert!(frets.map(|tab| tab.fret).max() <= Some(4));
    assert_eq!(guitar.under_source, "");
    for (under, source) in
        [("recorder", "Recorder Method Online"), ("alto-sax", "Heave, sway, surge"), ("trumpet", "by rule")]
    {
        assert!(view(under).under_source.contains(source), "{}", view(under).under_source);
    }
    let heads = guitar.measures.iter().flat_map(|one| &one.symbols).filter_map(|symbol| symbol.head.as_ref());
    assert!(heads.filter(|head| !head.goes_on).all(|head| head.tab.is_some()));
    assert!(said("guitar").contains("eighth note D 5, string "), "{}", said("guitar"));
    // A descant recorder sounds an octave above what is written: its lowest note is the C above D5's octave, C5.
    assert_eq!(
        view("recorder").under_note,
        "Descant recorder. Baroque (English) fingering: thumb, left hand, right hand. An octave higher."
    );
    // D6 is written D5, E6 E5, as they sound an octave higher.
    assert!(
        said("recorder").contains("eighth note D 5, 2, eighth note E 5, pinched thumb 1 2 3 4 5"),
        "{}",
        said("recorder")
    );
    // A trumpet reads a tone higher: E F♯ C C♯ A.
    assert!(said("trumpet").contains("D 5, no valve, eighth note E 5, valve 2,"), "{}", said("trumpet"));
    // And an alto saxophone a sixth: B C♯ G G♯ E.
    assert!(
        said("alto-sax").contains("D 5, octave key 1, eighth note E 5, octave key,"),
        "{}",
        said("alto-sax")
    );
    assert_eq!((view("").strings.len(), view("tuba").under_note.as_str()), (0, ""));
}
