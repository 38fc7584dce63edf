//! Drums, cymbals and clicks: a few modes, noise, and times in which both die away.

use crate::sound::noise::{HighPass, LowPass, Noise};
use crate::sound::oscillator::{self, Partial};
use crate::sound::turn::sine;
use crate::sound::voice::{Hand, Sample, Voice, shape};
use crate::units::percussion::Percussion;
use crate::units::{MidiNote, SampleRate, Seconds};

/// Renders a stroke.
pub fn render(sample: Sample, hand: Hand, rate: SampleRate, out: &mut [f32]) {
    let stroke = Stroke { hand, take: sample.take, rate };
    match sample.voice {
        Voice::Kick => stroke.drum(&KICK, 52.0, out),
        Voice::Tom => stroke.drum(&TOM, tom_pitch(sample.midi), out),
        Voice::Snare => stroke.noisy(&SNARE, out),
        Voice::BrushTap => stroke.noisy(&BRUSH_TAP, out),
        Voice::BrushSweep => stroke.sweep(out),
        Voice::HiHat if Percussion::of(sample.midi) == Some(Percussion::PedalHiHat) => {
            stroke.noisy(&PEDAL, out);
        }
        Voice::HiHat => stroke.noisy(&HI_HAT, out),
        Voice::Ride => stroke.noisy(&RIDE, out),
        Voice::Crash => stroke.noisy(&CRASH, out),
        Voice::PipClick => stroke.click(&PIP, click_pitch(sample.midi), out),
        Voice::StickClick => stroke.click(&STICK, click_pitch(sample.midi), out),
        _ => stroke.click(&WOOD, click_pitch(sample.midi), out),
    }
}

/// Hertz of a tom, high or low: those of a sampled kit lie at 113 and 85 (`tests/reference/voices.py`).
fn tom_pitch(midi: MidiNote) -> f64 {
    if Percussion::of(midi) == Some(Percussion::HighTom) { 114.0 } else { 86.0 }
}

/// Hertz of a click: high on beat 1, low on the others, lowest between them.
fn click_pitch(midi: MidiNote) -> f64 {
    match Percussion::of(midi) {
        Some(Percussion::HighBlock) => 1760.0,
        Some(Percussion::LowBlock) => 1320.0,
        _ => 1046.5,
    }
}

/// A head whose pitch falls after the stroke.
struct Head {
    /// How far above its pitch it begins, as a factor.
    fall: f64,
    /// Seconds in which it falls to 1/e of that.
    falls_in: f64,
    /// Seconds in which the tone falls to 1/e.
    decay: f64,
    /// The beater's own sound, soft and hard, in decibels.
    beater: (f64, f64),
    /// Where that sound lies, in hertz.
    band: (f64, f64),
    /// Level of the head's second and third modes, 1.59 and 2.14 times its pitch, which die twice as fast.
    above: f64,
    /// Seconds in which the head rises; what strikes it is heard at once.
    rises: f64,
}

/// Figures of all tables below: tuned by measurement, not by ear.
const KICK: Head = Head {
    fall: 1.9,
    falls_in: 0.022,
    decay: 0.055,
    beater: (-8.5, -4.0),
    band: (1200.0, 5200.0),
    above: 0.0,
    rises: 0.012,
};
const TOM: Head = Head {
    fall: 1.6,
    falls_in: 0.030,
    decay: 0.36,
    beater: (9.0, 9.5),
    band: (300.0, 3500.0),
    above: 1.3,
    rises: 0.001,
};

/// Modes that fit no harmonic series, and filtered noise.
struct Noisy {
    /// Hertz, level and seconds of each mode.
    modes: &'static [(f64, f64, f64)],
    /// The noise lies between these frequencies, in hertz.
    band: (f64, f64),
    /// Level of the noise, soft and hard, in decibels.
    level: (f64, f64),
    /// Seconds in which the noise falls to 1/e: at once after the stroke, and later.
    decay: (f64, f64),
    /// Seconds in which all of it rises.
    rises: f64,
}

