//! Practising: what a run is like, where it stands, and what came of the last time through. Not undone, not kept here.
//!
//! Whatever hears the player, a key, a tap, MIDI or a microphone, tells [`Desk::hear`]; each time through that has
//! ended comes out of [`Desk::practice_tick`] or [`Desk::practice_stop`] once, for whoever keeps a history.

use std::rc::Rc;

use crate::desk::past::Transposed;
use crate::desk::session::Place;
use crate::desk::{Desk, Refusal};
use crate::files::link::{LinkBand, LinkTune};
use crate::files::record::{self, TuneRecord};
use crate::form::Changes;
use crate::perform::touch::Touch;
use crate::perform::{Part, Parts, Score};
use crate::practice::Heard;
use crate::practice::delay::{self, Delay, NotFound, TapAlong};
use crate::practice::drill::Drill;
use crate::practice::ladder::{Ladder, Next, Went};
use crate::practice::run::{PassEnded, Run, Setup};
use crate::practice::settings::Settings;
use crate::practice::subject::Subject;
use crate::rooms::{Room, door};
use crate::units::{AudioTime, QuartersPerMinute, ScoreTime, Seconds};

/// Where a person is in practising.
#[derive(Clone, Debug, Default)]
pub struct Practice {
    pub(super) settings: Settings,
    /// How one practised before a link asked for it otherwise.
    pub(super) own: Option<Settings>,
    /// Words of the record that a newer page wrote.
    unknown: String,
    pub(super) moved: Option<Transposed>,
    pub(super) doing: Doing,
    ladder: Option<(Subject, Ladder)>,
    last: Option<Rc<PassEnded>>,
    /// Whether the run before was broken off without a note.
    unheard: bool,
    /// The passes before it in which the same was played, the latest last.
    before: Vec<Rc<PassEnded>>,
    /// What the band played in the last time through.
    replay: Option<Score>,
    next: Option<Next>,
    delay: Option<Delay>,
    not_found: Option<NotFound>,
    answered: Option<usize>,
    /// The bar of the form that is practised, where it is one after the other.
    bar: usize,
    /// Times through since the page was opened.
    passes: u32,
    pub(super) rest: Rest,
}

/// What is going on.
#[derive(Clone, Debug, Default)]
pub enum Doing {
    /// Nothing.
    #[default]
    Nothing,
    /// A run.
    Run(Box<Run>),
    /// Tapping along to clicks.
    Tapping(TapAlong),
    /// A drill.
    Drill(Box<Drill>),
}

/// What is to sound.
#[derive(Clone, Debug)]
pub struct ToPlay {
    /// The music.
    pub score: Score,
    /// How fast.
    pub tempo: QuartersPerMinute,
}

/// How long a person has been practising, by a clock that is given.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Rest {
    since: Option<Seconds>,
    seen: Seconds,
}

/// After this long a rest is suggested: general advice, and no threshold that a study has found.
const REST_AFTER: Seconds = Seconds(25.0 * 60.0);
/// Who has not practised for this long has rested.
const RESTED: Seconds = Seconds(5.0 * 60.0);

/// So many passes before the last are kept, to hear what they have in common.
const MOST_BEFORE: usize = 2;

/// Whether two passes asked for the same notes in the same places, so that what is said of them can be compared.
fn is_the_same(one: &PassEnded, other: &PassEnded) -> bool {
    one.of == other.of
        && one.rhythm_alone == other.rhythm_alone
        && one.goals.len() == other.goals.len()
        && one
            .goals
            .iter()
            .zip(&other.goals)
            .all(|(a, b)| (a.of_riff, a.note.midi) == (b.of_riff, b.note.midi))
}

impl Practice {
    /// What a run is to be like.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// What is going on.
    pub fn doing(&self) -> &Doing {
        &self.doing
    }

    /// Whether a run is going on, or someone taps along.
    pub fn is_busy(&self) -> bool {
        !matches!(self.doing, Doing::Nothing)
    }

    /// Whether a run or a drill is going on.
    pub fn is_running(&self) -> bool {
        matches!(self.doing, Doing::Run(_) | Doing::Drill(_))
    }

