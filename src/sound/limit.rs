//! Loudness and ceiling of a whole piece of sound: one gain, and where peaks would pass the ceiling, a dip.
//!
//! Both are computed from what a [`Gauge`] measured of the mix and kept as plain numbers, so that a page's gain nodes
//! and a file's writer do the same: a gain, and points between which a second gain moves in straight lines.

use crate::sound::loudness::{self, KWeighting, Lufs, REACH, TruePeak};
use crate::sound::mix::Stereo;
use crate::units::{Decibels, Frames, SampleRate, Seconds};

/// How loud a finished piece is: loud enough for small loudspeakers, with room for the drums' peaks.
pub const TARGET: Lufs = Lufs(-16.0);
/// The highest true peak. Another meter may read a little more than ours, so this lies below the −1 dBTP that we owe.
///
/// Source of −1 dBTP: EBU R 128, "Loudness normalisation and permitted maximum level of audio signals", 2023.
pub const CEILING: Decibels = Decibels(-1.5);

/// Peaks are looked for in pieces of this many frames.
const PIECE: usize = 48;
/// Frames that are measured at a time.
const HELD: usize = 64 * PIECE;
/// How far before a peak the gain begins to fall.
const ATTACK: Seconds = Seconds(0.004);
/// How long the gain takes to come back from silence; from a small dip it comes back sooner.
const RELEASE: Seconds = Seconds(0.200);
/// Limiting takes away loudness; the gain is found in so many tries.
const TRIES: usize = 4;
/// How far a dip may go. What would need more to be loud, a click alone for instance, stays quieter.
const DEEPEST: Decibels = Decibels(12.0);
/// Below this part of a height no frame has a peak beside it that passes the height: music has little near half the
/// rate, where overshoot is largest.
const SURELY_LOW: f32 = 0.6;

/// How far a wave may rise between two frames above the higher of them, as a part of how much it bends there: it is an
/// eighth for a slow wave and a third for one of two thirds of half the rate (a sine's height less the mean of two of its
/// frames, by its second difference).
const RISES: f32 = 0.5;

/// For each two neighbours in the middle of `frames`, which have one more on either side: what no peak between them passes.
fn bounds(frames: &[f32]) -> [f32; PIECE] {
    let mut bounds = [0.0; PIECE];
    for (bound, around) in bounds.iter_mut().zip(frames.windows(4)) {
        let [a, b, c, d] = [around[0], around[1], around[2], around[3]];
        let (first, second) = ((a + c - 2.0 * b).abs(), (b + d - 2.0 * c).abs());
        let (bend, height) = (higher(first, second), higher(b.abs(), c.abs()));
        *bound = height + RISES * bend;
    }
    bounds
}

/// The higher of two, neither of which is NaN: as one instruction.
#[inline(always)]
fn higher(one: f32, other: f32) -> f32 {
    if one > other { one } else { other }
}

/// A point that the dipping gain passes through.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dip {
    /// Where.
    pub at: Frames,
    /// The gain there, 0 ..= 1.
    pub gain: f32,
}

/// What brings a mix to its loudness and under its ceiling.
#[derive(Clone, Debug, PartialEq)]
pub struct Programme {
    /// The gain of the whole.
    pub gain: f64,
    /// The highest frame before the gain.
    pub highest: f32,
    /// Points of a second gain, ascending, joined by straight lines; 1 before the first and after the last.
    pub dips: Vec<Dip>,
}

/// What is measured of a mix, piece by piece as it is made: enough to level it afterwards, in little memory.
#[derive(Debug)]
pub struct Gauge {
    rate: SampleRate,
    meter: TruePeak,
    weighting: KWeighting,
    /// Frames that are not measured yet, after as many as a peak's neighbours on the left may be.
    held: Stereo,
    pieces: Vec<Piece>,
    highest: f32,
}

#[derive(Clone, Copy, Debug)]
struct Piece {
    /// The sum of the squares of both channels' weighted frames.
    power: f32,
    /// The highest peak, between frames too.
    peak: f32,
}

