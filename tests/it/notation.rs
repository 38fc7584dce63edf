//! Rhythm spelling: hand-written bars, and laws on any riff. `tests/reference/test_notation.py` compares with music21.

use proptest::prelude::*;
use riffloom::form::{Changes, chart};
use riffloom::notation::{self, Measure, Part, Passage, Value, Written};
use riffloom::rhythm::grid::Division;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Note, Ornament, Riff, RiffId};
use riffloom::theory::instrument::{Clef, Instrument, Reading};
use riffloom::theory::key::Key;
use riffloom::theory::pitch::Pitch;
use riffloom::units::Ticks;

fn changes(metre: &str, chords: &str) -> Changes {
    chart::parse(chords, "C".parse().unwrap(), metre.parse().unwrap()).unwrap()
}

/// A riff from onsets and ends in parts of a beat: `(0, 2), (3, 4)` with 4 parts.
fn riff(metre: Metre, start: i64, parts: i64, notes: &[(i64, i64)]) -> Riff {
    let step = metre.beat() / parts;
    let pitch: Pitch = "G4".parse().unwrap();
    let note = |(from, to): &(i64, i64)| Note {
        onset: step * *from,
        length: step * (to - from),
        pitch,
        accent: false,
        ornament: None,
    };
    let last = notes.iter().map(|(_, to)| *to).max().unwrap_or(1);
    let beats = (last as usize).div_ceil(parts as usize).max(1);
    let divisions = vec![Division::new(parts.min(8) as u8).unwrap(); beats];
    let notes = notes.iter().map(note).collect();
    Riff::from_parts(RiffId(1), String::new(), step * start, metre.beat(), divisions, notes).unwrap()
}

fn written(changes: &Changes, riff: &Riff) -> Written {
    notation::write(&Passage::of_riff(changes, riff, 0), Reading::concert(changes.key()), Clef::Treble)
}

/// `4 8. (3:2 8 r8 8) 2~`: values, rests, ties, tuplets; beams in square brackets.
fn text_of(measure: &Measure) -> String {
    let mut words = Vec::new();
    for (index, symbol) in measure.symbols.iter().enumerate() {
        let mut word = String::new();
        if measure.tuplets.iter().any(|run| run.start == index) {
            let ratio = symbol.ratio.unwrap();
            word += &format!("({}:{} ", ratio.actual, ratio.normal);
        }
        if measure.beams.iter().any(|run| run.start == index) {
            word.push('[');
        }
        word += if symbol.note.is_none() { "r" } else { "" };
        word += &symbol.value.part.to_string();
        word += if symbol.value.dotted { "." } else { "" };
        word += if symbol.note.as_ref().is_some_and(|head| head.tied_to) { "~" } else { "" };
        if measure.beams.iter().any(|run| run.end == index + 1) {
            word.push(']');
        }
        if measure.tuplets.iter().any(|run| run.end == index + 1) {
            word.push(')');
        }
        words.push(word);
    }
    words.join(" ")
}

#[track_caller]
fn check(metre: &str, start: i64, parts: i64, notes: &[(i64, i64)], expected: &str) {
    let changes = changes(metre, "C7 | F7 | C7 | G7");
    let riff = riff(metre.parse().unwrap(), start, parts, notes);
    let written = written(&changes, &riff);
    let bars: Vec<String> = written.measures.iter().map(text_of).collect();
    assert_eq!(bars.join(" | "), expected);
    assert!(written.exact);
}

