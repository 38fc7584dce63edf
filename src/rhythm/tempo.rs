//! Tempo: the one place where score time becomes real time.

use crate::units::{AudioTime, QuartersPerMinute, ScoreTime, Seconds};

/// A stretch of constant tempo: from `at` on, which sounds at `time`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// Where in the score the stretch begins.
    pub at: ScoreTime,
    /// When that instant sounds.
    pub time: AudioTime,
    /// The tempo from there on.
    pub tempo: QuartersPerMinute,
}

/// Goes between score time and the audio clock. Tempo changes in steps.
#[derive(Clone, Debug, PartialEq)]
pub struct TempoMap {
    /// Ascending in score time; never empty.
    segments: Vec<Segment>,
}

impl TempoMap {
    /// One tempo throughout, with `at` sounding at `time`.
    pub fn new(at: ScoreTime, time: AudioTime, tempo: QuartersPerMinute) -> TempoMap {
        TempoMap { segments: vec![Segment { at, time, tempo }] }
    }

    /// The stretches, ascending.
    pub fn segments(&self) -> &[Segment] {
        &self.segments
    }

    /// Changes the tempo from `at` on; stretches that began later are forgotten.
    pub fn change(&mut self, at: ScoreTime, tempo: QuartersPerMinute) {
        let time = self.time_of(at.since_start().in_quarters());
        self.segments.retain(|segment| segment.at < at);
        self.segments.push(Segment { at, time, tempo });
    }

    /// Forgets the stretches that were over before `time`.
    pub fn forget_before(&mut self, time: AudioTime) {
        let over = self.segments.iter().skip(1).take_while(|segment| segment.time <= time).count();
        self.segments.drain(..over);
    }

    /// When a point of the score, in quarters since its start, sounds. Quarters, since swing lies between ticks.
    pub fn time_of(&self, quarters: f64) -> AudioTime {
        let segment = self
            .segments
            .iter()
            .rev()
            .find(|segment| segment.at.since_start().in_quarters() <= quarters)
            .unwrap_or(&self.segments[0]);
        let since = quarters - segment.at.since_start().in_quarters();
        segment.time + Seconds(since * 60.0 / segment.tempo.value())
    }

    /// Where the score stands at `time`, in quarters since its start.
    pub fn quarters_at(&self, time: AudioTime) -> f64 {
        let segment =
            self.segments.iter().rev().find(|segment| segment.time <= time).unwrap_or(&self.segments[0]);
        segment.at.since_start().in_quarters() + (time - segment.time).0 * segment.tempo.value() / 60.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Ticks;

    #[test]
    fn time_goes_there_and_back_over_a_change_of_tempo() {
        let tempo = |value| QuartersPerMinute::new(value).unwrap();
        let mut map = TempoMap::new(ScoreTime::ZERO, AudioTime(1.0), tempo(120.0));
        map.change(ScoreTime::ZERO + Ticks::quarters(4), tempo(60.0));
        assert_eq!(map.time_of(4.0), AudioTime(3.0));
        assert_eq!(map.time_of(5.0), AudioTime(4.0));
        for quarters in [-2.0, 0.0, 3.9, 4.0, 17.25] {
            assert!((map.quarters_at(map.time_of(quarters)) - quarters).abs() < 1e-9);
        }
    }
}
