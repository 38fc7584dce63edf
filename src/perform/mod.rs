//! From music to timed events: the riff and the band over the changes, with feel and accents applied once, here.
//!
//! A [`Score`] says what is played and can tell the events of any stretch of its time line, for ever if nobody stops
//! it. The time line counts quarters from the first bar line; the count-in lies before it.

mod answer;
mod asked;
mod line;
pub mod phrasing;
mod placed;
pub mod planner;
mod solo;
pub mod song;
pub mod sounding;
pub mod takes;
pub mod touch;
pub mod track;

use std::borrow::Cow;
use std::ops::{Range, RangeInclusive};
use std::rc::Rc;

use crate::band::settings::Arrangement;
use crate::band::voicing::{self, Hands, Voicing};
use crate::band::{self, BandNote, BarContext, Pulse};
use crate::form::{Bar, Changes};
pub use crate::perform::asked::Asked;
pub use crate::perform::line::{Anchor, BarOnLine};
pub use crate::perform::placed::SoloLine;
use crate::perform::touch::Touch;
use crate::rhythm::feel::SwingRatio;
use crate::rhythm::grid::Division;
use crate::riff::Riff;
use crate::units::{MidiNote, ScoreTime, Ticks, Velocity};

/// Who plays.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// The metronome.
    Click,
    /// The drums.
    Drums,
    /// The bass.
    Bass,
    /// The chords behind.
    Comp,
    /// The riff.
    Solo,
}

impl Part {
    /// All parts.
    pub const ALL: [Part; 5] = [Part::Click, Part::Drums, Part::Bass, Part::Comp, Part::Solo];

    /// The name in data.
    pub fn name(self) -> &'static str {
        match self {
            Part::Click => "click",
            Part::Drums => "drums",
            Part::Bass => "bass",
            Part::Comp => "comp",
            Part::Solo => "solo",
        }
    }

    /// The part with this name in data.
    pub fn named(name: &str) -> Option<Part> {
        Part::ALL.into_iter().find(|part| part.name() == name)
    }
}

/// Which parts play.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Parts(u8);

impl Parts {
    /// These parts.
    pub fn of(parts: &[Part]) -> Parts {
        parts.iter().fold(Parts::default(), |all, part| all.with(*part))
    }

    /// These parts and `part`.
    #[must_use]
    pub fn with(self, part: Part) -> Parts {
        Parts(self.0 | 1 << part as u8)
    }

    /// These parts without `part`.
    #[must_use]
    pub fn without(self, part: Part) -> Parts {
        Parts(self.0 & !(1 << part as u8))
    }

    /// Whether `part` plays.
    pub fn has(self, part: Part) -> bool {
        self.0 & (1 << part as u8) != 0
    }
}

/// How loud each part is beside what the mix gives it, in whole decibels, [`Levels::LEAST`] ..= [`Levels::MOST`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Levels([i8; Part::ALL.len()]);

impl Levels {
    /// The softest that a part can be made, in decibels.
    pub const LEAST: i32 = -18;
    /// The loudest, in decibels: twice the amplitude, for what the guard behind the mix still takes.
    pub const MOST: i32 = 6;

    /// The level of a part, in decibels.
    pub fn of(self, part: Part) -> i8 {
        self.0[part as usize]
    }

    /// The levels with that of `part` changed, or `None` where it is out of range.
    pub fn with(mut self, part: Part, decibels: i32) -> Option<Levels> {
        (Levels::LEAST..=Levels::MOST).contains(&decibels).then(|| {
            self.0[part as usize] = decibels as i8;
            self
        })
    }

    /// Every part with its level.
    pub fn all(self) -> impl Iterator<Item = (Part, i8)> {
        Part::ALL.into_iter().map(move |part| (part, self.of(part)))
    }
}

/// One sound, timed in quarters on the score's time line; swing is applied already.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// Who plays it.
    pub part: Part,
    /// Where it is written.
    pub at: ScoreTime,
    /// When it sounds, in quarters.
    pub position: f64,
    /// How long, in quarters.
    pub length: f64,
    /// What sounds; drums and click by General MIDI percussion number.
    pub midi: MidiNote,
    /// How hard.
    pub velocity: Velocity,
    /// How its pitch begins and ends.
    pub attack: Attack,
    /// The note that it is of, of a riff's; a crushed note belongs to the one that it leads to.
    pub written: Option<Written>,
}

