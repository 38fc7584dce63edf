//! Varying a riff on the desk, and what the page says of it: the first one is never lost, nothing is kept unasked.

use riffloom::desk::command::Command;
use riffloom::desk::vary::{Side, best_ways};
use riffloom::desk::{Desk, Done, Refusal};
use riffloom::notebook::Notebook;
use riffloom::riff::variation::How;
use riffloom::riff::{Riff, RiffId, write_id};
use riffloom::theory::instrument::Instrument;
use riffloom::view::model::{StripView, VaryView, WordsView};
use riffloom::view::screen::{Screen, say};

const PORCH_LIGHT: RiffId = RiffId(2);

/// *Porch light*, D E B♭ B G, on the desk.
fn demo() -> Desk {
    let mut desk = Desk::new(RiffId(1));
    desk.apply(Command::OpenDemo { id: write_id(PORCH_LIGHT) }).unwrap();
    desk
}

fn varied(how: &str, seed: u32) -> Desk {
    let mut desk = demo();
    desk.apply(vary(how, seed)).unwrap();
    desk
}

fn vary(how: &str, seed: u32) -> Command {
    Command::Vary { how: how.into(), seed }
}

fn keep(id: u64, desk: &Desk) -> Command {
    Command::KeepVariation { id: write_id(RiffId(id)), name: view(desk).keep_name }
}

fn view(desk: &Desk) -> VaryView {
    Screen::of(desk).all().vary.unwrap()
}

fn strip(desk: &Desk) -> StripView {
    Screen::of(desk).all().strip.unwrap()
}

fn words(desk: &Desk) -> WordsView {
    Screen::of(desk).all().words.unwrap()
}

fn names(desk: &Desk) -> String {
    strip(desk).tokens.iter().map(|token| token.name.clone()).collect::<Vec<_>>().join(" ")
}

/// Backwards is the notes from the last to the first (retrograde; common practice, no source).
#[test]
fn a_variation_lies_on_the_strip_and_says_what_it_changed() {
    let desk = varied("retrograde", 0);
    assert_eq!(names(&desk), "G B B♭ E D");
    let view = view(&desk);
    assert!(view.on && view.shows_new);
    assert_eq!(view.text, "Same notes, all backwards: the rhythm too.");
    assert_eq!(view.keep_name, "Porch light, backwards");
    let chosen: Vec<&str> = view.ways.iter().filter(|way| way.chosen).map(|way| way.text.as_str()).collect();
    assert_eq!((view.ways.len(), chosen), (How::all().count(), vec!["backwards"]));
}

#[test]
fn the_first_one_is_one_tap_away_and_nothing_is_kept() {
    let before = demo();
    let mut desk = varied("retrograde", 0);
    assert_eq!(desk.document(), before.document());
    desk.apply(Command::ShowVariation { on: false }).unwrap();
    assert_eq!(names(&desk), "D E B♭ B G");
    assert_eq!(desk.riff(), before.riff());
    assert_eq!(view(&desk).text, "The first one: “Porch light”, as it was.");
    desk.apply(Command::ShowVariation { on: true }).unwrap();
    assert_eq!(names(&desk), "G B B♭ E D");
    for back in [Command::DropVariation, Command::Undo] {
        let mut desk = desk.clone();
        desk.apply(back).unwrap();
        assert_eq!((desk.document(), desk.riff()), (before.document(), before.riff()));
        assert_eq!((view(&desk).on, desk.can_redo()), (false, false));
        assert_eq!(desk.can_undo(), before.can_undo());
    }
}

#[test]
fn another_try_is_another_riff_until_the_first_comes_again() {
    let mut desk = varied("sequence", 0);
    let (first, tries) = (Riff::clone(desk.riff()), desk.varied().unwrap().tries);
    assert!(tries > 2 && view(&desk).has_more);
    let mut seen = vec![first.clone()];
    for _ in 1..tries {
        let seed = view(&desk).next_try;
        desk.apply(vary("sequence", seed)).unwrap();
        assert!(!seen.contains(desk.riff()));
        seen.push(Riff::clone(desk.riff()));
    }
    let seed = view(&desk).next_try;
    desk.apply(vary("sequence", seed)).unwrap();
    assert_eq!(**desk.riff(), first);
}

