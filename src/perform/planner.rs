//! Planning ahead on the audio clock. Pure: the time is an argument, and the browser only obeys.
//!
//! The planner hands out every event once, well before it sounds, so that a page that stalls for a second is neither
//! late nor doubled. After an edit it cuts: what has not begun by the next beat is cancelled and planned anew.

use std::collections::BTreeMap;

use crate::perform::{Anchor, Entry, Event, Part, Score};
use crate::rhythm::tempo::TempoMap;
use crate::units::{AudioTime, MidiNote, QuartersPerMinute, ScoreTime, Seconds, Ticks, Velocity};

/// How far ahead events are handed out, at least: longer than the stalls of a second or two that slow laptops have.
pub const HORIZON: Seconds = Seconds(2.5);
/// How soon after an edit the cut may come, at the earliest: time for the browser to be told.
pub const CUT_AFTER: Seconds = Seconds(0.080);
/// How soon after start the first sound comes: room for the first buffers.
pub const START_AFTER: Seconds = Seconds(0.150);
/// An event is handed out no later than this before it sounds; later ones are left out rather than played late.
pub const LEAST_AHEAD: Seconds = Seconds(0.005);

/// One planned sound.
#[derive(Clone, Debug, PartialEq)]
pub struct Planned {
    /// Its name tag in this run, never used twice.
    pub id: u64,
    /// Who plays it.
    pub part: Part,
    /// When it sounds.
    pub when: AudioTime,
    /// How long it is held.
    pub duration: Seconds,
    /// What sounds.
    pub midi: MidiNote,
    /// How hard.
    pub velocity: Velocity,
    /// How it begins.
    pub entry: Entry,
    /// Which recording of a drum stroke, below [`TAKES`](crate::perform::touch::TAKES).
    pub take: u8,
}

/// What the browser is to do.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Actions {
    /// Sounds to take back; they have not begun.
    pub cancel: Vec<u64>,
    /// Sounds to start.
    pub start: Vec<Planned>,
    /// Sounds that came too late to be started in time, after a stall longer than the horizon.
    pub left_out: usize,
    /// Whether the score is over and everything has been handed out.
    pub finished: bool,
}

/// A point of the picture: from `time` on the bar runs at `speed`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    /// When.
    pub time: AudioTime,
    /// The bar of the form, index from 0; `None` during the count-in.
    pub bar: Option<usize>,
    /// How far into the bar, 0 ..= 1.
    pub fraction: f64,
    /// Fractions of the bar a second.
    pub speed: f64,
    /// Beats in the bar.
    pub beats: u8,
}

/// Hands out a score's events in time.
#[derive(Clone, Debug)]
pub struct Planner {
    score: Score,
    tempo: TempoMap,
    /// Up to where events have been handed out, in quarters.
    planned: f64,
    /// What was handed out and has not begun yet, by its time tag: when, and where on the time line.
    waiting: BTreeMap<u64, (AudioTime, f64)>,
    next_id: u64,
}

impl Planner {
    /// Begins `score` a moment after `now`, with its count-in.
    pub fn start(now: AudioTime, score: Score, tempo: QuartersPerMinute) -> Planner {
        let begin = ScoreTime::ZERO - score.count_in_length();
        let tempo = TempoMap::new(begin, now + START_AFTER, tempo);
        let planned = begin.since_start().in_quarters();
        Planner { score, tempo, planned, waiting: BTreeMap::new(), next_id: 0 }
    }

    /// The score that is played.
    pub fn score(&self) -> &Score {
        &self.score
    }

    /// The tempo map so far.
    pub fn tempo(&self) -> &TempoMap {
        &self.tempo
    }

    /// Hands out what sounds until the horizon: at least [`HORIZON`] from `now`, and to the end of the next bar.
    pub fn advance(&mut self, now: AudioTime) -> Actions {
        self.waiting.retain(|_, (when, _)| *when > now);
        let horizon = self.horizon(now);
        let events = self.score.events(self.planned, horizon);
        self.planned = self.planned.max(horizon);
        let mut actions = Actions::default();
        for event in events {
            self.hand_out(now, &event, &mut actions);
        }
        let end = self.score.end().map(|end| end.since_start().in_quarters());
        actions.finished = end.is_some_and(|end| self.planned > end && self.tempo.time_of(end) < now);
        actions
    }

