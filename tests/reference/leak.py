"""What a microphone hears of the loudspeakers in a made-up room: small loudspeakers, rooms of several kinds, a delay that
nobody knows. For `listening.py`.

Rooms are boxes by the image-source method (J. B. Allen and D. A. Berkley, "Image method for efficiently simulating
small-room acoustics", J. Acoust. Soc. Am. 65(4), 1979) and noise that dies away (J. A. Moorer, "About this reverberation
business", Computer Music Journal 3(2), 1979).
"""

import numpy
from scipy import signal

SOUND = 343.0


def box(draw, rate):
    """From two loudspeakers 0.2 to 1 m apart to a microphone 0.3 to 1.5 m away, in a room of 8 to 100 cubic metres."""
    size = draw.uniform([2.2, 2.5, 2.2], [6.0, 5.5, 3.0])
    reflects = draw.uniform(0.55, 0.88)
    middle = draw.uniform(0.3, 0.7, 3) * size
    apart = draw.uniform(0.1, 0.5)
    away = draw.normal(size=3)
    microphone = middle + away / numpy.linalg.norm(away) * draw.uniform(0.3, 1.0)
    microphone = numpy.clip(microphone, 0.1, size - 0.1)
    count = int(0.5 * rate)
    responses = []
    for side in (-apart, apart):
        source = numpy.clip(middle + [side, 0, 0], 0.1, size - 0.1)
        response = numpy.zeros(count + 1)
        order = numpy.arange(-12, 13)
        n = numpy.stack(numpy.meshgrid(order, order, order, indexing="ij"), -1).reshape(-1, 3)
        for mirror in numpy.ndindex(2, 2, 2):
            mirror = numpy.array(mirror)
            image = (1 - 2 * mirror) * source + 2 * n * size
            distance = numpy.maximum(numpy.linalg.norm(image - microphone, axis=1), 0.05)
            bounces = (abs(n - mirror) + abs(n)).sum(1)
            at = distance / SOUND * rate
            whole, part = at.astype(int), at % 1
            heard = reflects**bounces / distance
            kept = whole < count
            numpy.add.at(response, whole[kept], heard[kept] * (1 - part[kept]))
            numpy.add.at(response, whole[kept] + 1, heard[kept] * part[kept])
        responses.append(response)
    return responses


def noise_tail(draw, rate):
    """A direct sound, and a tail of 0.15 to 0.5 s to -60 dB that lies 3 to 15 dB below it."""
    dies = draw.uniform(0.15, 0.5)
    count = int(dies * rate)
    below = draw.uniform(3, 15)
    responses = []
    for _ in range(2):
        tail = draw.normal(size=count) * 10 ** (-3 * numpy.arange(count) / count)
        tail[: int(0.002 * rate)] = 0
        tail *= 10 ** (-below / 20) / numpy.sqrt((tail**2).sum())
        tail[int(draw.uniform(0, 0.002) * rate)] += 1
        responses.append(tail)
    return responses


def loudspeaker(draw, samples, rate):
    """A small one: little below 100 to 300 Hz, and 0.3 to 2 % of distortion at the loudest."""
    low = signal.butter(2, draw.uniform(100, 300), "high", fs=rate, output="sos")
    samples = signal.sosfilt(low, samples)
    samples = samples / max(1e-9, abs(samples).max())
    bent, lopsided = draw.uniform(0.1, 0.5), draw.uniform(0, 0.02)
    return numpy.tanh(bent * samples) / bent + lopsided * samples**2


def leaked(draw, played, rate):
    """What is heard of `played` (frames × 2) and how late it comes at the earliest, in seconds."""
    response = (box if draw.random() < 0.5 else noise_tail)(draw, rate)
    late = draw.uniform(0.02, 0.15)
    heard = sum(
        signal.fftconvolve(loudspeaker(draw, played[:, side], rate), response[side])[: len(played)] for side in (0, 1)
    )
    out = numpy.zeros(len(played))
    first = int(late * rate)
    out[first:] = heard[: len(played) - first]
    return out, late
