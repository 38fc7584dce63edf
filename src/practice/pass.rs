//! A whole pass: where the player sits, how steadily, on the beat and off it; where the tempo went; what each recurring
//! note does; how the click is met again after silence.

use std::collections::BTreeMap;
use std::ops::Range;

use crate::practice::TimedNote;
use crate::practice::align::{Alignment, Pair, align};
use crate::practice::figures::{Figures, deviation, lateness, median, right_pairs, sample_deviation};
use crate::practice::own_tempo::OwnTempo;
use crate::practice::swing::{OffBeat, OwnSwing};
use crate::practice::window::{Window, just_noticeable};
use crate::units::{AudioTime, Seconds};

/// A note that is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Goal {
    /// When it ought to sound, with the band's swing, and which.
    pub note: TimedNote,
    /// Where in the beat it is written.
    pub place: Place,
    /// When its beat begins.
    pub beat_start: AudioTime,
    /// How long its beat lasts; above 0.
    pub beat: Seconds,
    /// Which note of the riff it is: the same number each time the riff comes round.
    pub of_riff: usize,
    /// The bar of the form in which it begins, index from 0; `None` before bar 1.
    pub bar: Option<usize>,
    /// When that bar begins.
    pub bar_start: AudioTime,
}

/// Where in its beat a note is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Place {
    /// On the beat.
    OnBeat,
    /// On the second half of a beat in halves, which swing moves.
    OffBeat,
    /// Anywhere else.
    Between,
}

/// What one note does each time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Habit {
    /// Which note of the riff.
    pub of_riff: usize,
    /// Its median lateness against where the player sits; positive = late.
    pub lateness: Seconds,
    /// How often it was right.
    pub times: usize,
}

/// How a player moved against the band, beyond what nobody hears.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Drift {
    /// Hardly.
    Steady,
    /// From the first right note to the last by so much, positive = later and later.
    Away(Seconds),
    /// Up and down, by so much between the furthest places.
    Sways(Seconds),
}

/// The first right note after a silence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReEntry {
    /// Which target note.
    pub target: usize,
    /// How late it was against where the player sat before the silence; against the beat where nothing came before.
    pub lateness: Seconds,
}

/// A pass, measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Pass {
    /// Which note stands for which.
    pub alignment: Alignment,
    /// The figures of all right notes against the target, swing left in.
    pub figures: Figures,
    /// Where the player sits, about the tempo that was really played and as it was at the first note asked for: the
    /// median lateness on the beat, or of all right notes where too few are on the beat; `None` without a right note.
    pub bias: Option<Seconds>,
    /// By how many whole beats the riff as a whole was begun elsewhere, positive = late; `None` where it was begun in
    /// its place. Then no note is in time: [`Pass::in_time_in_place`].
    pub elsewhere: Option<i32>,
    /// How steadily: the deviation of what is left once the player's place, tempo and own swing are taken away; `None`
    /// for fewer than two right notes.
    pub steadiness: Option<Seconds>,
    /// The player's own swing, where there are off-beats enough.
    pub swing: Option<OwnSwing>,
    /// How the player moved against the band.
    pub drift: Drift,
    /// Target notes at which the player went on after a stop, with the next note and later than the band, ascending.
    pub stops: Vec<usize>,
    /// Right notes that lie in the window about the player's own place and swing, in the band's tempo, on whatever beat the
    /// riff was begun.
    pub in_time: usize,
    /// Notes of the riff that are early or late again and again, the furthest first.
    pub habits: Vec<Habit>,
    /// How each silence was left, in order.
    pub re_entries: Vec<ReEntry>,
    /// The median length of the beats asked for.
    pub beat: Seconds,
}

/// Right notes on the beat that tell where a player sits.
const FEWEST_ON_BEAT: usize = 3;
/// Who ends this share of the furthest way from where the music began went away, and did not come back.
const AWAY: f64 = 0.6;
/// How often a note must have come for a habit.
const FEWEST_TIMES: usize = 3;

