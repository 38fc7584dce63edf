"""Sounds to train on and to choose settings by: riffs by chance on the instruments of a sound font, or on voices of our
own (`--voices`). Every note is rendered by itself, so that the instant at which it reaches a tenth of its own peak, which
is its onset, can be measured; then the notes are mixed.

    sounds.py OUT.pkl --font FONT.sf2 --riffs 10 --seed 1
    sounds.py OUT.pkl --voices 300 --seed 1
"""

import argparse
import os
import pickle
import subprocess
import tempfile

import mido
import numpy
import soundfile
from scipy.signal import resample_poly

import voices
from riffs import riff

RENDERED = 48_000
TAIL_SECONDS = 0.8
# General MIDI programs, counted from 0, with the range in which they play. Organs whose sounding octave is not the written
# one and effects that have no single onset are left out.
PROGRAMS = {
    0: (36, 90), 1: (40, 90), 2: (40, 90), 4: (36, 88), 5: (36, 88), 6: (40, 84), 7: (36, 84), 11: (53, 89),
    12: (45, 88), 13: (60, 94), 15: (55, 84), 21: (45, 86), 22: (50, 86), 24: (40, 82), 25: (40, 84), 26: (40, 84),
    27: (40, 84), 28: (40, 80), 29: (40, 84), 30: (40, 84), 32: (28, 57), 33: (28, 57), 34: (28, 57), 35: (28, 57),
    36: (28, 55), 38: (28, 57), 40: (55, 93), 41: (48, 84), 42: (36, 74), 43: (28, 60), 45: (40, 86), 46: (36, 90),
    52: (45, 80), 53: (45, 82), 54: (45, 82), 56: (52, 84), 57: (38, 72), 58: (28, 62), 59: (52, 82), 60: (38, 77),
    61: (40, 80), 64: (54, 86), 65: (48, 82), 66: (44, 76), 67: (36, 70), 68: (57, 88), 69: (52, 80), 70: (34, 70),
    71: (50, 88), 72: (70, 96), 73: (58, 94), 74: (60, 92), 75: (58, 90), 78: (60, 96), 79: (55, 90), 80: (45, 88),
    81: (40, 88), 104: (45, 80), 105: (48, 84), 107: (45, 80), 108: (50, 84),
}  # fmt: skip
# What people are likeliest to bring is rendered twice as often.
LIKELY = {0, 24, 25, 27, 33, 32, 53, 52, 56, 57, 65, 66, 71, 73, 40, 42, 68, 26}
# What is blown, bowed or sung may bend, swell and have vibrato.
SUSTAINED = {22, 40, 41, 42, 52, 53, 54, 56, 57, 64, 65, 66, 67, 68, 71, 73, 74, 79}


def wheel(semitones):
    """Pitch bend with the usual range of two semitones."""
    return int(numpy.clip(round(semitones / 2 * 8192), -8192, 8191))


def bent(draw, start, length, detuned, events):
    """Vibrato, a scoop from below on some notes, a swell on some."""
    scoop = draw.uniform(0.3, 1.2) if draw.random() < 0.3 else 0
    rate, depth, delay = draw.uniform(4.5, 6.5), draw.uniform(0.05, 0.4), draw.uniform(0.1, 0.25)
    rise = draw.uniform(0.04, 0.1)
    for time in numpy.arange(0, length + 0.2, 0.01):
        vibrato = depth * numpy.clip((time - delay) / 0.2, 0, 1) * numpy.sin(2 * numpy.pi * rate * (time - delay))
        semitones = detuned - scoop * max(0, 1 - time / rise) + vibrato
        events.append((start + time - 0.001, mido.Message("pitchwheel", pitch=wheel(semitones))))
    if draw.random() < 0.5:
        swell = draw.uniform(0.02, 0.12)
        for time in numpy.arange(0, swell, 0.005):
            value = int(50 + 77 * time / swell)
            events.append((start + time - 0.001, mido.Message("control_change", control=11, value=value)))


