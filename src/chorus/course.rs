//! What a chorus is played over: a form, once or several times through.

use crate::form::Changes;
use crate::insight::roles::{self, Role};
use crate::riff::Note;
use crate::theory::chord::Chord;
use crate::theory::pitch::{NoteName, Pitch};
use crate::units::{MidiNote, Ticks};

/// A form played a number of times in a row. The last time ends on the home chord (see [`Changes::last_time`]).
///
/// Bars count from 0 through all choruses: over twelve bars, bar 12 is the first of the second chorus.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Course {
    form: Changes,
    last: Changes,
    choruses: usize,
}

impl Course {
    /// The most choruses in a row.
    pub const MOST_CHORUSES: usize = 8;
    /// Bars in a line of the form, as it is written on paper.
    pub const LINE_BARS: usize = 4;

    /// `form`, `choruses` times through (brought to 1 ..= [`Course::MOST_CHORUSES`]).
    pub fn new(form: Changes, choruses: usize) -> Course {
        let last = form.last_time();
        Course { form, last, choruses: choruses.clamp(1, Course::MOST_CHORUSES) }
    }

    /// How often the form is played.
    pub fn choruses(&self) -> usize {
        self.choruses
    }

    /// The form as it is written.
    pub fn form(&self) -> &Changes {
        &self.form
    }

    /// All choruses in a row as one form.
    pub fn whole(&self) -> Changes {
        let forms = (0..self.choruses).map(|chorus| self.changes(chorus));
        Changes::in_a_row(forms).unwrap_or_else(|| self.last.clone())
    }

    /// All bars of all choruses.
    pub fn bars(&self) -> usize {
        self.form.bars().len() * self.choruses
    }

    /// How long all of it is.
    pub fn length(&self) -> Ticks {
        self.form.length() * self.choruses as i64
    }

    /// Where bar `bar` begins; the end for one past the last, and for all after that.
    pub fn bar_start(&self, bar: usize) -> Ticks {
        let bar = bar.min(self.bars());
        let (chorus, within) = (bar / self.form.bars().len(), bar % self.form.bars().len());
        self.form.length() * chorus as i64 + self.form.bar_start(within)
    }

    /// The bar in which `at` lies and how far into it; what is before the start or after the end is counted as in
    /// the first or last bar.
    pub fn bar_at(&self, at: Ticks) -> (usize, Ticks) {
        let chorus = self.chorus_at(at);
        let within =
            (at - self.form.length() * chorus as i64).clamp(Ticks::ZERO, self.form.length() - Ticks(1));
        let (bar, _) = self.form.bar_at(within);
        let bar = chorus * self.form.bars().len() + bar;
        (bar, at - self.bar_start(bar))
    }

    /// The chorus in which `at` lies, from 0; the first or the last for what is outside.
    pub fn chorus_at(&self, at: Ticks) -> usize {
        at.div_floor(self.form.length()).clamp(0, self.choruses as i64 - 1) as usize
    }

    /// The chords of chorus `chorus`.
    pub fn changes(&self, chorus: usize) -> &Changes {
        if chorus + 1 < self.choruses { &self.form } else { &self.last }
    }

    /// The line of four bars in which bar `bar` lies: the chorus, and the line within it.
    pub fn line_of(&self, bar: usize) -> (usize, usize) {
        let bars = self.form.bars().len();
        ((bar / bars).min(self.choruses - 1), bar % bars / Course::LINE_BARS)
    }

    /// How many lines of four bars a chorus has; the last may be shorter.
    pub fn lines(&self) -> usize {
        self.form.bars().len().div_ceil(Course::LINE_BARS)
    }

    /// The bars on which a solo is heard to land on the changes: each second bar with a chord that is not that of the
    /// second bar before. In the twelve-bar forms these are bars 5, 7, 9 and 11. From 0, through all choruses.
    ///
    /// Source: common practice, no source.
    pub fn landings(&self) -> Vec<usize> {
        let bars = self.form.bars().len();
        let is_landing = |bar: &usize| {
            let (chorus, within) = (bar / bars, bar % bars);
            let chord = |bar: usize| &self.changes(chorus).bars()[bar].chords[0].chord;
            within >= 2 && within % 2 == 0 && !chord(within).is_none() && chord(within) != chord(within - 2)
        };
        (0..self.bars()).filter(is_landing).collect()
    }
}

/// What a pitch is at a place of the course, looked up fast.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Tone {
    /// The role, as [`roles`] has it.
    pub role: Role,
    /// Whether it rubs if it is held for a beat or accented.
    pub rubs: bool,
    /// Whether it is the third or the seventh of the sounding chord.
    pub guide: bool,
}

/// The tones of every stretch of one chord, in order.
#[derive(Clone, Debug)]
pub(crate) struct Tones {
    stretches: Vec<(Ticks, [Tone; 12])>,
    chords: Vec<usize>,
}

impl Tones {
    /// Asks [`roles`] once for each of the twelve pitch classes over each chord.
    pub fn of(course: &Course) -> Tones {
        let (mut stretches, mut chords) = (Vec::new(), Vec::new());
        let mut met: Vec<&Chord> = Vec::new();
        for chorus in 0..course.choruses() {
            let changes = course.changes(chorus);
            let begins = course.form().length() * chorus as i64;
            for place in changes.places() {
                stretches
                    .push((begins + place.at, std::array::from_fn(|class| tone(changes, place.at, class))));
                let known = met.iter().position(|chord| *chord == place.chord);
                chords.push(known.unwrap_or(met.len()));
                if known.is_none() {
                    met.push(place.chord);
                }
            }
        }
        Tones { stretches, chords }
    }

    /// What `pitch` is at `at`.
    pub fn at(&self, at: Ticks, pitch: Pitch) -> Tone {
        self.stretches[self.stretch(at)].1[pitch.semitones().rem_euclid(12) as usize]
    }

    /// The chord that sounds at `at`, as a number: equal chords have the same.
    pub fn chord(&self, at: Ticks) -> usize {
        self.chords[self.stretch(at)]
    }

    /// The next other chord after `at`, and how far away it is; `None` behind the last change, with the distance from it.
    pub fn next_chord(&self, at: Ticks) -> (Option<usize>, Ticks) {
        let here = self.stretch(at);
        match (here + 1..self.chords.len()).find(|later| self.chords[*later] != self.chords[here]) {
            Some(later) => (Some(self.chords[later]), self.stretches[later].0 - at),
            None => (None, at - self.stretches[here].0),
        }
    }

    fn stretch(&self, at: Ticks) -> usize {
        self.stretches.partition_point(|(from, _)| *from <= at).saturating_sub(1)
    }
}

fn tone(changes: &Changes, at: Ticks, class: usize) -> Tone {
    let place = (-5..=6).find(|place| NoteName::on_line_of_fifths(*place).pitch_class() == class as i32);
    let name = NoteName::on_line_of_fifths(place.unwrap_or_default());
    let midi = MidiNote::new(60 + class as i32).unwrap_or(MidiNote::MIDDLE_C);
    let pitch = Pitch::of_name(name, midi).unwrap_or(Pitch { name, octave: 4 });
    let note = Note { onset: Ticks::ZERO, length: Ticks(1), pitch, accent: true, ornament: None };
    let insight = roles::of_note(changes, &note, 0, at);
    let guide = insight.chord_degree.is_some_and(|degree| matches!(degree.steps, 2 | 6));
    Tone { role: insight.role, rubs: insight.rubs.is_some(), guide }
}
