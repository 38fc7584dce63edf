//! A chorus as a source of solo notes: riffs where they stand in the form, instead of one that comes again.

use std::borrow::Cow;
use std::ops::Range;

use crate::chorus::course::Course;
use crate::chorus::kept::{LaidOut, silent_from};
use crate::chorus::placement::Placed;
use crate::perform::{Asked, BarOnLine, Event, Part, Parts, Score, Solo};
use crate::rhythm::feel::SwingRatio;
use crate::riff::Riff;
use crate::units::{ScoreTime, Ticks};

/// Riffs where they stand, from the first bar line of the form.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SoloLine {
    riffs: Vec<OnLine>,
}

/// A riff as it sounds where it stands.
#[derive(Clone, Debug, PartialEq)]
struct OnLine {
    riff: Riff,
    /// The spot of the chorus that it has.
    spot: usize,
    at: Ticks,
    /// The number of its first note among the notes of the different riffs in the line.
    first_note: usize,
    /// The bar line to which it leads or belongs.
    leads_to: Ticks,
}

/// A riff of the line as it sounds in one time through the loop.
#[derive(Clone)]
struct Stretch<'a> {
    /// What sounds: shorter where the next time round takes over from it.
    riff: Cow<'a, Riff>,
    spot: usize,
    first_note: usize,
    /// Where it begins on the time line.
    begin: ScoreTime,
    /// Which of its onsets count.
    within: Range<Ticks>,
}

impl SoloLine {
    /// What is heard of a chorus; `spots` has the spot of each riff.
    pub fn of(course: &Course, heard: &[Placed], spots: &[usize]) -> SoloLine {
        let mut riffs: Vec<OnLine> = Vec::with_capacity(heard.len());
        let mut notes = 0;
        for (placed, spot) in heard.iter().zip(spots.iter().copied()) {
            let leads_to = placed.at() - placed.own_start.min(Ticks::ZERO);
            let (bar, into) = course.bar_at(leads_to);
            let before = riffs.iter().find(|one| one.riff == placed.riff).map(|one| one.first_note);
            let first_note = before.unwrap_or(notes);
            notes += if before.is_none() { placed.riff.notes().len() } else { 0 };
            let (riff, leads_to) = (placed.riff.clone(), course.bar_start(bar) + into);
            riffs.push(OnLine { riff, spot, at: placed.at(), first_note, leads_to });
        }
        SoloLine { riffs }
    }

    /// How long before the bar line at `from` the first note of each pickup to it comes: below zero.
    fn pickups(&self, from: Ticks) -> impl Iterator<Item = Ticks> {
        let leads = self.riffs.iter().filter(move |one| one.leads_to == from && one.at < from);
        leads
            .filter_map(move |one| Some(one.at - from + one.riff.notes().first()?.onset))
            .filter(|at| *at < Ticks::ZERO)
    }

    /// All that is played in it, in no order.
    pub(super) fn riffs(&self) -> impl Iterator<Item = &Riff> {
        self.riffs.iter().map(|one| &one.riff)
    }

    /// Whether nothing sounds in it.
    pub fn is_empty(&self) -> bool {
        self.riffs.iter().all(|one| one.riff.notes().is_empty())
    }
}

impl Score {
    /// A chorus with the band, over the form as often as the chorus is long. Its last time ends on the home chord.
    pub fn of_chorus(over: &LaidOut, swing: SwingRatio, parts: Parts) -> Score {
        let line = SoloLine::of(&over.course, &over.heard, &over.spots);
        let mut score = Score::new(over.course.whole().into(), Solo::Placed(line.into()), swing, parts);
        score.forms = over.course.choruses();
        score
    }

    /// The chorus's notes that are written in `bar`: those of the looped bars, and a pickup to the first of them at the
    /// end of the time before or in the count-in.
    pub(super) fn placed(&self, line: &SoloLine, bar: &BarOnLine, events: &mut Vec<Event>) {
        for Stretch { riff, spot, begin, within, .. } in self.placed_in(line, bar) {
            self.riff_events(&riff, (begin, spot), bar, events, within);
        }
    }

    /// The chorus's notes that are asked for in `bar`; riffs that are alike count their notes by the same numbers.
    pub(super) fn asked_of_line(&self, line: &SoloLine, bar: &BarOnLine) -> Vec<Asked> {
        let mut asked = Vec::new();
        for Stretch { riff, first_note, begin, within, .. } in self.placed_in(line, bar) {
            let notes = riff.notes().iter().enumerate().filter(|(_, note)| within.contains(&note.onset));
            for (index, note) in notes {
                let here = self.asked_in(&riff, index, bar, begin + note.onset);
                asked.extend(here.map(|asked| Asked { note: first_note + index, ..asked }));
            }
        }
        asked
    }

    /// What of the line may sound in `bar`.
    fn placed_in<'a>(&self, line: &'a SoloLine, bar: &BarOnLine) -> Vec<Stretch<'a>> {
        let (begins, cycle) = (self.cycle_begins(bar), self.cycle_length());
        let from = self.changes.bar_start(self.loop_range().start);
        // When the loop comes again, the pickup into it takes over from what still sounds.
        let comes_again = self.end().is_none_or(|end| begins + cycle < end);
        let taken_over = line.pickups(from).map(|at| from + cycle + at).min().filter(|_| comes_again);
        let mut placed = Vec::new();
        for one in &line.riffs {
            let at = one.at - from;
            let own = Stretch {
                riff: Cow::Borrowed(&one.riff),
                spot: one.spot,
                first_note: one.first_note,
                begin: begins,
                within: Ticks::ZERO..Ticks::ZERO,
            };
            let is_pickup = one.leads_to == from && at < Ticks::ZERO;
            let wraps =
                |begin: ScoreTime| begin >= ScoreTime::ZERO && self.end().is_none_or(|end| begin < end);
            for time in [0, 1] {
                let begin = begins + cycle * time;
                if is_pickup && wraps(begin) {
                    let within = Ticks(i64::MIN)..from - one.at;
                    placed.push(Stretch { begin: begin + at, within, ..own.clone() });
                }
            }
            if bar.index.is_some() && bar.at >= ScoreTime::ZERO {
                let until = taken_over.map_or(from + cycle, |until| until) - one.at;
                let cut = taken_over.filter(|_| one.riff.length() > until);
                let riff =
                    cut.map_or(Cow::Borrowed(&one.riff), |_| Cow::Owned(silent_from(&one.riff, until)));
                placed.push(Stretch { riff, begin: begins + at, within: from - one.at..until, ..own });
            }
        }
        placed
    }

    /// When the first pickup into the loop begins, if there is one.
    pub(super) fn placed_pickup(&self) -> Option<ScoreTime> {
        let line = self.solo.line().filter(|_| self.parts.has(Part::Solo))?;
        let from = self.changes.bar_start(self.loop_range().start);
        let first = self.bar_at(ScoreTime::ZERO).place == 0;
        line.pickups(from).map(|at| ScoreTime::ZERO + at).min().filter(|_| first)
    }
}
