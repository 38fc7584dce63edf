//! Suggestions: the best choruses that can be made from some riffs, by exact search where that is not too much.
//!
//! Every riff, as it is and changed in a few ways, may begin in every bar. Rows of the table of rules look at one
//! placement, at two neighbours, or at a line and the statement before it; so the best way to reach a placement depends
//! only on that placement, on the riff that its chorus opened with, and on how often its riff has been heard in a row; a
//! table of those is filled from the start of the form to its end (dynamic programming). From its end the choruses are
//! then read out best first (A*, whose estimate is the table and so exact).
//!
//! How much of a chorus is silent is a sum over all of it, and no row can look at that. So each half beat that sounds has
//! a price, which is moved until the best chorus has as much silence as is wished for (Lagrange's multiplier: H. Everett,
//! "Generalized Lagrange multiplier method", Operations Research 11(3), 1963, doi:10.1287/opre.11.3.399). Of those with
//! as much silence no other has more points. What has more or less silence is put aside.
//!
//! Two suggestions really differ when one has placements that the other has not. The best comes first; each that
//! follows is the best of those that have at least [`Request::news`] placements which none before it has, those put aside
//! among them.
//!
//! What is never suggested, whatever its points: a riff at most [`Adventure::most_running`] times in a row, where there is
//! another; a chorus that opens with a changed riff, a changed riff that was not heard before, and an answer without its
//! call right before it, where [`Adventure::states_first`]; in the last two bars a riff that neither comes home nor ends on
//! a tone of the chord there, the cue to begin again; and an end that leaves no time for a pickup into bar 1.
//!
//! [`Adventure::most_running`]: crate::chorus::rules::Adventure::most_running
//! [`Adventure::states_first`]: crate::chorus::rules::Adventure::states_first

mod candidates;
mod read_out;
mod table;

use std::fmt;

use crate::chorus::check::{self, Problem, Range};
use crate::chorus::course::Course;
use crate::chorus::placement::{self, Placed, Placement};
use crate::chorus::score::{Taste, Yardstick};
use crate::chorus::suggest::read_out::{Most, Outcome};
use crate::chorus::suggest::table::Table;
use crate::riff::Riff;
use crate::units::Ticks;

/// What a chorus is asked for.
#[derive(Clone, Debug)]
pub struct Request<'a> {
    /// The riffs to use, at most [`Request::MOST_RIFFS`]; those without a note are passed over.
    pub riffs: &'a [Riff],
    /// What is played over.
    pub course: &'a Course,
    /// The lowest and highest pitch.
    pub range: Range,
    /// How adventurous, and how much room.
    pub taste: Taste,
    /// Placements that stay as they are.
    pub fixed: &'a [Placement],
}

impl Request<'_> {
    /// The most riffs that can be chosen from.
    pub const MOST_RIFFS: usize = 64;
    /// How many suggestions a person is shown.
    pub const SHOWN: usize = 10;

    /// How many placements a suggestion has that none before it has: one for each line of four bars.
    pub fn news(&self) -> usize {
        self.course.lines() * self.course.choruses()
    }
}

/// A chorus that keeps every hard rule.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Suggestion {
    /// The placements in the order of time.
    pub placed: Vec<Placed>,
    /// Its points by the table of rules, and for what of it sounds.
    pub score: i32,
}

/// Why nothing can be suggested.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Error {
    /// More riffs than can be chosen from.
    TooManyRiffs {
        /// How many there are.
        found: usize,
    },
    /// A placement that should stay cannot be made.
    Fixed {
        /// Which, by index.
        index: usize,
        /// Why not.
        error: placement::Error,
    },
    /// The placements that should stay break a hard rule.
    FixedBreak(Problem),
    /// No riff has a note, is within the range and fits into the form.
    NothingFits,
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::TooManyRiffs { found } => {
                write!(f, "expected at most {} riffs, found {found}", Request::MOST_RIFFS)
            }
            Error::Fixed { index, error } => write!(f, "placement {index} that should stay: {error}"),
            Error::FixedBreak(
                Problem::Overlap { first, second, .. }
                | Problem::OverlapAgain { last: first, pickup: second, .. },
            ) => {
                write!(f, "placements {first} and {second} that should stay overlap")
            }
            Error::FixedBreak(Problem::BeyondRange { placement }) => {
                write!(f, "placement {placement} that should stay has notes beyond the range")
            }
            Error::FixedBreak(Problem::NoRoom { placement }) => {
                write!(f, "placement {placement} that should stay leaves the form")
            }
            Error::NothingFits => {
                write!(f, "no riff has a note, lies within the range and fits into the form")
            }
        }
    }
}

impl std::error::Error for Error {}

/// Suggestions, and how far was looked for them.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The best first; each with placements that none before it has.
    pub suggestions: Vec<Suggestion>,
    /// Whether everything was looked at.
    pub looked: Looked,
    /// What the points were measured with.
    pub yardstick: Yardstick,
}

