//! Drills: games of listening and answering with the band. Pure: times and notes go in, sounds and turns come out.
//!
//! *Echo*: the page plays two bars, the player answers by ear. *Cues*: a riff is called for a bar ahead, and played. *Take
//! turns*: two or four bars each with the band. *Answer me*: the player plays two bars, the band replies with the same
//! rhythm and another end. *Find your place*: the band begins somewhere in the form, and the player says which bar it is.

pub mod place;

mod phrase;

use std::rc::Rc;

use crate::band::dice::Dice;
use crate::perform::planner::HORIZON;
use crate::perform::{Asked, Score};
use crate::practice::align::crushed;
use crate::practice::delay::Delay;
use crate::practice::drill::place::FindPlace;
use crate::practice::ladder::{Asks, Went};
use crate::practice::pass::{Goal, Pass, Place};
use crate::practice::window::{Room, Window};
use crate::practice::{Heard, TimedNote};
use crate::rhythm::tempo::TempoMap;
use crate::riff::Riff;
use crate::units::{AudioTime, MidiNote, QuartersPerMinute, ScoreTime, Seconds, Ticks, Velocity};

/// Which drill.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// The page plays two bars, the player answers.
    Echo,
    /// A riff is called for, and played.
    Cues,
    /// The player says which bar the band is in.
    FindPlace,
    /// Two bars each.
    Twos,
    /// Four bars each.
    Fours,
    /// The band replies to what the player plays.
    Answer,
}

impl Kind {
    /// Every drill with its name in data.
    pub const NAMES: [(Kind, &str); 6] = [
        (Kind::Echo, "echo"),
        (Kind::Cues, "cues"),
        (Kind::FindPlace, "find-place"),
        (Kind::Twos, "twos"),
        (Kind::Fours, "fours"),
        (Kind::Answer, "answer"),
    ];

    /// Whose turn it is `bars` bars after the first bar line, in a form of `form` bars.
    pub fn turn(self, bars: u32, form: u32) -> Slot {
        let cycle = |turns: &[(u32, Who)]| {
            let length: u32 = turns.iter().map(|(bars, _)| bars).sum();
            let mut first = bars - bars % length;
            for (count, who) in turns {
                if bars < first + count {
                    return Slot { first, bars: *count, who: *who };
                }
                first += count;
            }
            unreachable!("the remainder of a division lies within the cycle")
        };
        match self {
            Kind::Echo => cycle(&[(2, Who::Page), (2, Who::You)]),
            Kind::Cues => cycle(&[(1, Who::Page), (2, Who::You), (1, Who::Nobody)]),
            Kind::Answer => cycle(&[(2, Who::You), (2, Who::Page)]),
            Kind::FindPlace => Slot { first: bars - bars % form.max(1), bars: form.max(1), who: Who::Nobody },
            Kind::Twos => traded(bars, form.max(1), 2),
            Kind::Fours => traded(bars, form.max(1), 4),
        }
    }
}

/// Turns of `each` bars that begin anew with the form: the last of a form may be shorter. They alternate without end, so
/// that over twelve bars, which hold three fours, who begins alternates too. The band begins, for the player to hear
/// how it goes.
fn traded(bars: u32, form: u32, each: u32) -> Slot {
    let (chorus, within) = (bars / form, bars % form);
    let count = chorus * form.div_ceil(each) + within / each;
    let first = within - within % each;
    let who = if count.is_multiple_of(2) { Who::Page } else { Who::You };
    Slot { first: chorus * form + first, bars: each.min(form - first), who }
}

/// Who has a turn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Who {
    /// The page, or the band.
    Page,
    /// The player.
    You,
    /// Nobody: time to breathe.
    Nobody,
}

/// Some bars that one side has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Slot {
    /// The first of them, counted from the first bar line.
    pub first: u32,
    /// How many.
    pub bars: u32,
    /// Whose.
    pub who: Who,
}

/// What a drill is made of.
#[derive(Clone, Debug)]
pub struct Setup {
    /// Which.
    pub kind: Kind,
    /// What the band plays, without a riff.
    pub band: Score,
    /// How fast.
    pub tempo: QuartersPerMinute,
    /// Riffs to draw from; none begins before its bar line.
    pub pool: Vec<Rc<Riff>>,
    /// Chooses among them: the same seed, the same choices.
    pub seed: u64,
}

/// One turn on the time line.
#[derive(Clone, Debug)]
pub struct Turn {
    /// Its bars.
    pub slot: Slot,
    /// The first of its bars in the form, index from 0.
    pub bar: usize,
    /// When it begins, and when it ends.
    pub begins: AudioTime,
    /// See `begins`.
    pub ends: AudioTime,
    /// What the page plays in it, or asks for.
    pub riff: Option<Rc<Riff>>,
    /// Whether a cue is given by its sound, or else by its name.
    pub by_sound: bool,
    starts: ScoreTime,
    stops: ScoreTime,
    is_settled: bool,
}

