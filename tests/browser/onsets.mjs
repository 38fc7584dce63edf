// Finds where notes begin in recorded sound, and their pitches: the browser tests' own ears, which know nothing of
// what was asked for.
import FFT from "fft.js";
import { PitchDetector } from "pitchy";

/** How much sound before and after an instant is compared: enough to tell G4 from F4 that still rings (43 Hz apart). */
const SIDE_SECONDS = 0.04;
const HOP_SECONDS = 0.001;
/** The same for the closer look, at the high partials only: they say more exactly when they begin. */
const FINE_SIDE_SECONDS = 0.006;
const FINE_HOP_SECONDS = 0.000_25;
/** How far the closer look goes to either side. */
const FINE_REACH_SECONDS = 0.006;
/** The part of the sound after an onset that was not there before it; tuned on the sounds of the test beside this. */
const NEW_PART = 0.2;
/** Silence is what lies this far below the loudest frame: -60 dB. */
const SILENT = 0.001;
/** A rest is at least this long: longer than the period of any note. */
const REST_SECONDS = 0.025;
/** Sound this far below the loudest instant is taken for silence: -50 dB. */
const FLOOR = 0.003;
/** Two onsets are at least this far apart. */
const APART_SECONDS = 0.04;

/**
 * The frames at which notes begin, by spectral difference: at an onset the spectrum just after has energy that the
 * spectrum just before had not (J. P. Bello et al., "A tutorial on onset detection in music signals", IEEE Trans.
 * Speech and Audio Processing 13(5), 2005, section III-A, doi:10.1109/TSA.2005.851998). The two windows are cut off
 * sharply where they meet, so that the difference is greatest at the onset itself.
 * @param {Float32Array} signal
 * @param {number} sampleRate frames a second
 * @returns {number[]} frames, rising
 */
export function onsetFrames(signal, sampleRate) {
  const frames = (/** @type {number} */ seconds) => Math.round(seconds * sampleRate);
  const spectra = new Sides(signal, frames(SIDE_SECONDS));
  const highs = new Sides(difference(difference(difference(signal))), frames(FINE_SIDE_SECONDS));
  const hop = frames(HOP_SECONDS);
  const novelty = Array.from({ length: Math.ceil(signal.length / hop) }, (_, index) => spectra.novelty(index * hop));
  const loudest = novelty.reduce((most, { after }) => Math.max(most, after), 0);
  if (loudest === 0) return [];

  const apart = Math.round(APART_SECONDS / HOP_SECONDS);
  const found = [];
  for (let at = 0; at < novelty.length; at++) {
    const { fresh, after } = novelty[at];
    if (after < FLOOR * loudest || fresh < NEW_PART * after) continue;
    const around = novelty.slice(Math.max(0, at - apart / 2), at + apart / 2 + 1);
    if (around.some((other) => other.fresh > fresh)) continue;
    found.push(newest(highs, at * hop, frames(FINE_REACH_SECONDS), frames(FINE_HOP_SECONDS)));
    at += apart / 2;
  }
  return found;
}

/** The frame of greatest novelty within `reach` of `frame`. */
function newest(
  /** @type {Sides} */ sides,
  /** @type {number} */ frame,
  /** @type {number} */ reach,
  /** @type {number} */ step,
) {
  let best = { frame, fresh: 0 };
  for (let near = Math.max(0, frame - reach); near <= frame + reach; near += step) {
    const { fresh } = sides.novelty(near);
    if (fresh > best.fresh) best = { frame: near, fresh };
  }
  return best.frame;
}

/** What each frame adds to the one before: weighs each partial by its frequency. */
function difference(/** @type {Float32Array} */ signal) {
  return signal.map((value, frame) => value - (frame > 0 ? signal[frame - 1] : 0));
}

/** Compares the spectra on the two sides of an instant. */
class Sides {
  /**
   * @param {Float32Array} signal
   * @param {number} width frames on each side
   */
  constructor(signal, width) {
    this.signal = signal;
    this.width = width;
    this.fft = new FFT(2 ** Math.ceil(Math.log2(width)));
    this.input = new Array(this.fft.size).fill(0);
    this.output = this.fft.createComplexArray();
  }

