"""Writes takes (`sounds.py`) as clips to be transcribed: DIR/audio/*.wav and DIR/truth/*.json, for `scripts/bench listening`.

    clips.py TAKES.pkl DIR --seed 1
"""

import argparse
import json
import os
import pickle

import numpy
import soundfile

from features import RATE
from rooms import heard

arguments = argparse.ArgumentParser()
arguments.add_argument("takes")
arguments.add_argument("folder")
arguments.add_argument("--seed", type=int, required=True)
options = arguments.parse_args()
with open(options.takes, "rb") as file:
    takes = pickle.load(file)
for part in ("audio", "truth"):
    os.makedirs(os.path.join(options.folder, part), exist_ok=True)
for index, take in enumerate(takes):
    samples, notes, way, clicks = heard(take, numpy.random.default_rng([options.seed, index]))
    name = f"{index:03}"
    soundfile.write(os.path.join(options.folder, "audio", name + ".wav"), numpy.clip(samples, -1, 1), RATE)
    about = {"id": name, "instrument": take["voice"], "variant": way, "duration_s": len(samples) / RATE}
    with open(os.path.join(options.folder, "truth", name + ".json"), "w") as file:
        json.dump({**about, "clicks": clicks, "notes": notes}, file)
