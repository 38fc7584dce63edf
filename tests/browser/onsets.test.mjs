// The ears on made-up sound whose onsets and pitches are known by construction.
import assert from "node:assert/strict";
import { test } from "node:test";
import { matchOnsets, onsetFrames, pitchAt, startsAfterSilence } from "./onsets.mjs";

const RATE = 48_000;
const RIFF = [60, 63, 65, 66, 67, 70, 72, 55, 55, 43];

/** Notes as sums of partials that rise in `rise` seconds, die away and are let go after `length`. */
function sound({ onsets, midi, rise, length, decay, level = 0.5, seconds = 4 }) {
  const signal = new Float32Array(RATE * seconds);
  onsets.forEach((onset, index) => {
    const hertz = 440 * 2 ** ((midi[index % midi.length] - 69) / 12);
    const begin = Math.round(onset * RATE);
    const frames = Math.round((length + 0.02) * RATE);
    for (let frame = 0; frame < frames && begin + frame < signal.length; frame++) {
      const t = frame / RATE;
      const release = Math.min(1, Math.max(0, (length + 0.01 - t) / 0.01));
      const envelope = Math.min(1, t / rise) * Math.exp(-t / decay) * release;
      for (let partial = 1; partial <= 8; partial++) {
        signal[begin + frame] += (level * envelope * Math.sin(2 * Math.PI * hertz * partial * t)) / partial ** 1.5;
      }
    }
  });
  return signal;
}

const grid = (step, count, first = 0.1) => Array.from({ length: count }, (_, index) => first + index * step);

/**
 * All onsets are found, none besides, and each within `milliseconds` after one common offset. These are the ears' own
 * errors: a rise of some milliseconds, or a note let go over the next one, blurs where a note begins.
 */
function check(settings, milliseconds) {
  const found = onsetFrames(sound(settings), RATE).map((frame) => frame / RATE);
  const match = matchOnsets(settings.onsets, found);
  assert.deepEqual({ missed: match.missed, extra: match.extra }, { missed: [], extra: [] });
  assert.ok(match.worst * 1000 <= milliseconds, `worst error ${(match.worst * 1000).toFixed(2)} ms`);
}

test("short notes one after another", () =>
  check({ onsets: grid(0.3, 12), midi: RIFF, rise: 0.003, length: 0.2, decay: 0.4 }, 1));
test("notes that touch", () => check({ onsets: grid(0.3, 12), midi: RIFF, rise: 0.003, length: 0.29, decay: 0.8 }, 1));
test("notes that ring into the next", () =>
  check({ onsets: grid(0.3, 12), midi: RIFF, rise: 0.003, length: 0.5, decay: 0.3 }, 1));
test("sixteenths at 200 quarters a minute", () =>
  check({ onsets: grid(0.075, 40), midi: RIFF, rise: 0.002, length: 0.07, decay: 0.3 }, 2.5));
test("a slow rise", () => check({ onsets: grid(0.3, 12), midi: RIFF, rise: 0.01, length: 0.25, decay: 0.5 }, 2.5));
test("one pitch again and again", () =>
  check({ onsets: grid(0.25, 14), midi: [60], rise: 0.003, length: 0.24, decay: 0.5 }, 1));
test("quietly", () =>
  check({ onsets: grid(0.3, 12), midi: RIFF, rise: 0.003, length: 0.2, decay: 0.4, level: 0.003 }, 1));
test("after rests the start is exact to a fifth of a millisecond", () => {
  const onsets = grid(0.3, 12);
  const starts = startsAfterSilence(sound({ onsets, midi: RIFF, rise: 0.003, length: 0.2, decay: 0.4 }), RATE);
  assert.equal(starts.length, onsets.length);
  // Of a rise of 3 ms and a sine that begins at zero, a thousandth is reached within the first tenths of a millisecond.
  starts.forEach((frame, index) =>
    assert.ok(Math.abs(frame / RATE - onsets[index] - 0.0001) < 0.0002, `${frame / RATE}`),
  );
});
test("silence has no onsets", () => assert.deepEqual(onsetFrames(new Float32Array(RATE), RATE), []));

test("a match names what is missing and what is too much", () => {
  const match = matchOnsets([1, 2, 3], [1.005, 2.006, 2.5]);
  assert.deepEqual([match.missed, match.extra, match.pairs.length], [[3], [2.5], 2]);
});

test("pitches are right within five cents", () => {
  const midi = [43, 55, 60, 63, 66, 72, 84];
  const signal = sound({ onsets: grid(0.3, midi.length), midi, rise: 0.003, length: 0.25, decay: 0.5 });
  midi.forEach((pitch, index) => {
    const heard = pitchAt(signal, RATE, Math.round((0.11 + index * 0.3) * RATE), 0.1);
    assert.ok(heard !== null && Math.abs(heard - pitch) < 0.05, `${pitch} is heard as ${heard}`);
  });
});
test("silence has no pitch", () => assert.equal(pitchAt(new Float32Array(RATE), RATE, 0), null));
