//! A chorus as it is kept: placements over a number of times through the form, and the riffs that stand in them.
//!
//! A chorus holds its riffs as they were when they were placed. A riff that is changed or thrown away in the notebook
//! leaves every chorus as it was heard: a solo that someone has built, practised or been sent does not change under
//! their hands, and nothing comes to overlap by itself. Whoever wants the riff as it is now asks for it
//! ([`Chorus::renew`]).

use std::fmt;

use crate::chorus::course::Course;
use crate::chorus::placement::{self, Alteration, Placed, Placement};
use crate::chorus::together::begun_in;
use crate::chorus::verse::Verse;
use crate::riff::{Riff, RiffId, edit};
use crate::units::Ticks;

/// A chorus's id for life.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ChorusId(pub u64);

/// A placement in a chorus.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Spot {
    /// What stands where; its riff is an index into [`Chorus::riffs`].
    pub placement: Placement,
    /// Whether a suggestion must leave it as it is.
    pub stays: bool,
}

/// Placements over a number of times through the form.
///
/// Always true: the spots stand in the order of time, of two that begin together the one put in later last, since it
/// takes over; at most [`Chorus::MOST_SPOTS`], none before [`Chorus::EARLIEST`] and none after [`Chorus::LATEST`]; each
/// has its riff among at most [`Chorus::MOST_RIFFS`], and at most [`Placement::MOST_CHANGES`]. Spots may overlap or run
/// past the end of the form over which they are tried: [`Chorus::over`] says which.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Chorus {
    /// Its id.
    pub id: ChorusId,
    /// Its name, as a person wrote it.
    name: String,
    times: usize,
    riffs: Vec<Riff>,
    spots: Vec<Spot>,
    /// As [`Verse::text`] has them: what opens the page keeps and compares a text, and knows nothing of verses.
    words: String,
}

