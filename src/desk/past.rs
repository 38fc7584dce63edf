//! What was practised, on the desk: each time through is kept as it ends, and a riff or a chorus is taken up in any key.

use std::rc::Rc;

use crate::band::settings::named;
use crate::chorus::kept::LaidOut;
use crate::chorus::placement;
use crate::desk::{Desk, Refusal};
use crate::files::record::Unreadable;
use crate::notebook::past::known::{Standing, standing};
use crate::notebook::past::plan::{How, home_key, way};
use crate::notebook::past::{KeptPass, Past};
use crate::practice::review::Day;
use crate::practice::run::PassEnded;
use crate::practice::settings::Sight;
use crate::practice::subject::Subject;
use crate::riff::Riff;
use crate::rooms::{Room, door};
use crate::theory::interval::Interval;
use crate::theory::key::Key;

/// A riff or a chorus that is practised in another key than it stands in; the notes in the notebook stay as they are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Transposed {
    /// Which.
    pub of: Subject,
    /// Where it stands.
    pub from: Key,
    /// Where to.
    pub key: Key,
    /// Half steps up, −6 to 6, never 0.
    pub half_steps: i8,
    /// The same as an interval.
    pub by: Interval,
}

door!(Practice, practice: fn taken_up_in(desk: &mut Desk, id: &str, key: &str, how: &str) -> Result<(), Refusal> {
    desk.take_up_in(id, key, how)
});

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

    /// Keeps a time through that was played to its end; `stamp` tells this page from others that are open. Gives
    /// whose past changed.
    pub fn remember(&mut self, ended: &PassEnded, stamp: u32) -> Option<Subject> {
        if !ended.complete || !self.has(ended.of) {
            return None;
        }
        let figures = ended.pass.figures;
        let in_ms = |seconds: f64| (seconds * 1000.0).round() as i32;
        let pass = KeptPass {
            order: 0,
            stamp,
            day: self.today,
            key: self.tune().key,
            moved: self.moved().filter(|moved| moved.of == ended.of).map_or(0, |moved| moved.half_steps),
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
        self.past.keep(ended.of, pass);
        Some(ended.of)
    }

    /// What is practised is asked for in another key than it stands in: until something else or another key is chosen.
    pub fn moved(&self) -> Option<Transposed> {
        let here = |moved: &Transposed| moved.of == self.subject() && moved.key == self.tune().key;
        self.practice.moved.filter(here)
    }

    /// The riff on the desk as it is to be practised.
    pub fn to_practise(&self) -> Rc<Riff> {
        let moved = self.moved().filter(|moved| moved.of == Subject::Riff(self.riff().id));
        let moved = moved.and_then(|moved| placement::transposed(self.riff(), moved.by));
        moved.map_or_else(|| Rc::clone(self.riff()), Rc::new)
    }

    /// The chorus that is worked on as it is to be practised.
    pub fn chorus_to_practise(&self) -> LaidOut {
        let chorus = self.chosen_chorus();
        let course = chorus.course(&self.changes());
        let moved = self.moved().filter(|moved| moved.of == Subject::Chorus(chorus.id));
        let Some(moved) = moved else { return chorus.over(course) };
        // As it stands in its own key, variations too, and all of it moved from there.
        let mut over = chorus.over(chorus.course(&self.tune().in_key(moved.from).changes()));
        over.course = course;
        for placed in over.heard.iter_mut().chain(&mut over.placed) {
            placed.riff =
                placement::transposed(&placed.riff, moved.by).unwrap_or_else(|| placed.riff.clone());
        }
        over
    }

    /// Whether it is in the notebook.
    pub fn has(&self, of: Subject) -> bool {
        match of {
            Subject::Riff(id) => self.document.notebook.riff(id).is_some(),
            Subject::Chorus(id) => self.document.choruses.chorus(id).is_some(),
        }
    }

    /// Takes up a riff or a chorus in a key: the tune goes there, and it is asked for as many half steps away from where
    /// it stands. What is known, or is moved, is asked for without its notes in sight.
    pub(super) fn practise_in(&mut self, id: &str, key: &str, how: &str) -> Result<(), Refusal> {
        taken_up_in(self, id, key, how).unwrap_or(Err(Refusal::NotHere(Room::Practice)))
    }

    fn take_up_in(&mut self, id: &str, key: &str, how: &str) -> Result<(), Refusal> {
        let of: Subject =
            id.parse().map_err(|_| Refusal::NoSuchRiff { found: id.chars().take(20).collect() })?;
        let key: Key = key.parse().map_err(Refusal::Key)?;
        let unknown = || Refusal::unknown(how);
        let how = match how {
            "" => None,
            name => Some(named(name, &How::NAMES).ok_or_else(unknown)?),
        };
        let passes = self.past.of(of);
        let written = match of {
            Subject::Riff(id) => self.document.notebook.key(id),
            Subject::Chorus(_) => None,
        };
        let from = home_key(written, passes, self.tune().key);
        let (half_steps, by) = way(from, key);
        let by_heart = standing(passes) == Standing::Known || half_steps != 0;
        self.take_up(of)?;
        self.document.tune = Rc::new(self.tune().in_key(key));
        self.practice.moved = (half_steps != 0).then_some(Transposed { of, from, key, half_steps, by });
        for (what, value) in how.map(How::sets).into_iter().flatten() {
            self.set_practice(what, value)?;
        }
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
