//! The core of Riffloom on the command line: JSON on standard output, messages on standard error.
//!
//! A command is a file of its own with a `COMMAND`, listed in [`COMMANDS`]. Exit code 0 means done, 2 bad input.

mod batch;
mod chords;
mod explain;
mod export;
mod find;
mod import;
mod instruments;
mod lesson;
mod link;
mod options;
mod output;
mod parts;
mod placing;
mod render;
mod rota;
mod scale;
mod score;
mod sheet;
mod spell;
mod staff;
mod suggest;
mod take_down;
mod transcribe;
mod vary;

use std::io::Write;
use std::process::ExitCode;

use options::{Failure, Options};

/// One command.
struct Command {
    /// What it is called by.
    name: &'static str,
    /// How it is written, without the program's name.
    usage: &'static str,
    /// What it prints and what is worth knowing, in a few lines.
    about: &'static str,
    /// The options that take a value, without their hyphens.
    values: &'static [&'static str],
    /// The options that take none.
    flags: &'static [&'static str],
    /// Does it, and returns what is to be printed.
    run: fn(&Options) -> Result<String, Failure>,
}

// A row a line, so that adding one touches no other.
#[rustfmt::skip]
const COMMANDS: &[Command] = &[
    chords::COMMAND,
    scale::COMMAND,
    spell::COMMAND, vary::COMMAND,
    instruments::COMMAND,
    explain::COMMAND, suggest::COMMAND,
    link::COMMAND, lesson::COMMAND, export::COMMAND, import::COMMAND,
    render::COMMAND, batch::COMMAND,
    score::COMMAND,
    find::COMMAND,
    take_down::COMMAND,
    transcribe::COMMAND,
    staff::COMMAND,
    parts::COMMAND, rota::COMMAND, sheet::COMMAND,
];

fn main() -> ExitCode {
    let words = std::env::args_os().skip(1).map(|word| word.to_string_lossy().into_owned()).collect();
    match run(words) {
        Ok(text) => {
            // Whoever reads may have gone away; that is their choice.
            let _ = writeln!(std::io::stdout(), "{}", text.trim_end());
            ExitCode::SUCCESS
        }
        Err(failure) => {
            let _ = writeln!(std::io::stderr(), "riffloom: {failure}");
            ExitCode::from(2)
        }
    }
}

/// Does what `words` ask for: a command's name and what follows it. Returns what is to be printed.
fn run(words: Vec<String>) -> Result<String, Failure> {
    let Some((name, rest)) = words.split_first() else {
        return Err(Failure::new(format!("expected a command\n\n{}", help())));
    };
    if matches!(name.as_str(), "help" | "--help" | "-h") {
        return Ok(help());
    }
    let command = COMMANDS
        .iter()
        .find(|command| command.name == name)
        .ok_or_else(|| Failure::new(format!("“{name}” is not a command\n\n{}", help())))?;
    let options = Options::read(rest, command.values, command.flags).map_err(|failure| {
        Failure::new(format!("{}: {failure}\nusage: riffloom {}", command.name, command.usage))
    })?;
    if options.has("help") {
        return Ok(format!("usage: riffloom {}\n\n{}", command.usage, command.about));
    }
    (command.run)(&options).map_err(|failure| Failure::new(format!("{}: {failure}", command.name)))
}

fn help() -> String {
    let lines: Vec<String> = COMMANDS.iter().map(|command| format!("  riffloom {}", command.usage)).collect();
    format!("usage:\n{}\n\nriffloom COMMAND --help says more about one.", lines.join("\n"))
}
