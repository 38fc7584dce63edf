//! Drills: whose turn it is, what is played in it, and what is said of the player's.
//!
//! The rules are our own (no source): expected values are worked by hand at a quarter a second.

use std::rc::Rc;

use proptest::prelude::*;
use riffloom::form::standard::{ChordStyle, FormKind, changes};
use riffloom::perform::{Anchor, Parts, Score};
use riffloom::practice::Heard;
use riffloom::practice::drill::{Drill, Kind, Setup, Sound, Turn, Who};
use riffloom::practice::ladder::Went;
use riffloom::rhythm::feel::SwingRatio;
use riffloom::rhythm::grid::Division;
use riffloom::rhythm::metre::Metre;
use riffloom::riff::{Note, Riff, RiffId};
use riffloom::units::{AudioTime, Cents, MidiNote, QuartersPerMinute, Seconds, Ticks, Velocity};

/// A riff of quarters and rests from the first beat on, over two bars.
fn riff(id: u64, pitches: &[&str]) -> Rc<Riff> {
    let note = |(index, pitch): (usize, &&str)| {
        (!pitch.is_empty()).then(|| Note {
            onset: Ticks::quarters(index as i64),
            length: Ticks::QUARTER,
            pitch: pitch.parse().unwrap(),
            accent: false,
            ornament: None,
        })
    };
    let notes = pitches.iter().enumerate().filter_map(note).collect();
    let divisions = vec![Division::HALVES; 8];
    Rc::new(
        Riff::from_parts(RiffId(id), String::new(), Ticks::ZERO, Ticks::QUARTER, divisions, notes).unwrap(),
    )
}

/// Twelve bars in G, straight, at 60: a bar lasts four seconds. The first bar line sounds at 10 s.
fn setup(kind: Kind, pool: &[Rc<Riff>], seed: u64) -> Setup {
    let changes = changes(FormKind::Twelve, "G".parse().unwrap(), ChordStyle::Sevenths, Metre::FOUR_FOUR);
    let mut band = Score::new(Rc::new(changes), None, SwingRatio::STRAIGHT, Parts::default());
    band.anchor = Anchor { bar: Drill::first_bar(kind, seed, 12), ..Anchor::default() };
    let tempo = QuartersPerMinute::new(60.0).unwrap();
    Setup { kind, band, tempo, pool: pool.to_vec(), seed }
}

fn drill(kind: Kind, pool: &[Rc<Riff>]) -> Drill {
    Drill::begun(setup(kind, pool, 1), AudioTime(10.0)).unwrap()
}

/// Ticks four times a second from `from` to `to`, as the page does.
fn run(drill: &mut Drill, from: f64, to: f64) -> Vec<Sound> {
    let ticks = ((to - from) * 4.0) as usize;
    (0..=ticks).flat_map(|tick| drill.tick(AudioTime(from + tick as f64 / 4.0), None)).collect()
}

fn key(drill: &mut Drill, at: f64, midi: i32) {
    drill.hear(Heard {
        at: AudioTime(at),
        midi: MidiNote::new(midi),
        above: Cents(0.0),
        velocity: Velocity::PLAIN,
    });
}

fn heard(sounds: &[Sound]) -> Vec<(f64, u8)> {
    sounds.iter().map(|sound| (sound.at.0, sound.midi.number())).collect()
}

fn whose(drill: &Drill) -> Vec<(u32, u32, Who)> {
    drill.turns().iter().map(|turn| (turn.slot.first, turn.slot.bars, turn.slot.who)).collect()
}

#[test]
fn an_echo_comes_twice_and_is_answered() {
    let tune = riff(1, &["G4", "Bb4"]);
    let mut drill = drill(Kind::Echo, std::slice::from_ref(&tune));
    let sounds = run(&mut drill, 9.0, 17.0);
    assert_eq!(heard(&sounds), [(10.0, 67), (11.0, 70)]);
    assert_eq!(whose(&drill)[..2], [(0, 2, Who::Page), (2, 2, Who::You)]);
    assert!(drill.last().is_none());
    // The answer, a bit late; then in another octave, and then with a slip.
    [(18.2, 67), (19.1, 70)].into_iter().for_each(|(at, midi)| key(&mut drill, at, midi));
    let again = run(&mut drill, 17.0, 27.0);
    assert_eq!(drill.last().map(|came| (came.went, came.played)), Some((Went::Clean, true)));
    assert_eq!(heard(&again), [(26.0, 67), (27.0, 70)], "it comes twice");
    [(34.0, 55), (35.0, 58)].into_iter().for_each(|(at, midi)| key(&mut drill, at, midi));
    run(&mut drill, 27.0, 43.0);
    assert_eq!(drill.last().map(|came| came.went), Some(Went::Clean));
    [(50.0, 67), (51.0, 71)].into_iter().for_each(|(at, midi)| key(&mut drill, at, midi));
    run(&mut drill, 43.0, 59.0);
    assert_eq!(drill.last().map(|came| came.went), Some(Went::Poor));
    run(&mut drill, 59.0, 75.0);
    assert_eq!(drill.last().map(|came| (came.went, came.played)), Some((Went::Poor, false)));
}

