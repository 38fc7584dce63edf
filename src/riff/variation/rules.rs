//! What no variation does: a table of rules. What breaks one is not offered.
//!
//! A riff that does so itself is left its way: only what is new counts.

use crate::riff::variation::ground::Ground;
use crate::riff::variation::{Change, How};
use crate::riff::{Note, Ornament, Riff};
use crate::theory::key::Mode;
use crate::theory::pitch::Pitch;
use crate::units::Ticks;

/// A variation that is looked at, and what it was made from.
pub(super) struct Tried<'a> {
    pub before: &'a Riff,
    pub after: &'a Riff,
    pub change: &'a Change,
    pub ground: &'a Ground,
}

/// One rule: which ways it holds for, what it says, whether a variation keeps it, and where it comes from.
pub struct Row {
    /// The way, or all ways.
    of: Option<How>,
    /// What it says, in a sentence.
    pub says: &'static str,
    keeps: fn(&Tried) -> bool,
    /// Where it comes from.
    pub source: &'static str,
}

const PRACTICE: &str = "common practice, no source";
const VOICE: &str = "melodies for voices leap an octave at most: any primer of counterpoint, from memory";

/// The table.
#[rustfmt::skip]
pub const RULES: [Row; 6] = [
    Row { of: None, says: "No new leap of more than an octave.", keeps: leaps_an_octave_at_most, source: VOICE },
    Row { of: None, says: "No new leap of a tritone to or from a note that the chord does not have.", keeps: leaps_no_tritone, source: VOICE },
    Row { of: Some(How::Fragment), says: "What is repeated has at least two notes, and two pitches where the riff has them.", keeps: is_a_phrase, source: PRACTICE },
    Row { of: Some(How::Fill), says: "At least two notes are added, or one to three or fewer, and of a longest rest of a beat or more half is left.", keeps: is_a_fill, source: PRACTICE },
    Row { of: Some(How::Answer), says: "An answer ends on a tone of the chord that follows, or on the home note with a rest after it.", keeps: answer_rests, source: PRACTICE },
    Row { of: Some(How::Invert), says: "A blue note that slides up into the major third stays as it is.", keeps: keeps_curls, source: PRACTICE },
];

/// Whether a variation keeps every rule of the table.
pub(super) fn keeps_all(how: How, tried: &Tried) -> bool {
    RULES.iter().filter(|row| row.of.is_none_or(|of| of == how)).all(|row| (row.keeps)(tried))
}

fn leaps_an_octave_at_most(tried: &Tried) -> bool {
    let widest = |riff: &Riff| leaps(riff).map(|(from, to)| half_steps(from, to).abs()).max().unwrap_or(0);
    widest(tried.after) <= widest(tried.before).max(12)
}

fn leaps_no_tritone(tried: &Tried) -> bool {
    let Tried { before, after, change, ground } = tried;
    let is_tritone = |from: &Note, to: &Note| half_steps(from, to).rem_euclid(12) == 6;
    let classes = |one: &Note, other: &Note| {
        let (one, other) = (one.pitch.name.pitch_class(), other.pitch.name.pitch_class());
        (one.min(other), one.max(other))
    };
    let is_in_chord = |note: &Note| ground.chord_at(after, note.onset).degree_of(note.pitch.name).is_some();
    // The same shape elsewhere has the leaps that it had.
    let keeps_shape = matches!(change, Change::MovedToChord { .. } | Change::Sequenced { .. });
    let had = |from: &Note, to: &Note| {
        leaps(before)
            .filter(|(one, other)| is_tritone(one, other))
            .any(|(one, other)| keeps_shape || classes(one, other) == classes(from, to))
    };
    leaps(after)
        .filter(|(from, to)| is_tritone(from, to) && !(is_in_chord(from) && is_in_chord(to)))
        .all(|(from, to)| had(from, to))
}

