//! What is worth a word after a pass: of the notes and of the time one remark each, the most useful one.
//!
//! A remark is only made where the figures say so: what was left out is named, or nothing is said of it.

use crate::practice::TimedNote;
use crate::practice::pass::{Drift, Goal, Pass};
use crate::practice::swing::Against;
use crate::practice::window::just_noticeable;
use crate::rhythm::feel::SwingRatio;
use crate::units::Seconds;

/// What is worth a word after a pass.
#[derive(Clone, Debug, PartialEq)]
pub struct Remarks {
    /// Of the notes.
    pub notes: Notes,
    /// By how many half steps all of them were higher, negative = lower.
    pub transposed: i32,
    /// How steadily they came; `None` for too few to tell.
    pub steady: Option<Steady>,
    /// Of the time.
    pub time: Time,
}

/// Of the notes. A bar is one of the form, index from 0, or `None` before bar 1; a note is one of the riff, index from 0.
#[derive(Clone, Debug, PartialEq)]
pub enum Notes {
    /// Nothing was played.
    Listened,
    /// What was played had nothing to do with what was asked for.
    SomethingElse,
    /// All of them.
    All,
    /// All of them, and one of them sounded twice: in one bar, or each time.
    Twice {
        /// Which.
        note: usize,
        /// Where.
        at: When,
    },
    /// All of them and one more.
    OneMore {
        /// Where.
        bar: Option<usize>,
    },
    /// All of them and some more.
    SomeMore,
    /// The pass was begun at a later round, from where on all or most of the notes are there.
    From {
        /// Where the player came in.
        bar: Option<usize>,
        /// All of them.
        all: Share,
    },
    /// The pass was broken off before the last round; until then all or most of the notes are there.
    UpTo {
        /// The last bar of the last round that was played.
        bar: Option<usize>,
        /// Whether that is about half.
        half: Half,
        /// All of them.
        all: Share,
    },
    /// The first notes of the riff were there each time and no others.
    First {
        /// How many.
        count: usize,
        /// Whether that is half.
        half: Half,
    },
    /// The last notes of the riff were there each time and no others.
    Last {
        /// How many.
        count: usize,
        /// Whether that is half.
        half: Half,
    },
    /// The end of the riff was left out each time.
    Ending {
        /// Which notes, ascending.
        left_out: Vec<usize>,
        /// Whether it was really each time, or most of the times.
        often: Share,
        /// Whether all the others are there.
        rest: Share,
    },
    /// The same slips each time, two at the most.
    Each {
        /// What was different.
        different: Vec<Different>,
        /// What was left out.
        left_out: Vec<usize>,
        /// Whether it was really each time, or most of the times.
        often: Share,
        /// Whether all the others are there.
        rest: Share,
    },
    /// One slip or two in all.
    Slips(Vec<Slip>),
    /// At least three in five.
    Most,
    /// About half.
    AboutHalf,
    /// Fewer.
    Some,
}

/// All or most.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Share {
    /// All.
    All,
    /// Not quite all.
    Most,
}

/// Whether something is about half.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Half {
    /// It is.
    Half,
    /// It is not.
    Other,
}

/// When something happened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum When {
    /// Each time, or nearly.
    Each,
    /// Once, in this bar.
    Once(Option<usize>),
}

/// A note that was played in place of another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Different {
    /// Which note of the riff.
    pub note: usize,
    /// By how many half steps it was higher, negative = lower.
    pub higher: i32,
}

/// One slip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Slip {
    /// Which note of the riff.
    pub note: usize,
    /// Where.
    pub bar: Option<usize>,
    /// By how many half steps it was higher; `None` where it was left out.
    pub higher: Option<i32>,
}

/// How steadily notes came.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Steady {
    /// As steadily as people tap.
    Steady,
    /// Nearly.
    Nearly,
    /// Some early, some late.
    Scattered,
}

