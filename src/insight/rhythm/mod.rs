//! What a riff's rhythm does, by published measures: one a file.
//!
//! All of them look at a [`Pattern`]: onsets on a cycle of equal pulses. They ask different questions, their numbers
//! do not compare, and none says whether a rhythm is good; so whoever shows a number names the measure and the grid.

pub mod keith;
pub mod lhl;
pub mod metric_complexity;
pub mod npvi;
pub mod off_beatness;
pub mod wnbd;

use crate::rhythm::metre::Metre;
use crate::riff::{Note, Riff};
use crate::units::Ticks;

/// Onsets on a cycle of equal pulses, and the metre that they are heard in.
///
/// Always true: there is at least one pulse and at most [`Pattern::MOST_PULSES`]; onsets ascend, each once, within the
/// cycle; a whole number of beats fills it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pattern {
    /// Pulses of the cycle with an onset, from 0.
    onsets: Vec<usize>,
    /// The metrical weight of every pulse: 0 where a bar begins, one less for each level down.
    weights: Vec<i32>,
    /// Pulses in a beat.
    beat: usize,
}

impl Pattern {
    /// The longest cycle: sixteen beats, twice over for what rounding up to whole bars may add, of 840 pulses, the
    /// least that holds halves to eighths of a beat.
    pub const MOST_PULSES: usize = 2 * 16 * 840;

    /// A pattern of one bar from a text with a sign for each pulse: `x` or `1` for an onset, `.` or `0` for none.
    /// `levels` divides the bar step by step down to the pulse: 2, 2, 2 is a bar of four beats in eighths, and
    /// 2, 2, 3 one in twelve eighths. `beat` is a beat's length in pulses. `None` where these do not fit together.
    pub fn read(text: &str, levels: &[usize], beat: usize) -> Option<Pattern> {
        let pulses = levels.iter().try_fold(1_usize, |product, level| product.checked_mul(*level))?;
        let counted = (1..=Pattern::MOST_PULSES).contains(&pulses) && text.chars().count() == pulses;
        if !counted || beat == 0 || !pulses.is_multiple_of(beat) {
            return None;
        }
        let mut onsets = Vec::new();
        for (pulse, sign) in text.chars().enumerate() {
            match sign {
                'x' | '1' => onsets.push(pulse),
                '.' | '0' => (),
                _ => return None,
            }
        }
        Some(Pattern { onsets, weights: weights(levels), beat })
    }

    /// The onsets of a riff in `metre`, from the bar line at or before its start to where it comes again: the next
    /// bar line at which it can begin. A pickup so stands at the end of the bar before, and of the cycle. The pulse
    /// is the largest part of a beat that holds the grid of every beat, but no longer than a quarter of a beat where beats are
    /// halved: the measures are published for such grids, and a riff in quarters and eighths is on them too, whether its
    /// notes are short or held.
    ///
    /// `None` where a note lies off the grid, where the grid is finer than [`Pattern::MOST_PULSES`] can hold, or where
    /// the riff counts other beats than the metre.
    pub fn of_riff(riff: &Riff, metre: Metre) -> Option<Pattern> {
        if riff.beat() != metre.beat() {
            return None;
        }
        let bars = (riff.length() + metre.bar() - Ticks(1)).div_floor(metre.bar());
        let parts = pulses_per_beat(riff);
        let beats = usize::from(metre.beats()) * bars as usize;
        let on_grid =
            |note: &Note| (riff.start + note.onset).rem_floor(riff.beat() / parts as i64) == Ticks::ZERO;
        if beats * parts > Pattern::MOST_PULSES || !riff.notes().iter().all(on_grid) {
            return None;
        }
        let weights = riff_weights(riff, metre, bars as usize, parts);
        let mut pattern = Pattern { onsets: Vec::new(), weights, beat: parts };
        let onsets = riff.notes().iter().map(|note| pattern.pulse_of(riff.start + note.onset, metre));
        pattern.onsets = onsets.collect();
        pattern.onsets.sort_unstable();
        Some(pattern)
    }

    /// The pulse at or before `at`, counted from a bar line and wrapped into the cycle.
    pub fn pulse_of(&self, at: Ticks, metre: Metre) -> usize {
        let pulse = metre.beat() / self.beat as i64;
        at.div_floor(pulse).rem_euclid(self.pulses() as i64) as usize
    }

    /// Pulses with an onset, ascending from 0.
    pub fn onsets(&self) -> &[usize] {
        &self.onsets
    }

    /// The metrical weight of each pulse, as Longuet-Higgins and Lee give it: 0 where a bar begins, one less for each
    /// level down.
    pub fn weights(&self) -> &[i32] {
        &self.weights
    }

    /// Pulses in the cycle.
    pub fn pulses(&self) -> usize {
        self.weights.len()
    }

    /// Pulses in a beat.
    pub fn beat(&self) -> usize {
        self.beat
    }

