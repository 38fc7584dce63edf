//! Playing a riff in: what is played after a count-in, over a click or the band, becomes a riff.
//!
//! Times come on the audio clock; nothing here reads one. What was played is kept beside the riff, so that it can be read
//! in another way and heard against it.

use std::rc::Rc;

use crate::band::settings::named;
use crate::desk::edit::Stroke;
use crate::desk::practice::ToPlay;
use crate::desk::score::What;
use crate::desk::{Desk, Done, Refusal};
use crate::perform::{Part, Parts, Solo};
use crate::riff::taken::{self, Basis, Played, Taken, Tempo};
use crate::riff::{Riff, RiffId, edit};
use crate::rooms::{Room, door};
use crate::units::{AudioTime, MidiNote, QuartersPerMinute, Seconds, Ticks, Velocity};

/// What is heard while a riff is played in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum With {
    /// A click on every beat.
    #[default]
    Click,
    /// The band over the form.
    Band,
}

impl With {
    /// Each with its name in data.
    pub const NAMES: [(With, &str); 2] = [(With::Click, "click"), (With::Band, "band")];
}

/// The lengths that can be set, in bars; `None` is as long as one plays.
pub const LENGTHS: [(Option<usize>, &str); 4] =
    [(None, "any"), (Some(1), "1"), (Some(2), "2"), (Some(4), "4")];

/// What is played in, and what was.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Taking {
    /// What is heard meanwhile.
    pub with: With,
    /// How many bars the riff is to have.
    pub bars: Option<usize>,
    listening: Option<Listening>,
    take: Option<Take>,
    /// The note that the next key gives its pitch to.
    naming: Option<usize>,
}

/// A take that is being played.
#[derive(Clone, Debug, PartialEq)]
struct Listening {
    basis: Basis,
    /// When the bar line of bar 1 is heard.
    begin: AudioTime,
    notes: Vec<Played>,
    /// Of held keys, which note each began.
    held: Vec<(MidiNote, usize)>,
}

/// What was played in, and how it reads.
#[derive(Clone, Debug, PartialEq)]
pub struct Take {
    /// The riff that it became.
    pub riff: RiffId,
    /// What was played: seconds from bar 1.
    pub played: Vec<Played>,
    /// What was known of it.
    pub basis: Basis,
    /// How it reads, the best first; at least one.
    pub readings: Vec<Taken>,
    /// Which of them stands on the desk.
    pub chosen: usize,
}

impl Take {
    /// Whether it was tapped: a rhythm without pitches.
    pub fn is_tapped(&self) -> bool {
        self.played.iter().all(|note| note.midi.is_none())
    }
}

/// The longest that is played in, in bars.
pub const MOST_BARS: usize = 4;
/// How many readings are offered, no two of which differ from the best in the same way; and out of how many.
const READINGS: usize = 4;
const OUT_OF: usize = 12;
/// A press this long after the last bar line is still taken, and one that is held may last as long, in beats.
const GRACE_BEATS: f64 = 0.5;

impl Taking {
    /// Whether a take is being played.
    pub fn is_listening(&self) -> bool {
        self.listening.is_some()
    }

    /// How many notes were played so far.
    pub fn count(&self) -> usize {
        self.listening.as_ref().map_or(0, |listening| listening.notes.len())
    }

    /// The last take, while it is looked at.
    pub fn take(&self) -> Option<&Take> {
        self.take.as_ref()
    }

    /// The note that the next key gives its pitch to, while that is done.
    pub fn naming(&self) -> Option<usize> {
        self.naming
    }
}

door!(Practice, practice: fn taken_down(desk: &mut Desk, id: &str) -> Result<Done, Refusal> {
    desk.write_down(id)
});

impl Desk {
    /// What is and was played in.
    pub fn taking(&self) -> &Taking {
        &self.taking
    }

    /// What sounds while a riff is played in: after one bar's count-in without end, nothing of the riff.
    pub fn taking_plays(&self) -> ToPlay {
        let mut score = self.score(What::Band);
        score.count_in = 1;
        (score.times, score.intro, score.pickup, score.arrangement.drop_out) = (None, 0, 0, None);
        score.parts = match self.taking.with {
            With::Click => Parts::of(&[Part::Click]),
            With::Band => score.parts.without(Part::Solo),
        };
        ToPlay { score, tempo: self.tune().tempo }
    }

    /// Begins to listen; the bar line of bar 1 is heard at `begin`. What was listened to before is forgotten.
    pub fn taking_begin(&mut self, begin: AudioTime, tempo: QuartersPerMinute) {
        let tune = self.tune();
        let basis = Basis {
            tempo,
            known: Tempo::Heard,
            metre: self.changes().bars()[self.session.bar.min(self.changes().bars().len() - 1)].metre,
            key: tune.key,
            off_beat: Some(tune.swing.off_beat()),
            thirds: tune.dotted,
            bars: self.taking.bars,
        };
        self.taking.take = None;
        self.taking.naming = None;
        self.taking.listening = Some(Listening { basis, begin, notes: Vec::new(), held: Vec::new() });
    }

