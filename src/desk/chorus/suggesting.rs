//! Suggestions: asked for, looked at, taken.
//!
//! Looking for them may take long. So a desk only says what is asked for, as a [`Question`]; wherever there is time, it
//! is answered ([`Question::answer`]); and the desk takes the [`Answer`] as long as it still asks for the same. Question
//! and answer travel as texts, most of them records.

use std::rc::Rc;

use crate::chorus::check::Range;
use crate::chorus::kept::{Chorus, Spot};
use crate::chorus::placement::Placement;
use crate::chorus::rules::{Adventure, Room};
use crate::chorus::score::Taste;
use crate::chorus::suggest::{self, Looked, Request, Suggestion};
use crate::desk::{Desk, Done, Refusal};
use crate::files::record::{self, Unreadable};
use crate::notebook::tune::Tune;
use crate::riff::{Riff, RiffId};
use crate::theory::pitch::Pitch;
use crate::units::MidiNote;

/// A chorus that was suggested.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Suggested {
    /// The chorus as it would be.
    pub chorus: Rc<Chorus>,
}

/// What suggestions are asked for with.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// The tune: its form, and its instrument with what that can play.
    tune: Rc<Tune>,
    /// The chorus, with the placements that stay and how often the form is played.
    chorus: Rc<Chorus>,
    /// The riffs to make suggestions from; the first is the one that should open the chorus.
    riffs: Vec<Rc<Riff>>,
    taste: Taste,
}

/// A question that waits for its answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Looking {
    /// Counts the questions of this desk, from 1.
    pub number: u32,
    /// What is asked.
    pub question: Rc<Question>,
}

/// Suggestions, those that open with the first riff of the question before the others, best first; and how far was
/// looked for them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer {
    /// What was found.
    pub suggested: Vec<Suggested>,
    /// How far was looked.
    pub looked: Looked,
}

/// How an answer says how far was looked.
const LOOKED: [(Looked, &str); 2] = [(Looked::AtAll, "at-all"), (Looked::AtTheBest, "at-the-best")];

impl Question {
    /// The question as texts: the records of the tune and of the chorus, the taste, and a record for each riff.
    pub fn texts(&self) -> Vec<String> {
        let tune = self.tune.record(RiffId(0), None);
        let named = |(adventure, room)| format!("{adventure} {room}");
        let taste = (self.taste.adventure.name(), self.taste.room.name());
        let first = [record::write_tune(&tune), record::write_chorus(&self.chorus, 1), named(taste)];
        let riffs = self.riffs.iter().map(|riff| record::write_riff(riff, None, 1));
        first.into_iter().chain(riffs).collect()
    }

    /// Reads what [`Question::texts`] wrote.
    pub fn read(texts: &[String]) -> Result<Question, Unreadable> {
        let odd = || Unreadable { why: "this is no question about suggestions".to_owned() };
        let [tune, chorus, taste, riffs @ ..] = texts else { return Err(odd()) };
        let (adventure, room) = taste.split_once(' ').ok_or_else(odd)?;
        let taste = Adventure::named(adventure).zip(Room::named(room));
        let (adventure, room) = taste.ok_or_else(odd)?;
        let riff = |text: &String| Ok(Rc::new(record::read_riff(text)?.riff));
        Ok(Question {
            tune: Rc::new(Tune::of_record(&record::read_tune(tune)?)),
            chorus: Rc::new(record::read_chorus(chorus)?.0),
            riffs: riffs.iter().map(riff).collect::<Result<_, Unreadable>>()?,
            taste: Taste { adventure, room },
        })
    }

    /// Looks for the best suggestions. This is what takes long.
    pub fn answer(&self) -> Result<Answer, suggest::Error> {
        let course = self.chorus.course(&self.tune.changes());
        let mut riffs: Vec<Riff> = Vec::new();
        let mut index_of = |riff: &Riff| {
            let place = riffs.iter().position(|other| other == riff);
            place.unwrap_or_else(|| {
                riffs.push(riff.clone());
                riffs.len() - 1
            })
        };
        for riff in &self.riffs {
            index_of(riff);
        }
        let mut fixed: Vec<Placement> = Vec::new();
        for spot in self.chorus.spots().iter().filter(|spot| spot.stays) {
            let riff = index_of(&self.chorus.riffs()[spot.placement.riff]);
            fixed.push(Placement { riff, ..spot.placement.clone() });
        }
        let range = range_of(&self.tune);
        let request = Request { riffs: &riffs, course: &course, range, taste: self.taste, fixed: &fixed };
        let mut found = suggest::suggest(&request, Request::SHOWN)?;
        let as_chorus = |suggestion: &Suggestion| as_chorus(&self.chorus, &riffs, &fixed, suggestion);
        // What the person works on leads where it fits: of the best, those that open with it come first.
        found.suggestions.sort_by_key(|one| one.placed.first().is_none_or(|first| first.placement.riff != 0));
        let suggested = found.suggestions.iter().filter_map(as_chorus).collect();
        Ok(Answer { suggested, looked: found.looked })
    }

    /// Whether another question has the same answer.
    fn asks_the_same(&self, other: &Question) -> bool {
        // Who plays, how fast and how loud is nothing to suggestions.
        self.tune.has_ground_of(&other.tune)
            && self.tune.instrument.name() == other.tune.instrument.name()
            && (&self.chorus, &self.riffs, self.taste) == (&other.chorus, &other.riffs, other.taste)
    }
}

