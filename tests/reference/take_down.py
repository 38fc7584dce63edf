"""Riffs out of real melodies, played by a made-up player and taken down again.

The melodies are folk songs and fiddle tunes from the corpus that music21 ships: two bars of common time each, of whole,
half, quarter and eighth notes, dotted ones too, as the corpus writes them. The player is written here and shares nothing
with the program: tempo, swing, lateness and spread are drawn at random, a note is let go 15 to 65 ms before its end.

Run by itself it prints the table, for eighths and for melodies with sixteenths, which are played straight.
"""

import fractions
import json
import pathlib
import random
import sys
import tempfile
import unittest

from music21 import converter, corpus

import riffloom

BARS, BAR = 2, 4


def notes_of(score):
    """(onset, length, MIDI number) in quarters of a melody in 4/4 that begins on a bar line; None for any other."""
    part = score.parts[0] if score.parts else score
    if {metre.ratioString for metre in part.recurse().getElementsByClass("TimeSignature")} != {"4/4"}:
        return None
    measures = list(part.getElementsByClass("Measure"))
    if not measures or measures[0].duration.quarterLength != BAR:
        return None
    flat = part.stripTies().flatten().notes
    notes = [(fractions.Fraction(one.offset), fractions.Fraction(one.quarterLength), one.pitch.midi) for one in flat if one.isNote]
    ascending = all(one[0] + one[1] <= other[0] for one, other in zip(notes, notes[1:]))
    return notes if ascending and notes else None


def pieces(parts, count, finest, seed):
    """Two bars each of melodies from `parts` of the corpus whose finest step is this part of a quarter."""
    chance, found = random.Random(seed), []
    paths = [path for part in parts for path in sorted(map(str, corpus.getComposer(part)))]
    chance.shuffle(paths)
    for path in paths:
        try:
            read = converter.parse(path) if not path.endswith(".abc") else corpus.parse(path)
            scores = list(read.scores) if hasattr(read, "scores") else [read]
        except Exception:  # a file that music21 itself does not read
            continue
        for score in scores[:12]:
            notes = notes_of(score)
            if notes is None:
                continue
            end = max(at + length for at, length, _ in notes)
            starts = [bar * BAR for bar in range(int(end) // BAR - 1)]
            if not starts:
                continue
            begin = chance.choice(starts)
            piece = [(at - begin, length, midi) for at, length, midi in notes if begin <= at and at + length <= begin + BARS * BAR]
            steps = [(value * finest).denominator == 1 for at, length, _ in piece for value in (at, length)]
            fine = any((at * (finest // 2)).denominator != 1 for at, _, _ in piece) if finest > 2 else True
            if 4 <= len(piece) <= 12 and piece[0][0] < BAR and all(steps) and fine:
                found.append(piece)
            if len(found) == count:
                return found
    return found


def bent(at, off_beat):
    """Where a place in quarters sounds when the second half of a beat begins at `off_beat` of it."""
    beat, within = divmod(float(at), 1.0)
    return beat + (2 * within * off_beat if within < 0.5 else off_beat + (2 * within - 1) * (1 - off_beat))


def played(piece, chance, spread, swing):
    tempo = chance.uniform(60, 140)
    off_beat = swing / (1 + swing)
    late, gap = chance.uniform(-0.04, 0.04), chance.uniform(0.015, 0.065)
    notes = []
    for at, length, midi in piece:
        onset = bent(at, off_beat) * 60 / tempo + late + chance.gauss(0, spread)
        end = bent(at + length, off_beat) * 60 / tempo + late - gap + chance.gauss(0, spread)
        notes.append({"onset": onset, "end": max(end, onset + 0.04), "midi": midi})
    for note, following in zip(notes, notes[1:]):
        note["end"] = min(note["end"], following["onset"]) if following["onset"] > note["onset"] else note["end"]
    return notes, tempo


def read(abc):
    """(onset from the bar line, length, MIDI number) of a reading."""
    score = converter.parse(abc, format="abc")
    flat = score.parts[0].stripTies().flatten().notes if score.parts else score.stripTies().flatten().notes
    return [(fractions.Fraction(one.offset), fractions.Fraction(one.quarterLength), one.pitch.midi) for one in flat if one.isNote]


def shares(found, spread, swung, about, seed):
    """How often the best reading is the piece, and one of the first three."""
    chance = random.Random(seed)
    questions = []
    with tempfile.TemporaryDirectory() as folder:
        for index, piece in enumerate(found):
            notes, tempo = played(piece, chance, spread, chance.uniform(1.0, 2.2 if swung else 1.2))
            told = tempo * (chance.uniform(0.95, 1.05) if about else 1)
            path = pathlib.Path(folder) / f"{index}.json"
            path.write_text(json.dumps(notes))
            questions.append(["take-down", "--played", str(path), "--tempo", f"{told:.4f}", "--key", "C"] + (["--about"] if about else []))
        answers = riffloom.ask(questions)
    best = among = 0
    for piece, answer in zip(found, answers):
        equal = [relative(read(reading["abc"]), reading["start"], piece) for reading in answer["readings"]]
        best += equal[0]
        among += any(equal)
    return best / len(found), among / len(found)


def relative(notes, start, piece):
    """Whether a reading is the piece. A pickup's ABC begins with a short bar; other places are counted from the first."""
    first = piece[0][0]
    shift = first - notes[0][0] if notes else 0
    return [(at + shift, length, midi) for at, length, midi in notes] == piece and float(start) <= float(first)


class TakeDown(unittest.TestCase):
    def test_folk_songs_in_eighths_are_taken_down(self):
        found = pieces(["essenFolksong"], 80, 2, seed=11)
        self.assertGreaterEqual(len(found), 60)
        for spread, least in ((0.015, 0.97), (0.025, 0.93)):
            best, _ = shares(found, spread, swung=True, about=False, seed=5)
            self.assertGreaterEqual(best, least, spread)


def main():
    sets = {
        "folk songs in eighths": (pieces(["essenFolksong"], 200, 2, seed=21), True),
        "fiddle tunes with sixteenths": (pieces(["ryansMammoth"], 100, 4, seed=22), False),
    }
    print("melodies, two bars each          spread  tempo   number  equal  in three")
    for name, (found, swung) in sets.items():
        for about in (False, True):
            for spread in (0.015, 0.025, 0.035):
                best, among = shares(found, spread, swung, about, seed=31)
                print(f"{name:<32} {spread * 1e3:3.0f} ms  {'±5 %' if about else 'heard'}  {len(found):>6}  {best:.3f}  {among:.3f}")


if __name__ == "__main__":
    sys.exit(main() if sys.argv[1:] == [] else unittest.main())
