//! What the page plays, taken out of what the microphone hears: an echo canceller on a known signal.
//!
//! The way from both loudspeakers to the microphone is followed as two filters in blocks of a partitioned transform, by a
//! Kalman filter for each bin of each block: how far it moves hangs on how sure it is and on how loud the player is, so that it
//! learns while they play (G. Enzner and P. Vary, "Frequency-domain adaptive Kalman filter for acoustic echo control in
//! hands-free telephones", Signal Processing 86(6), 2006; F. Kuech, E. Mabande and G. Enzner, "State-space architecture of
//! the partitioned-block-based acoustic echo controller", ICASSP 2014).

use rustfft::num_complex::Complex;

use super::fft::RealFft;

/// Samples at 24 kHz that are taken at once: a piece of sound as the page sends it.
pub(super) const BLOCK: usize = 256;
const SIZE: usize = 2 * BLOCK;
pub(super) const BINS: usize = BLOCK + 1;
/// Blocks that the filter of a channel is long: 0.17 s.
const PARTS: usize = 16;
/// Left and right.
const CHANNELS: usize = 2;
/// How little the way is expected to change from block to block.
const STEADY: f32 = 0.9997;
/// How sure it is at first that the way in each block of the filter is nothing: the variance of each bin.
const UNSURE: f32 = 0.3;
/// What is left of the loudness of what is not the page's after a block, and of what is compared to see who is heard.
const FADES: f32 = 0.7;
const FADES_SLOWLY: f32 = 0.95;
/// How much more careful it learns while the player alone is heard: their tones are no noise, they last for many blocks.
const CARE: f32 = 20.0;
/// What is left of a doubt after a block: the sound that it is about still rings.
const DOUBT_FADES: f32 = 0.75;
/// Something of the page is heard where taking it out makes the sound softer by a factor whose logarithm is this, over half
/// a second; what was seen once is believed for a minute, and at first it is believed for some seconds.
const SEEN: f32 = 0.3;
const SEEN_AT_FIRST: f32 = 0.35;
const SEEN_FADES: f32 = 0.99965;
const SEEN_BLOCKS: f32 = 47.0;
/// From this logarithm on hardly anything but the page is heard, and its way is known well.
const ALONE: f32 = 1.5;
/// The way is told by the first place that is nearly as high as the highest (echoes come later), where so much of all its energy
/// lies so near about it, in samples: 2 ms.
const NEARLY: f32 = 0.7;
const GATHERED: f32 = 0.2;
const NEAR: usize = 48;
/// Softer than this, in the power of a bin, is nothing.
const NOTHING: f32 = 1e-7;

/// Bins of a transform, real and imaginary parts apart, so that sums run along memory.
#[derive(Clone)]
struct Bins {
    re: [f32; BINS],
    im: [f32; BINS],
}

impl Bins {
    const ZERO: Bins = Bins { re: [0.0; BINS], im: [0.0; BINS] };
}

/// A block of the filter.
#[derive(Clone)]
struct Part {
    weights: Bins,
    /// The variance of the error of each weight.
    unsure: [f32; BINS],
}

/// Follows the way from what is played to what is heard; allocates only when made.
pub(super) struct Canceller {
    fft: RealFft,
    bins: Box<[Complex<f32>]>,
    /// What was played, a block and the one before it, channel by channel.
    played: [[f32; SIZE]; CHANNELS],
    /// Transforms of what was played, the latest at `at`.
    history: [Box<[Bins]>; CHANNELS],
    at: usize,
    parts: [Box<[Part]>; CHANNELS],
    /// Which block of the filters is constrained next.
    turn: usize,
    /// The power of what is not the page's, of the last few blocks and of more, and of all that was heard in those.
    others: [f32; BINS],
    slow_others: [f32; BINS],
    slow_heard: [f32; BINS],
    doubt: [f32; BINS],
    echo: [f32; BLOCK],
    /// By how much it is softer without the page's sound, now and at the most.
    softer: f32,
    seen: f32,
    /// Blocks in which nothing was played, as far as they count: then there is nothing to do.
    silent: usize,
}

