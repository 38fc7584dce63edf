//! The network, frame by frame: how likely a note begins, whether one sounds, and which.
//!
//! A layer that looks into the future answers for a frame that has gone by; what has not come yet counts as zero, as in
//! training. In all an answer is [`BEHIND`] frames behind.

use super::features::{CHANNELS, Inputs, PITCHES, SHORT_INPUTS};
use super::model::{
    FIRST, JOINT, Layers, Model, PITCH_AFTER, REDUCED, SECOND, TAPS, THIRD, TIME, WIDTH, positive,
};

/// Frames from the frame that an answer is about to the one that it came with.
pub(super) const BEHIND: usize = PITCH_AFTER + TIME[0].0 * TIME[0].1 + TIME[1].0 * TIME[1].1;

/// What is said of one frame.
pub(super) struct Said {
    /// Log odds that a note begins here.
    pub(super) onset: f32,
    /// Probability that one sounds.
    pub(super) sounding: f32,
    /// Natural logarithms of the probabilities of the pitches, from the lowest.
    pub(super) pitches: [f32; PITCHES],
}

/// The latest of what comes once a frame.
pub(super) struct Ring {
    values: Box<[f32]>,
    width: usize,
    /// How many have come.
    come: usize,
}

impl Ring {
    pub(super) fn new(length: usize, width: usize) -> Ring {
        Ring { values: vec![0.0; length * width].into(), width, come: 0 }
    }

    /// Room for the next, which is the latest from now on.
    pub(super) fn next(&mut self) -> &mut [f32] {
        self.come += 1;
        let at = self.place(0);
        &mut self.values[at..at + self.width]
    }

    /// The one that came `ago` before the latest; zeros before the first.
    pub(super) fn ago(&self, ago: usize) -> &[f32] {
        let at = self.place(ago);
        &self.values[at..at + self.width]
    }

    fn place(&self, ago: usize) -> usize {
        let length = self.values.len() / self.width;
        (self.come + length - ago) % length * self.width
    }
}

/// Follows the frames; allocates only when made.
pub(super) struct Network {
    model: Model,
    hidden: Ring,
    short: Ring,
    third: Ring,
    time: [Ring; TIME.len()],
    reduced: Box<[f32]>,
    said: Said,
}

impl Network {
    pub(super) fn new(model: &Model) -> Network {
        Network {
            model: model.clone(),
            hidden: Ring::new(TAPS, PITCHES * SECOND),
            short: Ring::new(PITCH_AFTER + 1, SHORT_INPUTS),
            third: Ring::new(BEHIND - PITCH_AFTER + 1, PITCHES * THIRD),
            time: TIME.map(|(apart, _)| Ring::new((TAPS - 1) * apart + 1, WIDTH)),
            reduced: vec![0.0; 2 * PITCHES].into(),
            said: Said { onset: 0.0, sounding: 0.0, pitches: [0.0; PITCHES] },
        }
    }

    /// Takes a frame; answers for the frame [`BEHIND`] before it, once there is one.
    pub(super) fn push(&mut self, inputs: &Inputs) -> Option<&Said> {
        let model = self.model.clone();
        let layers = &*model.layers;
        self.short.next().copy_from_slice(&inputs.short);
        let hidden = self.hidden.next();
        for (channels, hidden) in inputs.grid.chunks_exact(CHANNELS).zip(hidden.chunks_exact_mut(SECOND)) {
            let first = positive(layers.first.run::<FIRST>(channels));
            hidden.copy_from_slice(&positive(layers.second.run::<SECOND>(&first)));
        }
        if self.hidden.come <= PITCH_AFTER {
            return None;
        }
        self.over_pitches(layers);
        let over = self.over_time(layers)?;
        self.answer(layers, &over);
        Some(&self.said)
    }

    fn over_pitches(&mut self, layers: &Layers) {
        let third = self.third.next();
        for (pitch, out) in third.chunks_exact_mut(THIRD).enumerate() {
            let mut sums = layers.third.biases::<THIRD>();
            for tap in 0..TAPS {
                let hidden = &self.hidden.ago(TAPS - 1 - tap)[pitch * SECOND..][..SECOND];
                layers.third.add(tap * SECOND, hidden, &mut sums);
            }
            let sums = positive(sums);
            out.copy_from_slice(&sums);
            self.reduced[REDUCED * pitch..][..REDUCED].copy_from_slice(&layers.reduce.run::<REDUCED>(&sums));
        }
    }

    /// Through the layers over time; `None` while the last has no answer yet.
    fn over_time(&mut self, layers: &Layers) -> Option<[f32; WIDTH]> {
        let mut over = layers.joined.run::<WIDTH>(&self.reduced);
        layers.joined.add(REDUCED * PITCHES, self.short.ago(PITCH_AFTER), &mut over);
        over = positive(over);
        for ((ring, layer), (apart, after)) in self.time.iter_mut().zip(&layers.time).zip(TIME) {
            ring.next().copy_from_slice(&over);
            if ring.come <= apart * after {
                return None;
            }
            let mut out = layer.biases::<WIDTH>();
            for tap in 0..TAPS {
                layer.add(tap * WIDTH, ring.ago((TAPS - 1 - tap) * apart), &mut out);
            }
            let out = positive(out);
            for ((over, out), before) in over.iter_mut().zip(&out).zip(ring.ago(apart * after)) {
                *over = before + out;
            }
        }
        Some(over)
    }

    fn answer(&mut self, layers: &Layers, over: &[f32; WIDTH]) {
        let said: [f32; 2] = layers.said.run(over);
        let context: [f32; JOINT] = layers.context.run(over);
        let third = self.third.ago(BEHIND - PITCH_AFTER);
        for (pitch, third) in self.said.pitches.iter_mut().zip(third.chunks_exact(THIRD)) {
            let joint: [f32; JOINT] = layers.joint.run(third);
            let joint = positive(std::array::from_fn::<_, JOINT, _>(|at| joint[at] + context[at]));
            [*pitch] = layers.pitch.run(&joint);
        }
        let highest = self.said.pitches.iter().copied().fold(f32::MIN, f32::max);
        let sum: f32 = self.said.pitches.iter().map(|pitch| (pitch - highest).exp()).sum();
        let all = highest + sum.ln();
        self.said.pitches.iter_mut().for_each(|pitch| *pitch -= all);
        self.said.onset = said[0];
        self.said.sounding = 1.0 / (1.0 + (-said[1]).exp());
    }
}
