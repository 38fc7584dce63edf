//! Phrases of a drill: what the player played, written down, and a reply to it.

use crate::form::Changes;
use crate::perform::Score;
use crate::practice::Heard;
use crate::rhythm::grid::Division;
use crate::riff::variation::{self, Ground, How};
use crate::riff::{Note, Riff, RiffId};
use crate::theory::spell::Around;
use crate::units::{AudioTime, ScoreTime, Ticks};

/// The same rhythm with an end that comes home, begun in `bar` of the form; `None` where there is none.
pub(super) fn answer(riff: &Riff, changes: &Changes, bar: usize) -> Option<Riff> {
    let mut ground = Ground::of(riff, changes.clone());
    ground.bar = bar % changes.bars().len();
    variation::vary(How::Answer, riff, &ground, 0).ok().map(|varied| varied.riff)
}

/// What was played from `starts` to `stops`, each note at the nearest step of the grid: halves of a beat as the band swings
/// them, thirds where the metre counts in threes. `None` where nothing with a pitch was played.
pub(super) fn written(
    played: &[Heard],
    starts: ScoreTime,
    stops: ScoreTime,
    band: &Score,
    time_of: impl Fn(f64) -> AudioTime,
) -> Option<Riff> {
    let metre = band.bar_at(starts).metre;
    let (beat, division) =
        (metre.beat(), if metre.is_compound() { Division::THIRDS } else { Division::HALVES });
    let beats = (stops - starts).div_floor(beat).clamp(1, Riff::MOST_BEATS as i64);
    let parts = i64::from(division.parts());
    let step = |index: i64| {
        let onset = (beat * index) / parts;
        let swung = band.swing.bend((index % parts) as f64 / parts as f64, division);
        let quarters = (starts + beat * (index / parts)).since_start().in_quarters();
        (onset, time_of(quarters + swung * beat.in_quarters()))
    };
    let steps: Vec<(Ticks, AudioTime)> = (0..beats * parts).map(step).collect();
    let mut onsets = Vec::new();
    for heard in played {
        let Some(midi) = heard.midi else { continue };
        let away = |(_, at): &&(Ticks, AudioTime)| (*at - heard.at).0.abs();
        let nearest = steps.iter().min_by(|one, other| away(one).total_cmp(&away(other)))?;
        // Of two notes on one step the first stays.
        if onsets.last().is_none_or(|(onset, _)| *onset < nearest.0) {
            onsets.push((nearest.0, midi));
        }
    }
    let key = band.changes.key();
    let end = beat * beats;
    let note = |(index, (onset, midi)): (usize, &(Ticks, crate::units::MidiNote))| {
        let next = onsets.get(index + 1).map_or(end, |(next, _)| *next);
        let before = index.checked_sub(1).and_then(|before| onsets.get(before)).map(|(_, midi)| *midi);
        let pitch = Around { before, ..Around::key(key) }.spell(*midi);
        Note { onset: *onset, length: (next - *onset).min(beat), pitch, accent: false, ornament: None }
    };
    let notes: Vec<Note> = onsets.iter().enumerate().map(note).collect();
    if notes.is_empty() {
        return None;
    }
    let divisions = vec![division; beats as usize];
    Riff::from_parts(RiffId::default(), String::new(), Ticks::ZERO, beat, divisions, notes)
}
