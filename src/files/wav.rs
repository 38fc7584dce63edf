//! WAV files: 16-bit PCM in a RIFF container.

use crate::units::SampleRate;

/// Writes stereo sound as 16-bit PCM: [`header`] and what [`Pcm`] writes.
pub fn write(left: &[f32], right: &[f32], rate: SampleRate, seed: u32) -> Vec<u8> {
    let frames = left.len().min(right.len());
    let mut bytes = header(frames, rate);
    bytes.reserve(frames * 4);
    Pcm::new(seed).write(left, right, &mut bytes);
    bytes
}

/// What stands before the samples of `frames` stereo frames.
pub fn header(frames: usize, rate: SampleRate) -> Vec<u8> {
    header_of(2, frames, rate)
}

/// What stands before the samples of `frames` frames of so many channels, of 16 bits each.
///
/// Source: IBM and Microsoft, "Multimedia Programming Interface and Data Specifications 1.0", 1991 (RIFF, `fmt `,
/// `data`).
pub fn header_of(channels: u16, frames: usize, rate: SampleRate) -> Vec<u8> {
    let frame = 2 * channels;
    let data = frames as u32 * u32::from(frame);
    let mut bytes = Vec::with_capacity(44);
    bytes.extend(b"RIFF");
    bytes.extend((36 + data).to_le_bytes());
    bytes.extend(b"WAVEfmt ");
    bytes.extend(16_u32.to_le_bytes());
    bytes.extend(1_u16.to_le_bytes());
    bytes.extend(channels.to_le_bytes());
    bytes.extend(rate.hz().to_le_bytes());
    bytes.extend((rate.hz() * u32::from(frame)).to_le_bytes());
    bytes.extend(frame.to_le_bytes());
    bytes.extend(16_u16.to_le_bytes());
    bytes.extend(b"data");
    bytes.extend(data.to_le_bytes());
    bytes
}

/// Turns samples into 16 bits, piece after piece. Samples beyond ±1 are clipped. Triangular dither of two quantisation
/// steps from a seed keeps quiet tails free of distortion; silence stays silence.
///
/// Source of the dither: Lipshitz, Wannamaker and Vanderkooy, "Quantization and dither", J. Audio Eng. Soc. 40(5), 1992.
#[derive(Clone, Debug)]
pub struct Pcm(u32);

impl Pcm {
    /// Dither from a seed; any seed will do.
    pub fn new(seed: u32) -> Pcm {
        Pcm(seed | 1)
    }

    /// Writes the frames that both channels have.
    pub fn write(&mut self, left: &[f32], right: &[f32], bytes: &mut Vec<u8>) {
        for (l, r) in left.iter().zip(right) {
            for sample in [l, r] {
                // Drawn for silence too: two files that differ in a frame stay alike in all that follows.
                let drawn = self.uniform() - self.uniform();
                let dither = if *sample == 0.0 { 0.0 } else { drawn };
                let value = (sample * 32_767.0 + dither).round().clamp(-32_768.0, 32_767.0);
                bytes.extend((value as i16).to_le_bytes());
            }
        }
    }

    fn uniform(&mut self) -> f32 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 17;
        self.0 ^= self.0 << 5;
        self.0 as f32 / u32::MAX as f32
    }
}