/// A note that the page plays.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sound {
    /// When.
    pub at: AudioTime,
    /// How long.
    pub length: Seconds,
    /// Which.
    pub midi: MidiNote,
    /// How hard.
    pub velocity: Velocity,
}

/// What came of a turn of the player's.
#[derive(Clone, Debug, PartialEq)]
pub struct Came {
    /// What was asked for.
    pub riff: Rc<Riff>,
    /// How it went, early or late.
    pub went: Went,
    /// Whether anything was played at all.
    pub played: bool,
}

/// A drill that is going on.
#[derive(Clone, Debug)]
pub struct Drill {
    setup: Setup,
    time: TempoMap,
    dice: Dice,
    turns: Vec<Turn>,
    heard: Vec<Heard>,
    last: Option<Came>,
    answers: u32,
    place: Option<FindPlace>,
}

/// A reply is made this long before it begins: its notes are on their way in time, and most of what the player just
/// played is heard. What needs no answer is settled as early as the band's own notes.
const REPLY_BEFORE: Seconds = Seconds(0.6);
/// A press this long before or after a turn may still be meant for it.
const REACH: Seconds = Seconds(0.35);
/// The most notes that are kept of a player.
const MOST_HEARD: usize = 512;

impl Drill {
    /// A drill whose first bar line sounds at `begin`. `None` where there is nothing to draw from and something is
    /// needed.
    pub fn begun(setup: Setup, begin: AudioTime) -> Option<Drill> {
        let needs_riffs = !matches!(setup.kind, Kind::FindPlace | Kind::Answer);
        if needs_riffs && setup.pool.is_empty() {
            return None;
        }
        let dice = Dice::new(&[setup.seed]);
        let place = (setup.kind == Kind::FindPlace).then(FindPlace::default);
        let (turns, heard, last, answers) = Default::default();
        let time = TempoMap::new(ScoreTime::ZERO, begin, setup.tempo);
        Some(Drill { setup, time, dice, turns, heard, last, answers, place })
    }

    /// Which drill.
    pub fn kind(&self) -> Kind {
        self.setup.kind
    }

    /// The bar of the form (index from 0) with which a drill of this seed begins: the first, or for finding the place any.
    pub fn first_bar(kind: Kind, seed: u64, bars: usize) -> usize {
        let bars: Vec<usize> = (0..bars.max(1)).collect();
        let chosen = if kind == Kind::FindPlace { Dice::new(&[seed]).pick(&bars).copied() } else { None };
        chosen.unwrap_or(0)
    }

    /// The turns so far and the ones that come next, in order.
    pub fn turns(&self) -> &[Turn] {
        &self.turns
    }

    /// What came of the player's last turn.
    pub fn last(&self) -> Option<&Came> {
        self.last.as_ref()
    }

    /// Answers so far, of either kind.
    pub fn answers(&self) -> u32 {
        self.answers
    }

    /// The bars of a turn in the form, indices from 0.
    pub fn bars_of(&self, turn: &Turn) -> Vec<usize> {
        let looped = &self.setup.band.looped;
        let length = looped.len().max(1);
        let from = turn.bar.saturating_sub(looped.start);
        (0..turn.slot.bars as usize).map(|bar| looped.start + (from + bar) % length).collect()
    }

    /// Times through what the band loops before a turn.
    pub fn round_of(&self, turn: &Turn) -> u32 {
        turn.slot.first / (self.setup.band.looped.len().max(1) as u32)
    }

    /// Where on the form something lies that was heard `at` this moment, counted on through all times; `None` where turns are
    /// not the player's own to fill.
    pub fn on_form(&self, at: AudioTime, delay: Option<Delay>) -> Option<Ticks> {
        let is_own = matches!(self.setup.kind, Kind::Twos | Kind::Fours | Kind::Answer);
        let off = delay.map_or(Seconds(0.0), |delay| delay.seconds);
        is_own.then(|| Ticks::from_quarters(self.time.quarters_at(at - off))).flatten()
    }

    /// How finding the place goes, where that is the drill.
    pub fn place(&self) -> Option<&FindPlace> {
        self.place.as_ref()
    }

    /// Takes what the player did.
    pub fn hear(&mut self, heard: Heard) {
        if self.heard.len() < MOST_HEARD && heard.at.0.is_finite() {
            self.heard.push(heard);
        }
    }

    /// Takes the bar of the form (index from 0) that the player believes to be in at `at`, and gives which it is.
    pub fn guess(&mut self, bar: usize, at: AudioTime, delay: Option<Delay>) {
        let off = delay.map_or(Seconds(0.0), |delay| delay.seconds);
        let line = self.time.quarters_at(at - off);
        if let Some(place) = &mut self.place {
            place.guess(bar, line, &self.setup.band);
            self.answers += 1;
        }
    }