    /// Takes what the player did, at a moment of the audio clock as it is heard; `None` is a tap.
    pub fn taking_down(&mut self, at: AudioTime, midi: Option<MidiNote>, velocity: Option<Velocity>) {
        let onset = self.since_bar_one(at);
        let (Some(listening), Some(onset)) = (&mut self.taking.listening, onset) else { return };
        let beat = listening.basis.tempo.duration(listening.basis.metre.beat()).0;
        let bar = beat * f64::from(listening.basis.metre.beats());
        let latest = (listening.basis.bars.unwrap_or(MOST_BARS) as f64) * bar;
        // Who warms up in the count-in plays no pickup: one of up to half a bar is one.
        let is_early = onset.0 < -0.5 * bar - 0.25 * beat;
        if is_early || onset.0 > latest || listening.notes.len() >= taken::MOST_NOTES {
            return;
        }
        if let Some(midi) = midi {
            listening.held.push((midi, listening.notes.len()));
        }
        listening.notes.push(Played { onset, end: None, midi, velocity });
    }

    /// A key was let go.
    pub fn taking_up(&mut self, at: AudioTime, midi: MidiNote) {
        let end = self.since_bar_one(at);
        let (Some(listening), Some(end)) = (&mut self.taking.listening, end) else { return };
        let Some(place) = listening.held.iter().position(|(held, _)| *held == midi) else { return };
        let (_, index) = listening.held.swap_remove(place);
        if let Some(note) = listening.notes.get_mut(index) {
            note.end = Some(end).filter(|end| end.0 > note.onset.0);
        }
    }

    /// Whether what is played in is over by `now`: the bars that were set are, or the most that there can be, or a whole bar
    /// went by in which nothing was played.
    pub fn taking_is_over(&self, now: AudioTime) -> bool {
        let Some(listening) = &self.taking.listening else { return false };
        let Basis { tempo, metre, bars, .. } = listening.basis;
        let beat = tempo.duration(metre.beat()).0;
        let bar = beat * f64::from(metre.beats());
        let now = (now - listening.begin).0 - self.known_delay().0.max(0.0);
        if now >= bar * bars.unwrap_or(MOST_BARS) as f64 + GRACE_BEATS * beat {
            return true;
        }
        let last = listening.notes.iter().map(|note| note.end.unwrap_or(note.onset).0).fold(0.0, f64::max);
        let is_silent = !listening.notes.is_empty() && listening.held.is_empty();
        bars.is_none() && is_silent && now >= (last / bar).ceil().max(1.0) * bar + bar
    }

    /// Gives up what is being played in.
    pub fn taking_stop(&mut self) {
        self.taking.listening = None;
    }

    /// What was played in, as it is heard again from `begin` on: when, how long, which, how hard. A tap has no note.
    pub fn take_again(&self, begin: AudioTime) -> Vec<(AudioTime, Seconds, Option<MidiNote>, Velocity)> {
        let Some(take) = &self.taking.take else { return Vec::new() };
        let beat = take.basis.tempo.duration(take.basis.metre.beat());
        let one = |note: &Played| {
            let length = note.end.map_or(beat * 0.5, |end| Seconds((end.0 - note.onset.0).max(0.03)));
            (begin + note.onset, length, note.midi, note.velocity.unwrap_or(Velocity::PLAIN))
        };
        take.played.iter().map(one).collect()
    }

    /// The riff of the take on the desk and nothing else, once over the bars that it was played over; `None` where no take
    /// is looked at.
    pub fn take_plays(&self, with_riff: bool) -> Option<ToPlay> {
        let take = self.taking.take.as_ref()?;
        let mut play = self.taking_plays();
        let bars = (self.riff().start + self.riff().length() + take.basis.metre.bar() - Ticks(1))
            .div_floor(take.basis.metre.bar())
            .max(1);
        let count = play.score.changes.bars().len();
        let first = play.score.looped.start;
        play.score.looped = first..(first + usize::try_from(bars).unwrap_or(1)).min(count);
        play.score.times = Some(1);
        play.tempo = take.basis.tempo;
        if with_riff {
            play.score.solo = Solo::Over(Rc::clone(self.riff()));
            play.score.parts = play.score.parts.with(Part::Solo);
        }
        Some(play)
    }

    fn since_bar_one(&self, at: AudioTime) -> Option<Seconds> {
        let begin = self.taking.listening.as_ref()?.begin;
        Some((at - self.known_delay()) - begin).filter(|since| since.0.is_finite())
    }

    /// What the device is known to add; nothing where that is unknown.
    fn known_delay(&self) -> Seconds {
        self.practice().delay().map_or(Seconds(0.0), |delay| delay.seconds)
    }

