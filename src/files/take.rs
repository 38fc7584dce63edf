//! A piece of recorded sound, packed without loss: what is left of 16-bit samples once the ones before have foretold
//! them, laid out so that a general compressor (deflate, which browsers have) makes it small.
//!
//! Source of the predictors: T. Robinson, "SHORTEN: simple lossless and near-lossless waveform compression", Cambridge
//! University, CUED/F-INFENG/TR.156, 1994, section 3.2: polynomials through the last samples, whose errors are the
//! differences of that order (from memory). What comes out is about as small as FLAC makes it; `scripts/bench takes`
//! prints both.

/// How many levels of a piece stand in it, for a picture.
pub const PEAKS: usize = 8;
/// The highest order of difference that is tried.
const HIGHEST: u8 = 4;
/// What stands before the samples: the order, and the levels.
const HEAD: usize = 1 + PEAKS;
/// Full scale, as converters have it: −1 is the lowest of 16 bits.
const SCALE: f32 = 32_768.0;

/// Samples as 16 bits: the nearest, clipped beyond ±1; what is no number is silence.
pub fn quantised(samples: &[f32]) -> Vec<i16> {
    samples.iter().map(|sample| (sample * SCALE).round() as i16).collect()
}

/// The same as numbers from −1 to 1.
pub fn as_floats(samples: &[i16]) -> Vec<f32> {
    samples.iter().map(|sample| f32::from(*sample) / SCALE).collect()
}

/// Packs samples of one channel: the order of the differences; [`PEAKS`] levels, each the loudest of an equal part of the
/// piece on a scale of 255; the upper bytes of the differences, and then the lower ones. Each piece stands for itself.
pub fn pack(samples: &[i16]) -> Vec<u8> {
    let (order, errors) = smallest(samples);
    let mut bytes = Vec::with_capacity(HEAD + 2 * samples.len());
    bytes.push(order);
    bytes.extend(peaks(samples));
    // Errors are small of either sign: with the sign as the lowest bit their upper bytes are nearly all zero.
    let signed_low = |error: &i16| ((error << 1) ^ (error >> 15)) as u16;
    bytes.extend(errors.iter().map(|error| (signed_low(error) >> 8) as u8));
    bytes.extend(errors.iter().map(|error| signed_low(error) as u8));
    bytes
}

/// The samples of a piece, or `None` where these bytes are none.
pub fn unpack(bytes: &[u8]) -> Option<Vec<i16>> {
    let (head, body) = bytes.split_at_checked(HEAD)?;
    let order = head[0];
    if order > HIGHEST || body.len() % 2 != 0 {
        return None;
    }
    let (upper, lower) = body.split_at(body.len() / 2);
    let mut samples: Vec<i16> = upper
        .iter()
        .zip(lower)
        .map(|(upper, lower)| {
            let value = u16::from_be_bytes([*upper, *lower]);
            (value >> 1) as i16 ^ -((value & 1) as i16)
        })
        .collect();
    for _ in 0..order {
        let mut sum = 0_i16;
        for sample in &mut samples {
            sum = sum.wrapping_add(*sample);
            *sample = sum;
        }
    }
    Some(samples)
}

/// The order of difference with the least errors, and those.
fn smallest(samples: &[i16]) -> (u8, Vec<i16>) {
    let size = |errors: &[i16]| errors.iter().map(|error| u64::from(error.unsigned_abs())).sum::<u64>();
    let mut errors = samples.to_vec();
    let mut best = (0, errors.clone());
    for order in 1..=HIGHEST {
        let mut before = 0_i16;
        for error in &mut errors {
            // Round and round the 16 bits: summed up, it comes out the same.
            (before, *error) = (*error, error.wrapping_sub(before));
        }
        if size(&errors) < size(&best.1) {
            best = (order, errors.clone());
        }
    }
    best
}

fn peaks(samples: &[i16]) -> [u8; PEAKS] {
    let edge = |part: usize| part * samples.len() / PEAKS;
    std::array::from_fn(|part| {
        let loudest = samples[edge(part)..edge(part + 1)].iter().map(|sample| sample.unsigned_abs()).max();
        (loudest.unwrap_or_default() >> 7).min(255) as u8
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn whatever_is_packed_comes_out_the_same(samples in prop::collection::vec(any::<i16>(), 0..2_000)) {
            prop_assert_eq!(unpack(&pack(&samples)), Some(samples));
        }

        #[test]
        fn no_bytes_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
            unpack(&bytes);
        }
    }

    /// A straight line's second differences are nothing, as school algebra has it.
    #[test]
    fn what_can_be_foretold_leaves_nothing() {
        let line: Vec<i16> = (0..1_000).map(|at| 7 * at - 3_000).collect();
        let packed = pack(&line);
        assert_eq!(packed[0], 2);
        let left = packed[HEAD..].iter().filter(|byte| **byte != 0).count();
        assert!(left <= 4, "{left} bytes are left of a line");
    }

    #[test]
    fn sixteen_bits_go_to_the_page_and_back_as_they_are() {
        let all: Vec<i16> = (i16::MIN..=i16::MAX).collect();
        assert_eq!(quantised(&as_floats(&all)), all);
        assert_eq!(quantised(&[1.0, 2.0, -2.0, f32::NAN]), [i16::MAX, i16::MAX, i16::MIN, 0]);
    }

    #[test]
    fn levels_are_the_loudest_of_each_part() {
        let mut samples = vec![0; 80];
        samples[35] = i16::MIN;
        samples[79] = 12_800;
        assert_eq!(pack(&samples)[1..HEAD], [0, 0, 0, 255, 0, 0, 0, 100]);
        assert_eq!(pack(&[])[1..], [0; PEAKS]);
    }
}
