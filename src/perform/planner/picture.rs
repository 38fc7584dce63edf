//! What can be seen of what is played: where it stands in the bar, on which chord of the form, in which time of the riff.
//! A short list for each, from now to the horizon, which a page follows by the audio clock alone.

use crate::perform::planner::Planner;
use crate::perform::{BarOnLine, Score};
use crate::theory::chord::Chord;
use crate::units::{AudioTime, ScoreTime, Ticks};

/// A point of the picture: from `time` on the bar runs at `speed`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    /// When.
    pub time: AudioTime,
    /// The bar of the form, index from 0; `None` during the count-in.
    pub bar: Option<usize>,
    /// How far into the bar, 0 ..= 1.
    pub fraction: f64,
    /// Fractions of the bar a second.
    pub speed: f64,
    /// Beats in the bar.
    pub beats: u8,
}

/// A chord of the form as it is played.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct OnForm {
    /// The bar, index from 0.
    pub bar: usize,
    /// The chord, among those of its bar.
    pub chord: usize,
    /// Whether this bar is the very last, which ends on the home chord instead of leading round.
    pub closes: bool,
}

/// What the picture stands on from `time` on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scene {
    /// When.
    pub time: AudioTime,
    /// The chord that sounds; while it is counted in, the one that is counted to.
    pub here: OnForm,
    /// The other chord that comes next, during the last beat before it.
    pub coming: Option<OnForm>,
}

/// From `time` on a time of the riff is played, or asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TimeOfRiff {
    /// When.
    pub time: AudioTime,
    /// How far behind the bar line that this time of the riff belongs to, in quarters; before it below zero.
    pub quarters: f64,
    /// Quarters a second.
    pub speed: f64,
    /// The bar of the form with that bar line, index from 0.
    pub begun: usize,
}

impl Planner {
    /// Where the picture stands from `now` to the horizon: one point a bar, and one at each change of tempo or score.
    /// None lies at or after the score's end: nothing is shown that is not played.
    pub fn positions(&self, now: AudioTime) -> Vec<Position> {
        let stretch = self.stretch(now);
        let began = self.bar_at(stretch.here).at.max(stretch.begins);
        // A bar that was begun by another score is shown from where this one took over.
        let taken = self.take_overs().filter(|at| *at <= stretch.here).max();
        let mut at = taken.map_or(began, |taken| began.max(taken));
        let mut points = Vec::new();
        while at < stretch.until {
            let bar = self.bar_at(at);
            let inside = self.breaks().filter(|change| at < *change && *change < bar.end());
            points.push(self.point(&bar, at));
            at = inside.min().unwrap_or(bar.end());
        }
        points
    }

    /// On which chord of the form the picture stands from `now` to the horizon.
    pub fn scenes(&self, now: AudioTime) -> Vec<Scene> {
        let stretch = self.stretch(now);
        let mut instants = vec![stretch.here];
        let mut at = stretch.here;
        while at < stretch.until {
            let bar = self.bar_at(at);
            let content = self.score_at(at).content(&bar);
            let changes = content.chords.iter().map(|place| bar.at + place.at).chain([bar.end()]);
            // Who takes over within the bar has chords of its own.
            let until = self.played_until(at, bar.end());
            // A chord that stays for less than a beat is told of as soon as the one before it sounds.
            instants.extend(changes.chain([until]).flat_map(|change| [change - bar.metre.beat(), change]));
            at = until;
        }
        instants.retain(|at| stretch.here <= *at && *at < stretch.until);
        instants.sort();
        let mut scenes: Vec<Scene> = Vec::with_capacity(instants.len());
        for at in instants {
            let scene = self.scene(at);
            if scenes.last().is_none_or(|last| (last.here, last.coming) != (scene.here, scene.coming)) {
                scenes.push(scene);
            }
        }
        scenes
    }

    /// The times of the riff from `now` to the horizon, with a point at each change of tempo or score; none where no riff
    /// is played or asked for. Each lasts until the next begins, pickup and all.
    pub fn times_of_riff(&self, now: AudioTime) -> Vec<TimeOfRiff> {
        let stretch = self.stretch(now);
        let mut times = Vec::new();
        let mut from = stretch.here;
        while from < stretch.until {
            let until = self.played_until(from, stretch.until);
            self.times_within(&Stretch { here: from, until, ..stretch }, &mut times);
            from = until;
        }
        times
    }

