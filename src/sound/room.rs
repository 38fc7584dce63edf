//! A small room around the band: a few early reflections and a short, dark tail.
//!
//! The room is linear and never changes, so two forms of it sound the same: the network of delays here, which costs
//! little for each frame and makes the files, and its [impulse response](impulse_response), which a page's convolver
//! takes as it is.
//!
//! Source of the network: J.-M. Jot and A. Chaigne, "Digital delay networks for designing artificial reverberators",
//! AES 90th Convention, 1991: delays fed back through an orthogonal matrix, each with the gain that its length owes
//! to the reverberation time, and a low-pass filter for the air and the curtains.

use crate::sound::mix::Stereo;
use crate::sound::noise::{HighPass, LowPass};
use crate::units::{Decibels, SampleRate, Seconds};

/// How long the impulse response is; what would come after lies more than 70 dB below its beginning.
pub const LENGTH: Seconds = Seconds(0.44);

/// Time in which the tail falls by 60 dB: a furnished room of some fifty cubic metres (common practice: 0.2 to 0.4 s).
const REVERBERATION: Seconds = Seconds(0.34);
/// Lengths of the delays in milliseconds, spread around the 7 ms that sound takes between two walls of such a room
/// (mean free path 4V/S for 4 × 5 × 2.7 m: 2.4 m), without common factors at 48 kHz.
const DELAYS: [f64; LINES] = [4.31, 5.27, 6.35, 7.69, 8.98, 10.56, 12.35, 14.27];
const LINES: usize = 8;
/// Early reflections: milliseconds and level on the left (floor, walls and ceiling, tuned by measurement of the stereo
/// picture: neither side leads). Those of the right are the left's turned upside down: they make the band wide, and in
/// mono they are gone, so that no tone is coloured there.
const EARLY: [(f64, f32); 4] = [(2.9, 0.38), (5.9, -0.30), (9.4, 0.24), (13.6, 0.17)];
/// Signs with which the delays are heard on each side.
const SIDES: [[f32; LINES]; 2] =
    [[1.0, -1.0, 1.0, 1.0, -1.0, -1.0, 1.0, -1.0], [1.0, 1.0, -1.0, 1.0, 1.0, -1.0, -1.0, -1.0]];
/// Level of the tail against the early reflections.
const TAIL: f32 = 0.30;
/// Scales the whole so that each side passes on the power of white noise unchanged: the levels of `mix::strip` are
/// then the room's levels. The test at the foot holds it.
const LEVEL: f32 = 1.94;
/// Below this the room is silent: it would boom. Above that the walls are soft. In hertz.
const BAND: (f64, f64) = (220.0, 5200.0);

/// Frames that are computed together, where no delay is shorter.
const BLOCK: usize = 128;

/// The room and what sounds in it still.
#[derive(Debug)]
pub struct Room {
    lines: [Line; LINES],
    gains: [f32; LINES],
    /// What each line last gave, dulled: first-order low-pass filters side by side.
    dulled: [f32; LINES],
    dulling: f32,
    /// The last of what came in, for the early reflections.
    past: Line,
    early: [(usize, f32); 4],
    low_cut: HighPass,
    high_cut: LowPass,
    /// How many frames come before any comes back: the shortest delay, at most [`BLOCK`].
    block: usize,
}

/// A delay: a ring that is read just before it is written.
#[derive(Debug)]
struct Line {
    ring: Vec<f32>,
    place: usize,
}

impl Line {
    fn new(frames: usize) -> Line {
        Line { ring: vec![0.0; frames.max(1)], place: 0 }
    }

    /// What was written from `ago` frames before the next one on; `ago` is at least as many as are read, and at most the
    /// ring's length.
    fn read(&self, ago: usize, out: &mut [f32]) {
        let length = self.ring.len();
        let from = &self.ring[(self.place + length - ago) % length..];
        let (first, rest) = out.split_at_mut(out.len().min(from.len()));
        first.copy_from_slice(&from[..first.len()]);
        rest.copy_from_slice(&self.ring[..rest.len()]);
    }

    fn write(&mut self, frames: &[f32]) {
        let length = self.ring.len();
        let to = &mut self.ring[self.place..];
        let (first, rest) = frames.split_at(frames.len().min(to.len()));
        to[..first.len()].copy_from_slice(first);
        self.ring[..rest.len()].copy_from_slice(rest);
        self.place = (self.place + frames.len()) % length;
    }
}

