"""Prints how the voices begin, die away and how bright they are, beside recorded instruments.

The recordings are those of two General MIDI sound fonts, played by fluidsynth; their figures are kept in
`tests/data/recorded_voices.tsv`. Needs numpy. A measurement, not a test.

    cargo build --release --example voice_notes
    python tests/reference/voices.py

To measure the fonts again, which needs the Debian packages fluidsynth, fluid-soundfont-gm and timgm6mb-soundfont:

    python tests/reference/voices.py --measure
"""

import os
import pathlib
import struct
import subprocess
import sys
import tempfile
import wave

import numpy

ROOT = pathlib.Path(__file__).resolve().parents[2]
FONTS = pathlib.Path("/usr/share/sounds/sf2")
KEPT = ROOT / "tests/data/recorded_voices.tsv"
# Only figures are kept of a font, none of its samples.
HEAD = """# Figures of recorded instruments, measured by tests/reference/voices.py --measure. Fonts, played by fluidsynth:
# FluidR3_GM.sf2, Debian package fluid-soundfont-gm (Frank Wen and others; MIT licence);
# TimGM6mb.sf2, Debian package timgm6mb-soundfont (Tim Brechbill; GPL version 2). No sound of either is in here.
# attack: ms from a tenth to nine tenths of the highest 5 ms; falls: ms until 20 dB below it for good (4000: never
# while the key was down); centre: of the power of the first 0.3 s, in hertz.
font\tvoice\tnote\tvelocity\tattack\tfalls\tcentre
"""
RATE = 48_000
VELOCITIES = (50, 80, 112)
DRUMS = 9

# Voice: channel, General MIDI program (from 0), notes. Kit 40 is the brush set (General MIDI level 2).
VOICES = {
    "keys": (0, 4, (36, 48, 55, 67, 79)),
    "organ": (0, 16, (55, 67, 79)),
    "guitar": (0, 27, (55, 67, 79)),
    "vibraphone": (0, 11, (55, 67, 79)),
    "reed": (0, 66, (55, 67, 79)),
    "flute": (0, 73, (67, 79)),
    "upright": (0, 0, (36, 48, 60, 72)),
    "harmonica": (0, 22, (60, 67, 79)),
    "tenor": (0, 66, (48, 55, 67)),
    "muted-brass": (0, 59, (55, 67, 79)),
    "doo": (0, 53, (55, 67, 79)),
    "bass": (0, 32, (31, 40, 50)),
    "kick": (DRUMS, 0, (36,)),
    "snare": (DRUMS, 0, (38,)),
    "brush-tap": (DRUMS, 40, (39,)),
    "hi-hat": (DRUMS, 0, (42,)),
    "tom": (DRUMS, 0, (45, 48)),
    "ride": (DRUMS, 0, (51,)),
    "crash": (DRUMS, 0, (49,)),
    "wood": (DRUMS, 0, (76,)),
}


# Each note is held for four seconds, and the next begins two later.
HELD, APART = 4, 6


def quantity(ticks):
    """A variable-length number of a MIDI file."""
    out = [ticks & 0x7F]
    while ticks := ticks >> 7:
        out.insert(0, 0x80 | ticks & 0x7F)
    return bytes(out)


def midi_file(channel, program, notes):
    """Notes and velocities one after another. At 480 ticks a quarter of half a second, a second is 960."""
    events = bytes([0, 0xC0 | channel, program])
    wait = 0
    for note, velocity in notes:
        events += quantity(wait) + bytes([0x90 | channel, note, velocity])
        events += quantity(960 * HELD) + bytes([0x80 | channel, note, 0])
        wait = 960 * (APART - HELD)
    events += quantity(wait) + bytes([0xFF, 0x2F, 0])
    return b"MThd" + struct.pack(">IHHH", 6, 0, 1, 480) + b"MTrk" + struct.pack(">I", len(events)) + events


def read(path):
    with wave.open(str(path)) as file:
        frames = numpy.frombuffer(file.readframes(file.getnframes()), "<i2").reshape(-1, file.getnchannels())
    return frames.mean(axis=1) / 32768


def recorded(folder, font, channel, program, notes):
    """The sound of each of the notes."""
    score, sound = folder / "notes.mid", folder / "notes.wav"
    score.write_bytes(midi_file(channel, program, notes))
    quiet = ["-q", "-n", "-i", "-R", "0", "-C", "0", "-g", "0.6", "-r", str(RATE)]
    command = ["fluidsynth", *quiet, "-F", str(sound), str(FONTS / font), str(score)]
    subprocess.run(command, check=True, capture_output=True)
    frames = read(sound)
    return [frames[at * APART * RATE : (at + 1) * APART * RATE] for at in range(len(notes))]


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


def measure():
    """Writes the figures of the fonts."""
    with tempfile.TemporaryDirectory() as name, open(KEPT, "w", encoding="utf-8") as out:
        out.write(HEAD)
        for font in ("FluidR3_GM.sf2", "TimGM6mb.sf2"):
            for voice, (channel, program, numbers) in VOICES.items():
                notes = [(number, velocity) for number in numbers for velocity in VELOCITIES]
                sounds = recorded(pathlib.Path(name), font, channel, program, notes)
                for (number, velocity), sound in zip(notes, sounds):
                    attack, falls, centre = figures(sound)
                    out.write(f"{font}\t{voice}\t{number}\t{velocity}\t{attack:.1f}\t{falls:.0f}\t{centre:.0f}\n")


def kept():
    """The figures of the fonts: for each voice, note and velocity one row for each font."""
    rows = {}
    for line in KEPT.read_text(encoding="utf-8").splitlines():
        if line.startswith(("#", "font")):
            continue
        _, voice, note, velocity, *numbers = line.split("\t")
        rows.setdefault((voice, int(note), int(velocity)), []).append([float(number) for number in numbers])
    return rows


def compared(mine, others):
    """The figure, the least and the most of the others, and a mark where it lies outside by more than a half."""
    least, most = min(others), max(others)
    outside = mine < least / 1.5 or mine > most * 1.5
    return f"{mine:7.0f}{'!' if outside else ' '}({least:.0f}-{most:.0f})".ljust(24)


def main():
    if sys.argv[1:] == ["--measure"]:
        measure()
        return
    target = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
    print("ours (recorded), ! where ours is outside by more than a half")
    print("                 attack ms               down 20 dB after ms     centre Hz")
    with tempfile.TemporaryDirectory() as name:
        subprocess.run([str(target / "release/examples/voice_notes"), name], check=True)
        for (voice, note, velocity), others in kept().items():
            ours = figures(read(pathlib.Path(name) / f"{voice}-{note}-{velocity}.wav"))
            columns = [compared(mine, theirs) for mine, theirs in zip(ours, zip(*others))]
            print(f"{voice:11}{note:4}{velocity:5} {''.join(columns)}")


if __name__ == "__main__":
    main()