#[test]
fn a_cue_comes_a_bar_ahead_by_name_or_by_sound() {
    let pool = [riff(1, &["G4", "", "", "", "D5"]), riff(2, &["C5", "", "", "", "E5"])];
    let mut drill = drill(Kind::Cues, &pool);
    let sounds = run(&mut drill, 9.0, 198.0);
    let turns: Vec<&Turn> = drill.turns().iter().collect();
    let cues: Vec<&Turn> = turns.iter().copied().filter(|turn| turn.slot.who == Who::Page).collect();
    assert!(cues.iter().all(|cue| (cue.slot.first % 4, cue.slot.bars) == (0, 1)));
    let sounding = cues.iter().filter(|cue| cue.by_sound && cue.begins < AudioTime(200.0)).count();
    assert!(sounding > 0 && cues.iter().any(|cue| !cue.by_sound), "both kinds come");
    // Of a cue by sound only its bar is heard, of one by name nothing.
    assert_eq!(sounds.len(), sounding);
    let ids: Vec<u64> = cues.iter().filter_map(|cue| Some(cue.riff.as_ref()?.id.0)).collect();
    assert!(ids.windows(2).all(|two| two[0] != two[1]), "{ids:?}");
    for two in turns.windows(2).filter(|two| two[0].slot.who == Who::Page) {
        assert_eq!(two[1].riff.as_ref().map(|riff| riff.id), two[0].riff.as_ref().map(|riff| riff.id));
    }
}

#[test]
fn the_same_seed_gives_the_same_choices() {
    let pool: Vec<Rc<Riff>> = (1..6).map(|id| riff(id, &["G4"])).collect();
    let ids = |seed: u64| {
        let mut drill = Drill::begun(setup(Kind::Cues, &pool, seed), AudioTime(0.0)).unwrap();
        run(&mut drill, 0.0, 160.0);
        drill.turns().iter().filter_map(|turn| Some(turn.riff.as_ref()?.id.0)).collect::<Vec<u64>>()
    };
    assert_eq!(ids(7), ids(7));
    assert_ne!(ids(7), ids(8));
}

#[test]
fn three_fours_in_twelve_bars_let_the_other_side_begin() {
    let mut drill = drill(Kind::Fours, &[riff(1, &["G4"])]);
    run(&mut drill, 9.0, 10.0 + 24.0 * 4.0);
    use Who::{Page, You};
    assert_eq!(
        whose(&drill)[..6],
        [(0, 4, Page), (4, 4, You), (8, 4, Page), (12, 4, You), (16, 4, Page), (20, 4, You)]
    );
    assert_eq!(drill.turns()[3].bar, 0, "in the second chorus the player begins");
    assert_eq!(whose(&drill)[..3].iter().map(|turn| turn.1).sum::<u32>(), 12);
}

#[test]
fn turns_end_with_the_form() {
    let mine = |kind: Kind, form: u32| {
        let slots = (0..2 * form).map(|bar| kind.turn(bar, form));
        let mut slots: Vec<(u32, u32, Who)> = slots.map(|slot| (slot.first, slot.bars, slot.who)).collect();
        slots.dedup();
        slots
    };
    use Who::{Page, You};
    let five = [(0, 2, Page), (2, 2, You), (4, 1, Page), (5, 2, You), (7, 2, Page), (9, 1, You)];
    assert_eq!(mine(Kind::Twos, 5), five);
    assert_eq!(mine(Kind::Fours, 8), [(0, 4, Page), (4, 4, You), (8, 4, Page), (12, 4, You)]);
}

#[test]
fn four_bars_of_the_band_are_a_call_and_its_reply() {
    let mut drill = drill(Kind::Fours, &[riff(1, &["G4", "", "Bb4", "", "C5"])]);
    let sounds = heard(&run(&mut drill, 9.0, 25.0));
    let when = |from: f64| sounds.iter().map(move |(at, _)| at - from).filter(|at| (0.0..8.0).contains(at));
    assert_eq!(when(10.0).collect::<Vec<f64>>(), [0.0, 2.0, 4.0]);
    assert_eq!(when(18.0).collect::<Vec<f64>>(), [0.0, 2.0, 4.0], "the same rhythm");
    assert_eq!(sounds.last().map(|(_, midi)| midi % 12), Some(7), "and home at the end");
    assert_ne!(sounds[2].1 % 12, 7);
}

