//! What is said once, after a command.

use crate::chorus::check::Problem;
use crate::chorus::{kept, placement, suggest};
use crate::desk::stored::Joined;
use crate::desk::{Brought, Done};
use crate::view::model::OfferView;
use crate::view::{capital, count, variation};

/// What is said of what was done, or nothing.
pub(super) fn done(done: &Done) -> Option<String> {
    Some(match done {
        Done::Quietly => return None,
        Done::Dropped { notes } => {
            format!("{} beyond the end went. Undo brings them back.", count(*notes, "note", "notes"))
        }
        Done::Deleted { riffs: 2.., .. } => "The ticked riffs are deleted. Undo brings them back.".to_owned(),
        Done::Deleted { name, .. } | Done::ChorusDeleted { name } if !name.is_empty() => {
            format!("“{name}” is deleted. Undo brings it back.")
        }
        Done::Deleted { .. } => "The riff is deleted. Undo brings it back.".to_owned(),
        Done::TakenBack { name } => {
            format!("{} is as it was. Undo brings the other one back.", named(name, "The riff"))
        }
        Done::InAnotherKey { name, chorus, from, to } => {
            let what = named(name, if *chorus { "The chorus" } else { "The riff" });
            format!("{what} is in {}. You are now in {}.", from.pretty(), to.pretty())
        }
        Done::Moved { name, chorus, to } => {
            let what = named(name, if *chorus { "The chorus" } else { "The riff" });
            format!("{what} is in {} now.", to.pretty())
        }
        Done::Added { name, tune } => {
            let what = if name.is_empty() { "The riff from the link".to_owned() } else { riff(name) };
            format!("{what} is in your notebook.{}", brought(*tune))
        }
        Done::Kept { name } => format!("“{name}” is in your notebook, beside the first one."),
        Done::ChorusDeleted { .. } => "The chorus is deleted. Undo brings it back.".to_owned(),
        Done::ChorusAdded { name, riffs, tune } => {
            let what = if name.is_empty() { "The chorus".to_owned() } else { format!("“{name}”") };
            let with = match riffs {
                0 => String::new(),
                _ => format!(", and {} with it", count(*riffs, "riff", "riffs")),
            };
            format!("{what} is in your notebook{with}.{}", brought(*tune))
        }
        Done::SeveralAdded { lesson, riffs: 0, tune } => {
            let what = if lesson.is_empty() {
                "All of these riffs were in your notebook already."
            } else {
                "The lesson is on."
            };
            format!("{what}{}", brought(*tune))
        }
        Done::SeveralAdded { lesson, riffs, tune } => {
            let came = if *riffs == 1 { "is" } else { "are" };
            let on = if lesson.is_empty() { "" } else { "The lesson is on. " };
            let riffs = count(*riffs, "riff", "riffs");
            format!("{on}{riffs} {came} in your notebook.{}", brought(*tune))
        }
        Done::TuneBrought { tune: None } => "That is the tune that you have.".to_owned(),
        Done::TuneBrought { tune } => format!("The tune of the link is on.{}", brought(*tune)),
        Done::ForClass => return None,
        Done::TakenOut { name } if name.is_empty() => "Taken out. Undo brings it back.".to_owned(),
        Done::TakenOut { name } => format!("“{name}” is taken out here. The notebook still has it."),
        Done::Cleared => "The chorus is empty. Undo brings it back.".to_owned(),
        Done::TimesGone { riffs } => {
            format!("{} went with it. Undo brings it back.", count(*riffs, "riff", "riffs"))
        }
        Done::LeftOut { riffs } => {
            format!("{} did not fit there.", count(*riffs, "riff", "riffs"))
        }
        Done::Taken => "That is your chorus now. Undo brings yours back.".to_owned(),
        Done::NothingThere => "There is nothing more to undo or redo.".to_owned(),
    })
}

/// That another page kept the same riff first.
pub fn set_aside(name: &str) -> String {
    let what = if name.is_empty() { "This riff".to_owned() } else { riff(name) };
    format!("{what} was changed in another tab, too. Both are kept: yours is the one you see.")
}