/// Source: common engraving practice, from memory; where Gould's *Behind Bars* is commonly quoted for it, on the line.
#[test]
fn four_four_shows_its_middle() {
    check("4/4", 0, 2, &[(0, 1), (1, 2), (2, 4), (4, 8)], "[8 8] 4 2");
    check("4/4", 0, 2, &[(0, 8)], "1");
    check("4/4", 0, 2, &[(0, 6), (6, 8)], "2. 4");
    check("4/4", 0, 2, &[(0, 2), (2, 8)], "4 2.");
    // A half note on beat 2 is the usual exception (Gould: "Grouping of notes", simple syncopations).
    check("4/4", 0, 2, &[(0, 2), (2, 6), (6, 8)], "4 2 4");
    // Eighth, quarter, eighth in each half of the bar.
    check("4/4", 0, 2, &[(0, 1), (1, 3), (3, 4), (4, 5), (5, 7), (7, 8)], "8 4 8 8 4 8");
    // The Charleston: a dotted quarter, then a tie into the middle.
    check("4/4", 0, 2, &[(0, 3), (3, 8)], "4. 8~ 2");
    check("4/4", 0, 2, &[(0, 3), (3, 5), (5, 8)], "4. [8~ 8] 4.".replace("[8~ 8]", "8~ 8").as_str());
    // A quarter across the middle is cut there.
    check("4/4", 0, 2, &[(0, 2), (2, 3), (3, 5), (5, 8)], "4 [8 8~] 8 4.");
    // Off-beats to the end: a half note off the beat is cut at the middle.
    check("4/4", 0, 2, &[(1, 5)], "r8 4.~ 8 r8 r4");
    check("4/4", 0, 2, &[(1, 8)], "r8 4.~ 2");
}

/// Source: common practice; rests fill beats and halves of a bar and are not syncopated.
#[test]
fn rests_show_the_beat() {
    check("4/4", 0, 2, &[(0, 2)], "4 r4 r2");
    check("4/4", 0, 2, &[(0, 2), (6, 8)], "4 r4 r4 4");
    check("4/4", 0, 2, &[(1, 2), (7, 8)], "r8 8 r4 r4 r8 8");
    check("4/4", 0, 4, &[(0, 1), (3, 4)], "16 r8 16 r4 r2".replace("r8", "r16 r16").as_str());
    check("4/4", 0, 4, &[(3, 4)], "r8 r16 16 r4 r2");
    check("3/4", 0, 2, &[(0, 2)], "4 r4 r4");
    check("12/8", 0, 3, &[(0, 1)], "8 r8 r8 r4. r2.");
    check("12/8", 0, 3, &[(2, 3)], "r4 8 r4. r2.");
    check("6/8", 0, 3, &[(3, 6)], "r4. 4.");
    // A silent bar has a whole rest, whatever its metre.
    check("3/4", 0, 1, &[(6, 7)], "r1 | r1 | 4 r4 r4");
}

#[test]
fn beats_of_sixteenths_are_beamed_by_beat() {
    check("4/4", 0, 4, &[(0, 3), (3, 4), (4, 5), (5, 7), (7, 8)], "[8. 16] [16 8 16] r2");
    check("4/4", 0, 4, &[(0, 1), (1, 4), (4, 6), (6, 7), (7, 8)], "[16 8.] [8 16 16] r2");
    // A sixteenth before the beat is tied into it.
    check("4/4", 0, 4, &[(0, 3), (3, 8)], "[8. 16~] 4 r2");
    check("3/4", 0, 2, &[(0, 1), (1, 2), (2, 3), (3, 4), (4, 5), (5, 6)], "[8 8] [8 8] [8 8]");
    check("6/8", 0, 3, &[(0, 1), (1, 2), (2, 3), (3, 5), (5, 6)], "[8 8 8] 4 8");
    check("12/8", 0, 3, &[(0, 2), (2, 3), (3, 4), (4, 6), (6, 12)], "4 8 8 4 2.");
    // Held from one dotted beat into the next: cut at the beat.
    check("12/8", 0, 3, &[(0, 2), (2, 6), (6, 8), (8, 12)], "4 8~ 4. 4 8~ 4.");
    check("12/8", 0, 2, &[(0, 1), (1, 2)], "[8. 8.] r4. r2.");
}