/// Of the time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Time {
    /// Too few right notes to tell.
    TooFew,
    /// The whole was begun so many beats late, negative = early.
    Elsewhere {
        /// Never 0.
        beats: i32,
        /// What happened from there on.
        then: Drift,
    },
    /// The player stopped once or more and went on.
    Stopped {
        /// The bar in which the player went on.
        bar: Option<usize>,
    },
    /// Later and later.
    FallsBack,
    /// Sooner and sooner.
    GetsAhead,
    /// Faster and slower by turns.
    Sways,
    /// Some notes early, some late.
    Scattered,
    /// Off the beat by more than a little, positive = late.
    Off(Seconds),
    /// One note comes late each time, or early.
    Habit {
        /// Which note of the riff.
        note: usize,
        /// Positive = late.
        late: Seconds,
    },
    /// Off-beats sooner than the drums'.
    Straighter,
    /// Off-beats later than the drums'.
    Lazier,
    /// A little off the beat, positive = late.
    ALittle(Seconds),
    /// On the beat, as far as is known.
    With,
}

/// Taps with a metronome spread by about a twentieth of its interval: 5.4 % at 600 ms in the open data of R. Bååth and
/// G. Madison ("The subjective difficulty of tapping to a slow beat", ICMPC 12, 2012). Steadier than that is steady.
const STEADY_OF_BEAT: f64 = 0.054;
/// Twice that is nearly steady; tuned by ear.
const NEARLY_OF_BEAT: f64 = 0.108;
/// Below a twelfth of a beat a place is "a little" off: the usual window.
const LITTLE_OF_BEAT: f64 = 1.0 / 12.0;
/// Fewer right notes tell nothing of time.
const FEWEST: usize = 3;
/// Something happens each time where it happens in at least this share of the times, and twice.
const EACH: f64 = 0.75;
/// The same note again sooner than this is that note sounding twice.
const TWICE_SECONDS: f64 = 0.25;

impl Remarks {
    /// What is worth a word of `pass`, in which `goals` were asked for and `played` was heard, both ascending, with the
    /// band's swing. `bias` is the pass's own where early and late can be told, else `None`.
    pub fn of(
        pass: &Pass,
        goals: &[Goal],
        played: &[TimedNote],
        drums: SwingRatio,
        bias: Option<Seconds>,
    ) -> Remarks {
        let steady = steady(pass);
        Remarks {
            notes: Told::of(pass, goals, played).notes(),
            transposed: pass.alignment.transposed,
            steady,
            time: time(pass, goals, drums, bias, steady),
        }
    }
}

/// Whether a place is off the beat by more than a little.
pub fn is_off(bias: Seconds, beat: Seconds) -> bool {
    bias.0.abs() >= LITTLE_OF_BEAT * beat.0
}

fn steady(pass: &Pass) -> Option<Steady> {
    let steadiness = pass.steadiness.filter(|_| pass.figures.right >= FEWEST)?;
    Some(match steadiness.0 / pass.beat.0 {
        share if share <= STEADY_OF_BEAT => Steady::Steady,
        share if share <= NEARLY_OF_BEAT => Steady::Nearly,
        _ => Steady::Scattered,
    })
}

fn time(
    pass: &Pass,
    goals: &[Goal],
    drums: SwingRatio,
    bias: Option<Seconds>,
    steady: Option<Steady>,
) -> Time {
    let Some(steady) = steady else { return Time::TooFew };
    if let Some(beats) = pass.elsewhere {
        return Time::Elsewhere { beats, then: pass.drift };
    }
    if let Some(stop) = pass.stops.first() {
        return Time::Stopped { bar: goals[*stop].bar };
    }
    let off = bias.filter(|bias| is_off(*bias, pass.beat));
    match (pass.drift, off) {
        (Drift::Away(change), _) if change.0 > 0.0 => return Time::FallsBack,
        (Drift::Away(_), _) => return Time::GetsAhead,
        (Drift::Sways(_), _) => return Time::Sways,
        _ if steady == Steady::Scattered => return Time::Scattered,
        (_, Some(off)) => return Time::Off(off),
        (Drift::Steady, None) => {}
    }
    if let Some(habit) = pass.habits.first() {
        return Time::Habit { note: habit.of_riff, late: habit.lateness };
    }
    match pass.swing.map(|swing| swing.against(drums, pass.beat)) {
        Some(Against::Straighter) => return Time::Straighter,
        Some(Against::Lazier) => return Time::Lazier,
        Some(Against::Alike) | None => {}
    }
    let little = bias.filter(|bias| bias.0.abs() >= just_noticeable(pass.beat).0);
    little.map_or(Time::With, Time::ALittle)
}

