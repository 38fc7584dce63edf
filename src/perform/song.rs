//! A score from beginning to end as the parts of a MIDI file.

use crate::band::Pulse;
use crate::files::midi::{DRUMS, Note, Part as FilePart, Song};
use crate::perform::touch::Touch;
use crate::perform::{Attack, Part, Score};
use crate::rhythm::feel::SwingRatio;
use crate::theory::key::Key;
use crate::units::{QuartersPerMinute, ScoreTime, Ticks};

/// Whose times a file has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Times {
    /// As it is played: with swing, and with what players add.
    Played,
    /// As it is written: even, and exact.
    Written,
}

/// What a file is told beside its notes.
#[derive(Clone, Debug)]
pub struct About<'a> {
    /// The music's name.
    pub name: &'a str,
    /// What the soloist's part is called.
    pub solo: &'a str,
    /// The General MIDI programs of soloist and chords.
    pub programs: (u8, u8),
    /// The key.
    pub key: Key,
    /// The tempo.
    pub tempo: QuartersPerMinute,
}

/// The General MIDI program of a plucked bass played with the fingers, counted from 0.
const BASS: u8 = 33;

/// All sounds of `score` in parts, the soloist first, or `None` where it goes on for ever. What comes before the first
/// bar line gets whole bars. Where the soloist plays alone and once, the file ends with the riff.
pub fn song(score: &Score, about: &About, times: Times) -> Option<Song> {
    let mut score = match times {
        Times::Played => score.clone(),
        Times::Written => written(score.clone()),
    };
    // A file of notes is worked on further: the riff is in it as it is written, and nobody else's phrasing.
    score.touch.phrasing = None;
    let score = &score;
    let end = score.end()?;
    let until = end + score.bar_at(end).metre.bar();
    let quarters = |at: ScoreTime| at.since_start().in_quarters();
    let events = score.events(quarters(score.begin()), quarters(until));
    let first_bar = score.bar_at(ScoreTime::ZERO).metre;
    let earliest = events.iter().map(|event| event.position).fold(0.0, f64::min);
    let bars_before = (-earliest / first_bar.bar().in_quarters()).ceil() as i64;
    let lead = first_bar.bar() * bars_before;
    let ticks = |quarters: f64| Ticks::from_quarters(quarters).unwrap_or_default() + lead;
    let order = [Part::Solo, Part::Comp, Part::Bass, Part::Drums, Part::Click];
    let part = |part: Part| {
        let (name, channel, program) = match part {
            Part::Solo => (about.solo, 0, Some(about.programs.0)),
            Part::Comp => ("Chords", 1, Some(about.programs.1)),
            Part::Bass => ("Bass", 2, Some(BASS)),
            Part::Drums => ("Drums", DRUMS, None),
            Part::Click => ("Click", DRUMS, None),
        };
        let mut notes = Vec::new();
        for event in events.iter().filter(|event| event.part == part) {
            let at = ticks(event.position);
            let length = Ticks((ticks(event.position + event.length) - at).0.max(1));
            let scooped = event.attack == Attack::Scooped;
            notes.push(Note { at, length, midi: event.midi, velocity: event.velocity, scooped });
        }
        FilePart { name: name.to_owned(), channel, program, notes }
    };
    let parts: Vec<FilePart> = order.map(part).into_iter().filter(|part| !part.notes.is_empty()).collect();
    let (mut metres, mut marks) = (vec![(Ticks::ZERO, first_bar)], Vec::new());
    let mut bar = score.bar_at(ScoreTime::ZERO);
    while bar.at < end {
        let at = bar.at.since_start() + lead;
        if metres.last().is_none_or(|(_, metre)| *metre != bar.metre) {
            metres.push((at, bar.metre));
        }
        let chords = bar.index.and_then(|index| score.changes.bars().get(index));
        for place in chords.iter().flat_map(|bar| &bar.chords) {
            let text = place.chord.to_string();
            if marks.last().is_none_or(|(_, last)| *last != text) {
                marks.push((at + place.at, text));
            }
        }
        bar = score.bar_at(bar.end());
    }
    Some(Song {
        name: about.name.to_owned(),
        tempo: about.tempo,
        tempo_changes: 0,
        metres,
        key: Some(about.key),
        parts,
        marks,
        end: score.riff_end().unwrap_or(end.since_start()) + lead,
    })
}

/// The same with even beats and nobody loose; the band keeps the patterns that it plays where it swings.
fn written(mut score: Score) -> Score {
    let swings = score.swing != SwingRatio::STRAIGHT && !score.bar_at(ScoreTime::ZERO).metre.is_compound();
    if swings {
        score.arrangement.pulse.get_or_insert(Pulse::Swung);
    }
    (score.swing, score.touch) = (SwingRatio::STRAIGHT, Touch::default());
    score
}
