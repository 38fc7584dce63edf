//! The second, more careful pass over a whole take: of all ways to cut it into notes the likeliest.
//!
//! Every local maximum of the odds of an onset may begin a note. A note's worth is the log odds of its onset, the evidence for
//! its pitch in all of its frames, and whether anything sounds after its onset. The best cut is found by dynamic programming
//! over the candidates, as in segment models (M. Ostendorf et al., "From HMM's to segment models", IEEE Trans. Speech and
//! Audio Processing 4(5), 1996). The prices were chosen on takes of our own (made by `scripts/listening/clips.py`).

use super::ear::{Ear, FRAME_SECONDS, Frame, about, likeliest, strength, tempered, top};
use super::features::PITCHES;
use super::{CLICK_SECONDS, Heard, Known, ListenError, Model, SHORTEST_SECONDS};

/// Log odds of the least likely candidate: a probability of 0.06.
const LEAST_ODDS: f32 = -2.75;
/// What a note costs.
const NOTE: f32 = 0.2;
/// What it costs more beside a known click.
const NOTE_AT_CLICK: f32 = 1.0;
/// What evidence for a pitch counts for, and the most that a frame may say against one.
const EVIDENCE: f32 = 0.2;
const MOST_AGAINST: f32 = 3.0;
/// What silence after an onset costs, for each unit of log odds below -1.
const SILENCE: f32 = 2.0;
/// What each frame costs that sounds before the first note.
const BEFORE: f32 = 0.3;
/// Frames after an onset whose pitch is not yet that of the note.
const SKIPPED: usize = 2;
/// A note spans so many candidates at most.
const MOST_SPANNED: usize = 40;
/// Frames of silence after the end, so that the last frames are heard.
const TAIL_SECONDS: f64 = 0.25;

/// What was heard of every frame.
#[derive(Default)]
struct Frames {
    onsets: Vec<f32>,
    sounding: Vec<f32>,
    peaks: Vec<f32>,
    /// What each frame says against each pitch: 0 for the likeliest, at least -[`MOST_AGAINST`].
    against: Vec<[f32; PITCHES]>,
    /// The likeliest pitch and the heights about it.
    likeliest: Vec<(usize, [f32; 3])>,
}

/// A place where a note may begin.
struct Candidate {
    frame: usize,
    time: f64,
    odds: f32,
    price: f32,
}

/// The notes of a whole take, in order, each with its end. Samples may be anything; `rate` is in hertz, `a4` is the
/// frequency of the A above middle C.
///
/// # Errors
///
/// Where the rate or the A is impossible.
pub fn transcribe(
    samples: &[f32],
    rate: f64,
    a4: f64,
    known: &Known,
    model: &Model,
) -> Result<Vec<Heard>, ListenError> {
    let mut ear = Ear::new(rate, a4, model)?;
    let mut frames = Frames::default();
    let [left, right] = &known.played;
    if left.is_empty() && right.is_empty() {
        ear.push(samples, |frame| frames.push(&frame));
    } else {
        // First it learns the way from the whole take: then it hears the beginning as well as the end.
        ear.learn(samples, [left, right]);
        ear.push_beside(samples, [left, right], |frame| frames.push(&frame));
    }
    let silence = [0.0; 256];
    let whole = (samples.len() as f64 / rate / FRAME_SECONDS) as usize + 1;
    for _ in 0..=(rate * TAIL_SECONDS) as usize / silence.len() {
        ear.push(&silence, |frame| frames.push(&frame));
    }
    frames.cut(whole);
    let candidates = frames.candidates(known);
    let end = samples.len() as f64 / rate;
    Ok(frames.notes(&candidates, &best_cut(&frames, &candidates, end), end, a4))
}

impl Frames {
    fn push(&mut self, frame: &Frame) {
        self.onsets.push(frame.said.onset);
        self.sounding.push(frame.said.sounding);
        self.peaks.push(frame.peak);
        let pitch = likeliest(&frame.said.pitches);
        let highest = frame.said.pitches[pitch];
        self.against
            .push(frame.said.pitches.map(|one| (one - highest).max(-MOST_AGAINST) * frame.said.sounding));
        self.likeliest.push((pitch, about(frame.heights, pitch)));
    }

    fn cut(&mut self, whole: usize) {
        self.onsets.truncate(whole);
        self.sounding.truncate(whole);
        self.peaks.truncate(whole);
        self.against.truncate(whole);
        self.likeliest.truncate(whole);
    }

    fn candidates(&self, known: &Known) -> Vec<Candidate> {
        let mut clicks = known.clicks.clone();
        clicks.sort_by(f64::total_cmp);
        let is_click = |time: f64| {
            let next = clicks.partition_point(|click| *click < time - CLICK_SECONDS);
            clicks.get(next).is_some_and(|click| *click < time + CLICK_SECONDS)
        };
        let candidate = |(before, odds): (usize, &[f32])| {
            let is_top = odds[1] >= LEAST_ODDS && odds[1] >= odds[0] && odds[1] > odds[2];
            let frame = before + 1;
            let time = (frame as f64 + top(odds[0], odds[1], odds[2])) * FRAME_SECONDS;
            let price = NOTE + if is_click(time) { NOTE_AT_CLICK } else { 0.0 };
            is_top.then_some(Candidate { frame, time, odds: odds[1], price })
        };
        self.onsets.windows(3).enumerate().filter_map(candidate).collect()
    }

