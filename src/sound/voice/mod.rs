//! The voices, each rendered into a buffer of one note: exact pitch, a clean start and a clean end.

mod blown;
mod kit;
mod organ;
mod shape;
mod struck;

use crate::perform::planner::Planned;
use crate::perform::takes::TAKES;
use crate::perform::{Attack, Levels, Part};
use crate::sound::mix::RELEASE;
use crate::sound::noise::Noise;
use crate::sound::voice::blown::Blown;
use crate::units::percussion::Percussion;
use crate::units::{AudioTime, Cents, Decibels, MidiNote, SampleRate, Seconds, Tuning, Velocity};

/// Something that can sound.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Voice {
    /// Electric piano, for the riff and for the on-screen keys.
    Keys,
    /// Electric organ.
    Organ,
    /// Electric guitar, plucked and undistorted.
    Guitar,
    /// Vibraphone with its motor on.
    Vibraphone,
    /// A reed, like a saxophone.
    Reed,
    /// Like a flute.
    Flute,
    /// Upright bass, plucked.
    Bass,
    /// Bass drum.
    Kick,
    /// Snare drum.
    Snare,
    /// A brush on the snare drum: a tap.
    BrushTap,
    /// A brush drawn over the snare drum.
    BrushSweep,
    /// Closed hi-hat, and the pedal's.
    HiHat,
    /// Tom-tom.
    Tom,
    /// Ride cymbal.
    Ride,
    /// Crash cymbal.
    Crash,
    /// A click like a wood block.
    WoodClick,
    /// A click like an electronic pip.
    PipClick,
    /// A click like two sticks.
    StickClick,
    /// Upright piano.
    Upright,
    /// A mouth organ's reeds.
    Harmonica,
    /// A large reed, like a tenor saxophone.
    Tenor,
    /// Brass with a mute in its bell.
    MutedBrass,
    /// A voice that sings "doo".
    Doo,
}

impl Voice {
    /// All voices.
    pub const ALL: [Voice; 23] = [
        Voice::Keys,
        Voice::Organ,
        Voice::Guitar,
        Voice::Vibraphone,
        Voice::Reed,
        Voice::Flute,
        Voice::Bass,
        Voice::Kick,
        Voice::Snare,
        Voice::BrushTap,
        Voice::BrushSweep,
        Voice::HiHat,
        Voice::Tom,
        Voice::Ride,
        Voice::Crash,
        Voice::WoodClick,
        Voice::PipClick,
        Voice::StickClick,
        Voice::Upright,
        Voice::Harmonica,
        Voice::Tenor,
        Voice::MutedBrass,
        Voice::Doo,
    ];

    /// The voices that can play the riff or the chords.
    pub const MELODIC: [Voice; 11] = [
        Voice::Keys,
        Voice::Organ,
        Voice::Guitar,
        Voice::Vibraphone,
        Voice::Reed,
        Voice::Flute,
        Voice::Upright,
        Voice::Harmonica,
        Voice::Tenor,
        Voice::MutedBrass,
        Voice::Doo,
    ];

