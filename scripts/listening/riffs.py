"""Riffs by chance, from a seed: what the sounds for training play."""

import numpy

SCALES = [
    [0, 2, 4, 5, 7, 9, 11],
    [0, 2, 3, 5, 7, 8, 10],
    [0, 3, 5, 6, 7, 10],
    [0, 3, 5, 7, 10],
    [0, 2, 4, 7, 9],
    [0, 2, 3, 5, 7, 9, 10],
    list(range(12)),
]
STEPS = [-4, -3, -2, -1, -1, 1, 1, 2, 3, 4]
SHORTEST_SECONDS = 0.085


def beats(draw):
    """The ways in which a beat or two may be divided, in beats."""
    feel = draw.choice(["straight", "swing", "triplet"])
    if feel == "triplet":
        return [[1 / 3] * 3, [2 / 3, 1 / 3], [1 / 3, 2 / 3], [1], [1 / 3] * 3]
    if feel == "swing":
        long = draw.uniform(0.55, 0.7)
        return [[long, 1 - long], [long, 1 - long], [1], [1 / 3] * 3, [2]]
    return [[0.5, 0.5], [1], [0.25] * 4, [0.5, 0.25, 0.25], [0.25, 0.25, 0.5], [0.75, 0.25], [2], [1.5, 0.5]]


def riff(draw, lowest, highest):
    """Notes of one voice between two MIDI notes: lists of start and length in seconds, MIDI note, velocity.

    A sixth of the riffs has crushed notes, the repeats of a pitch are 8 to 40 in a hundred, some notes overlap the next
    by up to 30 ms, as a player's do.
    """
    quarter = 60 / draw.uniform(55, 175)
    cells = beats(draw)
    scale, key = SCALES[draw.integers(len(SCALES))], draw.integers(12)
    pitches = [midi for midi in range(lowest, highest + 1) if (midi - key) % 12 in scale]
    width = min(len(pitches), draw.integers(6, 16))
    first = draw.integers(0, len(pitches) - width + 1)
    pitches = pitches[first : first + width]
    at = draw.integers(len(pitches))
    repeats, crushed, rests = draw.choice([0.08, 0.18, 0.4]), draw.choice([0, 0.05, 0.15]), draw.choice([0, 0.1, 0.25])
    legato = draw.random()
    notes, time, beat, last = [], 0.0, 0.0, draw.integers(4, 9)
    while beat < last:
        for part in cells[draw.integers(len(cells))]:
            length = max(part * quarter, SHORTEST_SECONDS)
            if draw.random() > rests:
                if draw.random() > repeats:
                    step = draw.choice([*STEPS, draw.integers(-7, 8)])
                    at = int(numpy.clip(at + step, 0, len(pitches) - 1))
                gate = 1.0 if draw.random() < legato else draw.uniform(0.35, 0.97)
                velocity = int(numpy.clip(draw.normal(82, 16), 30, 127))
                start = max(0, time + draw.normal(0, 0.006))
                if draw.random() < crushed and length > 0.16:
                    short = draw.uniform(0.05, 0.09)
                    below = pitches[at] - int(draw.choice([1, 2, 1, 2, -1, -2]))
                    notes.append([start, short, below, int(velocity * 0.85)])
                    notes.append([start + short, max(0.06, (length - short) * gate), pitches[at], velocity])
                else:
                    notes.append([start, max(0.05, length * gate), pitches[at], velocity])
            time, beat = time + length, beat + part
    if not notes:
        return riff(draw, lowest, highest)
    for one, following in zip(notes, notes[1:]):
        overlap = draw.uniform(0, 0.03) if draw.random() < 0.2 else 0
        one[1] = max(0.04, min(one[1], following[0] - one[0] + overlap))
    return notes
