"""What happens to a sound on its way to the core: level, small microphones, rooms, noise, a click that is not part of it."""

import numpy
from scipy import fft
from scipy.signal import butter, lfilter

from features import RATE


def click(draw):
    """A click of one of four kinds: two of a decaying sine, a burst of noise, a short beep."""
    time = numpy.arange(int(0.12 * RATE)) / RATE
    kind, hertz, decay = draw.integers(4), draw.uniform(500, 3200), draw.uniform(0.002, 0.025)
    sine = numpy.sin(2 * numpy.pi * hertz * time)
    if kind == 0:
        sound = sine * numpy.exp(-time / decay)
    elif kind == 1:
        other = numpy.sin(2 * numpy.pi * hertz * draw.uniform(1.3, 2.9) * time)
        sound = (sine + 0.5 * other) * numpy.exp(-time / decay)
    elif kind == 2:
        sound = draw.normal(size=len(time)) * numpy.exp(-2 * time / decay)
    else:
        length = draw.uniform(0.01, 0.06)
        sound = sine * (time < length) * numpy.clip((length - time) / 0.003, 0, 1) * numpy.clip(time / 0.001, 0, 1)
    return (sound / abs(sound).max()).astype(numpy.float32)


def noise(draw, count):
    """White, pink or brown."""
    white = draw.normal(size=count).astype(numpy.float32)
    kind = draw.integers(3)
    if kind == 0:
        return white
    spectrum = fft.rfft(white)
    hertz = numpy.maximum(numpy.arange(len(spectrum)) * RATE / count, 20)
    return fft.irfft(spectrum / hertz ** (0.5 if kind == 1 else 1), count).astype(numpy.float32)


def in_room(draw, samples):
    """A tail of 0.15 to 1.1 s with a few early reflections."""
    count = int(draw.uniform(0.15, 1.1) * RATE)
    response = draw.normal(size=count).astype(numpy.float32) * 10 ** (-3 * numpy.arange(count) / count)
    response[: int(draw.uniform(0, 0.012) * RATE)] = 0
    for _ in range(draw.integers(0, 6)):
        loud = numpy.sqrt((response**2).sum())
        response[int(draw.uniform(0.002, 0.03) * RATE) % count] += draw.normal() * 0.5 * loud
    response *= 10 ** (draw.uniform(-18, -1) / 20) / numpy.sqrt((response**2).sum() + 1e-9)
    response[0] = 1
    size = fft.next_fast_len(len(samples) + count)
    return fft.irfft(fft.rfft(samples, size) * fft.rfft(response, size), size)[: len(samples)].astype(numpy.float32)


def heard(take, draw):
    """The samples of a take as a microphone might give them, its notes (one take in seventeen has lost them), in which way,
    and when clicks are."""
    notes = take["notes"]
    samples = take["samples"].astype(numpy.float32) / 32_000
    samples = samples[: int((notes[-1]["offset"] + 0.8) * RATE)].copy()
    samples *= 10 ** (-draw.uniform(2, 22) / 20) / abs(samples).max()
    peak = abs(samples).max()
    way = draw.choice(["clean", "room", "click", "noise", "all"], p=[0.23, 0.22, 0.22, 0.2, 0.13])
    if draw.random() < 0.06:
        samples[:], notes, way = 0, [], draw.choice(["click", "noise", "all"])
    if draw.random() < 0.4:
        band = [draw.uniform(30, 150) / 12_000, draw.uniform(3500, 11_500) / 12_000]
        passed = lfilter(*butter(1, band, "band"), samples).astype(numpy.float32)
        samples = 0.2 * samples + 0.8 * passed if draw.random() < 0.5 else passed
    clicks = []
    if way in ("room", "all"):
        samples = in_room(draw, samples)
    if way in ("click", "all"):
        plain = click(draw)
        accented = click(draw) if draw.random() < 0.5 else plain
        period, time, index = draw.uniform(0.25, 1.1), draw.uniform(0, 0.5), 0
        loud = peak * 10 ** (draw.uniform(-22, -5) / 20)
        bar = draw.choice([2, 3, 4])
        # Three in five are on a grid that the notes are on.
        if notes and draw.random() < 0.6:
            time = notes[draw.integers(len(notes))]["onset"] % period
        while time * RATE < len(samples) - 10:
            sound = (accented if index % bar == 0 else plain) * loud
            at = int(time * RATE)
            samples[at : at + len(sound)] += sound[: len(samples) - at]
            clicks.append(time)
            time, index = time + period, index + 1
    if way in ("noise", "all") or draw.random() < 0.15:
        hiss = noise(draw, len(samples))
        loud = numpy.sqrt((samples**2).mean()) if notes else peak / 6
        samples += hiss * (loud * 10 ** (-draw.uniform(12, 40) / 20) / hiss.std())
    samples += (10 ** (-draw.uniform(70, 100) / 20) * draw.normal(size=len(samples))).astype(numpy.float32)
    return samples, notes, way, clicks
