//! A run: the player is followed through the loop, time after time, and each time through is measured.

use std::ops::Range;

use crate::perform::{Asked, Score};
use crate::practice::align::{MOST_NOTES, blue, crushed};
use crate::practice::delay::Delay;
use crate::practice::ladder::{Asks, Went};
use crate::practice::pass::{Goal, Pass, Place};
use crate::practice::review::{Extent, Help};
use crate::practice::settings::{Plays, Sight};
use crate::practice::subject::Subject;
use crate::practice::window::{Room, Window};
use crate::practice::{Heard, TimedNote};
use crate::rhythm::grid::Division;
use crate::rhythm::tempo::TempoMap;
use crate::units::{AudioTime, MidiNote, QuartersPerMinute, ScoreTime, Seconds, Ticks};

/// What a run is made of.
#[derive(Clone, Debug)]
pub struct Setup {
    /// What is practised.
    pub subject: Subject,
    /// What the band plays, with its loop and its silent bars; the riff or the chorus in it is what is asked for.
    pub score: Score,
    /// One bar of the form, index from 0, in which what lies there over the whole form is asked for; `None` where all
    /// that lies in the score's loop is.
    pub bar: Option<usize>,
    /// How fast.
    pub tempo: QuartersPerMinute,
    /// Notes or rhythm.
    pub plays: Plays,
    /// What is in sight.
    pub sight: Sight,
    /// How much room the window has.
    pub room: Room,
    /// What counts as clean.
    pub asks: Asks,
}

/// A time through, measured. Whoever keeps a history takes it from here.
#[derive(Clone, Debug, PartialEq)]
pub struct PassEnded {
    /// What was practised.
    pub of: Subject,
    /// How fast.
    pub tempo: QuartersPerMinute,
    /// Whether it was played to its end; a run can be stopped in the middle.
    pub complete: bool,
    /// How it went.
    pub went: Went,
    /// What the player saw.
    pub help: Help,
    /// Over the whole form, or over a part of it.
    pub over: Extent,
    /// Whether the rhythm alone was asked for: then every note has the same pitch.
    pub rhythm_alone: bool,
    /// The delay that was taken off; `None` where it is not known.
    pub delay: Option<Delay>,
    /// When it began and ended on the audio clock.
    pub time: Range<AudioTime>,
    /// What was asked for.
    pub goals: Vec<Goal>,
    /// The same, where it is written: one for each goal.
    pub asked: Vec<Asked>,
    /// What was played, with the delay taken off.
    pub played: Vec<TimedNote>,
    /// The figures.
    pub pass: Pass,
    /// How near counts as in time.
    pub window: Window,
}

/// A run that is going on.
#[derive(Clone, Debug)]
pub struct Run {
    setup: Setup,
    /// When each point of the score is heard.
    time: TempoMap,
    /// Times through that are behind.
    done: u32,
    /// In the order in which they came; what belongs to a time through that is behind is forgotten.
    heard: Vec<Heard>,
}

/// A press this long after the last note may still be meant for it.
const REACH: Seconds = Seconds(0.6);
/// Who let so many notes pass has listened, and is told so.
const LISTENED: usize = 8;
/// Where rhythm alone is asked for, every note is this one.
const ANY: MidiNote = MidiNote::MIDDLE_C;

impl Run {
    /// A run whose first bar line is heard at `begin`.
    pub fn begun(setup: Setup, begin: AudioTime) -> Run {
        let time = TempoMap::new(ScoreTime::ZERO, begin, setup.tempo);
        Run { setup, time, done: 0, heard: Vec::new() }
    }

    /// What it is made of.
    pub fn setup(&self) -> &Setup {
        &self.setup
    }

    /// Times through that are behind.
    pub fn done(&self) -> u32 {
        self.done
    }

    /// What the band plays, once and without a count-in.
    pub fn replay(&self) -> Score {
        Score { times: Some(1), count_in: 0, ..self.setup.score.clone() }
    }

    /// What the present time through asks for, each with when it ought to be heard.
    pub fn wanted(&self) -> Vec<(AudioTime, Asked)> {
        self.asked(self.done).into_iter().map(|asked| (self.sounds(&asked), asked)).collect()
    }

    /// Takes what the player did.
    pub fn hear(&mut self, heard: Heard) {
        if self.heard.len() < MOST_NOTES && heard.at.0.is_finite() {
            self.heard.push(heard);
        }
    }

