"""Writes the weights for the core, in 8 bits with a scale for each output, and what the network then says of a short sound,
which holds the core's own arithmetic to this.

    export.py WEIGHTS.pt www/listen-model.bin tests/data/listening/reference.tsv
"""

import struct
import sys

import numpy
import torch

from features import RATE, compute
from network import Network

MARK = b"listens1"


def quantised(weights):
    """Whole numbers from -127 to 127 and a scale, a row an output; the nearest to what was learnt."""
    scales = abs(weights).max(1) / 127
    scales[scales == 0] = 1
    return numpy.round(weights / scales[:, None]).astype(numpy.int8), scales.astype(numpy.float32)


def layers(network):
    """Weights (output × input) and biases of each layer, in the order of the file."""
    time = [layer for layer in network.time]
    ordered = [network.first, network.second, network.third, network.reduce, network.joined]
    ordered += [*time, network.said, network.context, network.joint, network.pitch]
    for layer in ordered:
        weights = layer.weight.detach()
        # The inputs of a layer over time are frame by frame.
        shaped = weights if weights.dim() == 2 else weights.permute(0, 2, 1).reshape(len(weights), -1)
        yield layer, shaped.numpy(), numpy.zeros(len(weights)) if layer.bias is None else layer.bias.detach().numpy()


def example():
    """A second: two tones that decay, of 220 Hz from 0.2 s and 330 Hz from 0.6 s, five partials each."""
    time = numpy.arange(RATE) / RATE
    samples = numpy.zeros(RATE)
    for start, hertz in ((0.2, 220), (0.6, 330)):
        since = numpy.maximum(0, time - start)
        tone = sum(numpy.sin(2 * numpy.pi * hertz * n * since) / n for n in range(1, 6))
        samples += numpy.where(time >= start, 0.2 * tone * numpy.exp(-4 * since), 0)
    return samples.astype(numpy.float32)


def main():
    weights, model, reference = sys.argv[1:]
    network = Network()
    network.load_state_dict(torch.load(weights))
    network.eval()
    with open(model, "wb") as out:
        out.write(MARK)
        for layer, rows, biases in layers(network):
            whole, scales = quantised(rows)
            for row, scale in zip(whole, scales):
                out.write(struct.pack("<f", scale) + row.tobytes())
            out.write(biases.astype("<f4").tobytes())
            back = torch.from_numpy(whole.astype(numpy.float32) * scales[:, None])
            if layer.weight.dim() == 3:
                back = back.reshape(len(back), layer.weight.shape[2], -1).permute(0, 2, 1)
            layer.weight.data = back
    inputs = compute(example())
    with torch.no_grad():
        onset, sound, pitch = (one[0] for one in network(torch.from_numpy(inputs)[None]))
    pitch = torch.log_softmax(pitch, -1)
    with open(reference, "w") as out:
        out.write("# Written by scripts/listening/export.py: what its features and network give for its example.\n")
        out.write("# inputs, frame, values; said, frame, log odds of onset, probability of sound, logarithms of pitches.\n")
        for frame in (0, 20, 30, 76, 100):
            out.write("\t".join(["inputs", str(frame), *(f"{value:.4f}" for value in inputs[frame])]) + "\n")
        for frame in (0, 10, 25, 26, 30, 50, 75, 76, 80, 100):
            said = [onset[frame], torch.sigmoid(sound[frame]), *pitch[frame]]
            out.write("\t".join(["said", str(frame), *(f"{value:.4f}" for value in said)]) + "\n")


main()