    /// The last time through.
    pub fn last(&self) -> Option<&Rc<PassEnded>> {
        self.last.as_ref()
    }

    /// Whether the run before was broken off before a note was heard.
    pub fn was_unheard(&self) -> bool {
        self.unheard
    }

    /// The last passes before [`Practice::last`] in which the same was played, the latest last.
    pub fn before(&self) -> &[Rc<PassEnded>] {
        &self.before
    }

    /// What comes next in a run from slow to fast, once a time through has been counted.
    pub fn next(&self) -> Option<Next> {
        self.next
    }

    /// The delay of this device, where it is known.
    pub fn delay(&self) -> Option<Delay> {
        self.delay
    }

    /// Why tapping along found no delay the last time, if it did not.
    pub fn not_found(&self) -> Option<NotFound> {
        self.not_found
    }

    /// How many clicks were tapped the last time, where that went to its end.
    pub fn answered(&self) -> Option<usize> {
        self.answered
    }

    /// The bar of the form (index from 0) that is practised where it is one after the other.
    pub fn bar(&self) -> usize {
        self.bar
    }

    /// Times through since the page was opened.
    pub fn passes(&self) -> u32 {
        self.passes
    }

    /// Whether it is time to suggest a rest.
    pub fn wants_rest(&self) -> bool {
        self.rest.since.is_some_and(|since| (self.rest.seen - since).0 >= REST_AFTER.0)
    }

    /// Whether another time through is to begin, now that the last is over.
    pub fn goes_on(&self) -> bool {
        matches!(&self.doing, Doing::Run(run) if run.is_over()) && self.settings.goes_on
    }
}

door!(Practice, practice: fn setting(before: &Settings, what: &str, value: &str, tempo: QuartersPerMinute) -> Option<Settings> {
    before.with(what, value, tempo)
});

door!(Practice, practice: fn chorus_changes(desk: &Desk) -> Rc<Changes> {
    desk.chosen_chorus().course(&desk.changes()).whole().into()
});

impl Desk {
    /// Where a person is in practising.
    pub fn practice(&self) -> &Practice {
        &self.practice
    }

    /// What is practised: the riff on the desk, or the chorus that is worked on where that was chosen and there is one.
    pub fn subject(&self) -> Subject {
        let chorus = self.weaving.chosen.filter(|_| self.practice.settings.chorus);
        chorus.map_or(Subject::Riff(self.session.chosen), Subject::Chorus)
    }

    /// Whether the chorus is what the page shows, to be practised.
    pub fn shows_chorus(&self) -> bool {
        self.session.place == Place::Practice
            && self.practice.settings.drill.is_none()
            && matches!(self.subject(), Subject::Chorus(_))
    }

    /// The form of what is practised: for a chorus as often as it goes through it.
    pub fn practice_changes(&self) -> Rc<Changes> {
        match self.subject() {
            Subject::Riff(_) => self.changes(),
            Subject::Chorus(_) => chorus_changes(self).unwrap_or_else(|| self.changes()),
        }
    }

    /// Whether what is practised has a note.
    pub fn has_notes_to_practise(&self) -> bool {
        match self.subject() {
            Subject::Riff(_) => !self.riff().notes().is_empty(),
            Subject::Chorus(_) => {
                self.chorus_to_practise().heard.iter().any(|placed| placed.notes().next().is_some())
            }
        }
    }

    /// Puts a riff on the desk, or goes to a chorus, to practise it.
    pub(super) fn take_up(&mut self, of: Subject) -> Result<(), Refusal> {
        if !self.has(of) {
            let found = of.to_string();
            return Err(match of {
                Subject::Riff(_) => Refusal::NoSuchRiff { found },
                Subject::Chorus(_) => Refusal::NoSuchChorus { found },
            });
        }
        match of {
            Subject::Riff(id) => self.put_down(id),
            Subject::Chorus(id) if self.weaving.chosen != Some(id) => self.go_to_chorus(Some(id)),
            Subject::Chorus(_) => self.weaving.shown = None,
        }
        self.practice.settings.chorus = matches!(of, Subject::Chorus(_));
        if self.practice.settings.chorus {
            // One looks at where it begins, not at where the next riff would go.
            self.weaving.bar = self.weaving.looped.map_or(0, |(from, _)| from);
        }
        self.practice.next = None;
        self.practice.bar = self.practice_bar();
        Ok(())
    }

