"""Prints how the voices begin, die away and how bright they are, beside recorded instruments.

The recordings are those of a General MIDI sound font, played by fluidsynth. Needs numpy and the Debian packages
fluidsynth and fluid-soundfont-gm. A measurement, not a test.

    cargo build --release --example voice_notes
    python tests/reference/voices.py
"""

import os
import pathlib
import struct
import subprocess
import tempfile
import wave

import numpy

ROOT = pathlib.Path(__file__).resolve().parents[2]
FONT = "/usr/share/sounds/sf2/FluidR3_GM.sf2"
RATE = 48_000
VELOCITIES = (50, 80, 112)
DRUMS = 9

# Voice: channel, General MIDI program (from 0), notes. Kit 40 is the brush set (General MIDI level 2).
VOICES = {
    "keys": (0, 4, (55, 67, 79)),
    "organ": (0, 16, (55, 67, 79)),
    "guitar": (0, 27, (55, 67, 79)),
    "vibraphone": (0, 11, (55, 67, 79)),
    "reed": (0, 66, (55, 67, 79)),
    "flute": (0, 73, (67, 79)),
    "bass": (0, 32, (31, 40, 50)),
    "kick": (DRUMS, 0, (36,)),
    "snare": (DRUMS, 0, (38,)),
    "brush-tap": (DRUMS, 40, (39,)),
    "hi-hat": (DRUMS, 0, (42,)),
    "tom": (DRUMS, 0, (45,)),
    "ride": (DRUMS, 0, (51,)),
    "crash": (DRUMS, 0, (49,)),
    "wood": (DRUMS, 0, (76,)),
}


def midi_file(channel, program, note, velocity):
    """A note of four seconds."""
    on, off, pick = 0x90 | channel, 0x80 | channel, 0xC0 | channel
    # 480 ticks a quarter of half a second: four seconds are 3840, in two bytes of seven bits.
    events = bytes([0, pick, program, 0, on, note, velocity, 0x80 | 3840 >> 7, 3840 & 0x7F, off, note, 0])
    events += bytes([0x80 | 960 >> 7, 960 & 0x7F, 0xFF, 0x2F, 0])
    return b"MThd" + struct.pack(">IHHH", 6, 0, 1, 480) + b"MTrk" + struct.pack(">I", len(events)) + events


def read(path):
    with wave.open(str(path)) as file:
        frames = numpy.frombuffer(file.readframes(file.getnframes()), "<i2").reshape(-1, file.getnchannels())
    return frames.mean(axis=1) / 32768


def recorded(folder, channel, program, note, velocity):
    score, sound = folder / "note.mid", folder / "note.wav"
    score.write_bytes(midi_file(channel, program, note, velocity))
    quiet = ["-q", "-n", "-i", "-R", "0", "-C", "0", "-g", "0.6", "-r", str(RATE)]
    subprocess.run(["fluidsynth", *quiet, "-F", str(sound), FONT, str(score)], check=True, capture_output=True)
    return read(sound)


def figures(sound):
    """Milliseconds from a tenth to nine tenths of the highest envelope, milliseconds until it has fallen by 20 dB for
    good (or the sound's length), and the centre of gravity of the spectrum of the first 0.3 s, in hertz."""
    envelope = numpy.sqrt(numpy.convolve(sound**2, numpy.ones(240) / 240, "same"))
    peak = envelope.max()
    begins, risen = (int(numpy.argmax(envelope > part * peak)) for part in (0.1, 0.9))
    lasts = int(numpy.nonzero(envelope > 0.1 * peak)[0][-1]) - begins
    window = sound[begins : begins + int(0.3 * RATE)]
    power = numpy.abs(numpy.fft.rfft(window * numpy.hanning(2 * len(window))[len(window) :])) ** 2
    hertz = numpy.fft.rfftfreq(len(window), 1 / RATE)
    return (risen - begins) / RATE * 1000, lasts / RATE * 1000, (power * hertz).sum() / power.sum()


def main():
    target = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
    print("ours / recorded       attack ms        down 20 dB after ms        centre Hz")
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        subprocess.run([str(target / "release/examples/voice_notes"), name], check=True)
        for voice, (channel, program, notes) in VOICES.items():
            for note in notes:
                for velocity in VELOCITIES:
                    ours = figures(read(folder / f"{voice}-{note}-{velocity}.wav"))
                    theirs = figures(recorded(folder, channel, program, note, velocity))
                    pairs = "   ".join(f"{a:8.0f} /{b:6.0f}" for a, b in zip(ours, theirs))
                    print(f"{voice:11}{note:4}{velocity:5} {pairs}")


if __name__ == "__main__":
    main()