    /// What it is worth that something sounds in the 8 frames after an onset, or in fewer where they end before.
    fn sounds_after(&self, frame: usize) -> f32 {
        let after =
            &self.sounding[(frame + 1).min(self.sounding.len())..(frame + 9).min(self.sounding.len())];
        let mean = after.iter().sum::<f32>() / after.len().max(1) as f32;
        let mean = mean.clamp(1e-6, 1.0 - 1e-6);
        SILENCE * ((mean / (1.0 - mean)).ln() + 1.0).min(0.0)
    }

    /// The notes of a cut: pairs of a candidate and a pitch.
    fn notes(&self, candidates: &[Candidate], cut: &[(usize, usize)], end: f64, a4: f64) -> Vec<Heard> {
        let mut notes: Vec<Heard> = Vec::with_capacity(cut.len());
        for (place, &(index, pitch)) in cut.iter().enumerate() {
            let onset = &candidates[index];
            let next = cut.get(place + 1).map(|(next, _)| &candidates[*next]);
            let last = next.map_or(self.onsets.len(), |next| next.frame);
            let sounding = &self.sounding[onset.frame..last];
            let sounds = sounding.iter().rposition(|&sounding| sounding > 0.5).map_or(0, |last| last + 1);
            let offset = onset.time + (sounds as f64 * FRAME_SECONDS).max(0.03);
            let offset = offset.min(next.map_or(end, |next| next.time)).max(onset.time);
            let heights = self.heights(onset.frame + 3..onset.frame + sounds, pitch);
            let (midi, cents) = tempered(pitch, heights, a4);
            let loud = &self.peaks[onset.frame..(onset.frame + 8).min(last)];
            let peak = loud.iter().copied().fold(0.0, f32::max);
            notes.push(Heard {
                onset: onset.time,
                offset: Some(offset),
                midi,
                cents,
                strength: strength(peak),
            });
        }
        notes
    }

    /// The mean heights about a pitch over the frames in which it is the likeliest.
    fn heights(&self, frames: std::ops::Range<usize>, pitch: usize) -> [f32; 3] {
        let mut sums = [0.0; 3];
        let frames = self.likeliest.get(frames).unwrap_or_default();
        for (_, heights) in frames.iter().filter(|(likeliest, _)| *likeliest == pitch) {
            sums.iter_mut().zip(heights).for_each(|(sum, height)| *sum += height / frames.len() as f32);
        }
        sums
    }
}

/// The candidates at which notes begin in the best cut, each with its pitch.
fn best_cut(frames: &Frames, candidates: &[Candidate], end: f64) -> Vec<(usize, usize)> {
    let count = candidates.len();
    // The best worth of all that comes before a candidate begins a note; where the note before it began, and its pitch.
    let mut best = vec![(f32::NEG_INFINITY, None); count + 1];
    let mut before = 0.0;
    let mut from = 0;
    for (candidate, best) in candidates.iter().zip(&mut best) {
        before += frames.sounding[from..candidate.frame].iter().sum::<f32>();
        from = candidate.frame;
        *best = (-BEFORE * before, None);
    }
    for (first, onset) in candidates.iter().enumerate() {
        let begun = best[first].0 + onset.odds - onset.price + frames.sounds_after(onset.frame);
        let mut sums = [0.0; PITCHES];
        let mut summed = onset.frame + SKIPPED;
        for (next, best) in best.iter_mut().enumerate().skip(first + 1).take(MOST_SPANNED) {
            let (time, last) = match candidates.get(next) {
                Some(next) => (next.time, next.frame - 1),
                None => (end, frames.onsets.len()),
            };
            for against in frames.against.get(summed..last).unwrap_or_default() {
                sums.iter_mut().zip(against).for_each(|(sum, against)| *sum += against);
            }
            summed = summed.max(last);
            if time - onset.time < SHORTEST_SECONDS && next < count {
                continue;
            }
            let pitch = likeliest(&sums);
            let worth = begun + EVIDENCE * sums[pitch];
            if worth > best.0 {
                *best = (worth, Some((first, pitch)));
            }
        }
    }
    // A take in which silence is likelier than any note has none.
    let silence = -BEFORE * frames.sounding.iter().sum::<f32>();
    if best[count].0 < silence {
        return Vec::new();
    }
    let mut cut = Vec::new();
    let mut at = count;
    while let Some((first, pitch)) = best[at].1 {
        cut.push((first, pitch));
        at = first;
    }
    cut.reverse();
    cut
}