    /// Goes on to `now`: gives what the page is to play from now on, each note once.
    pub fn tick(&mut self, now: AudioTime, delay: Option<Delay>) -> Vec<Sound> {
        let mut sounds = Vec::new();
        // One turn ahead is known, so that a page can say whose it is; where turns are traded, a whole form ahead.
        let before = if self.setup.kind == Kind::Answer { REPLY_BEFORE } else { HORIZON };
        let ahead = before + if self.is_traded() { self.form_lasts() } else { Seconds(0.0) };
        while self.turns.last().is_none_or(|turn| turn.begins <= now + ahead) {
            self.add_turn();
        }
        for index in 0..self.turns.len() {
            let turn = &self.turns[index];
            if !turn.is_settled && turn.begins <= now + before && turn.slot.who == Who::Page {
                self.settle(index, delay, &mut sounds);
            }
            let turn = &self.turns[index];
            let late = delay.map_or(0.0, |delay| delay.seconds.0.max(0.0));
            if !turn.is_settled && turn.slot.who == Who::You && now >= turn.ends + REACH + Seconds(late) {
                self.judge(index, delay);
            }
        }
        self.forget(now);
        // After a long stall: left out rather than played late.
        sounds.retain(|sound| sound.at > now);
        sounds
    }

    /// Adds the next turn, with what is asked for in it.
    fn add_turn(&mut self) {
        let (from, starts) = self
            .turns
            .last()
            .map_or((0, ScoreTime::ZERO), |turn| (turn.slot.first + turn.slot.bars, turn.stops));
        let band = &self.setup.band;
        let slot = self.setup.kind.turn(from, band.changes.bars().len() as u32);
        let bar = band.bar_at(starts).index.unwrap_or(0);
        let stops = (0..slot.bars).fold(starts, |at, _| band.bar_at(at).end());
        let (riff, by_sound) = self.asked_in(slot);
        let (begins, ends) = (self.time_of(starts), self.time_of(stops));
        self.turns.push(Turn { slot, bar, begins, ends, riff, by_sound, starts, stops, is_settled: false });
    }

    /// What a turn plays or asks for, and whether a cue is given by its sound.
    fn asked_in(&mut self, slot: Slot) -> (Option<Rc<Riff>>, bool) {
        let before = self.turns.last().and_then(|turn| turn.riff.clone());
        match (self.setup.kind, slot.who) {
            // Each comes twice.
            (Kind::Echo, Who::Page) if (slot.first / 4) % 2 == 1 => (before, true),
            (Kind::Echo | Kind::Twos | Kind::Fours, Who::Page) => (self.draw(), true),
            (Kind::Cues, Who::Page) => {
                let riff = self.draw();
                (riff, self.dice.pick(&[false, true]).copied().unwrap_or(false))
            }
            (Kind::Echo | Kind::Cues, Who::You) => {
                (before, self.turns.last().is_some_and(|turn| turn.by_sound))
            }
            _ => (None, false),
        }
    }

    /// A riff of the pool, another than the last where there is another.
    fn draw(&mut self) -> Option<Rc<Riff>> {
        let last = self.turns.iter().rev().find_map(|turn| turn.riff.clone());
        let others: Vec<Rc<Riff>> = self
            .setup
            .pool
            .iter()
            .filter(|riff| last.as_ref().is_none_or(|last| !Rc::ptr_eq(last, riff)))
            .cloned()
            .collect();
        self.dice.pick(&others).cloned().or(last)
    }

    /// Hands out what the page plays in a turn.
    fn settle(&mut self, index: usize, delay: Option<Delay>, sounds: &mut Vec<Sound>) {
        if self.setup.kind == Kind::Answer {
            self.turns[index].riff = self.reply(index, delay);
        }
        let turn = &mut self.turns[index];
        turn.is_settled = true;
        let (starts, stops) = (turn.starts, turn.stops);
        let is_heard = turn.by_sound || self.setup.kind != Kind::Cues;
        let Some(riff) = turn.riff.clone().filter(|_| is_heard) else { return };
        let bar = turn.bar;
        let half = starts + (stops - starts) / 2;
        sounds.extend(self.play(&riff, starts, stops));
        // Four bars are a call and its reply.
        if self.setup.kind == Kind::Fours && self.turns[index].slot.bars == 4 {
            let second = phrase::answer(&riff, &self.setup.band.changes, bar + 2);
            sounds.retain(|sound| sound.at < self.time_of(half));
            sounds.extend(second.iter().flat_map(|riff| self.play(riff, half, stops)));
        }
    }

