//! Links that are put on the board: what comes in, and which lines do not read.

use std::rc::Rc;

use super::{Class, Did, Kept, Told, record_of};
use crate::band::dice::mixed;
use crate::files::link::{self, Link};

/// A line of what was pasted that could not be read, or a part of one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unread {
    /// Which line it is, from 1.
    pub line: usize,
    /// What stands there.
    pub text: String,
    /// Why it does not read; `None` where nothing in it may be a link.
    pub why: Option<link::Error>,
}

/// The longest text that is looked through for links.
const MOST_PASTED: usize = 4 << 20;
/// No link is shorter, and few words are longer, in characters.
const SHORTEST_LINK: usize = 20;
/// Over how many more lines a link may be broken: one of 2 000 characters in lines of 76, as mail has them.
const MOST_BROKEN: usize = 26;

impl Class {
    /// Looks through a text for links and takes them in; `among_words` as in [`super::ClassCommand::Paste`].
    pub(super) fn paste(&mut self, text: &str, id: u64, among_words: bool) -> Told {
        let end = text.char_indices().nth(MOST_PASTED).map_or(text.len(), |(end, _)| end);
        let found = links_in(&text[..end]);
        let before = self.kept.len();
        let (mut answers, mut lessons, mut same, mut left_out, mut others) = (0, 0, 0, 0, 0);
        let mut id = id;
        for link in found.links {
            let (text, kind) = match &link {
                Link::Answer(answer) => (link::encode_answer(answer), &mut answers),
                Link::Lesson(lesson) => (link::encode_lesson(lesson), &mut lessons),
                _ => {
                    others += 1;
                    continue;
                }
            };
            let text = text.unwrap_or_default();
            if self.has(&text).is_some() {
                same += 1;
                continue;
            }
            let record = record_of(text, self.next_order());
            if self.put_new(id, Rc::new(link), record) {
                *kind += 1;
            } else {
                left_out += 1;
            }
            id = mixed(id);
        }
        if answers + lessons > 0 {
            let came = &self.kept[before..];
            let ids = came.iter().map(|kept| kept.id).collect();
            // What came in is seen: not one of them may be an answer to the lesson that was looked at.
            let chosen = self.chosen().and_then(Kept::lesson).map(link::lesson_number);
            let is_to_it = |answer: &link::Answer| chosen.is_none_or(|number| answer.lesson == number);
            if answers > 0 && !came.iter().filter_map(Kept::answer).any(is_to_it) {
                self.chosen = None;
            }
            self.remember(Did::Came { answers, lessons, ids });
        }
        let mut unread = found.unread;
        if among_words {
            unread.retain(|each| each.why.is_some());
        }
        Told::Came { answers, lessons, same, left_out, unread, others }
    }
}

/// What a text holds.
#[derive(Debug, Default)]
struct Found {
    links: Vec<Link>,
    unread: Vec<Unread>,
}

fn links_in(text: &str) -> Found {
    let lines: Vec<&str> = text.lines().collect();
    let (mut found, mut next) = (Found::default(), 0);
    while let Some(line) = lines.get(next) {
        next += 1;
        let (number, line) = (next, line.trim());
        let before = found.links.len();
        let mut broken = Vec::new();
        for part in parts(line) {
            match link::decode_any(&part) {
                Ok(link) => found.links.push(link),
                Err(error) => broken.push((part, error)),
            }
        }
        // Mail breaks long lines: an address goes on in the next ones.
        let address = line.rsplit_once('#').or_else(|| line.rsplit_once("%23"));
        if let Some((_, tail)) = address.filter(|(_, tail)| tail.chars().all(is_of_link)) {
            let is_broken = broken.last().is_some_and(|(part, _)| part == tail);
            if (is_broken || tail.len() <= SHORTEST_LINK)
                && let Some((link, more)) = continued(tail, &lines[next..])
            {
                if is_broken {
                    broken.pop();
                }
                found.links.push(link);
                next += more;
            }
        }
        let is_read = found.links.len() > before;
        let of_line = |(part, error)| Unread {
            line: number,
            text: if is_read { part } else { line.to_owned() },
            why: Some(error),
        };
        if is_read {
            found.unread.extend(broken.into_iter().map(of_line));
        } else if let Some(first) = broken.into_iter().next() {
            found.unread.push(of_line(first));
        } else if !line.is_empty() {
            found.unread.push(Unread { line: number, text: line.to_owned(), why: None });
        }
    }
    found
}

/// The link that begins with `part` and goes on in lines that are nothing but a link's characters, and in how many.
fn continued(part: &str, lines: &[&str]) -> Option<(Link, usize)> {
    let mut joined = part.to_owned();
    for (index, line) in lines.iter().enumerate().take(MOST_BROKEN) {
        let line = line.trim();
        if line.is_empty() || !line.chars().all(is_of_link) {
            return None;
        }
        joined += line;
        if let Ok(link) = link::decode_any(&joined) {
            return Some((link, index + 1));
        }
    }
    None
}

fn is_of_link(c: char) -> bool {
    c.is_ascii_alphanumeric() || c == '-' || c == '_'
}

/// What may be links in a line: everything behind a `#` up to the next space or bracket, and words that are nothing but a
/// link's characters.
fn parts(line: &str) -> impl Iterator<Item = String> {
    let ends = |c: char| c.is_whitespace() || "<>()\",;".contains(c);
    let part = |word: &str| match word.split_once('#').or_else(|| word.split_once("%23")) {
        Some((_, part)) => Some(part.to_owned()),
        None => word.chars().all(is_of_link).then(|| word.to_owned()),
    };
    line.split(ends).filter_map(part).filter(|part| part.len() > SHORTEST_LINK)
}
