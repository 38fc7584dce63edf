"""Which played note stands for which: this core beside dynamic time warping from a library, and a performance by a pianist
that another library ships with its alignment. No test; it prints a table and takes a few minutes:

    python3 -m venv target/venv-pairing
    target/venv-pairing/bin/pip install --requirement tests/reference/requirements-pairing.txt
    target/venv-pairing/bin/pip install --no-deps parangonar==3.4.0
    cargo build --release --bin riffloom
    cargo run --release --example pairing_table -- --dump | target/venv-pairing/bin/python tests/reference/pairing.py

The time warping is that of dtw-python (T. Giorgino, "Computing and visualizing dynamic time warping alignments in R: the
dtw package", Journal of Statistical Software 31(7), 2009), on notes as they come: their distance is that of their onsets
in seconds, and half a second more where the pitches differ. Of the notes on its path that share a pitch each stands once,
the nearest in time first. The performance is one of W. A. Mozart's variations K. 265, of which the highest note at each
onset is taken; it is held against the written score at one tempo throughout.
"""

import collections
import json
import os
import pathlib
import re
import statistics
import subprocess
import sys
import tempfile

import numpy
from dtw import dtw


def f_measure(found, meant):
    shared = len(set(map(tuple, found)) & set(map(tuple, meant)))
    return 2 * shared / (len(found) + len(meant)) if found or meant else 1.0


def warped(target, played):
    """Pairs of the same pitch on the path of least distance."""
    target, played = numpy.array(target, float), numpy.array(played, float)
    distance = abs(target[:, None, 0] - played[None, :, 0])
    distance += 0.5 * (target[:, None, 1] != played[None, :, 1])
    path = dtw(distance)
    pairs = [(i, j) for i, j in zip(path.index1, path.index2) if target[i, 1] == played[j, 1]]
    kept, used = [], (set(), set())
    for i, j in sorted(pairs, key=lambda pair: distance[pair]):
        if i not in used[0] and j not in used[1]:
            kept.append((int(i), int(j)))
            used[0].add(i)
            used[1].add(j)
    return kept


def looped():
    rows = collections.defaultdict(lambda: ([], []))
    for line in sys.stdin:
        one = json.loads(line)
        ours, theirs = rows[one["moves"], one["errors"], one["jitter"]]
        ours.append(f_measure(one["found"], one["meant"]))
        theirs.append(f_measure(warped(one["target"], one["played"]), one["meant"]))
    print("tempo           errors jitter | F: ours  worst | dtw-python  worst | performances")
    for (moves, errors, jitter), (ours, theirs) in sorted(rows.items()):
        print(
            f"{moves:15} {errors:6.0%} {1e3 * jitter:3.0f} ms | {statistics.mean(ours):7.4f} {min(ours):6.3f} | "
            f"{statistics.mean(theirs):10.4f} {min(theirs):6.3f} | {len(ours)}"
        )


def shipped(path):
    """The highest written note at each onset and what was played for it, from a match file: (target, played, meant)."""
    step = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
    alter = {"n": 0, "#": 1, "b": -1, "x": 2, "##": 2, "bb": -2}
    name = r"\[([A-G]),([^\]]+)\],(-?\d+)"
    snote = re.compile(r"snote\([^,]+," + name + r",[^,]+,[^,]+,[^,]+,([-\d.]+),")
    note = re.compile(r"note\([^,]+," + name + r",(\d+),")
    midi = lambda match: 12 * (int(match[3]) + 1) + step[match[1]] + alter[match[2]]
    top = {}
    for line in pathlib.Path(path).read_text().splitlines():
        written, heard = snote.match(line), note.search(line.split(")-", 1)[-1]) if ")-" in line else None
        if written is None:
            continue
        beat = float(written[4])
        if beat not in top or midi(written) > top[beat][0]:
            # A quarter is half a second; so is that of the file's 480 ticks.
            seconds = int(heard[4]) / 960 if heard and heard.re is note else None
            top[beat] = (midi(written), seconds, midi(heard) if seconds is not None else None)
    target = [(beat / 2, pitch) for beat, (pitch, _, _) in sorted(top.items())]
    played, meant = [], []
    for index, (_, (_, seconds, pitch)) in enumerate(sorted(top.items())):
        if seconds is not None:
            played.append((seconds, pitch, index))
    played.sort()
    meant = [(index, at) for at, (_, pitch, index) in enumerate(played) if target[index][1] == pitch]
    return target, [(seconds, pitch) for seconds, pitch, _ in played], meant


def scored(target, played):
    program = os.environ.get("RIFFLOOM", "target/release/riffloom")
    with tempfile.TemporaryDirectory() as folder:
        paths = []
        for name, notes in (("target", target), ("played", played)):
            path = pathlib.Path(folder) / f"{name}.json"
            path.write_text(json.dumps([{"onset": at, "midi": pitch} for at, pitch in notes]))
            paths.append(str(path))
        command = [program, "score", "--target", paths[0], "--played", paths[1]]
        answer = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
    return [(i, j) for i, j in answer["pairs"] if target[i][1] == played[j][1]], answer


def main():
    looped()
    try:
        import importlib.util

        spec = importlib.util.find_spec("parangonar")
        path = pathlib.Path(spec.submodule_search_locations[0]) / "assets" / "mozart_k265_var1.match"
    except AttributeError:
        print("parangonar is not installed: no performance by a pianist")
        return
    target, played, meant = shipped(path)
    for tempo in (1.0, 0.9, 1.25):
        there = [(at * tempo, pitch) for at, pitch in target]
        pairs, answer = scored(there, played)
        print(
            f"pianist, {len(target)} notes, written {tempo:.2f} times as long: F ours {f_measure(pairs, meant):.4f}, "
            f"dtw-python {f_measure(warped(there, played), meant):.4f}; drift {answer['drift_ms_per_minute']:.0f} ms a minute"
        )


if __name__ == "__main__":
    main()
