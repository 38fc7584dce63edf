//! Why a note sounds as it does: the finer kind of each note, from the notes around it and the chords under them.
//!
//! The kinds are one table, [`KINDS`](self), read from the top: the first row that holds names the note. Notes of a
//! riff are neighbours in time where the rest between them is shorter than a beat. A *step* is a half or a whole step
//! by sound. A note is *stable* where the chord at its onset has it.
//!
//! Blues melodies often keep to their key and owe the chords nothing: D. Temperley, "The melodic-harmonic 'divorce' in
//! rock", Popular Music 26/2, 2007, 323–342 (its abstract): notes outside the chord that do not resolve by step are
//! frequent in pentatonic melodies. So no kind is a fault, and what is only outside is called no more than that.

use crate::form::Changes;
use crate::insight::roles::{self, NoteInsight, Role};
use crate::riff::{Note, Riff};
use crate::theory::chord::Chord;
use crate::theory::pitch::{NoteName, Pitch};
use crate::units::Ticks;

/// What a note does among its neighbours and chords.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A tone of the chord under it.
    ChordTone,
    /// Struck before the chord that it belongs to, and repeated or held into it.
    Anticipation {
        /// How long before that chord.
        early: Ticks,
        /// That chord.
        chord: Chord,
    },
    /// A tone of the chord before, struck again when that chord is gone.
    HeldOver {
        /// The chord that it comes from.
        from: Chord,
    },
    /// A blue note of the key that the chord does not have.
    Blue {
        /// The next note, where that is a step away.
        to: Option<Pitch>,
    },
    /// On its way by step from one chord tone to another, or between two half steps.
    Passing {
        /// The chord tone that it leaves.
        from: Pitch,
        /// The chord tone that it comes to.
        to: Pitch,
    },
    /// A step away from a chord tone and back to it.
    Neighbour {
        /// That chord tone.
        of: Pitch,
    },
    /// One of two notes, one above and one below, that close in on a chord tone.
    Enclosure {
        /// That chord tone.
        target: Pitch,
    },
    /// From a half step above down onto a chord tone, from a beat on or for a beat or more.
    Leans {
        /// That chord tone.
        on: Pitch,
    },
    /// The home note, held over the chord of the fifth.
    HomeOverFive {
        /// The third of that chord, a half step below.
        third: NoteName,
    },
    /// Leads by a half step into a chord tone.
    HalfStepApproach {
        /// That chord tone.
        to: Pitch,
    },
    /// Leapt to, in neither this chord nor the next, and no extension.
    LeapOutside {
        /// The note before.
        from: Pitch,
    },
    /// The ninth, the fourth or the sixth above the chord's root, or the seventh of a chord without one: what a richer
    /// chord would have.
    Extension,
    /// None of these.
    Outside,
}

impl Kind {
    /// The name in data: `chord-tone`, `held-over` …
    pub fn name(&self) -> &'static str {
        match self {
            Kind::ChordTone => "chord-tone",
            Kind::Anticipation { .. } => "anticipation",
            Kind::HeldOver { .. } => "held-over",
            Kind::Blue { .. } => "blue",
            Kind::Passing { .. } => "passing",
            Kind::Neighbour { .. } => "neighbour",
            Kind::Enclosure { .. } => "enclosure",
            Kind::Leans { .. } => "leans",
            Kind::HomeOverFive { .. } => "home-over-five",
            Kind::HalfStepApproach { .. } => "half-step-approach",
            Kind::LeapOutside { .. } => "leap-outside",
            Kind::Extension => "extension",
            Kind::Outside => "outside",
        }
    }
}

type Rule = fn(&Melody) -> Option<Kind>;

