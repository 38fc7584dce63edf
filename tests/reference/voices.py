"""Prints how the voices begin, die away and are let go, how bright they are, what sounds between their harmonics and how
stiff their strings are, beside recorded instruments; and where ours lie outside, why.

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
# while the key was down); centre: of the power of the first 0.3 s, in hertz; let go: ms until 20 dB down after a key that was
# held for half a second; between: power further than a quarter from any harmonic, dB against all; stiff: B in
# f = n f0 sqrt(1 + B n^2), in millionths; - where there is none.
font\tvoice\tnote\tvelocity\tattack\tfalls\tcentre\tlet go\tbetween\tstiff
"""
RATE = 48_000
VELOCITIES = (50, 80, 112)
DRUMS = 9

# Digits after the point.
PLACES = (1, 0, 0, 0, 1, 0)

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
PITCHED = [voice for voice, (channel, *_) in VOICES.items() if channel != DRUMS]


# Each note is held for four seconds, or for half a second, and the next begins six after it began.
HELD, SHORTLY, APART = 4, 0.5, 6
COLUMNS = ("attack ms", "down 20 dB after ms", "centre Hz", "let go, ms", "between, dB", "stiff, 1e-6")
STRINGS = ("guitar", "upright", "bass")

# Why a figure lies outside, by voice (or any) and column.
CLEAN = "fainter than the hiss of a recording, and 50 dB and more under the tone"
REASONS = {
    ("keys", "attack ms"): "a wave of 8 ms, measured by 5 ms: it begins within 3.5 ms, as the others do",
    ("vibraphone", "attack ms"): "a mallet leaves a bar within some ms; the sets let soft strokes swell, and a hard one takes 2",
    ("wood", "attack ms"): "people tune and time by the click: it begins as soon as it can without a snap",
    ("any", "let go, ms"): "the same 45 ms for every voice: short enough for a rest to be heard as one",
    ("keys", "between, dB"): CLEAN,
    ("organ", "between, dB"): CLEAN,
    ("guitar", "between, dB"): CLEAN,
    ("vibraphone", "between, dB"): CLEAN,
    ("bass", "between, dB"): CLEAN,
    ("harmonica", "between, dB"): "the breath of a player near by; in one set there is as much at other notes",
    ("doo", "between, dB"): "the sets have a choir, which is many a little apart; ours is one singer",
    ("upright", "between, dB"): "no knock of the frame, no strings in pairs: ours lacks them",
    ("upright", "stiff, 1e-6"): "as Young measured of six pianos (JASA 24(3), 1952): 990 at C5",
    ("guitar", "stiff, 1e-6"): "none, as in one of the sets; just audible on low strings only (Jarvelainen and Karjalainen)",
    ("bass", "stiff, 1e-6"): "none, as in one of the sets but for its lowest note",
}


def quantity(ticks):
    """A variable-length number of a MIDI file."""
    out = [ticks & 0x7F]
    while ticks := ticks >> 7:
        out.insert(0, 0x80 | ticks & 0x7F)
    return bytes(out)


def midi_file(channel, program, notes, held):
    """Notes and velocities one after another. At 480 ticks a quarter of half a second, a second is 960."""
    events = bytes([0, 0xC0 | channel, program])
    wait = 0
    for note, velocity in notes:
        events += quantity(wait) + bytes([0x90 | channel, note, velocity])
        events += quantity(int(960 * held)) + bytes([0x80 | channel, note, 0])
        wait = int(960 * (APART - held))
    events += quantity(wait) + bytes([0xFF, 0x2F, 0])
    return b"MThd" + struct.pack(">IHHH", 6, 0, 1, 480) + b"MTrk" + struct.pack(">I", len(events)) + events


def read(path):
    with wave.open(str(path)) as file:
        frames = numpy.frombuffer(file.readframes(file.getnframes()), "<i2").reshape(-1, file.getnchannels())
    return frames.mean(axis=1) / 32768


def recorded(folder, font, channel, program, notes, held):
    """The sound of each of the notes."""
    score, sound = folder / "notes.mid", folder / "notes.wav"
    score.write_bytes(midi_file(channel, program, notes, held))
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


