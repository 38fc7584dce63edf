//! `riffloom spell`: names for notes given as MIDI numbers.

use riffloom::theory::chord::Chord;
use riffloom::theory::key::Key;
use riffloom::theory::pitch::Pitch;
use riffloom::theory::spell::{Around, melody};
use riffloom::units::MidiNote;
use serde::Serialize;

use crate::options::{Failure, Options};
use crate::output::{json, texts};

pub const COMMAND: crate::Command = crate::Command {
    name: "spell",
    usage: "spell [--key K] [--blues [--chord C]] MIDI…",
    about: "Names the notes of a melody, given as MIDI numbers in order: from all its notes (method ps13s1), and from\n\
            the key where one is given. With --blues, note by note from the key, the chord and the direction, with\n\
            flats for the blue notes of the key, as while a riff is written.",
    values: &["key", "chord"],
    flags: &["blues"],
    run,
};

#[derive(Serialize)]
struct Answer {
    notes: Vec<String>,
}

fn run(options: &Options) -> Result<String, Failure> {
    let notes: Vec<MidiNote> = options.words.iter().map(|word| midi(word)).collect::<Result<_, _>>()?;
    let (key, chord) = (options.parsed("key")?, options.parsed("chord")?);
    let pitches = match (options.has("blues"), key) {
        (true, Some(key)) => blues(&notes, key, chord.as_ref()),
        (true, None) => return Err(Failure::new("--blues needs --key beside it")),
        (false, _) if chord.is_some() => return Err(Failure::new("--chord needs --blues beside it")),
        (false, key) => melody(&notes, key),
    };
    json(&Answer { notes: texts(pitches) })
}

fn blues(notes: &[MidiNote], key: Key, chord: Option<&Chord>) -> Vec<Pitch> {
    let around = |index: usize| Around {
        key,
        chord,
        before: index.checked_sub(1).map(|before| notes[before]),
        after: notes.get(index + 1).copied(),
    };
    notes.iter().enumerate().map(|(index, note)| around(index).spell(*note)).collect()
}

fn midi(word: &str) -> Result<MidiNote, Failure> {
    let note = word.parse().ok().and_then(MidiNote::new);
    note.ok_or_else(|| Failure::new(format!("“{word}” is not a MIDI note: expected a number from 0 to 127")))
}
