"""Rhythm spelling beside music21's: a bar of random music goes through `riffloom staff`, and through music21's makeNotation.

The two need not agree: music21 joins eighths and ties by rules of its own. What must agree is what is sure: every bar is
full, and every note begins and lasts as it was written. How often beams and cuts are alike is printed.
"""

import pathlib
import random
import tempfile
import unittest

from music21 import converter, meter, note, stream

import riffloom
import test_variation

TUNES = 300


def abc(draw, beats):
    """A tune of two bars in ABC, with its metre."""
    text, _ = test_variation.tune(draw, beats, diatonic=True)
    return text


def theirs(text):
    """What music21 makes of the same notes: (begins in the bar, length, is a note) and the beamed runs as their beginnings."""
    read = converter.parse(text, format="abc").stripTies().flatten()
    part = stream.Part()
    time = read.getElementsByClass(meter.TimeSignature).first()
    part.insert(0, meter.TimeSignature(time.ratioString))
    for element in read.notesAndRests:
        made = note.Note(element.pitch) if isinstance(element, note.Note) else note.Rest()
        made.quarterLength = element.quarterLength
        part.insert(element.offset, made)
    made = part.makeNotation()
    bars = []
    for measure in made.getElementsByClass(stream.Measure):
        notes, runs, run = [], [], []
        for element in measure.notesAndRests:
            begins = round(float(element.offset), 6)
            notes.append((begins, round(float(element.quarterLength), 6), element.isNote))
            beams = element.beams.getTypes() if element.isNote else []
            if beams and beams[0] in ("start", "continue", "stop"):
                run.append(begins)
            if beams and beams[0] == "stop":
                runs.append(tuple(run))
                run = []
        bars.append((notes, runs))
    return bars


def ours(bars):
    found = []
    for bar in bars:
        symbols = bar["symbols"]
        notes = [(round(s["at"], 6), round(s["quarters"], 6), s["pitch"] is not None) for s in symbols]
        runs = [tuple(notes[at][0] for at in range(*run)) for run in bar["beams"]]
        found.append((notes, runs))
    return found


class Notation(unittest.TestCase):
    def compare(self, name, beats, least):
        draw = random.Random(name)
        texts = [abc(draw, beats) for _ in range(TUNES)]
        with tempfile.TemporaryDirectory() as folder:
            questions = []
            for at, text in enumerate(texts):
                path = pathlib.Path(folder) / f"{at}.abc"
                path.write_text(text)
                questions.append(["staff", str(path)])
            answers = riffloom.ask(questions)
        alike = {"cuts": 0, "beams": 0}
        for text, answer in zip(texts, answers):
            self.assertIsInstance(answer, list, (text, answer))
            mine, other = ours(answer)[0], theirs(text)[0]
            self.assertAlmostEqual(sum(length for _, length, _ in mine[0]), 4 if "4/4" in text else 6, places=4)
            # A note sounds where music21 has it, however it is cut.
            self.assertEqual(self.sounding(mine[0]), self.sounding(other[0]), text)
            sounds = [[row for row in notes if row[2]] for notes in (mine[0], other[0])]
            alike["cuts"] += sounds[0] == sounds[1]
            alike["beams"] += mine[1] == other[1]
        shares = {what: count / TUNES for what, count in alike.items()}
        print(f"{name}: cuts alike in {shares['cuts']:.1%}, beams in {shares['beams']:.1%} of {TUNES} bars")
        for what, share in shares.items():
            self.assertGreaterEqual(share, least[what], what)

    @staticmethod
    def sounding(notes):
        """When something sounds: neighbours that may be tied are joined."""
        joined = []
        for begins, length, is_note in notes:
            if joined and joined[-1][2] == is_note and abs(joined[-1][1] - begins) < 1e-5:
                joined[-1] = (joined[-1][0], begins + length, is_note)
            else:
                joined.append((begins, begins + length, is_note))
        return [(round(begins, 4), round(end, 4), is_note) for begins, end, is_note in joined]

    def test_plain_beats(self):
        self.compare("plain", test_variation.BEATS, {"cuts": 0.9, "beams": 0.9})

    def test_triplets(self):
        self.compare("triplets", test_variation.BEATS + test_variation.THIRDS, {"cuts": 0.9, "beams": 0.9})

    def test_dotted_beats(self):
        self.compare("dotted", test_variation.DOTTED, {"cuts": 0.9, "beams": 0.9})


if __name__ == "__main__":
    unittest.main()
