"""How well notes are heard beside the page's own sound. No test; it prints a table:

    scripts/bench listening beside [FOLDER]

The clips of FOLDER (see `listening.py`) play with a band of the page in made-up rooms (`leak.py`), -12, -6 and 0 dB beside the
clip, and with it in headphones, where nothing of it is heard. The band plays for eight seconds before the clip; what is heard
in them counts as wrong. Then a minute each of what is no note of the player's. Every
clip has its own band, room and delay, from its place in the list.
"""

import argparse
import collections
import json
import pathlib
import shutil
import subprocess
import tempfile

import numpy
from leak import leaked
from listening import HEAD, compared, line
from riffloom import ROOT, program
from scipy import signal
from scipy.io import wavfile

RATE = 48_000
SEED = 14
RIFF = "X:1\nT:Any\nM:4/4\nL:1/8\nK:C\nC2 _E2 G2 A2 |\n"


def sound(file):
    """The rate and the samples of a file, -1 to 1."""
    with tempfile.TemporaryDirectory() as folder:
        if file.suffix != ".wav":
            wav = pathlib.Path(folder, "sound.wav")
            subprocess.run(["ffmpeg", "-loglevel", "error", "-i", str(file), "-c:a", "pcm_f32le", str(wav)], check=True)
            file = wav
        rate, samples = wavfile.read(file)
    return rate, samples if samples.dtype.kind == "f" else samples / -float(numpy.iinfo(samples.dtype).min)


def band(draw, seconds, parts="click,drums,bass,comp"):
    """What the page would play for so long, frames × 2."""
    tempo = int(draw.integers(70, 160))
    key = str(draw.choice(["C", "F", "Bb", "G", "A", "E"]))
    players = draw.choice(["drums=brushes", "bass=walking", "timing=loose"])
    with tempfile.TemporaryDirectory() as folder:
        riff, out = pathlib.Path(folder, "riff.abc"), pathlib.Path(folder, "band.wav")
        riff.write_text(RIFF)
        words = ["render", str(riff), "--key", key, "--form", "12-bar", "--tempo", str(tempo), "--parts", parts]
        choruses = int(numpy.ceil(seconds * tempo / 60 / 48))
        words += ["--choruses", str(choruses), "--band", str(players), "--seed", str(draw.integers(1000))]
        subprocess.run([program(), *words, "--out", str(out)], check=True, stdout=subprocess.DEVNULL)
        return sound(out)[1][: int(seconds * RATE)]


def transcribed(samples, played, live):
    with tempfile.TemporaryDirectory() as folder:
        heard, beside = pathlib.Path(folder, "heard.wav"), pathlib.Path(folder, "played.wav")
        wavfile.write(heard, RATE, numpy.clip(samples, -1, 1).astype(numpy.float32))
        words = [program(), "transcribe", str(heard), *(["--live"] if live else [])]
        if played is not None:
            wavfile.write(beside, RATE, played.astype(numpy.float32))
            words += ["--played", str(beside)]
        return json.loads(subprocess.run(words, capture_output=True, check=True).stdout)


def rms(samples):
    return numpy.sqrt((samples**2).mean() + 1e-20)


def clips(folder):
    for path in sorted((folder / "truth").glob("*.json")):
        audio = [folder / "audio" / (path.stem + ending) for ending in (".wav", ".flac")]
        audio = next(file for file in audio if file.exists())
        rate, samples = sound(audio)
        if rate != RATE:
            samples = signal.resample_poly(samples, RATE, rate)
        yield json.loads(path.read_text())["notes"], samples


