//! Parts for a mixed band, and who plays which. `tests/reference/test_parts.py` has music21 read them.

use proptest::prelude::*;
use riffloom::form::standard::{self, ChordStyle, FormKind};
use riffloom::form::{Changes, chart};
use riffloom::notation::{self, Backing, Part, Passage, Written};
use riffloom::notebook::rota::{self, rota};
use riffloom::rhythm::metre::Metre;
use riffloom::theory::instrument::{Clef, Instrument};
use riffloom::theory::key::Key;
use riffloom::theory::pitch::Pitch;
use riffloom::units::Ticks;

fn changes(metre: &str, chords: &str) -> Changes {
    chart::parse(chords, "C".parse().unwrap(), metre.parse().unwrap()).unwrap()
}

fn written(changes: &Changes, backing: Backing, part: Part) -> Written {
    let passage = Passage::of_backing(changes, backing);
    let reading = part.own_reading(changes.key(), &passage.pitches());
    notation::write(&passage, reading, backing.clef(part.clef))
}

/// `4 F5+B4 | r`: values, names, the lower of two behind a plus; bars with a stroke between.
fn text_of(written: &Written) -> String {
    let bars = written.measures.iter().map(|measure| {
        let symbols = measure.symbols.iter().map(|symbol| {
            let value = format!("{}{}", symbol.value.part, if symbol.value.dotted { "." } else { "" });
            let Some(head) = &symbol.note else { return format!("r{value}") };
            let with = head.with.map_or(String::new(), |(lower, _)| format!("+{lower}"));
            format!("{value} {}{with}", head.pitch)
        });
        symbols.collect::<Vec<_>>().join(" ")
    });
    bars.collect::<Vec<_>>().join(" | ")
}

fn part(name: &str) -> Part {
    Part::named(name).unwrap()
}

#[track_caller]
fn check(backing: Backing, whom: &str, metre: &str, chords: &str, expected: &str) {
    assert_eq!(text_of(&written(&changes(metre, chords), backing, part(whom))), expected);
}

/// Third and seventh change places a half step apart where roots go by fourths: common practice, no source.
#[test]
fn two_notes_tell_each_chord_and_hardly_move() {
    let chords = "C7 | F7 | G7 | C";
    check(Backing::Chords, "C-treble", "4/4", chords, "1 Bb4+E4 | 1 A4+Eb4 | 1 B4+F4 | 1 C5+E4");
    // Silence stays silent, and the hands go on from where they were.
    check(Backing::Chords, "C-treble", "4/4", "C7 | N.C. | C7", "1 Bb4+E4 | r1 | 1 Bb4+E4");
}

#[test]
fn the_bass_has_roots_and_fifths_within_an_octave() {
    check(Backing::Roots, "C-bass", "4/4", "C7 | F7 G7 | Em/G", "1 C3 | 2 F2 2 G2 | 1 G2");
    check(
        Backing::RootsAndFifths,
        "C-bass",
        "4/4",
        "C7 | F7 G7 | Bdim",
        "2 C3 2 G2 | 4 F2 4 C3 4 G2 4 D3 | 2 B2 2 F2",
    );
    check(Backing::RootsAndFifths, "C-bass", "3/4", "C7", "2 C3 4 G2");
    check(Backing::RootsAndFifths, "C-bass", "12/8", "G7", "2. G2 2. D3");
}

#[test]
fn claps_fall_on_two_and_four() {
    check(Backing::Claps, "C-treble", "4/4", "C7", "r4 4 B4 r4 4 B4");
    check(Backing::Claps, "C-treble", "12/8", "C7", "r4. 4. B4 r4. 4. B4");
    check(Backing::Claps, "C-treble", "3/4", "C7", "r4 4 B4 4 B4");
    check(Backing::Claps, "C-treble", "2/4", "C7", "r4 4 B4");
    assert_eq!(Backing::Claps.clef(Clef::Bass), Clef::Percussion);
}

