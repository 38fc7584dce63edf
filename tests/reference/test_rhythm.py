"""How bars of melodies that we did not write are cut into notes, rests and ties, beside how they were printed.

The melodies are those of test_files.py: tunes of books in ABC and upper voices of chorales, as music21's corpus has them. Each
is read, as far as a riff goes, and written by `riffloom staff`; a bar is alike where every note and rest begins where the
original's does and is as long. A length that is printed as two tied notes in one and as a dotted one in the other is not alike.
Those that are not are listed.
"""

import fractions
import pathlib
import tempfile
import unittest
import warnings

from music21 import converter, harmony, stream

import riffloom
from test_files import carried, melodies

SHARE = 0.98


def original(path, metre):
    """The bars as they are printed: where each begins, and (begins, length, is a note) of its symbols, in quarters. Only bars as
    long as the metre says: books print others where a phrase ends."""
    if path.suffix == ".mxl":
        part = converter.parse(path).parts[0]
    else:
        score = converter.parse(carried(path.read_text(errors="replace")), format="abc")
        part = score.parts[0] if score.parts else score
    bars, begins = [], None
    for measure in part.getElementsByClass(stream.Measure):
        length = fractions.Fraction(measure.highestTime)
        # A pickup stands at the end of its bar.
        begins = (metre - length if length < metre else 0) if begins is None else begins
        symbols = []
        for one in measure.recurse().notesAndRests:
            if not isinstance(one, harmony.ChordSymbol) and not one.duration.isGrace:
                at = begins + fractions.Fraction(one.getOffsetInHierarchy(measure))
                symbols.append((round(float(at), 3), round(float(one.quarterLength), 3), one.isNote))
        if begins % metre == 0 and length == metre:
            bars.append((int(begins / metre), symbols))
        begins += length
    return bars


def ours(bars, metre):
    return [
        [(round(number * float(metre) + one["at"], 3), round(one["quarters"], 3), one["pitch"] is not None) for one in bar["symbols"]]
        for number, bar in enumerate(bars)
    ]


class Rhythm(unittest.TestCase):
    def test_bars_are_cut_as_they_were_printed(self):
        warnings.simplefilter("ignore")
        with tempfile.TemporaryDirectory() as folder:
            folder = pathlib.Path(folder)
            paths = []
            for name, source in melodies():
                paths.append(folder / name)
                paths[-1].write_bytes(source)
            read = [(path, answer) for path, answer in zip(paths, riffloom.ask([["import", str(path)] for path in paths])) if "abc" in answer]
            for path, answer in read:
                path.with_suffix(".riff").write_text(answer["abc"])
            staves = riffloom.ask([["staff", str(path.with_suffix(".riff"))] for path, _ in read])
            alike, other = 0, []
            for (path, answer), staff in zip(read, staves):
                self.assertIsInstance(staff, list, (path.name, staff))
                upper, lower = map(int, answer["metre"].split("/"))
                metre = fractions.Fraction(4 * upper, lower)
                mine = ours(staff, metre)
                for number, theirs in original(path, metre):
                    # The last bar may end where the riff does. Before a first note that comes late a riff has no rest.
                    if number >= len(mine) - 1 or (number == 0 and mine[0][0][0] > 0):
                        continue
                    if mine[number] == theirs:
                        alike += 1
                    else:
                        other.append(f"{path.name}, bar {number}: {mine[number]} printed as {theirs}")
        share = alike / (alike + len(other))
        print(f"{alike} of {alike + len(other)} bars cut as they were printed, {share:.1%}")
        print("\n".join(other))
        self.assertGreater(alike, 500)
        self.assertGreaterEqual(share, SHARE)


if __name__ == "__main__":
    unittest.main()
