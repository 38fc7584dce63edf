//! Syncopation after Longuet-Higgins and Lee: notes held over, or followed by silence, where the metre is stronger.

use super::Pattern;

/// A note that anticipates a stronger place of the metre, on which no note begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Syncopation {
    /// The pulse at which the note begins.
    pub onset: usize,
    /// The pulse of the strongest place that it runs over, within the cycle.
    pub over: usize,
    /// How much stronger that place is: 0 (as strong) upwards.
    pub strength: i32,
}

/// The syncopations of a pattern, in order of their onsets: notes between whose onset and the next one lies a pulse
/// at least as strong as their own. How long the notes sound makes no difference, so a plain backbeat on 2 and 4
/// counts: both are followed by stronger beats without a note.
///
/// Source: H. C. Longuet-Higgins and C. S. Lee, "The rhythmic interpretation of monophonic music", Music Perception
/// 1(4), 1984, 424–441, in the form in which only the strongest silent place counts. `strength` is R − N there: R the
/// greatest weight strictly between two onsets, N the weight of the first.
pub fn syncopations(pattern: &Pattern) -> Vec<Syncopation> {
    let weights = pattern.weights();
    let of_note = |(onset, gap): (usize, usize)| {
        let silent = (onset + 1..onset + gap).map(|pulse| pulse % weights.len());
        // Of equally strong places the first.
        let over = silent.rev().max_by_key(|pulse| weights[*pulse])?;
        let strength = weights[over] - weights[onset];
        (strength >= 0).then_some(Syncopation { onset, over, strength })
    };
    pattern.gaps().filter_map(of_note).collect()
}

/// The strengths of all [`syncopations`], summed: 0 for a rhythm that agrees with its metre.
pub fn syncopation(pattern: &Pattern) -> i32 {
    syncopations(pattern).iter().map(|syncopation| syncopation.strength).sum()
}
