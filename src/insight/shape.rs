//! The shape of a riff by itself, whatever the chords are: where it begins, what stands out, how much room it leaves
//! and how it moves.

use crate::insight::rhythm::{Pattern, lhl};
use crate::rhythm::metre::Metre;
use crate::riff::{Note, Riff};
use crate::theory::interval::Interval;
use crate::theory::pitch::Pitch;
use crate::units::Ticks;

/// A place in a bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BarPlace {
    /// The beat at or before it, counted from 1.
    pub beat: usize,
    /// How far behind that beat it lies: 0 is on the beat.
    pub behind: Ticks,
}

/// A rest inside a riff.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rest {
    /// When it begins, from the riff's start.
    pub at: Ticks,
    /// How long it lasts.
    pub length: Ticks,
}

/// From the lowest note to the highest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Compass {
    /// The lowest pitch.
    pub lowest: Pitch,
    /// The highest pitch.
    pub highest: Pitch,
}

impl Compass {
    /// From the lowest to the highest, by spelling.
    pub fn interval(self) -> Interval {
        self.lowest.interval_to(self.highest)
    }
}

/// How a melody goes from note to note, counted. One note less than the riff has in all.
///
/// A step is a half or a whole step, by sound; anything wider is a leap, thirds too. Source: common practice, no source.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Motion {
    /// The same sound again.
    pub repeats: usize,
    /// A half or a whole step up or down.
    pub steps: usize,
    /// Anything wider.
    pub leaps: usize,
    /// The widest leap, the first of equally wide ones; negative goes down.
    pub widest: Option<Interval>,
}

/// The shape of a riff. Lists hold indices of notes, ascending.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shape {
    /// Beats, rests included.
    pub beats: usize,
    /// Notes.
    pub notes: usize,
    /// Where in its bar the first note begins; `None` without notes.
    pub first: Option<BarPlace>,
    /// How many notes begin before the bar line that the riff leads to.
    pub pickup: usize,
    /// Notes that begin off the beat.
    pub off_beat: Vec<usize>,
    /// Notes accented by loudness.
    pub loud: Vec<usize>,
    /// Notes accented by their place: each is syncopated by at least one level of the metre, see
    /// [`lhl::syncopations`], and sounds on over the beat that it comes before. Empty where the riff cannot be measured,
    /// see [`Pattern::of_riff`].
    pub placed: Vec<usize>,
    /// How long notes sound, together.
    pub sounding: Ticks,
    /// How long nothing sounds, together.
    pub silence: Ticks,
    /// The longest rest within the riff, before its first and behind its last note too; of equal ones the first.
    pub longest_rest: Option<Rest>,
    /// From the lowest note to the highest; `None` without notes. Ornaments do not count.
    pub compass: Option<Compass>,
    /// How it goes from note to note.
    pub motion: Motion,
}

impl Shape {
    /// The shape of `riff` where bars are counted in `metre`.
    pub fn of(riff: &Riff, metre: Metre) -> Shape {
        let notes = riff.notes();
        let sounding: Ticks = notes.iter().map(|note| note.length).sum();
        let place = |note: &Note| bar_place(riff.start + note.onset, metre);
        Shape {
            beats: riff.beats(),
            notes: notes.len(),
            first: notes.first().map(place),
            pickup: notes.iter().filter(|note| riff.start + note.onset < Ticks::ZERO).count(),
            off_beat: indices(notes, |note| place(note).behind != Ticks::ZERO),
            loud: indices(notes, |note| note.accent),
            placed: placed(riff, metre),
            sounding,
            silence: riff.length() - sounding,
            longest_rest: longest_rest(riff),
            compass: compass(notes),
            motion: motion(notes),
        }
    }

    /// The share of the riff that is silent, 0 ..= 1.
    pub fn share_of_silence(&self) -> f64 {
        self.silence.in_quarters() / (self.sounding + self.silence).in_quarters()
    }
}

fn bar_place(at: Ticks, metre: Metre) -> BarPlace {
    let into_bar = at.rem_floor(metre.bar());
    let beat = into_bar.div_floor(metre.beat()) as usize + 1;
    BarPlace { beat, behind: into_bar.rem_floor(metre.beat()) }
}

fn indices(notes: &[Note], is_meant: impl Fn(&Note) -> bool) -> Vec<usize> {
    notes.iter().enumerate().filter(|(_, note)| is_meant(note)).map(|(index, _)| index).collect()
}

fn placed(riff: &Riff, metre: Metre) -> Vec<usize> {
    let Some(pattern) = Pattern::of_riff(riff, metre) else { return Vec::new() };
    let syncopated: Vec<usize> = lhl::syncopations(&pattern)
        .into_iter()
        .filter(|syncopation| syncopation.strength > 0)
        .map(|syncopation| syncopation.onset)
        .collect();
    let sounds_over_beat = |note: &Note| {
        let into_beat = (riff.start + note.onset).rem_floor(metre.beat());
        into_beat + note.length > metre.beat()
    };
    indices(riff.notes(), |note| {
        sounds_over_beat(note) && syncopated.contains(&pattern.pulse_of(riff.start + note.onset, metre))
    })
}

