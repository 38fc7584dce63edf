//! The voices, each rendered into a buffer of one note: exact pitch, a clean start and a clean end.

use crate::perform::Part;
use crate::sound::noise::{HighPass, Noise};
use crate::sound::oscillator::Partial;
use crate::units::{MidiNote, SampleRate, Seconds, Velocity};

/// Something that can sound.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Voice {
    /// A struck tone with a bell-like start, for the riff and for the on-screen keys.
    Keys,
    /// The same, darker and rounder, for the chords behind.
    Comp,
    /// A plucked bass.
    Bass,
    /// Bass drum.
    Kick,
    /// Snare drum.
    Snare,
    /// Closed hi-hat, and the pedal's.
    HiHat,
    /// Ride cymbal.
    Ride,
    /// Crash cymbal.
    Crash,
    /// The click on beat 1.
    ClickHigh,
    /// The click on the other beats.
    ClickLow,
}

impl Voice {
    /// All voices.
    pub const ALL: [Voice; 10] = [
        Voice::Keys,
        Voice::Comp,
        Voice::Bass,
        Voice::Kick,
        Voice::Snare,
        Voice::HiHat,
        Voice::Ride,
        Voice::Crash,
        Voice::ClickHigh,
        Voice::ClickLow,
    ];

    /// Whether the sound stops when the note does; drums and clicks ring out.
    pub fn is_held(self) -> bool {
        matches!(self, Voice::Keys | Voice::Comp | Voice::Bass)
    }

    /// How long the full sound lasts.
    pub fn length(self) -> Seconds {
        Seconds(match self {
            Voice::Keys => 2.4,
            Voice::Comp | Voice::Bass | Voice::Crash => 1.6,
            Voice::Kick => 0.35,
            Voice::Snare => 0.30,
            Voice::HiHat => 0.12,
            Voice::Ride => 0.9,
            Voice::ClickHigh | Voice::ClickLow => 0.08,
        })
    }
}

/// A loudness layer; layers differ in colour, not only in level.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Layer {
    /// Below velocity 64.
    Soft,
    /// From 64 to 95.
    Plain,
    /// From 96 on.
    Hard,
}

impl Layer {
    /// The layer that a velocity belongs to.
    pub fn of(velocity: Velocity) -> Layer {
        match velocity.value() {
            0..64 => Layer::Soft,
            64..96 => Layer::Plain,
            _ => Layer::Hard,
        }
    }

    /// How much the upper partials are lifted, 0 ..= 1.
    fn brightness(self) -> f64 {
        match self {
            Layer::Soft => 0.35,
            Layer::Plain => 0.6,
            Layer::Hard => 1.0,
        }
    }
}

/// What one buffer holds. Notes that share a buffer differ in gain and length only.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Sample {
    /// Which voice.
    pub voice: Voice,
    /// At which pitch; for drums their General MIDI number.
    pub midi: MidiNote,
    /// How bright.
    pub layer: Layer,
}

impl Sample {
    /// The buffer for a note of a part.
    pub fn of(part: Part, midi: MidiNote, velocity: Velocity) -> Sample {
        let voice = match part {
            Part::Solo => Voice::Keys,
            Part::Comp => Voice::Comp,
            Part::Bass => Voice::Bass,
            Part::Drums => drum(midi),
            Part::Click if midi.number() == 76 => Voice::ClickHigh,
            Part::Click => Voice::ClickLow,
        };
        // The click has one colour, so that its two buffers serve every click.
        let layer = if part == Part::Click { Layer::Plain } else { Layer::of(velocity) };
        Sample { voice, midi, layer }
    }

    /// The sample as one number, for passing to a worker and back.
    pub fn code(self) -> u32 {
        (self.voice as u32) << 16 | u32::from(self.midi.number()) << 8 | self.layer as u32
    }