#[test]
fn what_is_kept_is_a_riff_of_its_own_and_undo_takes_it_back() {
    let mut desk = varied("retrograde", 0);
    // Another riff is newer than the first one, so that going back to it cannot be luck.
    desk.apply(Command::NewRiff { id: write_id(RiffId(3)) }).unwrap();
    desk.apply(Command::PickRiff { id: write_id(PORCH_LIGHT) }).unwrap();
    desk.apply(vary("retrograde", 0)).unwrap();
    let before = desk.document().clone();
    let done = desk.apply(keep(4, &desk));
    assert_eq!(done, Ok(Done::Kept { name: "Porch light, backwards".into() }));
    assert_eq!(say(&done).unwrap(), "“Porch light, backwards” is in your notebook, beside the first one.");
    assert_eq!((desk.riff().id, desk.riff().name.as_str()), (RiffId(4), "Porch light, backwards"));
    assert_eq!((names(&desk).as_str(), view(&desk).on), ("G B B♭ E D", false));
    let kept = desk.document().clone();
    assert_eq!(kept.notebook.entries().len(), before.notebook.entries().len() + 1);
    assert_eq!(kept.notebook.riff(PORCH_LIGHT), before.notebook.riff(PORCH_LIGHT));
    desk.apply(Command::Undo).unwrap();
    assert_eq!((desk.document(), desk.riff().id), (&before, PORCH_LIGHT));
    desk.apply(Command::Redo).unwrap();
    assert_eq!((desk.document(), desk.riff().id), (&kept, RiffId(4)));
}

#[test]
fn the_riff_waits_while_it_is_varied() {
    for side in [true, false] {
        let mut desk = varied("invert", 0);
        desk.apply(Command::ShowVariation { on: side }).unwrap();
        let before = desk.document().clone();
        for command in [
            Command::EnterNote { midi: 67 },
            Command::DeleteNote,
            Command::DragNote { index: 0, tick: 0, midi: 60, gesture: 9 },
            Command::SetRiffBeats { beats: 3 },
            Command::ClearRiff,
        ] {
            assert_eq!(desk.apply(command), Err(Refusal::BeingVaried));
        }
        desk.apply(Command::SelectNote { index: Some(1) }).unwrap();
        desk.apply(Command::ChooseBar { bar: 4 }).unwrap();
        assert_eq!(desk.document(), &before);
        assert!(view(&desk).on);
    }
}

#[test]
fn another_riff_on_the_desk_ends_the_trying() {
    for command in [
        Command::NewRiff { id: write_id(RiffId(9)) },
        Command::PickRiff { id: write_id(RiffId(1)) },
        Command::DeleteRiff { id: write_id(PORCH_LIGHT) },
        Command::DuplicateRiff { id: write_id(PORCH_LIGHT), copy: write_id(RiffId(9)) },
    ] {
        let mut desk = varied("invert", 0);
        desk.apply(command).unwrap();
        assert!(desk.varied().is_none());
    }
}

#[test]
fn what_cannot_be_varied_is_said_kindly_and_changes_nothing() {
    let mut desk = Desk::new(RiffId(1));
    let said = |outcome| say(&outcome).unwrap();
    assert_eq!(said(desk.apply(vary("invert", 0))), "Write a note first, then it can be varied.");
    assert!(matches!(desk.apply(vary("sideways", 0)), Err(Refusal::UnknownName { .. })));
    assert_eq!(desk.apply(Command::ShowVariation { on: true }), Err(Refusal::NothingVaried));
    let id = write_id(RiffId(5));
    assert_eq!(desk.apply(Command::KeepVariation { id, name: String::new() }), Err(Refusal::NothingVaried));
    // A try that finds nothing leaves the one before where it was.
    let mut desk = varied("retrograde", 0);
    desk.apply(Command::SetMaterial { material: "one".into() }).unwrap();
    let before = desk.varied().cloned();
    assert_eq!(said(desk.apply(vary("fit", 0))), "No note clashes here, so none needs to move.");
    assert_eq!(desk.varied(), before.as_ref());
}

