//! Struck and plucked tones: modes that all begin together and die away each in its own time.

use crate::sound::oscillator::{self, Partial};
use crate::sound::turn::sine;
use crate::sound::voice::{Hand, shape};
use crate::units::{Decibels, Hz, SampleRate, Seconds};

/// Above this part of the sample rate a mode is left out.
const HIGHEST: f64 = 0.45;

/// One mode of a struck bar or tine.
struct Mode {
    /// Its frequency as a multiple of the pitch.
    ratio: f64,
    /// Its level under a soft stroke, in decibels against the first mode.
    soft: f64,
    /// And under a hard one.
    hard: f64,
    /// Seconds in which it falls to 1/e at middle C.
    decay: f64,
}

/// A bar or tine that is struck.
pub struct Struck {
    modes: &'static [Mode],
    attack: Seconds,
    /// How often a second the tremolo goes, and how deep.
    tremolo: (f64, f64),
}

/// Harmonics that grow with the stroke, as a tine's do before its pickup, and the tine's own ring above them, which
/// fits no harmonic and is gone at once. Levels tuned by measurement (brightness and decay by layer against sampled
/// instruments), not by ear.
#[rustfmt::skip]
pub const KEYS: Struck = Struck {
    modes: &[
        Mode { ratio: 1.0,  soft: 0.0,   hard: 0.0,   decay: 1.30 },
        Mode { ratio: 2.0,  soft: -18.0, hard: -6.0,  decay: 1.00 },
        Mode { ratio: 3.0,  soft: -28.0, hard: -13.0, decay: 0.75 },
        Mode { ratio: 4.0,  soft: -36.0, hard: -18.0, decay: 0.55 },
        Mode { ratio: 5.0,  soft: -44.0, hard: -25.0, decay: 0.40 },
        Mode { ratio: 6.0,  soft: -52.0, hard: -31.0, decay: 0.30 },
        Mode { ratio: 7.0,  soft: -58.0, hard: -37.0, decay: 0.24 },
        Mode { ratio: 8.0,  soft: -62.0, hard: -41.0, decay: 0.20 },
        Mode { ratio: 9.0,  soft: -66.0, hard: -45.0, decay: 0.18 },
        Mode { ratio: 10.0, soft: -70.0, hard: -49.0, decay: 0.16 },
        Mode { ratio: 7.11, soft: -24.0, hard: -15.0, decay: 0.09 },
        Mode { ratio: 12.6, soft: -38.0, hard: -24.0, decay: 0.03 },
    ],
    attack: Seconds(0.0035),
    tremolo: (0.0, 0.0),
};

/// Bars are carved so that their second mode lies two octaves up and the third near ten times the pitch.
/// Source: T. D. Rossing, "Science of percussion instruments", 2000, chapter on bar percussion (from memory).
#[rustfmt::skip]
pub const VIBRAPHONE: Struck = Struck {
    modes: &[
        Mode { ratio: 1.0,  soft: 0.0,   hard: 0.0,   decay: 0.80 },
        Mode { ratio: 4.0,  soft: -28.0, hard: -6.0,  decay: 0.30 },
        Mode { ratio: 9.9,  soft: -40.0, hard: -15.0, decay: 0.08 },
        Mode { ratio: 17.6, soft: -54.0, hard: -28.0, decay: 0.03 },
    ],
    attack: Seconds(0.002),
    tremolo: (4.6, 0.28),
};

impl Struck {
    /// Renders a note.
    pub fn render(&self, pitch: Hz, hand: Hand, rate: SampleRate, out: &mut [f32]) {
        let hz = f64::from(rate.hz());
        let slow = slowness(pitch, 0.5);
        let partials: Vec<Partial> = self
            .modes
            .iter()
            .filter(|mode| {
                mode.ratio * pitch.0 < HIGHEST * hz
                    && hand.between(mode.soft, mode.hard) * lift(mode.ratio, pitch) > FAINTEST
            })
            .map(|mode| Partial {
                cycles: mode.ratio * pitch.0 / hz,
                level: hand.between(mode.soft, mode.hard) * lift(mode.ratio, pitch),
                decay_frames: mode.decay * slow * hz,
            })
            .collect();
        oscillator::add(&partials, out);
        shape::fade_in(hand.slows(self.attack), rate, out);
        let (hertz, depth) = self.tremolo;
        if depth > 0.0 {
            shape::tremble(hertz, depth, rate, out);
        }
    }
}

/// A mode this faint is left out.
const FAINTEST: f64 = 1e-3;

/// How much stronger a mode is on a note below middle C, as an amplitude: the lower the note, the more of its sound is
/// overtones. Over five octaves of a recorded grand piano the centre of the spectrum moves by one (measured on one
/// instrument), so overtones come up by some decibels in each octave that the note goes down.
fn lift(ratio: f64, pitch: Hz) -> f64 {
    let octaves = (261.6 / pitch.0).log2().clamp(0.0, 2.5);
    Decibels(LIFT * octaves * ratio.log2().min(3.0)).gain()
}

/// Decibels for each octave below middle C and each octave of a mode above its fundamental.
const LIFT: f64 = 4.5;

