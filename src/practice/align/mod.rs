//! Which played note stands for which target note.
//!
//! The best explanation of a performance is found as E. W. Large describes for sequence errors ("Dynamic programming
//! for the analysis of serial behaviors", Behavior Research Methods, Instruments & Computers 25(2), 1993, 238–241;
//! from memory): notes are right, wrong, missed or extra, each with a price. For music in time this takes two passes.
//! The first (`lateness`) reads the right notes in the right order, whatever the tempo does, and finds where the player
//! began anew. The second (`pairing`) explains each stretch note by note, with a price for how far a note lies from where
//! the player is; that place and its tempo are smoothed (`drift`) and the chances of errors are estimated from what was
//! found, a few times over. `attempts` says which of several attempts counts, `crushed` what grace notes are, `blue`
//! what notes are that lie between two.

mod attempts;
pub(super) mod blue;
pub(super) mod crushed;
mod drift;
mod lateness;
mod pairing;
mod transposition;

use crate::practice::TimedNote;
use crate::practice::align::drift::{Place, Player, Seen};
use crate::practice::align::lateness::Stretch;
use crate::practice::align::pairing::{Chances, Ends, Prices, STRAY_SECONDS, pairs, prefixes};
use crate::practice::figures::median;
use crate::units::{AudioTime, MidiNote};

/// A played note that stands for a target note, by their places in the two lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Pair {
    /// Which target note.
    pub target: usize,
    /// Which played note.
    pub played: usize,
}

/// A performance explained: every target note is in a pair or missed, every played note in a pair or extra.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Alignment {
    /// Right and wrong pitches, ascending by target; the played notes ascend too, but for two that changed places.
    pub pairs: Vec<Pair>,
    /// Target notes that nothing stands for, ascending.
    pub missed: Vec<usize>,
    /// Played notes that stand for nothing, ascending.
    pub extra: Vec<usize>,
    /// By how many half steps all of it was played higher than meant, negative = lower; 0 where it was not. What is right
    /// and wrong is said once that is taken away.
    pub transposed: i32,
}

impl Alignment {
    /// Whether the notes of `pair` have the same pitch, as both lists were given to [`align`].
    pub fn is_right(&self, target: &[TimedNote], played: &[TimedNote], pair: Pair) -> bool {
        let (goal, note) = (target[pair.target].midi, played[pair.played].midi);
        i32::from(goal.number()) + self.transposed == i32::from(note.number())
    }
}

/// The most notes in either list: sixteen minutes at four a second.
pub const MOST_NOTES: usize = 4_000;

/// How often the chances are estimated anew; a fourth time changes nothing in the tests.
const ROUNDS: usize = 3;
/// What is assumed at first, and kept in the estimates with the weight of [`PRIOR_NOTES`] notes; tuned on made-up
/// players (`tests/it/practice.rs`).
const FIRST: Chances = Chances { spread: 0.05, miss: 0.03, miss_on: 0.3, wrong: 0.03, extra: 0.15 };
const PRIOR_NOTES: f64 = 30.0;
/// The same for the first reading, which is the more careful for a little more room.
const READING: Chances = Chances { spread: 0.06, ..FIRST };
/// Estimates of the spread are kept between these, in seconds.
const SPREADS: (f64, f64) = (0.005, 0.08);

/// The best explanation of `played` as a performance of `target`, in whatever order they are given; the pairs hold
/// the places in the lists as given. Who plays all of it higher or lower is understood too. Takes a time that grows with
/// the product of the numbers of notes.
///
/// # Panics
///
/// Where a list is longer than [`MOST_NOTES`].
pub fn align(target: &[TimedNote], played: &[TimedNote]) -> Alignment {
    assert!(target.len() <= MOST_NOTES && played.len() <= MOST_NOTES, "more than {MOST_NOTES} notes");
    let (wanted, wanted_at) = in_time(target);
    let (done, done_at) = in_time(played);
    let (found, transposed) = in_any_place(&wanted, &done);
    let as_given = |pair: Pair| Pair { target: wanted_at[pair.target], played: done_at[pair.played] };
    let pairs = found.into_iter().map(as_given).collect();
    Alignment { transposed, ..explained(pairs, target.len(), played.len()) }
}

/// The pairs that count, and by how many half steps the player was higher.
fn in_any_place(target: &[TimedNote], played: &[TimedNote]) -> (Vec<Pair>, i32) {
    let here = in_order(target, played);
    let mut best = (Counted::of(target, played, &here), here, 0);
    if enough(best.0.right, target, played) {
        return (best.1, 0);
    }
    for by in transposition::likely(target, played) {
        let moved = transposition::moved(played, -by);
        let pairs = in_order(target, &moved);
        let counted = Counted::of(target, &moved, &pairs);
        // One pitch alone may be any wrong one; an octave is heard as the same note.
        let is_sure = enough(counted.right, target, played) && (counted.pitches > 1 || by % 12 == 0);
        if is_sure && counted.right > best.0.right {
            best = (counted, pairs, by);
        }
    }
    (best.1, best.2)
}