    /// The name in data.
    pub fn name(self) -> &'static str {
        match self {
            Voice::Keys => "keys",
            Voice::Organ => "organ",
            Voice::Guitar => "guitar",
            Voice::Vibraphone => "vibraphone",
            Voice::Reed => "reed",
            Voice::Flute => "flute",
            Voice::Bass => "bass",
            Voice::Kick => "kick",
            Voice::Snare => "snare",
            Voice::BrushTap => "brush-tap",
            Voice::BrushSweep => "brush-sweep",
            Voice::HiHat => "hi-hat",
            Voice::Tom => "tom",
            Voice::Ride => "ride",
            Voice::Crash => "crash",
            Voice::WoodClick => "wood",
            Voice::PipClick => "pip",
            Voice::StickClick => "stick",
            Voice::Upright => "upright",
            Voice::Harmonica => "harmonica",
            Voice::Tenor => "tenor",
            Voice::MutedBrass => "muted-brass",
            Voice::Doo => "doo",
        }
    }

    /// The voice with this name in data.
    pub fn named(name: &str) -> Option<Voice> {
        Voice::ALL.into_iter().find(|voice| voice.name() == name)
    }

    /// Whether the sound stops when the note does; drums and clicks ring out.
    pub fn is_held(self) -> bool {
        Voice::MELODIC.contains(&self) || self == Voice::Bass
    }

    /// Whether its pitch can be let fall: by lips, breath, reed or a finger on a string.
    fn bends(self) -> bool {
        self == Voice::Guitar || self.is_blown()
    }

    fn is_blown(self) -> bool {
        self.blown().is_some()
    }

    fn blown(self) -> Option<&'static Blown> {
        Some(match self {
            Voice::Reed => &blown::REED,
            Voice::Flute => &blown::FLUTE,
            Voice::Harmonica => &blown::HARMONICA,
            Voice::Tenor => &blown::TENOR,
            Voice::MutedBrass => &blown::MUTED_BRASS,
            Voice::Doo => &blown::DOO,
            _ => return None,
        })
    }

    /// How long the full sound lasts. Blown and organ tones would go on; no riff's note needs more.
    pub fn length(self) -> Seconds {
        Seconds(match self {
            _ if self.is_blown() => 6.0,
            Voice::Organ => 6.0,
            Voice::Keys | Voice::Vibraphone => 2.9,
            Voice::Upright | Voice::Guitar => 2.6,
            Voice::Crash => 2.6,
            Voice::Bass => 1.8,
            Voice::Ride => 1.2,
            Voice::Tom => 0.8,
            Voice::Kick | Voice::Snare | Voice::BrushSweep => 0.35,
            Voice::BrushTap | Voice::HiHat => 0.2,
            _ => 0.08,
        })
    }

    /// How many buffers the notes of one pitch take turns with, so that no two in a row are alike.
    pub fn takes(self) -> u8 {
        if self.is_click() { 1 } else { TAKES }
    }

    /// Clicks are always the same: people tune and time by them.
    fn is_click(self) -> bool {
        matches!(self, Voice::WoodClick | Voice::PipClick | Voice::StickClick)
    }
}

/// Every voice is loudest soon: its peak is looked for no further, so that short and whole buffers are alike.
const LOUDEST_WITHIN: Seconds = Seconds(0.7);

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
    /// All layers.
    pub const ALL: [Layer; 3] = [Layer::Soft, Layer::Plain, Layer::Hard];

    /// The layer that a velocity belongs to.
    pub fn of(velocity: Velocity) -> Layer {
        match velocity.value() {
            0..64 => Layer::Soft,
            64..96 => Layer::Plain,
            _ => Layer::Hard,
        }
    }

    /// 0 for the darkest, 1 for the brightest.
    fn brightness(self) -> f64 {
        match self {
            Layer::Soft => 0.0,
            Layer::Plain => 0.5,
            Layer::Hard => 1.0,
        }
    }
}

/// How much of a note a buffer holds. Most notes are short, and rendering and keeping what is never heard costs most.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reach {
    /// The first [`Reach::SHORT`], cut off where a note that fits has been let go.
    Short,
    /// All of it.
    Whole,
}

impl Reach {
    /// How much a short buffer holds, release and all.
    pub const SHORT: Seconds = Seconds(0.75);

    /// The reach of a note that is held for `duration`.
    fn of(duration: Seconds) -> Reach {
        if duration.0 + RELEASE.0 < Reach::SHORT.0 { Reach::Short } else { Reach::Whole }
    }
}

/// How a hand strikes: the layer, and the small differences from one take to another. The first take has none, so that
/// it is exactly in tune; the others lie on both sides of it, so that their mean is.
#[derive(Clone, Copy, Debug)]
struct Hand {
    /// 0 for the darkest layer, 1 for the brightest; a take may pass either a little.
    brightness: f64,
    /// Below [`Hand::MOST_CENTS`].
    detuned: Cents,
    /// How long it takes to begin, as a factor.
    slower: f64,
    level: Decibels,
}