impl Pass {
    /// Measures `played` against `goals`, both ascending by onset and no longer than
    /// [`MOST_NOTES`](crate::practice::align::MOST_NOTES). `silences` are the stretches without click or band.
    pub fn of(goals: &[Goal], played: &[TimedNote], window: Window, silences: &[Range<AudioTime>]) -> Pass {
        let target: Vec<TimedNote> = goals.iter().map(|goal| goal.note).collect();
        let alignment = align(&target, played);
        let right = Right::of(goals, &target, played, right_pairs(&target, played, &alignment));
        let bias = right.bias();
        let swing = OwnSwing::of(&right.off_beats(bias));
        let left = right.left(bias, swing);
        let beats: Vec<f64> = goals.iter().map(|goal| goal.beat.0).collect();
        let beat = Seconds(median(&beats).unwrap_or(0.0));
        let elsewhere = bias.and_then(|bias| beats_elsewhere(bias, beat));
        let drift = right.drift(beat);
        let in_time = right.against_the_band(&left, drift).filter(|off| window.holds(Seconds(*off))).count();
        Pass {
            figures: Figures::of(&target, played, &alignment),
            bias,
            elsewhere,
            steadiness: deviation(&left, right.own.as_ref().map_or(0, OwnTempo::freedom)).map(Seconds),
            swing,
            drift,
            stops: right.stops(),
            in_time,
            habits: right.habits(&left, beat),
            re_entries: silences.iter().filter_map(|silence| right.re_entry(silence)).collect(),
            beat,
            alignment,
        }
    }
}

impl Pass {
    /// Right notes that count where the riff ought to stand: an octave is the same riff, and what was played in another
    /// key is not all of it.
    pub fn right_in_place(&self) -> usize {
        let asked = self.alignment.pairs.len() + self.alignment.missed.len();
        let most = if self.alignment.transposed % 12 == 0 { asked } else { asked.saturating_sub(1) };
        self.figures.right.min(most)
    }

    /// Notes in time that count where the riff ought to stand: on another beat none is.
    pub fn in_time_in_place(&self) -> usize {
        if self.elsewhere.is_some() { 0 } else { self.in_time }
    }
}

/// Beyond this share of a beat a place nearer than the meant beat is another beat; common practice, no source.
const ANOTHER_BEAT: f64 = 0.6;
/// Nearer than this a device's delay, which may not be known, can be all of it: wireless headphones reach 0.3 s.
const DELAY_AT_MOST: Seconds = Seconds(0.35);

/// By how many beats a player who sits `bias` from the beat has begun elsewhere.
fn beats_elsewhere(bias: Seconds, beat: Seconds) -> Option<i32> {
    let is_elsewhere = beat.0 > 0.0 && bias.0.abs() >= (ANOTHER_BEAT * beat.0).max(DELAY_AT_MOST.0);
    is_elsewhere.then(|| {
        let beats = (bias.0 / beat.0).round() as i32;
        if beats == 0 { bias.0.signum() as i32 } else { beats }
    })
}

/// The right notes of a pass.
struct Right<'a> {
    goals: &'a [Goal],
    target: &'a [TimedNote],
    played: &'a [TimedNote],
    /// Ascending by target.
    pairs: Vec<Pair>,
    /// The tempo on the beats; `None` without a right note.
    own: Option<OwnTempo>,
    /// When the first note asked for ought to sound.
    begin: f64,
}

/// How often swing and tempo are found anew, each with the other taken away; it halves what is left each time.
const TURNS: usize = 12;

