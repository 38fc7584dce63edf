"""Chord symbols against the table of chord types that music21 keeps: its degrees for each of its abbreviations.

Only the table (`harmony.CHORD_TYPES`) is asked, not music21's reader of symbols.
"""

import unittest

from music21 import harmony

from riffloom import ask

# Half steps of the degrees of a major scale, which the table's "-" and "#" alter.
MAJOR = {1: 0, 2: 2, 3: 4, 4: 5, 5: 7, 6: 9, 7: 11, 9: 14, 11: 17, 13: 21}
LETTERS = "CDEFGAB"
NATURAL = (0, 2, 4, 5, 7, 9, 11)

# Kinds that are no lead-sheet symbols: names of functions and of chords in one work.
NO_SYMBOLS = {"Neapolitan", "Italian", "French", "German", "pedal", "power", "Tristan"}

# Abbreviations that we do not read, or read in another way, and why.
OTHERWISE = {
    "dom7dim5": "not met on lead sheets; 7b5 is",
    "ob9": "a triad with a lowered ninth here, as in C(b9); with the seventh it is dim7b9",
    "dimb9": "the same",
}  # fmt: skip

# Lead sheets write the thirteenth over a major third without the eleventh (common practice, no source).
WITHOUT_ELEVENTH = {"major-13th", "dominant-13th", "augmented-major-13th", "augmented-dominant-13th"}


def spelled(degrees):
    """The notes above C that the table's text gives: "1,-3,5" is C Eb G."""
    notes = []
    for degree in degrees.split(","):
        number = int(degree.strip("#-"))
        sound = MAJOR[number] + degree.count("#") - degree.count("-")
        step = (number - 1) % 7
        alter = (sound - NATURAL[step]) % 12
        alter = alter - 12 if alter > 6 else alter
        notes.append(LETTERS[step] + ("b" if alter < 0 else "#") * abs(alter))
    return notes


class Symbols(unittest.TestCase):
    maxDiff = None

    def test_every_abbreviation_has_the_notes_of_the_table(self):
        cases = [
            (abbreviation, kind, degrees)
            for kind, (degrees, abbreviations) in harmony.CHORD_TYPES.items()
            if kind not in NO_SYMBOLS
            for abbreviation in abbreviations
            if abbreviation not in OTHERWISE
        ]
        self.assertGreater(len(cases), 75)
        answers = ask([["chords", "--key", "C", "--form", f"C{abbreviation}"] for abbreviation, _, _ in cases])
        for (abbreviation, kind, degrees), answer in zip(cases, answers, strict=True):
            with self.subTest(abbreviation=abbreviation, kind=kind):
                expected = spelled(degrees)
                if kind in WITHOUT_ELEVENTH:
                    expected.remove("F")
                self.assertNotIn("error", answer)
                self.assertEqual(answer["bars"][0]["chords"][0]["notes"], expected)

    def test_what_differs_still_differs(self):
        """Each exception above is one, so that the list cannot outlive its reasons."""
        for kind, (degrees, abbreviations) in harmony.CHORD_TYPES.items():
            for abbreviation in set(abbreviations) & set(OTHERWISE):
                (answer,) = ask([["chords", "--key", "C", "--form", f"C{abbreviation}"]])
                notes = answer["bars"][0]["chords"][0]["notes"] if "bars" in answer else None
                self.assertNotEqual(notes, spelled(degrees), (kind, abbreviation))


if __name__ == "__main__":
    unittest.main()