const SNARE: Noisy = Noisy {
    modes: &[(187.0, 0.60, 0.060), (312.0, 0.32, 0.045), (478.0, 0.14, 0.030)],
    band: (700.0, 5500.0),
    level: (-5.0, 0.5),
    decay: (0.018, 0.070),
    rises: 0.0006,
};
const BRUSH_TAP: Noisy = Noisy {
    modes: &[(193.0, 0.14, 0.035)],
    band: (350.0, 1900.0),
    level: (0.0, 3.0),
    decay: (0.012, 0.045),
    rises: 0.008,
};
const HI_HAT: Noisy = Noisy {
    modes: &[(3420.0, 0.10, 0.02), (5410.0, 0.10, 0.018), (7630.0, 0.08, 0.015), (9870.0, 0.06, 0.012)],
    band: (6500.0, 15_000.0),
    level: (0.0, 3.0),
    decay: (0.008, 0.050),
    rises: 0.004,
};
/// Closed by the foot: darker than under a stick, and shorter.
const PEDAL: Noisy =
    Noisy { modes: &[], band: (2200.0, 7000.0), level: (0.0, 3.0), decay: (0.006, 0.030), rises: 0.004 };
const RIDE: Noisy = Noisy {
    modes: &[
        (2270.0, 0.10, 0.037),
        (3140.0, 0.16, 0.042),
        (4370.0, 0.16, 0.037),
        (5230.0, 0.13, 0.032),
        (6890.0, 0.10, 0.027),
        (3390.0, 0.025, 0.45),
        (5610.0, 0.020, 0.35),
        (8710.0, 0.012, 0.25),
    ],
    band: (4500.0, 14_000.0),
    level: (-7.0, -4.0),
    decay: (0.012, 0.36),
    rises: 0.004,
};
const CRASH: Noisy = Noisy {
    modes: &[(1830.0, 0.06, 0.5), (2740.0, 0.06, 0.5), (4110.0, 0.05, 0.4)],
    band: (900.0, 4600.0),
    level: (0.0, 4.0),
    decay: (0.080, 0.90),
    rises: 0.018,
};

/// A click: its pitch, how it rings, and what rings above it.
struct Click {
    /// Seconds in which it falls to 1/e.
    decay: f64,
    /// A second mode: as a multiple of the pitch, level, seconds.
    above: (f64, f64, f64),
}

const WOOD: Click = Click { decay: 0.011, above: (2.76, 0.35, 0.004) };
const PIP: Click = Click { decay: 0.020, above: (2.0, 0.08, 0.010) };
const STICK: Click = Click { decay: 0.004, above: (1.58, 0.80, 0.0035) };

/// Noise below this amplitude is over: 140 dB below full scale.
const SILENT: f32 = 1e-7;

/// One stroke.
struct Stroke {
    hand: Hand,
    take: u8,
    rate: SampleRate,
}

impl Stroke {
    fn hz(&self) -> f64 {
        f64::from(self.rate.hz())
    }

    /// A seed that differs from take to take.
    fn noise(&self, seed: u32) -> Noise {
        Noise::new(seed.wrapping_add(u32::from(self.take).wrapping_mul(0x9e37_79b9)))
    }

    /// A factor near 1 that differs from take to take: no two strokes hit the same spot.
    fn spot(&self, spread: f64) -> f64 {
        1.0 + spread * (f64::from(self.take) - 1.0)
    }