    /// The notes of a riff begun at `starts`, before `stops`.
    fn play(&self, riff: &Riff, starts: ScoreTime, stops: ScoreTime) -> Vec<Sound> {
        let sound = |asked: &Asked| {
            let note = &riff.notes()[asked.note];
            let length = self.setup.tempo.duration(note.length.min(stops - asked.at)) * 0.92;
            let velocity = if note.accent { Velocity::ACCENT } else { Velocity::PLAIN };
            Sound { at: self.sounds(asked), length, midi: asked.midi, velocity }
        };
        let asked = self.setup.band.phrase(riff, starts);
        asked.iter().filter(|asked| asked.at >= starts && asked.at < stops).map(sound).collect()
    }

    /// What the band replies to the turn before.
    fn reply(&self, index: usize, delay: Option<Delay>) -> Option<Rc<Riff>> {
        let turn = self.turns.get(index)?;
        let before = self.turns.get(index.checked_sub(1)?)?;
        let played: Vec<Heard> = self.heard_in(before, delay);
        let band = &self.setup.band;
        let time_of = |at: f64| self.time.time_of(at);
        let said = phrase::written(&played, before.starts, before.stops, band, self.setup.tempo, time_of)?;
        Some(Rc::new(phrase::answer(&said, &band.changes, turn.bar).unwrap_or(said)))
    }

    /// What was heard in a turn, with the delay taken off.
    fn heard_in(&self, turn: &Turn, delay: Option<Delay>) -> Vec<Heard> {
        let off = delay.map_or(Seconds(0.0), |delay| delay.seconds);
        let moved = self.heard.iter().map(|heard| Heard { at: heard.at - off, ..*heard });
        let is_here = |heard: &Heard| heard.at >= turn.begins - REACH && heard.at < turn.ends + REACH;
        let mut here: Vec<Heard> = moved.filter(is_here).collect();
        here.sort_by(|one, other| one.at.0.total_cmp(&other.at.0));
        here
    }

    /// Says how the player's turn went, where something was asked for.
    fn judge(&mut self, index: usize, delay: Option<Delay>) {
        self.turns[index].is_settled = true;
        let turn = &self.turns[index];
        let Some(riff) = turn.riff.clone() else { return };
        let heard = self.heard_in(turn, delay);
        let asked = self.setup.band.phrase(&riff, turn.starts);
        let asked: Vec<Asked> = asked.into_iter().filter(|asked| asked.at < turn.stops).collect();
        // The same riff in another octave is the same riff.
        let wents = [0, 12, -12].map(|octave| self.went(&asked, &heard, octave));
        let went = wents.into_iter().min_by_key(|went| match went {
            Went::Clean => 0,
            Went::Fair => 1,
            Went::Poor => 2,
        });
        let went = went.unwrap_or(Went::Poor);
        self.answers += 1;
        self.last = Some(Came { riff, went, played: !heard.is_empty() });
    }

    fn went(&self, asked: &[Asked], heard: &[Heard], octave: i32) -> Went {
        let goal = |asked: &Asked| Goal {
            note: TimedNote { onset: self.sounds(asked), midi: asked.midi },
            place: Place::Between,
            beat_start: self.time_of(asked.beat_start),
            beat: self.setup.tempo.duration(asked.beat),
            of_riff: asked.note,
            bar: asked.bar,
            bar_start: self.time_of(asked.beat_start),
        };
        let goals: Vec<Goal> = asked.iter().map(goal).collect();
        let note = |heard: &Heard| {
            let midi = MidiNote::new(i32::from(heard.midi?.number()) + octave)?;
            Some(TimedNote { onset: heard.at, midi })
        };
        let mut played: Vec<TimedNote> = heard.iter().filter_map(note).collect();
        crushed::forgive(asked, |asked| self.sounds(asked), &mut played);
        let first = asked.first();
        let beat = first.map_or(Ticks::QUARTER, |asked| asked.beat);
        let division = first.map_or(crate::rhythm::grid::Division::HALVES, |asked| asked.division);
        let window = Window::new(self.setup.tempo, beat, division, Room::Most);
        let pass = Pass::of(&goals, &played, window, &[]);
        let in_time = pass.in_time_in_place();
        Went::of(goals.len(), pass.right_in_place(), in_time, pass.figures.extra, Asks::Notes)
    }

    fn is_traded(&self) -> bool {
        matches!(self.setup.kind, Kind::Twos | Kind::Fours)
    }

    fn form_lasts(&self) -> Seconds {
        self.setup.tempo.duration(self.setup.band.time_through())
    }

    /// Forgets what no turn asks for any more.
    fn forget(&mut self, now: AudioTime) {
        let old = AudioTime(now.0 - 60.0);
        self.heard.retain(|heard| heard.at >= old);
    }

    fn sounds(&self, asked: &Asked) -> AudioTime {
        self.time.time_of(asked.position)
    }

    fn time_of(&self, at: ScoreTime) -> AudioTime {
        self.time.time_of(at.since_start().in_quarters())
    }
}
