//! What a score asks of the player: the notes of its riff, or of its chorus, on the time line, whether or not the band
//! plays them along.

use crate::perform::{BarOnLine, Part, Score, Solo};
use crate::rhythm::grid::Division;
use crate::riff::{Note, Ornament, Riff};
use crate::theory::pitch::Pitch;
use crate::units::{MidiNote, ScoreTime, Ticks};

/// One note where it is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asked {
    /// Which note of the riff, or of the different riffs of a chorus: the same number each time it comes.
    pub note: usize,
    /// What it ought to sound as.
    pub midi: MidiNote,
    /// The same as it is spelled.
    pub pitch: Pitch,
    /// The crushed note that leads to it, if there is one.
    pub crushed: Option<MidiNote>,
    /// Where it is written.
    pub at: ScoreTime,
    /// When it ought to sound, in quarters: swung as the band swings, never laid back.
    pub position: f64,
    /// The bar of the form, index from 0; `None` for a pickup in the count-in.
    pub bar: Option<usize>,
    /// The beat of the bar, counted from 1.
    pub beat_number: usize,
    /// Where its beat begins.
    pub beat_start: ScoreTime,
    /// How long its beat lasts.
    pub beat: Ticks,
    /// How its beat is divided.
    pub division: Division,
}

impl Score {
    /// The notes of the riff or the chorus that are written from `from` on and before `to`, in order; a crushed note is
    /// part of the note that it leads to. Empty without either.
    pub fn asked(&self, from: ScoreTime, to: ScoreTime) -> Vec<Asked> {
        let plain = Score { parts: self.parts.with(Part::Solo), touch: Default::default(), ..self.clone() };
        let mut asked = Vec::new();
        let mut bar = plain.bar_at(from);
        while bar.at < to {
            match &self.solo {
                Solo::Nothing => {}
                Solo::Placed(line) => asked.extend(plain.asked_of_line(line, &bar)),
                Solo::Over(riff) | Solo::Once(riff) => {
                    for begin in plain.begins(riff, &bar) {
                        let onsets = riff.notes().iter().enumerate();
                        asked.extend(onsets.filter_map(|(index, note)| {
                            plain.asked_in(riff, index, &bar, begin + note.onset)
                        }));
                    }
                }
            }
            bar = plain.bar_at(bar.end());
        }
        asked.retain(|asked| from <= asked.at && asked.at < to);
        asked.sort_by(|one, other| one.position.total_cmp(&other.position));
        asked
    }

    /// The notes of any riff, begun once from the bar line `bar_line`, in order.
    pub fn phrase(&self, riff: &Riff, bar_line: ScoreTime) -> Vec<Asked> {
        let begin = bar_line + riff.start;
        let place = |(index, note): (usize, &Note)| {
            let at = begin + note.onset;
            self.asked_at(riff, index, &self.bar_at(at), at)
        };
        riff.notes().iter().enumerate().filter_map(place).collect()
    }

    /// When the first pickup to the first bar line is asked for, or the bar line itself.
    pub fn first_pickup(&self) -> ScoreTime {
        let riff = self.solo.riff().map(|riff| ScoreTime::ZERO + riff.start);
        let plain = Score { parts: self.parts.with(Part::Solo), ..self.clone() };
        riff.into_iter().chain(plain.placed_pickup()).fold(ScoreTime::ZERO, ScoreTime::min)
    }

    /// Note `index` of a riff that is written at `at`, where that lies in `bar`.
    pub(super) fn asked_in(
        &self,
        riff: &Riff,
        index: usize,
        bar: &BarOnLine,
        at: ScoreTime,
    ) -> Option<Asked> {
        if bar.at <= at && at < bar.end() { self.asked_at(riff, index, bar, at) } else { None }
    }

    /// Note `index` of a riff where it is written at `at`, in `bar`; `None` for a pitch that has no number.
    fn asked_at(&self, riff: &Riff, index: usize, bar: &BarOnLine, at: ScoreTime) -> Option<Asked> {
        let note = riff.notes().get(index)?;
        let beat = bar.metre.beat();
        let beats_before = (at - bar.at).div_floor(beat);
        let division = riff.division_at(note.onset);
        Some(Asked {
            note: index,
            midi: note.pitch.midi()?,
            pitch: note.pitch,
            crushed: note.ornament.and_then(|ornament| match ornament {
                Ornament::Crushed(pitch) => pitch.midi(),
                Ornament::Scoop => None,
            }),
            at,
            position: self.bent(bar, at, division, self.swing),
            bar: bar.index,
            beat_number: beats_before as usize + 1,
            beat_start: bar.at + beat * beats_before,
            beat,
            division,
        })
    }

    /// How long one time through the loop lasts.
    pub fn time_through(&self) -> Ticks {
        self.cycle_length()
    }
}