#[test]
fn tuplets_stand_where_plain_values_do_not_do() {
    check("4/4", 0, 3, &[(0, 1), (1, 2), (2, 3), (3, 5), (5, 6)], "(3:2 [8 8 8]) (3:2 4 8) r2");
    check("4/4", 0, 3, &[(0, 2), (2, 6)], "(3:2 4 8~) 4 r2");
    check("4/4", 0, 3, &[(2, 3)], "(3:2 r4 8) r4 r2");
    check("4/4", 0, 3, &[(0, 1)], "(3:2 8 r8 r8) r4 r2");
    // Three in the time of two beats.
    check("4/4", 0, 3, &[(0, 2), (2, 4), (4, 6)], "(3:2 4 4 4) r2");
    check("4/4", 0, 3, &[(3, 5), (5, 7), (7, 9)], "r4 (3:2 4 8~) (3:2 8 4) r4");
    check("4/4", 0, 5, &[(0, 1), (1, 2), (2, 3), (3, 4), (4, 5)], "(5:4 [16 16 16 16 16]) r4 r2");
    check("4/4", 0, 6, &[(0, 1), (1, 2), (2, 3), (3, 4), (4, 5), (5, 6)], "(6:4 [16 16 16 16 16 16]) r4 r2");
    // An eighth and a triplet of sixteenths.
    check("4/4", 0, 6, &[(0, 3), (3, 4), (4, 5), (5, 6)], "[8 (3:2 16 16 16]) r4 r2");
    check("12/8", 0, 4, &[(0, 1), (1, 2), (2, 3), (3, 4)], "(4:3 [8 8 8 8]) r4. r2.");
}

#[test]
fn a_pickup_comes_before_the_bar_line() {
    check("4/4", -2, 2, &[(0, 1), (1, 2), (2, 4)], "[8 8] | 4 r4 r2");
    check("4/4", -1, 2, &[(0, 1), (1, 3)], "r8 8 | 4 r4 r2");
    check("4/4", -1, 2, &[(0, 3)], "r8 8~ | 4 r4 r2");
    check("4/4", -10, 2, &[(0, 10), (10, 12)], "4~ | 1 | 4 r4 r2");
    check("4/4", 2, 2, &[(0, 2)], "r4 4 r2");
    check("12/8", -1, 3, &[(0, 1), (1, 4)], "r4 8 | 4. r4. r2.");
    let changes = changes("4/4", "C7 | F7");
    let written = written(&changes, &riff(Metre::FOUR_FOUR, -2, 2, &[(0, 1), (2, 4)]));
    let (pickup, first) = (&written.measures[0], &written.measures[1]);
    assert_eq!((pickup.bar, pickup.from, pickup.chords.len()), (None, Ticks::quarters(3), 0));
    assert_eq!((first.bar, first.chords[0].chord.pretty().as_str()), (Some(0), "C7"));
}

#[test]
fn what_a_tuplet_cannot_say_is_written_nearby() {
    let mut riff = riff(Metre::FOUR_FOUR, 0, 2, &[(0, 1), (2, 8)]);
    let note = Note { length: Ticks(4999), ..riff.notes()[0].clone() };
    let notes = vec![note, riff.notes()[1].clone()];
    riff = Riff::from_parts(
        RiffId(1),
        String::new(),
        Ticks::ZERO,
        riff.beat(),
        riff.divisions().to_vec(),
        notes,
    )
    .unwrap();
    let written = written(&changes("4/4", "C7"), &riff);
    assert!(!written.exact);
    assert_eq!(written.notes()[0].length, Ticks(5040));
}

