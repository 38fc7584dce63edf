//! The buffers of one audio context: made on demand, by a worker where there is time.

use wasm_bindgen::JsValue;
use web_sys::{AudioBuffer, BaseAudioContext};

use crate::sound::mix::Stereo;
use crate::sound::voice::Sample;
use crate::units::SampleRate;

/// The most that buffers may hold: half a minute of sound would fit four times over on the smallest tablets.
const MOST_BYTES: usize = 32 << 20;

/// Renders the sample with this code, or `None` where the code or the rate is unknown.
pub fn render(code: u32, rate: u32) -> Option<Vec<f32>> {
    Some(Sample::from_code(code)?.render(SampleRate::new(rate)?))
}

/// Buffers by sample; the least recently used go first.
pub struct Samples {
    context: BaseAudioContext,
    rate: SampleRate,
    kept: Vec<Kept>,
    asked: Vec<Sample>,
    wanted: Vec<Sample>,
    bytes: usize,
    clock: u64,
}

struct Kept {
    sample: Sample,
    buffer: AudioBuffer,
    used: u64,
    bytes: usize,
}

impl Samples {
    /// Nothing yet, for a context.
    pub fn new(context: BaseAudioContext) -> Result<Samples, JsValue> {
        let rate = SampleRate::new(context.sample_rate() as u32)
            .ok_or_else(|| JsValue::from_str("this device plays at a rate that Riffloom does not know"))?;
        Ok(Samples {
            context,
            rate,
            kept: Vec::new(),
            asked: Vec::new(),
            wanted: Vec::new(),
            bytes: 0,
            clock: 0,
        })
    }

    /// The context's rate.
    pub fn rate(&self) -> SampleRate {
        self.rate
    }

    /// A buffer of its own for stereo sound.
    pub fn stereo(&self, sound: &Stereo) -> Result<AudioBuffer, JsValue> {
        let buffer = self.context.create_buffer(2, sound.left.len() as u32, self.rate.hz() as f32)?;
        buffer.copy_to_channel(&sound.left, 0)?;
        buffer.copy_to_channel(&sound.right, 1)?;
        Ok(buffer)
    }

    /// The buffer, or a longer one that begins with it, if it is there.
    pub fn find(&mut self, sample: Sample) -> Option<AudioBuffer> {
        self.clock += 1;
        let kept = self.kept.iter_mut().find(|kept| kept.sample.serves(sample))?;
        kept.used = self.clock;
        Some(kept.buffer.clone())
    }

    /// The buffer that comes nearest to `sample`: of the same voice, within an octave, whatever its colour.
    pub fn nearest(&mut self, sample: Sample) -> Option<(Sample, AudioBuffer)> {
        let apart = |other: &Sample| other.midi.number().abs_diff(sample.midi.number());
        let known = self.kept.iter().map(|kept| kept.sample);
        let alike = known
            .filter(|other| other.voice == sample.voice && other.reach >= sample.reach && apart(other) <= 12);
        let nearest = alike.min_by_key(|other| (apart(other), *other))?;
        Some((nearest, self.find(nearest)?))
    }

    /// The buffer, rendered here and now if it is not there.
    pub fn now(&mut self, sample: Sample) -> Option<AudioBuffer> {
        if let Some(buffer) = self.find(sample) {
            return Some(buffer);
        }
        let frames = sample.render(self.rate);
        self.keep(sample, &frames);
        self.find(sample)
    }

    /// Asks for a buffer in good time.
    pub fn ask(&mut self, sample: Sample) {
        if !self.has(sample) && !self.asked.contains(&sample) {
            self.asked.push(sample);
            self.wanted.push(sample);
        }
    }

    /// What has been asked for since the last call, as codes.
    pub fn take_wanted(&mut self) -> Vec<u32> {
        std::mem::take(&mut self.wanted).into_iter().map(Sample::code).collect()
    }

    /// Takes what a worker has rendered; frames of another rate or an unknown code are left.
    pub fn give(&mut self, code: u32, rate: u32, frames: &[f32]) {
        if let Some(sample) = Sample::from_code(code)
            && rate == self.rate.hz()
            && !frames.is_empty()
        {
            self.asked.retain(|asked| *asked != sample);
            if !self.has(sample) {
                self.keep(sample, frames);
            }
        }
    }

    fn has(&self, sample: Sample) -> bool {
        self.kept.iter().any(|kept| kept.sample.serves(sample))
    }

    fn keep(&mut self, sample: Sample, frames: &[f32]) {
        let bytes = size_of_val(frames);
        self.make_room(bytes);
        let made = self.context.create_buffer(1, frames.len() as u32, self.rate.hz() as f32);
        let Ok(buffer) = made else { return };
        if buffer.copy_to_channel(frames, 0).is_ok() {
            self.clock += 1;
            self.bytes += bytes;
            self.kept.push(Kept { sample, buffer, used: self.clock, bytes });
        }
    }

    fn make_room(&mut self, bytes: usize) {
        while self.bytes + bytes > MOST_BYTES {
            let places = 0..self.kept.len();
            let Some(oldest) = places.min_by_key(|place| self.kept[*place].used) else { return };
            self.bytes -= self.kept.swap_remove(oldest).bytes;
        }
    }
}