/// The decision table: the first row that holds. "OMT" is Open Music Theory, version 1, "Embellishing tones".
#[rustfmt::skip]
const KINDS: [Rule; 13] = [
    chord_tone,          // The chord at the onset has it: this project's rule for roles.
    anticipation,        // OMT, anticipation; within a beat, and repeated or held: this project's rule.
    held_over,           // OMT, suspension, its preparation; here struck again.
    blue,                // The lowered third, fifth, seventh: van der Merwe 1989, p. 119, as encyclopaedias quote it.
    passing,             // OMT, passing tone: stable, step, step on, stable; two in a row where a fourth is filled;
                         // chromatic: between two half steps the same way, whatever the chord.
    neighbour,           // OMT, complete neighbour tone: between two instances of the same stable tone.
    enclosure,           // A. Schwartz, antonjazz.com, 2019: close notes above and below the target.
    leans,               // OMT, appoggiatura and suspension: it resolves down by step.
    home_over_five,      // Common practice, no source: players of the blues keep it.
    half_step_approach,  // The same: a target preceded by a close note; OMT, incomplete neighbour tone.
    extension,           // Common practice, no source: 9, 11 and 13 above the root, and 7 above a triad's.
    leap_outside,        // Common practice, no source: wider than a step, into neither chord.
    |_| Some(Kind::Outside),
];

/// The kind of each note, for a riff whose insights over `changes` are `insights` (see
/// [`roles::over`]): one a note, in order.
pub fn kinds(changes: &Changes, riff: &Riff, insights: &[NoteInsight]) -> Vec<Kind> {
    let melody = |index| Melody { changes, riff, insights, index };
    (0..insights.len().min(riff.notes().len()))
        .map(|index| KINDS.iter().find_map(|rule| rule(&melody(index))).unwrap_or(Kind::Outside))
        .collect()
}

/// A note among its neighbours.
#[derive(Clone, Copy)]
struct Melody<'a> {
    changes: &'a Changes,
    riff: &'a Riff,
    insights: &'a [NoteInsight],
    index: usize,
}

impl<'a> Melody<'a> {
    fn note(self) -> &'a Note {
        &self.riff.notes()[self.index]
    }

    fn insight(self) -> &'a NoteInsight {
        &self.insights[self.index]
    }

    fn pitch(self) -> Pitch {
        self.note().pitch
    }

    fn is_stable(self) -> bool {
        self.insight().role == Role::InChord
    }

    /// The note before, unless a rest of a beat or more lies between.
    fn before(self) -> Option<Melody<'a>> {
        let before = Melody { index: self.index.checked_sub(1)?, ..self };
        (self.note().onset - before.note().end() < self.riff.beat()).then_some(before)
    }

    /// The note after, likewise.
    fn after(self) -> Option<Melody<'a>> {
        let after = Melody { index: self.index + 1, ..self };
        (after.index < self.insights.len() && after.note().onset - self.note().end() < self.riff.beat())
            .then_some(after)
    }

    /// Half steps up to `other`; negative where it is lower.
    fn up_to(self, other: Melody) -> i32 {
        other.pitch().semitones() - self.pitch().semitones()
    }

    /// The direction of the step to `other`: 1 up, −1 down; `None` where it is no step.
    fn step_to(self, other: Melody) -> Option<i32> {
        let up = self.up_to(other);
        (1..=2).contains(&up.abs()).then_some(up.signum())
    }
}

fn chord_tone(melody: &Melody) -> Option<Kind> {
    melody.is_stable().then_some(Kind::ChordTone)
}

fn anticipation(melody: &Melody) -> Option<Kind> {
    let (note, insight) = (melody.note(), melody.insight());
    let ahead = insight.ahead.as_ref()?;
    let beat = melody.changes.bars()[insight.bar].metre.beat();
    let is_held = note.length > ahead.distance;
    let is_repeated = melody.after().is_some_and(|after| {
        melody.up_to(after) == 0
            && after.note().onset - note.onset >= ahead.distance
            && after.insight().chord == ahead.chord
    });
    (ahead.distance <= beat && (is_held || is_repeated))
        .then(|| Kind::Anticipation { early: ahead.distance, chord: ahead.chord.clone() })
}

fn held_over(melody: &Melody) -> Option<Kind> {
    let before = melody.before()?;
    let from = &before.insight().chord;
    (melody.up_to(before) == 0 && before.is_stable() && !from.is_none() && *from != melody.insight().chord)
        .then(|| Kind::HeldOver { from: from.clone() })
}

