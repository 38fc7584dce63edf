//! Phrases of a drill: what the player played, written down, and a reply to it.

use crate::form::Changes;
use crate::perform::Score;
use crate::practice::Heard;
use crate::riff::Riff;
use crate::riff::taken::{self, Basis, Played, Tempo};
use crate::riff::variation::{self, Ground, How};
use crate::units::{AudioTime, QuartersPerMinute, ScoreTime, Seconds, Ticks};

/// The same rhythm with an end that comes home, begun in `bar` of the form; `None` where there is none.
pub(super) fn answer(riff: &Riff, changes: &Changes, bar: usize) -> Option<Riff> {
    let mut ground = Ground::of(riff, changes.clone());
    ground.bar = bar % changes.bars().len();
    variation::vary(How::Answer, riff, &ground, 0).ok().map(|varied| varied.riff)
}

/// What was played from `starts` to `stops`, in the rhythm that it was most likely meant in. `None` where nothing with a pitch
/// was played.
pub(super) fn written(
    played: &[Heard],
    starts: ScoreTime,
    stops: ScoreTime,
    band: &Score,
    tempo: QuartersPerMinute,
    time_of: impl Fn(f64) -> AudioTime,
) -> Option<Riff> {
    let metre = band.bar_at(starts).metre;
    let begin = time_of(starts.since_start().in_quarters());
    let one = |heard: &Heard| {
        // What comes early is meant for the turn: the player answers, and has no pickup before it.
        let onset = Seconds((heard.at - begin).0.max(-0.02));
        Some(Played { onset, end: None, midi: Some(heard.midi?), velocity: Some(heard.velocity) })
    };
    let played: Vec<Played> = played.iter().filter_map(one).take(taken::MOST_NOTES).collect();
    let bars = (stops - starts).div_floor(metre.bar()).max(1);
    let basis = Basis {
        tempo,
        known: Tempo::Heard,
        metre,
        key: band.changes.key(),
        off_beat: Some(band.swing.off_beat()),
        thirds: false,
        bars: usize::try_from(bars).ok(),
    };
    let riff = taken::take_down(&played, &basis, 1).ok()?.into_iter().next()?.riff;
    Some(riff).filter(|riff| riff.start >= Ticks::ZERO && !riff.notes().is_empty())
}