    fn drum(&self, head: &Head, pitch: f64, out: &mut [f32]) {
        let hz = self.hz();
        let pitch = pitch * self.spot(0.01);
        // What shrinks by the same part each frame needs no exponential for each.
        let shrink = |seconds: f64| (-1.0 / (seconds * hz)).exp();
        let (fall_shrinks, first_shrinks) = (shrink(head.falls_in), shrink(head.decay));
        let (mut phase, mut fall, mut first) = (0.0, head.fall, 1.0);
        for sample in out.iter_mut() {
            phase += pitch * (1.0 + fall) / hz;
            // Source of the ratios: an ideal membrane's modes (T. D. Rossing, "Science of percussion instruments",
            // 2000, chapter on membranes; from memory).
            let above = if head.above > 0.0 {
                head.above * first * first * (sine(1.593 * phase) + 0.6 * sine(2.136 * phase))
            } else {
                0.0
            };
            *sample = (first * sine(phase) + above) as f32;
            fall *= fall_shrinks;
            first *= first_shrinks;
        }
        shape::fade_in(Seconds(head.rises), self.rate, out);
        let beater = self.hand.between(head.beater.0, head.beater.1);
        self.hiss(0x5eed_0001, head.band, beater * 4.0, (0.006, 0.006), out);
        shape::fade_in(Seconds(0.003), self.rate, out);
    }

    fn noisy(&self, what: &Noisy, out: &mut [f32]) {
        let hz = self.hz();
        let partials: Vec<Partial> = what
            .modes
            .iter()
            .enumerate()
            .filter(|(_, (frequency, ..))| *frequency < 0.45 * hz)
            .map(|(index, (frequency, level, decay))| Partial {
                cycles: frequency / hz,
                // Another spot strengthens other modes.
                level: level * self.spot(if index % 2 == 0 { 0.2 } else { -0.2 }),
                decay_frames: decay * hz,
            })
            .collect();
        oscillator::add(&partials, out);
        let level = self.hand.between(what.level.0, what.level.1);
        self.hiss(0x5eed_0002 + what.band.0 as u32, what.band, level, what.decay, out);
        shape::fade_in(Seconds(what.rises), self.rate, out);
    }

    /// A brush drawn in a curve: noise that swells and goes.
    fn sweep(&self, out: &mut [f32]) {
        let length = out.len() as f64;
        self.hiss(0x5eed_0003, (700.0, 4000.0), 1.0, (10.0, 10.0), out);
        for (frame, sample) in out.iter_mut().enumerate() {
            let way = frame as f64 / length;
            let grown = sine(way / 2.0);
            *sample *= (grown * grown.sqrt() * (1.2 - 0.4 * way)) as f32;
        }
    }

    fn click(&self, what: &Click, pitch: f64, out: &mut [f32]) {
        let hz = self.hz();
        let (ratio, level, decay) = what.above;
        oscillator::add(
            &[
                Partial { cycles: pitch / hz, level: 0.6, decay_frames: what.decay * hz },
                Partial { cycles: ratio * pitch / hz, level: 0.6 * level, decay_frames: decay * hz },
            ],
            out,
        );
        shape::fade_in(Seconds(0.0008), self.rate, out);
    }

    /// Adds noise in a band; four parts in ten die at once, the rest later.
    fn hiss(&self, seed: u32, band: (f64, f64), level: f64, decay: (f64, f64), out: &mut [f32]) {
        let hz = self.hz();
        let mut noise = self.noise(seed);
        let cutoff = |frequency: f64| (frequency / hz).min(0.45);
        let mut low = [LowPass::new(cutoff(band.1)), LowPass::new(cutoff(band.1))];
        let mut high = [HighPass::new(cutoff(band.0)), HighPass::new(cutoff(band.0))];
        let shrink = [decay.0, decay.1].map(|seconds| (-1.0 / (seconds * hz)).exp() as f32);
        let (mut fast, mut slow) = (0.4 * level as f32, 0.6 * level as f32);
        for sample in out {
            // Numbers that shrink on and on are slow to compute with in the end.
            if fast + slow < SILENT {
                return;
            }
            let dull = low.iter_mut().fold(noise.sample(), |x, filter| filter.pass(x));
            let hiss = high.iter_mut().fold(dull, |x, filter| filter.pass(x));
            *sample += hiss * (fast + slow);
            fast *= shrink[0];
            slow *= shrink[1];
        }
    }
}