def score(draw, program, riffs):
    """The riffs as one MIDI file in which no note overlaps another; and where each note stands in it."""
    events, places, now = [(0, mido.Message("program_change", program=program))], [], 0.2
    for notes in riffs:
        detuned = draw.choice([0, 0, 1]) * draw.uniform(-0.3, 0.3)
        bends = program in SUSTAINED and draw.random() < 0.25
        for start, length, midi, velocity in notes:
            events.append((now - 0.02, mido.Message("pitchwheel", pitch=wheel(detuned))))
            events.append((now - 0.02, mido.Message("control_change", control=11, value=127)))
            if bends:
                bent(draw, now, length, detuned, events)
            events.append((now, mido.Message("note_on", note=int(midi), velocity=velocity)))
            events.append((now + length, mido.Message("note_off", note=int(midi))))
            places.append((now, length))
            now += length + TAIL_SECONDS + 0.1
    track = mido.MidiTrack([mido.MetaMessage("set_tempo", tempo=1_000_000)])
    last = 0
    for time, message in sorted(events, key=lambda event: event[0]):
        tick = max(last, round(time * 1000))
        track.append(message.copy(time=tick - last))
        last = tick
    track.append(mido.MetaMessage("end_of_track", time=1500))
    file = mido.MidiFile(ticks_per_beat=1000)
    file.tracks.append(track)
    return file, places


def render(file, font):
    with tempfile.TemporaryDirectory() as folder:
        midi, wav = os.path.join(folder, "a.mid"), os.path.join(folder, "a.wav")
        file.save(midi)
        command = ["fluidsynth", "-ni", "-R", "0", "-C", "0", "-g", "0.4", "-r", str(RENDERED), "-O", "s16", "-F", wav]
        subprocess.run([*command, font, midi], check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        return soundfile.read(wav, dtype="float32")[0].mean(1)


def mixed(draw, notes, sounds):
    """One take: the sounds of the notes, each beginning 3 ms before its note, and where their onsets fell."""
    before = draw.uniform(0.3, 1.0)
    length = before + max(note[0] + note[1] for note in notes) + 1.2
    take, truth = numpy.zeros(int(length * RENDERED) + 48, numpy.float32), []
    for (start, gate, midi, _), sound in zip(notes, sounds):
        peak = abs(sound).max() if len(sound) else 0
        if peak < 2e-3:
            return None
        first = int(round((before + start) * RENDERED))
        end = min(len(take), first + len(sound))
        take[first:end] += sound[: end - first]
        onset = first + int(numpy.argmax(abs(sound) >= 0.1 * peak))
        truth.append({"onset": onset / RENDERED, "offset": before + start + gate + 0.003, "midi": int(midi)})
    for one, following in zip(truth, truth[1:]):
        one["offset"] = min(one["offset"], following["onset"] - 0.001)
    take = resample_poly(take, 1, 2)
    peak = abs(take).max()
    return {"samples": numpy.round(take / peak * 32_000).astype(numpy.int16), "notes": truth}


def from_font(font, count, seed):
    for program, (lowest, highest) in PROGRAMS.items():
        draw = numpy.random.default_rng([seed, program])
        riffs = [riff(draw, lowest, highest) for _ in range(count * (2 if program in LIKELY else 1))]
        file, places = score(draw, program, riffs)
        rendered = render(file, font)
        places = iter(places)
        for notes in riffs:
            sounds = []
            for _ in notes:
                at, length = next(places)
                first = int(round((at - 0.003) * RENDERED))
                sound = rendered[first : first + int((length + TAIL_SECONDS) * RENDERED)].copy()
                sound[-480:] *= numpy.linspace(1, 0, len(sound[-480:]))
                sounds.append(sound)
            take = mixed(draw, notes, sounds)
            if take:
                yield {**take, "voice": str(program)}


def from_voices(count, seed):
    for index in range(count):
        draw = numpy.random.default_rng([seed, 1000, index])
        voice = voices.Voice(draw)
        notes = riff(draw, voice.lowest, voice.highest)
        sounds = [voice.note(draw, midi, length, velocity, RENDERED) for _, length, midi, velocity in notes]
        take = mixed(draw, notes, sounds)
        if take:
            yield {**take, "voice": voice.kind}


if __name__ == "__main__":
    arguments = argparse.ArgumentParser()
    arguments.add_argument("out")
    arguments.add_argument("--font")
    arguments.add_argument("--riffs", type=int, default=10)
    arguments.add_argument("--voices", type=int, default=0)
    arguments.add_argument("--seed", type=int, required=True)
    options = arguments.parse_args()
    if options.voices:
        takes = list(from_voices(options.voices, options.seed))
    else:
        takes = list(from_font(options.font, options.riffs, options.seed))
    with open(options.out, "wb") as out:
        pickle.dump(takes, out)
    print(options.out, len(takes), "takes", round(sum(len(take["samples"]) for take in takes) / 24_000), "s")