  /** How much there is after `frame`, and how much of that is new: sums of magnitudes over frequency. */
  novelty(/** @type {number} */ frame) {
    const before = this.magnitudes(frame - 1, -1);
    const after = this.magnitudes(frame, 1);
    let [fresh, total] = [0, 0];
    for (let bin = 0; bin < after.length; bin++) {
      fresh += Math.max(0, after[bin] - before[bin]);
      total += after[bin];
    }
    return { fresh, after: total };
  }

  /** Magnitudes of the sound that leads away from `from` in `direction`, fading out with half a Hann window. */
  magnitudes(/** @type {number} */ from, /** @type {number} */ direction) {
    for (let index = 0; index < this.width; index++) {
      const weight = 0.5 * (1 + Math.cos((Math.PI * index) / this.width));
      this.input[index] = weight * (this.signal[from + direction * index] ?? 0);
    }
    this.fft.realTransform(this.output, this.input);
    return Float64Array.from({ length: this.fft.size / 2 }, (_, bin) =>
      Math.hypot(this.output[2 * bin], this.output[2 * bin + 1]),
    );
  }
}

/**
 * The frames at which sound begins after silence, exact but for the first thousandth of a note's rise: for music in
 * which a rest comes before every note.
 * @param {Float32Array} signal
 * @param {number} sampleRate frames a second
 */
export function startsAfterSilence(signal, sampleRate) {
  const threshold = SILENT * signal.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  const rest = REST_SECONDS * sampleRate;
  const starts = [];
  let lastSounding = -Infinity;
  for (let frame = 0; frame < signal.length; frame++) {
    if (Math.abs(signal[frame]) <= threshold) continue;
    if (frame - lastSounding > rest) starts.push(frame);
    lastSounding = frame;
  }
  return starts;
}

/**
 * The pitch of the sound from `start` on, as a MIDI number with its fraction; null where there is none. By the McLeod
 * pitch method, in the library pitchy.
 * @param {Float32Array} signal
 * @param {number} sampleRate frames a second
 * @param {number} start frame
 * @param {number} seconds how much to listen to
 */
export function pitchAt(signal, sampleRate, start, seconds = 0.05) {
  const detector = PitchDetector.forFloat32Array(Math.round(seconds * sampleRate));
  const piece = new Float32Array(detector.inputLength);
  piece.set(signal.subarray(start, start + detector.inputLength));
  const [hertz, clarity] = detector.findPitch(piece, sampleRate);
  return clarity < 0.8 ? null : 69 + 12 * Math.log2(hertz / 440);
}

/**
 * Pairs what was expected with what was found, after one offset common to all (their median difference).
 * @param {number[]} expected seconds, rising
 * @param {number[]} found seconds, rising
 * @param {number} reach seconds within which two may be a pair
 */
export function matchOnsets(expected, found, reach = 0.02) {
  const nearest = expected.map((time) =>
    found.reduce((best, at) => (Math.abs(at - time) < Math.abs(best - time) ? at : best), Infinity),
  );
  const offset = median(
    nearest.map((at, index) => at - expected[index]).filter((difference) => Math.abs(difference) <= reach),
  );
  const pairs = [];
  const missed = [];
  const left = new Set(found);
  for (const time of expected) {
    const at = [...left].find((candidate) => Math.abs(candidate - offset - time) <= reach);
    if (at === undefined) missed.push(time);
    else {
      left.delete(at);
      pairs.push({ expected: time, found: at, error: at - offset - time });
    }
  }
  const worst = pairs.reduce((most, { error }) => Math.max(most, Math.abs(error)), 0);
  return { offset, pairs, missed, extra: [...left], worst };
}

function median(/** @type {number[]} */ values) {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted.length === 0 ? 0 : sorted[Math.floor(sorted.length / 2)];
}