def release(sound):
    """Milliseconds from the end of a key that was held shortly until the sound stays 20 dB below what it was then."""
    end = int(SHORTLY * RATE)
    envelope = numpy.sqrt(numpy.convolve(sound**2, numpy.ones(240) / 240, "same"))
    level = numpy.sqrt((sound[end - RATE // 50 : end] ** 2).mean())
    loud = numpy.nonzero(envelope[end:] > 0.1 * level)[0]
    return float(loud[-1]) / RATE * 1000 if len(loud) else 0.0


def spectrum(sound):
    """Frequencies and power of what sounds from 0.1 to 0.9 s."""
    window = sound[RATE // 10 : RATE * 9 // 10]
    power = numpy.abs(numpy.fft.rfft(window * numpy.hanning(len(window)), 4 * len(window))) ** 2
    return numpy.fft.rfftfreq(4 * len(window), 1 / RATE), power


def between(sound, pitch):
    """The power that lies further than a quarter of the pitch from each harmonic, in decibels against all."""
    hertz, power = spectrum(sound)
    away = numpy.abs(hertz / pitch - numpy.round(hertz / pitch)) > 0.25
    return 10 * numpy.log10(max(power[away].sum() / power.sum(), 1e-9))


def stiffness(sound, pitch):
    """B of f = n f0 sqrt(1 + B n^2), in millionths, by least squares over the first ten modes that are heard."""
    hertz, power = spectrum(sound)
    modes = []
    for n in range(1, 11):
        near = numpy.nonzero(numpy.abs(hertz - n * (modes[0][1] if modes else pitch)) < 0.3 * pitch)[0]
        top = near[numpy.argmax(power[near])]
        if power[top] > 1e-5 * power.max() and near[0] < top < near[-1]:
            below, at, above = numpy.log(power[top - 1 : top + 2])
            modes.append((n, hertz[top] + hertz[1] * 0.5 * (below - above) / (below - 2 * at + above)))
        elif n == 1:
            return None
    ratios = numpy.array([(n * n - 1, (found / n / modes[0][1]) ** 2 - 1) for n, found in modes[1:]])
    # Where few are heard, a fit says nothing.
    return 1e6 * (ratios[:, 0] @ ratios[:, 1]) / (ratios[:, 0] @ ratios[:, 0]) if len(ratios) > 3 else None


def all_figures(voice, note, sound, shortly):
    """A figure for each column, None where there is none."""
    if voice not in PITCHED:
        return *figures(sound), None, None, None
    pitch = 440 * 2 ** ((note - 69) / 12)
    # The lowest pipes of an organ stand an octave below.
    apart = between(sound, pitch / 2 if voice == "organ" else pitch)
    return *figures(sound), release(shortly), apart, stiffness(sound, pitch) if voice in STRINGS else None


def measure():
    """Writes the figures of the fonts."""
    with tempfile.TemporaryDirectory() as name, open(KEPT, "w", encoding="utf-8") as out:
        out.write(HEAD)
        for font in ("FluidR3_GM.sf2", "TimGM6mb.sf2"):
            for voice, (channel, program, numbers) in VOICES.items():
                notes = [(number, velocity) for number in numbers for velocity in VELOCITIES]
                longer, shorter = (
                    recorded(pathlib.Path(name), font, channel, program, notes, held) for held in (HELD, SHORTLY)
                )
                for (number, velocity), sound, shortly in zip(notes, longer, shorter):
                    row = all_figures(voice, number, sound, shortly)
                    shown = ["-" if figure is None else f"{figure:.{places}f}" for figure, places in zip(row, PLACES)]
                    out.write("\t".join([font, voice, str(number), str(velocity), *shown]) + "\n")


def kept():
    """The figures of the fonts: for each voice, note and velocity one row for each font."""
    rows = {}
    for line in KEPT.read_text(encoding="utf-8").splitlines():
        if line.startswith(("#", "font")):
            continue
        _, voice, note, velocity, *numbers = line.split("\t")
        figures = [None if number == "-" else float(number) for number in numbers]
        rows.setdefault((voice, int(note), int(velocity)), []).append(figures)
    return rows


def compared(column, mine, others):
    """The figure, the least and the most of the others, and whether it lies outside: by more than a half, for what is in
    decibels by more than 6, and for strings by more than a cent of the sixth mode."""
    others = [other for other in others if other is not None]
    if mine is None or not others:
        return " " * 22, False
    least, most = min(others), max(others)
    if column.endswith("dB"):
        outside = mine < least - 6 or mine > most + 6
    elif column.startswith("stiff"):
        outside = mine < least - 32 or mine > most + 32
    else:
        outside = mine < least / 1.5 or mine > most * 1.5
    return f"{mine:6.0f}{'!' if outside else ' '}({least:.0f}..{most:.0f})".ljust(22), outside


def main():
    if sys.argv[1:] == ["--measure"]:
        measure()
        return
    target = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
    print("ours (recorded), ! where ours is outside by more than a half (6 dB; a cent of the sixth mode)")
    print(" " * 21 + "".join(column.ljust(22) for column in COLUMNS))
    outside, compared_at_all, whys = 0, 0, {}
    with tempfile.TemporaryDirectory() as name:
        subprocess.run([str(target / "release/examples/voice_notes"), name], check=True)
        for (voice, note, velocity), others in kept().items():
            of = pathlib.Path(name)
            shortly = read(of / f"{voice}-{note}-{velocity}-let-go.wav") if voice in PITCHED else None
            mine = all_figures(voice, note, read(of / f"{voice}-{note}-{velocity}.wav"), shortly)
            cells = [compared(*cell) for cell in zip(COLUMNS, mine, zip(*others))]
            print(f"{voice:11}{note:4}{velocity:5} {''.join(text for text, _ in cells)}".rstrip())
            compared_at_all += sum(bool(text.strip()) for text, _ in cells)
            for column, (_, is_outside) in zip(COLUMNS, cells):
                if is_outside:
                    outside += 1
                    whys.setdefault((voice, column), []).append(f"{note}/{velocity}")
    print(f"\n{outside} of {compared_at_all} figures are outside:")
    for (voice, column), where in whys.items():
        why = REASONS.get((voice, column)) or REASONS.get(("any", column)) or "NO REASON YET"
        print(f"  {voice}, {column.split(',')[0]}, in {len(where)} of its notes ({', '.join(where)}): {why}")


if __name__ == "__main__":
    main()
