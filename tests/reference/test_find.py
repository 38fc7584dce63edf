"""Figures that come again in real melodies, beside a published method of finding them.

The melodies are fiddle tunes from *Ryan's Mammoth Collection* (1883) in the corpus that music21 ships. Each bar's notes
are looked for in the whole tune. The published method is the matching of point sets by translation: G. A. Wiggins,
K. Lemström and D. Meredith, "SIA(M)ESE: an algorithm for transposition invariant, polyphonic content-based music
retrieval", ISMIR 2002: for each vector in time and pitch, how many notes of the figure have a note there.

Run by itself it prints the table; with the word "sample", some of the places that only we find, to be judged by hand as
in tests/data/found_again.tsv.
"""

import collections
import fractions
import json
import pathlib
import random
import sys
import tempfile
import unittest

from music21 import corpus

import riffloom

TUNES, BAR, FEWEST = 24, 4, 4
# Pitch classes in ABC, with an accidental on every note.
NAMES = ["=C", "^C", "=D", "^D", "=E", "=F", "^F", "=G", "^G", "=A", "^A", "=B"]


def melody(path):
    """(onset, length, MIDI number) in quarters, or None for what is not plain common time in sixteenths."""
    score = corpus.parse(path)
    part = score.parts[0] if score.parts else score
    metres = {metre.ratioString for metre in part.recurse().getElementsByClass("TimeSignature")}
    if metres != {"4/4"}:
        return None
    flat = part.flatten().notes
    notes = [(fractions.Fraction(one.offset), fractions.Fraction(one.quarterLength), one.pitch.midi) for one in flat if one.isNote]
    plain = all((at * 4).denominator == 1 and (length * 4).denominator == 1 for at, length, _ in notes)
    end = max((at + length for at, length, _ in notes), default=0)
    ascending = all(one[0] < other[0] for one, other in zip(notes, notes[1:]))
    return notes if plain and ascending and 8 * BAR <= end <= 48 * BAR else None


def melodies(count=TUNES):
    found = []
    for path in sorted(map(str, corpus.getComposer("ryansMammoth"))):
        notes = melody(path)
        if notes:
            found.append((pathlib.Path(path).stem, notes))
        if len(found) == count:
            break
    return found


def abc(notes, begin):
    """One bar of ABC."""
    text, at = "", begin
    for onset, length, midi in notes:
        length = min(length, begin + BAR - onset)
        if onset > at:
            text += f"z{(onset - at) * 4}"
        octave, name = divmod(midi - 60, 12)
        sign, letter = NAMES[name]
        letter = letter.lower() + "'" * (octave - 1) if octave > 0 else letter + "," * -octave
        text += f"{sign}{letter}{length * 4}"
        at = onset + length
    if at < begin + BAR:
        text += f"z{(begin + BAR - at) * 4}"
    return f"X:1\nM:4/4\nL:1/16\nK:C\n{text}|]\n"


def translations(figure, notes):
    """For each vector, how many notes of `figure` it brings onto a note: SIAM."""
    return collections.Counter((at - own, midi - pitch) for own, _, pitch in figure for at, _, midi in notes)