#[test]
fn the_band_keeps_your_rhythm_and_changes_the_end() {
    let mut drill = drill(Kind::Answer, &[]);
    run(&mut drill, 9.0, 9.75);
    assert_eq!(whose(&drill)[0], (0, 2, Who::You));
    // Played a little off the grid: beats 1, 2 and a half, 4, and 1 again.
    for (at, midi) in [(10.05, 62), (11.46, 65), (13.08, 69), (13.95, 72)] {
        key(&mut drill, at, midi);
    }
    let sounds = run(&mut drill, 10.0, 20.0);
    let (reply, times): (Vec<u8>, Vec<f64>) = heard(&sounds).into_iter().map(|(at, midi)| (midi, at)).unzip();
    assert_eq!(times, [18.0, 19.5, 21.0, 22.0]);
    assert_eq!(reply[..2], [62, 65], "the first half stays");
    assert_eq!(reply[3] % 12, 7, "the end comes home");
    // Whoever plays nothing is left in peace.
    assert_eq!(run(&mut drill, 20.0, 40.0), []);
}

#[test]
fn the_place_is_found_by_naming_the_bar() {
    let begin = Drill::first_bar(Kind::FindPlace, 1, 12);
    let firsts: std::collections::BTreeSet<usize> =
        (0..60).map(|seed| Drill::first_bar(Kind::FindPlace, seed, 12)).collect();
    assert_eq!(firsts.len(), 12, "any bar may be the first");
    let mut drill = drill(Kind::FindPlace, &[]);
    run(&mut drill, 9.0, 10.0);
    let mut said = |bar: usize, at: f64| {
        drill.guess(bar % 12, AudioTime(at), None);
        let guess = drill.place().unwrap().last();
        guess.map(|guess| (guess.was, guess.is_right))
    };
    assert_eq!(said(begin, 9.0), None, "before the first bar there is nothing to say");
    assert_eq!(said(begin, 12.0), Some((begin, true)));
    assert_eq!(said(begin + 1, 12.0), Some((begin, false)));
    // Half a beat about a bar line both bars are right.
    assert_eq!(said(begin, 14.4), Some(((begin + 1) % 12, true)));
    assert_eq!(said(begin + 1, 13.6), Some((begin, true)));
    assert_eq!(said(begin, 15.0), Some(((begin + 1) % 12, false)));
    assert_eq!(said(begin, 10.0 + 48.0 + 1.0), Some((begin, true)), "the form comes round");
}

#[test]
fn without_riffs_there_is_nothing_to_echo() {
    for (kind, _) in Kind::NAMES {
        let is_there = Drill::begun(setup(kind, &[], 1), AudioTime(0.0)).is_some();
        assert_eq!(is_there, matches!(kind, Kind::FindPlace | Kind::Answer), "{kind:?}");
    }
}

proptest! {
    /// However the page ticks, each note is handed out once, and never after it was to sound.
    #[test]
    fn nothing_is_late_or_doubled(
        kind in 0_usize..6,
        waits in proptest::collection::vec(0.01_f64..0.5, 1..400),
        notes in proptest::collection::vec((8.0_f64..90.0, 40_i32..90), 0..60),
    ) {
        let (kind, _) = Kind::NAMES[kind];
        let pool = [riff(1, &["G4", "Bb4", "", "C5"]), riff(2, &["D5"])];
        let mut drill = drill(kind, &pool);
        notes.into_iter().for_each(|(at, midi)| key(&mut drill, at, midi));
        let (mut now, mut sounds) = (9.0, Vec::new());
        for wait in waits {
            now += wait;
            for sound in drill.tick(AudioTime(now), None) {
                prop_assert!(sound.at.0 > now && sound.length > Seconds(0.0), "{sound:?} at {now}");
                sounds.push((sound.at.0.to_bits(), sound.midi));
            }
        }
        let all = sounds.len();
        sounds.sort_unstable();
        sounds.dedup();
        prop_assert_eq!(sounds.len(), all);
        // Turns lie end to end.
        for two in drill.turns().windows(2) {
            prop_assert_eq!(two[0].slot.first + two[0].slot.bars, two[1].slot.first);
            prop_assert_eq!(two[0].ends, two[1].begins);
        }
    }
}
