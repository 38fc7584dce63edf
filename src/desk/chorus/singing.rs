//! Words over the lines of the chorus, and a sung line as a riff.

use serde::Deserialize;

use crate::chorus::verse::{Stage, Verse};
use crate::desk::{Desk, Done, Refusal};
use crate::theory::pitch::Pitch;
use crate::units::MidiNote;

/// One thing that is done with words. Lines count from 0 through all times.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case", rename_all_fields = "camelCase")]
#[cfg_attr(target_arch = "wasm32", derive(tsify::Tsify))]
pub enum VerseCommand {
    /// Put these words over a line, instead of those that stand there.
    Write {
        /// Which line.
        line: usize,
        /// The words, as [`crate::chorus::verse`] reads them.
        text: String,
    },
    /// Put the example over the first three lines.
    Example,
    /// Move a syllable of a line, as near as its neighbours let it.
    Move {
        /// Which line.
        line: usize,
        /// Which syllable, from 0.
        syllable: usize,
        /// Where to, in half beats (thirds of dotted ones) from the line's start.
        to: i32,
    },
    /// Let all syllables of a line stand by the rule again.
    Settle {
        /// Which line.
        line: usize,
    },
    /// Make a riff of a line, and put it there.
    Sing {
        /// Which line.
        line: usize,
        /// The riff's id.
        id: String,
    },
}

/// An invented verse: a line, the same again, and the answer.
pub const EXAMPLE: [&str; 3] = [
    "Left my um-*brel-la on the ear-ly train",
    "Left my um-*brel-la on the ear-ly train",
    "Now I'm learn-ing all the songs that you can hear in rain",
];

impl Desk {
    /// The bars of a line of the chorus; a refusal where it has no such line.
    pub fn stage(&self, line: usize) -> Result<Stage, Refusal> {
        let course = self.course();
        let lines = course.lines() * course.choruses();
        Stage::of(&course, line).ok_or(Refusal::NoSuchLine { found: line.saturating_add(1), lines })
    }

    /// Does what a [`VerseCommand`], as JSON, says.
    pub(in crate::desk) fn sing(&mut self, does: &str) -> Result<Done, Refusal> {
        let command: VerseCommand = serde_json::from_str(does).map_err(|_| Refusal::unknown(does))?;
        let verse = self.chorus().verse();
        let verse = match command {
            VerseCommand::Write { line, text } => verse.written(line, &text, &self.stage(line)?),
            VerseCommand::Example => {
                let lines = self.course().lines().min(EXAMPLE.len());
                let stages = (0..lines).map(|line| self.stage(line)).collect::<Result<Vec<Stage>, _>>()?;
                let written = |verse: Verse, line: usize| verse.written(line, EXAMPLE[line], &stages[line]);
                (0..lines).fold(verse, written)
            }
            VerseCommand::Move { line, syllable, to } => verse.moved(line, syllable, to, &self.stage(line)?),
            VerseCommand::Settle { line } => verse.unmoved(line),
            VerseCommand::Sing { line, id } => return self.sing_as_riff(&verse, line, &id),
        };
        self.put_chorus((**self.chorus()).clone().with_verse(&verse))?;
        Ok(Done::Quietly)
    }

    /// Makes a riff of a line and puts it where the line stands, so that its notes have their syllables.
    fn sing_as_riff(&mut self, verse: &Verse, line: usize, id: &str) -> Result<Done, Refusal> {
        let (id, stage) = (self.fresh(id)?, self.stage(line)?);
        let pitch = self.one_note().ok_or(Refusal::TooFar)?;
        let sung = verse.line(line).sung(&stage, pitch, id).ok_or(Refusal::NoNote)?;
        let name = sung.riff.name.clone();
        self.put_in(Some(self.tune().key), sung.riff.clone())?;
        let course = self.course();
        let bar = stage.first() + sung.bar;
        let mut chorus = (**self.chorus()).clone();
        let at = course.bar_start(bar) + sung.riff.start;
        let index = chorus.put(&sung.riff, at, Vec::new()).map_err(Refusal::Chorus)?;
        self.put_chorus(chorus)?;
        self.weaving.selected = Some(index);
        self.weaving.bar = bar;
        Ok(Done::Added { name, tune: None })
    }

    /// The home note of the tune, as near the middle of what the instrument plays as it lies.
    fn one_note(&self) -> Option<Pitch> {
        let (range, home) = (self.range(), self.tune().key.tonic());
        let (low, high) = (i32::from(range.lowest.number()), i32::from(range.highest.number()));
        // Who plays keys sings near middle C; others where their instrument is.
        let middle = if low < 36 && high > 84 { 64 } else { (low + high) / 2 };
        let numbers = (0..=127).filter_map(MidiNote::new);
        let pitches = numbers.filter_map(|midi| Pitch::of_name(home, midi).map(|pitch| (midi, pitch)));
        pitches.min_by_key(|(midi, _)| (i32::from(midi.number()) - middle).abs()).map(|(_, pitch)| pitch)
    }
}
