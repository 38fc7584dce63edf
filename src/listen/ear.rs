//! From samples at any rate to what is said of each frame: the way that following and transcribing share.

use super::echo::{BLOCK, Canceller};
use super::features::{Features, HEIGHTS, HOP, LOWEST, PER_SEMITONE, PITCHES, RATE};
use super::level::{Level, Meter};
use super::model::Model;
use super::network::{BEHIND, Network, Ring, Said};
use super::resample::Resampler;
use super::{ListenError, checked};

/// Seconds from frame to frame.
pub(super) const FRAME_SECONDS: f64 = HOP as f64 / RATE;

/// What is known of one frame.
pub(super) struct Frame<'a> {
    pub(super) said: &'a Said,
    /// The normalised square difference over 85 ms, three to a semitone.
    pub(super) heights: &'a [f32],
    /// The loudest sample of the few milliseconds about its middle.
    pub(super) peak: f32,
}

/// Hears; allocates only when made, and when it is first told what is played.
pub(super) struct Ear {
    rate: f64,
    meter: Meter,
    resampler: Resampler,
    beside: Option<Box<Beside>>,
    frames: Frames,
}

/// From samples at 24 kHz to frames.
struct Frames {
    features: Features,
    network: Network,
    heights: Ring,
    peaks: Ring,
}

/// So many samples at 24 kHz come of one at the lowest rate, or fewer.
const MOST_OF_ONE: usize = 9;

/// What is played, left and right, on its way to be taken out of what is heard.
struct Beside {
    resamplers: [Resampler; 2],
    /// At 24 kHz, what one sample of each became.
    next: [[f32; MOST_OF_ONE]; 2],
    played: [[f32; BLOCK]; 2],
    heard: [f32; BLOCK],
    filled: usize,
    canceller: Canceller,
}

impl Ear {
    pub(super) fn new(rate: f64, a4: f64, model: &Model) -> Result<Ear, ListenError> {
        checked(rate, a4)?;
        let frames = Frames {
            features: Features::new(),
            network: Network::new(model),
            heights: Ring::new(BEHIND + 1, HEIGHTS),
            peaks: Ring::new(BEHIND + 1, 1),
        };
        let resampler = Resampler::new(rate, RATE);
        Ok(Ear { rate, meter: Meter::new(rate), resampler, beside: None, frames })
    }

    /// Takes the next samples; not after `push_beside`, whose block may be half full.
    pub(super) fn push(&mut self, block: &[f32], mut each: impl FnMut(Frame)) {
        for &sample in block {
            self.meter.push(sample);
            self.resampler.push(sample, |sample| self.frames.push(sample, 0.0, &mut each));
        }
    }

    /// Learns how what was played comes to what was heard, for both from their beginning.
    pub(super) fn learn(&mut self, block: &[f32], played: [&[f32]; 2]) {
        let mut resampler = Resampler::new(self.rate, RATE);
        let mut beside = Beside::new(&resampler);
        for (at, &sample) in block.iter().enumerate() {
            beside.comes(played.map(|played| played.get(at).copied().unwrap_or_default()));
            let mut place = 0..;
            resampler.push(sample, |sample| {
                beside.take(sample, place.next().unwrap_or_default());
            });
        }
        let canceller = beside.canceller;
        self.beside = Some(Box::new(Beside { canceller, ..Beside::new(&self.resampler) }));
    }

    /// Takes the next samples and what was played in the same frames, left and right; silence where that is shorter. From
    /// then on a frame comes when a block of the canceller is full.
    pub(super) fn push_beside(&mut self, block: &[f32], played: [&[f32]; 2], mut each: impl FnMut(Frame)) {
        let beside = self.beside.get_or_insert_with(|| Box::new(Beside::new(&self.resampler)));
        for (at, &sample) in block.iter().enumerate() {
            self.meter.push(sample);
            beside.comes(played.map(|played| played.get(at).copied().unwrap_or_default()));
            let mut place = 0..;
            self.resampler.push(sample, |sample| {
                if beside.take(sample, place.next().unwrap_or_default()) {
                    self.frames.features.doubt = *beside.canceller.doubt();
                    let heard = beside.heard.iter().zip(beside.canceller.echo());
                    heard.for_each(|(sample, taken)| self.frames.push(*sample, *taken, &mut each));
                }
            });
        }
    }