    /// The bar that is looked at where one practises, index from 0.
    fn practice_bar(&self) -> usize {
        match self.subject() {
            Subject::Riff(_) => self.session.bar,
            Subject::Chorus(_) => self.weaving.bar,
        }
    }

    /// What a link holds of the tune and of how it is practised.
    pub fn shared_tune(&self) -> LinkTune {
        let mut tune = self.tune().shared();
        if let Some(LinkBand(numbers)) = &mut tune.band {
            numbers.extend(self.practice.settings.numbered());
        }
        tune
    }

    /// Practises as a link asks for it, where it says anything of that.
    pub(super) fn practise_as_shared(&mut self, shared: &LinkTune) {
        let Some(LinkBand(numbers)) = &shared.band else { return };
        let before = self.practice.settings;
        if let Some(asked) = before.asked_by(numbers, shared.tempo).filter(|asked| *asked != before) {
            self.practice.settings = asked;
            self.practice.own = Some(before);
        }
    }

    /// How one practises, for the tune's record.
    pub fn practice_record(&self) -> String {
        let (known, unknown) = (self.practice.settings.write(), &self.practice.unknown);
        [known.as_str(), unknown.as_str()]
            .into_iter()
            .filter(|part| !part.is_empty())
            .collect::<Vec<_>>()
            .join(" ")
    }

    /// The tune's record, with where the person is in the notebook and how one practises.
    pub fn tune_record(&self) -> TuneRecord {
        let tune = self.tune().record(self.session.chosen, self.weaving.chosen);
        let before = self.session.own_tune.as_ref();
        let before = before.map(|own| record::write_tune(&own.record(self.session.chosen, None)));
        TuneRecord { practice: self.practice_record(), before: before.unwrap_or_default(), ..tune }
    }

    /// Takes up how one practised, from the tune's record. What does not read is left out.
    pub fn read_practice(&mut self, text: &str) {
        (self.practice.settings, self.practice.unknown) = Settings::read(text, self.tune().tempo);
        self.practice.bar = self.practice_bar();
    }

    /// Sets one thing of a run, both names in data; `subject` takes up a riff or a chorus.
    pub(super) fn set_practice(&mut self, what: &str, value: &str) -> Result<(), Refusal> {
        if what == "subject" {
            let unknown = || Refusal::NoSuchRiff { found: value.chars().take(30).collect() };
            return self.take_up(value.parse().map_err(|_| unknown())?);
        }
        let unknown = || Refusal::unknown(value);
        let before = self.practice.settings;
        let now = setting(&before, what, value, self.tune().tempo);
        let now = now.ok_or(Refusal::NotHere(Room::Practice))?.ok_or_else(unknown)?;
        if now.ladder != before.ladder {
            self.practice.ladder = None;
            self.practice.next = None;
        }
        if now.one_bar && !before.one_bar {
            self.practice.bar = self.practice_bar();
        }
        self.practice.settings = now;
        Ok(())
    }

    /// A riff was put on the desk: it is what is practised next.
    pub(super) fn practise_riff(&mut self) {
        if std::mem::take(&mut self.practice.settings.chorus) {
            self.practice.bar = self.session.bar;
        }
    }

    /// Where one bar is practised after the other, goes on with this one.
    pub(super) fn practise_bar(&mut self, bar: usize) {
        self.practice.bar = bar;
    }

    /// The tempo of the next time through.
    pub fn practice_tempo(&self) -> QuartersPerMinute {
        let plan = self.practice.settings.ladder;
        let ladder = self.practice.ladder.as_ref().filter(|(of, _)| *of == self.subject());
        match (plan, ladder) {
            (None, _) => self.tune().tempo,
            (Some(plan), None) => plan.start,
            (Some(_), Some((_, ladder))) => ladder.tempo(),
        }
    }