    /// The sample with this number, or `None` where none has it.
    pub fn from_code(code: u32) -> Option<Sample> {
        let voice = Voice::ALL.into_iter().find(|voice| *voice as u32 == code >> 16)?;
        let midi = MidiNote::new((code >> 8 & 0xff) as i32)?;
        let layer =
            [Layer::Soft, Layer::Plain, Layer::Hard].into_iter().find(|l| *l as u32 == code & 0xff)?;
        Some(Sample { voice, midi, layer })
    }

    /// Renders the note at full length and full level, mono. Peaks lie below 1; the last frame is silent.
    pub fn render(self, rate: SampleRate) -> Vec<f32> {
        let mut out = vec![0.0; frames(self.voice.length(), rate)];
        match self.voice {
            Voice::Keys => struck(self, &KEYS, rate, &mut out),
            Voice::Comp => struck(self, &COMP, rate, &mut out),
            Voice::Bass => struck(self, &BASS, rate, &mut out),
            Voice::ClickHigh => click(1760.0, rate, &mut out),
            Voice::ClickLow => click(1320.0, rate, &mut out),
            Voice::Kick => kick(rate, &mut out),
            Voice::Snare => snare(self.layer, rate, &mut out),
            Voice::HiHat | Voice::Ride | Voice::Crash => cymbal(self.voice, self.layer, rate, &mut out),
        }
        fade(rate, &mut out);
        out
    }
}

/// General MIDI percussion (MMA RP-003).
fn drum(midi: MidiNote) -> Voice {
    match midi.number() {
        35 | 36 => Voice::Kick,
        42 | 44 | 46 => Voice::HiHat,
        51 | 53 | 59 => Voice::Ride,
        49 | 57 => Voice::Crash,
        _ => Voice::Snare,
    }
}

/// A struck or plucked tone as partials of one fundamental.
struct Tone {
    /// Level of each partial, from the fundamental up.
    levels: &'static [f64],
    /// How long the fundamental takes to fall to 1/e at middle C.
    decay: Seconds,
    /// How much faster each higher partial dies.
    damping: f64,
    /// How long the attack takes.
    attack: Seconds,
    /// Level at full loudness.
    level: f64,
}

/// Shapes chosen by measuring rendered notes (peak, brightness, decay), not by ear.
const KEYS: Tone = Tone {
    levels: &[1.0, 0.45, 0.22, 0.30, 0.08, 0.05, 0.07, 0.02],
    decay: Seconds(1.1),
    damping: 0.55,
    attack: Seconds(0.003),
    level: 0.42,
};
const COMP: Tone = Tone {
    levels: &[1.0, 0.30, 0.12, 0.06, 0.03],
    decay: Seconds(0.8),
    damping: 0.5,
    attack: Seconds(0.006),
    level: 0.42,
};
const BASS: Tone = Tone {
    levels: &[1.0, 0.60, 0.32, 0.18, 0.10, 0.05],
    decay: Seconds(0.9),
    damping: 0.7,
    attack: Seconds(0.004),
    level: 0.45,
};

fn struck(sample: Sample, tone: &Tone, rate: SampleRate, out: &mut [f32]) {
    let hz = f64::from(rate.hz());
    let f0 = sample.midi.frequency().0;
    let brightness = sample.layer.brightness();
    // Higher notes die sooner: the decay halves in two octaves.
    let decay = tone.decay.0 * (261.6 / f0).sqrt().clamp(0.3, 1.6);
    for (index, level) in tone.levels.iter().enumerate() {
        let cycles = (index + 1) as f64 * f0 / hz;
        if cycles >= 0.45 {
            break;
        }
        let level = tone.level * level * brightness.powf(index as f64 * 0.6);
        let seconds = decay / (1.0 + tone.damping * index as f64);
        Partial::new(cycles, level, seconds * hz).add_to(out);
    }
    attack(frames(tone.attack, rate), out);
}

fn click(frequency: f64, rate: SampleRate, out: &mut [f32]) {
    let hz = f64::from(rate.hz());
    Partial::new(frequency / hz, 0.6, 0.012 * hz).add_to(out);
    Partial::new(2.76 * frequency / hz, 0.15, 0.004 * hz).add_to(out);
    attack(frames(Seconds(0.0008), rate), out);
}