/// Whether so many right notes leave no doubt where the music was played: three in five of those that can be right.
fn enough(right: usize, target: &[TimedNote], played: &[TimedNote]) -> bool {
    right >= 3 && 5 * right >= 3 * target.len().min(played.len())
}

/// What pairs come to.
struct Counted {
    right: usize,
    /// How many pitches there are among those.
    pitches: usize,
}

impl Counted {
    fn of(target: &[TimedNote], played: &[TimedNote], pairs: &[Pair]) -> Counted {
        let right = pairs.iter().filter(|pair| target[pair.target].midi == played[pair.played].midi);
        let pitches: Vec<MidiNote> = right.map(|pair| target[pair.target].midi).collect();
        let is_first = |(index, midi): &(usize, &MidiNote)| !pitches[..*index].contains(midi);
        Counted { right: pitches.len(), pitches: pitches.iter().enumerate().filter(is_first).count() }
    }
}

/// The notes by onset, and where each stood; of equal onsets the first given comes first.
fn in_time(notes: &[TimedNote]) -> (Vec<TimedNote>, Vec<usize>) {
    let mut order: Vec<usize> = (0..notes.len()).collect();
    order.sort_by(|one, other| notes[*one].onset.0.total_cmp(&notes[*other].onset.0));
    (order.iter().map(|index| notes[*index]).collect(), order)
}

/// The pairs that count, of notes that ascend by onset. Who is taken to stay in the band's tempo is understood best where
/// that is so; where the tempo moves the other explanation is the cheaper one.
fn in_order(target: &[TimedNote], played: &[TimedNote]) -> Vec<Pair> {
    let stretches = lateness::follow(target, played, READING);
    let explanations = [&[drift::STEADY][..], &drift::PLAYERS];
    let explained = explanations.map(|players| explain(target, played, &stretches, players));
    let best = explained.into_iter().min_by(|one, other| one.price.total_cmp(&other.price));
    best.map_or_else(Vec::new, |best| {
        attempts::settle(best.attempts.into_iter().map(|attempt| attempt.pairs))
    })
}

struct Explanation {
    attempts: Vec<Attempt>,
    /// Minus the logarithm of how likely it is.
    price: f64,
}

/// Explains `played` note by note, where it began as `stretches` have it and the place is that of one of `players`.
fn explain(
    target: &[TimedNote],
    played: &[TimedNote],
    stretches: &[Stretch],
    players: &'static [Player],
) -> Explanation {
    let first = |stretch: &Stretch| {
        let mut attempt = Attempt {
            plays: stretch.plays.clone(),
            players,
            place: Place::default(),
            pairs: stretch.pairs.clone(),
        };
        attempt.find_place(target, played, FIRST);
        attempt
    };
    let mut attempts: Vec<Attempt> = stretches.iter().map(first).collect();
    let mut chances = FIRST;
    for round in 0..ROUNDS {
        let last = attempts.len().saturating_sub(1);
        for (index, attempt) in attempts.iter_mut().enumerate() {
            let ends = Ends { begins_anywhere: index > 0, stops_anywhere: index < last };
            attempt.pair_up(target, played, chances, ends);
        }
        if round + 1 < ROUNDS {
            for attempt in &mut attempts {
                attempt.find_place(target, played, chances);
            }
            chances = estimated(target, played, &attempts);
            for index in 1..attempts.len() {
                move_border(target, played, &mut attempts[index - 1..=index], chances);
            }
            attempts.retain(|attempt| !attempt.plays.is_empty());
        }
    }
    let price = price(target, played, &mut attempts);
    Explanation { attempts, price }
}

/// What an explanation costs at the chances that are assumed at first, so that two can be compared.
fn price(target: &[TimedNote], played: &[TimedNote], attempts: &mut [Attempt]) -> f64 {
    let prices = Prices::new(FIRST);
    let (mut sum, mut pairs, mut is_hit) = (0.0, 0, vec![false; target.len()]);
    for attempt in attempts.iter_mut() {
        sum += attempt.find_place(target, played, FIRST) + lateness::JUMP;
        pairs += attempt.pairs.len();
        for pair in &attempt.pairs {
            is_hit[pair.target] = true;
            let is_right = target[pair.target].midi == played[pair.played].midi;
            sum += if is_right { prices.right } else { prices.wrong };
        }
    }
    let mut was_hit = true;
    for is_hit in is_hit {
        sum += match (was_hit, is_hit) {
            (_, true) => 0.0,
            (true, false) => prices.miss,
            (false, false) => prices.miss_on,
        };
        was_hit = is_hit;
    }
    sum + (played.len() - pairs) as f64 * prices.extra
}

