//! What is played of what the desk holds: the page's player and the files of sound ask here.

use std::rc::Rc;

use crate::desk::Desk;
use crate::desk::command::Command;
use crate::form::Changes;
use crate::notebook::tune::Tune;
use crate::perform::{Part, Parts, Score, track};
use crate::riff::{Riff, edit};
use crate::rooms::door;

/// What is played.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// The riff over the form, with the band.
    Form,
    /// The form with the band, without the riff.
    Band,
    /// The riff once, alone.
    Riff,
    /// The chorus over the form, with the band.
    Chorus,
    /// The chosen placement of the chorus once, alone; the chorus where none is chosen.
    Placement,
}

/// Who is heard in a file of sound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Who {
    /// Those who play on the page.
    AsSet,
    /// Those who play on the page and the soloist, who may be silent there.
    WithSolo,
    /// The soloist alone.
    SoloAlone,
    /// The band alone.
    BandAlone,
}

door!(Chorus, chorus: fn woven(desk: &Desk, what: What) -> Score {
    let placement = (what == What::Placement).then(|| desk.placement_score()).flatten();
    placement.unwrap_or_else(|| desk.chorus_score())
});

impl Desk {
    /// What a file of sound holds: `times` through what is played (brought to 1 up to the most that a file may hold),
    /// after `count_in` bars. The riff alone comes once. Beside it the most times that a file may hold.
    pub fn recording(&self, what: What, who: Who, times: u32, count_in: u8) -> (Score, u32) {
        let mut score = self.score(what);
        score.count_in = count_in;
        match who {
            Who::AsSet => {}
            Who::WithSolo => score.parts = score.parts.with(Part::Solo),
            Who::BandAlone => score.parts = score.parts.without(Part::Solo),
            Who::SoloAlone => (score.parts, score.intro) = (Parts::of(&[Part::Solo]), 0),
        }
        let most = track::most_times(&score, self.tune().tempo);
        if !matches!(what, What::Riff | What::Placement) {
            score.times = Some(times.clamp(1, most));
        }
        (score, most)
    }

    /// The bars that are looped of what is played (indices from 0, the second not included), or all of them. The riff and
    /// the chorus have loops of their own.
    pub fn looped(&self, what: What) -> Option<(usize, usize)> {
        match what {
            What::Chorus | What::Placement => self.weaving().looped,
            What::Form | What::Band | What::Riff => self.session().looped,
        }
    }

    /// The command that loops these bars of what is played, as [`Desk::looped`] gives them.
    pub fn loop_command(what: What, bars: (usize, usize)) -> Command {
        match what {
            What::Chorus | What::Placement => Command::LoopChorus { bars: Some(bars) },
            What::Form | What::Band | What::Riff => Command::SetLoop { bars: Some(bars) },
        }
    }

    /// What the desk holds, as a score; without end where a form is played.
    pub fn score(&self, what: What) -> Score {
        let tune = self.tune();
        let session = self.session();
        let changes = self.changes();
        let riff = Some(Rc::clone(self.riff())).filter(|riff| !riff.notes().is_empty());
        match what {
            What::Form | What::Band => {
                let riff = riff.filter(|_| what == What::Form);
                let mut score = Score::new(changes, riff, tune.swing, tune.parts);
                if let Some((from, to)) = session.looped {
                    score.looped = from..to;
                }
                self.with_band(score)
            }
            What::Riff => self.by_itself(changes, Rc::clone(self.riff()), session.bar),
            What::Chorus | What::Placement => woven(self, what).unwrap_or_else(|| self.score(What::Band)),
        }
    }

    /// A score of the whole form as the band plays it.
    pub(super) fn with_band(&self, score: Score) -> Score {
        Desk::with_band_of(self.tune(), score)
    }

    /// A score of the whole form as the band of this tune plays it.
    pub(super) fn with_band_of(tune: &Tune, mut score: Score) -> Score {
        score.count_in = 1;
        (score.intro, score.pickup) = (tune.band.intro, tune.band.pickup);
        score.times = tune.band.times.map(u32::from);
        score.arrangement = tune.arrangement();
        score.touch = tune.band.touch(tune.tempo);
        score.swing = tune.swing_at(tune.tempo);
        score
    }

    /// A riff alone, begun in bar `bar` of the form, as it is with the band.
    pub(super) fn by_itself(&self, changes: Rc<Changes>, riff: Rc<Riff>, bar: usize) -> Score {
        let tune = self.tune();
        let mut score = Score::alone(changes, riff, tune.swing_at(tune.tempo), bar);
        score.touch.phrasing = tune.band.phrasing(tune.tempo);
        score
    }

    fn chorus_score(&self) -> Score {
        let mut score = Score::of_chorus(&self.over(), self.tune().swing, self.tune().parts);
        if let Some((from, to)) = self.weaving().looped {
            score.looped = from..to;
        }
        self.with_band(score)
    }

    fn placement_score(&self) -> Option<Score> {
        let (over, chosen) = (self.over(), self.weaving().selected?);
        let placed = &over.placed[over.spots.iter().position(|spot| *spot == chosen)?];
        let (bar, into_bar) = over.course.bar_at(placed.at());
        let riff = edit::begin_at(&placed.riff, into_bar).ok()?;
        Some(self.by_itself(over.course.whole().into(), riff.into(), bar))
    }
}
