//! Fuzzing: every reader and every sequence of commands against inputs that nobody thought of.
//!
//! A target takes bytes and panics where a law is broken. What it is given is made from texts that are in order, changed
//! at random; from a seed, so that every run can be had again. No input may make it panic, overflow or take long; and what
//! is read is written and read again, and comes out the same.
//!
//! An input that once broke something is kept in `tests/data/fuzz`, in the folder of its target, and tried every time.

pub mod commands;
pub mod readers;

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// Something that is fuzzed.
pub struct Target {
    /// Its name, and that of its folder.
    pub name: &'static str,
    /// Inputs that are in order, to begin from.
    pub seeds: fn() -> Vec<Vec<u8>>,
    /// Panics where the input breaks a law.
    pub check: fn(&[u8]),
}

/// Every target.
pub fn targets() -> Vec<Target> {
    let mut all = readers::targets();
    all.push(commands::TARGET);
    all
}

/// What a run over one target came to.
pub struct Run {
    /// How many inputs were tried.
    pub inputs: u64,
    /// The longest that one took.
    pub slowest: Duration,
    /// The input that took it.
    pub slowest_input: Vec<u8>,
    /// Inputs that broke a law, the first of each message.
    pub broken: Vec<Vec<u8>>,
}

impl Target {
    /// Tries `inputs` inputs made from `seed`, or as many as there is time for.
    pub fn run(&self, seed: u64, inputs: u64, time: Duration) -> Run {
        let begun = Instant::now();
        let mut dice = Dice(seed);
        let mut corpus = (self.seeds)();
        corpus.extend(self.kept().into_iter().map(|(_, input)| input));
        corpus.push(Vec::new());
        let mut run =
            Run { inputs: 0, slowest: Duration::ZERO, slowest_input: Vec::new(), broken: Vec::new() };
        while run.inputs < inputs && begun.elapsed() < time && run.broken.len() < MOST_BROKEN {
            let input = changed(&corpus, &mut dice);
            let tried = Instant::now();
            let holds = self.holds(&input);
            let mut took = tried.elapsed();
            // Somebody else may have had the processor: what takes long takes long each time.
            for _ in 0..AGAIN {
                if took > HANG {
                    let tried = Instant::now();
                    self.holds(&input);
                    took = took.min(tried.elapsed());
                }
            }
            if took > run.slowest {
                (run.slowest, run.slowest_input) = (took, input.clone());
            }
            if !holds {
                run.broken.push(input);
            }
            run.inputs += 1;
        }
        run
    }

    /// Whether an input breaks nothing.
    pub fn holds(&self, input: &[u8]) -> bool {
        catch_unwind(AssertUnwindSafe(|| (self.check)(input))).is_ok()
    }

    /// The inputs that are kept, with their files.
    pub fn kept(&self) -> Vec<(PathBuf, Vec<u8>)> {
        let mut files: Vec<PathBuf> = match fs::read_dir(self.folder()) {
            Ok(files) => files.filter_map(|file| Some(file.ok()?.path())).collect(),
            Err(_) => Vec::new(),
        };
        files.sort();
        files.into_iter().filter_map(|file| Some((file.clone(), fs::read(file).ok()?))).collect()
    }

    /// Where they are kept.
    pub fn folder(&self) -> PathBuf {
        Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/fuzz").join(self.name)
    }
}

/// No reader takes longer for one input, on a machine of today and optimised.
pub const HANG: Duration = Duration::from_millis(100);
/// How often what took longer is tried again.
const AGAIN: usize = 3;

/// So many broken inputs are enough to look at.
const MOST_BROKEN: usize = 5;

/// Random numbers from a seed: G. Steele, D. Lea and C. Flood, "Fast splittable pseudorandom number generators",
/// OOPSLA 2014, figure 17 (SplitMix64).
pub struct Dice(pub u64);

impl Dice {
    /// The next number.
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number below `sides`, which is above 0.
    pub fn below(&mut self, sides: usize) -> usize {
        (self.next() % sides as u64) as usize
    }

    /// One of `list`.
    pub fn one<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.below(list.len())]
    }
}

/// Pieces that readers look for, and numbers at their edges.
const PIECES: &[&str] = &[
    "0",
    "-1",
    "1",
    "127",
    "128",
    "255",
    "256",
    "65535",
    "4294967295",
    "4294967296",
    "-4294967296",
    "2147483647",
    "-2147483648",
    "9007199254740992",
    "-9007199254740992",
    "9223372036854775807",
    "1e308",
    "-1e308",
    "1e-308",
    "0.5",
    "null",
    "true",
    "\"\"",
    "[]",
    "{}",
    "\\u0000",
    "\\ud800",
    "\u{202e}",
    "\u{0}",
    "♭",
    "♯",
    "𝄫",
    "é",
    "🎷",
    "G7",
    "Cb",
    "Fb7",
    "Bbb",
    "F##",
    "%",
    "|",
    "||",
    "/",
    "3/4",
    "12/8",
    "16/16",
    "N.C.",
    ":|",
    "|:",
    "IV7",
    "bVI",
    "z",
    "x",
    "Z99",
    "X99",
    "(3",
    "(9:2:9",
    "^^",
    "__",
    ",,,,",
    "''''",
    "-",
    "!>!",
    "!slide!",
    "{",
    "}",
    "[V:2]",
    "\n",
    "K:C#",
    "K:Cb",
    "M:16/2",
    "M:1/16",
    "L:1/999999",
    "999999",
    "//////",
];

/// One of `corpus`, changed in a few places.
fn changed(corpus: &[Vec<u8>], dice: &mut Dice) -> Vec<u8> {
    let mut input = dice.one(corpus).clone();
    for _ in 0..1 + dice.below(6) {
        let at = dice.below(input.len() + 1);
        let end = (at + 1 + dice.below(12)).min(input.len());
        match dice.below(9) {
            0 if at < input.len() => input[at] ^= 1 << dice.below(8),
            1 if at < input.len() => input[at] = dice.next() as u8,
            2 => drop(input.drain(at..end)),
            3 => input.splice(at..at, dice.one(PIECES).bytes()).for_each(drop),
            // A number or a word gives way to another.
            4 => {
                let end =
                    input[at..].iter().position(|byte| !byte.is_ascii_alphanumeric()).map_or(end, |n| at + n);
                input.splice(at..end, dice.one(PIECES).bytes()).for_each(drop);
            }
            5 => {
                let piece = input[at..end].to_vec();
                let times = 1 + dice.below(40);
                input.splice(at..at, piece.repeat(times)).for_each(drop);
            }
            6 => input.truncate(at),
            7 => {
                let other = dice.one(corpus);
                let from = dice.below(other.len() + 1);
                input.splice(at..end, other[from..].iter().copied()).for_each(drop);
            }
            _ => input.extend((0..dice.below(40)).map(|_| dice.next() as u8)),
        }
    }
    input
}
