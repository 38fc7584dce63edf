"""ABC read and written, and variations, compared with music21's own reading and its own operations on what it read.

A text that this file makes goes two ways: through `riffloom vary` and then into music21; and straight into music21,
which then varies it itself. Names, octaves, lengths and rests must agree.
"""

import pathlib
import random
import tempfile
import unittest

from music21 import converter, interval, key, note, stream

import riffloom

# A flat is a minus sign in music21.
KEYS = ["C", "G", "D", "A", "E", "F", "B-", "E-", "A-"]
STEPS = "CDEFGAB"
TUNES = 60


def letter(step, octave):
    """A pitch without its accidental, as ABC writes it."""
    return step + "," * (4 - octave) if octave < 5 else step.lower() + "'" * (octave - 5)


# How a beat may be shared out, in eighths.
BEATS = [["2"], ["", ""], ["3/2", "/"], ["/", "/", ""], ["", "/", "/"]]
THIRDS = [["(3", "", ""]]
DOTTED = [["3"], ["2", ""], ["", "", ""], ["", "2"], ["3/2", "3/2"], ["/", "/", "", ""]]


def music(draw, beats, diatonic):
    """Four beats of music in ABC."""

    def one(length):
        if draw.random() < 0.2:
            return "z" + length
        sign = "" if diatonic or draw.random() < 0.6 else draw.choice(["^", "_", "="])
        return sign + letter(draw.choice(STEPS), draw.choice([4, 4, 4, 5])) + length

    def beat(lengths):
        return "(3" + one("") + one("") + one("") if lengths in THIRDS else "".join(map(one, lengths))

    return " ".join(beat(draw.choice(beats)) for _ in range(4))


def tune(draw, beats, diatonic):
    """A bar of music in ABC, and its key as music21 names it."""
    tonic = draw.choice(KEYS)
    while True:
        body = music(draw, beats, diatonic)
        steps = [sign.upper() for sign in body if sign.upper() in STEPS]
        with_sign = [body[at + 1].upper() for at, sign in enumerate(body) if sign in "^_="]
        # How far an accidental reaches differs from reader to reader: a step that has one comes once.
        if len(steps) >= 2 and all(steps.count(step) == 1 for step in with_sign):
            name = tonic.replace("-", "b")
            metre = "12/8" if beats is DOTTED else "4/4"
            return f"X:1\nT:Tune\nM:{metre}\nL:1/8\nK:{name}\n{body}|]\n", tonic


def read(text):
    """What music21 reads: (pitch or None, length) for each note or rest, ties and neighbouring rests joined."""
    score = converter.parse(text, format="abc").stripTies()
    found = []
    for element in score.recurse().notesAndRests:
        pitch = element.pitch if isinstance(element, note.Note) else None
        if pitch is None and found and found[-1][0] is None:
            found[-1] = (None, found[-1][1] + element.quarterLength)
        else:
            found.append((pitch, element.quarterLength))
    return found


def spelled(events):
    """Name, octave and length, for comparing; a triplet's third is a fraction in music21."""
    return [(pitch and pitch.nameWithOctave, round(float(length), 6)) for pitch, length in events]


def with_pitches(events, change):
    return [(pitch and change(pitch), length) for pitch, length in events]


def leaps(events):
    """From each note to the next, in half steps."""
    midi = [pitch.midi for pitch, _ in events if pitch]
    return [abs(after - before) for before, after in zip(midi, midi[1:])]


def is_offered(before, after):
    """Whether no leap is a tritone, or wider than an octave where the riff has none so wide."""
    return all(leap % 12 != 6 for leap in leaps(after)) and max(leaps(after)) <= max(12, *leaps(before))


class Variation(unittest.TestCase):
    def vary(self, texts, words):
        """What music21 reads of the variations of `texts`."""
        with tempfile.TemporaryDirectory() as folder:
            questions = []
            for index, text in enumerate(texts):
                path = pathlib.Path(folder) / f"{index}.abc"
                path.write_text(text, encoding="utf-8")
                questions.append(["vary", *words, str(path)])
            answers = riffloom.ask(questions)
        for text, answer in zip(texts, answers):
            self.assertIsInstance(answer, str, f"{words}: {answer} for\n{text}")
        return [(answer, read(answer)) for answer in answers]

    def check(self, words, change, beats=BEATS + THIRDS, diatonic=False):
        """`change` makes of what music21 read, and the key, what the variation must be."""
        draw = random.Random(" ".join(words))
        tunes = []
        while len(tunes) < TUNES:
            text, tonic = tune(draw, beats, diatonic)
            events = read(text)
            expected = change(events, tonic)
            # What nobody would sing is not offered: then another variation comes first, which is not compared here.
            if not diatonic or is_offered(events, expected):
                tunes.append((text, expected))
        for (text, expected), (answer, found) in zip(tunes, self.vary([text for text, _ in tunes], words)):
            self.assertEqual(spelled(found), spelled(expected), f"\n{text}\n{answer}")

    def test_an_octave_higher(self):
        up = interval.Interval("P8")
        for beats in (BEATS + THIRDS, DOTTED):
            self.check(["--how", "octave"], lambda events, _: with_pitches(events, up.transposePitch), beats=beats)

    def test_twice_as_slow_and_twice_as_fast(self):
        def scaled(factor):
            def change(events, _):
                made = stream.Stream()
                for pitch, length in events:
                    made.append(note.Note(pitch, quarterLength=length) if pitch else note.Rest(quarterLength=length))
                made = made.augmentOrDiminish(factor)
                return [(getattr(e, "pitch", None), e.quarterLength) for e in made.notesAndRests]

            return change

        self.check(["--how", "augment"], scaled(2))
        # Thirds beside halves, twice as fast, would share one beat, and a beat of a riff has one division.
        self.check(["--how", "diminish"], scaled(0.5), beats=BEATS)

    def test_backwards(self):
        self.check(["--how", "retrograde"], lambda events, _: list(reversed(events)))

    def test_upside_down_in_the_scale(self):
        def change(events, tonic):
            first = next(pitch for pitch, _ in events if pitch)
            made = stream.Stream([key.KeySignature(key.Key(tonic).sharps)])
            made.append([note.Note(pitch) for pitch, _ in events if pitch])
            mirrored = iter(made.invertDiatonic(note.Note(first)).notes)
            return [(pitch and next(mirrored).pitch, length) for pitch, length in events]

        self.check(["--how", "invert", "--scale", "major"], change, diatonic=True)

    def test_a_step_up_in_the_scale(self):
        def change(events, tonic):
            second, signature = interval.GenericInterval(2), key.KeySignature(key.Key(tonic).sharps)
            return with_pitches(events, lambda pitch: second.transposePitchKeyAware(pitch, signature))

        self.check(["--how", "sequence", "--scale", "major"], change, diatonic=True)


if __name__ == "__main__":
    unittest.main()