def questions(tunes, folder):
    asked = []
    for index, (_, notes) in enumerate(tunes):
        played = folder / f"{index}.json"
        played.write_text(json.dumps([{"onset": float(at), "midi": midi} for at, _, midi in notes]))
        end = max(at + length for at, length, _ in notes)
        form = " | ".join(["C"] * int(-(-end // BAR)))
        seen = set()
        for begin in range(0, int(end), BAR):
            figure = [note for note in notes if begin <= note[0] < begin + BAR]
            key = tuple((at - begin, midi) for at, _, midi in figure)
            if len(figure) < FEWEST or key in seen:
                continue
            seen.add(key)
            path = folder / f"{index}-{begin}.abc"
            path.write_text(abc(figure, begin))
            words = ["find", "--key", "C", "--form", form, "--tempo", "60", "--feel", "1:1", "--played", str(played)]
            asked.append(((notes, figure, begin), [*words, str(path)]))
    return asked


# Rows of the table: what the published method says of an occurrence.
KINDS = ["all notes, same pitch", "all notes, moved", "all but one, same pitch", "all but one, moved"]


def kind(count, size, pitch):
    if count == size:
        return KINDS[0] if pitch == 0 else KINDS[1]
    if count == size - 1:
        return KINDS[2] if pitch == 0 else KINDS[3]
    return None


def compare(tunes):
    """By kind, how many occurrences the published method has and how many of these we have; and what we have alone: the
    tune, its notes, the figure, and where each begins in quarters."""
    theirs, both, alone, ours_all = collections.Counter(), collections.Counter(), [], 0
    names = {id(notes): name for name, notes in tunes}
    with tempfile.TemporaryDirectory() as folder:
        asked = questions(tunes, pathlib.Path(folder))
        answers = riffloom.ask([words for _, words in asked])
    for ((notes, figure, begin), _), answer in zip(asked, answers):
        assert "error" not in answer, answer
        ours = [(one["bar"] - 1) * BAR + one["quarter"] for one in answer["found"]]
        ours_all += len(ours)
        best = {}
        for (time, pitch), count in translations(figure, notes).items():
            what = kind(count, len(figure), pitch)
            # Half beats, as a riff may be displaced; the strongest at each time.
            if what and (2 * time).denominator == 1:
                rank = KINDS.index(what)
                best[time] = min(rank, best.get(time, rank))
        # An occurrence that overlaps a stronger one is part of it.
        kept = []
        for time in sorted(best, key=lambda time: (best[time], time)):
            if all(abs(time - other) >= BAR for other in kept):
                kept.append(time)
        for time in kept:
            theirs[KINDS[best[time]]] += 1
            both[KINDS[best[time]]] += any(abs(begin + time - at) < 0.5 for at in ours)
        only = (at for at in ours if all(abs(begin + time - at) >= BAR for time in kept))
        alone += [(names[id(notes)], notes, figure, begin, at) for at in only]
    return len(asked), theirs, both, ours_all, alone


def judged():
    """The places that were judged by hand: tune, bar of the figure, bar and beat in which it was found; and the verdict."""
    lines = (riffloom.ROOT / "tests/data/found_again.tsv").read_text().splitlines()
    rows = [line.split("\t") for line in lines if line and not line.startswith("#")][1:]
    return {(tune, int(figure), int(bar), float(beat)): verdict for tune, figure, bar, beat, verdict, _ in rows}


def place(found):
    tune, _, _, begin, at = found
    return tune, begin // BAR + 1, int(at // BAR) + 1, float(at % BAR) + 1


class Figures(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.tunes = melodies(6)
        _, cls.theirs, cls.both, _, cls.alone = compare(cls.tunes)

    def test_what_comes_again_note_for_note_is_found(self):
        self.assertGreater(self.theirs[KINDS[0]], 50)
        self.assertGreaterEqual(self.both[KINDS[0]] / self.theirs[KINDS[0]], 0.95)

    def test_what_was_judged_by_hand_is_what_is_found(self):
        names = {name for name, _ in self.tunes}
        here = {row for row in judged() if row[0] in names}
        self.assertGreater(len(here), 5)
        self.assertLessEqual(here, set(map(place, self.alone)))

    def test_most_places_that_were_judged_by_hand_are_right(self):
        verdicts = list(judged().values())
        self.assertGreaterEqual(len(verdicts), 30)
        self.assertGreaterEqual(verdicts.count("right") / len(verdicts), 0.95)


def spelled(notes, begin):
    return " ".join(f"{float(at - begin):g}:{NAMES[midi % 12]}{midi // 12 - 1}" for at, _, midi in notes)


def sample(alone, count=32):
    """The figure, and the bar in which it was found: quarters into the bar, and pitches."""
    for found in sorted(random.Random(2026).sample(range(len(alone)), count)):
        tune, notes, figure, begin, at = alone[found]
        print(*place(alone[found]), sep="\t")
        print("   ", spelled(figure, begin))
        print("   ", spelled([note for note in notes if at <= note[0] < at + BAR], at))


def main():
    tunes = melodies()
    figures, theirs, both, ours, alone = compare(tunes)
    print(f"{len(tunes)} tunes, {figures} figures of a bar with at least {FEWEST} notes\n")
    print(f"| {'occurrences by translation':26} | theirs | ours too |\n|---|---|---|")
    for what in KINDS:
        print(f"| {what:26} | {theirs[what]:6} | {both[what]:8} |")
    print(f"\nFound by us in all: {ours}; where they have none within a bar: {len(alone)}")
    verdicts = collections.Counter(judged().values())
    print(f"Of these judged by hand: {', '.join(f'{count} {verdict}' for verdict, count in verdicts.most_common())}")
    if "sample" in sys.argv:
        sample(alone)


if __name__ == "__main__":
    main()