impl Hand {
    /// Two cents is the least that a trained ear tells (from memory): a take may breathe, never be out of tune.
    const MOST_CENTS: f64 = 1.8;

    fn of(sample: Sample) -> Hand {
        let side = [0.0, 1.0, -1.0][usize::from(sample.take % TAKES)];
        // Other notes differ in other ways. Levels under what listeners tell of two tones, about 1 dB (from memory).
        let seed = u32::from(sample.midi.number()) << 8 | sample.voice as u32;
        let mut noise = Noise::new(seed.wrapping_mul(0x9e37_79b9));
        let mut between = |least: f64, most: f64| {
            let chance = f64::from((0..4).map(|_| noise.sample()).sum::<f32>()).abs().fract();
            least + (most - least) * chance
        };
        Hand {
            brightness: sample.layer.brightness() + side * between(0.06, 0.12),
            detuned: Cents(side * between(0.8, Hand::MOST_CENTS)),
            slower: 1.0 - side * between(0.06, 0.15),
            level: Decibels(side * between(0.2, 0.45)),
        }
    }

    /// Between two values in decibels, as an amplitude.
    fn between(self, soft: f64, hard: f64) -> f64 {
        Decibels(soft + (hard - soft) * self.brightness).gain()
    }

    fn slows(self, Seconds(attack): Seconds) -> Seconds {
        Seconds(attack * self.slower)
    }
}

/// Which voices the parts have.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Lineup {
    /// The riff's.
    pub solo: Voice,
    /// The chords'.
    pub comp: Voice,
    /// The click's.
    pub click: Voice,
    /// How loud the parts are beside what the mix gives them.
    pub levels: Levels,
    /// What all that has a pitch is tuned to.
    pub tuning: Tuning,
}

impl Default for Lineup {
    fn default() -> Lineup {
        let levels = Levels::default();
        let tuning = Tuning::ORDINARY;
        Lineup { solo: Voice::Keys, comp: Voice::Guitar, click: Voice::WoodClick, levels, tuning }
    }
}

impl Lineup {
    /// The line-up of these voices, by name; the ordinary one plays what is not known.
    pub fn named(solo: &str, comp: &str, click: &str, levels: Levels) -> Lineup {
        let usual = Lineup::default();
        let voice = |name: &str, usual| Voice::named(name).unwrap_or(usual);
        let (solo, comp, click) =
            (voice(solo, usual.solo), voice(comp, usual.comp), voice(click, usual.click));
        Lineup { solo, comp, click, levels, ..usual }
    }

    /// The buffer for a key on the screen, in the riff's voice.
    pub fn key(self, midi: MidiNote, velocity: Velocity) -> Sample {
        self.plain(Part::Solo, midi, velocity)
    }

    /// A stroke of each drum and each click.
    pub fn kit(self) -> impl Iterator<Item = Sample> {
        let part = |drum: Percussion| if drum.is_click() { Part::Click } else { Part::Drums };
        Percussion::all().map(move |drum| self.plain(part(drum), drum.midi(), Velocity::PLAIN))
    }

    fn plain(self, part: Part, midi: MidiNote, velocity: Velocity) -> Sample {
        // Nobody knows yet how long a key will be held.
        let (when, duration, attack) = (AudioTime(0.0), Seconds(f64::INFINITY), Attack::Plain);
        self.sample(&Planned { id: 0, part, when, duration, midi, velocity, attack, take: 0, written: None })
    }

    /// The buffer for a planned sound.
    pub fn sample(self, sound: &Planned) -> Sample {
        let voice = self.voice(sound.part, sound.midi);
        let layer = if voice.is_click() { Layer::Plain } else { Layer::of(sound.velocity) };
        let reach = if voice.is_held() { Reach::of(sound.duration) } else { Reach::Whole };
        let attack = match sound.attack {
            Attack::Falling if !voice.bends() || sound.duration.0 > LONGEST_FALLING => Attack::Plain,
            attack if voice.is_held() => attack,
            _ => Attack::Plain,
        };
        let falls_after = if attack == Attack::Falling { falls_after(sound.duration) } else { 0 };
        // Drums and clicks are what they are.
        let tuning = if voice.is_held() { self.tuning } else { Tuning::ORDINARY };
        let take = sound.take % voice.takes();
        Sample { voice, midi: sound.midi, layer, attack, falls_after, take, reach, tuning }
    }

