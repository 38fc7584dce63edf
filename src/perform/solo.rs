//! The riff's own events, each time that it comes in the loop.

use std::ops::Range;

use crate::perform::phrasing::{Shape, louder};
use crate::perform::{Attack, BarOnLine, Event, Part, Score, Solo, Written};
use crate::riff::{Note, Ornament, Riff};
use crate::units::{MidiNote, ScoreTime, Ticks, Velocity};

/// How long a crushed note lasts, in quarters: a 48th of a whole note (common practice, no source: "as short as can
/// be").
const CRUSHED: Ticks = Ticks(Ticks::PER_QUARTER / 12);

const ALL_OF_IT: Range<Ticks> = Ticks(i64::MIN)..Ticks(i64::MAX);

/// How long the crushed note before `note` lasts; zero where it has none.
pub(super) fn crushed_length(note: &Note) -> Ticks {
    if matches!(note.ornament, Some(Ornament::Crushed(_))) { CRUSHED } else { Ticks::ZERO }
}

impl Score {
    /// The soloist's notes that are written in `bar`: of the times of a riff begun in it or before it, and of a pickup
    /// to the times begun after it. A riff that is longer than the loop goes on through the next times of the loop.
    pub(super) fn solo_events(&self, bar: &BarOnLine, events: &mut Vec<Event>) {
        match &self.solo {
            _ if !self.parts.has(Part::Solo) => {}
            Solo::Nothing => {}
            Solo::Placed(line) => self.placed(line, bar, events),
            Solo::Over(riff) | Solo::Once(riff) => {
                for begin in self.begins(riff, bar) {
                    let begun = self.bar_at(begin - riff.start).index.unwrap_or_default();
                    self.riff_events(riff, (begin, begun), bar, events, ALL_OF_IT);
                }
            }
        }
    }

    /// Where the times of the riff begin that may sound in `bar`.
    pub(super) fn begins(&self, riff: &Riff, bar: &BarOnLine) -> Vec<ScoreTime> {
        let (cycle_begins, cycle) = (self.cycle_begins(bar), self.cycle_length());
        let places = self.repeats(riff);
        // Times of the loop from one beginning of the riff at its first bar to the next.
        let every = (riff.length() + cycle - Ticks(1)).div_floor(cycle);
        let begun = |time: &i64| (i64::from(bar.time) + time).rem_euclid(every) == 0;
        let lines = (-every..=1).filter(begun).flat_map(|time| {
            places.iter().map(move |place| cycle_begins + cycle * time + self.start_of(*place))
        });
        // Nothing was begun before the first bar line, and nothing is after the last.
        let is_once = matches!(self.solo, Solo::Once(_));
        let played = |line: &ScoreTime| {
            let is_within = *line >= ScoreTime::ZERO && self.end().is_none_or(|end| *line < end);
            if is_once { *line == ScoreTime::ZERO } else { is_within }
        };
        lines.filter(played).map(|line| line + riff.start).collect()
    }

    /// The notes of a riff begun at `begin` that are written in `bar` and whose onsets lie `within` this part of it;
    /// `begun` as in [`Written`].
    pub(super) fn riff_events(
        &self,
        riff: &Riff,
        (begin, begun): (ScoreTime, usize),
        bar: &BarOnLine,
        events: &mut Vec<Event>,
        within: Range<Ticks>,
    ) {
        let in_bar = |(_, note): &(usize, &Note)| {
            let at = begin + note.onset;
            bar.at <= at && at < bar.end() && within.contains(&note.onset)
        };
        let mut shapes = None;
        for (index, note) in riff.notes().iter().enumerate().filter(in_bar) {
            let at = begin + note.onset;
            let Some(midi) = note.pitch.midi() else { continue };
            let written = Some(Written { note: index, begun });
            let shapes = shapes.get_or_insert_with(|| self.shapes(riff, begin));
            let event = Event { written, ..self.solo_event(riff, note, midi, at, bar, shapes.get(index)) };
            events.extend(self.crushed_event(note, &event));
            events.push(event);
        }
    }

    fn solo_event(
        &self,
        riff: &Riff,
        note: &Note,
        midi: MidiNote,
        at: ScoreTime,
        bar: &BarOnLine,
        shape: Option<&Shape>,
    ) -> Event {
        let end = at + note.length;
        let written = self.bent(bar, at, riff.division_at(note.onset), self.swing);
        let ends = self.bent(&self.bar_at(end), end, riff.division_at(note.end() - Ticks(1)), self.swing);
        let mut late = self.touch.solo_delay(at, at - bar.at, bar.metre.beat(), self.arrangement.seed);
        let mut velocity = if note.accent { Velocity::ACCENT } else { Velocity::PLAIN };
        let mut scooped = note.ornament == Some(Ornament::Scoop);
        let (mut gap, mut falls) = (0.0, false);
        if let Some(shape) = shape {
            // A short note keeps most of its length.
            late = late.min((ends - written) / 3.0);
            (velocity, gap) = (shape.velocity, shape.gap);
            scooped |= shape.scooped && note.ornament.is_none();
            falls = shape.falls;
        }
        let position = written + late;
        let attack = match (scooped, falls) {
            (true, _) => Attack::Scooped,
            (_, true) => Attack::Falling,
            _ => Attack::Plain,
        };
        let length = (ends - position - gap).max((ends - written) / 2.0);
        Event { part: Part::Solo, at, position, length, midi, velocity, attack, written: None }
    }

    /// The crushed note right before `event`, if `note` has one.
    fn crushed_event(&self, note: &Note, event: &Event) -> Option<Event> {
        let Some(Ornament::Crushed(pitch)) = note.ornament else { return None };
        let length = crushed_length(note).in_quarters();
        // Of a shaped riff it is 3 dB softer (common practice, no source).
        let softer = self.touch.phrasing.and_then(|_| Velocity::new(louder(event.velocity, -3.0)));
        Some(Event {
            velocity: softer.unwrap_or(event.velocity),
            at: event.at - crushed_length(note),
            position: event.position - length,
            length,
            midi: pitch.midi()?,
            attack: Attack::Plain,
            ..*event
        })
    }
}
