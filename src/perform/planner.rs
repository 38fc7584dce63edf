//! Planning ahead on the audio clock. Pure: the time is an argument, and the browser only obeys.
//!
//! The planner hands out every event once, well before it sounds, so that a page that stalls for a second is neither
//! late nor doubled. After an edit it cuts: what has not begun by the next beat is cancelled and planned anew.

mod picture;

use crate::perform::takes::Takes;
use crate::perform::{Anchor, Attack, BarOnLine, Event, Part, Score, Written};
use crate::rhythm::tempo::TempoMap;
use crate::units::{AudioTime, MidiNote, QuartersPerMinute, ScoreTime, Seconds, Ticks, Velocity};

pub use crate::perform::planner::picture::{OnForm, Position, Scene, TimeOfRiff};

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
    /// Its id in this run, never used twice.
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
    /// How its pitch begins and ends.
    pub attack: Attack,
    /// Which take of the note, below [`TAKES`](crate::perform::takes::TAKES).
    pub take: u8,
    /// The note of a riff that it is, or that it leads to.
    pub written: Option<Written>,
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

/// A sound that was handed out.
#[derive(Clone, Debug)]
struct Waiting {
    id: u64,
    when: AudioTime,
    /// Where on the time line, in quarters.
    position: f64,
}

/// Hands out a score's events in time.
#[derive(Clone, Debug)]
pub struct Planner {
    score: Score,
    /// Where `score` took over.
    took_over: ScoreTime,
    /// What is played until there, each from where it took over, as far as it is still to be heard: several edits may
    /// wait for their beats.
    before: Vec<(ScoreTime, Score)>,
    tempo: TempoMap,
    /// Up to where events have been handed out, in quarters.
    planned: f64,
    /// What was handed out and has not begun yet.
    waiting: Vec<Waiting>,
    next_id: u64,
    takes: Takes,
    /// How far ahead a cut lies, at least.
    cut_after: Seconds,
}

impl Planner {
    /// Begins `score` a moment after `now`, with its lead-in.
    pub fn start(now: AudioTime, score: Score, tempo: QuartersPerMinute) -> Planner {
        let begin = score.begin();
        let tempo = TempoMap::new(begin, now + START_AFTER, tempo);
        let planned = begin.since_start().in_quarters();
        Planner {
            score,
            took_over: begin,
            before: Vec::new(),
            tempo,
            planned,
            waiting: Vec::new(),
            next_id: 0,
            takes: Takes::default(),
            cut_after: CUT_AFTER,
        }
    }

    /// Begins `score` at bar `bar` of the form (index from 0, wrapped; the loop's first where it is not looped), as
    /// after a pause.
    pub fn start_at(now: AudioTime, mut score: Score, tempo: QuartersPerMinute, bar: usize) -> Planner {
        score.anchor = Anchor { bar: score.place_of(bar), ..Anchor::default() };
        Planner::start(now, score, tempo)
    }

    /// Puts cuts at least `after` ahead, for a browser that takes so long to be told; never sooner than [`CUT_AFTER`].
    pub fn cut_no_sooner(&mut self, after: Seconds) {
        self.cut_after = if after.0 > CUT_AFTER.0 { after } else { CUT_AFTER };
    }

    /// The score that is played.
    pub fn score(&self) -> &Score {
        &self.score
    }

    /// Where the score that is played took over from the one before it, or where it began.
    pub fn took_over(&self) -> ScoreTime {
        self.took_over
    }

    /// The tempo map so far; what lies behind is forgotten.
    pub fn tempo(&self) -> &TempoMap {
        &self.tempo
    }

    /// The bar of the form that sounds at `now` (index from 0), or that the count-in leads to: where to begin again
    /// after a pause.
    pub fn bar(&self, now: AudioTime) -> usize {
        let at = self.instant(self.tempo.quarters_at(now)).max(ScoreTime::ZERO);
        self.bar_at(at).index.unwrap_or(0)
    }

    /// The place of the form that sounds at `now`, counted on through all times; before the first bar line below 0.
    pub fn on_form(&self, now: AudioTime) -> Ticks {
        let at = self.instant(self.tempo.quarters_at(now));
        let bar = self.bar_at(at);
        let changes = &self.score.changes;
        match bar.index {
            Some(index) if at >= ScoreTime::ZERO => {
                changes.length() * i64::from(bar.time) + changes.bar_start(index) + (at - bar.at)
            }
            _ => at.since_start(),
        }
    }