/// A note of a riff where it stands in the form.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Written {
    /// Which note of the riff, index from 0.
    pub note: usize,
    /// Which time of the riff: the bar of the form in which it was begun, index from 0. In a chorus the spot that it has.
    pub begun: usize,
}

/// How the pitch of a note begins and ends.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Attack {
    /// At its pitch.
    #[default]
    Plain,
    /// From a little below.
    Scooped,
    /// At its pitch, which falls away as the note ends.
    Falling,
}

/// What the soloist plays.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Solo {
    /// Nothing: the band is alone.
    #[default]
    Nothing,
    /// A riff, again at each bar line at which it can begin.
    Over(Rc<Riff>),
    /// A riff once, at the first bar line.
    Once(Rc<Riff>),
    /// The riffs of a chorus, where they stand in the form.
    Placed(Rc<SoloLine>),
}

impl Solo {
    /// The one riff that is played, however often.
    pub fn riff(&self) -> Option<&Rc<Riff>> {
        match self {
            Solo::Over(riff) | Solo::Once(riff) => Some(riff),
            Solo::Nothing | Solo::Placed(_) => None,
        }
    }

    /// The line of a chorus.
    pub fn line(&self) -> Option<&SoloLine> {
        if let Solo::Placed(line) = self { Some(line) } else { None }
    }
}

impl From<Option<Rc<Riff>>> for Solo {
    fn from(riff: Option<Rc<Riff>>) -> Solo {
        riff.map_or(Solo::Nothing, Solo::Over)
    }
}

/// What is played, and where in the form the time line begins.
#[derive(Clone, Debug)]
pub struct Score {
    /// The form.
    pub changes: Rc<Changes>,
    /// What the soloist plays over it.
    pub solo: Solo,
    /// How many times through make up `changes`; the band plays each as one.
    pub forms: usize,
    /// How beats are shared out.
    pub swing: SwingRatio,
    /// Who plays.
    pub parts: Parts,
    /// How the band plays.
    pub arrangement: Arrangement,
    /// How players depart from the written time.
    pub touch: Touch,
    /// The bars that are looped, indices from 0; where they do not lie within the form, all of it is.
    pub looped: Range<usize>,
    /// Times through the looped bars, or `None` for ever.
    pub times: Option<u32>,
    /// Bars counted in before everything else.
    pub count_in: u8,
    /// Bars of the form's end that the band plays before the first bar line, as an intro; whole forms only.
    pub intro: u8,
    /// Beats in which the drums lead into what the band plays first, brought to a bar.
    pub pickup: u8,
    /// A bar line of the time line and the bar that stands there; everything else follows from it.
    pub anchor: Anchor,
}

/// How the chords of each looped bar lie under which hands; nothing where no chords are played.
#[derive(Default)]
struct Voicings {
    hands: Option<Hands>,
    bars: Vec<Vec<Voicing>>,
}

impl Score {
    /// A score that begins at the first looped bar.
    pub fn new(changes: Rc<Changes>, solo: impl Into<Solo>, swing: SwingRatio, parts: Parts) -> Score {
        let looped = 0..changes.bars().len();
        let solo = solo.into();
        let (arrangement, touch, anchor) = Default::default();
        let (times, count_in, intro, pickup) = (None, 0, 0, 0);
        Score {
            changes,
            solo,
            forms: 1,
            swing,
            parts,
            arrangement,
            touch,
            looped,
            times,
            count_in,
            intro,
            pickup,
            anchor,
        }
    }

    /// The riff alone and once, begun in bar `bar` of the form (index from 0), or as much earlier as it needs to end
    /// with the form.
    pub fn alone(changes: Rc<Changes>, riff: Rc<Riff>, swing: SwingRatio, bar: usize) -> Score {
        let bars = changes.bars().len();
        let ends = riff.start + riff.length();
        let needed = |first: usize| {
            (1..=bars - first).find(|c| changes.bar_start(first + c) - changes.bar_start(first) >= ends)
        };
        let first = (0..=bar.min(bars - 1)).rev().find(|first| needed(*first).is_some()).unwrap_or(0);
        let looped = first..first + needed(first).unwrap_or(bars);
        let mut score = Score::new(changes, Solo::Once(riff), swing, Parts::of(&[Part::Solo]));
        score.looped = looped;
        score.times = Some((ends - Ticks(1)).div_floor(score.cycle_length()).max(0) as u32 + 1);
        score
    }

