//! Names as a screen reader says them.

use crate::insight::roles::{NoteInsight, Role};
use crate::theory::chord::Chord;
use crate::theory::pitch::{NoteName, Pitch};

/// "B flat".
pub(super) fn name(name: NoteName) -> String {
    let letter = name.step.letter();
    match name.alter {
        -3 => format!("{letter} triple flat"),
        -2 => format!("{letter} double flat"),
        -1 => format!("{letter} flat"),
        1 => format!("{letter} sharp"),
        2 => format!("{letter} double sharp"),
        3 => format!("{letter} triple sharp"),
        _ => letter.to_string(),
    }
}

/// "B flat 4".
pub(super) fn pitch(pitch: Pitch) -> String {
    format!("{} {}", name(pitch.name), pitch.octave)
}

/// "in the chord", "blue note".
pub(super) fn role(insight: &NoteInsight) -> &'static str {
    match insight.told() {
        Role::InChord if insight.blue.is_some() => "in the chord, and a blue note",
        Role::InChord if insight.chord.is_none() => "in the key",
        Role::InChord => "in the chord",
        Role::Blue => "blue note",
        Role::NextChord => "coming next",
        Role::Other => "outside note",
    }
}

/// "B flat minor seven", "no chord".
pub(super) fn chord(chord: &Chord) -> String {
    if chord.is_none() {
        return "no chord".to_owned();
    }
    let suffix = chord.quality.suffix();
    let mut words = vec![name(chord.root)];
    let rest = match suffix {
        "" => String::new(),
        "7" => "seven".to_owned(),
        "m" => "minor".to_owned(),
        "m7" => "minor seven".to_owned(),
        "maj7" => "major seven".to_owned(),
        "dim7" => "diminished seven".to_owned(),
        "m7b5" => "minor seven flat five".to_owned(),
        other => other.replace('b', " flat ").replace('#', " sharp "),
    };
    words.push(rest);
    words.extend(chord.bass.map(|bass| format!("over {}", name(bass))));
    words.retain(|word| !word.is_empty());
    words.join(" ")
}