    /// Each onset with the distance in pulses to the next one, round the cycle: a single onset is followed by itself.
    pub fn gaps(&self) -> impl Iterator<Item = (usize, usize)> {
        let next = self.onsets.iter().skip(1).copied();
        let again = self.onsets.first().map(|first| first + self.pulses());
        self.onsets.iter().copied().zip(next.chain(again)).map(|(onset, next)| (onset, next - onset))
    }
}

/// The six measures of a riff in a metre. Those that the pattern does not allow are `None`; see each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measures {
    /// [`lhl::syncopation`].
    pub lhl: i32,
    /// [`wnbd::note_to_beat_distance`].
    pub wnbd: Option<f64>,
    /// [`keith::syncopation`].
    pub keith: Option<u32>,
    /// [`off_beatness::off_beatness`].
    pub off_beatness: u32,
    /// [`metric_complexity::metric_complexity`].
    pub metric_complexity: i32,
    /// [`npvi::npvi`] of the distances between onsets, round the cycle.
    pub npvi: Option<f64>,
    /// The grid that they were taken on, in pulses to the beat.
    pub pulses_per_beat: usize,
}

impl Measures {
    /// All measures of one pattern.
    pub fn of(pattern: &Pattern) -> Measures {
        let gaps: Vec<f64> = pattern.gaps().map(|(_, gap)| gap as f64).collect();
        Measures {
            lhl: lhl::syncopation(pattern),
            wnbd: wnbd::note_to_beat_distance(pattern),
            keith: keith::syncopation(pattern),
            off_beatness: off_beatness::off_beatness(pattern),
            metric_complexity: metric_complexity::metric_complexity(pattern),
            npvi: npvi::npvi(&gaps),
            pulses_per_beat: pattern.beat(),
        }
    }
}

/// The weights of a cycle that is divided by `levels`, from its whole down to the pulse.
fn weights(levels: &[usize]) -> Vec<i32> {
    let mut weights = vec![0];
    for (depth, parts) in levels.iter().enumerate() {
        let below = -(depth as i32) - 1;
        weights = weights
            .into_iter()
            .flat_map(|weight| std::iter::once(weight).chain(std::iter::repeat_n(below, parts - 1)))
            .collect();
    }
    weights
}

/// The least number of pulses to the beat that holds the riff's grid and, where it begins off the beat, its start; four
/// where one or two would do, as published timelines have it.
fn pulses_per_beat(riff: &Riff) -> usize {
    let behind = riff.start.rem_floor(riff.beat()).0 as usize;
    let beat = riff.beat().0 as usize;
    let least = riff
        .divisions()
        .iter()
        .fold(beat / gcd(behind, beat), |all, division| lcm(all, usize::from(division.parts())));
    if least <= 2 { 4 } else { least }
}

/// The weights of `bars` bars in which each beat is divided as the riff has it, and other beats not at all. Pulses that
/// the grid of their beat does not have weigh less than any that some grid has. Where a riff begins off the beat its
/// beats are not the bar's, and every beat of the bar is divided down to the pulse.
fn riff_weights(riff: &Riff, metre: Metre, bars: usize, parts: usize) -> Vec<i32> {
    let bar_levels = factors(usize::from(metre.beats()));
    let above = bar_levels.len() as i32;
    let beats: Vec<i32> = weights(&bar_levels).repeat(bars);
    let on_beat = riff.start.rem_floor(riff.beat()) == Ticks::ZERO;
    let mut divisions: Vec<usize> = vec![if on_beat { 1 } else { parts }; beats.len()];
    let first = riff.start.div_floor(riff.beat());
    for (index, division) in riff.divisions().iter().enumerate().filter(|_| on_beat) {
        let beat = (first + index as i64).rem_euclid(beats.len() as i64);
        divisions[beat as usize] = usize::from(division.parts());
    }
    let mut all = Vec::with_capacity(beats.len() * parts);
    for (beat, division) in beats.into_iter().zip(divisions) {
        let within = weights(&division_levels(division));
        let step = parts / within.len();
        all.extend((0..parts).map(|pulse| match (pulse, pulse % step) {
            (0, _) => beat,
            (_, 0) => within[pulse / step] - above,
            _ => -above - LEVELS_IN_A_BEAT - 1,
        }));
    }
    all
}

/// The most levels that a beat of a riff has: eight parts are halved three times.
const LEVELS_IN_A_BEAT: i32 = 3;

/// How a beat in `parts` parts is divided step by step. Six are thirds in halves, as in a shuffle (common practice,
/// no source).
fn division_levels(parts: usize) -> Vec<usize> {
    if parts == 6 { vec![3, 2] } else { factors(parts) }
}

/// The prime factors of `number`, ascending: four beats are two and two.
fn factors(number: usize) -> Vec<usize> {
    let mut rest = number;
    let mut found = Vec::new();
    for prime in 2..=number {
        while rest.is_multiple_of(prime) {
            found.push(prime);
            rest /= prime;
        }
    }
    found
}

fn lcm(a: usize, b: usize) -> usize {
    a / gcd(a, b) * b
}

/// The greatest common divisor; of 0 and `b` it is `b`.
fn gcd(a: usize, b: usize) -> usize {
    if a == 0 { b } else { gcd(b % a, a) }
}