impl Gauge {
    /// Nothing measured yet.
    pub fn new(rate: SampleRate) -> Gauge {
        let silence = || vec![0.0; REACH];
        Gauge {
            rate,
            meter: TruePeak::default(),
            weighting: KWeighting::new(rate),
            held: Stereo { left: silence(), right: silence() },
            pieces: Vec::new(),
            highest: 0.0,
        }
    }

    /// Measures what comes next, by parts that stay near the processor: memory that is new costs more than measuring.
    pub fn add(&mut self, sound: &Stereo) {
        for (left, right) in sound.left.chunks(HELD).zip(sound.right.chunks(HELD)) {
            self.add_part(left, right);
        }
    }

    fn add_part(&mut self, left: &[f32], right: &[f32]) {
        self.held.left.extend(left);
        self.held.right.extend(right);
        let mut from = REACH;
        while from + PIECE + REACH <= self.held.left.len() {
            self.piece(from);
            from += PIECE;
        }
        for channel in [&mut self.held.left, &mut self.held.right] {
            channel.drain(..from - REACH);
        }
    }

    /// What brings the sound that was measured to [`TARGET`] and under [`CEILING`], as near to both as 12 dB of
    /// limiting lets it. Silence is left as it is.
    pub fn programme(mut self) -> Programme {
        let left = self.held.left.len() - REACH;
        let silence = vec![0.0; left.next_multiple_of(PIECE) - left + REACH];
        self.add(&Stereo { left: silence.clone(), right: silence });
        let Some(Lufs(found)) = self.loudness(&[]) else {
            return Programme { gain: 1.0, highest: self.highest, dips: dips(&self.edges(1.0)) };
        };
        let most = Decibels(CEILING.0 + DEEPEST.0).gain() / f64::from(self.highest);
        let mut gain = Decibels(TARGET.0 - found).gain().min(most);
        for _ in 0..TRIES {
            let edges = self.edges(gain);
            let now = Decibels::of_gain(gain).0 + self.loudness(&edges).map_or(TARGET.0, |lufs| lufs.0);
            if (TARGET.0 - now).abs() < 0.05 {
                break;
            }
            gain = most.min(gain * Decibels(TARGET.0 - now).gain());
        }
        Programme { gain, highest: self.highest, dips: dips(&self.edges(gain)) }
    }

    fn piece(&mut self, from: usize) {
        let [left, right] = [&self.held.left, &self.held.right].map(|channel| &channel[from..from + PIECE]);
        let power = loudness::power(&mut self.weighting, left, right);
        let mut peak = loudness::highest(left).max(loudness::highest(right));
        self.highest = self.highest.max(peak);
        // What lies deeper below the highest peak than a dip may go is never touched, however high it is exactly.
        if peak > self.highest * SURELY_LOW / Decibels(DEEPEST.0).gain() as f32 {
            for channel in [&self.held.left, &self.held.right] {
                let bounds = bounds(&channel[from - 1..from + PIECE + 2]);
                for (frame, bound) in bounds.iter().enumerate() {
                    if *bound > peak {
                        peak = higher(peak, self.meter.after(channel, from + frame));
                    }
                }
            }
        }
        self.pieces.push(Piece { power: power as f32, peak });
    }

    /// The integrated loudness when the gain at the edges between pieces is `edges` (1 where there is none). A piece
    /// counts in the step in which it begins, and its dip as if it came after the weighting: both differ from the
    /// exact measure by less than meters differ from each other.
    fn loudness(&self, edges: &[f32]) -> Option<Lufs> {
        let step = self.rate.frame_at(loudness::STEP).0 as usize;
        let mut steps = vec![0.0_f64; self.pieces.len() * PIECE / step];
        for (at, piece) in self.pieces.iter().enumerate() {
            let gain = edges.get(at..at + 2).map_or(1.0, |ends| f64::from(ends[0] + ends[1]) / 2.0);
            if let Some(sum) = steps.get_mut(at * PIECE / step) {
                *sum += f64::from(piece.power) * gain * gain;
            }
        }
        loudness::gated(&loudness::blocks(&steps, step))
    }