#[test]
fn a_full_notebook_keeps_no_more() {
    let mut desk = demo();
    for number in 100..100 + (Notebook::MOST_RIFFS - 2) as u64 {
        desk.apply(Command::DuplicateRiff { id: write_id(PORCH_LIGHT), copy: write_id(RiffId(number)) })
            .unwrap();
    }
    desk.apply(vary("retrograde", 0)).unwrap();
    let full = desk.apply(keep(7, &desk));
    assert_eq!(full, Err(Refusal::Full { most: Notebook::MOST_RIFFS }));
    assert!(view(&desk).on);
}

/// Every try of every way, for every instrument that can play the riff: within its range, and as long as it should be.
#[test]
fn the_range_and_the_length_are_kept_to() {
    let mut tried = 0;
    for instrument in Instrument::all() {
        let mut desk = demo();
        desk.apply(Command::SetInstrument { instrument: instrument.name().into() }).unwrap();
        let is_within = |riff: &Riff| riff.notes().iter().all(|note| instrument.beyond(note.pitch).is_none());
        if !is_within(desk.riff()) {
            continue;
        }
        for how in How::all() {
            let mut seed = 0;
            while desk.apply(vary(how.name(), seed)).is_ok() {
                let varied = desk.varied().unwrap();
                assert!(is_within(&varied.riff), "{} {} {seed}", instrument.name(), how.name());
                assert!(how.changes_length() || varied.riff.beats() == 6);
                assert_eq!(strip(&desk).range_warning, "");
                tried += 1;
                seed += 1;
                if seed as usize >= varied.tries {
                    break;
                }
            }
        }
    }
    assert!(tried > 300, "{tried}");
}

/// A variation stands on the tune: in another key it is made anew, and its words name the new home note.
#[test]
fn in_another_key_it_is_made_anew() {
    let mut desk = varied("answer", 0);
    let text = view(&desk).text;
    assert!(text.ends_with("another way to G, the home note."), "{text}");
    desk.apply(Command::ShowVariation { on: false }).unwrap();
    desk.apply(Command::SetKey { key: "C".into() }).unwrap();
    assert_eq!(desk.varied().unwrap().side, Side::First);
    desk.apply(Command::ShowVariation { on: true }).unwrap();
    let text = view(&desk).text;
    assert!(text.ends_with("ends on C, the home note."), "{text}");
    assert!(names(&desk).ends_with('C'));
}

/// A B flat trumpet is read a whole step higher (common practice, no source).
#[test]
fn the_words_are_in_the_players_own_reading() {
    let mut desk = demo();
    desk.apply(Command::SetInstrument { instrument: "trumpet".into() }).unwrap();
    desk.apply(vary("answer", 0)).unwrap();
    let text = view(&desk).text;
    // The first one ends at home, too: what is new is the way.
    assert!(text.ends_with("another way to A, the home note."), "{text}");
    assert!(names(&desk).ends_with('A'));
}