impl<'a> Right<'a> {
    fn of(
        goals: &'a [Goal],
        target: &'a [TimedNote],
        played: &'a [TimedNote],
        pairs: Vec<Pair>,
    ) -> Right<'a> {
        let begin = target.first().map_or(0.0, |note| note.onset.0);
        let mut right = Right { goals, target, played, pairs, own: None, begin };
        right.own = right.own_tempo();
        right
    }

    /// Off-beats lie on a curve of their own, as far from that of the beats as the player swings otherwise than the drums.
    fn own_tempo(&self) -> Option<OwnTempo> {
        let when: Vec<f64> = self.pairs.iter().map(|pair| self.target[pair.target].onset.0).collect();
        let late: Vec<f64> = self.pairs.iter().map(|pair| self.late(*pair)).collect();
        let is_off = |pair: &Pair| self.goals[pair.target].place == Place::OffBeat;
        let is_on = |pair: &Pair| self.goals[pair.target].place == Place::OnBeat;
        let count = |is: &dyn Fn(&Pair) -> bool| self.pairs.iter().filter(|pair| is(pair)).count();
        if count(&is_off) < FEWEST_ON_BEAT || count(&is_on) < FEWEST_ON_BEAT {
            return OwnTempo::through(&when, &late);
        }
        let beat = |pair: &Pair| self.goals[pair.target].beat.0;
        let (mut shift, mut own) = (0.0, None);
        for _ in 0..TURNS {
            let of_beats =
                |(pair, late): (&Pair, &f64)| late - if is_off(pair) { shift * beat(pair) } else { 0.0 };
            let moved: Vec<f64> = self.pairs.iter().zip(&late).map(of_beats).collect();
            let found = OwnTempo::through(&when, &moved)?;
            let off = self.pairs.iter().zip(&late).filter(|(pair, _)| is_off(pair));
            let off: Vec<f64> = off
                .map(|(pair, late)| (late - found.at(self.target[pair.target].onset.0)) / beat(pair))
                .collect();
            shift = median(&off).unwrap_or(shift);
            own = Some(found);
        }
        own
    }

    fn late(&self, pair: Pair) -> f64 {
        lateness(self.target, self.played, pair).0
    }

    /// How much later than at the beginning the player was at this note of the target.
    fn moved(&self, target: usize) -> f64 {
        self.own.as_ref().map_or(0.0, |own| own.about(self.target[target].onset.0, self.begin))
    }

    fn bias(&self) -> Option<Seconds> {
        let about = |pair: &Pair| self.late(*pair) - self.moved(pair.target);
        let on_beat = self.pairs.iter().filter(|pair| self.goals[pair.target].place == Place::OnBeat);
        let on_beat: Vec<f64> = on_beat.map(about).collect();
        if on_beat.len() >= FEWEST_ON_BEAT {
            return median(&on_beat).map(Seconds);
        }
        median(&self.pairs.iter().map(about).collect::<Vec<_>>()).map(Seconds)
    }

    fn off_beats(&self, bias: Option<Seconds>) -> Vec<OffBeat> {
        let off = self.pairs.iter().filter(|pair| self.goals[pair.target].place == Place::OffBeat);
        off.filter_map(|pair| Some(self.off_beat(*pair, bias?))).collect()
    }

    /// The off-beat on the beat as it was really played.
    fn off_beat(&self, pair: Pair, bias: Seconds) -> OffBeat {
        let goal = self.goals[pair.target];
        let (moved, rate) = self.own.as_ref().map_or((0.0, 0.0), |own| {
            let at = goal.beat_start.0;
            let stopped = own.stopped(goal.note.onset.0);
            (own.smooth(at) - own.smooth(self.begin) + stopped, own.rate(at))
        });
        let since_beat = self.played[pair.played].onset - goal.beat_start - bias - Seconds(moved);
        OffBeat { since_beat, beat: Seconds(goal.beat.0 * (1.0 + rate)) }
    }

    /// For each pair how late it is once the player's place, tempo and own swing are taken away, in seconds.
    fn left(&self, bias: Option<Seconds>, swing: Option<OwnSwing>) -> Vec<f64> {
        let bias = bias.unwrap_or_default();
        let off = |pair: &Pair| match (self.goals[pair.target].place, swing) {
            (Place::OffBeat, Some(swing)) => swing.lateness(self.off_beat(*pair, bias)).0,
            _ => self.late(*pair) - self.moved(pair.target) - bias.0,
        };
        self.pairs.iter().map(off).collect()
    }

    /// The same with a tempo of the player's own left in, and stops.
    fn against_the_band(&self, left: &[f64], drift: Drift) -> impl Iterator<Item = f64> {
        self.pairs.iter().zip(left).map(move |(pair, left)| {
            let at = self.target[pair.target].onset.0;
            let stopped = self.own.as_ref().map_or(0.0, |own| own.stopped(at));
            left + if drift == Drift::Steady { stopped } else { self.moved(pair.target) }
        })
    }

    fn drift(&self, beat: Seconds) -> Drift {
        let Some(own) = self.own.as_ref().filter(|own| own.degree() > 0) else { return Drift::Steady };
        let places = self.pairs.iter().map(|pair| own.smooth(self.target[pair.target].onset.0));
        let places: Vec<f64> = places.collect();
        let least = places.iter().copied().fold(f64::INFINITY, f64::min);
        let most = places.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let away = places.last().zip(places.first()).map_or(0.0, |(last, first)| last - first);
        let heard = 2.0 * just_noticeable(beat).0;
        if away.abs() > heard && away.abs() >= AWAY * (most - least) {
            Drift::Away(Seconds(away))
        } else if most - least > 2.0 * heard {
            Drift::Sways(Seconds(most - least))
        } else {
            Drift::Steady
        }
    }

    fn stops(&self) -> Vec<usize> {
        let own = self.own.iter().flat_map(|own| &own.stops).filter(|(_, by)| *by > 0.0);
        let goal = |from: f64| self.pairs.iter().find(|pair| self.target[pair.target].onset.0 >= from);
        own.filter_map(|(from, _)| goal(*from)).map(|pair| pair.target).collect()
    }

    /// A note has a habit where its median can be heard, and lies further out than twice the standard error of a
    /// median: 1.2533·σ/√n for normal deviates (M. G. Kendall and A. Stuart, "The Advanced Theory of Statistics",
    /// vol. 1, 1958, section 10.10; from memory).
    fn habits(&self, left: &[f64], beat: Seconds) -> Vec<Habit> {
        let mut by_note: BTreeMap<usize, Vec<f64>> = BTreeMap::new();
        for (pair, off) in self.pairs.iter().zip(left) {
            by_note.entry(self.goals[pair.target].of_riff).or_default().push(*off);
        }
        let habit = |(of_riff, off): (usize, Vec<f64>)| {
            let (middle, deviation) = (median(&off)?, sample_deviation(&off)?);
            let error = 1.2533 * deviation / (off.len() as f64).sqrt();
            let is_habit = off.len() >= FEWEST_TIMES
                && middle.abs() > just_noticeable(beat).0
                && middle.abs() > 2.0 * error;
            is_habit.then_some(Habit { of_riff, lateness: Seconds(middle), times: off.len() })
        };
        let mut habits: Vec<Habit> = by_note.into_iter().filter_map(habit).collect();
        habits.sort_by(|one, other| other.lateness.0.abs().total_cmp(&one.lateness.0.abs()));
        habits
    }

    fn re_entry(&self, silence: &Range<AudioTime>) -> Option<ReEntry> {
        let onset = |pair: &&Pair| self.target[pair.target].onset;
        let before = self.pairs.iter().filter(|pair| onset(pair) < silence.start);
        let before: Vec<f64> = before.map(|pair| self.late(*pair)).collect();
        let first = self.pairs.iter().find(|pair| onset(pair) >= silence.end)?;
        let lateness = Seconds(self.late(*first) - median(&before).unwrap_or(0.0));
        Some(ReEntry { target: first.target, lateness })
    }
}
