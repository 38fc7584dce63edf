//! What was practised, on the desk: each time through is kept as it ends, and a riff is taken up in any key.

use std::rc::Rc;

use crate::chorus::placement;
use crate::desk::{Desk, Refusal};
use crate::notebook::past::known::{Standing, standing};
use crate::notebook::past::plan::{home_key, way};
use crate::notebook::past::{KeptPass, Past, Unreadable};
use crate::practice::review::Day;
use crate::practice::run::PassEnded;
use crate::practice::settings::Sight;
use crate::riff::{Riff, RiffId};
use crate::theory::interval::Interval;
use crate::theory::key::Key;

/// A riff that is practised in another key than it stands in; the notes in the notebook stay as they are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Moved {
    /// Which riff.
    pub riff: RiffId,
    /// Where to.
    pub key: Key,
    /// Half steps up, −6 to 6, never 0.
    pub half_steps: i8,
    /// The same as an interval.
    pub by: Interval,
}

impl Desk {
    /// What was practised.
    pub fn past(&self) -> &Past {
        &self.past
    }

    /// The day it is, as the page said.
    pub fn today(&self) -> Day {
        self.today
    }

    /// Takes the day it is.
    pub fn set_today(&mut self, today: Day) {
        self.today = today;
    }

    /// Takes in a record of what was practised, from storage or from another tab.
    pub fn read_past(&mut self, text: &str) -> Result<(), Unreadable> {
        self.past.read(text)
    }

    /// Keeps a time through that was played to its end; `stamp` tells this page from others that are open. Gives the riff
    /// whose past changed.
    pub fn remember(&mut self, ended: &PassEnded, stamp: u32) -> Option<RiffId> {
        if !ended.complete || self.document.notebook.riff(ended.riff).is_none() {
            return None;
        }
        let figures = ended.pass.figures;
        let in_ms = |seconds: f64| (seconds * 1000.0).round() as i32;
        let pass = KeptPass {
            order: 0,
            stamp,
            day: self.today,
            key: self.tune().key,
            moved: self.moved().filter(|moved| moved.riff == ended.riff).map_or(0, |moved| moved.half_steps),
            tempo: ended.tempo,
            went: ended.went,
            help: ended.help,
            over: ended.over,
            rhythm_alone: ended.rhythm_alone,
            asked: ended.goals.len() as u32,
            right: figures.right as u32,
            extra: figures.extra as u32,
            bias_ms: ended.delay.and(ended.pass.bias).map(|bias| in_ms(bias.0)),
            spread_ms: ended.pass.steadiness.map(|spread| in_ms(spread.0)),
        };
        self.past.keep(ended.riff, pass);
        Some(ended.riff)
    }

    /// The riff on the desk is practised in another key than it stands in: until another riff or another key is chosen.
    pub fn moved(&self) -> Option<Moved> {
        let here = |moved: &Moved| moved.riff == self.riff().id && moved.key == self.tune().key;
        self.practice.moved.filter(here)
    }

    /// The riff on the desk as it is to be practised.
    pub fn to_practise(&self) -> Rc<Riff> {
        let moved = self.moved().and_then(|moved| placement::transposed(self.riff(), moved.by));
        moved.map_or_else(|| Rc::clone(self.riff()), Rc::new)
    }

    /// Takes up a riff in a key: the tune goes there, and the riff is asked for as many half steps away from where it
    /// stands. What is known, or is moved, is asked for without its notes in sight.
    pub(super) fn practise_in(&mut self, id: &str, key: &str) -> Result<(), Refusal> {
        let id = self.existing(id)?;
        let key: Key = key.parse().map_err(Refusal::Key)?;
        let passes = self.past.of(id);
        let written = self.document.notebook.key(id);
        let (half_steps, by) = way(home_key(written, passes, self.tune().key), key);
        let by_heart = standing(passes) == Standing::Known || half_steps != 0;
        self.put_down(id);
        self.document.tune = Rc::new(self.tune().in_key(key));
        self.practice.moved = (half_steps != 0).then_some(Moved { riff: id, key, half_steps, by });
        self.practice.hide_notes(by_heart);
        Ok(())
    }
}

impl crate::desk::practice::Practice {
    fn hide_notes(&mut self, by_heart: bool) {
        if by_heart && self.settings.sight == Sight::All {
            self.settings.sight = Sight::Chords;
        }
    }
}
