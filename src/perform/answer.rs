//! Where the band answers: the space that the soloist leaves.

use std::ops::Range;

use crate::band::answer::BEATS;
use crate::band::settings::Answers;
use crate::perform::{BarOnLine, Event, Score};
use crate::units::Ticks;

/// What of a beat the soloist may still sound in, in quarters, while it counts as a rest: the end of a note that comes late.
const STILL: f64 = 0.1;

impl Score {
    /// The beats of `bar`, from its bar line, in which the band answers: two in the middle of the most beats in a row in
    /// which the soloist rests, who has spoken in this bar or the one before it. `solo` has what is played in the bar.
    pub(super) fn space(&self, bar: &BarOnLine, solo: &[Event]) -> Option<Range<Ticks>> {
        if self.arrangement.answers == Answers::Nobody {
            return None;
        }
        let mut heard = solo.to_vec();
        self.solo_events(&self.bar_at(bar.at - Ticks(1)), &mut heard);
        let beat = bar.metre.beat();
        let begins = |count: i64| (bar.at + beat * count).since_start().in_quarters();
        let rests = |count: i64| {
            let sounds = |event: &Event| {
                event.position < begins(count + 1) && event.position + event.length > begins(count) + STILL
            };
            !heard.iter().any(sounds)
        };
        let (mut first, mut most, mut rested) = (0, 0, 0);
        for count in 0..i64::from(bar.metre.beats()) {
            rested = if rests(count) { rested + 1 } else { 0 };
            if rested > most {
                (first, most) = (count + 1 - rested, rested);
            }
        }
        let spoken = heard.iter().any(|event| event.position < begins(first));
        let from = beat * (first + (most - BEATS) / 2);
        (spoken && most >= BEATS).then(|| from..from + beat * BEATS)
    }
}
