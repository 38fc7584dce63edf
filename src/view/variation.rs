//! What a variation changed, in words.

use crate::riff::Riff;
use crate::riff::variation::{Change, Continuation, Error, How, Landing, Mirror, Move, Rhythm, Variation};
use crate::theory::instrument::Reading;
use crate::theory::pitch::Pitch;
use crate::units::Ticks;
use crate::view::words::names::{beats, chord_degree, counted, listed, wide};

/// What a way to vary is called on the page.
pub fn title(how: How) -> &'static str {
    match how {
        How::Displace => "earlier or later",
        How::Augment => "twice as slow",
        How::Diminish => "twice as fast",
        How::Sequence => "same shape, new start",
        How::Fragment => "repeat a bit of it",
        How::Extend => "make it longer",
        How::NewEnding => "another ending",
        How::Thin => "fewer notes",
        How::Fill => "more notes",
        How::Ornament => "an ornament",
        How::Invert => "upside down",
        How::Retrograde => "backwards",
        How::Octave => "another octave",
        How::Answer => "an answer",
        How::Fit => "fit to the chord",
    }
}

/// Why there is no variation, kindly.
pub fn refusal(error: Error) -> String {
    match error {
        Error::NoNotes => "Write a note first, then it can be varied.".to_owned(),
        Error::NothingRubs => "No note clashes here, so none needs to move.".to_owned(),
        Error::NothingFits { how } => {
            format!("For this riff “{}” gives nothing new. Try another way.", title(how))
        }
    }
}

