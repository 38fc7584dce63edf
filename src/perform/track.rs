//! A score from its first sound to its last, for files: everything at once instead of window by window.

use crate::perform::Score;
use crate::perform::planner::Planned;
use crate::perform::takes::Takes;
use crate::rhythm::tempo::TempoMap;
use crate::units::{AudioTime, QuartersPerMinute, ScoreTime, Seconds};

/// The most that a file of sound holds: a quarter of an hour or so.
pub const MOST: Seconds = Seconds(1000.0);

/// How long `score` lasts from its first sound to its last bar line; `None` where it goes on for ever.
pub fn length(score: &Score, tempo: QuartersPerMinute) -> Option<Seconds> {
    score.end().map(|end| tempo.duration(end - score.begin()))
}

/// How many times through its loop fit into [`MOST`]; at least 1.
pub fn most_times(score: &Score, tempo: QuartersPerMinute) -> u32 {
    let once = tempo.duration(score.cycle_length()).0;
    let lead_in = tempo.duration(ScoreTime::ZERO - score.begin()).0;
    ((MOST.0 - lead_in) / once).clamp(1.0, 99.0) as u32
}

/// All sounds of a score that ends.
#[derive(Clone, Debug, PartialEq)]
pub struct Track {
    /// When the first bar line falls; count-in, intro and pickup come before it.
    pub start: AudioTime,
    /// The sounds in order. Time zero is where the score begins.
    pub sounds: Vec<Planned>,
}

impl Track {
    /// The sounds of `score` at `tempo`, or `None` where it goes on for ever.
    pub fn of(score: &Score, tempo: QuartersPerMinute) -> Option<Track> {
        // What is written lies within its bar, and sounds less than a bar away.
        let end = score.end()?;
        let until = end + score.bar_at(end).metre.bar();
        let begin = score.begin();
        let events = score.events(begin.since_start().in_quarters(), until.since_start().in_quarters());
        let tempo = TempoMap::new(begin, AudioTime(0.0), tempo);
        let mut takes = Takes::default();
        let sounds = events.iter().zip(0..).map(|(event, id)| {
            let when = tempo.time_of(event.position);
            let duration: Seconds = tempo.time_of(event.position + event.length) - when;
            let (part, midi, velocity) = (event.part, event.midi, event.velocity);
            Planned {
                id,
                part,
                when,
                duration,
                midi,
                velocity,
                attack: event.attack,
                take: takes.deal(id, part, midi),
                written: event.written,
            }
        });
        Some(Track { start: tempo.time_of(0.0), sounds: sounds.collect() })
    }
}
