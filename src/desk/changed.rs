//! What changed since a moment before: what has to be kept, and whether what sounds has to be planned anew.

use std::rc::Rc;

use crate::chorus::kept::{Chorus, ChorusId};
use crate::desk::{Desk, Document};
use crate::practice::settings::Settings;
use crate::riff::{Riff, RiffId};

/// The desk as it was, as far as anything depends on it.
#[derive(Clone, Debug)]
pub struct Before {
    document: Document,
    chosen: (RiffId, Option<ChorusId>),
    looped: [Option<(usize, usize)>; 2],
    riff: Rc<Riff>,
    chorus: Rc<Chorus>,
    practice: Settings,
}

/// What changed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Changed {
    /// Riffs that are new or other than they were.
    pub riffs: Vec<RiffId>,
    /// Choruses that are new or other than they were.
    pub choruses: Vec<ChorusId>,
    /// Riffs that went.
    pub riffs_gone: Vec<RiffId>,
    /// Choruses that went.
    pub choruses_gone: Vec<ChorusId>,
    /// Whether the tune's record changed: the tune, what lies on the desk, or how is practised.
    pub tune: bool,
    /// Whether what sounds may sound otherwise.
    pub sounds: bool,
    /// Whether the band is another, or mixed otherwise.
    pub band: bool,
    /// Whether a practice run that goes on has to begin anew; not for what only changes what is shown of it.
    pub run: bool,
}

impl Changed {
    /// Whether all records stay as they are.
    pub fn leaves_records(&self) -> bool {
        let none = self.riffs.is_empty() && self.choruses.is_empty();
        none && self.riffs_gone.is_empty() && self.choruses_gone.is_empty() && !self.tune
    }
}

impl Desk {
    /// The desk as it is now, to be held against what it will be.
    pub fn before(&self) -> Before {
        Before {
            document: self.document().clone(),
            chosen: (self.session().chosen, self.weaving().chosen),
            looped: [self.session().looped, self.weaving().looped],
            riff: Rc::clone(self.riff()),
            chorus: Rc::clone(self.chorus()),
            practice: *self.practice().settings(),
        }
    }

    /// What changed since.
    pub fn changed_since(&self, before: &Before) -> Changed {
        let (now, then) = (self.document(), &before.document);
        let riffs = now.notebook.since(&then.notebook);
        let choruses = now.choruses.since(&then.choruses);
        let practice = *self.practice().settings();
        let chosen = (self.session().chosen, self.weaving().chosen) != before.chosen;
        let looped = [self.session().looped, self.weaving().looped] != before.looped;
        let sounds = now.notebook != then.notebook
            || now.choruses != then.choruses
            || !now.tune.plays_like(&then.tune)
            || looped
            || *self.riff() != before.riff
            || *self.chorus() != before.chorus;
        Changed {
            sounds,
            band: now.tune.band != then.tune.band,
            tune: now.tune != then.tune || chosen || practice != before.practice,
            run: sounds || !practice.runs_like(&before.practice),
            riffs: riffs.changed,
            riffs_gone: riffs.gone,
            choruses: choruses.changed,
            choruses_gone: choruses.gone,
        }
    }
}
