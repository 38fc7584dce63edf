"""Turns takes (`sounds.py`) into what the network is shown: OUT.inputs in half precision, OUT.answers.

    prepare.py TAKES.pkl OUT --seed 1 [--copies 1]
"""

import argparse
import pickle

import numpy

from features import INPUTS, answers, compute
from rooms import heard

arguments = argparse.ArgumentParser()
arguments.add_argument("takes")
arguments.add_argument("out")
arguments.add_argument("--seed", type=int, required=True)
arguments.add_argument("--copies", type=int, default=1)
options = arguments.parse_args()
with open(options.takes, "rb") as file:
    takes = pickle.load(file)
told, ends, about = [], [0], []
with open(options.out + ".inputs", "wb") as raw:
    for copy in range(options.copies):
        for index, take in enumerate(takes):
            samples, notes, way, _ = heard(take, numpy.random.default_rng([options.seed, copy, index]))
            inputs = compute(samples).astype(numpy.float16)
            raw.write(inputs.tobytes())
            told.append(answers(notes, len(inputs)))
            ends.append(ends[-1] + len(inputs))
            about.append({"voice": take["voice"], "way": way, "notes": notes})
with open(options.out + ".answers", "wb") as file:
    pickle.dump({"answers": [numpy.concatenate(column) for column in zip(*told)], "ends": ends, "about": about}, file)
print(options.out, ends[-1], "frames", len(about), "takes", INPUTS, "inputs")
