//! What is said once, after a command.

use crate::desk::Done;
use crate::view::count;

/// What is said of what was done, or nothing.
pub(super) fn done(done: &Done) -> Option<String> {
    Some(match done {
        Done::Quietly => return None,
        Done::Dropped { notes } => {
            format!("{} beyond the end went. Undo brings them back.", count(*notes, "note", "notes"))
        }
        Done::Deleted { name } if name.is_empty() => "The riff is gone. Undo brings it back.".to_owned(),
        Done::Deleted { name } => format!("“{name}” is gone. Undo brings it back."),
        Done::Added { name } if name.is_empty() => "The riff from the link is in your notebook.".to_owned(),
        Done::Added { name } => format!("“{name}” is in your notebook."),
        Done::Kept { name } => format!("“{name}” is in your notebook, beside the first one."),
        Done::NothingThere => "There is nothing more to undo or redo.".to_owned(),
    })
}

/// An error's words as a sentence: a capital in front, a full stop behind.
pub(super) fn sentence(words: &str) -> String {
    let mut chars = words.chars();
    let first: String = chars.next().map(|c| c.to_uppercase().collect()).unwrap_or_default();
    let stop = if words.ends_with(['.', '?', '!']) { "" } else { "." };
    format!("{first}{}{stop}", chars.as_str())
}