    /// How long what is played takes until it is heard, in seconds, where that is known.
    pub(super) fn late(&mut self) -> Option<f64> {
        self.beside.as_mut()?.canceller.late().map(|samples| samples as f64 / RATE)
    }

    pub(super) fn level(&self) -> Level {
        self.meter.level()
    }
}

impl Frames {
    fn push(&mut self, sample: f32, taken: f32, each: &mut impl FnMut(Frame)) {
        if self.features.push(sample, taken) {
            self.heights.next().copy_from_slice(self.features.heights());
            self.peaks.next()[0] = self.features.peak();
            if let Some(said) = self.network.push(&self.features.inputs) {
                each(Frame { said, heights: self.heights.ago(BEHIND), peak: self.peaks.ago(BEHIND)[0] });
            }
        }
    }
}

impl Beside {
    /// For what is heard from here on, which goes through `heard`.
    fn new(heard: &Resampler) -> Beside {
        Beside {
            resamplers: [(); 2].map(|()| heard.beside()),
            next: [[0.0; MOST_OF_ONE]; 2],
            played: [[0.0; BLOCK]; 2],
            heard: [0.0; BLOCK],
            filled: 0,
            canceller: Canceller::new(),
        }
    }

    /// Takes what was played, left and right.
    fn comes(&mut self, played: [f32; 2]) {
        for ((resampler, next), played) in self.resamplers.iter_mut().zip(&mut self.next).zip(played) {
            let mut places = next.iter_mut();
            resampler.push(played, |sample| {
                if let Some(place) = places.next() {
                    *place = sample;
                }
            });
        }
    }

    /// Takes a sample that was heard, with what came of the sample that was played at that place; says whether a block is
    /// full, without what was played.
    fn take(&mut self, sample: f32, place: usize) -> bool {
        self.heard[self.filled] = sample;
        for (played, next) in self.played.iter_mut().zip(&self.next) {
            played[self.filled] = next.get(place).copied().unwrap_or_default();
        }
        self.filled = (self.filled + 1) % BLOCK;
        if self.filled == 0 {
            self.canceller.run(&mut self.heard, &self.played);
        }
        self.filled == 0
    }
}

/// The tempered note nearest to a pitch of the network's, and the cents above it, by an A of `a4` hertz. `heights` are those
/// of its semitone and its neighbours: the parabola through the highest says where in the semitone it lies.
pub(super) fn tempered(pitch: usize, heights: [f32; 3], a4: f64) -> (u8, f32) {
    let [below, at, above] = heights.map(f64::from);
    let bend = below - 2.0 * at + above;
    // Thirds of a semitone.
    let off = if bend < -1e-4 { (0.5 * (below - above) / bend).clamp(-1.2, 1.2) } else { 0.0 };
    let tuned = 12.0 / std::f64::consts::LN_2 * (440.0 / a4).ln();
    let midi = f64::from(LOWEST) + pitch as f64 + off / 3.0 + tuned;
    let nearest = midi.round();
    (nearest as u8, (100.0 * (midi - nearest)) as f32)
}

/// The heights at a pitch's semitone and a third of a semitone to either side.
pub(super) fn about(heights: &[f32], pitch: usize) -> [f32; 3] {
    let middle = PER_SEMITONE * pitch + 1;
    [heights[middle - 1], heights[middle], heights[middle + 1]]
}

/// How loud a peak is, from 0 at -60 dB relative to full scale to 1.
pub(super) fn strength(peak: f32) -> f32 {
    let decibels = 20.0 / std::f32::consts::LN_10 * peak.max(1e-6).ln();
    (1.0 + decibels / 60.0).clamp(0.0, 1.0)
}

/// Where between frames the top of the parabola through three neighbours lies, from -0.5 to 0.5 of a frame.
pub(super) fn top(before: f32, at: f32, after: f32) -> f64 {
    let bend = before - 2.0 * at + after;
    if bend < -1e-9 { f64::from(0.5 * (before - after) / bend).clamp(-0.5, 0.5) } else { 0.0 }
}