impl Canceller {
    pub(super) fn new() -> Canceller {
        let part = Part { weights: Bins::ZERO, unsure: [UNSURE; BINS] };
        Canceller {
            fft: RealFft::new(SIZE),
            bins: vec![Complex::default(); BINS].into(),
            played: [[0.0; SIZE]; CHANNELS],
            history: [(); CHANNELS].map(|()| vec![Bins::ZERO; PARTS].into()),
            at: 0,
            parts: [(); CHANNELS].map(|()| vec![part.clone(); PARTS].into()),
            turn: 0,
            others: [0.0; BINS],
            slow_others: [0.0; BINS],
            slow_heard: [0.0; BINS],
            doubt: [0.0; BINS],
            echo: [0.0; BLOCK],
            softer: 0.0,
            seen: SEEN_AT_FIRST,
            silent: PARTS + 2,
        }
    }

    /// Takes the page's sound out of a block that was heard while `played` was played; leaves it as it is where nothing of
    /// the page is heard.
    pub(super) fn run(&mut self, heard: &mut [f32; BLOCK], played: &[[f32; BLOCK]; CHANNELS]) {
        let is_silent = played.iter().flatten().all(|sample| *sample == 0.0);
        self.silent = if is_silent { (self.silent + 1).min(PARTS + 2) } else { 0 };
        if self.silent > PARTS + 1 {
            (self.echo, self.doubt) = ([0.0; BLOCK], [0.0; BINS]);
            return;
        }
        self.at = (self.at + 1) % PARTS;
        for (channel, played) in played.iter().enumerate() {
            let both = &mut self.played[channel];
            both.copy_within(BLOCK.., 0);
            both[BLOCK..].copy_from_slice(played);
            self.fft.run(|k| both[k], &mut self.bins);
            self.history[channel][self.at].take(&self.bins);
        }
        self.listen_to_the_way();
        let all = self.seen_at_the_end(heard);
        let mut left = *heard;
        left.iter_mut().zip(&self.echo).for_each(|(left, echo)| *left -= echo);
        let rest = self.seen_at_the_end(&left);
        self.learn(&all, &rest);
        self.constrain();
        if self.is_heard(energy(heard), energy(&left)) {
            *heard = left;
        } else {
            (self.echo, self.doubt) = ([0.0; BLOCK], [0.0; BINS]);
        }
    }

    /// What comes of what was played, by all that was learnt of the way.
    fn listen_to_the_way(&mut self) {
        let mut sum = Bins::ZERO;
        for (parts, history) in self.parts.iter().zip(&self.history) {
            for (ago, part) in parts.iter().enumerate() {
                sum.add(&history[(self.at + PARTS - ago) % PARTS], &part.weights);
            }
        }
        let echo = &mut self.echo;
        back(&mut self.fft, &sum, &mut self.bins, |k, value| {
            if k >= BLOCK {
                echo[k - BLOCK] = value;
            }
        });
    }

    /// The transform of a block after a block of silence.
    fn seen_at_the_end(&mut self, block: &[f32; BLOCK]) -> Bins {
        self.fft.run(|k| if k < BLOCK { 0.0 } else { block[k - BLOCK] }, &mut self.bins);
        let mut seen = Bins::ZERO;
        seen.take(&self.bins);
        seen
    }

    /// Whether anything of the page is heard: in headphones nothing is.
    fn is_heard(&mut self, heard: f32, left: f32) -> bool {
        let softer = ((heard + NOTHING) / (left + NOTHING)).ln();
        self.softer += (softer - self.softer) / SEEN_BLOCKS;
        self.seen = (SEEN_FADES * self.seen).max(self.softer);
        self.seen > SEEN
    }

    /// After how many samples what is played is heard first; `None` where the way is not known well, or the player is heard.
    pub(super) fn late(&mut self) -> Option<usize> {
        if self.softer < ALONE {
            return None;
        }
        let mut way = [0.0; PARTS * BLOCK];
        for parts in &self.parts {
            for (part, way) in parts.iter().zip(way.chunks_exact_mut(BLOCK)) {
                back(&mut self.fft, &part.weights, &mut self.bins, |k, value| {
                    if let Some(way) = way.get_mut(k) {
                        *way += value;
                    }
                });
            }
        }
        let highest = way.iter().fold(0.0, |highest: f32, value| highest.max(value.abs()));
        let first = way.iter().position(|value| value.abs() >= NEARLY * highest)?;
        // From there up to the top.
        let top = (first..way.len() - 1).find(|at| way[*at].abs() >= way[at + 1].abs()).unwrap_or(first);
        let near = &way[top.saturating_sub(NEAR)..(top + NEAR).min(way.len())];
        let energy = |values: &[f32]| values.iter().map(|value| value * value).sum::<f32>();
        (energy(near) > GATHERED * energy(&way)).then_some(top)
    }