/// How far was looked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Looked {
    /// At everything: there are no better ones.
    AtAll,
    /// At what promises most, since there was too much to look at all of it: others may be better.
    AtTheBest,
}

/// The best `count` choruses that really differ and have as much silence as is wished for, best first; fewer where no more
/// are found.
///
/// Memory and time are bounded whatever is asked for: see [`MOST_CANDIDATES`], [`MOST_WORK`],
/// [`MOST_CONTINUATIONS`] and [`MOST_NODES`]. Up to
/// there the search is exact; beyond, it looks at what promises most and says so.
pub fn suggest(request: &Request, count: usize) -> Result<Found, Error> {
    if request.riffs.len() > Request::MOST_RIFFS {
        return Err(Error::TooManyRiffs { found: request.riffs.len() });
    }
    let found = best_first(request, count)?;
    let wished = request.taste.room.silent();
    let Found { suggestions, looked, yardstick } = found;
    let away = |one: &Suggestion| {
        let silent = silence(request.course, &one.placed);
        (wished.start() - silent).max(silent - wished.end()).max(0.0)
    };
    let (mut suggestions, mut aside): (Vec<_>, Vec<_>) =
        suggestions.into_iter().enumerate().partition(|(_, one)| away(one) == 0.0);
    suggestions.truncate(count);
    let few = count.min(FEW);
    if suggestions.len() < few {
        // These riffs make hardly a chorus with as much silence as is wished for: the nearest are better than none.
        aside.sort_by(|(_, one), (_, other)| away(one).total_cmp(&away(other)));
        aside.truncate(few - suggestions.len());
        suggestions.extend(aside);
        // Of as many points in the order in which they were found: each has news only beside those before it.
        suggestions.sort_by_key(|(found, one)| (std::cmp::Reverse(one.score), *found));
    }
    let suggestions = suggestions.into_iter().map(|(_, one)| one).collect();
    Ok(Found { suggestions, looked, yardstick })
}

/// How many are shown where hardly one has as much silence as is wished for.
const FEW: usize = 3;
/// How many are looked at for each that is shown, so that those with too much silence or too little can be put aside.
const LOOKED_AT: usize = 4;

/// The best choruses that really differ, best first, whatever their silence: until `count` of them have as much as is
/// wished for, and at most `LOOKED_AT` times as many; just `count` where not everything can be looked at.
pub fn best_first(request: &Request, count: usize) -> Result<Found, Error> {
    let fixed = fixed(request)?;
    let most_a_bar = MOST_CANDIDATES / request.course.bars();
    let (candidates, is_all) = candidates::of(request, fixed, most_a_bar);
    if candidates.is_empty() {
        return Err(Error::NothingFits);
    }
    let mut looked = if is_all { Looked::AtAll } else { Looked::AtTheBest };
    let mut table = filled(request, Table::new(request, candidates), &mut looked);
    let price = priced(request, &mut table);
    let wished = request.taste.room.silent();
    // By the candidates' indices.
    let mut known = vec![false; table.candidates().len()];
    let mut suggestions: Vec<Suggestion> = Vec::new();
    let mut as_wished = 0;
    loop {
        // Where everything cannot be looked at, looking on takes long.
        let most = if looked == Looked::AtAll { count * LOOKED_AT } else { count };
        if as_wished >= count || suggestions.len() >= most {
            break;
        }
        let news = if suggestions.is_empty() { 0 } else { request.news() };
        match read_out::best(&table, &known, news, Most { nodes: MOST_NODES, work: MOST_CONTINUATIONS }) {
            Outcome::Best(indices, score) => {
                indices.iter().for_each(|index| known[*index] = true);
                let placed: Vec<Placed> = indices.iter().map(|index| table.placed(*index).clone()).collect();
                as_wished += usize::from(wished.contains(&silence(request.course, &placed)));
                suggestions.push(Suggestion { placed, score });
            }
            Outcome::TooMuch if (0..known.len()).any(|index| known[index] && !table.stays(index)) => {
                // What is known already is left out: whatever is found then is new, but for what stays.
                looked = Looked::AtTheBest;
                table = table.of_those(request, |index| !known[index]);
                table = filled(request, table, &mut looked);
                known = table.all_that_stay();
            }
            Outcome::TooMuch => {
                looked = Looked::AtTheBest;
                break;
            }
            Outcome::None => break,
        }
    }
    let mut yardstick = Yardstick::of(request.riffs);
    yardstick.price = price;
    Ok(Found { suggestions, looked, yardstick })
}

/// The share of all time in which nothing sounds.
pub fn silence(course: &Course, placed: &[Placed]) -> f64 {
    let sounds: Ticks = placed.iter().flat_map(Placed::notes).map(|(_, note)| note.length).sum();
    1.0 - sounds.0 as f64 / course.length().0 as f64
}