/// That something which was thrown away here was changed in another tab, and stays.
pub fn came_back(name: &str) -> String {
    let what = if name.is_empty() { "It".to_owned() } else { format!("“{name}”") };
    format!("{what} was changed in another tab, so it stays in your notebook.")
}

/// That storage, which did not answer at first, is there now.
pub fn joined(joined: Joined) -> String {
    let tune = if joined.tune_waits { " The tune is the one that you set just now." } else { "" };
    format!("Your notebook is here now.{tune}")
}

/// The tune that was stored, where another one is set.
pub fn offer_after_joining(joined: Joined) -> Option<OfferView> {
    let text = "Back to the tune that was kept".to_owned();
    joined.tune_waits.then(|| OfferView { text, does: "undo".to_owned() })
}

/// What is offered beside it: the way on, or the way back.
pub(super) fn offer(done: &Done) -> Option<OfferView> {
    let (text, does) = match done {
        Done::InAnotherKey { to, .. } => (format!("Move it to {}", to.pretty()), "move-to-key"),
        Done::Added { tune: Some(_), .. }
        | Done::ChorusAdded { tune: Some(_), .. }
        | Done::SeveralAdded { tune: Some(_), .. }
        | Done::TuneBrought { tune: Some(_) } => ("Back to mine".to_owned(), "own-tune-again"),
        Done::Dropped { .. }
        | Done::Deleted { .. }
        | Done::TakenBack { .. }
        | Done::Moved { .. }
        | Done::ChorusDeleted { .. }
        | Done::TakenOut { .. }
        | Done::Cleared
        | Done::TimesGone { .. }
        | Done::Taken => ("Undo".to_owned(), "undo"),
        _ => return None,
    };
    Some(OfferView { text, does: does.to_owned() })
}

/// That a tune came along, in a sentence that follows another one.
fn brought(tune: Option<Brought>) -> String {
    tune.map_or(String::new(), |Brought { key, bpm }| format!(" You are now in {} at {bpm}.", key.pretty()))
}

/// A riff by its name, at the head of a sentence.
fn riff(name: &str) -> String {
    named(name, "The riff")
}

fn named(name: &str, otherwise: &str) -> String {
    if name.is_empty() { otherwise.to_owned() } else { format!("“{name}”") }
}

/// Why a chorus cannot be changed so, kindly.
pub(super) fn chorus(error: &kept::Error) -> String {
    match error {
        kept::Error::Placement(placement::Error::NoRoom { .. }) => {
            "It does not fit there: it would begin before bar 1 or run past the end.".to_owned()
        }
        kept::Error::Placement(placement::Error::OutOfRange) => {
            "That is too high or too low to be played.".to_owned()
        }
        kept::Error::Placement(placement::Error::Variation(error)) => variation::refusal(*error),
        other => sentence(&other.to_string()),
    }
}

/// Why nothing can be suggested, kindly.
pub(super) fn suggest(error: &suggest::Error) -> String {
    match error {
        suggest::Error::FixedBreak(Problem::Overlap { .. } | Problem::OverlapAgain { .. }) => {
            "Two riffs that stay as they are overlap. Let one of them go, or move it.".to_owned()
        }
        suggest::Error::FixedBreak(Problem::BeyondRange { .. }) => {
            "A riff that stays as it is has notes that your instrument does not have.".to_owned()
        }
        suggest::Error::Fixed { .. } | suggest::Error::FixedBreak(Problem::NoRoom { .. }) => {
            "A riff that stays as it is does not fit into this form.".to_owned()
        }
        suggest::Error::NothingFits => {
            "None of these riffs fits: choose one that your instrument can play and that is not too long."
                .to_owned()
        }
        other @ suggest::Error::TooManyRiffs { .. } => sentence(&other.to_string()),
    }
}

/// An error's words as a sentence: a capital in front, a full stop behind.
pub(super) fn sentence(words: &str) -> String {
    let stop = if words.ends_with(['.', '?', '!']) { "" } else { "." };
    capital(words) + stop
}
