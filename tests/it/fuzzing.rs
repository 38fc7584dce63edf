//! A short run of the fuzzing that `scripts/bench fuzz` does at length, and every input that once broke something.

use std::time::Duration;

use crate::fuzz;

/// What each target is given here: the same inputs each time.
const INPUTS: u64 = 300;
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
