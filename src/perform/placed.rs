//! A chorus as a source of solo notes: riffs where they stand in the form, instead of one that comes again.

use crate::chorus::course::Course;
use crate::chorus::kept::{Over, silent_from};
use crate::chorus::placement::Placed;
use crate::perform::{BarOnLine, Event, Part, Parts, Score};
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
    at: Ticks,
    /// The bar line to which it leads or belongs.
    leads_to: Ticks,
}

impl SoloLine {
    /// What is heard of a chorus.
    pub fn of(course: &Course, heard: &[Placed]) -> SoloLine {
        let on_line = |placed: &Placed| {
            let leads_to = placed.at() - placed.own_start.min(Ticks::ZERO);
            let (bar, into) = course.bar_at(leads_to);
            OnLine { riff: placed.riff.clone(), at: placed.at(), leads_to: course.bar_start(bar) + into }
        };
        SoloLine { riffs: heard.iter().map(on_line).collect() }
    }

    /// How long before the bar line at `from` the first note of each pickup to it comes: below zero.
    fn pickups(&self, from: Ticks) -> impl Iterator<Item = Ticks> {
        let leads = self.riffs.iter().filter(move |one| one.leads_to == from && one.at < from);
        leads
            .filter_map(move |one| Some(one.at - from + one.riff.notes().first()?.onset))
            .filter(|at| *at < Ticks::ZERO)
    }

    /// Whether nothing stands in it.
    pub fn is_empty(&self) -> bool {
        self.riffs.is_empty()
    }
}

impl Score {
    /// A chorus with the band, over the form as often as the chorus is long. Its last time ends on the home chord.
    pub fn of_chorus(over: &Over, swing: SwingRatio, parts: Parts) -> Score {
        let mut score = Score::new(over.course.whole().into(), None, swing, parts);
        score.forms = over.course.choruses();
        score.line = Some(SoloLine::of(&over.course, &over.heard).into());
        score
    }

    /// The chorus's notes that are written in `bar`: those of the looped bars, and a pickup to the first of them at the
    /// end of the time before or in the count-in.
    pub(super) fn placed(&self, bar: &BarOnLine, events: &mut Vec<Event>) {
        let Some(line) = self.line.as_ref().filter(|_| self.parts.has(Part::Solo)) else { return };
        let (begins, cycle) = (self.cycle_begins(bar), self.cycle_length());
        let from = self.changes.bar_start(self.loop_range().start);
        // When the loop comes again, the pickup into it takes over from what still sounds.
        let comes_again = self.end().is_none_or(|end| begins + cycle < end);
        let taken_over = line.pickups(from).map(|at| from + cycle + at).min().filter(|_| comes_again);
        for one in &line.riffs {
            let at = one.at - from;
            let is_pickup = one.leads_to == from && at < Ticks::ZERO;
            let wraps =
                |begin: ScoreTime| begin >= ScoreTime::ZERO && self.end().is_none_or(|end| begin < end);
            for time in [0, 1] {
                let begin = begins + cycle * time;
                if is_pickup && wraps(begin) {
                    self.riff_events(&one.riff, begin + at, bar, events, Ticks(i64::MIN)..from - one.at);
                }
            }
            if bar.index.is_some() && bar.at >= ScoreTime::ZERO {
                let until = taken_over.map_or(from + cycle, |until| until) - one.at;
                let riff = &one.riff;
                let cut = taken_over.filter(|_| riff.length() > until).map(|_| silent_from(riff, until));
                let riff = cut.as_ref().unwrap_or(riff);
                self.riff_events(riff, begins + at, bar, events, from - one.at..until);
            }
        }
    }

    /// When the first pickup into the loop begins, if there is one.
    pub(super) fn placed_pickup(&self) -> Option<ScoreTime> {
        let line = self.line.as_ref().filter(|_| self.parts.has(Part::Solo))?;
        let from = self.changes.bar_start(self.loop_range().start);
        let first = self.bar_at(ScoreTime::ZERO).place == 0;
        line.pickups(from).map(|at| ScoreTime::ZERO + at).min().filter(|_| first)
    }
}
