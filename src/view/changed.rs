//! What a riff has become, in words: from seat to seat, or since it was kept.

use crate::riff::difference::{Edit, edits};
use crate::riff::{Note, Ornament, Riff};
use crate::theory::instrument::Reading;
use crate::view::capital;
use crate::view::words::names::{beats, listed};

/// Everything that was changed, a sentence each; names as the player reads them.
pub(super) fn sentences(before: &Riff, after: &Riff, reading: Reading) -> Vec<String> {
    let name = |note: &Note| reading.name(note.pitch.name).pretty();
    let on = |note: &Note, riff: &Riff| format!("on beat {}", note.onset.div_floor(riff.beat()) + 1);
    let sentence = |edit: Edit| match edit {
        Edit::Begins { from, to } if to < from => {
            format!("It begins {} earlier.", beats(from - to, after.beat()))
        }
        Edit::Begins { from, to } => format!("It begins {} later.", beats(to - from, after.beat())),
        Edit::Gone(note) => format!("{} {} is gone.", name(&note), on(&note, before)),
        Edit::Come(note) => format!("{} {} is new.", name(&note), on(&note, after)),
        Edit::Other(was, is) => {
            let what = format!("{} {}", name(&was), on(&was, before));
            format!("{what} {}.", became(&was, &is, &name(&is)))
        }
    };
    edits(before, after).into_iter().map(|edit| capital(&sentence(edit))).collect()
}

/// What became of a note: "became C", "is longer", "is accented and comes later".
fn became(was: &Note, is: &Note, name: &str) -> String {
    let mut parts = Vec::new();
    if was.pitch != is.pitch && was.pitch.name == is.pitch.name {
        let up = is.pitch.octave > was.pitch.octave;
        parts.push(format!("went an octave {}", if up { "up" } else { "down" }));
    } else if was.pitch != is.pitch {
        parts.push(format!("became {name}"));
    }
    if was.onset != is.onset {
        parts.push(format!("comes {}", if is.onset < was.onset { "earlier" } else { "later" }));
    }
    if was.length != is.length {
        parts.push(format!("is {}", if is.length > was.length { "longer" } else { "shorter" }));
    }
    if was.accent != is.accent {
        parts.push(if is.accent { "has an accent" } else { "has no accent any more" }.to_owned());
    }
    let moved_along = matches!(
        (was.ornament, is.ornament),
        (Some(Ornament::Crushed(_)), Some(Ornament::Crushed(_))) if was.pitch != is.pitch
    );
    if was.ornament != is.ornament && !moved_along {
        parts.push(
            match is.ornament {
                Some(Ornament::Crushed(_)) => "has a crushed note before it",
                Some(Ornament::Scoop) => "is slid into",
                None => "is played plainly",
            }
            .to_owned(),
        );
    }
    listed(&parts)
}
