//! A chorus as a source of solo notes: riffs where they stand in the form, instead of one that comes again.

use crate::chorus::course::Course;
use crate::chorus::kept::Over;
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
                self.riff_events(&one.riff, begins + at, bar, events, from - one.at..from + cycle - one.at);
            }
        }
    }

    /// When the first pickup into the loop begins, if there is one.
    pub(super) fn placed_pickup(&self) -> Option<ScoreTime> {
        let line = self.line.as_ref().filter(|_| self.parts.has(Part::Solo))?;
        let from = self.changes.bar_start(self.loop_range().start);
        let first = self.bar_at(ScoreTime::ZERO).place == 0;
        let pickups = line.riffs.iter().filter(|one| first && one.leads_to == from);
        let begins = pickups.filter_map(|one| {
            let note = one.riff.notes().first()?;
            Some(ScoreTime::ZERO + (one.at - from) + note.onset)
        });
        begins.min()
    }
}
