//! A riff that goes from seat to seat, each changing one thing: who came from whom.

use crate::riff::Riff;
use crate::riff::difference::differences;

/// A riff in a family.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Member {
    /// Which riff it is.
    pub riff: usize,
    /// Which one it came from; `None` for the one with which the family begins.
    pub from: Option<usize>,
    /// How many stand between it and the beginning, itself among them.
    pub depth: usize,
}

/// The most riffs that are looked at: as many as one chorus holds.
pub const MOST: usize = crate::chorus::kept::Chorus::MOST_RIFFS;

/// The families among riffs that stand in one key, each in the order in which it is played through: what came from a riff
/// follows it, one branch after the other. The first `models` riffs can only begin one; every riff that has at least half of
/// its notes in common with another can have come from it. Who has no relation is left out.
///
/// Each next member is the riff that differs least from one that is in already, and it came from that one. Where there are
/// several, it came from the one that it is named after ([`next_name`]), else from the first that is in: nobody can know more.
pub fn families(riffs: &[Riff], models: usize) -> Vec<Member> {
    let riffs = &riffs[..riffs.len().min(MOST)];
    let apart: Vec<Vec<usize>> =
        riffs.iter().map(|one| riffs.iter().map(|other| differences(one, other)).collect()).collect();
    let mut from: Vec<Option<usize>> = vec![None; riffs.len()];
    let mut inside: Vec<usize> = (0..models.min(riffs.len())).collect();
    let mut waiting: Vec<usize> = (inside.len()..riffs.len()).collect();
    while !waiting.is_empty() {
        let pairs = waiting.iter().flat_map(|riff| inside.iter().map(move |from| (*riff, *from)));
        let notes = |riff: usize| riffs[riff].notes().len();
        let related = pairs.filter(|(riff, from)| {
            let most = notes(*riff).max(notes(*from));
            most > 0 && apart[*from][*riff] * 2 <= most
        });
        let nearest = related.min_by_key(|(riff, from)| {
            (apart[*from][*riff], riffs[*riff].name != next_name(&riffs[*from].name))
        });
        // Whoever is related to nobody who is in begins anew.
        let (next, parent) = nearest.map_or((waiting[0], None), |(riff, parent)| (riff, Some(parent)));
        from[next] = parent;
        inside.push(next);
        waiting.retain(|riff| *riff != next);
    }
    let mut members = Vec::new();
    for root in inside.iter().filter(|riff| from[**riff].is_none()) {
        let begin = members.len();
        follow(*root, 0, &inside, &from, &mut members);
        if members.len() == begin + 1 {
            members.pop();
        }
    }
    members
}

fn follow(riff: usize, depth: usize, inside: &[usize], from: &[Option<usize>], members: &mut Vec<Member>) {
    members.push(Member { riff, from: from[riff], depth });
    for child in inside.iter().filter(|child| from[**child] == Some(riff)) {
        follow(*child, depth + 1, inside, from, members);
    }
}

/// What a riff is called when the next seat has it: "Salt wind" is "Salt wind, 2", and that "Salt wind, 3".
pub fn next_name(name: &str) -> String {
    let name = if name.is_empty() { "Riff" } else { name };
    let number = |(first, number): (&str, &str)| Some((first.to_owned(), number.parse::<u16>().ok()?));
    let (first, number) = name.rsplit_once(", ").and_then(number).unwrap_or((name.to_owned(), 1));
    format!("{first}, {}", number.saturating_add(1))
}