    /// The gain at each edge between pieces that keeps all of it under the ceiling at `gain`.
    fn edges(&self, gain: f64) -> Vec<f32> {
        let ceiling = (CEILING.gain() / gain) as f32;
        let mut edges = vec![1.0_f32; self.pieces.len() + 2];
        for (at, piece) in self.pieces.iter().enumerate().filter(|(_, piece)| piece.peak > ceiling) {
            for edge in &mut edges[at..at + 2] {
                *edge = edge.min(ceiling / piece.peak);
            }
        }
        let piece = self.rate.time_of(Frames(PIECE as u64)).0;
        smooth(edges.iter_mut().rev(), (piece / ATTACK.0) as f32);
        smooth(edges.iter_mut(), (piece / RELEASE.0) as f32);
        edges
    }
}

impl Programme {
    /// What a [`Gauge`] says of all of `sound`.
    pub fn of(sound: &Stereo, rate: SampleRate) -> Programme {
        let mut gauge = Gauge::new(rate);
        gauge.add(sound);
        gauge.programme()
    }

    /// The gain where nothing can look ahead and dip: that of the whole, or as much less as keeps the sound, at `level`
    /// behind it, on the straight part of the guard.
    pub fn gain_without_dips(&self, level: Decibels) -> f64 {
        self.gain.min(f64::from(KNEE / self.highest.max(1e-6)) / level.gain())
    }

    /// Changes a piece of the sound accordingly, which begins at frame `first`.
    pub fn apply(&self, first: Frames, sound: &mut Stereo) {
        let gain = self.gain as f32;
        let end = first.0 + sound.left.len() as u64;
        let reached = self.dips.partition_point(|dip| dip.at <= first).saturating_sub(1);
        let passed = self.dips.partition_point(|dip| dip.at.0 < end);
        let dips = &self.dips[reached..(passed + 1).min(self.dips.len())];
        for channel in [&mut sound.left, &mut sound.right] {
            channel.iter_mut().for_each(|frame| *frame *= gain);
            for pair in dips.windows(2) {
                ramp(channel, first, pair[0], pair[1]);
            }
        }
    }
}

/// The loudest that the guard expects, as an amplitude: sixteen keys held down at once.
pub const GUARD_SPAN: f32 = 8.0;
/// Points of the guard's curve, evenly spread from −[`GUARD_SPAN`] to +[`GUARD_SPAN`].
const GUARD_POINTS: u16 = 2049;
/// Below this amplitude the guard changes nothing; a full band at the page's level stays there.
const KNEE: f32 = 0.5;
/// What the frames of guarded sound stay under: between the frames of bent sound the wave rises by up to 2 dB more.
const GUARD_CEILING: Decibels = Decibels(-3.0);

/// A curve that keeps what is played live under −1 dBTP, where nobody can look ahead: straight up to the knee, then
/// bending towards its ceiling. A page's wave shaper takes it as it is, for sound divided by [`GUARD_SPAN`].
pub fn guard() -> Vec<f32> {
    let middle = f32::from(GUARD_POINTS / 2);
    (0..GUARD_POINTS).map(|point| guarded((f32::from(point) - middle) / middle * GUARD_SPAN)).collect()
}

fn guarded(sample: f32) -> f32 {
    let over = sample.abs() - KNEE;
    if over <= 0.0 {
        return sample;
    }
    let room = GUARD_CEILING.gain() as f32 - KNEE;
    // The hyperbolic tangent, by a function that sound needs anyway.
    let bent = 1.0 - 2.0 / ((2.0 * f64::from(over / room)).exp() + 1.0);
    (KNEE + room * bent as f32).copysign(sample)
}