    /// The times of the riff in a stretch in which one score is played.
    fn times_within(&self, stretch: &Stretch, times: &mut Vec<TimeOfRiff>) {
        let score = self.score_at(stretch.here);
        let Some(riff) = score.solo.riff() else { return };
        let mut lines: Vec<ScoreTime> = Vec::new();
        let mut bar = score.bar_at(stretch.here);
        while bar.at < stretch.until {
            lines.extend(score.begins(riff, &bar).into_iter().map(|begin| begin - riff.start));
            bar = score.bar_at(bar.end());
        }
        lines.sort();
        lines.dedup();
        // A pickup takes over from the time before it.
        let begins = |line: ScoreTime| line + riff.start.min(Ticks::ZERO);
        for (index, line) in lines.iter().enumerate() {
            let end = lines.get(index + 1).map_or(stretch.until, |next| begins(*next)).min(stretch.until);
            let from = begins(*line).max(stretch.here);
            let Some(begun) = score.bar_at(*line).index.filter(|_| from < end) else { continue };
            let changes = self.breaks().filter(|change| from < *change && *change < end);
            times.extend([from].into_iter().chain(changes).map(|at| TimeOfRiff {
                time: self.time_at(at),
                quarters: (at - *line).in_quarters(),
                speed: self.speed_at(at),
                begun,
            }));
        }
    }

    /// What the picture stands on at `at`.
    fn scene(&self, at: ScoreTime) -> Scene {
        let time = self.time_at(at);
        let score = self.score_at(at);
        let bar = score.bar_at(at);
        if bar.index.is_none() {
            let here = on_form(score, &score.bar_at(ScoreTime::ZERO), 0);
            return Scene { time, here, coming: None };
        }
        let (here, chord, until) = Planner::chord_at(score, at);
        // Whoever takes over before the chord is over brings another.
        let comes_at = self.played_until(at, until);
        let after = self.score_at(comes_at);
        let is_over = after.end().is_some_and(|end| comes_at >= end);
        let (coming, next, _) = Planner::chord_at(after, comes_at);
        // Where an edit brings another chord to the same place, that place is shown with it already.
        let is_other = next != chord && coming != here;
        let is_near = comes_at - at <= bar.metre.beat();
        Scene { time, here, coming: Some(coming).filter(|_| is_other && !is_over && is_near) }
    }

    /// The chord of `score` at `at`: where it stands on the form, which it is, and until when.
    fn chord_at(score: &Score, at: ScoreTime) -> (OnForm, Chord, ScoreTime) {
        let bar = score.bar_at(at);
        let content = score.content(&bar);
        let chords = &content.chords;
        let index = chords.iter().rposition(|place| bar.at + place.at <= at).unwrap_or_default();
        let until = chords.get(index + 1).map_or(bar.end(), |next| bar.at + next.at);
        (on_form(score, &bar, index), chords[index].chord.clone(), until)
    }

    /// The changes of tempo or score.
    fn breaks(&self) -> impl Iterator<Item = ScoreTime> {
        self.tempo.segments().iter().map(|segment| segment.at).chain(self.take_overs())
    }

    /// Until where the score is played that is played at `at`: until another takes over, or to `end`.
    fn played_until(&self, at: ScoreTime, end: ScoreTime) -> ScoreTime {
        self.take_overs().filter(|taken| at < *taken).min().map_or(end, |taken| taken.min(end))
    }

    /// Where one score takes over from another.
    fn take_overs(&self) -> impl Iterator<Item = ScoreTime> {
        self.before.iter().map(|(from, _)| *from).chain([self.took_over])
    }

    /// From `now`, or the beginning where that is still to come, to the horizon or the end.
    fn stretch(&self, now: AudioTime) -> Stretch {
        let begins = self.tempo.segments()[0].at;
        let here = self.instant(self.tempo.quarters_at(now)).max(begins);
        let end = self.score.end().map_or(f64::INFINITY, |end| end.since_start().in_quarters());
        Stretch { begins, here, until: self.instant(self.horizon(now).min(end)) }
    }

    fn time_at(&self, at: ScoreTime) -> AudioTime {
        self.tempo.time_of(at.since_start().in_quarters())
    }

    /// Quarters a second from `at` on.
    fn speed_at(&self, at: ScoreTime) -> f64 {
        let segments = self.tempo.segments();
        let segment = segments.iter().rev().find(|segment| segment.at <= at).unwrap_or(&segments[0]);
        segment.tempo.value() / 60.0
    }

    fn point(&self, bar: &BarOnLine, at: ScoreTime) -> Position {
        let bar_quarters = bar.metre.bar().in_quarters();
        Position {
            time: self.time_at(at),
            bar: bar.index,
            fraction: (at - bar.at).in_quarters() / bar_quarters,
            speed: self.speed_at(at) / bar_quarters,
            beats: bar.metre.beats(),
        }
    }
}

/// A part of the time line.
#[derive(Clone, Copy)]
struct Stretch {
    /// The earliest that is known of it.
    begins: ScoreTime,
    here: ScoreTime,
    until: ScoreTime,
}

fn on_form(score: &Score, bar: &BarOnLine, chord: usize) -> OnForm {
    OnForm { bar: bar.index.unwrap_or_default(), chord, closes: score.closes(bar) }
}