    /// What the next run is made of; a riff or a chorus without notes asks for nothing.
    pub fn practice_setup(&self) -> Result<Setup, Refusal> {
        if !self.has_notes_to_practise() {
            return Err(Refusal::NoNote);
        }
        let settings = self.practice.settings;
        let subject = self.subject();
        let mut parts = if settings.band { self.tune().parts } else { Parts::default() }.without(Part::Click);
        parts = if settings.along && !settings.one_bar {
            parts.with(Part::Solo)
        } else {
            parts.without(Part::Solo)
        };
        if settings.click.is_some() {
            parts = parts.with(Part::Click);
        }
        let tempo = self.practice_tempo();
        // What is asked for swings as far as the band does at this tempo.
        let swing = self.tune().swing_at(tempo);
        let is_chorus = matches!(subject, Subject::Chorus(_));
        let mut score = if is_chorus {
            Score::of_chorus(&self.chorus_to_practise(), swing, parts)
        } else {
            Score::new(self.changes(), Some(self.to_practise()), swing, parts)
        };
        // The band plays as it is set; the click and its silent bars are the run's own, and the soloist is measured
        // against what is written, not against somebody who is late on purpose.
        score.arrangement = self.tune().arrangement();
        score.arrangement.click = settings.click.unwrap_or_default();
        score.arrangement.drop_out = settings.silent;
        let touch = self.tune().band.touch(tempo);
        score.touch = Touch { laid_back: 0.0, phrasing: None, ..touch };
        score.count_in = 1;
        let looped = if is_chorus { self.weaving.looped } else { self.session.looped };
        if let Some((from, to)) = looped {
            score.looped = from..to;
        }
        // Where the tempo may change, each time through is counted in anew.
        let is_single = !settings.goes_on || settings.ladder.is_some() || settings.one_bar;
        score.times = is_single.then_some(1);
        let bar = settings.one_bar.then(|| self.bar_with_notes(&score, self.practice.bar));
        if let Some(bar) = bar {
            score.looped = bar..bar + 1;
        }
        let (plays, sight, room, asks) = (settings.plays, settings.sight, settings.room, settings.asks);
        Ok(Setup { subject, score, bar, tempo, plays, sight, room, asks })
    }

    /// The first bar from `from` on, round the form, in which a note is asked for.
    fn bar_with_notes(&self, score: &Score, from: usize) -> usize {
        let whole = Score { looped: 0..score.changes.bars().len(), times: None, ..score.clone() };
        let asked = whole.asked(ScoreTime::ZERO, ScoreTime::ZERO + whole.time_through());
        let bars = score.changes.bars().len();
        let has_notes = |bar: &usize| asked.iter().any(|asked| asked.bar == Some(*bar));
        (from..from + bars).map(|bar| bar % bars).find(has_notes).unwrap_or(0)
    }

    /// Begins a run, whose first bar line is heard at `begin`.
    pub fn practice_begin(&mut self, setup: Setup, begin: AudioTime) {
        self.practice.bar = setup.bar.unwrap_or(self.practice.bar);
        self.practice.unheard = false;
        self.practice.doing = Doing::Run(Box::new(Run::begun(setup, begin)));
    }

    /// The clicks to tap along to.
    pub fn clicks(&self) -> ToPlay {
        let changes = self.changes();
        let mut score = Score::new(changes, None, self.tune().swing, Parts::of(&[Part::Click]));
        score.looped = 0..1;
        score.times = Some(delay::BARS);
        ToPlay { score, tempo: delay::clicks_tempo() }
    }

    /// Begins tapping along; the first click is heard at `begin`.
    pub fn tapping_begin(&mut self, begin: AudioTime) {
        self.practice.not_found = None;
        self.practice.answered = None;
        self.practice.doing = Doing::Tapping(TapAlong::begun(begin));
    }

    /// Takes what the player did, from whatever heard it.
    pub fn hear(&mut self, heard: Heard) {
        if let (Doing::Drill(drill), Some(midi)) = (&self.practice.doing, heard.midi)
            && let Some(at) = drill.on_form(heard.at, self.practice.delay)
        {
            self.free_down(at, midi);
        }
        match &mut self.practice.doing {
            Doing::Run(run) => run.hear(heard),
            Doing::Tapping(along) => along.tap(heard.at),
            Doing::Drill(drill) => drill.hear(heard),
            Doing::Nothing => {}
        }
    }