    /// Hands out what sounds until the horizon: at least [`HORIZON`] from `now`, and to the end of the next bar.
    pub fn advance(&mut self, now: AudioTime) -> Actions {
        self.waiting.retain(|event| event.when > now);
        self.takes.settle(self.waiting.iter().map(|event| event.id).min().unwrap_or(self.next_id));
        self.forget(now);
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

    /// Plays `score` and `tempo` from the next beat at which a cut may be. The bar number is kept, modulo the
    /// new form's length; a bar that is not in the new loop goes on as the loop's first. Where the metre changes, the
    /// cut is the next bar line.
    pub fn replan(&mut self, now: AudioTime, mut score: Score, tempo: QuartersPerMinute) -> Actions {
        let cut = self.cut(now, &score);
        let bar = self.score.bar_at(cut);
        score.anchor = match bar.index {
            Some(index) if cut >= ScoreTime::ZERO => {
                Anchor { at: bar.at, bar: score.place_of(index), time: bar.time }
            }
            // Still in the lead-in: the form begins where it was going to, if that is still in the loop.
            _ => Anchor { bar: score.place_of(self.bar(now)), ..Anchor::default() },
        };
        // Whoever asks for fewer times than have been played hears this one to its end.
        score.times = score.times.map(|times| times.max(score.anchor.time.saturating_add(1)));
        self.take_over(now, cut, score, tempo)
    }

    /// Goes on with bar `bar` of the form (index from 0) from the next beat at which a cut may be.
    pub fn jump(&mut self, now: AudioTime, bar: usize) -> Actions {
        let mut score = self.score.clone();
        let cut = self.cut(now, &score);
        let time = self.score.bar_at(cut).time;
        let at = cut.max(ScoreTime::ZERO);
        score.anchor = Anchor { at, bar: score.place_of(bar), time };
        let tempo = self.tempo.segments().last().map(|last| last.tempo);
        let tempo = tempo.expect("a tempo map is never empty");
        self.take_over(now, cut, score, tempo)
    }

    /// Stops: nothing more is handed out, and what has not begun is taken back.
    pub fn stop(mut self, now: AudioTime) -> Vec<u64> {
        self.waiting.retain(|event| event.when > now);
        self.waiting.iter().map(|event| event.id).collect()
    }

    /// The bar in which `at` lies, as it is or was played.
    fn bar_at(&self, at: ScoreTime) -> BarOnLine {
        self.score_at(at).bar_at(at)
    }

    /// What is or was played at `at`.
    fn score_at(&self, at: ScoreTime) -> &Score {
        let before = || self.before.iter().rev().find(|(from, _)| *from <= at).or(self.before.first());
        let before = if at < self.took_over { before() } else { None };
        before.map_or(&self.score, |(_, score)| score)
    }

    /// Puts `score` and `tempo` in force from `cut` on.
    fn take_over(
        &mut self,
        now: AudioTime,
        cut: ScoreTime,
        score: Score,
        tempo: QuartersPerMinute,
    ) -> Actions {
        let position = cut.since_start().in_quarters();
        // Where the cut lies beyond what has been handed out, the old score still owes what comes before it.
        let owed = self.score.events(self.planned, position);
        let before = std::mem::replace(&mut self.score, score);
        // One that the next edit has overtaken is never heard.
        if self.took_over < cut {
            self.before.push((self.took_over, before));
        }
        self.took_over = cut;
        if self.tempo.segments().last().is_none_or(|last| last.tempo != tempo) {
            self.tempo.change(cut, tempo);
        }
        let mut cancel = Vec::new();
        self.waiting.retain(|event| {
            let taken_back = event.position >= position && event.when > now;
            if taken_back {
                cancel.push(event.id);
            }
            !taken_back
        });
        self.takes.take_back(&cancel);
        self.planned = position;
        let mut before = Actions::default();
        for event in owed {
            self.hand_out(now, &event, &mut before);
        }
        let after = self.advance(now);
        before.start.extend(after.start);
        let left_out = before.left_out + after.left_out;
        Actions { cancel, start: before.start, left_out, finished: after.finished }
    }

    /// Forgets what lies behind, so that hours of playing and editing need no more memory than a minute.
    fn forget(&mut self, now: AudioTime) {
        self.tempo.forget_before(now);
        let ends: Vec<ScoreTime> =
            self.before.iter().skip(1).map(|(from, _)| *from).chain([self.took_over]).collect();
        let over =
            ends.iter().filter(|end| self.tempo.time_of(end.since_start().in_quarters()) < now).count();
        self.before.drain(..over.min(self.before.len()));
    }

    fn hand_out(&mut self, now: AudioTime, event: &Event, actions: &mut Actions) {
        let when = self.tempo.time_of(event.position);
        if when < now + LEAST_AHEAD {
            actions.left_out += 1;
            return;
        }
        let id = self.next_id;
        self.next_id += 1;
        self.waiting.push(Waiting { id, when, position: event.position });
        let duration = self.tempo.time_of(event.position + event.length) - when;
        let Event { part, midi, velocity, attack, written, .. } = *event;
        let take = self.takes.deal(id, part, midi);
        actions.start.push(Planned { id, part, when, duration, midi, velocity, attack, take, written });
    }

    /// How far to hand out, in quarters.
    fn horizon(&self, now: AudioTime) -> f64 {
        let bar = self.bar_at(self.instant(self.tempo.quarters_at(now)));
        let next_bar_ends = self.bar_at(bar.end()).end().since_start().in_quarters();
        self.tempo.quarters_at(now + HORIZON).max(next_bar_ends)
    }

    fn instant(&self, quarters: f64) -> ScoreTime {
        ScoreTime::ZERO + Ticks::from_quarters(quarters).unwrap_or_default()
    }

    /// The next beat at which a cut may be (see [`Planner::cut_no_sooner`]), or the next bar line where bars of another metre follow.
    fn cut(&self, now: AudioTime, next: &Score) -> ScoreTime {
        let earliest = self.tempo.quarters_at(now + self.cut_after);
        let earliest = ScoreTime((earliest * Ticks::PER_QUARTER as f64).ceil() as i64);
        // A second edit before the first has come to be heard: not before it.
        let earliest = earliest.max(self.took_over);
        let bar = self.score.bar_at(earliest);
        let metre_after = |index: usize| next.cycle()[next.place_of(index)].metre;
        let same_metre = bar.index.is_none_or(|index| metre_after(index) == bar.metre);
        let step = if same_metre { bar.metre.beat() } else { bar.metre.bar() };
        let steps = -(bar.at - earliest).div_floor(step);
        (bar.at + step * steps).min(bar.end())
    }
}
