//! What is said where the browser or the device stands in the way: what happened, what becomes of the work, and what
//! can be done.

use crate::view::count;

/// What may happen, by the name that the page has for it, and what is said of it.
const TROUBLES: [(&str, &str); 9] = [
    (
        "memory",
        "This browser keeps nothing here, perhaps because the window is private. What you write stays until you close this page. Pass it on as a link to have it later.",
    ),
    (
        "waiting",
        "This device’s storage does not answer. You can go on: all you write is kept as soon as it does. Until then, leave this page open.",
    ),
    (
        "full",
        "There is no room left on this device. What you write stays on this page. Make some room, and it is kept by itself.",
    ),
    (
        "late",
        "A part of this page did not come, so your notebook is not here yet. It is safe, and comes by itself.",
    ),
    ("failed", "That could not be kept. It stays on this page, and is tried again by itself."),
    ("emptied", "This browser’s storage was cleared. All that this page had is kept again."),
    (
        "left-out",
        "Some of what is kept here could not be opened. It is left as it is. Everything else is here.",
    ),
    (
        "restarted",
        "Something went wrong, and Riffloom began anew. All you wrote is here; steps to undo are not.",
    ),
    (
        "no-sound",
        "This browser gives no sound now. Close other tabs or programs that use sound, then press Play again. If it stays silent, restart the browser.",
    ),
];

/// What is said of it; nothing where the name is not known.
pub fn sentence(what: &str) -> &'static str {
    TROUBLES.iter().find(|(name, _)| *name == what).map_or("", |(_, sentence)| sentence)
}

/// That some records do not read, or were written by a newer version; `None` where all do.
pub fn unread(unread: usize, newer: usize) -> Option<String> {
    let left = "They are left as they are. Everything else is here.";
    let one_left = "It is left as it is. Everything else is here.";
    let left = if unread + newer == 1 { one_left } else { left };
    let odd = count(unread, "kept item", "kept items");
    let new = count(newer, "kept item", "kept items");
    let comes = if newer == 1 { "comes" } else { "come" };
    Some(match (unread, newer) {
        (0, 0) => return None,
        (_, 0) => format!("{odd} could not be read. {left}"),
        (0, _) => format!("{new} {comes} from a newer Riffloom. {left}"),
        _ => format!("{odd} could not be read, and {new} {comes} from a newer Riffloom. {left}"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_does_not_read_is_counted_and_said_to_be_left() {
        assert_eq!(unread(0, 0), None);
        let one = "1 kept item could not be read. It is left as it is. Everything else is here.";
        assert_eq!(unread(1, 0).as_deref(), Some(one));
        let newer =
            "2 kept items come from a newer Riffloom. They are left as they are. Everything else is here.";
        assert_eq!(unread(0, 2).as_deref(), Some(newer));
        assert!(unread(2, 1).unwrap().contains("1 kept item comes"));
    }

    #[test]
    fn no_name_comes_twice_and_every_one_has_sentences() {
        for (index, (name, sentence)) in TROUBLES.iter().enumerate() {
            assert!(TROUBLES[..index].iter().all(|(other, _)| other != name), "{name}");
            assert!(sentence.ends_with('.'), "{sentence}");
        }
        assert_eq!(sentence("something else"), "");
    }
}