/// What became of a note that was asked for.
#[derive(Clone, Copy, PartialEq)]
enum Fate {
    Right,
    /// So many half steps higher.
    Different(i32),
    LeftOut,
}

/// A pass note by note.
struct Told<'a> {
    goals: &'a [Goal],
    fates: Vec<Fate>,
    /// For each goal which time round it is, from 0.
    rounds: Vec<usize>,
    /// Extra notes: the note of the riff that sounded twice, or `None`, and the bar.
    extra: Vec<(Option<usize>, Option<usize>)>,
    played: usize,
}

impl Told<'_> {
    fn of<'a>(pass: &Pass, goals: &'a [Goal], played: &[TimedNote]) -> Told<'a> {
        let alignment = &pass.alignment;
        let mut fates = vec![Fate::LeftOut; goals.len()];
        let mut meant = vec![None; played.len()];
        for pair in &alignment.pairs {
            let (goal, note) = (goals[pair.target].note.midi, played[pair.played].midi);
            let higher = i32::from(note.number()) - i32::from(goal.number()) - alignment.transposed;
            fates[pair.target] = if higher == 0 { Fate::Right } else { Fate::Different(higher) };
            meant[pair.played] = Some(pair.target);
        }
        let mut round = 0;
        let mut rounds = Vec::with_capacity(goals.len());
        for (index, goal) in goals.iter().enumerate() {
            if index > 0 && goal.of_riff <= goals[index - 1].of_riff {
                round += 1;
            }
            rounds.push(round);
        }
        let extra = |extra: &usize| {
            let note = played[*extra];
            let is_near = |other: usize| {
                played[other].midi == note.midi && (played[other].onset - note.onset).0.abs() < TWICE_SECONDS
            };
            let near = [extra.wrapping_sub(1), extra + 1].into_iter().filter(|other| *other < played.len());
            let again = near.filter(|other| is_near(*other)).find_map(|other| meant[other]);
            let before = goals.iter().rposition(|goal| goal.note.onset <= note.onset);
            (again.map(|goal| goals[goal].of_riff), bar_of(goals, before, note))
        };
        let extra = alignment.extra.iter().map(extra).collect();
        Told { goals, fates, rounds, extra, played: played.len() }
    }

    fn right(&self) -> usize {
        self.fates.iter().filter(|fate| **fate == Fate::Right).count()
    }

    fn notes(&self) -> Notes {
        if self.played == 0 {
            return Notes::Listened;
        }
        let right = self.right();
        if 4 * right < self.goals.len().min(self.played) || self.goals.is_empty() {
            return Notes::SomethingElse;
        }
        let is_played = |fate: &Fate| *fate != Fate::LeftOut;
        let first = self.fates.iter().position(is_played).unwrap_or(0);
        let last = self.fates.iter().rposition(is_played).unwrap_or(0);
        // Each time round may have left out its own beginning or end.
        let (first_round, last_round) = (self.rounds[first], self.rounds[last]);
        let in_rounds =
            (0..self.goals.len()).filter(|goal| (first_round..=last_round).contains(&self.rounds[*goal]));
        let goals: Vec<usize> = in_rounds.collect();
        let faults = goals.iter().filter(|goal| self.fates[**goal] != Fate::Right).count();
        let all = if faults == 0 { Share::All } else { Share::Most };
        let is_mostly = 4 * faults <= goals.len();
        if first_round > 0 && is_mostly {
            return Notes::From { bar: self.goals[first].bar, all };
        }
        if self.rounds.last().is_some_and(|rounds| last_round < *rounds) && is_mostly {
            let share = right as f64 / self.goals.len() as f64;
            let half = if (0.4..=0.6).contains(&share) { Half::Half } else { Half::Other };
            let next = self.rounds.iter().position(|round| *round > last_round);
            let before_next = next.and_then(|next| self.goals[next].bar).and_then(|bar| bar.checked_sub(1));
            return Notes::UpTo { bar: before_next.or(self.goals[last].bar), half, all };
        }
        self.each_time(&goals).or_else(|| self.slips(&goals, faults)).unwrap_or_else(|| self.by_share(&goals))
    }

    /// What was the same each time.
    fn each_time(&self, goals: &[usize]) -> Option<Notes> {
        let length = goals.iter().map(|goal| self.goals[*goal].of_riff + 1).max()?;
        let mut left_out = Vec::new();
        let mut different = Vec::new();
        let mut explained = 0;
        let mut often = Share::All;
        for note in 0..length {
            let fates = goals.iter().filter(|goal| self.goals[**goal].of_riff == note);
            let fates: Vec<Fate> = fates.map(|goal| self.fates[*goal]).collect();
            let wanted = |count: usize| count >= 2 && count as f64 >= EACH * fates.len() as f64;
            let count = |fate: Fate| fates.iter().filter(|other| **other == fate).count();
            let usual = |fate: &&Fate| **fate != Fate::Right && wanted(count(**fate));
            let Some(usual) = fates.iter().find(usual) else { continue };
            match usual {
                Fate::Different(higher) => different.push(Different { note, higher: *higher }),
                _ => left_out.push(note),
            }
            explained += count(*usual);
            if count(*usual) < fates.len() {
                often = Share::Most;
            }
        }
        let faults = goals.iter().filter(|goal| self.fates[**goal] != Fate::Right).count();
        let rest = if explained == faults && self.extra.is_empty() { Share::All } else { Share::Most };
        let out = left_out.len();
        if out + different.len() == 0 {
            return None;
        }
        let (kept, half) = (length - out, if 2 * out == length { Half::Half } else { Half::Other });
        let is_end = left_out.iter().eq((kept..length).collect::<Vec<_>>().iter());
        let is_start = left_out.iter().eq((0..out).collect::<Vec<_>>().iter());
        match different.len() {
            0 if is_end && (2 * out >= length || out > 3) => Some(Notes::First { count: kept, half }),
            0 if is_start && (2 * out >= length || out > 2) => Some(Notes::Last { count: kept, half }),
            0 if is_end => Some(Notes::Ending { left_out, often, rest }),
            others if others + out <= 2 => Some(Notes::Each { different, left_out, often, rest }),
            _ => None,
        }
    }

    /// What is left where nothing was the same each time: one slip or two, or notes too many.
    fn slips(&self, goals: &[usize], faults: usize) -> Option<Notes> {
        if faults == 0 {
            return Some(self.more());
        }
        let slip = |goal: &usize| {
            let higher = match self.fates[*goal] {
                Fate::Right => return None,
                Fate::Different(higher) => Some(higher),
                Fate::LeftOut => None,
            };
            Some(Slip { note: self.goals[*goal].of_riff, bar: self.goals[*goal].bar, higher })
        };
        (faults <= 2 && 2 * faults < goals.len())
            .then(|| Notes::Slips(goals.iter().filter_map(slip).collect()))
    }

    fn more(&self) -> Notes {
        let Some(&(again, bar)) = self.extra.first() else { return Notes::All };
        match again.filter(|note| self.extra.iter().all(|(other, _)| *other == Some(*note))) {
            Some(note) if self.extra.len() == 1 => Notes::Twice { note, at: When::Once(bar) },
            Some(note) => {
                let times = self.goals.iter().filter(|goal| goal.of_riff == note).count();
                let is_each = self.extra.len() as f64 >= EACH * times as f64;
                if is_each { Notes::Twice { note, at: When::Each } } else { Notes::SomeMore }
            }
            None if self.extra.len() == 1 => Notes::OneMore { bar },
            None => Notes::SomeMore,
        }
    }

    fn by_share(&self, goals: &[usize]) -> Notes {
        match self.right() as f64 / goals.len().max(1) as f64 {
            share if share >= 0.6 => Notes::Most,
            share if share >= 0.4 => Notes::AboutHalf,
            _ => Notes::Some,
        }
    }
}

/// The bar in which `note` was played, where `before` is the last goal that ought to have sounded by then; `None` where
/// that cannot be told.
fn bar_of(goals: &[Goal], before: Option<usize>, note: TimedNote) -> Option<usize> {
    let goal = &goals[before?];
    let bar = goal.bar?;
    let other = goals.iter().find(|other| other.bar.is_some_and(|other| other > bar))?;
    let length = (other.bar_start - goal.bar_start).0 / (other.bar? - bar) as f64;
    let later = ((note.onset - goal.bar_start).0 / length.max(1e-9)).floor();
    (later >= 0.0).then_some(bar + later as usize)
}