/// Over a twelve-bar blues a note of the riff meets all three chords; E is no tone of G7 and of D7, and the third of C7
/// (common practice: tones of the dominant seventh).
#[test]
fn a_tapped_note_has_a_sentence_for_each_chord_that_it_meets() {
    let mut desk = demo();
    desk.apply(Command::SelectNote { index: Some(1) }).unwrap();
    let all = words(&desk);
    assert_eq!(all.title, "What you hear · E under each chord");
    let said: Vec<String> = all
        .sentences
        .iter()
        .filter(|said| !said.to_try)
        .map(|said| format!("{}{}", said.head, said.text))
        .collect();
    assert_eq!(said.len(), 3, "{said:?}");
    assert!(said[0].starts_with("E is the sixth over G7"), "{said:?}");
    assert!(said.iter().any(|said| said.starts_with("E is the third of C7")), "{said:?}");
    assert!(said.iter().any(|said| said.contains(" in D7") || said.contains("over D7")), "{said:?}");
    // The chosen bar's chord comes first.
    desk.apply(Command::ChooseBar { bar: 4 }).unwrap();
    let first = words(&desk).sentences[0].clone();
    assert!(first.text.contains("is the third of C7"), "{}", first.text);
}

/// The son clave's published values; sources beside the table in `measures.rs`.
#[test]
fn the_numbers_are_the_published_ones() {
    let mut desk = Desk::new(RiffId(1));
    desk.apply(Command::SetRiffBeats { beats: 4 }).unwrap();
    desk.apply(Command::SetDivisionHere { parts: 4 }).unwrap();
    let whole = |desk: &Desk| Screen::of(desk).all().whole.unwrap();
    assert_eq!(whole(&desk).numbers, []);
    for sign in "x..x..x...x.x...".chars() {
        let command = if sign == 'x' { Command::EnterNote { midi: 67 } } else { Command::EnterRest };
        desk.apply(command).unwrap();
    }
    let words = whole(&desk);
    let values: Vec<(&str, &str)> =
        words.numbers.iter().map(|number| (number.name.as_str(), number.value.as_str())).collect();
    assert_eq!(
        values,
        [
            ("Syncopation", "4"),
            ("Syncopated notes", "2"),
            ("Note-to-beat distance", "2.8"),
            ("Off-beatness", "1"),
            ("Metric complexity", "4"),
            ("Length contrast, nPVI", "40.5"),
        ]
    );
    assert!(words.numbers_note.starts_with("Taken with 4 to the beat"), "{}", words.numbers_note);
}

#[test]
fn beyond_the_instruments_range_is_a_warning_and_no_bar() {
    let mut desk = Desk::new(RiffId(1));
    desk.apply(Command::SetInstrument { instrument: "trumpet".into() }).unwrap();
    desk.apply(Command::EnterNote { midi: 67 }).unwrap();
    assert_eq!(strip(&desk).range_warning, "");
    // A concert C3, which a trumpeter would read as D below the staff.
    desk.apply(Command::EnterNote { midi: 48 }).unwrap();
    assert_eq!(
        strip(&desk).range_warning,
        "D lies below what a trumpet or cornet usually plays. You can still hear it here."
    );
    desk.apply(Command::EnterNote { midi: 36 }).unwrap();
    desk.apply(Command::EnterNote { midi: 46 }).unwrap();
    assert!(strip(&desk).range_warning.starts_with("D and C lie below what a trumpet"));
    assert_eq!(desk.riff().notes().len(), 4);
}

/// The three ways that suit a riff here come first on the page: each gives something new, and where a note clashes
/// fitting it is the first (the table's own first reason; common practice, no source).
#[test]
fn the_best_ways_are_three_that_give_something_new() {
    let mut desk = Desk::new(RiffId(1));
    assert_eq!(best_ways(&desk), Some(vec![]), "a riff without notes has none");
    for midi in [67, 71] {
        desk.apply(Command::EnterNote { midi }).unwrap();
    }
    for bar in [0, 4] {
        desk.apply(Command::ChooseBar { bar }).unwrap();
        let ways = best_ways(&desk).unwrap();
        assert_eq!(ways.len(), 3, "{ways:?}");
        for how in ways {
            assert_eq!(desk.apply(Command::Vary { how: how.into(), seed: 0 }), Ok(Done::Quietly), "{how}");
            desk.apply(Command::DropVariation).unwrap();
        }
    }
}
