//! Which ways to vary suit a riff best at its place: a table of points. The three with the most are shown first.

use std::cmp::Reverse;

use crate::riff::variation::ground::Ground;
use crate::riff::variation::{Change, How, Landing, Variation, variations};
use crate::riff::{Note, Riff};
use crate::units::Ticks;

/// How many ways are shown first.
pub const FIRST: usize = 3;

/// A reason for or against a way: what it says, its points, when it applies, and where it comes from.
pub struct Row {
    /// What it says, in a sentence.
    pub says: &'static str,
    /// Points where it applies.
    pub points: i32,
    applies: fn(&Seen) -> bool,
    /// Where it comes from.
    pub source: &'static str,
}

/// A way as it is judged: by its plainest variation of this riff at this place.
struct Seen<'a> {
    how: How,
    riff: &'a Riff,
    ground: &'a Ground,
    variation: &'a Variation,
}

const PRACTICE: &str = "common practice, no source";
const CALL: &str = "call and response, gaps left for a reply: Britannica Concise Encyclopedia, “blues”";
const TEACHING: &str =
    "questions and answers, repeating and changing one thing at a time: common practice, no source";

/// The table.
#[rustfmt::skip]
pub const REASONS: [Row; 11] = [
    Row { says: "A note clashes here: fitting it comes first.", points: 8, source: PRACTICE,
        applies: |seen| seen.how == How::Fit },
    Row { says: "A call of a bar or more asks for an answer.", points: 4, source: CALL,
        applies: |seen| seen.how == How::Answer && seen.riff.length() >= seen.ground.bar_length() },
    Row { says: "The chord changes next: the end meets it.", points: 4, source: PRACTICE,
        applies: |seen| meets_new_chord(seen) },
    Row { says: "The chord changes within two bars: the riff moves with it.", points: 3, source: PRACTICE,
        applies: |seen| seen.how == How::Sequence && chord_changes_within(seen, 2) },
    Row { says: "A riff that hardly rests gains by fewer notes.", points: 5, source: PRACTICE,
        applies: |seen| seen.how == How::Thin && rest(seen.riff) * 5 < seen.riff.length() && seen.riff.notes().len() > 3 },
    Row { says: "A riff that mostly rests has room for more notes.", points: 4, source: PRACTICE,
        applies: |seen| seen.how == How::Fill && rest(seen.riff) * 2 > seen.riff.length() },
    Row { says: "Few notes are heard anew when they begin elsewhere.", points: 3, source: TEACHING,
        applies: |seen| seen.how == How::Displace && seen.riff.notes().len() <= 4 },
    Row { says: "A held note is a place for an ornament.", points: 2, source: PRACTICE,
        applies: |seen| seen.how == How::Ornament && seen.riff.notes().iter().any(|note| note.length >= seen.riff.beat()) },
    Row { says: "Half of it or more stays: it is still the same idea.", points: 2, source: TEACHING,
        applies: |seen| kept(seen) * 2 >= seen.riff.notes().len() },
    Row { says: "It ends on a tone of the chord that follows.", points: 1, source: PRACTICE,
        applies: |seen| ends_in_chord(seen) },
    Row { says: "Upside down, backwards and other speeds are games: they come last.", points: -3, source: PRACTICE,
        applies: |seen| matches!(seen.how, How::Invert | How::Retrograde | How::Augment | How::Diminish) },
];

/// Every way that gives something new for `riff` here, the best first; of equal ones in the order of [`How::all`].
pub fn best(riff: &Riff, ground: &Ground) -> Vec<How> {
    let judged = How::all().filter_map(|how| {
        let all = variations(how, riff, ground).ok()?;
        let seen = Seen { how, riff, ground, variation: all.first()? };
        let applies = REASONS.iter().filter(|row| (row.applies)(&seen));
        Some((how, applies.map(|row| row.points).sum::<i32>()))
    });
    let mut judged: Vec<(How, i32)> = judged.collect();
    judged.sort_by_key(|(_, points)| Reverse(*points));
    judged.into_iter().map(|(how, _)| how).collect()
}

fn meets_new_chord(seen: &Seen) -> bool {
    let here = seen.riff.notes().last().map(|last| seen.ground.chord_at(seen.riff, last.onset));
    match &seen.variation.change {
        Change::NewEnding { landing: Landing::NextBar { chord, .. }, .. } => here != Some(chord),
        _ => false,
    }
}

fn chord_changes_within(seen: &Seen, bars: usize) -> bool {
    let at = seen.ground.in_form(seen.riff, Ticks::ZERO);
    seen.ground.changes.next_chord(at).is_some_and(|next| next.bars <= bars)
}

/// Time without a note.
fn rest(riff: &Riff) -> Ticks {
    riff.length() - riff.notes().iter().map(|note| note.length).sum::<Ticks>()
}

/// How many notes of the riff are where they were.
fn kept(seen: &Seen) -> usize {
    let stays = |note: &&Note| {
        let same = |new: &Note| new.onset == note.onset && new.pitch.semitones() == note.pitch.semitones();
        seen.variation.riff.notes().iter().any(same)
    };
    seen.riff.notes().iter().filter(stays).count()
}

fn ends_in_chord(seen: &Seen) -> bool {
    let after = &seen.variation.riff;
    let follows = seen.ground.chord_at(after, after.length());
    after.notes().last().is_some_and(|last| follows.degree_of(last.pitch.name).is_some())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_reason_says_what_it_says_and_where_it_comes_from() {
        assert!(
            REASONS.iter().all(|row| row.says.ends_with('.') && !row.source.is_empty() && row.points != 0)
        );
    }
}