/// What `variation` kept of `original` and what it changed, in one line; names as the player reads them.
pub fn sentence(variation: &Variation, original: &Riff, reading: Reading) -> String {
    let name = |pitch: Pitch| reading.name(pitch.name).pretty();
    let home = reading.key().tonic().pretty();
    let names = |riff: &Riff, indices: &[usize]| {
        let pitches = indices.iter().filter_map(|index| riff.notes().get(*index));
        listed(&pitches.map(|note| name(note.pitch)).collect::<Vec<_>>())
    };
    let of = |index: usize| names(original, &[index]);
    match &variation.change {
        Change::Displaced { by, wrapped, cut } => {
            let cut = if *cut > 0 { "; the end cuts one note short" } else { "" };
            displaced(*by, *wrapped, original.beat()) + cut + "."
        }
        Change::Slower => "Same notes, twice as slow: each lasts twice as long.".to_owned(),
        Change::Faster { times: 1 } => "Same notes, twice as fast: each lasts half as long.".to_owned(),
        Change::Faster { times } => {
            format!("Same notes, twice as fast, so they are played {}.", often(*times))
        }
        Change::Sequenced { steps } => {
            let count = counted(steps.unsigned_abs() as usize, "scale note");
            format!("Same rhythm and shape, {count} {}.", upwards(*steps))
        }
        Change::MovedToChord { from, to, by } => format!(
            "Same rhythm and shape, {} {}, as the chord goes from {} to {}.",
            wide(*by),
            upwards(by.semitones),
            reading.chord(from).pretty(),
            reading.chord(to).pretty()
        ),
        Change::Fragmented { from_beat, beats, times } => {
            format!(
                "Keeps {} and leaves out the rest: played {}.",
                stretch(*from_beat, *beats),
                often(*times)
            )
        }
        Change::Extended { beats, with } => {
            let part = if *beats == original.beats() { "all of it" } else { "its last part" };
            let was_home = original.notes().last().is_some_and(|last| name(last.pitch) == home);
            let what = match with {
                Continuation::Again => format!("{part} once more"),
                Continuation::Lower => format!("{part} once more, a scale note lower"),
                Continuation::WalkHome if was_home => format!("{home}, the home note, once more"),
                Continuation::WalkHome => format!("a walk to {home}, the home note"),
            };
            format!("All of it stays, then {} more: {what}.", counted(*beats, "beat"))
        }
        Change::NewEnding { from, to, landing } => {
            let why = match landing {
                Landing::Home => "the home note".to_owned(),
                Landing::NextBar { chord, degree } => {
                    format!(
                        "the {} of {}, the next bar’s chord",
                        chord_degree(*degree),
                        reading.chord(chord).pretty()
                    )
                }
            };
            format!("Same until the last note: it ends on {}, {why}, instead of {}.", name(*to), name(*from))
        }
        Change::Thinned { removed } => {
            format!("Leaves out {}; the other notes stay in place.", names(original, removed))
        }
        Change::Filled { added } => {
            let is = if added.len() == 1 { "is" } else { "are" };
            format!("Every note stays, and {} {is} added.", names(&variation.riff, added))
        }
        Change::Crushed { note, with } => {
            format!("Every note stays; {} is crushed in right before {}.", name(*with), of(*note))
        }
        Change::Neighboured { note, with } => {
            format!("Same notes, but {} goes to its neighbour {} and comes back.", of(*note), name(*with))
        }
        Change::Scooped { note } => {
            format!("Every note stays; {} slides up from a little below.", of(*note))
        }
        Change::Inverted { around, mirror, octaves, curls } => {
            let exactly = if *mirror == Mirror::HalfSteps { ", half step by half step" } else { "" };
            let place = match octaves {
                0 => "",
                1.. => ", then an octave higher",
                _ => ", then an octave lower",
            };
            let curl = match curls.as_slice() {
                [] => String::new(),
                // A slide that is a note of its own comes right before its third.
                [slide, third, ..] if *third == slide + 1 => format!(" The slide into {} stays.", of(*third)),
                [third, ..] => format!(" The slide into {} stays.", of(*third)),
            };
            format!(
                "Same rhythm, upside down around {}: what went up goes down{exactly}{place}.{curl}",
                name(*around)
            )
        }
        Change::Reversed { rhythm: Rhythm::Reversed } => {
            "Same notes, all backwards: the rhythm too.".to_owned()
        }
        Change::Reversed { rhythm: Rhythm::Kept } => "Same rhythm, with the notes backwards.".to_owned(),
        Change::Octave { octaves, from } => {
            let place = if *octaves > 0 { "higher" } else { "lower" };
            match from {
                0 => format!("Same notes and rhythm, an octave {place}."),
                _ => format!("Same up to note {from}; from {} on, an octave {place}.", of(*from)),
            }
        }
        Change::Answered { kept, to, landing } => {
            let keeps = if *kept > 0 { "Same rhythm and same start" } else { "Same rhythm with other notes" };
            let where_to = match landing {
                Landing::Home => "the home note".to_owned(),
                Landing::NextBar { chord, degree } => {
                    let chord = reading.chord(chord).pretty();
                    format!("the {} of {chord}, which follows", chord_degree(*degree))
                }
            };
            // Where the first one ends there too, what is new is the way.
            let is_same = original.notes().last().is_some_and(|last| last.pitch == *to);
            let how = if is_same { "and another way to" } else { "but it ends on" };
            format!("{keeps}, {how} {}, {where_to}.", name(*to))
        }
        Change::Fitted { moved } => fitted(moved, name),
    }
}

fn displaced(by: Ticks, wrapped: usize, beat: Ticks) -> String {
    let (way, over) = if by > Ticks::ZERO {
        ("later", "; what runs over the end comes in at the start")
    } else {
        ("earlier", "; what falls before the start comes in at the end")
    };
    let over = if wrapped > 0 { over } else { "" };
    format!("Same notes, {} {way}{over}", beats(if by > Ticks::ZERO { by } else { -by }, beat))
}

fn fitted(moved: &[Move], name: impl Fn(Pitch) -> String) -> String {
    let moves: Vec<String> =
        moved.iter().map(|step| format!("{} to {}", name(step.from), name(step.to))).collect();
    let what = if moves.len() == 1 { "a note" } else { "notes" };
    format!("Same rhythm; it moves {}, {what} of the chord.", listed(&moves))
}

fn often(times: usize) -> String {
    match times {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        _ => format!("{times} times"),
    }
}

fn upwards(by: i32) -> &'static str {
    if by < 0 { "down" } else { "up" }
}