def with_a_band(folder, limit):
    rows = collections.defaultdict(list)
    for index, (notes, samples) in enumerate(clips(folder)):
        if index >= limit:
            break
        draw = numpy.random.default_rng([SEED, index])
        # The band has played for a while when the clip begins: the way is known by then.
        before = 8.0
        notes = [{**note, "onset": note["onset"] + before, "offset": note["offset"] + before} for note in notes]
        samples = numpy.concatenate([numpy.zeros(int(before * RATE)), samples])
        played = band(draw, len(samples) / RATE)
        samples, played = samples[: len(played)], played[: len(samples)]
        heard, _ = leaked(draw, played, RATE)
        hiss = draw.normal(size=len(samples)) * rms(samples) * 1e-3
        for level in (None, -12, -6, 0):
            gain = 0 if level is None else 10 ** (level / 20) * rms(samples) / rms(heard)
            both = samples + gain * heard + hiss
            both *= min(1, 0.9 / abs(both).max())
            name = "in headphones" if level is None else f"{level} dB beside it"
            for how in ("whole", "live"):
                rows[f"{name}, {how}"].append(compared(notes, transcribed(both, played, how == "live")))
    print(" " * 28, HEAD)
    for name, results in rows.items():
        print(line(f"{name:28}", results))


def speech(draw, count):
    """Like speech: a buzz that glides between formants in syllables, with hisses between them."""
    time = numpy.arange(count) / RATE
    knots = int(count / RATE * 5) + 2

    def glide(low, high):
        return numpy.interp(time * 5, numpy.arange(knots), draw.uniform(low, high, knots))

    phase = numpy.cumsum(glide(85, 210)) / RATE
    buzz = 2 * (phase % 1) - 1 + 0.1 * draw.normal(size=count)
    loud = glide(-0.5, 1).clip(0, 1)
    out = numpy.zeros(count)
    for low, high, width in ((250, 850, 90), (800, 2400, 130), (2200, 3200, 200)):
        piece = int(0.02 * RATE)
        centre = glide(low, high)
        state = numpy.zeros(2)
        for first in range(0, count, piece):
            angle, near = 2 * numpy.pi * centre[first] / RATE, numpy.exp(-numpy.pi * width / RATE)
            a = [1, -2 * near * numpy.cos(angle), near**2]
            part, state = signal.lfilter([1 - near], a, buzz[first : first + piece], zi=state)
            out[first : first + piece] += part
    hiss = signal.sosfilt(signal.butter(2, 3500, "high", fs=RATE, output="sos"), draw.normal(size=count))
    out = out / abs(out).max() * loud + 0.1 * hiss * glide(-1, 0.6).clip(0, 1)
    return out


def spoken(count):
    """A text that espeak-ng reads, where it is installed."""
    text = "The band begins after four clicks. Listen first, then answer with a riff of your own. " * 12
    with tempfile.TemporaryDirectory() as folder:
        out = pathlib.Path(folder, "spoken.wav")
        subprocess.run(["espeak-ng", "-w", str(out), text], check=True)
        rate, samples = sound(out)
    return signal.resample_poly(samples, RATE, rate)[:count]


def no_notes():
    count = 60 * RATE
    draw = numpy.random.default_rng(SEED)
    kinds = {
        "silence": (numpy.zeros(count), None),
        "noise": (0.05 * draw.normal(size=count), None),
        "like speech": (0.3 * speech(draw, count), None),
    }
    if shutil.which("espeak-ng"):
        kinds["speech by espeak-ng"] = (0.3 * spoken(count), None)
    for index in range(3):
        played = band(draw, 60, "click")
        kinds[f"clicks in a room, {index + 1}"] = (leaked(draw, played, RATE)[0], played)
    for index in range(6):
        played = band(draw, 60)
        kinds[f"band in a room, {index + 1}"] = (leaked(draw, played, RATE)[0], played)
    print(f"\n{'notes in a minute':28}   whole   live")
    for name, (samples, played) in kinds.items():
        if played is not None:
            samples = 0.3 * samples / abs(samples).max() + 1e-4 * draw.normal(size=len(samples))
        minutes = len(samples) / count
        whole, live = (len(transcribed(samples, played, how)) for how in (False, True))
        print(f"{name:28} {whole / minutes:7.1f} {live / minutes:6.1f}")


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("folder", nargs="?", type=pathlib.Path, default=ROOT / "tests/data/listening")
    arguments.add_argument("--limit", type=int, default=1000)
    options = arguments.parse_args()
    with_a_band(options.folder, options.limit)
    no_notes()


if __name__ == "__main__":
    main()