impl Room {
    /// The room, silent.
    pub fn new(rate: SampleRate) -> Room {
        let hz = f64::from(rate.hz());
        let frames = |milliseconds: f64| ((milliseconds / 1000.0 * hz).round() as usize).max(1);
        let gain =
            |milliseconds: f64| Decibels(-60.0 * milliseconds / 1000.0 / REVERBERATION.0).gain() as f32;
        let early = EARLY.map(|(milliseconds, level)| (frames(milliseconds), level));
        let latest = early.iter().map(|(ago, _)| *ago).max().unwrap_or(1);
        let delays = DELAYS.map(frames);
        let shortest = delays.iter().chain(early.iter().map(|(ago, _)| ago)).min();
        Room {
            lines: delays.map(Line::new),
            gains: DELAYS.map(gain),
            dulled: [0.0; LINES],
            dulling: (1.0 - (-std::f64::consts::TAU * (BAND.1 / hz).min(0.45)).exp()) as f32,
            past: Line::new(latest),
            early,
            low_cut: HighPass::new((BAND.0 / hz).min(0.45)),
            high_cut: LowPass::new((BAND.1 / hz).min(0.45)),
            block: shortest.map_or(1, |shortest| BLOCK.min(*shortest)),
        }
    }

    /// Adds what the room gives back for what is sent into it.
    pub fn add(&mut self, sent: &[f32], left: &mut [f32], right: &mut [f32]) {
        let sides = left.chunks_mut(self.block).zip(right.chunks_mut(self.block));
        for (sent, (left, right)) in sent.chunks(self.block).zip(sides) {
            self.add_block(sent, left, right);
        }
    }

    fn add_block(&mut self, sent: &[f32], left: &mut [f32], right: &mut [f32]) {
        let frames = sent.len();
        let mut filtered = [0.0; BLOCK];
        for (to, sent) in filtered.iter_mut().zip(sent) {
            // A trace far below hearing keeps numbers from growing so small that computing with them is slow.
            *to = self.high_cut.pass(self.low_cut.pass(*sent)) + 1e-20;
        }
        let sent = &filtered[..frames];

        let mut early = [0.0; BLOCK];
        for (ago, level) in self.early {
            let mut past = [0.0; BLOCK];
            self.past.read(ago, &mut past[..frames]);
            add_scaled(&past, level, &mut early);
        }
        self.past.write(sent);

        let mut given = [[0.0; BLOCK]; LINES];
        for (line, given) in self.lines.iter().zip(&mut given) {
            line.read(line.ring.len(), &mut given[..frames]);
        }
        self.dull(frames, &mut given);
        for ((side, signs), sign) in [left, right].into_iter().zip(&SIDES).zip([1.0, -1.0]) {
            let mut tail = [0.0; BLOCK];
            for (line, sign) in given.iter().zip(signs) {
                add_scaled(line, *sign, &mut tail);
            }
            for ((side, early), tail) in side.iter_mut().zip(&early).zip(&tail) {
                *side += LEVEL * (sign * early + TAIL * tail);
            }
        }

        hadamard(&mut given);
        for (line, back) in self.lines.iter_mut().zip(&mut given) {
            add_scaled(sent, 1.0, back);
            line.write(&back[..frames]);
        }
    }

    /// Dulls what the lines give, all of them frame by frame: a filter waits for its last frame, not for its neighbours.
    fn dull(&mut self, frames: usize, given: &mut [[f32; BLOCK]; LINES]) {
        let mut dulled = self.dulled;
        for frame in 0..frames.min(BLOCK) {
            for ((given, dulled), gain) in given.iter_mut().zip(&mut dulled).zip(&self.gains) {
                *dulled += self.dulling * (given[frame] * gain - *dulled);
                given[frame] = *dulled;
            }
        }
        self.dulled = dulled;
    }
}

/// Adds the frames of `from`, each times `level`, to those of `to`.
pub(super) fn add_scaled(from: &[f32], level: f32, to: &mut [f32]) {
    for (to, from) in to.iter_mut().zip(from) {
        *to += from * level;
    }
}

/// Each frame times the orthogonal matrix of order eight whose entries are all ±1/√8, by three rounds of sums and
/// differences.
fn hadamard(lines: &mut [[f32; BLOCK]; LINES]) {
    for step in [1, 2, 4] {
        for first in (0..LINES).filter(|index| index & step == 0) {
            let (before, after) = lines.split_at_mut(first + step);
            for (a, b) in before[first].iter_mut().zip(&mut after[0]) {
                (*a, *b) = (*a + *b, *a - *b);
            }
        }
    }
    lines.iter_mut().flatten().for_each(|value| *value *= 0.353_553_4);
}