/// Why a chorus cannot be changed so.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Error {
    /// There is no such placement.
    NoSuchSpot {
        /// The index asked for.
        found: usize,
    },
    /// It holds as many placements as it can.
    TooManySpots,
    /// It holds as many riffs as it can.
    TooManyRiffs,
    /// The placement has as many changes as it can have.
    TooManyChanges,
    /// What was asked for cannot stand there.
    Placement(placement::Error),
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::NoSuchSpot { .. } => write!(f, "choose a riff in the chorus first"),
            Error::TooManySpots => {
                write!(f, "the chorus is full: it holds {} placements", Chorus::MOST_SPOTS)
            }
            Error::TooManyRiffs => {
                write!(f, "the chorus is full: it holds {} different riffs", Chorus::MOST_RIFFS)
            }
            Error::TooManyChanges => {
                write!(
                    f,
                    "this riff is changed {} times here: take a change back first",
                    Placement::MOST_CHANGES
                )
            }
            Error::Placement(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for Error {}

/// A chorus over the form that is played: what sounds, and what does not fit.
#[derive(Clone, Debug, PartialEq)]
pub struct LaidOut {
    /// The form, as often as it is played.
    pub course: Course,
    /// Each placement that fits, as it was meant, in the order of time.
    pub placed: Vec<Placed>,
    /// The spot of each, by index.
    pub spots: Vec<usize>,
    /// The same as it is heard: of two that overlap the later one takes over, since a soloist has one voice.
    pub heard: Vec<Placed>,
    /// The spots that cannot stand in this form, with the reason.
    pub misfits: Vec<(usize, placement::Error)>,
}

impl Chorus {
    /// The most placements.
    pub const MOST_SPOTS: usize = 256;
    /// The most different riffs, as many as a suggestion chooses from.
    pub const MOST_RIFFS: usize = 64;
    /// The earliest that a placement may begin: a pickup of as many beats as the longest riff has.
    pub const EARLIEST: Ticks = Ticks(-Ticks::PER_QUARTER * 3 / 2 * Riff::MOST_BEATS as i64);
    /// The latest that a placement may begin: far beyond the longest course.
    pub const LATEST: Ticks = Ticks(Ticks::PER_QUARTER * (1 << 14));

    /// A chorus of once through with nothing in it.
    pub fn empty(id: ChorusId) -> Chorus {
        Chorus {
            id,
            name: String::new(),
            times: 1,
            riffs: Vec::new(),
            spots: Vec::new(),
            words: String::new(),
        }
    }

    /// A chorus from its parts, or `None` where they break what is always true. Spots may come in any order.
    pub fn from_parts(
        id: ChorusId,
        name: &str,
        times: usize,
        riffs: Vec<Riff>,
        mut spots: Vec<Spot>,
    ) -> Option<Chorus> {
        spots.sort_by_key(|spot| spot.placement.at);
        let is_sound = |spot: &Spot| {
            (Chorus::EARLIEST..=Chorus::LATEST).contains(&spot.placement.at)
                && spot.placement.riff < riffs.len()
                && spot.placement.changes.len() <= Placement::MOST_CHANGES
                && spot.placement.changes.iter().all(Alteration::is_in_reach)
        };
        let counted = riffs.len() <= Chorus::MOST_RIFFS && spots.len() <= Chorus::MOST_SPOTS;
        let sound = counted && (1..=Course::MOST_CHORUSES).contains(&times) && spots.iter().all(is_sound);
        let chorus = Chorus { id, name: String::new(), times, riffs, spots, words: String::new() };
        sound.then(|| chorus.named(name))
    }

    /// Its name; may be empty.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// How often the form is played.
    pub fn times(&self) -> usize {
        self.times
    }

    /// The riffs as they were placed.
    pub fn riffs(&self) -> &[Riff] {
        &self.riffs
    }

    /// The placements in the order of time.
    pub fn spots(&self) -> &[Spot] {
        &self.spots
    }

    /// The placement at `index`.
    pub fn spot(&self, index: usize) -> Result<&Spot, Error> {
        self.spots.get(index).ok_or(Error::NoSuchSpot { found: index })
    }

    /// The riff that stands at `index`, as it was placed and unchanged.
    pub fn riff_of(&self, index: usize) -> Result<&Riff, Error> {
        let spot = self.spot(index)?;
        self.riffs.get(spot.placement.riff).ok_or(Error::NoSuchSpot { found: index })
    }

    /// The form as often as this chorus plays it.
    pub fn course(&self, form: &crate::form::Changes) -> Course {
        Course::new(form.clone(), self.times)
    }

    /// What of it sounds over `course`.
    pub fn over(&self, course: Course) -> LaidOut {
        let (mut placed, mut spots, mut misfits) = (Vec::new(), Vec::new(), Vec::new());
        for (index, spot) in self.spots.iter().enumerate() {
            match placement::place(&self.riffs, &course, &spot.placement) {
                Ok(one) => {
                    placed.push(one);
                    spots.push(index);
                }
                Err(error) => misfits.push((index, error)),
            }
        }
        let heard = heard(&placed);
        LaidOut { course, placed, spots, heard, misfits }
    }

    /// With another name: at most as long as a riff's, without signs that steer a line.
    #[must_use]
    pub fn named(self, name: &str) -> Chorus {
        let name = edit::clean_name(name);
        Chorus { name, ..self }
    }

    /// The words over its lines, as text; empty where there are none.
    pub fn words(&self) -> &str {
        &self.words
    }

    /// The words over its lines.
    pub fn verse(&self) -> Verse {
        Verse::read(&self.words)
    }

    /// With other words.
    #[must_use]
    pub fn with_verse(self, verse: &Verse) -> Chorus {
        Chorus { words: verse.text(), ..self }
    }

    /// The same with other riffs and placements, or `None` where they break what is always true.
    pub fn with_parts(&self, riffs: Vec<Riff>, spots: Vec<Spot>) -> Option<Chorus> {
        let made = Chorus::from_parts(self.id, &self.name, self.times, riffs, spots)?;
        Some(Chorus { words: self.words.clone(), ..made })
    }

    /// The same under another id.
    #[must_use]
    pub fn with_id(self, id: ChorusId) -> Chorus {
        Chorus { id, ..self }
    }

    /// Over another number of times through the form, brought to what is possible. What was begun in a time that goes
    /// is taken out; says how many that were.
    pub fn set_times(&mut self, times: usize, course: &Course) -> usize {
        self.times = times.clamp(1, Course::MOST_CHORUSES);
        let end = course.form().length() * self.times as i64;
        let before = self.spots.len();
        self.spots.retain(|spot| spot.placement.at < end);
        before - self.spots.len()
    }

    /// Puts a riff in; gives its index.
    pub fn put(&mut self, riff: &Riff, at: Ticks, changes: Vec<Alteration>) -> Result<usize, Error> {
        if self.spots.len() >= Chorus::MOST_SPOTS {
            return Err(Error::TooManySpots);
        }
        if !changes.iter().all(Alteration::is_in_reach) {
            return Err(Error::Placement(placement::Error::OutOfRange));
        }
        let riff = self.holding(riff)?;
        Ok(self.insert(Spot { placement: Placement { at, riff, changes }, stays: false }))
    }

    /// Takes a placement out.
    pub fn remove(&mut self, index: usize) -> Result<Spot, Error> {
        self.spot(index)?;
        Ok(self.spots.remove(index))
    }

    /// Moves a placement to begin at `at`; gives its new index.
    pub fn move_to(&mut self, index: usize, at: Ticks) -> Result<usize, Error> {
        let mut spot = self.remove(index)?;
        spot.placement.at = at.clamp(Chorus::EARLIEST, Chorus::LATEST);
        Ok(self.insert(spot))
    }

    /// Gives a placement these changes, in order, and no others; none leaves it as in the notebook. Gives its index.
    pub fn change(&mut self, index: usize, changes: Vec<Alteration>) -> Result<usize, Error> {
        if changes.len() > Placement::MOST_CHANGES {
            return Err(Error::TooManyChanges);
        }
        if !changes.iter().all(Alteration::is_in_reach) {
            return Err(Error::Placement(placement::Error::OutOfRange));
        }
        let mut spot = self.remove(index)?;
        spot.placement.changes = changes;
        Ok(self.insert(spot))
    }

    /// Lets suggestions leave a placement as it is, or not.
    pub fn set_stays(&mut self, index: usize, stays: bool) -> Result<(), Error> {
        let spot = self.spots.get_mut(index).ok_or(Error::NoSuchSpot { found: index })?;
        spot.stays = stays;
        Ok(())
    }

    /// Takes everything out.
    pub fn clear(&mut self) {
        self.spots.clear();
        self.riffs.clear();
    }

    /// Copies what is begun in one line of the form to another, instead of what is begun there. Lines count from 0
    /// through all times. What would not fit is left out; says how many that are.
    pub fn copy_line(&mut self, course: &Course, from: usize, to: usize) -> Result<usize, Error> {
        let mut copied: Vec<Spot> = self.in_line(course, from).cloned().collect();
        let begun = copied.len();
        let replaced: Vec<Spot> = self.in_line(course, to).cloned().collect();
        let by = self.line_start(course, to) - self.line_start(course, from);
        for spot in &mut copied {
            spot.placement.at += by;
            spot.stays = false;
        }
        copied.retain(|spot| placement::place(&self.riffs, course, &spot.placement).is_ok());
        let kept = self.spots.iter().filter(|spot| !replaced.contains(spot)).count();
        if kept + copied.len() > Chorus::MOST_SPOTS {
            return Err(Error::TooManySpots);
        }
        self.spots.retain(|spot| !replaced.contains(spot));
        let left_out = begun - copied.len();
        for spot in copied {
            self.insert(spot);
        }
        Ok(left_out)
    }

    /// Puts `riff` in place of every riff with its id; says in how many placements.
    pub fn renew(&mut self, riff: &Riff) -> usize {
        let is_old = |other: &Riff| other.id == riff.id && other != riff;
        let old: Vec<usize> = (0..self.riffs.len()).filter(|index| is_old(&self.riffs[*index])).collect();
        for index in &old {
            self.riffs[*index] = riff.clone();
        }
        let renewed = self.spots.iter().filter(|spot| old.contains(&spot.placement.riff)).count();
        self.prune();
        renewed
    }

    /// Whether the placement at `index` holds this riff otherwise than as it is now.
    pub fn is_behind(&self, index: usize, riff: &Riff) -> bool {
        self.riff_of(index).is_ok_and(|own| own.id == riff.id && own != riff)
    }

    /// Whether some placement is of the riff with this id.
    pub fn uses(&self, id: RiffId) -> bool {
        self.spots.iter().any(|spot| self.riffs.get(spot.placement.riff).is_some_and(|riff| riff.id == id))
    }

    /// Lets riffs go that no placement uses, and keeps of equal ones the first.
    pub fn prune(&mut self) {
        let mut kept: Vec<Riff> = Vec::new();
        for spot in &mut self.spots {
            let riff = &self.riffs[spot.placement.riff];
            let place = kept.iter().position(|other| other == riff);
            if place.is_none() {
                kept.push(riff.clone());
            }
            spot.placement.riff = place.unwrap_or(kept.len() - 1);
        }
        self.riffs = kept;
        self.spots.sort_by_key(|spot| spot.placement.at);
    }

    /// The index of an equal riff, held from now on.
    fn holding(&mut self, riff: &Riff) -> Result<usize, Error> {
        if let Some(index) = self.riffs.iter().position(|other| other == riff) {
            return Ok(index);
        }
        if self.riffs.len() >= Chorus::MOST_RIFFS {
            self.prune();
        }
        if self.riffs.len() >= Chorus::MOST_RIFFS {
            return Err(Error::TooManyRiffs);
        }
        self.riffs.push(riff.clone());
        Ok(self.riffs.len() - 1)
    }

    fn insert(&mut self, spot: Spot) -> usize {
        let index = self.spots.partition_point(|other| other.placement.at <= spot.placement.at);
        self.spots.insert(index, spot);
        index
    }

    /// What is begun in a line; a pickup belongs to the line that it leads to.
    fn in_line<'a>(&'a self, course: &'a Course, line: usize) -> impl Iterator<Item = &'a Spot> {
        self.spots.iter().filter(move |spot| {
            let start = self.riffs.get(spot.placement.riff).map_or(Ticks::ZERO, |riff| riff.start);
            let (time, within) = course.line_of(begun_in(course, spot.placement.at, start));
            spot.placement.at < course.length() && time * course.lines() + within == line
        })
    }

    fn line_start(&self, course: &Course, line: usize) -> Ticks {
        let (time, within) = (line / course.lines(), line % course.lines());
        course.bar_start(time * course.form().bars().len() + within * Course::LINE_BARS)
    }
}

/// What is heard of placements in the order of time: where a later one's first note comes, the one before it falls
/// silent.
fn heard(placed: &[Placed]) -> Vec<Placed> {
    let mut heard = placed.to_vec();
    let mut taken_over = None;
    for one in heard.iter_mut().rev() {
        let first = one.notes().next().map(|(at, _)| at);
        if let Some(until) = taken_over
            && until < one.end()
        {
            one.riff = silent_from(&one.riff, until - one.at());
        }
        taken_over = match (taken_over, first) {
            (Some(until), Some(first)) => Some(first.min(until)),
            (until, first) => until.or(first),
        };
    }
    heard
}

/// The riff without what sounds from `end` on.
pub(crate) fn silent_from(riff: &Riff, end: Ticks) -> Riff {
    let mut notes: Vec<_> = riff.notes().iter().filter(|note| note.onset < end).cloned().collect();
    if let Some(last) = notes.last_mut() {
        last.length = last.length.min(end - last.onset);
    }
    let parts = (riff.divisions().to_vec(), notes);
    Riff::from_parts(riff.id, riff.name.clone(), riff.start, riff.beat(), parts.0, parts.1)
        .unwrap_or_else(|| riff.clone())
}