/// Gives each note about the border of two attempts to the one that explains it best.
fn move_border(target: &[TimedNote], played: &[TimedNote], attempts: &mut [Attempt], chances: Chances) {
    let [before, after] = attempts else { return };
    let first = before.plays.start;
    let own = &played[first..after.plays.end];
    let until = prefixes(target, own, &before.place, chances);
    // The other way round in time, what follows comes first.
    let backwards = |notes: &[TimedNote]| -> Vec<TimedNote> {
        notes.iter().rev().map(|note| TimedNote { onset: AudioTime(-note.onset.0), ..*note }).collect()
    };
    let from = prefixes(&backwards(target), &backwards(own), &after.place.backwards(), chances);
    // Where one of the two takes all there was no new beginning.
    let jump = |split: usize| if split == 0 || split == own.len() { 0.0 } else { lateness::JUMP };
    let price = |split: &usize| until[*split] + from[own.len() - split] + jump(*split);
    let split = (0..=own.len()).min_by(|one, other| price(one).total_cmp(&price(other))).unwrap_or(0);
    before.plays.end = first + split;
    after.plays.start = first + split;
}

/// What a player did between two new beginnings.
struct Attempt {
    plays: std::ops::Range<usize>,
    /// Whom the player is taken for.
    players: &'static [Player],
    place: Place,
    pairs: Vec<Pair>,
}

impl Attempt {
    fn pair_up(&mut self, target: &[TimedNote], played: &[TimedNote], chances: Chances, ends: Ends) {
        let own = &played[self.plays.clone()];
        self.pairs = pairs(target, own, &self.place, chances, ends);
        for pair in &mut self.pairs {
            pair.played += self.plays.start;
        }
    }

    /// Finds the place from the pairs, and gives minus the logarithm of how likely they are.
    fn find_place(&mut self, target: &[TimedNote], played: &[TimedNote], chances: Chances) -> f64 {
        let seen = |pair: &Pair| {
            let (at, late) = (target[pair.target].onset.0, late(target, played, *pair));
            let off = late - self.place.at(at);
            let is_stray = self.place.is_known() && off.abs() > 3.0 * chances.spread;
            let spread = if is_stray { STRAY_SECONDS } else { chances.spread };
            Seen { at, late, variance: spread * spread }
        };
        let mut seen: Vec<Seen> = self.pairs.iter().map(seen).collect();
        seen.sort_by(|one, other| one.at.total_cmp(&other.at));
        if seen.is_empty() {
            return 0.0;
        }
        let (place, price) = Place::smoothed(&seen, self.players);
        self.place = place;
        price
    }

    /// How many target notes lie between the first pair and the last, both included.
    fn span(&self) -> usize {
        match (self.pairs.first(), self.pairs.last()) {
            (Some(first), Some(last)) => last.target.abs_diff(first.target) + 1,
            _ => 0,
        }
    }
}

fn late(target: &[TimedNote], played: &[TimedNote], pair: Pair) -> f64 {
    (played[pair.played].onset - target[pair.target].onset).0
}

/// The chances that the pairs found so far speak for.
fn estimated(target: &[TimedNote], played: &[TimedNote], attempts: &[Attempt]) -> Chances {
    let (mut off, mut wrong, mut missed, mut runs, mut lasts) = (Vec::new(), 0.0, 0.0, 0.0, 0.0);
    for attempt in attempts {
        for pair in &attempt.pairs {
            off.push((late(target, played, *pair) - attempt.place.at(target[pair.target].onset.0)).abs());
            wrong += f64::from(u8::from(target[pair.target].midi != played[pair.played].midi));
        }
        missed += attempt.span().saturating_sub(attempt.pairs.len()) as f64;
        let gaps = attempt.pairs.windows(2).filter(|two| two[1].target > two[0].target + 1);
        runs += gaps.count() as f64;
        let own = &played[attempt.plays.clone()];
        lasts += own.last().zip(own.first()).map_or(0.0, |(last, first)| (last.onset - first.onset).0);
    }
    let pairs = off.len() as f64;
    let extra = played.len() as f64 - pairs;
    let share = |count: f64, of: f64, first: f64, weight: f64| (count + first * weight) / (of + weight);
    // The median absolute deviation of a normal distribution is 0.67449 standard deviations (F. R. Hampel, "The
    // influence curve and its role in robust estimation", JASA 69, 1974, 383–393), so strays do not count.
    let spread = median(&off).filter(|_| off.len() >= 8).map_or(FIRST.spread, |middle| 1.4826 * middle);
    Chances {
        spread: spread.clamp(SPREADS.0, SPREADS.1),
        miss: share(missed, pairs + missed, FIRST.miss, PRIOR_NOTES),
        miss_on: share(missed - runs, missed, FIRST.miss_on, PRIOR_NOTES / 5.0),
        wrong: share(wrong, pairs, FIRST.wrong, PRIOR_NOTES),
        extra: share(extra, lasts, FIRST.extra, PRIOR_NOTES / 3.0),
    }
}

fn explained(mut pairs: Vec<Pair>, targets: usize, plays: usize) -> Alignment {
    pairs.sort_unstable();
    let mut is_hit = vec![false; targets];
    let mut is_used = vec![false; plays];
    for pair in &pairs {
        is_hit[pair.target] = true;
        is_used[pair.played] = true;
    }
    let absent = |flags: &[bool]| (0..flags.len()).filter(|index| !flags[*index]).collect();
    Alignment { missed: absent(&is_hit), extra: absent(&is_used), pairs, transposed: 0 }
}
