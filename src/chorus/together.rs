//! How a chorus hangs together: its lines, its silence, how it lands on the changes, and the arc of it.

use crate::chorus::check::{self, Step};
use crate::chorus::course::{Course, Tones};
use crate::chorus::placement::Placed;
use crate::insight::roles::Role;
use crate::theory::pitch::Pitch;
use crate::units::Ticks;

/// A chorus as it is heard.
#[derive(Clone, Debug, PartialEq)]
pub struct Together {
    /// What each line of four bars does, through all choruses.
    pub lines: Vec<Line>,
    /// Time without a note.
    pub silence: Ticks,
    /// All the time there is.
    pub length: Ticks,
    /// The longest time without a note.
    pub longest_rest: Ticks,
    /// Silence before the first note.
    pub lead_in: Ticks,
    /// Silence after the last note.
    pub lead_out: Ticks,
    /// How it lands on each change that asks for it (see [`Course::landings`]).
    pub landings: Vec<Landing>,
    /// How each placement leads to the next.
    pub steps: Vec<Step>,
    /// Height, density and loudness, bar by bar.
    pub arc: Vec<Arc>,
    /// Whether the last note is the home note.
    pub ends_home: bool,
}

/// What a line of the form does. A line opens with the first riff that is begun in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Line {
    /// Says something: the first line of a chorus that speaks.
    Statement {
        /// The riff that opens it.
        riff: usize,
        /// Whether it is changed here.
        varied: bool,
    },
    /// Opens with what the statement opened with.
    Repeat {
        /// The riff that opens it.
        riff: usize,
        /// Whether it is changed here, or was there.
        varied: bool,
    },
    /// Opens with something else.
    Answer {
        /// The riff that opens it.
        riff: usize,
        /// Whether it is changed here.
        varied: bool,
    },
    /// Nothing is begun in it.
    Silent,
}

/// How the solo meets a bar line at which the chord changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Landing {
    /// The bar, from 0 through all choruses.
    pub bar: usize,
    /// The pitch that is struck on the bar line or held over it; `None` where nothing sounds.
    pub pitch: Option<Pitch>,
    /// What it is to the new chord.
    pub on: Landed,
}

/// What sounds when the chord changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Landed {
    /// The third or the seventh of the new chord.
    Guide,
    /// Another tone of the new chord.
    InChord,
    /// A note that the new chord does not have.
    Elsewhere,
    /// Silence.
    Silence,
}

/// One bar of the arc.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arc {
    /// The mean height of the notes that begin in it, in half steps above C−1; `None` where none does.
    pub height: Option<f64>,
    /// How many notes begin in it.
    pub notes: usize,
    /// How many of them are accented.
    pub accents: usize,
}

impl Together {
    /// What `placed`, in the order of time and without overlaps, is over `course`.
    pub fn of(course: &Course, placed: &[Placed]) -> Together {
        let sounding: Ticks = placed.iter().flat_map(Placed::notes).map(|(_, note)| note.length).sum();
        let first = placed.iter().flat_map(Placed::notes).next();
        let last = placed.iter().flat_map(Placed::notes).last();
        Together {
            lines: lines(course, placed),
            silence: course.length() - sounding,
            length: course.length(),
            longest_rest: longest_rest(course, placed),
            lead_in: first.map_or(course.length(), |(at, _)| at.max(Ticks::ZERO)),
            lead_out: course.length() - last.map_or(Ticks::ZERO, |(at, note)| at + note.length),
            landings: landings(course, placed),
            steps: check::steps(placed),
            arc: arc(course, placed),
            ends_home: last.is_some_and(|(_, note)| is_home(course, note.pitch)),
        }
    }
}

impl Together {
    /// The longest silence between two placements, before the first or after the last; rests inside a riff aside.
    pub fn longest_rest_between(&self) -> Ticks {
        let gaps = self.steps.iter().map(|step| step.gap);
        gaps.chain([self.lead_in, self.lead_out]).max().unwrap_or(self.length)
    }
}

/// Whether `pitch` sounds as the home note.
pub(super) fn is_home(course: &Course, pitch: Pitch) -> bool {
    pitch.name.pitch_class() == course.form().key().tonic().pitch_class()
}

/// The bar in which a placed riff is begun: the one it leads to where it is a pickup. `own_start` is where the riff in
/// the notebook begins.
pub fn begun_in(course: &Course, at: Ticks, own_start: Ticks) -> usize {
    let pickup = if own_start < Ticks::ZERO { own_start } else { Ticks::ZERO };
    course.bar_at(at - pickup).0
}

fn lines(course: &Course, placed: &[Placed]) -> Vec<Line> {
    let mut lines = Vec::new();
    for chorus in 0..course.choruses() {
        let mut statement: Option<&Placed> = None;
        for line in 0..course.lines() {
            let opener = placed
                .iter()
                .find(|one| course.line_of(begun_in(course, one.at(), one.own_start)) == (chorus, line));
            lines.push(match (opener, statement) {
                (None, _) => Line::Silent,
                (Some(opener), None) => {
                    statement = Some(opener);
                    Line::Statement {
                        riff: opener.placement.riff,
                        varied: !opener.placement.changes.is_empty(),
                    }
                }
                (Some(opener), Some(first)) if opener.placement.riff == first.placement.riff => {
                    let varied = opener.placement.changes != first.placement.changes;
                    Line::Repeat { riff: opener.placement.riff, varied }
                }
                (Some(opener), Some(_)) => {
                    Line::Answer { riff: opener.placement.riff, varied: !opener.placement.changes.is_empty() }
                }
            });
        }
    }
    lines
}

fn longest_rest(course: &Course, placed: &[Placed]) -> Ticks {
    let mut silent_from = Ticks::ZERO;
    let mut longest = Ticks::ZERO;
    for (at, note) in placed.iter().flat_map(Placed::notes) {
        longest = longest.max(at - silent_from);
        silent_from = at + note.length;
    }
    longest.max(course.length() - silent_from)
}

fn landings(course: &Course, placed: &[Placed]) -> Vec<Landing> {
    let tones = Tones::of(course);
    let landing = |bar: usize| {
        let line = course.bar_start(bar);
        let notes = placed.iter().flat_map(Placed::notes);
        let pitch = notes.into_iter().find(|(at, note)| *at <= line && line < *at + note.length);
        let pitch = pitch.map(|(_, note)| note.pitch);
        let on = pitch.map_or(Landed::Silence, |pitch| landed(&tones, line, pitch));
        Landing { bar, pitch, on }
    };
    course.landings().into_iter().map(landing).collect()
}

/// What `pitch` is when it sounds at the bar line `line`.
pub(crate) fn landed(tones: &Tones, line: Ticks, pitch: Pitch) -> Landed {
    let tone = tones.at(line, pitch);
    match (tone.role, tone.guide) {
        (Role::InChord, true) => Landed::Guide,
        (Role::InChord, false) => Landed::InChord,
        _ => Landed::Elsewhere,
    }
}

fn arc(course: &Course, placed: &[Placed]) -> Vec<Arc> {
    let mut heights = vec![0; course.bars()];
    let mut arc = vec![Arc { height: None, notes: 0, accents: 0 }; course.bars()];
    for (at, note) in placed.iter().flat_map(Placed::notes) {
        let (bar, _) = course.bar_at(at);
        heights[bar] += note.pitch.semitones();
        arc[bar].notes += 1;
        arc[bar].accents += usize::from(note.accent);
        arc[bar].height = Some(f64::from(heights[bar]) / arc[bar].notes as f64);
    }
    arc
}