    fn voice(self, part: Part, midi: MidiNote) -> Voice {
        match part {
            Part::Solo => self.solo,
            Part::Comp => self.comp,
            Part::Bass => Voice::Bass,
            Part::Drums => drum(midi),
            Part::Click => self.click,
        }
    }
}

/// When a falling note that is held for `duration` begins to fall, in sixteenths of a second: so that notes of nearly the
/// same length share a buffer.
fn falls_after(duration: Seconds) -> u8 {
    ((duration.0 - shape::FALL.1.0) * SIXTEENTHS).clamp(1.0, MOST_SIXTEENTHS.into()) as u8
}

const SIXTEENTHS: f64 = 16.0;
const MOST_SIXTEENTHS: u8 = 63;
/// What is held for longer does not fall: when it should cannot be said in sixteenths.
const LONGEST_FALLING: f64 = MOST_SIXTEENTHS as f64 / SIXTEENTHS;

/// What stands for each drum; for one that the kit does not have, the snare.
fn drum(midi: MidiNote) -> Voice {
    match Percussion::of(midi) {
        Some(Percussion::Kick) => Voice::Kick,
        Some(Percussion::BrushTap) => Voice::BrushTap,
        Some(Percussion::BrushSweep) => Voice::BrushSweep,
        Some(Percussion::HiHat | Percussion::PedalHiHat) => Voice::HiHat,
        Some(Percussion::LowTom | Percussion::HighTom) => Voice::Tom,
        Some(Percussion::Ride) => Voice::Ride,
        Some(Percussion::Crash) => Voice::Crash,
        _ => Voice::Snare,
    }
}

/// What one buffer holds. Notes that share a buffer differ in gain and length only.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Sample {
    /// Which voice.
    pub voice: Voice,
    /// At which pitch; for drums and clicks their General MIDI number.
    pub midi: MidiNote,
    /// How bright.
    pub layer: Layer,
    /// How its pitch begins and ends; drums and clicks are always plain.
    pub attack: Attack,
    /// When it begins to fall, in sixteenths of a second up to 63; 0 for what does not fall.
    pub falls_after: u8,
    /// Which of the voice's takes, from 0.
    pub take: u8,
    /// How much of the note; drums and clicks always all of it.
    pub reach: Reach,
    /// What it is tuned to; drums and clicks always as is ordinary.
    pub tuning: Tuning,
}

impl Sample {
    /// The buffer for a plain note of a part in the ordinary line-up, a key on the screen for instance.
    pub fn of(part: Part, midi: MidiNote, velocity: Velocity) -> Sample {
        let (when, duration, attack) = (AudioTime(0.0), Seconds(f64::INFINITY), Attack::Plain);
        Lineup::default().sample(&Planned {
            id: 0,
            part,
            when,
            duration,
            midi,
            velocity,
            attack,
            take: 0,
            written: None,
        })
    }

    /// The sample as one number, for passing to a worker and back.
    pub fn code(self) -> u32 {
        u32::from(self.falls_after) << 25
            | u32::from(self.tuning.hertz() - Tuning::RANGE.0) << 20
            | (self.voice as u32) << 14
            | u32::from(self.midi.number()) << 7
            | (self.attack as u32) << 5
            | u32::from(self.take) << 3
            | (self.reach as u32) << 2
            | self.layer as u32
    }