/// Beats counted from 1: `beat 3`, `beats 1 and 2`, `beats 1 to 4`.
fn stretch(from_beat: usize, beats: usize) -> String {
    let (first, last) = (from_beat + 1, from_beat + beats);
    match beats {
        1 => format!("beat {first}"),
        2 => format!("beats {first} and {last}"),
        _ => format!("beats {first} to {last}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::standard::{self, ChordStyle, FormKind};
    use crate::rhythm::metre::Metre;
    use crate::riff::variation::{Ground, variations, vary};
    use crate::riff::{Note, RiffId, edit};
    use crate::theory::instrument::Instrument;
    use crate::theory::key::Key;

    /// D E B♭ B G, *Porch light*, over twelve bars in G.
    fn porch_light() -> (Riff, Ground) {
        let notes = [("D4", 0, 2), ("E4", 2, 1), ("Bb4", 3, 1), ("B4", 4, 1), ("G4", 6, 2)];
        let empty = Riff::empty(RiffId(1), Ticks::QUARTER, 4);
        let half = Ticks::QUARTER / 2;
        let riff = notes.iter().fold(empty, |riff, (pitch, at, length)| {
            let (onset, length, pitch) = (half * *at, half * *length, pitch.parse().unwrap());
            edit::insert(&riff, Note { onset, length, pitch, accent: false, ornament: None }).unwrap().riff
        });
        let key: Key = "G".parse().unwrap();
        let changes = standard::changes(FormKind::Twelve, key, ChordStyle::Sevenths, Metre::FOUR_FOUR);
        let ground = Ground::of(&riff, changes);
        (riff, ground)
    }

    #[track_caller]
    fn check(how: How, seed: u64, expected: &str) {
        let (riff, mut ground) = porch_light();
        ground.rubbing = vec![1];
        let variation = vary(how, &riff, &ground, seed).unwrap();
        assert_eq!(sentence(&variation, &riff, Reading::concert(ground.key())), expected);
    }

    #[test]
    fn every_way_says_what_it_changed() {
        check(How::Displace, 0, "Same notes, half a beat later; the end cuts one note short.");
        check(How::Augment, 0, "Same notes, twice as slow: each lasts twice as long.");
        check(How::Diminish, 1, "Same notes, twice as fast, so they are played twice.");
        check(How::Sequence, 0, "Same rhythm and shape, 1 scale note up.");
        check(How::Sequence, 2, "Same rhythm and shape, a fourth up, as the chord goes from G7 to C7.");
        check(How::Fragment, 0, "Keeps beats 1 and 2 and leaves out the rest: played twice.");
        check(How::Extend, 2, "All of it stays, then 2 beats more: G, the home note, once more.");
        check(
            How::NewEnding,
            0,
            "Same until the last note: it ends on F, the seventh of G7, the next bar’s chord, instead of G.",
        );
        check(How::Thin, 1, "Leaves out E and B♭; the other notes stay in place.");
        check(How::Fill, 0, "Every note stays, and D and A are added.");
        check(How::Ornament, 0, "Every note stays; A is crushed in right before B♭.");
        check(
            How::Invert,
            0,
            "Same rhythm, upside down around G: what went up goes down. The slide into B stays.",
        );
        check(How::Retrograde, 0, "Same notes, all backwards: the rhythm too.");
        check(How::Octave, 0, "Same notes and rhythm, an octave higher.");
        check(How::Answer, 0, "Same rhythm and same start, and another way to G, the home note.");
        check(How::Fit, 0, "Same rhythm; it moves E to F, a note of the chord.");
    }

    #[test]
    fn names_are_as_the_player_reads_them() {
        let (riff, ground) = porch_light();
        let ending = vary(How::NewEnding, &riff, &ground, 0).unwrap();
        let trumpet = Instrument::named("trumpet").unwrap().reading(ground.key());
        let words = sentence(&ending, &riff, trumpet);
        assert_eq!(
            words,
            "Same until the last note: it ends on G, the seventh of A7, the next bar’s chord, instead of A."
        );
    }

    #[test]
    fn every_variation_has_its_sentence_and_every_way_its_title() {
        let (riff, ground) = porch_light();
        for how in How::all() {
            assert!(!title(how).is_empty());
            for variation in variations(how, &riff, &ground).unwrap_or_default() {
                let words = sentence(&variation, &riff, Reading::concert(ground.key()));
                assert!(words.ends_with('.') && !words.contains("  "), "{words}");
            }
        }
    }
}