    /// Whether everything that was to be played is over and measured.
    pub fn is_over(&self) -> bool {
        self.setup.score.times.is_some_and(|times| self.done >= times)
    }

    /// The time through that has ended by `now`, if one has: its last note is as late by then as a note can be.
    pub fn tick(&mut self, now: AudioTime, delay: Option<Delay>) -> Option<PassEnded> {
        let late = delay.map_or(Seconds(0.3), |delay| delay.seconds);
        let ended = self.time_of(self.ends(self.done)) + REACH + Seconds(late.0.max(0.0));
        if self.is_over() || now < ended {
            return None;
        }
        Some(self.measure(None, delay))
    }

    /// Breaks off at `now`: what was played of this time through, or `None` where hardly anything was asked for yet and
    /// nothing played.
    pub fn stop(mut self, now: AudioTime, delay: Option<Delay>) -> Option<PassEnded> {
        let begins = self.time_of(self.begins(self.done));
        if self.is_over() || now < begins {
            return None;
        }
        let ended = self.measure(Some(now), delay);
        (!ended.played.is_empty() || ended.goals.len() >= LISTENED).then_some(ended)
    }

    /// Measures the present time through and goes on to the next.
    fn measure(&mut self, stopped: Option<AudioTime>, delay: Option<Delay>) -> PassEnded {
        let off = delay.map_or(Seconds(0.0), |delay| delay.seconds);
        let (mut asked, ahead) = (self.asked(self.done), self.asked(self.done + 1));
        if let Some(now) = stopped {
            // A note that could still come when it was broken off was not left out.
            let last = self
                .heard
                .iter()
                .map(|heard| heard.at - off)
                .fold(now - off - REACH, |last, at| if at > last { at } else { last });
            asked.retain(|asked| self.sounds(asked) <= last);
        }
        asked.truncate(MOST_NOTES);
        let ends = self.time_of(self.ends(self.done));
        let next = ahead.first().map(|next| self.sounds(next));
        let last = asked.last().map(|last| self.sounds(last));
        let (now, later): (Vec<Heard>, Vec<Heard>) =
            self.heard.iter().partition(|heard| is_of_this(heard.at - off, ends, last, next));
        self.heard = later;
        let goals: Vec<Goal> = asked.iter().map(|asked| self.goal(asked)).collect();
        // Who warms up in the count-in plays nothing too much.
        let begins = self.time_of(self.begins(self.done));
        let first = goals.first().map_or(begins, |goal| goal.note.onset);
        let soonest = if first < begins { first } else { begins } - REACH;
        let mut played: Vec<TimedNote> = now
            .iter()
            .filter(|heard| heard.at - off >= soonest)
            .filter_map(|heard| {
                let (onset, key) = (heard.at - off, self.setup.score.changes.key());
                let wanted = asked.iter().map(|asked| (self.sounds(asked), asked.midi));
                let midi = if self.is_rhythm() { Some(ANY) } else { blue::meant(heard, onset, wanted, key) };
                Some(TimedNote { onset, midi: midi? })
            })
            .collect();
        played.sort_by(|one, other| one.onset.0.total_cmp(&other.onset.0));
        if !self.is_rhythm() {
            crushed::forgive(&asked, |asked| self.sounds(asked), &mut played);
        }
        let tempo = self.setup.tempo;
        let beat = asked.first().map_or(Ticks::QUARTER, |asked| asked.beat);
        let finest = asked.iter().map(|asked| asked.division).max_by_key(|division| division.parts());
        let window = Window::new(tempo, beat, finest.unwrap_or(Division::HALVES), self.setup.room);
        let pass = Pass::of(&goals, &played, window, &self.silences());
        let figures = pass.figures;
        // All the notes on another beat are not the riff in its place: not clean, and not poor.
        let asks = if pass.elsewhere.is_some() { Asks::NotesInTime } else { self.setup.asks };
        let ended = PassEnded {
            of: self.setup.subject,
            tempo,
            complete: stopped.is_none(),
            went: Went::of(goals.len(), pass.right_in_place(), pass.in_time_in_place(), figures.extra, asks),
            help: if self.setup.sight == Sight::All { Help::NotesShown } else { Help::NotesHidden },
            over: if self.is_whole_form() { Extent::Form } else { Extent::Loop },
            rhythm_alone: self.is_rhythm(),
            delay,
            time: begins..stopped.unwrap_or(ends),
            goals,
            asked,
            played,
            pass,
            window,
        };
        self.done += 1;
        ended
    }