    /// A key writes a note, or gives a note that was tapped its pitch.
    pub(super) fn enter_or_name(&mut self, midi: u8, stroke: Stroke) -> Result<Done, Refusal> {
        match self.taking.naming {
            Some(index) if self.varied().is_none() => self.name_note(index, midi),
            _ => self.enter(midi, stroke),
        }
    }

    pub(super) fn name_notes(&mut self, on: bool) -> Result<Done, Refusal> {
        self.name_from(on.then_some(0));
        Ok(Done::Quietly)
    }

    pub(super) fn close_take(&mut self) -> Result<Done, Refusal> {
        self.taking.take = None;
        self.name_from(None);
        Ok(Done::Quietly)
    }

    pub(super) fn set_play_in(&mut self, what: &str, value: &str) -> Result<Done, Refusal> {
        let unknown = || Refusal::UnknownName { found: value.chars().take(20).collect() };
        match what {
            "with" => self.taking.with = named(value, &With::NAMES).ok_or_else(unknown)?,
            "bars" => self.taking.bars = named(value, &LENGTHS).ok_or_else(unknown)?,
            _ => return Err(Refusal::UnknownName { found: what.chars().take(20).collect() }),
        }
        Ok(Done::Quietly)
    }

    /// What was listened to becomes a riff. Without a note nothing changes, and that is said.
    pub(super) fn take_down(&mut self, id: &str) -> Result<Done, Refusal> {
        taken_down(self, id).unwrap_or(Err(Refusal::NotHere(Room::Practice)))
    }

    fn write_down(&mut self, id: &str) -> Result<Done, Refusal> {
        let listening = self.taking.listening.take().ok_or(Refusal::NothingPlayed)?;
        let readings = taken::take_down(&listening.notes, &listening.basis, OUT_OF);
        let mut readings = readings.map_err(|_| Refusal::NothingPlayed)?;
        let mut ways = Vec::new();
        readings.retain(|reading| {
            let is_new = !ways.contains(&reading.way);
            ways.push(reading.way);
            is_new
        });
        readings.truncate(READINGS);
        let is_empty = self.riff().notes().is_empty();
        let riff = if is_empty { self.riff().id } else { self.fresh(id)? };
        let name = if is_empty { self.riff().name.clone() } else { String::new() };
        let take = Take { riff, played: listening.notes, basis: listening.basis, readings, chosen: 0 };
        let written = edit::rename(&with_id(&take.readings[0].riff, riff), &name);
        self.put_in(Some(take.basis.key), written)?;
        self.put_down(riff);
        self.taking.take = Some(take);
        Ok(Done::Quietly)
    }

    pub(super) fn take_reading(&mut self, index: usize) -> Result<Done, Refusal> {
        let take = self.taking.take.as_mut().ok_or(Refusal::NothingPlayed)?;
        let reading = take.readings.get(index).ok_or(Refusal::NothingPlayed)?;
        let (key, written) = (take.basis.key, with_id(&reading.riff, take.riff));
        take.chosen = index;
        let id = take.riff;
        let name = self.document.notebook.riff(id).map_or(String::new(), |riff| riff.name.clone());
        self.put_in(Some(key), edit::rename(&written, &name))?;
        self.put_down(id);
        Ok(Done::Quietly)
    }

    /// Gives the note its pitch, selects the next, and goes on.
    fn name_note(&mut self, index: usize, midi: u8) -> Result<Done, Refusal> {
        let riff = (**self.riff()).clone();
        let onset = riff.notes().get(index).ok_or(Refusal::NoNote)?.onset;
        let pitch = self.spelled(&riff, midi, onset).ok_or(Refusal::NoNote)?;
        self.put(edit::repitch(&riff, index, pitch).map_err(Refusal::Edit)?)?;
        self.name_from(Some(index + 1));
        Ok(Done::Quietly)
    }

    /// From which note on keys give pitches; beyond the last, no more.
    fn name_from(&mut self, index: Option<usize>) {
        let notes = self.riff().notes().len();
        let index = index.filter(|index| *index < notes);
        if self.taking.naming.is_some() || index.is_some() {
            self.session.selected = index;
        }
        self.taking.naming = index;
        if let Some(onset) = index.map(|index| self.riff().notes()[index].onset) {
            self.session.cursor = onset;
        } else if notes > 0 && index.is_none() {
            self.go_to_end();
        }
    }

    /// What was taken belongs to a riff that is on the desk: put away with it.
    pub(super) fn take_inside(&mut self) {
        let chosen = self.session.chosen;
        if self.taking.take.as_ref().is_some_and(|take| take.riff != chosen) {
            self.taking.take = None;
        }
        let notes = self.riff().notes().len();
        if self.taking.naming.is_some_and(|index| index >= notes || self.session.selected != Some(index)) {
            self.taking.naming = None;
        }
    }
}

fn with_id(riff: &Riff, id: RiffId) -> Riff {
    let mut riff = riff.clone();
    riff.id = id;
    riff
}