fn kick(rate: SampleRate, out: &mut [f32]) {
    let hz = f64::from(rate.hz());
    let mut phase = 0.0_f64;
    for (frame, sample) in out.iter_mut().enumerate() {
        let time = frame as f64 / hz;
        // The head's pitch falls from about 150 to 50 Hz.
        phase += (50.0 + 100.0 * (-time / 0.025).exp()) / hz;
        *sample = (0.85 * (-time / 0.11).exp() * (std::f64::consts::TAU * phase).sin()) as f32;
    }
    attack(frames(Seconds(0.001), rate), out);
}

fn snare(layer: Layer, rate: SampleRate, out: &mut [f32]) {
    let hz = f64::from(rate.hz());
    Partial::new(186.0 / hz, 0.35, 0.06 * hz).add_to(out);
    Partial::new(331.0 / hz, 0.18, 0.04 * hz).add_to(out);
    let level = 0.35 * layer.brightness() + 0.15;
    Rattle { seed: 0x5eed_0001, cutoff: 1500.0, decay: Seconds(0.07), level }.add_to(rate, out);
    attack(frames(Seconds(0.0006), rate), out);
}

fn cymbal(voice: Voice, layer: Layer, rate: SampleRate, out: &mut [f32]) {
    let (seed, decay, level, tone) = match voice {
        Voice::HiHat => (0x5eed_0002, 0.022, 0.42, 0.0),
        Voice::Ride => (0x5eed_0003, 0.22, 0.16, 0.10),
        _ => (0x5eed_0004, 0.42, 0.40, 0.02),
    };
    let hz = f64::from(rate.hz());
    // A cymbal's stick sound: partials that fit no harmonic series.
    for (index, frequency) in [3140.0, 4370.0, 5230.0, 6890.0].into_iter().enumerate() {
        if tone > 0.0 && frequency < 0.45 * hz {
            Partial::new(frequency / hz, tone / (1.0 + index as f64), decay * 0.6 * hz).add_to(out);
        }
    }
    let level = level * (0.6 + 0.4 * layer.brightness());
    Rattle { seed, cutoff: 6000.0, decay: Seconds(decay), level }.add_to(rate, out);
    attack(frames(Seconds(0.0006), rate), out);
}

/// High-passed noise that dies away.
struct Rattle {
    seed: u32,
    cutoff: f64,
    decay: Seconds,
    level: f64,
}

impl Rattle {
    fn add_to(&self, rate: SampleRate, out: &mut [f32]) {
        let hz = f64::from(rate.hz());
        let mut noise = Noise::new(self.seed);
        let mut filters = [HighPass::new(self.cutoff / hz), HighPass::new(self.cutoff / hz)];
        let shrink = (-1.0 / (self.decay.0 * hz)).exp() as f32;
        let mut level = self.level as f32;
        for sample in out {
            *sample += filters.iter_mut().fold(noise.sample(), |x, filter| filter.pass(x)) * level;
            level *= shrink;
        }
    }
}

/// Raises the first frames along half a cosine, so that the sound begins without a step.
fn attack(length: usize, out: &mut [f32]) {
    for (frame, sample) in out.iter_mut().take(length).enumerate() {
        let turn = std::f64::consts::PI * (frame as f64 + 0.5) / length as f64;
        *sample *= (0.5 - 0.5 * turn.cos()) as f32;
    }
}

/// Lowers the last 30 ms to silence, so that the sound ends without a step.
fn fade(rate: SampleRate, out: &mut [f32]) {
    let length = frames(Seconds(0.030), rate).min(out.len());
    for (frame, sample) in out.iter_mut().rev().take(length).enumerate() {
        *sample *= frame as f32 / length as f32;
    }
}

fn frames(length: Seconds, rate: SampleRate) -> usize {
    rate.frame_at(length).0 as usize
}
