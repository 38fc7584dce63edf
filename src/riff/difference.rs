//! In what two riffs differ.

use crate::riff::{Note, Riff};
use crate::units::Ticks;

/// One thing in which a riff differs from the one it came from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Edit {
    /// It begins elsewhere in the bar.
    Begins {
        /// Where it began, from the bar line.
        from: Ticks,
        /// Where it begins now.
        to: Ticks,
    },
    /// A note is gone.
    Gone(Note),
    /// A note has come.
    Come(Note),
    /// A note is another one now.
    Other(Note, Note),
}

/// All things in which two riffs differ, in the order in which they come; as many as [`differences`] counts.
///
/// What both have in the same order is a longest common subsequence. Between two such notes what went and what came belong
/// together one by one; what is left over of both is a note that moved past others.
///
/// Source: Wagner and Fischer, "The String-to-String Correction Problem", JACM 21(1), 1974 (from memory).
pub fn edits(one: &Riff, other: &Riff) -> Vec<Edit> {
    let mut edits: Vec<Edit> = Vec::new();
    if one.start != other.start {
        edits.push(Edit::Begins { from: one.start, to: other.start });
    }
    let (mut gone, mut come): (Vec<&Note>, Vec<&Note>) = Default::default();
    for (went, came) in gaps(one.notes(), other.notes()) {
        let pairs = went.len().min(came.len());
        edits.extend(went.iter().zip(came).map(|(went, came)| Edit::Other(went.clone(), came.clone())));
        gone.extend(&went[pairs..]);
        come.extend(&came[pairs..]);
    }
    let pairs = gone.len().min(come.len());
    edits.extend(gone.iter().zip(&come).map(|(went, came)| Edit::Other((*went).clone(), (*came).clone())));
    edits.extend(gone[pairs..].iter().map(|went| Edit::Gone((*went).clone())));
    edits.extend(come[pairs..].iter().map(|came| Edit::Come((*came).clone())));
    edits
}

/// In how many things two riffs differ: notes that are in one of them only, a note that was changed counting once, and
/// where they begin in the bar. 0 for the same music, whatever the names.
pub fn differences(one: &Riff, other: &Riff) -> usize {
    let gone: usize = gaps(one.notes(), other.notes()).iter().map(|(went, _)| went.len()).sum();
    let common = one.notes().len() - gone;
    let begins = usize::from(one.start != other.start);
    one.notes().len().max(other.notes().len()) - common + begins
}

/// Whether two riffs are the same music: the same notes in the same place of the bar, and as long; whatever their names
/// and ids, and however their beats are divided on paper.
pub fn is_same_music(one: &Riff, other: &Riff) -> bool {
    (one.start, one.length(), one.beat()) == (other.start, other.length(), other.beat())
        && one.notes() == other.notes()
}

/// What stands between the notes that both have in the same order: pairs of what is there in one and in the other only.
fn gaps<'a>(one: &'a [Note], other: &'a [Note]) -> Vec<(&'a [Note], &'a [Note])> {
    let width = other.len() + 1;
    // How many notes the ends of both have in common, from each pair of places on.
    let mut common = vec![0_usize; (one.len() + 1) * width];
    for i in (0..one.len()).rev() {
        for j in (0..other.len()).rev() {
            common[i * width + j] = if one[i] == other[j] {
                common[(i + 1) * width + j + 1] + 1
            } else {
                common[(i + 1) * width + j].max(common[i * width + j + 1])
            };
        }
    }
    let (mut gaps, mut i, mut j, mut from) = (Vec::new(), 0, 0, (0, 0));
    while i < one.len() && j < other.len() {
        if one[i] == other[j] {
            gaps.push((&one[from.0..i], &other[from.1..j]));
            (i, j) = (i + 1, j + 1);
            from = (i, j);
        } else if common[(i + 1) * width + j] >= common[i * width + j + 1] {
            i += 1;
        } else {
            j += 1;
        }
    }
    gaps.push((&one[from.0..], &other[from.1..]));
    gaps
}