    /// The sample with this number, or `None` where none has it.
    pub fn from_code(code: u32) -> Option<Sample> {
        let voice = Voice::ALL.into_iter().find(|voice| *voice as u32 == code >> 14 & 0x3f)?;
        let midi = MidiNote::new((code >> 7 & 0x7f) as i32)?;
        let attacks = [Attack::Plain, Attack::Scooped, Attack::Falling];
        let attack = attacks.into_iter().find(|attack| *attack as u32 == code >> 5 & 3)?;
        let take = u8::try_from(code >> 3 & 3).ok().filter(|take| *take < voice.takes())?;
        let layer = Layer::ALL.into_iter().find(|layer| *layer as u32 == code & 3)?;
        let reach = if code >> 2 & 1 == Reach::Short as u32 { Reach::Short } else { Reach::Whole };
        let tuning = Tuning::new(Tuning::RANGE.0 + (code >> 20 & 0x1f) as u16)?;
        let falls_after = (code >> 25) as u8 & MOST_SIXTEENTHS;
        Some(Sample { voice, midi, layer, attack, falls_after, take, reach, tuning })
    }

    /// Whether this buffer holds all of `wanted`.
    pub fn serves(self, wanted: Sample) -> bool {
        self.reach >= wanted.reach && Sample { reach: wanted.reach, ..self } == wanted
    }

    /// How long the rendered note is.
    pub fn frames(self, rate: SampleRate) -> usize {
        let whole = shape::frames(self.voice.length(), rate);
        if self.reach == Reach::Short { whole.min(shape::frames(Reach::SHORT, rate)) } else { whole }
    }

    /// Renders the note at full level, mono. Peaks lie below 1; the last frame of a whole note is silent, and a short
    /// buffer is frame by frame what the whole one begins with.
    pub fn render(self, rate: SampleRate) -> Vec<f32> {
        let mut out = vec![0.0; self.frames(rate)];
        let hand = Hand::of(self);
        let pitch = self.tuning.frequency(self.midi).raised(hand.detuned);
        match self.voice {
            Voice::Keys => struck::KEYS.render(pitch, hand, rate, &mut out),
            Voice::Vibraphone => struck::VIBRAPHONE.render(pitch, hand, rate, &mut out),
            Voice::Guitar => struck::GUITAR.render(pitch, hand, rate, &mut out),
            Voice::Bass => struck::BASS.render(pitch, hand, rate, &mut out),
            Voice::Organ => organ::render(pitch, hand, rate, &mut out),
            Voice::Upright => struck::UPRIGHT.render(pitch, hand, rate, &mut out),
            voice => match voice.blown() {
                Some(blown) => blown.render(pitch, hand, rate, &mut out),
                None => kit::render(self, hand, rate, &mut out),
            },
        }
        if self.attack == Attack::Scooped {
            shape::scoop(rate, &mut out);
        }
        shape::to_peak(self.peak() * hand.level.gain() as f32, shape::frames(LOUDEST_WITHIN, rate), &mut out);
        // A fall is no reason for the note before it to be louder.
        if self.attack == Attack::Falling {
            shape::fall(Seconds(f64::from(self.falls_after) / SIXTEENTHS), rate, &mut out);
        }
        if self.reach == Reach::Whole {
            shape::fade_out(rate, &mut out);
        }
        out
    }

    /// The highest sample of the rendered note, chosen so that the voices of a kind are about equally loud: measured
    /// with `sound::loudness`, since nobody listens while this is written.
    fn peak(self) -> f32 {
        match self.voice {
            Voice::Organ => 0.67,
            Voice::Guitar => 0.84,
            Voice::Vibraphone => 0.78,
            Voice::Reed => 0.69,
            Voice::Flute => 0.57,
            Voice::Upright => 0.7,
            Voice::Harmonica => 0.65,
            Voice::Tenor => 0.7,
            Voice::MutedBrass => 0.7,
            Voice::Doo => 0.6,
            Voice::Bass => 0.8,
            Voice::Crash => 0.8,
            Voice::Kick => 0.55,
            Voice::Snare => 0.7,
            Voice::Tom => 0.5,
            Voice::BrushTap => 0.3,
            Voice::BrushSweep => 0.25,
            Voice::Ride | Voice::HiHat => 0.38,
            _ => 0.6,
        }
    }
}