    /// The page's sound that was taken out of the last block.
    pub(super) fn echo(&self) -> &[f32; BLOCK] {
        &self.echo
    }

    /// The power that may be left in each bin of a block, for all that is known of the way.
    pub(super) fn doubt(&self) -> &[f32; BINS] {
        &self.doubt
    }

    fn learn(&mut self, heard: &Bins, left: &Bins) {
        let mut all = [0.0; BINS];
        for (parts, history) in self.parts.iter().zip(&self.history) {
            for (ago, part) in parts.iter().enumerate() {
                let played = &history[(self.at + PARTS - ago) % PARTS];
                for (bin, all) in all.iter_mut().enumerate() {
                    *all += part.unsure[bin] * played.power(bin);
                }
            }
        }
        // What is left, weighed by how sure each bin is.
        let mut weighed = Bins::ZERO;
        let mut over = [0.0; BINS];
        for bin in 0..BINS {
            let power = left.power(bin);
            let fade = |before: f32, now: f32, fades: f32| fades * before + (1.0 - fades) * now;
            self.others[bin] = fade(self.others[bin], power, FADES);
            self.slow_others[bin] = fade(self.slow_others[bin], power, FADES_SLOWLY);
            self.slow_heard[bin] = fade(self.slow_heard[bin], heard.power(bin), FADES_SLOWLY);
            let share = (self.slow_others[bin] / (self.slow_heard[bin] + NOTHING)).min(1.0);
            let others = 2.0 * (1.0 + CARE * share * share) * self.others[bin].max(power) + NOTHING;
            self.doubt[bin] = (DOUBT_FADES * self.doubt[bin]).max(0.5 * all[bin]);
            over[bin] = 1.0 / (all[bin] + others);
            weighed.re[bin] = left.re[bin] * over[bin];
            weighed.im[bin] = left.im[bin] * over[bin];
        }
        for (parts, history) in self.parts.iter_mut().zip(&self.history) {
            for (ago, part) in parts.iter_mut().enumerate() {
                let played = &history[(self.at + PARTS - ago) % PARTS];
                for (bin, over) in over.iter().enumerate() {
                    let (re, im, unsure) = (played.re[bin], played.im[bin], part.unsure[bin]);
                    let (left_re, left_im) = (weighed.re[bin], weighed.im[bin]);
                    let weights = &mut part.weights;
                    weights.re[bin] += unsure * (re * left_re + im * left_im);
                    weights.im[bin] += unsure * (re * left_im - im * left_re);
                    let learnt = 1.0 - 0.5 * unsure * (re * re + im * im) * over;
                    let power = weights.re[bin] * weights.re[bin] + weights.im[bin] * weights.im[bin];
                    part.unsure[bin] = STEADY * STEADY * unsure * learnt + (1.0 - STEADY * STEADY) * power;
                }
            }
        }
    }

    /// A block of a filter is as long as a block: what lies behind is taken away, in one block of each filter at a time.
    fn constrain(&mut self) {
        self.turn = (self.turn + 1) % PARTS;
        for parts in &mut self.parts {
            let weights = &mut parts[self.turn].weights;
            let mut time = [0.0; BLOCK];
            back(&mut self.fft, weights, &mut self.bins, |k, value| {
                if k < BLOCK {
                    time[k] = value;
                }
            });
            self.fft.run(|k| time.get(k).copied().unwrap_or(0.0), &mut self.bins);
            weights.take(&self.bins);
        }
    }
}

fn energy(block: &[f32; BLOCK]) -> f32 {
    block.iter().map(|sample| sample * sample).sum()
}

impl Bins {
    fn take(&mut self, bins: &[Complex<f32>]) {
        for ((re, im), bin) in self.re.iter_mut().zip(&mut self.im).zip(bins) {
            (*re, *im) = (bin.re, bin.im);
        }
    }

    fn power(&self, bin: usize) -> f32 {
        self.re[bin] * self.re[bin] + self.im[bin] * self.im[bin]
    }

    /// Adds the products of two.
    fn add(&mut self, one: &Bins, other: &Bins) {
        for bin in 0..BINS {
            self.re[bin] += one.re[bin] * other.re[bin] - one.im[bin] * other.im[bin];
            self.im[bin] += one.re[bin] * other.im[bin] + one.im[bin] * other.re[bin];
        }
    }
}