fn longest_rest(riff: &Riff) -> Option<Rest> {
    let ends = [Ticks::ZERO].into_iter().chain(riff.notes().iter().map(Note::end));
    let onsets = riff.notes().iter().map(|note| note.onset).chain([riff.length()]);
    let rests = ends.zip(onsets).map(|(at, until)| Rest { at, length: until - at });
    // `max_by_key` takes the last of equals, so the order is turned round.
    let rests: Vec<Rest> = rests.filter(|rest| rest.length > Ticks::ZERO).collect();
    rests.into_iter().rev().max_by_key(|rest| rest.length)
}

fn compass(notes: &[Note]) -> Option<Compass> {
    let pitches = || notes.iter().map(|note| note.pitch);
    let lowest = pitches().min_by_key(|pitch| pitch.semitones())?;
    let highest = pitches().max_by_key(|pitch| pitch.semitones())?;
    Some(Compass { lowest, highest })
}

fn motion(notes: &[Note]) -> Motion {
    let mut motion = Motion::default();
    for pair in notes.windows(2) {
        let interval = pair[0].pitch.interval_to(pair[1].pitch);
        match interval.semitones.abs() {
            0 => motion.repeats += 1,
            1 | 2 => motion.steps += 1,
            size => {
                motion.leaps += 1;
                if motion.widest.is_none_or(|widest| size > widest.semitones.abs()) {
                    motion.widest = Some(interval);
                }
            }
        }
    }
    motion
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::riff::RiffId;
    use crate::theory::pitch::Step;

    /// A riff in halves, from its start, onsets and lengths in eighths; `!` is an accent.
    fn riff(start: i64, beats: usize, notes: &[(i64, i64, &str)]) -> Riff {
        let eighth = Ticks::QUARTER / 2;
        let notes = notes.iter().map(|(onset, length, pitch)| Note {
            onset: eighth * *onset,
            length: eighth * *length,
            pitch: pitch.trim_end_matches('!').parse().unwrap(),
            accent: pitch.ends_with('!'),
            ornament: None,
        });
        let divisions = Riff::empty(RiffId(1), Ticks::QUARTER, beats).divisions().to_vec();
        Riff::from_parts(RiffId(1), String::new(), eighth * start, Ticks::QUARTER, divisions, notes.collect())
            .unwrap()
    }

    /// Worked by hand: a pickup of two eighths into G, held over beat 2 from its "and", a rest and a leap up.
    #[test]
    fn a_riff_with_a_pickup_has_this_shape() {
        let riff = riff(
            -2,
            5,
            &[(0, 1, "D4"), (1, 1, "E4!"), (2, 1, "G4"), (3, 2, "Bb4"), (7, 1, "G4"), (8, 1, "G5")],
        );
        let shape = Shape::of(&riff, Metre::FOUR_FOUR);
        assert_eq!((shape.beats, shape.notes, shape.pickup), (5, 6, 2));
        assert_eq!(shape.first, Some(BarPlace { beat: 4, behind: Ticks::ZERO }));
        assert_eq!((shape.off_beat.as_slice(), shape.loud.as_slice()), (&[1, 3, 4][..], &[1][..]));
        // B♭ begins on the "and" of 1 and no note begins before the "and" of 3: over beat 3 by two levels. The last
        // G, on beat 4, is followed by silence over the bar line, and does not sound over it: it does not stand out.
        assert_eq!(shape.placed, [3]);
        assert_eq!((shape.sounding, shape.silence), (Ticks::QUARTER * 7 / 2, Ticks::QUARTER * 3 / 2));
        assert_eq!(shape.share_of_silence(), 0.3);
        let rest = Rest { at: Ticks::QUARTER * 5 / 2, length: Ticks::QUARTER };
        assert_eq!(shape.longest_rest, Some(rest));
        assert_eq!(shape.compass.unwrap().interval(), Interval::new(10, 17));
        let widest = Some(Interval::OCTAVE);
        assert_eq!(shape.motion, Motion { repeats: 0, steps: 1, leaps: 4, widest });
    }

    #[test]
    fn an_empty_riff_is_all_silence() {
        let shape = Shape::of(&riff(0, 4, &[]), Metre::FOUR_FOUR);
        assert_eq!((shape.first, shape.compass, shape.share_of_silence()), (None, None, 1.0));
        assert_eq!(shape.longest_rest, Some(Rest { at: Ticks::ZERO, length: Ticks::QUARTER * 4 }));
    }

    proptest! {
        #[test]
        fn parts_make_the_whole(
            start in -8_i64..8,
            notes in proptest::collection::vec((0_i64..3, 1_i64..4, 0_usize..7), 0..=6),
        ) {
            let mut at = 0;
            let placed: Vec<(i64, i64, String)> = notes.iter().map(|(gap, length, step)| {
                at += gap + length;
                (at - length, *length, Pitch::new(Step::ALL[*step], 0, 4).to_string())
            }).collect();
            let notes: Vec<(i64, i64, &str)> = placed.iter().map(|(at, length, p)| (*at, *length, p.as_str())).collect();
            let riff = riff(start, 16, &notes);
            let shape = Shape::of(&riff, Metre::FOUR_FOUR);
            prop_assert_eq!(shape.sounding + shape.silence, riff.length());
            let moves = shape.motion.repeats + shape.motion.steps + shape.motion.leaps;
            prop_assert_eq!(moves, shape.notes.saturating_sub(1));
        }
    }
}
