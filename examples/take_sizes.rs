//! How small recorded sound is packed: `take_sizes WAV...` prints bytes as they are, as plain differences and as a take has
//! them, each in pieces of two seconds made small by deflate.

use std::env;
use std::process::ExitCode;

use hound::WavReader;
use miniz_oxide::deflate::compress_to_vec;
use riffloom::files::take;

/// As browsers have it.
const LEVEL: u8 = 6;
/// Seconds in a piece (`www/takes/packer.js`).
const PIECE: usize = 2;

fn main() -> ExitCode {
    let (mut plain, mut differences, mut packed) = (0, 0, 0);
    for name in env::args().skip(1) {
        let Some((samples, rate)) = read(&name) else {
            eprintln!("{name} is no WAV file of 16 bits");
            return ExitCode::FAILURE;
        };
        for piece in samples.chunks(PIECE * rate) {
            plain += 2 * piece.len();
            let mut before = 0_i16;
            let errors = piece.iter().flat_map(|sample| {
                let error = sample.wrapping_sub(before);
                before = *sample;
                error.to_le_bytes()
            });
            differences += compress_to_vec(&errors.collect::<Vec<u8>>(), LEVEL).len();
            packed += compress_to_vec(&take::pack(piece), LEVEL).len();
        }
    }
    for (what, bytes) in [("as it is", plain), ("plain differences", differences), ("as a take", packed)] {
        println!("{what}: {bytes} bytes, {:.1} %", 100.0 * bytes as f64 / plain.max(1) as f64);
    }
    ExitCode::SUCCESS
}

/// The first channel, and frames a second.
fn read(name: &str) -> Option<(Vec<i16>, usize)> {
    let mut reader = WavReader::open(name).ok()?;
    let spec = reader.spec();
    let samples: Result<Vec<i16>, _> = reader.samples::<i16>().step_by(spec.channels.into()).collect();
    Some((samples.ok()?, spec.sample_rate as usize))
}
