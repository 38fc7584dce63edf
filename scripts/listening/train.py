"""Trains the network on prepared takes; writes its weights every hundred steps, as OUT.pt and OUT-STEP.pt. `prepare.py` has
made DATA.inputs and DATA.answers.

    train.py OUT DATA… --steps 1500 --seed 1 --steady
    train.py OTHER DATA… --steps 800 --seed 2 --start OUT.pt
"""

import argparse
import os
import pickle
import time

os.environ.setdefault("OMP_NUM_THREADS", "1")
import numpy
import torch
from torch.nn import functional

from features import CHANNELS, INPUTS, PITCHES
from network import Network

FRAMES, BATCH = 128, 16
GRID = PITCHES * CHANNELS
# Of the channels the first eight are of the spectrum and move with the level; the others do not.
SPECTRAL = 8


def load(name):
    inputs = numpy.memmap(name + ".inputs", numpy.float16, "r").reshape(-1, INPUTS)
    with open(name + ".answers", "rb") as file:
        prepared = pickle.load(file)
    return inputs, prepared["answers"], prepared["ends"]


def batch(draw, data, shares):
    """Pieces of takes, each at another level and six in ten transposed by up to three semitones."""
    inputs = numpy.empty((BATCH, FRAMES, INPUTS), numpy.float32)
    onsets, sounding = numpy.empty((2, BATCH, FRAMES), numpy.float32)
    pitches = numpy.empty((BATCH, FRAMES), numpy.int64)
    for index in range(BATCH):
        source, (onset, sound, pitch), ends = data[draw.choice(len(data), p=shares)]
        take = draw.integers(len(ends) - 1)
        first = ends[take]
        if ends[take + 1] - first > FRAMES:
            first = draw.integers(first, ends[take + 1] - FRAMES + 1)
        first = min(first, len(source) - FRAMES)
        piece = slice(first, first + FRAMES)
        one = source[piece].astype(numpy.float32)
        grid = one[:, :GRID].reshape(FRAMES, PITCHES, CHANNELS)
        level = draw.uniform(-0.3, 0.2)
        spectral = grid[..., :SPECTRAL]
        grid[..., :SPECTRAL] = numpy.maximum(-1.06, spectral + level * (spectral > -0.9))
        one[:, GRID:] = numpy.maximum(-1, one[:, GRID:] + level)
        up = int(draw.integers(-3, 4)) if draw.random() < 0.6 else 0
        one[:, :GRID] = numpy.roll(grid, up, 1).reshape(FRAMES, -1)
        moved = pitch[piece].astype(numpy.int64) + up
        known = (pitch[piece] >= 0) & (moved >= 0) & (moved < PITCHES)
        inputs[index], onsets[index], sounding[index] = one, onset[piece], sound[piece]
        pitches[index] = numpy.where(known, moved, -1)
    return map(torch.from_numpy, (inputs, onsets, sounding, pitches))


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("out")
    arguments.add_argument("data", nargs="+")
    arguments.add_argument("--steps", type=int, default=3000)
    arguments.add_argument("--rate", type=float, default=3e-3)
    arguments.add_argument("--seed", type=int, default=1)
    arguments.add_argument("--start")
    arguments.add_argument("--steady", action="store_true", help="do not let the rate fall: another run goes on from here")
    options = arguments.parse_args()
    torch.set_num_threads(int(os.environ["OMP_NUM_THREADS"]))
    torch.manual_seed(options.seed)
    draw = numpy.random.default_rng(options.seed)
    data = [load(name) for name in options.data]
    shares = numpy.array([len(source) for source, _, _ in data], float)
    shares /= shares.sum()
    network = Network()
    if options.start:
        network.load_state_dict(torch.load(options.start))
    optimiser = torch.optim.AdamW(network.parameters(), lr=options.rate, weight_decay=1e-4)
    began, sums = time.time(), numpy.zeros(3)
    for step in range(options.steps):
        cosine = 1 if options.steady else 0.5 * (1 + numpy.cos(numpy.pi * step / options.steps)) + 0.005
        for group in optimiser.param_groups:
            group["lr"] = options.rate * min(1, step / (30 if options.start else 100) + 0.02) * cosine
        inputs, onsets, sounding, pitches = batch(draw, data, shares)
        onset, sound, pitch = network(inputs)
        # What the first frames say hangs on frames that were not shown.
        weight = torch.tensor(1.5)
        of_onset = functional.binary_cross_entropy_with_logits(onset[:, 8:], onsets[:, 8:], pos_weight=weight)
        of_sound = functional.binary_cross_entropy_with_logits(sound, sounding)
        of_pitch = functional.cross_entropy(pitch.reshape(-1, PITCHES), pitches.reshape(-1), ignore_index=-1)
        loss = 6 * of_onset + of_sound + of_pitch
        optimiser.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(network.parameters(), 2.0)
        optimiser.step()
        sums += [of_onset.item(), of_sound.item(), of_pitch.item()]
        if (step + 1) % 100 == 0:
            print(step + 1, f"{time.time() - began:.0f} s", sums / 100, flush=True)
            sums[:] = 0
            torch.save(network.state_dict(), f"{options.out}-{step + 1}.pt")
    torch.save(network.state_dict(), f"{options.out}.pt")


if __name__ == "__main__":
    main()