    /// Looks whether a time through has ended by `now`, and counts it. `clock` is any clock that runs on while nothing
    /// plays, in seconds.
    pub fn practice_tick(&mut self, now: AudioTime, clock: Seconds) -> Option<Rc<PassEnded>> {
        let delay = self.practice.delay;
        match &mut self.practice.doing {
            Doing::Nothing => None,
            Doing::Drill(_) => {
                self.practice.rest.practising(clock);
                None
            }
            Doing::Run(run) => {
                let ended = run.tick(now, delay);
                let is_over = run.is_over();
                self.practice.rest.practising(clock);
                if ended.is_some() {
                    self.practice.replay = Some(run.replay());
                }
                let ended = ended.map(|ended| self.count_pass(ended));
                if is_over && !self.practice.settings.goes_on {
                    self.practice.doing = Doing::Nothing;
                }
                ended
            }
            Doing::Tapping(along) => {
                if now >= along.ends() + Seconds(0.5) {
                    self.practice.answered = Some(along.answered());
                    match along.delay() {
                        Ok(found) => self.practice.delay = Some(found),
                        Err(why) => self.practice.not_found = Some(why),
                    }
                    self.practice.doing = Doing::Nothing;
                }
                None
            }
        }
    }

    /// Breaks off what is going on; a time through that was begun is measured as far as it went.
    pub fn practice_stop(&mut self, now: AudioTime) -> Option<Rc<PassEnded>> {
        match std::mem::take(&mut self.practice.doing) {
            Doing::Run(run) => {
                let replay = run.replay();
                let ended = run.stop(now, self.practice.delay);
                self.practice.unheard = ended.is_none();
                let ended = ended?;
                self.practice.replay = Some(replay);
                Some(self.count_pass(ended))
            }
            Doing::Drill(_) => {
                // What was said in one's own turns stands there afterwards.
                let form = self.changes().length();
                self.free.end(form);
                None
            }
            Doing::Tapping(_) | Doing::Nothing => None,
        }
    }

    /// What the band played in the last time through, once, without a count-in.
    pub fn practice_replay(&self) -> Option<Score> {
        self.practice.replay.clone()
    }

    /// Takes the delay of the device that is in use now; `None` where it is not known.
    pub fn set_delay(&mut self, delay: Option<Delay>) {
        self.practice.delay = delay;
        self.practice.not_found = None;
    }

    /// Counts a time through: the ladder goes on, the next bar comes up. A history hooks in behind it, by the result of
    /// [`Desk::practice_tick`].
    fn count_pass(&mut self, ended: PassEnded) -> Rc<PassEnded> {
        self.practice.passes = self.practice.passes.saturating_add(1);
        self.practice.next = None;
        if ended.complete {
            self.climb(&ended);
            if self.practice.settings.one_bar && ended.went == Went::Clean {
                self.practice.bar = (self.practice.bar + 1) % self.practice_changes().bars().len();
            }
        }
        let ended = Rc::new(ended);
        if let Some(last) = self.practice.last.replace(Rc::clone(&ended)) {
            if is_the_same(&last, &ended) {
                self.practice.before.push(last);
                let old = self.practice.before.len().saturating_sub(MOST_BEFORE);
                self.practice.before.drain(..old);
            } else {
                self.practice.before.clear();
            }
        }
        ended
    }

    fn climb(&mut self, ended: &PassEnded) {
        let Some(plan) = self.practice.settings.ladder else { return };
        let known = self.practice.ladder.take().filter(|(of, _)| *of == ended.of);
        let Some(mut ladder) = known.map(|(_, ladder)| ladder).or_else(|| Ladder::new(plan)) else { return };
        self.practice.next = Some(ladder.count(ended.went));
        self.practice.ladder = Some((ended.of, ladder));
    }
}

impl Rest {
    fn practising(&mut self, clock: Seconds) {
        let has_rested = (clock - self.seen).0 >= RESTED.0 || clock < self.seen;
        if self.since.is_none() || has_rested {
            self.since = Some(clock);
        }
        self.seen = clock;
    }
}
