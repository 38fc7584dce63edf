//! The band begins with a drummer's pickup, and answers in the space that a riff leaves; both on wish.

use std::rc::Rc;

use riffloom::band::settings::{Answers, Arrangement, Busyness, CompStyle};
use riffloom::files::abc;
use riffloom::form::standard::{ChordStyle, FormKind, changes};
use riffloom::perform::{Event, Part, Parts, Score, Solo};
use riffloom::rhythm::feel::SwingRatio;
use riffloom::rhythm::metre::Metre;
use riffloom::units::percussion::Percussion;

/// The riff in a bar of eighths, and what comes after it.
fn score(bars: &str, seed: u32, answers: Answers) -> Score {
    let riff = abc::read(&format!("X:1\nM:4/4\nL:1/8\nK:G\n{bars}|")).unwrap().riff;
    let changes = changes(FormKind::Twelve, "G".parse().unwrap(), ChordStyle::Sevenths, Metre::FOUR_FOUR);
    let mut score =
        Score::new(changes.into(), Some(Rc::new(riff)), SwingRatio::TRIPLET, Parts::of(&Part::ALL));
    let busyness = Busyness::NAMES[seed as usize % 3].0;
    let comp = CompStyle::NAMES[seed as usize % 2].0;
    score.arrangement = Arrangement { seed, busyness, comp, answers, ..Arrangement::default() };
    score
}

fn of(events: &[Event], part: Part) -> Vec<&Event> {
    events.iter().filter(|event| event.part == part).collect()
}

fn is_tom(event: &Event) -> bool {
    event.part == Part::Drums && [Percussion::HighTom.midi(), Percussion::LowTom.midi()].contains(&event.midi)
}

/// Common practice, no source: a pickup is what comes right before the first bar line.
#[test]
fn the_drums_lead_into_the_first_bar() {
    for (seed, swing) in
        (0..12).flat_map(|seed| [SwingRatio::STRAIGHT, SwingRatio::TRIPLET].map(|s| (seed, s)))
    {
        let mut plain = Score { swing, ..score("G8|z8", seed, Answers::Nobody) };
        plain.count_in = 1;
        for intro in [0, 4] {
            plain.intro = intro;
            let begins = -4.0 * f64::from(intro);
            let before = plain.events(-40.0, begins);
            assert_eq!(of(&before, Part::Drums).len(), 0);
            for (pickup, beats) in [(1, 1.0), (u8::MAX, 4.0)] {
                let led = Score { pickup, ..plain.clone() };
                let heard = led.events(-40.0, begins);
                let drums = of(&heard, Part::Drums);
                assert!(drums.len() >= 2, "seed {seed}: {drums:?}");
                assert!(drums.iter().all(|event| event.position >= begins - beats));
                // It leads on: the last stroke is the loudest, or as loud, and less than a beat away.
                let last = drums.last().unwrap();
                assert!(last.position > begins - 1.0);
                assert!(drums.iter().all(|event| event.velocity <= last.velocity), "seed {seed}: {drums:?}");
                // Everything else is as before, the click's count too.
                assert_eq!(of(&heard, Part::Click), of(&before, Part::Click));
                assert_eq!(led.events(begins, 48.0), plain.events(begins, 48.0));
                assert_eq!(led.begin(), plain.begin());
                let without = Score { parts: led.parts.without(Part::Drums), ..led.clone() };
                assert_eq!(of(&without.events(-40.0, begins), Part::Drums).len(), 0);
            }
        }
    }
}

#[test]
fn a_pickup_without_a_count_begins_the_piece() {
    let mut led = score("G8|z8", 1, Answers::Nobody);
    for (pickup, begins) in [(0, 0.0), (1, -1.0), (u8::MAX, -4.0)] {
        led.pickup = pickup;
        assert_eq!(led.begin().since_start().in_quarters(), begins);
    }
    led.parts = led.parts.without(Part::Drums);
    assert_eq!(led.begin().since_start().in_quarters(), 0.0);
}

/// Riffs and the beats of each of their bars in which they leave room for two beats.
const RIFFS: [(&str, [bool; 2]); 5] = [
    ("GBdB d2B2|z8", [false, true]),
    ("GBdB z4|GBdB z4", [true, true]),
    ("GBdB d2B2|GBdB d2B2", [false, false]),
    ("z4 d2B2|G8", [true, false]),
    ("d4-d4-|d4 z4", [false, true]),
];

/// Common practice, no source: who answers waits until the other has spoken, speaks where they rest, and never with them.
#[test]
fn the_band_answers_where_the_riff_rests_and_nowhere_else() {
    for (seed, (bars, rests)) in (0..200).zip(RIFFS.iter().cycle()) {
        let plain = score(bars, seed, Answers::Nobody).events(0.0, 44.0);
        let solo = of(&plain, Part::Solo);
        for answers in [Answers::Chords, Answers::Drums, Answers::Both] {
            let heard = score(bars, seed, answers).events(0.0, 44.0);
            assert_eq!(of(&heard, Part::Bass), of(&plain, Part::Bass));
            assert_eq!(of(&heard, Part::Solo), solo);
            // Each answers alone as together.
            let both = score(bars, seed, Answers::Both).events(0.0, 44.0);
            let of_both = |part: Part| of(&both, part) == of(&heard, part);
            let (chords, drums) = (answers != Answers::Drums, answers != Answers::Chords);
            for part in [Part::Comp, Part::Drums] {
                let answers = if part == Part::Comp { chords } else { drums };
                assert!(if answers { of_both(part) } else { of(&heard, part) == of(&plain, part) });
            }
            let mut answered = 0;
            // Bars with a fill have one already.
            for bar in (1..11).filter(|bar| bar % 4 != 3) {
                let within = |events: &[Event], part: Part| {
                    let (from, to) = (4.0 * f64::from(bar), 4.0 * f64::from(bar + 1));
                    let notes = of(events, part).into_iter().filter(|e| (from..to).contains(&e.position));
                    notes.cloned().collect::<Vec<Event>>()
                };
                if !rests[bar as usize % 2] {
                    assert_eq!(within(&heard, Part::Comp), within(&plain, Part::Comp), "{bars}, bar {bar}");
                    assert_eq!(within(&heard, Part::Drums), within(&plain, Part::Drums), "{bars}, bar {bar}");
                    continue;
                }
                let toms: Vec<Event> = within(&heard, Part::Drums).into_iter().filter(is_tom).collect();
                assert_eq!(toms.len() >= 2, drums, "{bars}, bar {bar}, seed {seed}");
                answered += 1;
                let comp = within(&heard, Part::Comp);
                for event in &toms {
                    let sounds = |note: &&Event| {
                        note.position < event.position + 0.1
                            && event.position + 0.1 < note.position + note.length
                    };
                    assert!(!solo.iter().any(sounds), "{bars}, bar {bar}: {event:?}");
                    let together = comp.iter().any(|chord| chord.position == event.position);
                    assert!(together || !chords, "{bars}, bar {bar}, seed {seed}");
                }
            }
            assert_eq!(answered > 0, rests.contains(&true));
        }
    }
}

/// Who is alone is not answered, and nobody answers one who has not spoken.
#[test]
fn without_a_riff_nobody_answers() {
    let mut alone = score("GBdB d2B2|z8", 3, Answers::Nobody);
    alone.solo = Solo::Nothing;
    let plain = alone.events(0.0, 96.0);
    alone.arrangement.answers = Answers::Both;
    assert_eq!(alone.events(0.0, 96.0), plain);
}