/// As many half steps up as music21's instruments have it: 2 in B♭, 9 in E♭, 7 in F.
#[test]
fn each_reads_in_the_own_pitch_and_clef() {
    check(Backing::Roots, "Bb-treble", "4/4", "C7", "1 D4");
    check(Backing::Roots, "Eb-treble", "4/4", "C7", "1 A4");
    check(Backing::Roots, "F-treble", "4/4", "C7", "1 G4");
    check(Backing::Roots, "C-alto", "4/4", "C7", "1 C4");
    assert_eq!(Part::of(Instrument::named("viola").unwrap()), part("C-alto"));
    assert_eq!(Part::of(Instrument::named("alto-sax").unwrap()), part("Eb-treble"));
}

/// The outer lines of each clef's staff.
fn lines(clef: Clef) -> (i32, i32) {
    let (low, high) = match clef {
        Clef::Treble | Clef::Percussion => ("E4", "F5"),
        Clef::Alto => ("F3", "G4"),
        Clef::Bass => ("G2", "A3"),
    };
    let step = |name: &str| name.parse::<Pitch>().unwrap().staff_step();
    (step(low), step(high))
}

/// Every standard form in every key, for everybody: each bar is full and written exactly, no note stands more than two lines
/// off the staff, and no voice goes further than a third (major, or diminished fourth by name).
#[test]
fn every_form_can_be_read_by_everybody_in_every_key() {
    let keys = (-7..=7).map(|fifths| Key::of_signature(fifths, riffloom::theory::key::Mode::Major));
    for key in keys {
        for kind in FormKind::all() {
            let form = standard::changes(kind, key, ChordStyle::Sevenths, Metre::FOUR_FOUR);
            for (backing, part) in Backing::ALL.iter().flat_map(|b| Part::ALL.map(|part| (*b, part))) {
                let made = written(&form, backing, part);
                let name = format!("{} {} {key} {}", backing.name(), kind.name(), part.name());
                assert!(made.exact && made.measures.len() == form.bars().len(), "{name}");
                let (low, high) = lines(backing.clef(part.clef));
                let mut before: Option<[i32; 2]> = None;
                for head in made.measures.iter().flat_map(|m| &m.symbols).filter_map(|s| s.note.as_ref()) {
                    let all = [Some(head.pitch), head.with.map(|(lower, _)| lower)];
                    for pitch in all.iter().flatten() {
                        let step = pitch.staff_step();
                        assert!(low - 5 <= step && step <= high + 5, "{name}: {pitch}");
                    }
                    if let [Some(upper), Some(lower)] = all {
                        let now = [upper.semitones(), lower.semitones()];
                        let moves = before.map_or(0, |b| (b[0] - now[0]).abs().max((b[1] - now[1]).abs()));
                        assert!(moves <= 4 && now[0] > now[1], "{name}: {upper} {lower}");
                        before = Some(now);
                    }
                }
            }
        }
    }
}

/// What is written for others sounds as the same names, octaves apart.
#[test]
fn parts_in_other_pitches_sound_alike() {
    let form = standard::changes(
        FormKind::TwelveJazz,
        "Eb".parse().unwrap(),
        ChordStyle::Sevenths,
        Metre::FOUR_FOUR,
    );
    let passage = Passage::of_backing(&form, Backing::Chords);
    for part in Part::ALL {
        let reading = part.own_reading(form.key(), &passage.pitches());
        let made = notation::write(&passage, reading, part.clef);
        let heads = made.measures.iter().flat_map(|m| &m.symbols).filter_map(|s| s.note.as_ref());
        for (head, note) in heads.zip(passage.notes()) {
            // Off by octaves, and by nothing else.
            let up = part.pitched_in.interval_to("C".parse().unwrap()).semitones;
            let written = head.pitch.semitones() - note.pitch.semitones();
            assert_eq!((written - up).rem_euclid(12), 0, "{}", part.name());
        }
    }
}

