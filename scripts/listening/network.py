"""The network: for each semitone a small layer with shared weights, then convolutions over time over all of it."""

import torch
from torch import nn
from torch.nn import functional

from features import CHANNELS, PITCHES

WIDTH, FIRST, SECOND, THIRD, JOINT = 48, 16, 10, 8, 12
TAPS, PITCH_AFTER = 5, 2
# Distance between the taps of each layer over time, and how many of its five taps lie in the future. With the two of the
# layer over pitches the network sees five frames ahead: 40 ms.
TIME = [(1, 2), (1, 1), (2, 0), (4, 0), (8, 0)]


class Network(nn.Module):
    def __init__(self):
        super().__init__()
        self.first = nn.Linear(CHANNELS, FIRST)
        self.second = nn.Linear(FIRST, SECOND)
        self.third = nn.Linear(TAPS * SECOND, THIRD)
        self.reduce = nn.Linear(THIRD, 2)
        self.joined = nn.Linear(2 * PITCHES + 50, WIDTH)
        self.time = nn.ModuleList([nn.Conv1d(WIDTH, WIDTH, TAPS, dilation=apart) for apart, _ in TIME])
        self.said = nn.Linear(WIDTH, 2)
        self.context = nn.Linear(WIDTH, JOINT)
        self.joint = nn.Linear(THIRD, JOINT, bias=False)
        self.pitch = nn.Linear(JOINT, 1)

    def forward(self, inputs):
        """Inputs are batch × frames × inputs; gives log odds of onset and of sound, and pitches before the softmax."""
        batch, frames, _ = inputs.shape
        grid = inputs[..., : PITCHES * CHANNELS].reshape(batch, frames, PITCHES, CHANNELS)
        hidden = functional.relu(self.second(functional.relu(self.first(grid))))
        before = TAPS - 1 - PITCH_AFTER
        padded = functional.pad(hidden, (0, 0, 0, 0, before, PITCH_AFTER))
        taps = torch.cat([padded[:, tap : tap + frames] for tap in range(TAPS)], -1)
        hidden = functional.relu(self.third(taps))
        reduced = self.reduce(hidden).reshape(batch, frames, 2 * PITCHES)
        over = functional.relu(self.joined(torch.cat([reduced, inputs[..., PITCHES * CHANNELS :]], -1))).transpose(1, 2)
        for layer, (apart, after) in zip(self.time, TIME):
            over = over + functional.relu(layer(functional.pad(over, ((TAPS - 1 - after) * apart, after * apart))))
        over = over.transpose(1, 2)
        said = self.said(over)
        pitch = self.pitch(functional.relu(self.joint(hidden) + self.context(over)[:, :, None])).squeeze(-1)
        return said[..., 0], said[..., 1], pitch