/// Source: common practice; the signature of each key from any circle of fifths.
#[test]
fn signs_hold_to_the_bar_line() {
    let signs = |key: &str, pitches: &[&str]| -> Vec<bool> {
        let changes = changes("4/4", "C7 | C7").in_key(key.parse().unwrap());
        let mut riff = riff(Metre::FOUR_FOUR, 0, 1, &[(0, 1), (1, 2), (2, 3), (3, 4), (4, 5), (5, 6)]);
        for (index, pitch) in pitches.iter().enumerate() {
            riff = riffloom::riff::edit::repitch(&riff, index, pitch.parse().unwrap()).unwrap();
        }
        let written = written(&changes, &riff);
        let heads = written.measures.iter().flat_map(|measure| &measure.symbols);
        heads.filter_map(|symbol| symbol.note.as_ref()).map(|head| head.sign).collect()
    };
    let [f, t] = [false, true];
    assert_eq!(signs("C", &["Bb4", "Bb4", "B4", "C5", "B4", "Bb4"]), [t, f, t, f, f, t]);
    assert_eq!(signs("F", &["Bb4", "B4", "Bb4", "Bb5", "Bb4", "E4"]), [f, t, t, f, f, f]);
    assert_eq!(signs("E", &["F#4", "G#4", "D#5", "C#5", "D5", "G4"]), [f, f, f, f, t, t]);
    assert_eq!(signs("Cm", &["Eb4", "E4", "Ab4", "B4", "B4", "Bb4"]), [f, t, f, t, t, t]);
}

#[test]
fn accents_and_crushed_notes_stand_where_the_note_begins() {
    let plain = riff(Metre::FOUR_FOUR, 0, 2, &[(7, 10)]);
    let crushed = Some(Ornament::Crushed("F#4".parse().unwrap()));
    let note = Note { accent: true, ornament: crushed, ..plain.notes()[0].clone() };
    let riff = Riff::from_parts(
        RiffId(1),
        String::new(),
        Ticks::ZERO,
        plain.beat(),
        plain.divisions().to_vec(),
        vec![note],
    );
    let written = written(&changes("4/4", "C7 | F7"), &riff.unwrap());
    let heads: Vec<_> = written
        .measures
        .iter()
        .flat_map(|bar| &bar.symbols)
        .filter_map(|symbol| symbol.note.as_ref())
        .collect();
    assert_eq!(heads.len(), 2);
    assert_eq!((heads[0].accent, heads[0].crushed), (true, Some(("F#4".parse().unwrap(), true))));
    assert_eq!((heads[1].accent, heads[1].crushed, heads[1].tied_from), (false, None, true));
}

/// The written pitches of transposing instruments: common practice; `test_theory.py` compares the intervals themselves.
#[test]
fn parts_are_written_where_they_are_read() {
    let key: Key = "G".parse().unwrap();
    let sounding: Vec<Pitch> = ["G4", "Bb4", "D5"].map(|pitch| pitch.parse().unwrap()).into();
    let read = |in_: &str, clef: Clef| -> (String, Vec<String>) {
        let part = Part { pitched_in: in_.parse().unwrap(), clef };
        let (reading, _) = part.reading(key, &sounding);
        (reading.key().to_string(), sounding.iter().map(|pitch| reading.pitch(*pitch).to_string()).collect())
    };
    let owned = |pitches: [&str; 3]| pitches.map(str::to_owned).to_vec();
    assert_eq!(read("C", Clef::Treble), ("G".to_owned(), owned(["G4", "Bb4", "D5"])));
    assert_eq!(read("C", Clef::Bass), ("G".to_owned(), owned(["G3", "Bb3", "D4"])));
    assert_eq!(read("Bb", Clef::Treble), ("A".to_owned(), owned(["A4", "C5", "E5"])));
    assert_eq!(read("Eb", Clef::Treble), ("E".to_owned(), owned(["E5", "G5", "B5"])));
    assert_eq!(read("F", Clef::Treble), ("D".to_owned(), owned(["D5", "F5", "A5"])));
    for part in Part::ALL {
        for key in Key::all() {
            let (reading, _) = part.reading(key, &sounding);
            assert!(reading.key().fifths().abs() <= 7);
            let up = reading.interval().semitones.rem_euclid(12);
            assert_eq!((up + part.pitched_in.pitch_class()) % 12, 0, "{part:?}");
        }
    }
    let low: Vec<Pitch> = ["E2", "A2", "C3"].map(|pitch| pitch.parse().unwrap()).into();
    assert_eq!(notation::fitting(Clef::Treble, &low), Clef::Bass);
    assert_eq!(notation::fitting(Clef::Treble, &sounding), Clef::Treble);
    assert_eq!(notation::fitting(Instrument::named("viola").unwrap().clef(), &sounding), Clef::Alto);
}