/// Each note with the one that follows it.
fn leaps(riff: &Riff) -> impl Iterator<Item = (&Note, &Note)> {
    riff.notes().windows(2).map(|pair| (&pair[0], &pair[1]))
}

fn half_steps(from: &Note, to: &Note) -> i32 {
    to.pitch.semitones() - from.pitch.semitones()
}

fn is_a_phrase(tried: &Tried) -> bool {
    let Change::Fragmented { times, .. } = tried.change else { return true };
    let notes = tried.after.notes();
    let piece = &notes[..notes.len() / times];
    let pitches =
        |notes: &[Note]| notes.iter().any(|note| note.pitch.semitones() != notes[0].pitch.semitones());
    piece.len() >= 2 && (pitches(piece) || !pitches(tried.before.notes()))
}

fn is_a_fill(tried: &Tried) -> bool {
    let Change::Filled { added } = tried.change else { return true };
    let few = tried.before.notes().len() <= 3;
    let rest = longest_rest(tried.before);
    let breathes = rest < tried.before.beat() || longest_rest(tried.after) * 2 >= rest;
    breathes && added.len() >= if few { 1 } else { 2 }
}

/// The longest time without a note; before the first note and after the last count too.
fn longest_rest(riff: &Riff) -> Ticks {
    let ends = [Ticks::ZERO].into_iter().chain(riff.notes().iter().map(Note::end));
    let begins = riff.notes().iter().map(|note| note.onset).chain([riff.length()]);
    ends.zip(begins).map(|(from, to)| to - from).max().unwrap_or(Ticks::ZERO)
}

fn answer_rests(tried: &Tried) -> bool {
    let Tried { after, ground, .. } = tried;
    after.notes().last().is_some_and(|last| ends_well(after, ground, last.pitch))
}

/// Whether `riff` may end on `pitch` in place of its last note: see the row for answers.
pub(super) fn ends_well(riff: &Riff, ground: &Ground, pitch: Pitch) -> bool {
    let follows = ground.chord_at(riff, riff.length());
    let end = riff.notes().last().map_or(riff.length(), Note::end);
    let is_home = pitch.name.pitch_class() == ground.key().tonic().pitch_class();
    follows.degree_of(pitch.name).is_some() || (is_home && riff.length() - end >= riff.beat())
}

fn keeps_curls(tried: &Tried) -> bool {
    let Change::Inverted { octaves, .. } = tried.change else { return true };
    let by = 12 * octaves;
    curls(tried.before, tried.ground).iter().all(|index| {
        let sound = |riff: &Riff| riff.notes()[*index].pitch.semitones();
        sound(tried.after) == sound(tried.before) + by
    })
}

/// The notes, by index, of every slide up a half step into a major third: of the home chord of a major key, or of the
/// chord that sounds. The slide is a note of its own before the third, or crushed in right before it.
pub(super) fn curls(riff: &Riff, ground: &Ground) -> Vec<usize> {
    let notes = riff.notes();
    let mut curled = Vec::new();
    for (index, third) in notes.iter().enumerate() {
        let above = |low: i32| (third.pitch.semitones() - low).rem_euclid(12) == 4;
        let of_key = ground.key().mode() == Mode::Major && above(ground.key().tonic().pitch_class());
        let chord = ground.chord_at(riff, third.onset);
        let of_chord = chord.degree_of(third.pitch.name).is_some() && above(chord.root.pitch_class());
        if !of_key && !of_chord {
            continue;
        }
        let is_below = |pitch: Pitch| third.pitch.semitones() - pitch.semitones() == 1;
        if let Some(before) = index.checked_sub(1).filter(|before| is_below(notes[*before].pitch)) {
            curled.extend([before, index]);
        } else if matches!(third.ornament, Some(Ornament::Crushed(with)) if is_below(with)) {
            curled.push(index);
        }
    }
    curled.dedup();
    curled
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_says_what_it_says_and_where_it_comes_from() {
        assert!(RULES.iter().all(|row| row.says.ends_with('.') && !row.source.is_empty()));
    }
}
