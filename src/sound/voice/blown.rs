//! Blown tones: harmonics that come in one after another, breath, and vibrato on long notes.

use crate::sound::noise::{HighPass, LowPass, Noise};
use crate::sound::oscillator::{self, Phasor};
use crate::sound::turn::sine;
use crate::sound::voice::{Hand, shape};
use crate::units::{Cents, Decibels, Hz, SampleRate, Seconds};

/// Harmonics at most.
const MOST: usize = 20;
/// Frames between two looks at vibrato.
const BLOCK: usize = 32;

/// A pipe that is blown.
pub struct Blown {
    /// How harmonics fall with each octave, soft and hard, in decibels.
    tilt: (f64, f64),
    /// Where the body rings: frequency, width as a factor, lift in decibels.
    formants: &'static [(f64, f64, f64)],
    /// How long the tone takes to speak at C5, and to reach its full colour.
    attack: (Seconds, Seconds),
    /// How much longer lower notes take to speak: the power of the period.
    slower: f64,
    /// Level of the breath against the tone, and where its noise lies, in hertz.
    breath: (f64, f64),
    /// Depth and speed of vibrato, which begins after a while.
    vibrato: (Cents, f64),
}

/// Rich in harmonics, with the ringing of a conical tube. Levels tuned by measurement, not by ear.
pub const REED: Blown = Blown {
    tilt: (-5.8, -3.6),
    formants: &[(1000.0, 1.6, 8.0), (2300.0, 1.6, 10.0)],
    attack: (Seconds(0.030), Seconds(0.025)),
    slower: 0.4,
    breath: (0.010, 2400.0),
    vibrato: (Cents(14.0), 5.1),
};
/// Almost a sine, with a breath that is heard.
pub const FLUTE: Blown = Blown {
    tilt: (-12.0, -7.5),
    formants: &[(1100.0, 2.0, 4.0)],
    attack: (Seconds(0.190), Seconds(0.080)),
    slower: 2.0,
    breath: (0.030, 1800.0),
    vibrato: (Cents(9.0), 5.4),
};
/// Free reeds in a mouth that closes over them. These four: levels tuned by measurement against two sampled sets, not by
/// ear.
pub const HARMONICA: Blown = Blown {
    tilt: (-8.5, -5.5),
    formants: &[(600.0, 2.0, 3.0), (1900.0, 1.6, 9.0)],
    attack: (Seconds(0.045), Seconds(0.020)),
    slower: 0.9,
    breath: (0.005, 2600.0),
    vibrato: (Cents(8.0), 4.8),
};
/// Larger than [`REED`]: darker, with more breath.
pub const TENOR: Blown = Blown {
    tilt: (-6.2, -4.0),
    formants: &[(550.0, 1.7, 3.0), (1400.0, 1.7, 9.0)],
    attack: (Seconds(0.028), Seconds(0.028)),
    slower: 0.4,
    breath: (0.018, 1700.0),
    vibrato: (Cents(16.0), 4.9),
};
/// A mute lets the upper harmonics out, and little else.
pub const MUTED_BRASS: Blown = Blown {
    tilt: (-5.5, -3.5),
    formants: &[(1300.0, 1.8, 5.0), (3000.0, 1.5, 8.0)],
    attack: (Seconds(0.018), Seconds(0.016)),
    slower: 0.2,
    breath: (0.003, 3000.0),
    vibrato: (Cents(10.0), 5.4),
};
/// The first two formants of the vowel of "who", men's.
///
/// Source: Peterson and Barney, "Control methods used in a study of the vowels", JASA 24(2), 1952, table II (from memory).
pub const DOO: Blown = Blown {
    tilt: (-13.0, -10.0),
    formants: &[(300.0, 1.6, 6.0), (870.0, 1.5, 5.0)],
    attack: (Seconds(0.045), Seconds(0.040)),
    slower: 0.6,
    breath: (0.008, 1500.0),
    vibrato: (Cents(18.0), 5.3),
};
/// The tongue lets the air go: so much of the tone is there at once, and the rest comes as it speaks. What is heard as
/// the beginning is then where the note is written (within 20 dB of the loudest after 3 ms), however slowly it swells.
const TONGUE: (f64, Seconds) = (0.4, Seconds(0.003));
/// When vibrato begins, and how long it takes to reach its depth (common practice, no source: long notes only).
const VIBRATO_AFTER: Seconds = Seconds(0.45);
const VIBRATO_GROWS: Seconds = Seconds(0.40);