    /// Where a riff that comes once ends, counted from the first bar line; `None` for anything else.
    pub(super) fn riff_end(&self) -> Option<Ticks> {
        let Solo::Once(riff) = &self.solo else { return None };
        Some(riff.start + riff.length())
    }

    /// The events that sound from `from` on and before `to` (quarters on the time line), in order. None is missing
    /// and none comes twice, however the time line is cut into windows.
    pub fn events(&self, from: f64, to: f64) -> Vec<Event> {
        if from.partial_cmp(&to) != Some(std::cmp::Ordering::Less) {
            return Vec::new();
        }
        // Swing, delays and crushed notes move a sound by less than a bar from where it is written.
        let instant = |quarters: f64| ScoreTime::ZERO + Ticks::from_quarters(quarters).unwrap_or_default();
        let first = self.bar_at(instant(from));
        let mut bar = self.bar_at(first.at - Ticks(1));
        let mut events = Vec::new();
        let voicings = self.voicings();
        let is_over = |bar: &BarOnLine| self.end().is_some_and(|end| bar.at >= end);
        while bar.at.since_start().in_quarters() <= to + bar.metre.bar().in_quarters() && !is_over(&bar) {
            self.bar_events(&bar, &voicings, &mut events);
            bar = self.bar_at(bar.end());
        }
        events.retain(|event| (from..to).contains(&event.position));
        events.sort_by(|a, b| {
            a.position.total_cmp(&b.position).then(a.part.cmp(&b.part)).then(a.midi.cmp(&b.midi))
        });
        events
    }

    /// Everything that is written in one bar.
    fn bar_events(&self, bar: &BarOnLine, voicings: &Voicings, events: &mut Vec<Event>) {
        let Some(index) = bar.index else {
            if self.counts_in(bar) {
                let count = band::click::count(bar.metre);
                events.extend(count.iter().map(|note| self.band_event(Part::Click, bar, note)));
            }
            if bar.end() == self.intro_begins() {
                let lead = band::drums::lead_in(bar.metre, self.pulse(bar), self.pickup(), &self.arrangement);
                events.extend(lead.iter().map(|note| self.band_event(Part::Drums, bar, note)));
            }
            self.solo_events(bar, events);
            return;
        };
        let mut solo = Vec::new();
        self.solo_events(bar, &mut solo);
        let onsets: Vec<Ticks> = solo.iter().map(|event| event.at - bar.at).collect();
        let content = self.content(bar);
        let bars = self.changes.bars().len() / self.forms.max(1);
        let following = self.content(&self.bar_at(bar.end()));
        let context = BarContext {
            bar: &content,
            next: &following.chords[0].chord,
            voicings: &self.voicings_in(bar, &content, voicings),
            solo: &onsets,
            space: self.space(bar, &solo),
            index: index % bars,
            bars,
            chorus: bar.time.saturating_mul(self.forms as u32).saturating_add((index / bars) as u32),
            count: bar.time as usize * self.cycle().len() + bar.place,
            closes: self.closes(bar),
            ends_next: self.end() == Some(self.bar_at(bar.end()).end()),
            pulse: self.pulse(bar),
            arrangement: &self.arrangement,
        };
        type Play = fn(&BarContext) -> Vec<BandNote>;
        let plays: [(Part, Play); 4] = [
            (Part::Click, band::click::bar),
            (Part::Drums, band::drums::bar),
            (Part::Bass, band::bass::bar),
            (Part::Comp, band::comp::bar),
        ];
        let swell = self.touch.swell(context.index, bars, context.chorus);
        for (part, play) in plays.into_iter().filter(|(part, _)| self.parts.has(*part)) {
            events.extend(play(&context).iter().map(|note| {
                let mut event = self.band_event(part, bar, note);
                if swell != 0.0 && part != Part::Click {
                    let velocity = phrasing::louder(event.velocity, swell).clamp(1, 127);
                    event.velocity = Velocity::new(velocity).unwrap_or(event.velocity);
                }
                event
            }));
        }
        events.append(&mut solo);
    }

    /// Whether `bar` is the very last.
    fn closes(&self, bar: &BarOnLine) -> bool {
        self.end() == Some(bar.end())
    }