/// The likeliest of the pitches by their sums.
pub(super) fn likeliest(sums: &[f32; PITCHES]) -> usize {
    let best = |best: usize, pitch: usize| if sums[pitch] > sums[best] { pitch } else { best };
    (1..PITCHES).fold(0, best)
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use super::*;

    /// A second at 24 kHz, as `example` in `scripts/listening/export.py` makes it.
    fn example() -> Vec<f32> {
        let tone = |time: f64, start: f64, hertz: f64| {
            let since = (time - start).max(0.0);
            let partial = |n: i32| (TAU * hertz * f64::from(n) * since).sin() / f64::from(n);
            0.2 * (1..6).map(partial).sum::<f64>() * (-4.0 * since).exp()
        };
        let sample = |time: f64| tone(time, 0.2, 220.0) + tone(time, 0.6, 330.0);
        (0..24_000).map(|k| sample(f64::from(k) / RATE) as f32).collect()
    }

    fn reference(kind: &str) -> Vec<(usize, Vec<f32>)> {
        let lines = include_str!("../../tests/data/listening/reference.tsv").lines();
        let fields = lines.map(|line| line.split('\t').collect::<Vec<_>>());
        let of_kind = fields.filter(|fields| fields[0] == kind);
        of_kind
            .map(|fields| {
                (fields[1].parse().unwrap(), fields[2..].iter().map(|one| one.parse().unwrap()).collect())
            })
            .collect()
    }

    #[track_caller]
    fn check(what: &str, found: &[f32], expected: &[f32], within: f32) {
        assert_eq!(found.len(), expected.len(), "{what}");
        for (index, (found, expected)) in found.iter().zip(expected).enumerate() {
            assert!((found - expected).abs() <= within, "{what}, {index}: {found}, not {expected}");
        }
    }

    /// The page begins to play after somebody has listened for a while: by 20 dB, as in `echo`, at rates that are no multiple
    /// of the one within, too.
    #[test]
    fn what_is_played_later_on_is_taken_out_at_any_rate() {
        for rate in [16_000.0, 44_100.0, 48_000.0] {
            let mut ear = Ear::new(rate, 440.0, &Model::built_in()).unwrap();
            ear.push(&[0.0; 1_001], |_| {});
            let mut seed = 3_u32;
            let played: Vec<f32> = (0..8 * rate as usize)
                .map(|_| {
                    seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                    0.3 * ((seed >> 8) as f32 / (1 << 23) as f32 - 1.0)
                })
                .collect();
            let late = (0.03 * rate) as usize;
            let heard: Vec<f32> =
                (0..played.len()).map(|at| at.checked_sub(late).map_or(0.0, |at| 0.5 * played[at])).collect();
            let energy = |samples: &[f32]| samples.iter().map(|one| one * one).sum::<f32>();
            let (mut left, mut taken) = (0.0, 0.0);
            for (heard, played) in heard.chunks(512).zip(played.chunks(512)) {
                ear.push_beside(heard, [played, &[]], |_| {});
                let beside = ear.beside.as_ref().unwrap();
                // What the last full block came to.
                (left, taken) = (
                    energy(&beside.heard[beside.filled..]),
                    energy(&beside.canceller.echo()[beside.filled..]),
                );
            }
            assert!(left < 0.01 * taken, "{rate}: {left} is left, and {taken} was taken out");
        }
    }

    /// Against NumPy and PyTorch. A hundredth is half a decibel in the inputs, and log odds that are a hundredth apart are
    /// probabilities that are a quarter of a hundredth apart.
    #[test]
    fn it_sees_and_says_what_was_trained() {
        let mut features = Features::new();
        let mut network = Network::new(&Model::built_in());
        let (mut seen, mut said) = (Vec::new(), Vec::new());
        for sample in example().into_iter().chain([0.0; 4_800]) {
            if features.push(sample, 0.0) {
                seen.push([&features.inputs.grid[..], &features.inputs.short].concat());
                let one = network.push(&features.inputs);
                said.extend(one.map(|one| [&[one.onset, one.sounding][..], &one.pitches].concat()));
            }
        }
        for (frame, expected) in reference("inputs") {
            check(&format!("inputs of frame {frame}"), &seen[frame], &expected, 0.01);
        }
        for (frame, expected) in reference("said") {
            check(&format!("answer for frame {frame}"), &said[frame], &expected, 0.1);
        }
    }
}
