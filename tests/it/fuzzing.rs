//! A short run of the fuzzing that `scripts/bench fuzz` does at length, and every input that once broke something.

use std::time::Duration;

use riffloom::desk::Desk;
use riffloom::desk::command::Command;
use riffloom::riff::RiffId;

use crate::fuzz;

/// What each target is given here: the same inputs each time.
const INPUTS: u64 = 200;
const SEED: u64 = 1;

#[test]
fn what_once_broke_something_holds() {
    for target in fuzz::targets() {
        for (file, input) in target.kept() {
            assert!(target.holds(&input), "{}", file.display());
        }
    }
}

#[test]
fn no_input_breaks_a_reader_or_a_command() {
    for target in fuzz::targets() {
        let run = target.run(SEED, INPUTS, Duration::MAX);
        for input in &run.broken {
            println!("{}: {}", target.name, input.escape_ascii());
        }
        assert_eq!((run.broken.len(), run.inputs), (0, INPUTS), "{}", target.name);
    }
}

/// Each of these once added up to more than a number holds, or moved the riff to the bar line.
#[test]
fn numbers_at_their_edges_are_refused_in_words() {
    let mut desk = Desk::new(RiffId(1));
    desk.apply(Command::EnterNote { midi: 67 }).unwrap();
    desk.apply(Command::SetRiffStart { quarters: -1.0 }).unwrap();
    let before = desk.document().clone();
    let up = |pitch, in_scale| Command::MoveNote { index: 0, steps: 0, pitch, in_scale };
    for command in [
        up(i32::MAX, false),
        up(i32::MIN, false),
        Command::MoveNote { index: usize::MAX, steps: 1, pitch: 0, in_scale: false },
        Command::SetDivision { beat: usize::MAX, parts: 3 },
        Command::SetRiffStart { quarters: f64::NAN },
        Command::SetRiffStart { quarters: 1e12 },
    ] {
        let refusal = desk.apply(command.clone()).unwrap_err();
        assert!(!refusal.to_string().is_empty());
        assert_eq!(*desk.document(), before, "{command:?}");
    }
}

/// A pickup over eight beats, made twice as slow, would begin further from the bar line than any format carries; MIDI's
/// lowest note has a name of its own in C♭.
#[test]
fn what_the_desk_holds_every_format_carries() {
    let mut desk = Desk::new(RiffId(1));
    desk.apply(Command::SetKey { key: "Cb".to_owned() }).unwrap();
    desk.apply(Command::EnterNote { midi: 0 }).unwrap();
    for quarters in [-9.0, -8.0, 16.0, -16.0] {
        desk.apply(Command::SetRiffStart { quarters }).unwrap();
        let _ = desk.apply(Command::Vary { how: "augment".to_owned(), seed: 0 });
        fuzz::commands::carries_all(&desk);
        desk.apply(Command::DropVariation).unwrap();
    }
}
