//! What is known, and when it is worth bringing back.
//!
//! Known is what was played through to the end, all the notes, without seeing them, over the form, on a later day than
//! the first. What remains the next day goes with the share of complete correct trials and not with their number or
//! the time spent (R. A. Duke, A. L. Simmons and C. D. Cash, "It's not how much; it's how", Journal of Research in
//! Music Education 56(4), 2009, 310–321), and a night between sessions helps where minutes do not (A. L. Simmons,
//! "Distributed practice and procedural memory consolidation in musicians' skill learning", the same 59(4), 2012,
//! 357–368). A row of clean passes on one evening is therefore no knowing yet.

use crate::notebook::past::KeptPass;
use crate::practice::ladder::Went;
use crate::practice::review::{CompletePass, Day, Help, Recall, Review, is_known};
use crate::theory::key::Key;
use crate::units::QuartersPerMinute;

/// Where a riff is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    /// In this key.
    pub key: Key,
    /// Up to this tempo.
    pub tempo: QuartersPerMinute,
    /// Since this day.
    pub since: Day,
}

/// Whether a pass was played by heart, with all its notes.
pub fn is_by_heart(pass: &KeptPass) -> bool {
    pass.went == Went::Clean && pass.help == Help::NotesHidden && !pass.rhythm_alone
}

/// The keys in which a riff is known, those known first at the head; `passes` in the order of recording. One evening
/// counts for nothing, also where the clock was set back in the middle of it.
pub fn known(passes: &[KeptPass]) -> Vec<Known> {
    let mut known: Vec<Known> = Vec::new();
    for (pass, begun) in passes.iter().zip(beginnings(passes)) {
        let Some(begun) = begun else { continue };
        let complete = CompletePass { day: pass.day, help: pass.help, over: pass.over };
        if !is_by_heart(pass) || !is_known(begun, &[complete]) {
            continue;
        }
        match known.iter_mut().find(|known| known.key == pass.key) {
            Some(known) if known.tempo < pass.tempo => known.tempo = pass.tempo,
            Some(_) => {}
            None => known.push(Known { key: pass.key, tempo: pass.tempo, since: pass.day }),
        }
    }
    known
}

/// For each pass the day that it must lie after to count as a later one; `None` where it cannot count. A clock that was
/// set back a little counts on once it has come past where it stood; one that was set back far begins anew, and the
/// days it showed before tell nothing.
fn beginnings(passes: &[KeptPass]) -> Vec<Option<Day>> {
    let mut stretch: Option<(Day, Day)> = None;
    let mut before: Vec<Day> = Vec::new();
    let mut beginnings = Vec::with_capacity(passes.len());
    for (index, pass) in passes.iter().enumerate() {
        let day = pass.day;
        let (begun, latest) = match stretch {
            None => (day, day),
            Some((_, latest)) if is_far_back(latest, day) => {
                before.extend(passes[..index].iter().map(|pass| pass.day));
                (day, day)
            }
            Some((_, latest)) if day < latest => (latest, latest),
            Some((begun, latest)) => (begun, latest.max(day)),
        };
        stretch = Some((begun, latest));
        beginnings.push((!before.contains(&day)).then_some(begun));
    }
    beginnings
}

/// Whether the clock was set back further than people travel or tinker: it was wrong before. A week is our own.
fn is_far_back(latest: Day, day: Day) -> bool {
    latest.0.saturating_sub(day.0) > 7
}

/// When a riff is worth bringing back; `None` before it was first practised. Each day counts once, by how the riff came
/// back on it.
pub fn review(passes: &[KeptPass]) -> Option<Review> {
    let mut passes = passes.iter().filter(|pass| !pass.rhythm_alone).peekable();
    let first = passes.peek()?.day;
    let mut review = Review::begun(first);
    let mut latest = first;
    while let Some(pass) = passes.next() {
        let day = pass.day;
        let mut today = vec![pass];
        while let Some(pass) = passes.next_if(|pass| pass.day == day) {
            today.push(pass);
        }
        // The day of beginning is the learning; a day before it is a clock that was set back.
        if day > latest {
            review = review.after(recall(&today), day);
            latest = day;
        } else if is_far_back(latest, day) {
            (review, latest) = (Review::begun(day), day);
        }
    }
    Some(review)
}

/// How a riff came back on one day, from that day's passes in order.
fn recall(today: &[&KeptPass]) -> Recall {
    let by_heart: Vec<&&KeptPass> = today.iter().filter(|pass| pass.help == Help::NotesHidden).collect();
    match by_heart.iter().position(|pass| is_by_heart(pass)) {
        Some(0) => Recall::Sure,
        Some(1) => Recall::Good,
        Some(_) => Recall::Hesitant,
        None if today.iter().any(|pass| pass.went == Went::Clean) => Recall::Shown,
        None => Recall::Lost,
    }
}

/// Where a riff stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Never practised.
    New,
    /// Practised, and not known yet.
    Begun,
    /// Known in a key or more.
    Known,
}

/// Where a riff stands.
pub fn standing(passes: &[KeptPass]) -> Standing {
    match passes {
        [] => Standing::New,
        _ if known(passes).is_empty() => Standing::Begun,
        _ => Standing::Known,
    }
}