impl Blown {
    /// Renders a note.
    pub fn render(&self, pitch: Hz, hand: Hand, rate: SampleRate, out: &mut [f32]) {
        let hz = f64::from(rate.hz());
        let full = self.spectrum(pitch, hand, hz);
        // At first only the lowest harmonics sound.
        let first: Vec<f32> =
            full.iter().enumerate().map(|(index, level)| level / (1.0 + index as f32 * 0.9)).collect();
        let mut phasor = Phasor::default();
        let mut phases = [(0.0, 0.0); BLOCK];
        for (block, samples) in out.chunks_mut(BLOCK).enumerate() {
            let time = (block * BLOCK) as f64 / hz;
            let pitch = pitch.raised(self.vibrato_at(time));
            phasor.fill(pitch.0 / hz, &mut phases);
            let colour = (1.0 - (-time / self.attack.1.0).exp()) as f32;
            for (sample, phase) in samples.iter_mut().zip(phases) {
                let dark = oscillator::harmonics(&first, phase);
                *sample = dark + (oscillator::harmonics(&full, phase) - dark) * colour;
            }
        }
        self.breathe(rate, out);
        shape::fade_in_two(TONGUE, self.speaks_in(pitch, hand), rate, out);
    }

    /// Low notes take longer to speak, and so do soft ones.
    fn speaks_in(&self, pitch: Hz, hand: Hand) -> Seconds {
        let longer = shape::power(523.25 / pitch.0, self.slower).clamp(0.44, 1.8);
        hand.slows(Seconds(self.attack.0.0 * longer * (1.15 - 0.3 * hand.brightness)))
    }

    fn spectrum(&self, pitch: Hz, hand: Hand, hz: f64) -> Vec<f32> {
        let tilt = self.tilt.0 + (self.tilt.1 - self.tilt.0) * hand.brightness;
        let harmonics = (1..=MOST).map(|n| n as f64).take_while(|n| n * pitch.0 < 0.45 * hz);
        harmonics
            .map(|n| {
                let ring = |(centre, width, lift): &(f64, f64, f64)| {
                    let distance = (n * pitch.0 / centre).ln() / width.ln();
                    lift * (-distance * distance).exp()
                };
                let lift: f64 = self.formants.iter().map(ring).sum();
                Decibels(tilt * n.log2() + lift).gain() as f32
            })
            .collect()
    }

    fn vibrato_at(&self, time: f64) -> Cents {
        let (Cents(depth), speed) = self.vibrato;
        let since = (time - VIBRATO_AFTER.0).max(0.0);
        let grown = (since / VIBRATO_GROWS.0).min(1.0);
        Cents(depth * grown * sine(speed * since))
    }

    fn breathe(&self, rate: SampleRate, out: &mut [f32]) {
        let (level, centre) = self.breath;
        let hz = f64::from(rate.hz());
        let peak = out
            .iter()
            .take(shape::frames(Seconds(0.4), rate))
            .fold(0.0_f32, |peak, sample| peak.max(sample.abs()));
        let mut noise = Noise::new(0x5eed_0010);
        let (mut low, mut high) = (LowPass::new(centre / hz), HighPass::new(centre / hz));
        // Stronger while the tone speaks.
        let start = shape::frames(self.attack.1, rate) as f64;
        for (frame, sample) in out.iter_mut().enumerate() {
            let strength = level * 4.0 * (1.0 + 2.0 * (-(frame as f64) / start).exp());
            *sample += high.pass(low.pass(noise.sample())) * strength as f32 * peak;
        }
    }
}
