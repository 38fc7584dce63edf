//! What can be heard of a sound, in figures: levels, spectra, beginnings and ends. For tests and for the example
//! `voice_table`.

use std::f64::consts::TAU;

use riffloom::perform::Part;
use riffloom::perform::planner::Planned;
use riffloom::sound::mix::Stereo;

const HZ: f64 = 48_000.0;

pub fn decibels(ratio: f64) -> f64 {
    10.0 * ratio.log10()
}

pub fn power(sound: &[f32]) -> f64 {
    sound.iter().map(|value| f64::from(*value).powi(2)).sum::<f64>() / sound.len() as f64
}

/// The magnitude of the spectrum at `hertz`, by a phase that is turned on from frame to frame.
pub fn magnitude(sound: &[f32], hertz: f64) -> f64 {
    let (turn_im, turn_re) = (TAU * hertz / HZ).sin_cos();
    let (mut re, mut im, mut cos, mut sin) = (0.0, 0.0, 1.0, 0.0);
    for value in sound {
        re += f64::from(*value) * cos;
        im += f64::from(*value) * sin;
        (cos, sin) = (cos * turn_re - sin * turn_im, cos * turn_im + sin * turn_re);
    }
    re.hypot(im)
}

/// The part of the power that lies above `hertz`.
pub fn share_above(sound: &[f32], hertz: f64) -> f64 {
    let step = HZ / sound.len() as f64;
    let (mut above, mut whole) = (0.0, 0.0);
    for bin in 0..sound.len() / 2 {
        let (at, power) = (bin as f64 * step, magnitude(sound, bin as f64 * step).powi(2));
        whole += power;
        above += if at > hertz { power } else { 0.0 };
    }
    above / whole
}

/// The centre of gravity of the magnitudes up to 8 kHz, in hertz, every 10 Hz.
pub fn centroid(sound: &[f32]) -> f64 {
    // The edges of the window would spread over the whole spectrum.
    let sound = windowed(sound);
    let (mut weighted, mut whole) = (0.0, 0.0);
    for hertz in (20..8_000).step_by(10).map(f64::from) {
        let weight = magnitude(&sound, hertz);
        weighted += hertz * weight;
        whole += weight;
    }
    weighted / whole
}

pub fn windowed(sound: &[f32]) -> Vec<f32> {
    let length = sound.len() as f64;
    let shape = |frame: usize| 0.5 + 0.5 * (TAU / 2.0 * frame as f64 / length).cos();
    sound.iter().enumerate().map(|(frame, value)| *value * shape(frame) as f32).collect()
}

/// The whole hertz within which the sound is strongest.
pub fn strongest(sound: &[f32], within: std::ops::Range<f64>) -> f64 {
    let hertz = (0..).map(|step| within.start + f64::from(step)).take_while(|hertz| *hertz < within.end);
    hertz.max_by(|a, b| magnitude(sound, *a).total_cmp(&magnitude(sound, *b))).unwrap_or_default()
}

/// Root of the mean power over `milliseconds`, every half a millisecond.
fn envelope(sound: &[f32], milliseconds: f64) -> Vec<f64> {
    let window = (milliseconds * HZ / 1000.0) as usize;
    let of = |end: usize| power(&sound[end.saturating_sub(window)..end]).sqrt();
    (24..sound.len()).step_by(24).map(of).collect()
}

fn highest(envelope: &[f64]) -> f64 {
    envelope.iter().copied().fold(0.0, f64::max)
}

/// Milliseconds from the highest 5 ms until the sound stays `by` decibels below them.
pub fn falls_in(sound: &[f32], by: f64) -> f64 {
    let envelope = envelope(sound, 5.0);
    let (peak, least) = (highest(&envelope), highest(&envelope) * 10_f64.powf(-by / 20.0));
    let from = envelope.iter().position(|level| *level == peak).unwrap_or_default();
    let to = envelope.iter().rposition(|level| *level > least).unwrap_or_default();
    (to - from) as f64 * 0.5
}

/// Milliseconds from a tenth to nine tenths of the highest 4 ms.
pub fn rises_in(sound: &[f32]) -> f64 {
    let envelope = envelope(&sound[..9_600], 12.5);
    let first = |part: f64| envelope.iter().position(|level| *level > part * highest(&envelope));
    (first(0.9).unwrap_or_default() - first(0.1).unwrap_or_default()) as f64 * 0.5
}

/// Milliseconds until the sound first comes within `below` decibels of its loudest 4 ms: its physical onset.
pub fn reaches(sound: &[f32], below: f64) -> f64 {
    let envelope = envelope(sound, 4.0);
    let least = highest(&envelope) * 10_f64.powf(below / 20.0);
    envelope.iter().position(|level| *level > least).unwrap_or_default() as f64 * 0.5
}

