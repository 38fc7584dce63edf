//! Drills on the desk: what one is made of, and what is done while it goes on.

use std::rc::Rc;

use crate::chorus::placement;
use crate::desk::practice::Doing;
use crate::desk::{Desk, Refusal};
use crate::notebook::demo;
use crate::notebook::past::known::review;
use crate::notebook::past::plan::way;
use crate::perform::{Anchor, Part, Parts, Score};
use crate::practice::drill::{Drill, Kind, Setup, Sound};
use crate::practice::subject::Subject;
use crate::riff::{Riff, RiffId, edit};
use crate::units::{AudioTime, MidiNote, Ticks};

impl Desk {
    /// What the chosen drill is made of; `seed` chooses among riffs and bars. Refused where no drill is chosen.
    pub fn drill_setup(&self, seed: u64) -> Result<Setup, Refusal> {
        let settings = *self.practice.settings();
        let kind = settings.drill.ok_or(Refusal::NoNote)?;
        let changes = self.changes();
        let bars = changes.bars().len();
        let parts = if settings.band { self.tune().parts } else { Parts::default() };
        let parts = parts.without(Part::Click).without(Part::Solo);
        let parts = if settings.click.is_some() { parts.with(Part::Click) } else { parts };
        let tune = self.tune();
        let mut band = Score::new(changes, None, tune.swing_at(tune.tempo), parts);
        band.arrangement = tune.arrangement();
        band.touch = tune.band.touch(tune.tempo);
        band.arrangement.click = settings.click.unwrap_or_default();
        band.count_in = 1;
        // An echo stays on the first line, where the chord changes least.
        if kind == Kind::Echo && bars > 4 {
            band.looped = 0..4;
        }
        band.anchor = Anchor { bar: Drill::first_bar(kind, seed, bars), ..Anchor::default() };
        Ok(Setup { kind, band, tempo: self.tune().tempo, pool: self.pool(kind), seed })
    }

    /// The riffs that a drill draws from: for cues those that are due or begun, if there are such; where the notebook is
    /// empty the demo riffs.
    fn pool(&self, kind: Kind) -> Vec<Rc<Riff>> {
        let entries = self.document.notebook.entries();
        let playable = || entries.iter().map(|entry| &entry.riff).filter(|riff| !riff.notes().is_empty());
        let is_due = |id: RiffId| {
            review(self.past.of(Subject::Riff(id))).is_some_and(|review| review.is_due(self.today))
        };
        let due: Vec<&Rc<Riff>> = playable().filter(|riff| is_due(riff.id)).collect();
        let chosen = if kind == Kind::Cues && !due.is_empty() { due } else { playable().collect() };
        let mut pool: Vec<Rc<Riff>> = chosen.into_iter().map(after_bar_line).collect();
        if pool.is_empty() {
            let (_, by) = way(demo::key(), self.tune().key);
            let demos = [demo::salt_wind(), demo::porch_light()];
            pool.extend(demos.iter().filter_map(|riff| placement::transposed(riff, by)).map(Rc::new));
        }
        pool
    }

    /// Begins a drill whose first bar line is heard at `begin`. What the player says in turns of their own is kept as what is
    /// played freely.
    pub fn drill_begin(&mut self, setup: Setup, begin: AudioTime) {
        if matches!(setup.kind, Kind::Twos | Kind::Fours | Kind::Answer) {
            let form = self.changes().length();
            self.free.begin(form);
        }
        self.practice.doing =
            Drill::begun(setup, begin).map_or(Doing::Nothing, |drill| Doing::Drill(Box::new(drill)));
    }

    /// Goes on with a drill: gives what the page is to play from now on, each note once.
    pub fn drill_tick(&mut self, now: AudioTime) -> Vec<Sound> {
        let delay = self.practice.delay();
        let Doing::Drill(drill) = &mut self.practice.doing else { return Vec::new() };
        drill.tick(now, delay)
    }

    /// A key was let go, at this moment.
    pub fn drill_up(&mut self, at: AudioTime, midi: MidiNote) {
        let Doing::Drill(drill) = &self.practice.doing else { return };
        if let Some(at) = drill.on_form(at, self.practice.delay()) {
            self.free_up(at, midi);
        }
    }

    /// Takes the bar (index from 0) that the player believes the band to be in.
    pub fn guess(&mut self, bar: usize, at: AudioTime) {
        let delay = self.practice.delay();
        if let Doing::Drill(drill) = &mut self.practice.doing {
            drill.guess(bar, at, delay);
        }
    }
}

/// A riff begun on its bar line where it had a pickup: a turn has nothing before it.
fn after_bar_line(riff: &Rc<Riff>) -> Rc<Riff> {
    let begins = edit::begin_at(riff, riff.start.max(Ticks::ZERO));
    begins.map_or_else(|_| Rc::clone(riff), Rc::new)
}