/// Riffs on grids of 1 to 8 to a beat, each beat with its own, begun on or off the beat.
fn any_riff() -> impl Strategy<Value = (Metre, Riff)> {
    let metres = prop_oneof![
        4 => Just("4/4"),
        5 => prop_oneof![Just("3/4"), Just("2/4"), Just("5/4"), Just("2/2"), Just("3/8"), Just("5/8"), Just("7/8")],
        4 => prop_oneof![Just("12/8"), Just("6/8"), Just("9/8")],
    ];
    let divisions = proptest::collection::vec(1..=8_u8, 1..=8);
    let notes = proptest::collection::vec((0..4_usize, 1..6_usize), 0..24);
    (metres, divisions, notes, -12..12_i64).prop_map(|(metre, divisions, notes, start)| {
        let metre: Metre = metre.parse().unwrap();
        let beat = metre.beat();
        let divisions: Vec<Division> =
            divisions.into_iter().map(|parts| Division::new(parts).unwrap()).collect();
        let empty =
            Riff::from_parts(RiffId(1), String::new(), Ticks::ZERO, beat, divisions, Vec::new()).unwrap();
        let steps: Vec<Ticks> = empty.steps().collect();
        let mut at = 0;
        let mut kept = Vec::new();
        for (gap, long) in notes {
            let (from, to) = (at + gap, at + gap + long);
            if to >= steps.len() {
                break;
            }
            let pitch = "A4".parse().unwrap();
            let length = steps[to] - steps[from];
            kept.push(Note { onset: steps[from], length, pitch, accent: false, ornament: None });
            at = to;
        }
        let start = beat * start / 2;
        let divisions = empty.divisions().to_vec();
        (metre, Riff::from_parts(RiffId(1), String::new(), start, beat, divisions, kept).unwrap())
    })
}

fn single(metre: Metre) -> Changes {
    changes(&metre.to_string(), "C7 | F7 | C7")
}

/// What one symbol lasts by its value and its tuplet.
fn by_value(symbol: &notation::Symbol) -> Ticks {
    let plain = symbol.value.length();
    symbol.ratio.map_or(plain, |ratio| plain * i64::from(ratio.normal) / i64::from(ratio.actual))
}