/// Higher notes die sooner: at a power of ½ the decay halves in two octaves, at 1 in one.
fn slowness(pitch: Hz, exponent: f64) -> f64 {
    shape::power(261.6 / pitch.0, exponent).clamp(0.3, 1.8)
}

/// A string that is plucked.
///
/// Source of the shape of its spectrum: N. H. Fletcher and T. D. Rossing, "The physics of musical instruments", 1998,
/// sections 2.7 (plucked at a fraction of its length: the nth mode has sin(nπβ)) and 10.2.
pub struct Plucked {
    /// Where it is plucked, as a fraction of its length.
    at: f64,
    /// Where it is heard: a pickup's place, as a fraction of its length.
    heard: f64,
    /// How its modes fall with each octave under a soft and a hard stroke, in decibels.
    tilt: (f64, f64),
    /// Above this the instrument lets out less and less, in hertz.
    treble: f64,
    /// Seconds in which the first mode falls to 1/e at middle C.
    decay: f64,
    /// How much sooner higher notes begin and die: the power of the period.
    sooner: f64,
    /// How much faster higher modes die.
    damping: f64,
    modes: usize,
    /// At middle C.
    attack: Seconds,
    /// How much the string's stiffness sharpens its modes, at middle C: nothing for none. The nth is n·√(1 + Bn²) times as high
    /// as the first would be without.
    stiff: f64,
    /// Seconds in which the body takes up the low modes of middle C, to 1/e of what is left; none of those above `treble`.
    swells: f64,
}

/// Between the neck's pickup and the bridge.
pub const GUITAR: Plucked = Plucked {
    at: 0.17,
    heard: 0.12,
    tilt: (-1.2, 0.3),
    treble: 4200.0,
    decay: 1.30,
    sooner: 1.0,
    damping: 0.07,
    modes: 24,
    attack: Seconds(0.009),
    stiff: 0.0,
    swells: 0.0,
};
/// Plucked with a finger well away from the bridge; the body hardly lets treble out.
pub const BASS: Plucked = Plucked {
    at: 0.30,
    heard: 0.11,
    tilt: (-12.0, -7.0),
    treble: 420.0,
    decay: 0.42,
    sooner: 0.5,
    damping: 0.22,
    modes: 16,
    attack: Seconds(0.006),
    stiff: 0.0,
    swells: 0.0236,
};
/// Struck by a hammer at an eighth of the string. Its stiffness: Young, "Inharmonicity of plain wire piano strings", JASA
/// 24(3), 1952 (at middle C 1.2 cents for the second mode, twice as much each eight half steps up). Levels and decay tuned
/// by measurement against two sampled pianos, not by ear.
pub const UPRIGHT: Plucked = Plucked {
    at: 0.12,
    heard: 0.02,
    tilt: (-10.0, -7.5),
    treble: 1500.0,
    decay: 0.75,
    sooner: 0.45,
    damping: 0.10,
    modes: 24,
    attack: Seconds(0.018),
    stiff: 3.5e-4,
    swells: 0.0,
};

/// Each mode swings in two directions: across the top it dies soon, along it more slowly.
const DIRECTIONS: [(f64, f64); 2] = [(0.7, 0.5), (0.3, 1.7)];

impl Plucked {
    /// Renders a note.
    pub fn render(&self, pitch: Hz, hand: Hand, rate: SampleRate, out: &mut [f32]) {
        let hz = f64::from(rate.hz());
        let slow = slowness(pitch, self.sooner);
        let tilt = self.tilt.0 + (self.tilt.1 - self.tilt.0) * hand.brightness;
        let stiff = self.stiff * shape::power(pitch.0 / 261.6, 1.5);
        let sharper = |n: f64| n * ((1.0 + stiff * n * n) / (1.0 + stiff)).sqrt();
        let modes = (1..=self.modes).map(|n| n as f64).take_while(|n| sharper(*n) * pitch.0 < HIGHEST * hz);
        let partials: Vec<Partial> = modes
            .flat_map(|n| {
                let shape = sine(n * self.at / 2.0) * sine(n * self.heard / 2.0);
                let heard = 1.0 / (1.0 + (n * pitch.0 / self.treble).powi(2));
                let level = shape * heard * Decibels(tilt * n.log2()).gain();
                let decay = self.decay * slow / (1.0 + self.damping * (n - 1.0));
                let partial = |level: f64, seconds: f64| Partial {
                    cycles: sharper(n) * pitch.0 / hz,
                    level,
                    decay_frames: seconds * hz,
                };
                // What a body takes up slowly is the tone less one that dies as it grows.
                let grows = self.swells * slow * heard;
                let missing = (grows > 0.0).then(|| partial(-level, grows));
                let tones = DIRECTIONS.map(|(share, longer)| partial(level * share, decay * longer));
                tones.into_iter().chain(missing)
            })
            .filter(|partial: &Partial| partial.level.abs() > FAINTEST * FAINTEST.sqrt())
            .collect();
        oscillator::add(&partials, out);
        shape::fade_in(hand.slows(Seconds(self.attack.0 * slow)), rate, out);
    }
}