/// Multiplies what lies between two points by the straight line through them; `channel` begins at frame `first`.
fn ramp(channel: &mut [f32], first: Frames, from: Dip, to: Dip) {
    let inside = |at: Frames| (at.0.saturating_sub(first.0) as usize).min(channel.len());
    let (begin, end) = (inside(from.at), inside(to.at));
    if begin >= end || (from.gain == 1.0 && to.gain == 1.0) {
        return;
    }
    let slope = (to.gain - from.gain) / (to.at.0 - from.at.0) as f32;
    let skipped = (first.0 + begin as u64 - from.at.0) as usize;
    for (frame, sample) in channel[begin..end].iter_mut().enumerate() {
        *sample *= from.gain + slope * (skipped + frame) as f32;
    }
}

/// The points at which the gain along `edges` bends: one on the straight line between its neighbours says nothing.
/// Beyond the ends the gain is 1.
fn dips(edges: &[f32]) -> Vec<Dip> {
    let gain = |edge: Option<usize>| edge.and_then(|edge| edges.get(edge)).copied().unwrap_or(1.0);
    let bends =
        |at: usize| (gain(at.checked_sub(1)) + gain(Some(at + 1)) - 2.0 * gain(Some(at))).abs() > 1e-6;
    let dip = |at: usize| Dip { at: Frames((at * PIECE) as u64), gain: edges[at] };
    (0..edges.len()).filter(|at| bends(*at)).map(dip).collect()
}

/// Lets the gain rise by no more than `step` from one edge to the next.
fn smooth<'a>(edges: impl Iterator<Item = &'a mut f32>, step: f32) {
    let mut last = 1.0_f32;
    for gain in edges {
        *gain = gain.min(last + step);
        last = *gain;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sound::noise::{LowPass, Noise};

    /// As the Web Audio specification has a wave shaper read its curve: straight lines between the points.
    fn shape(curve: &[f32], sample: f32) -> f32 {
        let place = (sample / GUARD_SPAN + 1.0) / 2.0 * (curve.len() - 1) as f32;
        let before = (place as usize).min(curve.len() - 2);
        let part = place - before as f32;
        curve[before] + (curve[before + 1] - curve[before]) * part
    }

    #[test]
    fn the_guard_leaves_ordinary_sound_alone_and_keeps_loud_sound_under_the_ceiling() {
        let curve = guard();
        for sample in [-0.49, -0.1, 0.0, 1e-4, 0.3, 0.49] {
            assert!((shape(&curve, sample) - sample).abs() < 1e-5, "{sample}");
        }
        // A chord of three notes, at most 3.3 in amplitude.
        let chord: Vec<f32> = (0..9600)
            .map(|frame| {
                let tone = |hz: f32| 1.1 * (std::f32::consts::TAU * hz * frame as f32 / 48_000.0).sin();
                shape(&curve, tone(196.0) + tone(493.9) + tone(698.5))
            })
            .collect();
        let Decibels(peak) = loudness::true_peak(&chord, &[]);
        assert!((-3.0..=-1.0).contains(&peak), "{peak} dBTP");
    }

    /// Against a search between all frames. White noise has more near half the rate than any music.
    #[test]
    fn no_peak_between_frames_is_passed_over() {
        for hertz in [300.0, 3_000.0, 9_000.0, 20_000.0] {
            let mut low = [LowPass::new(hertz / 48_000.0), LowPass::new(hertz / 48_000.0)];
            let mut noise = Noise::new(7);
            let mut frame = || low.iter_mut().fold(noise.sample(), |frame, filter| filter.pass(frame));
            let sound: Vec<f32> = (0..96_000).map(|_| frame()).collect();
            let mut gauge = Gauge::new(SampleRate::HZ_48000);
            gauge.add(&Stereo { left: sound.clone(), right: sound.clone() });
            let exact = |at: usize| gauge.meter.of(&sound, at * PIECE, (at + 1) * PIECE);
            // Quiet pieces are not looked at.
            let loud: Vec<usize> =
                (0..gauge.pieces.len()).filter(|at| exact(*at) > gauge.highest / 3.0).collect();
            assert!(loud.len() > 100, "{}", loud.len());
            assert!(loud.into_iter().all(|at| gauge.pieces[at].peak == exact(at)), "{hertz} Hz");
        }
    }
}