fn blue(melody: &Melody) -> Option<Kind> {
    let to = melody.after().filter(|after| melody.step_to(*after).is_some()).map(Melody::pitch);
    (melody.insight().role == Role::Blue).then_some(Kind::Blue { to })
}

/// One note, or one of two in a row, that fills the way between two chord tones in one direction; or one between two half
/// steps in one direction.
fn passing(melody: &Melody) -> Option<Kind> {
    let (before, after) = (melody.before()?, melody.after()?);
    let way = before.step_to(*melody)?;
    if melody.step_to(after) != Some(way) {
        return None;
    }
    let is_chromatic = before.up_to(after).abs() == 2;
    let goes_on = |from: Melody, to: Melody| from.step_to(to) == Some(way) && !from.is_stable();
    let (from, to) = match (before.is_stable(), after.is_stable()) {
        (true, true) => (before, after),
        _ if is_chromatic => (before, after),
        (false, true) => (before.before().filter(|first| first.step_to(before) == Some(way))?, after),
        (true, false) => (before, after.after().filter(|last| goes_on(after, *last))?),
        (false, false) => return None,
    };
    (is_chromatic || from.is_stable() && to.is_stable())
        .then(|| Kind::Passing { from: from.pitch(), to: to.pitch() })
}

fn neighbour(melody: &Melody) -> Option<Kind> {
    let (before, after) = (melody.before()?, melody.after()?);
    let is_there_and_back = before.up_to(after) == 0 && melody.step_to(after).is_some();
    (is_there_and_back && before.is_stable() && after.is_stable())
        .then(|| Kind::Neighbour { of: after.pitch() })
}

fn enclosure(melody: &Melody) -> Option<Kind> {
    let closes_in = |first: Melody, second: Melody, target: Melody| {
        let sides = (first.step_to(target)?, second.step_to(target)?);
        let is_enclosed = sides.0 == -sides.1 && target.is_stable() && !first.is_stable();
        is_enclosed.then(|| Kind::Enclosure { target: target.pitch() })
    };
    let as_first = || {
        let second = melody.after()?;
        closes_in(*melody, second, second.after()?)
    };
    let as_second = || closes_in(melody.before()?, *melody, melody.after()?);
    as_first().or_else(as_second)
}

fn leans(melody: &Melody) -> Option<Kind> {
    let (after, note, insight) = (melody.after()?, melody.note(), melody.insight());
    let beat = melody.changes.bars()[insight.bar].metre.beat();
    let is_strong = insight.into_bar.rem_floor(beat) == Ticks::ZERO || note.length >= beat;
    (is_strong && melody.up_to(after) == -1 && after.is_stable()).then(|| Kind::Leans { on: after.pitch() })
}

fn home_over_five(melody: &Melody) -> Option<Kind> {
    let (note, insight) = (melody.note(), melody.insight());
    let moves_on = melody.after().is_some_and(|after| melody.step_to(after).is_some());
    let is_kept = roles::is_held(melody.changes, note, insight.at) && !moves_on;
    let is_third = |tone: &NoteName| (note.pitch.name.pitch_class() - tone.pitch_class()).rem_euclid(12) == 1;
    let third = insight.chord.notes().into_iter().find(is_third)?;
    (is_kept && roles::is_home_over_five(melody.changes, insight)).then_some(Kind::HomeOverFive { third })
}

fn half_step_approach(melody: &Melody) -> Option<Kind> {
    let after = melody.after()?;
    (melody.up_to(after).abs() == 1 && after.is_stable())
        .then(|| Kind::HalfStepApproach { to: after.pitch() })
}

fn leap_outside(melody: &Melody) -> Option<Kind> {
    let before = melody.before()?;
    (melody.insight().role == Role::Other && melody.up_to(before).abs() > 2)
        .then(|| Kind::LeapOutside { from: before.pitch() })
}

fn extension(melody: &Melody) -> Option<Kind> {
    let root = melody.insight().chord.root.pitch_class();
    let above = (melody.pitch().name.pitch_class() - root).rem_euclid(12);
    (!melody.insight().chord.is_none() && [2, 5, 9, 10].contains(&above)).then_some(Kind::Extension)
}