    /// What is written in `bar`; the last bar of the whole form ends on the home chord when it is the very last.
    fn content(&self, bar: &BarOnLine) -> Cow<'_, Bar> {
        let written = &self.cycle()[bar.place];
        let is_forms_last = bar.index.is_some_and(|index| index + 1 == self.changes.bars().len());
        let home = || self.changes.last_time().bars().last().cloned();
        if is_forms_last && self.closes(bar) {
            home().map_or(Cow::Borrowed(written), Cow::Owned)
        } else {
            Cow::Borrowed(written)
        }
    }

    fn pulse(&self, bar: &BarOnLine) -> Pulse {
        let by_swing = || match self.swing {
            _ if bar.metre.is_compound() => Pulse::Triplets,
            SwingRatio::STRAIGHT => Pulse::Straight,
            _ => Pulse::Swung,
        };
        self.arrangement.pulse.unwrap_or_else(by_swing)
    }

    /// The lowest and the highest note that the soloist plays, between which the chords have nothing to do.
    fn solo_range(&self) -> Option<RangeInclusive<i32>> {
        let mut range = None;
        let mut wider = |riff: &Riff| {
            for midi in riff.notes().iter().filter_map(|note| note.pitch.midi()) {
                let midi = i32::from(midi.number());
                let (lowest, highest) = range.unwrap_or((midi, midi));
                range = Some((midi.min(lowest), midi.max(highest)));
            }
        };
        match &self.solo {
            _ if !self.parts.has(Part::Solo) => {}
            Solo::Nothing => {}
            Solo::Over(riff) | Solo::Once(riff) => wider(riff),
            Solo::Placed(line) => line.riffs().for_each(wider),
        }
        range.map(|(lowest, highest)| lowest..=highest)
    }

    /// How the chords of each looped bar lie under the hands; nothing where no chords are played.
    fn voicings(&self) -> Voicings {
        if !self.parts.has(Part::Comp) {
            return Voicings::default();
        }
        let chords = self.cycle().iter().flat_map(|bar| bar.chords.iter().map(|place| &place.chord));
        let chords: Vec<_> = chords.collect();
        let voices = self.arrangement.comp.voices();
        let (hands, led) = voicing::lead(&chords, voices, self.solo_range());
        let mut led = led.into_iter();
        let bars = self.cycle().iter().map(|bar| led.by_ref().take(bar.chords.len()).collect()).collect();
        Voicings { hands: Some(hands), bars }
    }

    /// The voicings of one bar as it is played.
    fn voicings_in<'a>(
        &self,
        bar: &BarOnLine,
        content: &Bar,
        Voicings { hands, bars }: &'a Voicings,
    ) -> Cow<'a, [Voicing]> {
        let (Some(hands), Some(written)) = (hands, bars.get(bar.place)) else { return Cow::Borrowed(&[]) };
        if *content == self.cycle()[bar.place] {
            return Cow::Borrowed(written);
        }
        let before = bar.place.checked_sub(1).and_then(|place| bars[place].last());
        let before = before.unwrap_or(&written[0]);
        let chord = &content.chords[0].chord;
        Cow::Owned(vec![hands.nearest(before, chord)])
    }

    fn band_event(&self, part: Part, bar: &BarOnLine, note: &BandNote) -> Event {
        let BandNote { midi, velocity, division, .. } = *note;
        let at = bar.at + note.at;
        // Dotted beats are in thirds: a stroke that the patterns write between two beats falls on the last of them.
        let others = if bar.metre.is_compound() { SwingRatio::TRIPLET } else { self.swing };
        let swing = self.touch.swing(part, midi, others);
        let written = self.bent(bar, at, division, swing);
        let length = self.bent(bar, at + note.length, division, swing) - written;
        let position = written + self.touch.band_delay(part, midi, at, self.arrangement.seed);
        Event { part, at, position, length, midi, velocity, attack: Attack::Plain, written: None }
    }

    /// When a written instant of `bar` sounds, in quarters: swing acts on the beat by its division.
    fn bent(&self, bar: &BarOnLine, at: ScoreTime, division: Division, swing: SwingRatio) -> f64 {
        let beat = bar.metre.beat();
        let into = at - bar.at;
        let fraction = into.rem_floor(beat).0 as f64 / beat.0 as f64;
        let start = bar.at + beat * into.div_floor(beat);
        start.since_start().in_quarters() + swing.bend(fraction, division) * beat.in_quarters()
    }
}