/// What a small loudspeaker leaves: four first-order high-pass filters, 3 dB down together at `hertz`.
pub fn high_passed(sound: &[f32], hertz: f64) -> Vec<f32> {
    let each = hertz * (2_f64.powf(0.25) - 1.0).sqrt();
    let keep = 1.0 / (1.0 + TAU * each / HZ);
    let mut out = sound.to_vec();
    for _ in 0..4 {
        let (mut last_in, mut last_out) = (0.0, 0.0);
        for value in &mut out {
            let now = f64::from(*value);
            last_out = keep * (last_out + now - last_in);
            last_in = now;
            *value = last_out as f32;
        }
    }
    out
}

pub fn high_passed_level(sound: &[f32]) -> f64 {
    decibels(power(&high_passed(sound, 200.0)) / power(sound))
}

pub fn middle_and_side(sound: &Stereo) -> (Vec<f32>, Vec<f32>) {
    let pairs = || sound.left.iter().zip(&sound.right);
    (pairs().map(|(l, r)| (l + r) / 2.0).collect(), pairs().map(|(l, r)| (l - r) / 2.0).collect())
}

pub fn correlation(sound: &Stereo) -> f64 {
    let both = sound.left.iter().zip(&sound.right).map(|(l, r)| f64::from(l * r)).sum::<f64>();
    both / sound.left.len() as f64 / (power(&sound.left) * power(&sound.right)).sqrt()
}

/// Edges of critical bands in hertz, from 100 to 9500. Source: Zwicker, "Subdivision of the audible frequency range
/// into critical bands", JASA 33, 1961 (from memory).
const BARK: [f64; 22] = [
    100.0, 200.0, 300.0, 400.0, 510.0, 630.0, 770.0, 920.0, 1080.0, 1270.0, 1480.0, 1720.0, 2000.0, 2320.0,
    2700.0, 3150.0, 3700.0, 4400.0, 5300.0, 6400.0, 7700.0, 9500.0,
];

/// By how many decibels the riff is above the band in the critical band in which it is most so, for each 50 ms in which it
/// sounds. A tone is masked by noise that is some 4 dB stronger in its band (from memory).
pub struct Margins {
    /// While a note is held for at least half of the time, rising.
    pub held: Vec<f64>,
    /// While the last one dies away that was let go, rising: it is over, and nobody has to hear when it is silent.
    pub let_go: Vec<f64>,
}

/// The riff is made of `notes`: from when to when each is held, in seconds.
pub fn in_front(solo: &Stereo, band: &Stereo, notes: &[(f64, f64)]) -> Margins {
    const WINDOW: usize = 2_400;
    const SECONDS: f64 = WINDOW as f64 / HZ;
    let mono = |sound: &Stereo| middle_and_side(sound).0;
    let (solo, band) = (mono(solo), mono(band));
    let levels = |sound: &[f32]| -> Vec<f64> {
        let band = |edges: &[f64]| {
            let hertz = (0..).map(|step| edges[0] + 20.0 * f64::from(step)).take_while(|at| *at < edges[1]);
            hertz.map(|at| magnitude(sound, at).powi(2)).sum::<f64>()
        };
        BARK.windows(2).map(band).collect()
    };
    let loudest = solo.chunks(WINDOW).map(power).fold(0.0, f64::max);
    let windows = solo.chunks_exact(WINDOW).zip(band.chunks_exact(WINDOW));
    let sounding = windows.enumerate().filter(|(_, (solo, _))| power(solo) > loudest / 100.0);
    let is_held = |window: usize| {
        let from = window as f64 * SECONDS;
        let held = notes.iter().map(|(begins, ends)| (ends.min(from + SECONDS) - begins.max(from)).max(0.0));
        held.sum::<f64>() >= SECONDS / 2.0
    };
    let best = |(solo, band): (&[f32], &[f32])| {
        let (solo, band) = (levels(&windowed(solo)), levels(&windowed(band)));
        // What is 25 dB under the riff's own strongest band carries no note.
        let least = solo.iter().copied().fold(0.0, f64::max) / 300.0;
        let margins = solo.iter().zip(&band).filter(|(solo, _)| **solo > least);
        margins.map(|(solo, band)| decibels(solo / band.max(1e-12))).fold(f64::NEG_INFINITY, f64::max)
    };
    let mut margins = Margins { held: Vec::new(), let_go: Vec::new() };
    for (window, sounds) in sounding {
        if is_held(window) { &mut margins.held } else { &mut margins.let_go }.push(best(sounds));
    }
    margins.held.sort_by(f64::total_cmp);
    margins.let_go.sort_by(f64::total_cmp);
    margins
}

/// From when to when each note of the riff is held, in seconds.
pub fn riff_notes(sounds: &[Planned]) -> Vec<(f64, f64)> {
    let riff = sounds.iter().filter(|sound| sound.part == Part::Solo);
    riff.map(|sound| (sound.when.0, sound.when.0 + sound.duration.0)).collect()
}

/// The value that so large a part of the sorted ones lies below.
pub fn part_of(sorted: &[f64], part: f64) -> f64 {
    sorted[((sorted.len() - 1) as f64 * part) as usize]
}
