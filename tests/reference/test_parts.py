"""Parts for a mixed band as music21 reads them: what sounds is the third and the seventh of each chord, its root, its fifth.

The chords' tones come from music21's own chord symbols; the form is a chart of our own.
"""

import pathlib
import tempfile
import unittest

from music21 import chord, clef, converter, harmony, note

import riffloom

# Symbols as lead sheets have them, and as music21 has them.
CHART = {"G7": "G7", "Cm7": "Cm7", "Fmaj7": "Fmaj7", "Bb7": "B-7", "Em7b5": "Em7b5", "A7": "A7", "D7": "D7", "Ebmaj7": "E-maj7"}
READERS = {"C-treble": clef.TrebleClef, "C-bass": clef.BassClef, "C-alto": clef.AltoClef, "Bb-treble": clef.TrebleClef,
           "Eb-treble": clef.TrebleClef, "F-treble": clef.TrebleClef}


class Parts(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = pathlib.Path(folder.name)
        words = ["parts", "--key", "G", "--form", " | ".join(CHART), "--tempo", "92", "--out", str(self.folder)]
        [self.made] = riffloom.ask([words])
        self.assertIsInstance(self.made, list, self.made)

    def bars(self, plays, reader):
        """The measures of a part as it sounds, and as it is written."""
        written = converter.parse(self.folder / f"{plays} for {reader}.musicxml")
        return list(written.toSoundingPitch().recurse().getElementsByClass("Measure")), written

    def tones(self, place):
        """Root, third, fifth and seventh of the chord in this bar, as pitch classes."""
        made = harmony.ChordSymbol(list(CHART.values())[place])
        return [each.pitchClass for each in (made.root(), made.third, made.fifth, made.seventh)]

    def test_each_bar_has_the_tones_of_its_chord(self):
        for reader, its_clef in READERS.items():
            for plays in ("chords", "roots", "fifths"):
                bars, written = self.bars(plays, reader)
                self.assertEqual(len(bars), len(CHART), (plays, reader))
                found = written.recurse().getElementsByClass(clef.Clef).first()
                self.assertIsInstance(found, its_clef, (plays, reader))
                for place, bar in enumerate(bars):
                    root, third, fifth, seventh = self.tones(place)
                    sounds = [[pitch.pitchClass for pitch in each.pitches] for each in bar.notes
                              if isinstance(each, (note.Note, chord.Chord)) and not isinstance(each, harmony.Harmony)]
                    if plays == "chords":
                        self.assertEqual([set(each) for each in sounds], [{third, seventh}], (reader, place))
                    elif plays == "roots":
                        self.assertEqual(sounds, [[root]], (reader, place))
                    else:
                        self.assertEqual(sounds, [[root], [fifth]], (reader, place))

    def test_claps_fall_on_two_and_four(self):
        written = converter.parse(self.folder / "claps for everybody.musicxml")
        for bar in written.recurse().getElementsByClass("Measure"):
            claps = [each for each in bar.notes if isinstance(each, note.Unpitched)]
            self.assertEqual([float(each.offset) + 1 for each in claps], [2, 4])


if __name__ == "__main__":
    unittest.main()