    /// What is asked for in a time through; the first has the pickup before it too.
    fn asked(&self, time: u32) -> Vec<Asked> {
        let score = &self.setup.score;
        if let Some(bar) = self.setup.bar {
            if self.setup.score.times.is_some_and(|times| time >= times) {
                return Vec::new();
            }
            let whole = Score { looped: 0..score.changes.bars().len(), times: None, ..score.clone() };
            let start = score.changes.bar_start(bar);
            let from = ScoreTime::ZERO + start;
            let length = score.changes.bars().get(bar).map_or(Ticks::ZERO, |bar| bar.metre.bar());
            let by = self.begins(time).since_start() - start;
            let moved = |asked: Asked| Asked {
                at: asked.at + by,
                position: asked.position + by.in_quarters(),
                beat_start: asked.beat_start + by,
                ..asked
            };
            return whole.asked(from, from + length).into_iter().map(moved).collect();
        }
        let from = if time == 0 { score.begin().min(score.first_pickup()) } else { self.begins(time) };
        score.asked(from, self.ends(time))
    }

    fn goal(&self, asked: &Asked) -> Goal {
        let into = asked.at - asked.beat_start;
        let place = match into {
            Ticks::ZERO => Place::OnBeat,
            _ if asked.division == Division::HALVES && into == asked.beat / 2 => Place::OffBeat,
            _ => Place::Between,
        };
        Goal {
            note: TimedNote { onset: self.sounds(asked), midi: self.midi(asked.midi) },
            place,
            beat_start: self.time_of(asked.beat_start),
            beat: self.setup.tempo.duration(asked.beat),
            of_riff: asked.note,
            bar: asked.bar,
            bar_start: self.time_of(asked.beat_start - asked.beat * (asked.beat_number as i64 - 1)),
        }
    }

    /// The stretches of the present time through in which neither click nor band is heard.
    fn silences(&self) -> Vec<Range<AudioTime>> {
        let score = &self.setup.score;
        let Some(drop_out) = score.arrangement.drop_out else { return Vec::new() };
        let others =
            crate::perform::Part::ALL.into_iter().filter(|part| *part != crate::perform::Part::Click);
        if others.into_iter().any(|part| score.parts.has(part)) {
            return Vec::new();
        }
        let mut silences: Vec<Range<AudioTime>> = Vec::new();
        let bars_through = score.looped.len();
        let mut bar = score.bar_at(self.begins(self.done));
        for count in 0..bars_through {
            if drop_out.silences(self.done as usize * bars_through + count) {
                let (start, end) = (self.time_of(bar.at), self.time_of(bar.end()));
                match silences.last_mut() {
                    Some(last) if (last.end - start).0.abs() < 1e-6 => last.end = end,
                    _ => silences.push(start..end),
                }
            }
            bar = score.bar_at(bar.end());
        }
        silences
    }

    fn is_rhythm(&self) -> bool {
        self.setup.plays == Plays::Rhythm
    }

    fn is_whole_form(&self) -> bool {
        self.setup.bar.is_none() && self.setup.score.looped.len() == self.setup.score.changes.bars().len()
    }

    fn midi(&self, midi: MidiNote) -> MidiNote {
        if self.is_rhythm() { ANY } else { midi }
    }

    fn begins(&self, time: u32) -> ScoreTime {
        ScoreTime::ZERO + self.setup.score.time_through() * i64::from(time)
    }

    fn ends(&self, time: u32) -> ScoreTime {
        self.begins(time) + self.setup.score.time_through()
    }

    fn sounds(&self, asked: &Asked) -> AudioTime {
        self.time.time_of(asked.position)
    }

    fn time_of(&self, at: ScoreTime) -> AudioTime {
        self.time.time_of(at.since_start().in_quarters())
    }
}

/// Whether what was heard `at` belongs to the time through that ends at `ends`, between its `last` note and the `next`
/// one's first: to the nearer of the two, about the bar line.
fn is_of_this(at: AudioTime, ends: AudioTime, last: Option<AudioTime>, next: Option<AudioTime>) -> bool {
    match (last, next) {
        _ if at < ends - REACH => true,
        _ if at >= ends + REACH => false,
        (Some(last), Some(next)) => (at - last).0.abs() <= (next - at).0.abs(),
        (Some(_), None) => true,
        _ => at < ends,
    }
}