impl Answer {
    /// The answer as texts: how far was looked, and a record for each chorus.
    pub fn texts(&self) -> Vec<String> {
        let looked = LOOKED.iter().find(|(looked, _)| *looked == self.looked).map_or("", |(_, name)| name);
        let choruses = self.suggested.iter().map(|each| record::write_chorus(&each.chorus, 1));
        std::iter::once(looked.to_owned()).chain(choruses).collect()
    }

    /// Reads what [`Answer::texts`] wrote.
    pub fn read(texts: &[String]) -> Result<Answer, Unreadable> {
        let looked = texts.first().and_then(|text| LOOKED.iter().find(|(_, name)| name == text));
        let (looked, _) =
            looked.ok_or_else(|| Unreadable { why: "this is no answer with suggestions".to_owned() })?;
        let chorus = |text: &String| Ok(Suggested { chorus: Rc::new(record::read_chorus(text)?.0) });
        let suggested = texts[1..].iter().map(chorus).collect::<Result<_, Unreadable>>()?;
        Ok(Answer { suggested, looked: *looked })
    }
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
        self.weaving.looking = None;
        Ok(Done::Quietly)
    }

    pub(in crate::desk) fn show_suggestion(&mut self, index: Option<usize>) -> Result<Done, Refusal> {
        self.weaving.shown = index.filter(|index| *index < self.weaving.suggested.len());
        self.weaving.selected = None;
        Ok(Done::Quietly)
    }

    pub(in crate::desk) fn stop_looking(&mut self) -> Result<Done, Refusal> {
        self.weaving.looking = None;
        Ok(Done::Quietly)
    }

    /// The riffs that suggestions are made from: those that were chosen, or the one on the desk and the newest few. Empty
    /// ones are none; the one on the desk comes first.
    pub fn asked(&self) -> Vec<RiffId> {
        let written = self.document.notebook.entries().iter().map(|entry| &entry.riff);
        let mut written: Vec<RiffId> =
            written.filter(|riff| !riff.notes().is_empty()).map(|riff| riff.id).collect();
        if let Some(own) = written.iter().position(|id| *id == self.session.chosen) {
            written[..=own].rotate_right(1);
        }
        let written = written.into_iter();
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

    /// Begins to look for suggestions.
    pub(in crate::desk) fn look(&mut self) -> Result<Done, Refusal> {
        let question = self.question().ok_or(Refusal::NoRiffAsked)?;
        self.weaving.questions = self.weaving.questions.wrapping_add(1).max(1);
        self.weaving.looking = Some(Looking { number: self.weaving.questions, question: Rc::new(question) });
        self.weaving.asking = true;
        self.weaving.selected = None;
        Ok(Done::Quietly)
    }

    /// What is asked for now; `None` where no riff is chosen.
    fn question(&self) -> Option<Question> {
        let riff = |id: &RiffId| self.document.notebook.riff(*id).cloned();
        let riffs: Vec<Rc<Riff>> = self.asked().iter().filter_map(riff).collect();
        let (tune, chorus) = (Rc::clone(&self.document.tune), Rc::clone(self.chorus()));
        (!riffs.is_empty()).then_some(Question { tune, chorus, riffs, taste: self.weaving.taste })
    }

    /// The question that waits for its answer, if there is one.
    pub fn looking(&self) -> Option<&Looking> {
        self.weaving.looking.as_ref()
    }

    /// Takes the answer to question `number` and looks at the best suggestion; `false` where nobody waits for it any more,
    /// or what was asked has changed since.
    pub fn take_answer(&mut self, number: u32, answer: Answer) -> bool {
        let waits = self.look_no_more(number);
        if waits {
            self.weaving.suggested = Rc::new(answer.suggested);
            self.weaving.looked = answer.looked;
            self.weaving.shown = (!self.weaving.suggested.is_empty()).then_some(0);
            self.weaving.selected = None;
        }
        waits
    }

    /// Question `number` has no answer; `false` where nobody waits for one.
    pub fn look_no_more(&mut self, number: u32) -> bool {
        self.weaving.looking.take_if(|looking| looking.number == number).is_some()
    }

    /// Looks anew where what is asked has changed, and no longer where nothing can be asked.
    pub(in crate::desk) fn look_again(&mut self) {
        let Some(looking) = &self.weaving.looking else { return };
        match self.question() {
            Some(question) if question.asks_the_same(&looking.question) => {}
            Some(_) if self.weaving.asking => {
                let _ = self.look();
            }
            _ => self.weaving.looking = None,
        }
    }

    /// What may sound: the instrument's range.
    pub fn range(&self) -> Range {
        range_of(self.tune())
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

fn range_of(tune: &Tune) -> Range {
    let (low, high) = tune.instrument.sounding_range();
    let bound = |pitch: Pitch| pitch.midi().unwrap_or(MidiNote::MIDDLE_C);
    Range { lowest: bound(low), highest: bound(high) }
}

/// A suggestion as a chorus in the place of `kept`.
fn as_chorus(
    kept: &Chorus,
    riffs: &[Riff],
    fixed: &[Placement],
    suggestion: &Suggestion,
) -> Option<Suggested> {
    let spot =
        |placement: &Placement| Spot { placement: placement.clone(), stays: fixed.contains(placement) };
    let spots = suggestion.placed.iter().map(|placed| spot(&placed.placement)).collect();
    let mut chorus = kept.with_parts(riffs.to_vec(), spots)?;
    chorus.prune();
    Some(Suggested { chorus: Rc::new(chorus) })
}
