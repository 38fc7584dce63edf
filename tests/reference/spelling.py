"""How often spelling without names is right, on melodies from the corpus that music21 ships.

    target/venv/bin/python tests/reference/spelling.py [--every N]

Each melody is turned into MIDI numbers and spelled again; a note is right when letter, accidental and octave are those
of the score. Every Nth piece of the large collections is taken (N is 10; 1 takes all, and some minutes).

"alone" is `riffloom spell` without a key (method ps13s1, then the nearer enharmonic twin of each passage); "in key"
has --key, the key that the score's signature and last note give; "blues" has --blues too, which calls a raised fourth
a lowered fifth, as blues players do and the composers of these melodies did not. Beside them two references: ps13s1
as the library partitura implements it, with the same context, and the names that music21 gives to bare MIDI numbers.
"""

import argparse
import logging
import warnings

import numpy
from music21 import corpus, key, pitch
from partitura.musicanalysis import estimate_spelling

from riffloom import ask

# Collections: what they are called here, where they stand in the corpus, which parts are melodies, whether sampled.
COLLECTIONS = [
    ("fiddle tunes (Ryan's Mammoth Collection)", "ryansMammoth", slice(0, 1), True),
    ("Bach, four-part chorales, each voice", "bach/bwv", slice(0, 4), True),
    ("string quartets of Haydn, Mozart, Beethoven, first violin", ("haydn", "mozart", "beethoven"), slice(0, 1), False),
]  # fmt: skip


def paths(folders):
    folders = (folders,) if isinstance(folders, str) else folders
    for path in sorted(corpus.getPaths()):
        inside = path.as_posix().split("/corpus/")[1]
        if path.suffix in (".abc", ".mxl") and any(inside.startswith(folder) for folder in folders):
            yield path


def melodies(folders, parts, every):
    """The melodies of a collection: spelled pitches and the key."""
    for path in list(paths(folders))[::every]:
        score = corpus.parse(path)
        for part in list(score.parts)[parts]:
            notes = [note.pitch for note in part.recurse().notes if note.isNote and note.tie is None]
            signature = next(iter(part.recurse().getElementsByClass(key.KeySignature)), None)
            if len(notes) >= 16 and signature is not None:
                yield notes, key_of(signature, notes[-1])


def key_of(signature, last):
    """Major or minor of the signature, minor where the melody ends on the minor key's home note."""
    minor = signature.asKey("minor").tonic
    mode = "minor" if last.name == minor.name else "major"
    return ascii_name(signature.asKey(mode).tonic.name) + ("m" if mode == "minor" else "")


def ascii_name(name):
    return name.replace("-", "b")


def partitura_names(numbers):
    """ps13s1 as partitura has it, with the context that ours uses."""
    fields = [("onset_beat", float), ("duration_beat", float), ("pitch", int), ("voice", int), ("id", "U8")]
    rows = [(float(index), 1.0, number, 1, f"n{index}") for index, number in enumerate(numbers)]
    spelled = estimate_spelling(numpy.array(rows, dtype=fields), K_pre=10, K_post=42)
    signs = {alter: ("b" if alter < 0 else "#") * abs(alter) for alter in range(-9, 10)}
    return [f"{note['step']}{signs[int(note['alter'])]}{note['octave']}" for note in spelled]


def spelled(options, melodies):
    """What the command line makes of each melody with its options."""
    questions = [["spell", *some, *melody] for some, melody in zip(options, melodies, strict=True)]
    return [answer["notes"] for answer in ask(questions)]


def measure(name, folders, parts, every):
    pieces = list(melodies(folders, parts, every))
    truth = [[ascii_name(note.nameWithOctave) for note in notes] for notes, _ in pieces]
    numbers = [[note.midi for note in notes] for notes, _ in pieces]
    words = [[str(number) for number in melody] for melody in numbers]
    keys = [["--key", name] for _, name in pieces]
    alone = spelled([[]] * len(pieces), words)
    in_key = spelled(keys, words)
    blues = spelled([["--blues", *key] for key in keys], words)
    partitura = [partitura_names(melody) for melody in numbers]
    music21 = [[ascii_name(pitch.Pitch(midi=number).nameWithOctave) for number in melody] for melody in numbers]
    total = sum(map(len, truth))
    right = [
        sum(a == b for piece, answer in zip(truth, method, strict=True) for a, b in zip(piece, answer, strict=True))
        for method in (alone, in_key, blues, partitura, music21)
    ]
    same = sum(a == b for one, other in zip(alone, partitura, strict=True) for a, b in zip(one, other, strict=True))
    print(
        f"{name}: {len(pieces)} melodies, {total} notes\n"
        f"  riffloom: alone {right[0] / total:.2%}, in key {right[1] / total:.2%}, blues {right[2] / total:.2%}\n"
        f"  partitura {right[3] / total:.2%} (the same as alone in {same / total:.2%}), music21 {right[4] / total:.2%}",
        flush=True,
    )


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--every", type=int, default=10, help="take every Nth piece of the large collections")
    every = max(1, parser.parse_args().every)
    logging.disable(logging.WARNING)
    warnings.simplefilter("ignore")
    for name, folders, parts, sampled in COLLECTIONS:
        measure(name, folders, parts, every if sampled else 1)


if __name__ == "__main__":
    main()