/// The samples of which these are the bins, by the transform that there is: a real signal is the Hartley transform of its
/// Hartley transform (R. N. Bracewell, "Discrete Hartley transform", J. Opt. Soc. Am. 73(12), 1983).
fn back(fft: &mut RealFft, from: &Bins, bins: &mut [Complex<f32>], mut each: impl FnMut(usize, f32)) {
    let hartley = |k: usize| {
        if k < BINS { from.re[k] - from.im[k] } else { from.re[SIZE - k] + from.im[SIZE - k] }
    };
    fft.run(hartley, bins);
    for k in 0..SIZE {
        let value = if k < BINS { bins[k].re - bins[k].im } else { bins[SIZE - k].re + bins[SIZE - k].im };
        each(k, value / SIZE as f32);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Noise, the same for the same seed.
    fn noise(seed: u32) -> impl FnMut() -> f32 {
        let mut seed = seed;
        move || {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (seed >> 8) as f32 / (1 << 23) as f32 - 1.0
        }
    }

    /// Energies of the last second of eight: all that was heard, what is left of it, and what of that is wrong. Left and right
    /// come after 30 and 90 ms, by a factor each; `own` is the player's.
    fn left_of(gains: [f32; 2], own: impl Fn(usize) -> f32) -> [f32; 3] {
        let (mut canceller, mut draw) = (Canceller::new(), noise(7));
        let count = 8 * 24_000 / BLOCK * BLOCK;
        let played: [Vec<f32>; 2] = [(); 2].map(|()| (0..count).map(|_| 0.3 * draw()).collect());
        let mut energies = [0.0; 3];
        for first in (0..count).step_by(BLOCK) {
            let late = |at: usize, by: usize, channel: usize| {
                at.checked_sub(by).map_or(0.0, |at| played[channel][at])
            };
            let echo = |at: usize| gains[0] * late(at, 720, 0) + gains[1] * late(at, 2_160, 1);
            let heard: [f32; BLOCK] = std::array::from_fn(|k| echo(first + k) + own(first + k));
            let mut left = heard;
            canceller
                .run(&mut left, &[0, 1].map(|channel| std::array::from_fn(|k| played[channel][first + k])));
            if first > count - 24_000 {
                energies[0] += energy(&heard);
                energies[1] += energy(&left);
                energies[2] +=
                    left.iter().enumerate().map(|(k, left)| (left - own(first + k)).powi(2)).sum::<f32>();
            }
        }
        energies
    }

    /// Noise on the left is heard after 30 ms, and softer once more after 55 ms; then a player drowns it.
    #[test]
    fn the_way_is_told_once_it_is_known_and_while_nobody_plays() {
        let (mut canceller, mut draw) = (Canceller::new(), noise(9));
        let mut past = vec![0.0; 1_320];
        let mut told = Vec::new();
        for block in 0..(12 * 24_000 / BLOCK) {
            let left: [f32; BLOCK] = std::array::from_fn(|_| 0.3 * draw());
            let before = past.len();
            past.extend(left);
            let own = if block > 8 * 24_000 / BLOCK { 1.0 } else { 0.0 };
            let mut heard = std::array::from_fn(|k| {
                0.5 * past[before + k - 720] - 0.3 * past[before + k - 1_320] + own * draw()
            });
            canceller.run(&mut heard, &[left, [0.0; BLOCK]]);
            told.push(canceller.late());
        }
        assert_eq!((told[0], told[6 * 24_000 / BLOCK], told[11 * 24_000 / BLOCK]), (None, Some(720), None));
    }

    /// By 20 dB at least, the fewest that ITU-T G.168 (2015) 7.4 asks of a canceller before its suppressor, from memory.
    #[test]
    fn what_is_played_is_taken_out() {
        let [heard, left, _] = left_of([0.5, -0.2], |_| 0.0);
        assert!(left < 0.01 * heard, "{left} of {heard}");
    }

    #[test]
    fn what_is_not_played_stays() {
        // They come in after two seconds, as after a count-in.
        let tone = |at: usize| {
            let sine = (std::f32::consts::TAU * (at % 600) as f32 * 11.0 / 600.0).sin();
            if at < 48_000 { 0.0 } else { 0.2 * sine }
        };
        let [_, _, wrong] = left_of([0.2, 0.2], tone);
        let own: f32 = (96_000..120_000).map(|at| tone(at).powi(2)).sum();
        assert!(wrong < 0.01 * own, "{wrong} of {own}");
        let [heard, left, wrong] = left_of([0.0, 0.0], tone);
        assert_eq!((heard, wrong), (left, 0.0), "in headphones");
    }
}
