//! `riffloom batch`: many commands in one go, for checks that ask thousands of questions.

use std::io::BufRead;

use serde::Serialize;

use crate::options::{Failure, Options};
use crate::output::json;

pub const COMMAND: crate::Command = crate::Command {
    name: "batch",
    usage: "batch < LINES",
    about: "Reads one command a line from standard input, each a JSON array of words such as\n\
            [\"scale\",\"--key\",\"G\",\"--scale\",\"dorian\"], and prints one line for each, in order: what the command\n\
            prints (text that is not JSON as a JSON string), or {\"error\":\"…\"}.",
    values: &[],
    flags: &[],
    run,
};

#[derive(Serialize)]
struct Failed {
    error: String,
}

fn run(_: &Options) -> Result<String, Failure> {
    let mut answers = Vec::new();
    for line in std::io::stdin().lock().lines() {
        answers.push(answer(&line?)?);
    }
    Ok(answers.join("\n"))
}

fn answer(line: &str) -> Result<String, Failure> {
    match read(line).and_then(crate::run) {
        Ok(text) if serde_json::from_str::<serde::de::IgnoredAny>(&text).is_ok() => Ok(text),
        Ok(text) => json(&text),
        Err(failure) => json(&Failed { error: failure.to_string() }),
    }
}

fn read(line: &str) -> Result<Vec<String>, Failure> {
    let words: Vec<String> = serde_json::from_str(line)
        .map_err(|error| Failure::new(format!("expected a JSON array of words: {error}")))?;
    if words.first().is_some_and(|name| name == COMMAND.name) {
        return Err(Failure::new("a batch cannot hold another batch"));
    }
    Ok(words)
}