/// The most points that a half beat that sounds may give or take.
const MOST_PRICE: i32 = 16;

/// Finds the price of sound at which the best chorus has about as much silence as lies in the middle of what is wished
/// for, by halving, and leaves the table filled with it. Where filling the table takes long, a smaller one is asked.
fn priced(request: &Request, table: &mut Table) -> i32 {
    let mut most = table.most_in_a_bar();
    let mut sample = table.sample(request, most);
    while sample.work() > MOST_WORK / 12 && most > 1 {
        most = most * 2 / 3;
        sample = table.sample(request, most);
    }
    let wished = request.taste.room.aimed_at();
    let known = vec![false; sample.candidates().len()];
    let (mut low, mut high, mut price) = (-MOST_PRICE - 1, MOST_PRICE + 1, 0);
    let mut nearest: Option<(f64, i32)> = None;
    while low < price && price < high {
        sample.set_price(price);
        sample.fill();
        let best = read_out::best(&sample, &known, 0, Most { nodes: MOST_NODES, work: MOST_CONTINUATIONS });
        let Outcome::Best(indices, _) = best else { break };
        let placed: Vec<Placed> = indices.iter().map(|index| sample.placed(*index).clone()).collect();
        let silent = silence(request.course, &placed);
        let away = (silent - wished).abs();
        if nearest.is_none_or(|(least, _)| away < least) {
            nearest = Some((away, price));
        }
        if silent > wished {
            low = price;
        } else {
            high = price;
        }
        price = low + (high - low) / 2;
    }
    let best = nearest.map_or(0, |(_, price)| price);
    table.set_price(best);
    table.fill();
    best
}

/// The most candidates, all bars together: what a placement takes times this is the memory that is needed.
pub const MOST_CANDIDATES: usize = 20_000;
/// The most values that are compared when the table is filled. It is filled once, and once more for each suggestion that
/// is found with what was known left out, and each time that a longer silence must be allowed.
pub const MOST_WORK: u64 = 60_000_000;
/// The most continuations that are looked at while one suggestion is read out of the table. Where few rules tell choruses
/// apart, hundreds are as good as one another, and each that really differs takes longer to find than the one before; so
/// from here on what is known is left out and the rest is searched anew (`examples/suggest_time.rs` measures it).
pub const MOST_CONTINUATIONS: u64 = 3_000_000;
/// The most steps of the way that are held meanwhile.
pub const MOST_NODES: usize = 200_000;

/// The table, filled. Where a riff cannot but run on, it may; where placements that stay, or riffs that begin late, leave a longer silence than allowed, more is
/// allowed; where that is more work than may be done, fewer candidates of each bar are looked at.
fn filled<'a>(request: &Request<'a>, mut table: Table<'a>, looked: &mut Looked) -> Table<'a> {
    let mut failed = 0;
    loop {
        let mut most = table.most_in_a_bar();
        while table.work() > MOST_WORK && most > 1 {
            *looked = Looked::AtTheBest;
            most = most * 2 / 3;
            let kept = table.best_of_bars(most);
            table = table.of_those(request, |index| kept[index]);
        }
        if table.fill() {
            return table;
        }
        // Four bars of silence first, then running on, then silence without end.
        failed += 1;
        if !((failed == 2 && table.allow_running()) || table.allow_more_silence()) {
            return table;
        }
    }
}

/// Everything that may be placed in answer to `request`: what the search chooses from, where it looks at everything.
pub fn choices(request: &Request) -> Result<Vec<Placed>, Error> {
    let fixed = fixed(request)?;
    let (candidates, _) = candidates::of(request, fixed, usize::MAX);
    Ok(candidates.into_iter().map(|candidate| candidate.placed).collect())
}

/// The longest silence between two neighbours, at the start or at the end, that a suggestion may have where all riffs
/// and all placements that stay allow it: two bars. Where they do not, it is doubled until something fits.
///
/// Common practice, no source.
pub fn longest_silence(course: &Course) -> Ticks {
    course.form().bars().iter().map(|bar| bar.metre.bar()).max().unwrap_or(Ticks::QUARTER) * 2
}

fn fixed(request: &Request) -> Result<Vec<Placed>, Error> {
    let place = |(index, placement): (usize, &Placement)| {
        placement::place(request.riffs, request.course, placement)
            .map_err(|error| Error::Fixed { index, error })
    };
    let fixed = request.fixed.iter().enumerate().map(place).collect::<Result<Vec<_>, _>>()?;
    // What meets only when the chorus comes again can be played as it stands.
    let again = |problem: &Problem| matches!(problem, Problem::OverlapAgain { .. });
    let problems = check::problems(request.course, request.range, &fixed);
    match problems.iter().find(|problem| !again(problem)) {
        Some(problem) => Err(Error::FixedBreak(*problem)),
        None => Ok(fixed),
    }
}