proptest! {
    /// Every measure is full, every symbol lasts as its value says, and what is written sounds as it did.
    #[test]
    fn measures_are_full_and_notes_come_back((metre, riff) in any_riff()) {
        let changes = single(metre);
        let written = written(&changes, &riff);
        for (index, measure) in written.measures.iter().enumerate() {
            let mut at = measure.from;
            let whole_rest = measure.symbols.len() == 1 && measure.is_silent() && measure.from == Ticks::ZERO;
            for symbol in &measure.symbols {
                prop_assert_eq!(symbol.at, at);
                if !whole_rest {
                    prop_assert_eq!(by_value(symbol), symbol.length, "{}", text_of(measure));
                }
                at += symbol.length;
            }
            prop_assert_eq!(at, metre.bar());
            prop_assert!(index == 0 || measure.from == Ticks::ZERO);
            // What a tuplet holds fills it.
            for run in &measure.tuplets {
                let ratio = measure.symbols[run.start].ratio.unwrap();
                let inside = &measure.symbols[run.clone()];
                prop_assert!(inside.iter().all(|symbol| symbol.ratio == Some(ratio)));
            }
            let in_tuplets: usize = measure.tuplets.iter().map(ExactSizeIterator::len).sum();
            prop_assert_eq!(in_tuplets, measure.symbols.iter().filter(|symbol| symbol.ratio.is_some()).count());
        }
        let read = written.notes();
        prop_assert!(written.exact);
        prop_assert_eq!(read.len(), riff.notes().len());
        for (read, note) in read.iter().zip(riff.notes()) {
            prop_assert_eq!((read.onset, read.length), (note.onset + riff.start, note.length));
        }
    }

    /// In 4/4 nothing hides the middle of the bar but what is usual: a whole or dotted half note, a half note on beat 2
    /// and a dotted half there; and no rest hides a beat.
    #[test]
    fn the_middle_of_the_bar_is_seen((metre, riff) in any_riff()) {
        let written = written(&single(metre), &riff);
        for measure in written.measures.iter().filter(|_| metre == Metre::FOUR_FOUR) {
            let middle = Ticks::quarters(2);
            for symbol in &measure.symbols {
                let (from, to) = (symbol.at, symbol.at + symbol.length);
                let on_beats = [from, to].iter().all(|at| at.rem_floor(Ticks::QUARTER) == Ticks::ZERO);
                prop_assert!(to <= middle || from >= middle || on_beats, "{}", text_of(measure));
                if symbol.note.is_none() && symbol.ratio.is_none() && !measure.is_silent() {
                    let unit = symbol.length.min(Ticks::quarters(2));
                    prop_assert!(from.rem_floor(unit) == Ticks::ZERO && !symbol.value.dotted, "{}", text_of(measure));
                }
            }
        }
    }

    /// A beam joins notes of one beat, and no rest.
    #[test]
    fn beams_keep_to_their_beat((metre, riff) in any_riff()) {
        let written = written(&single(metre), &riff);
        for measure in &written.measures {
            for run in &measure.beams {
                let inside = &measure.symbols[run.clone()];
                prop_assert!(inside.iter().all(|symbol| symbol.note.is_some() && symbol.value.flags() > 0));
                if metre.beat() >= Ticks::QUARTER {
                    let beats = inside.iter().map(|symbol| symbol.at.div_floor(metre.beat()));
                    prop_assert!(beats.clone().all(|beat| beats.clone().next() == Some(beat)));
                }
            }
        }
    }

    /// Whatever ticks notes begin and end at, they are written in order, each within its bar.
    #[test]
    fn any_ticks_can_be_written(ends in proptest::collection::vec(1..60_000_i64, 1..40), rough in any::<bool>()) {
        let mut ends = ends;
        ends.sort_unstable();
        ends.dedup();
        let pitch: Pitch = "A4".parse().unwrap();
        let notes: Vec<Note> = ends.windows(2).map(|pair| Note {
            onset: Ticks(pair[0]), length: Ticks((pair[1] - pair[0]) / if rough { 3 } else { 1 }).max(Ticks(1)),
            pitch, accent: false, ornament: None,
        }).collect();
        let divisions = vec![Division::HALVES; 6];
        let riff = Riff::from_parts(RiffId(1), String::new(), Ticks::ZERO, Ticks::QUARTER, divisions, notes).unwrap();
        let written = written(&single(Metre::FOUR_FOUR), &riff);
        for measure in &written.measures {
            let total: Ticks = measure.symbols.iter().map(by_value).sum();
            let silent = measure.symbols.len() == 1 && measure.is_silent();
            prop_assert!(silent || total == Metre::FOUR_FOUR.bar(), "{}", text_of(measure));
        }
        let read = written.notes();
        prop_assert!(read.windows(2).all(|pair| pair[0].onset + pair[0].length <= pair[1].onset));
        for one in &read {
            let off = (one.onset - riff.notes()[one.index].onset).0.abs();
            prop_assert!(off <= 315 * 40, "{off}");
        }
    }
}

#[test]
fn values_are_those_of_paper() {
    let value = |part, dotted| Some(Value { part, dotted });
    assert_eq!(Value::of(Ticks::quarters(4)), value(1, false));
    assert_eq!(Value::of(Ticks(15_120)), value(4, true));
    assert_eq!(Value::of(Ticks(315)), value(128, false));
    assert_eq!(Value::of(Ticks(1)), None);
    assert_eq!(Value { part: 16, dotted: true }.flags(), 2);
}
