//! Varying the riff on the desk: the new one lies beside the first until it is kept or put away. Nothing is written
//! into the notebook before that.

use std::rc::Rc;

use crate::desk::{Desk, Done, Refusal};
use crate::insight::roles;
use crate::riff::variation::{Error, Ground, How, Variation, best, variations};
use crate::riff::{Riff, edit};
use crate::rooms::{Room, door};
use crate::theory::pitch::{NoteName, Pitch};
use crate::units::MidiNote;

/// A variation of the chosen riff, not kept yet.
#[derive(Clone, Debug, PartialEq)]
pub struct Varied {
    /// The way it was made.
    pub how: How,
    /// Which try: 0 is the plainest.
    pub seed: u32,
    /// The bar, index from 0, whose chords it was made over.
    pub bar: usize,
    /// How many different riffs this way gives here; after the last try the first comes again.
    pub tries: usize,
    /// Which of the two lies on the desk.
    pub side: Side,
    /// The new riff.
    pub riff: Rc<Riff>,
    /// What was changed, and the new riff once more.
    pub variation: Rc<Variation>,
}

/// Which of two riffs is looked at and heard.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The riff as it was.
    First,
    /// The variation.
    New,
}

impl Desk {
    /// The variation that is being tried, if there is one.
    pub fn varied(&self) -> Option<&Varied> {
        self.session.varied.as_ref()
    }

    /// The chosen riff as the notebook has it, whatever is being tried.
    pub fn original(&self) -> &Rc<Riff> {
        self.document.notebook.riff(self.session.chosen).expect("the chosen riff is in the notebook")
    }

    pub(super) fn vary(&mut self, how: &str, seed: u32) -> Result<Done, Refusal> {
        let how = How::named(how).ok_or_else(|| Refusal::unknown(how))?;
        let varied =
            variation(self, how, seed, self.session.bar, Side::New).ok_or(Refusal::NotHere(Room::Vary))?;
        let varied = varied.map_err(Refusal::Vary)?;
        self.session.varied = Some(varied);
        self.session.selected = None;
        self.go_to_end();
        Ok(Done::Quietly)
    }

    pub(super) fn show_varied(&mut self, side: Side) -> Result<Done, Refusal> {
        self.session.varied.as_mut().ok_or(Refusal::NothingVaried)?.side = side;
        self.session.selected = None;
        Ok(Done::Quietly)
    }

    /// Puts the variation away, where there is one.
    pub(super) fn drop_varied(&mut self) -> Result<Done, Refusal> {
        if self.session.varied.take().is_some() {
            self.session.selected = None;
        }
        Ok(Done::Quietly)
    }

    /// Puts the variation into the notebook as a riff of its own, and on the desk.
    pub(super) fn keep_varied(&mut self, id: &str, name: &str) -> Result<Done, Refusal> {
        let id = self.fresh(id)?;
        let varied = self.session.varied.as_ref().ok_or(Refusal::NothingVaried)?;
        let mut riff = edit::rename(&varied.riff, name);
        riff.id = id;
        let name = riff.name.clone();
        self.put_in(self.document.notebook.key(self.session.chosen), riff)?;
        self.put_down(id);
        Ok(Done::Kept { name })
    }

    /// Makes the variation anew over a tune that has changed; one that is not to be had any more is put away.
    pub(super) fn vary_again(&mut self) {
        let Some(Varied { how, seed, bar, side, .. }) = self.session.varied else { return };
        let bar = bar.min(self.changes().bars().len() - 1);
        self.session.varied = variation(self, how, seed, bar, side).and_then(Result::ok);
    }

    /// What a variation keeps to: the notes in use, the instrument's range, the longest riff that there can be.
    fn ground(&self, bar: usize) -> Ground {
        let (riff, tune, changes) = (self.original(), self.tune(), self.changes());
        let used = tune.material.notes(tune.key, &changes.bars()[bar].chords[0].chord);
        let rubs = roles::over(&changes, riff, bar).into_iter().filter(|insight| insight.rubs.is_some());
        let rubbing = rubs.map(|insight| insight.note).collect();
        let any = Ground::of(riff, (*changes).clone());
        let (low, high) = tune.instrument.sounding_range();
        let bound = |pitch: Pitch, else_: MidiNote| pitch.midi().unwrap_or(else_);
        Ground {
            bar,
            lowest: bound(low, any.lowest),
            highest: bound(high, any.highest),
            // A riff that goes beyond the notes in use is varied in the scale that it is in.
            notes: if keeps_to(riff, &used) { used } else { any.notes.clone() },
            rubbing,
            ..any
        }
    }
}

door!(Vary, vary: fn variation(
    desk: &Desk,
    how: How,
    seed: u32,
    bar: usize,
    side: Side
) -> Result<Varied, Error> {
    let mut all = variations(how, desk.original(), &desk.ground(bar))?;
    let tries = all.len();
    let variation = all.swap_remove(seed as usize % tries);
    let riff = Rc::new(variation.riff.clone());
    Ok(Varied { how, seed, bar, tries, side, riff, variation: Rc::new(variation) })
});

door!(Vary, vary:
    /// The names of the ways that suit the riff on the desk best where it stands, the best first; `None` while the room is
    /// not open.
    pub fn best_ways(desk: &Desk) -> Vec<&'static str> {
        let ways = best::best(desk.original(), &desk.ground(desk.session.bar));
        ways.into_iter().take(best::FIRST).map(How::name).collect()
    }
);

fn keeps_to(riff: &Riff, used: &[NoteName]) -> bool {
    let is_used = |pitch: Pitch| used.iter().any(|name| name.pitch_class() == pitch.name.pitch_class());
    riff.notes().iter().all(|note| is_used(note.pitch))
}
