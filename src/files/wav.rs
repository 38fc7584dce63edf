//! WAV files: 16-bit PCM in a RIFF container.

use crate::units::SampleRate;

/// Writes stereo sound as 16-bit PCM. Samples beyond ±1 are clipped. Triangular dither of two quantisation steps
/// from `seed` keeps quiet tails free of distortion.
///
/// Sources: IBM and Microsoft, "Multimedia Programming Interface and Data Specifications 1.0", 1991 (RIFF, `fmt `,
/// `data`); dither: Lipshitz, Wannamaker and Vanderkooy, "Quantization and dither", J. Audio Eng. Soc. 40(5), 1992.
pub fn write(left: &[f32], right: &[f32], rate: SampleRate, seed: u32) -> Vec<u8> {
    let frames = left.len().min(right.len());
    let data = frames * 4;
    let mut bytes = Vec::with_capacity(44 + data);
    bytes.extend(b"RIFF");
    bytes.extend((36 + data as u32).to_le_bytes());
    bytes.extend(b"WAVEfmt ");
    bytes.extend(16_u32.to_le_bytes());
    bytes.extend(1_u16.to_le_bytes());
    bytes.extend(2_u16.to_le_bytes());
    bytes.extend(rate.hz().to_le_bytes());
    bytes.extend((rate.hz() * 4).to_le_bytes());
    bytes.extend(4_u16.to_le_bytes());
    bytes.extend(16_u16.to_le_bytes());
    bytes.extend(b"data");
    bytes.extend((data as u32).to_le_bytes());
    let mut state = seed | 1;
    let mut uniform = move || {
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        state as f32 / u32::MAX as f32
    };
    for (l, r) in left.iter().zip(right) {
        for sample in [l, r] {
            // Silence stays silence.
            let dither = if *sample == 0.0 { 0.0 } else { uniform() - uniform() };
            let value = (sample * 32_767.0 + dither).round().clamp(-32_768.0, 32_767.0);
            bytes.extend((value as i16).to_le_bytes());
        }
    }
    bytes
}