    /// Plays `score` and `tempo` from the next beat at least [`CUT_AFTER`] ahead. The bar number is kept, modulo the
    /// new form's length. Where the metre changes, the cut is the next bar line.
    pub fn replan(&mut self, now: AudioTime, mut score: Score, tempo: QuartersPerMinute) -> Actions {
        let cut = self.cut(now, &score);
        self.anchor(&mut score, cut);
        self.score = score;
        let position = cut.since_start().in_quarters();
        if self.tempo.segments().last().is_none_or(|last| last.tempo != tempo) {
            self.tempo.change(cut, tempo);
        }
        let mut cancel = Vec::new();
        self.waiting.retain(|id, (when, at)| {
            let taken_back = *at >= position && *when > now;
            if taken_back {
                cancel.push(*id);
            }
            !taken_back
        });
        self.planned = self.planned.min(position);
        Actions { cancel, ..self.advance(now) }
    }

    /// Where the picture stands from `now` to the horizon: one point a bar, and one at each change of tempo.
    pub fn positions(&self, now: AudioTime) -> Vec<Position> {
        let begin = self.instant(self.tempo.quarters_at(now));
        let mut bar = self.score.bar_at(begin);
        let until = self.horizon(now);
        let mut points = Vec::new();
        while bar.at.since_start().in_quarters() < until {
            let changes = self.tempo.segments().iter().map(|segment| segment.at);
            let inside = changes.filter(|at| bar.at < *at && *at < bar.end());
            for at in std::iter::once(bar.at).chain(inside) {
                points.push(self.point(&bar, at));
            }
            bar = self.score.bar_at(bar.end());
        }
        points
    }

    fn point(&self, bar: &crate::perform::BarOnLine, at: ScoreTime) -> Position {
        let quarters = at.since_start().in_quarters();
        let time = self.tempo.time_of(quarters);
        let segment = self.tempo.segments().iter().rev().find(|segment| segment.at <= at);
        let tempo = segment.unwrap_or(&self.tempo.segments()[0]).tempo;
        let bar_quarters = bar.metre.bar().in_quarters();
        Position {
            time,
            bar: bar.index,
            fraction: (quarters - bar.at.since_start().in_quarters()) / bar_quarters,
            speed: tempo.value() / 60.0 / bar_quarters,
            beats: bar.metre.beats(),
        }
    }

    fn hand_out(&mut self, now: AudioTime, event: &Event, actions: &mut Actions) {
        let when = self.tempo.time_of(event.position);
        if when < now + LEAST_AHEAD {
            actions.left_out += 1;
            return;
        }
        let id = self.next_id;
        self.next_id += 1;
        self.waiting.insert(id, (when, event.position));
        let duration = self.tempo.time_of(event.position + event.length) - when;
        let Event { part, midi, velocity, entry, take, .. } = *event;
        actions.start.push(Planned { id, part, when, duration, midi, velocity, entry, take });
    }

    /// How far to hand out, in quarters.
    fn horizon(&self, now: AudioTime) -> f64 {
        let bar = self.score.bar_at(self.instant(self.tempo.quarters_at(now)));
        let next_bar_ends = self.score.bar_at(bar.end()).end().since_start().in_quarters();
        self.tempo.quarters_at(now + HORIZON).max(next_bar_ends)
    }

    fn instant(&self, quarters: f64) -> ScoreTime {
        ScoreTime(Ticks::from_quarters(quarters).unwrap_or_default().0)
    }

    /// The next beat at least [`CUT_AFTER`] ahead, or the next bar line where bars of another metre follow.
    fn cut(&self, now: AudioTime, next: &Score) -> ScoreTime {
        let earliest = self.tempo.quarters_at(now + CUT_AFTER);
        let begin = self.tempo.segments()[0].at;
        let earliest = ScoreTime((earliest * Ticks::PER_QUARTER as f64).ceil() as i64).max(begin);
        let bar = self.score.bar_at(earliest);
        let same_metre = bar.index.is_none_or(|index| {
            let bars = next.changes.bars();
            bars[index % bars.len()].metre == bar.metre
        });
        let step = if same_metre { bar.metre.beat() } else { bar.metre.bar() };
        let steps = (earliest - bar.at).0.unsigned_abs().div_ceil(step.0.unsigned_abs()) as i64;
        bar.at + step * steps
    }

    /// Puts the new score's anchor where the cut falls, keeping the bar number.
    fn anchor(&self, score: &mut Score, cut: ScoreTime) {
        let bar = self.score.bar_at(cut);
        let Some(index) = bar.index else {
            // Still counting in: the form begins where it was going to.
            score.anchor = self.score.anchor;
            return;
        };
        let index = index % score.changes.bars().len();
        let place = if score.looped.contains(&index) { index - score.looped.start } else { 0 };
        // A bar that is outside the new loop is played to its end as the loop's first bar.
        score.anchor = Anchor { at: bar.at, bar: place, time: self.score.time_at(&bar) };
        if bar.at == ScoreTime::ZERO && place == 0 {
            score.anchor = Anchor::default();
        }
    }
}