/// The room's answer to a single frame of 1, [`LENGTH`] long.
pub fn impulse_response(rate: SampleRate) -> Stereo {
    let frames = rate.frame_at(LENGTH).0 as usize;
    let mut sent = vec![0.0; frames];
    let mut response = Stereo { left: vec![0.0; frames], right: vec![0.0; frames] };
    if let Some(first) = sent.first_mut() {
        *first = 1.0;
    }
    Room::new(rate).add(&sent, &mut response.left, &mut response.right);
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    fn power(frames: &[f32]) -> f64 {
        frames.iter().map(|frame| f64::from(*frame).powi(2)).sum()
    }

    /// White noise sent in comes back with its own power on either side, within half a decibel.
    #[test]
    fn the_room_is_as_loud_as_what_is_sent_into_it() {
        let response = impulse_response(SampleRate::HZ_48000);
        for side in [&response.left, &response.right] {
            let level = 10.0 * power(side).log10();
            assert!(level.abs() < 0.5, "{level} dB");
        }
    }

    /// By backward integration (M. R. Schroeder, "New method of measuring reverberation time", JASA 37, 1965): the
    /// tail falls by 60 dB within 0.2 to 0.4 s, judged from −5 to −35 dB as ISO 3382 has it (from memory); and what
    /// the response leaves out after its end is nothing that could be heard.
    #[test]
    fn the_room_is_small() {
        for hz in [44_100, 48_000] {
            let rate = SampleRate::new(hz).unwrap();
            let response = impulse_response(rate);
            for side in [&response.left, &response.right] {
                let whole = power(side);
                let falls_to = |decibels: f64| {
                    let from = |frame: &usize| 10.0 * (power(&side[*frame..]) / whole).log10() < decibels;
                    (0..side.len()).step_by(48).find(from).unwrap_or(side.len()) as f64 / f64::from(hz)
                };
                let sixty = 2.0 * (falls_to(-35.0) - falls_to(-5.0));
                assert!((0.2..0.4).contains(&sixty), "{sixty} s");
                let last = power(&side[side.len() - side.len() / 20..]);
                assert!(
                    10.0 * (last / whole).log10() < -60.0,
                    "{} dB at the end",
                    10.0 * (last / whole).log10()
                );
            }
        }
    }

    /// What sound meets first are walls, one by one; then it is all around, without an echo: what comes within 50 ms is heard as
    /// one with the sound (Haas, "The influence of a single echo on the audibility of speech", JAES 20, 1972, translated;
    /// from memory), and what comes later does not stand out.
    #[test]
    fn the_room_has_walls_and_no_echo() {
        let rate = SampleRate::HZ_48000;
        let response = impulse_response(rate);
        for side in [&response.left, &response.right] {
            let highest =
                |from: usize, to: usize| side[from..to].iter().fold(0.0, |most, x| x.abs().max(most));
            let first = side.iter().position(|value| value.abs() > 0.1 * highest(0, 4_800)).unwrap();
            // Half a metre to three metres further than the sound itself.
            assert!((72..432).contains(&first), "{first} frames");
            let later = highest(2_400, side.len()) / highest(0, 2_400);
            assert!(20.0 * later.log10() < -15.0, "an echo at {} dB", 20.0 * later.log10());
        }
    }

    /// However the sound is cut into pieces, the room gives the same.
    #[test]
    fn pieces_of_any_length_sound_the_same() {
        let mut noise = crate::sound::noise::Noise::new(3);
        let sent: Vec<f32> = (0..6000).map(|_| noise.sample()).collect();
        let in_pieces = |length: usize| {
            let (mut room, mut out) = (Room::new(SampleRate::HZ_48000), Stereo::default());
            for piece in sent.chunks(length) {
                let (mut left, mut right) = (vec![0.0; piece.len()], vec![0.0; piece.len()]);
                room.add(piece, &mut left, &mut right);
                out.left.extend(left);
                out.right.extend(right);
            }
            out
        };
        let whole = in_pieces(sent.len());
        for length in [1, 64, 128, 1000] {
            assert_eq!(in_pieces(length), whole);
        }
    }
}
