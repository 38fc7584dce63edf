//! Suggestions: asked for, looked at, taken.

use std::rc::Rc;

use crate::chorus::check::Range;
use crate::chorus::kept::{Chorus, Spot};
use crate::chorus::placement::Placement;
use crate::chorus::rules::{Adventure, Room};
use crate::chorus::suggest::{Request, Suggestion, suggest};
use crate::desk::{Desk, Done, Refusal};
use crate::riff::{Riff, RiffId};
use crate::theory::pitch::Pitch;
use crate::units::MidiNote;

/// A chorus that was suggested.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Suggested {
    /// The chorus as it would be.
    pub chorus: Rc<Chorus>,
    /// Its points by the table of rules.
    pub score: i32,
}

/// How many riffs are chosen where nobody has: few ideas are easier to follow.
const RIFFS_AT_FIRST: usize = 4;

impl Desk {
    pub(in crate::desk) fn set_adventure(&mut self, name: &str) -> Result<Done, Refusal> {
        self.weaving.taste.adventure = Adventure::named(name).ok_or_else(|| Refusal::unknown(name))?;
        Ok(Done::Quietly)
    }

    pub(in crate::desk) fn set_room(&mut self, name: &str) -> Result<Done, Refusal> {
        self.weaving.taste.room = Room::named(name).ok_or_else(|| Refusal::unknown(name))?;
        Ok(Done::Quietly)
    }

    pub(in crate::desk) fn ask_for_chorus(&mut self, on: bool) -> Result<Done, Refusal> {
        self.weaving.asking = on;
        self.weaving.shown = None;
        Ok(Done::Quietly)
    }

    pub(in crate::desk) fn show_suggestion(&mut self, index: Option<usize>) -> Result<Done, Refusal> {
        self.weaving.shown = index.filter(|index| *index < self.weaving.suggested.len());
        self.weaving.selected = None;
        Ok(Done::Quietly)
    }

    /// The riffs that suggestions are made from: those that were chosen, or the newest few. Empty ones are none.
    pub fn asked(&self) -> Vec<RiffId> {
        let written = self.document.notebook.entries().iter().map(|entry| &entry.riff);
        let written = written.filter(|riff| !riff.notes().is_empty()).map(|riff| riff.id);
        match &self.weaving.asked {
            Some(asked) => written.filter(|id| asked.contains(id)).take(Request::MOST_RIFFS).collect(),
            None => written.take(RIFFS_AT_FIRST).collect(),
        }
    }

    pub(in crate::desk) fn ask_riff(&mut self, id: &str, on: bool) -> Result<Done, Refusal> {
        let id = self.existing(id)?;
        let mut asked = self.asked();
        asked.retain(|other| *other != id);
        if on {
            asked.push(id);
        }
        self.weaving.asked = Some(asked);
        Ok(Done::Quietly)
    }

    pub(in crate::desk) fn suggest(&mut self) -> Result<Done, Refusal> {
        let asked = self.asked();
        if asked.is_empty() {
            return Err(Refusal::NoRiffAsked);
        }
        let kept = Rc::clone(self.chorus());
        let course = self.course();
        let mut riffs: Vec<Riff> = Vec::new();
        let mut index_of = |riff: &Riff| {
            let place = riffs.iter().position(|other| other == riff);
            place.unwrap_or_else(|| {
                riffs.push(riff.clone());
                riffs.len() - 1
            })
        };
        let chosen = asked.iter().filter_map(|id| self.document.notebook.riff(*id));
        chosen.for_each(|riff| {
            index_of(riff);
        });
        let mut fixed: Vec<Placement> = Vec::new();
        for spot in kept.spots().iter().filter(|spot| spot.stays) {
            let riff = index_of(&kept.riffs()[spot.placement.riff]);
            fixed.push(Placement { riff, ..spot.placement.clone() });
        }
        let request = Request {
            riffs: &riffs,
            course: &course,
            range: self.range(),
            taste: self.weaving.taste,
            fixed: &fixed,
        };
        let found = suggest(&request, Request::SHOWN).map_err(Refusal::Suggest)?;
        let as_chorus = |suggestion: &Suggestion| self.as_chorus(&kept, &riffs, &fixed, suggestion);
        self.weaving.suggested = Rc::new(found.iter().filter_map(as_chorus).collect());
        self.weaving.asking = true;
        self.weaving.shown = (!self.weaving.suggested.is_empty()).then_some(0);
        self.weaving.selected = None;
        Ok(Done::Quietly)
    }

    /// What may sound: the instrument's range.
    pub fn range(&self) -> Range {
        let (low, high) = self.tune().instrument.sounding_range();
        let bound = |pitch: Pitch| pitch.midi().unwrap_or(MidiNote::MIDDLE_C);
        Range { lowest: bound(low), highest: bound(high) }
    }

    fn as_chorus(
        &self,
        kept: &Chorus,
        riffs: &[Riff],
        fixed: &[Placement],
        suggestion: &Suggestion,
    ) -> Option<Suggested> {
        let spot =
            |placement: &Placement| Spot { placement: placement.clone(), stays: fixed.contains(placement) };
        let spots = suggestion.placed.iter().map(|placed| spot(&placed.placement)).collect();
        let mut chorus = Chorus::from_parts(kept.id, kept.name(), kept.times(), riffs.to_vec(), spots)?;
        chorus.prune();
        Some(Suggested { chorus: Rc::new(chorus), score: suggestion.score })
    }

    pub(in crate::desk) fn take_suggestion(&mut self, index: usize) -> Result<Done, Refusal> {
        let suggested = self.weaving.suggested.get(index).ok_or(Refusal::NothingSuggested)?;
        let chorus = (*suggested.chorus).clone();
        let replaced = !self.chosen_chorus().spots().is_empty();
        self.put_chorus(chorus)?;
        self.weaving.selected = None;
        self.weaving.asking = false;
        Ok(if replaced { Done::Taken } else { Done::Quietly })
    }

    /// Suggestions were made for the tune as it was.
    pub(in crate::desk) fn forget_suggestions(&mut self) {
        self.weaving.suggested = Rc::default();
        self.weaving.shown = None;
    }
}