#[test]
fn seats_are_a_number_or_names() {
    assert_eq!(rota::seats("3").unwrap(), ["1", "2", "3"]);
    assert_eq!(rota::seats(" Fern, Moss\n\n Owl  two ;").unwrap(), ["Fern", "Moss", "Owl two"]);
    for text in ["", "1", "31", "-4", "Fern", ",,", "99999999999999999999999"] {
        assert_eq!(rota::seats(text), None, "{text}");
    }
}

/// Three players and two parts, by hand: the parts change hands, and who has played alone goes on with the next.
#[test]
fn a_small_rota_by_hand() {
    let made = rota(3, 4, 2).unwrap();
    let plays: Vec<Vec<Option<usize>>> = made.iter().map(|turn| turn.plays.clone()).collect();
    let expected = [
        vec![None, Some(1), Some(0)],
        vec![Some(0), None, Some(1)],
        vec![Some(1), Some(0), None],
        vec![None, Some(1), Some(0)],
    ];
    assert_eq!(plays, expected);
    assert_eq!(
        (rota(1, 1, 1), rota(31, 1, 1), rota(2, 0, 1), rota(2, 61, 1), rota(2, 1, 0)),
        Default::default()
    );
}

fn uneven(counts: &[usize]) -> usize {
    counts.iter().max().unwrap() - counts.iter().min().unwrap()
}

proptest! {
    #[test]
    fn everybody_plays_alone_and_parts_change_hands((seats, choruses, parts) in (2..=30_usize, 1..=60_usize, 1..=4_usize)) {
        let made = rota(seats, choruses, parts).unwrap();
        prop_assert_eq!(made.len(), choruses);
        let mut alone = vec![0; seats];
        let mut had = vec![vec![0; parts]; seats];
        let mut last = vec![None; seats];
        for turn in &made {
            prop_assert_eq!(turn.plays.len(), seats);
            alone[turn.solo] += 1;
            // Nobody plays alone again before everybody has.
            prop_assert!(uneven(&alone) <= 1);
            let mut players = vec![0; parts];
            for (seat, plays) in turn.plays.iter().enumerate() {
                prop_assert_eq!(plays.is_none(), seat == turn.solo);
                let Some(part) = *plays else { continue };
                players[part] += 1;
                had[seat][part] += 1;
                prop_assert!(parts == 1 || last[seat] != Some(part));
                last[seat] = Some(part);
                prop_assert!(uneven(&had[seat]) <= 1, "seat {} had {:?}", seat, had[seat]);
            }
            prop_assert!(uneven(&players) <= 1, "{:?}", players);
            prop_assert_eq!((0..parts).map(|part| turn.seats(part).count()).sum::<usize>(), seats - 1);
        }
    }

    #[test]
    fn any_text_of_seats_is_read_or_refused(text in "\\PC{0,80}") {
        if let Some(names) = rota::seats(&text) {
            prop_assert!(rota::SEATS.contains(&names.len()));
            prop_assert!(names.iter().all(|name| !name.is_empty() && name.chars().count() <= rota::LONGEST_NAME));
        }
    }
}

/// In any metre that there is, every bar of every part is full.
#[test]
fn every_metre_has_full_bars() {
    let chords = ["C7", "C7 F7", "Dm7 G7"];
    for (upper, lower) in (1..=16).flat_map(|upper| [2, 4, 8, 16].map(|lower| (upper, lower))) {
        let metre = Metre::new(upper, lower).unwrap();
        let bars = chords.iter().filter(|bar| bar.split(' ').count() <= usize::from(metre.beats()));
        let form = changes(&metre.to_string(), &bars.copied().collect::<Vec<_>>().join(" | "));
        for backing in Backing::ALL {
            let made = written(&form, backing, part("C-treble"));
            for measure in &made.measures {
                let sum = measure.symbols.iter().fold(Ticks::ZERO, |sum, symbol| sum + symbol.length);
                assert_eq!(sum, metre.bar(), "{metre} {}", backing.name());
            }
        }
    }
}
