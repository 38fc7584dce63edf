"""How often the advice says that a note of a published melody clashes with its chord.

Two kinds of melodies, all from the corpus that music21 ships: every tune in it that has chord symbols over a melody
(two reels of the Nottingham Music Database, "Jeanie with the Light Brown Hair" by S. Foster and "Alexander's Ragtime
Band" by I. Berlin), and the upper voices of the Bach chorales that it has with an analysis in Roman numerals, each
chord by the analyst's hand. Each melody goes through the command line in windows of four bars, of which the middle two
count, so that every note is judged with its neighbours. A chord is taken at the beat where it begins.

    cargo build --release --bin riffloom && target/venv/bin/python tests/reference/melodies.py

prints, for each melody, its notes and how many "try" is said of, and lists those with a judgement. scripts/bench
melodies does both.
"""

import collections
import dataclasses
import fractions
import pathlib
import sys
import tempfile
import warnings

from music21 import converter, corpus, harmony, roman
from music21.corpus import chorales as lists

import riffloom

WINDOW, STEP = 4, 2
# Bars that a window begins before those that count.
LEAD = 1

# What a musician says of each place where "try" is said of a published note: (melody, bar, beat in quarters).
JUDGED = {
    ("Alexanders Ragtime Band", 21, 1): "the melody comes home to F here, and the file has no symbol for it: a chord is missing",
    ("Alexanders Ragtime Band", 24, 3): "F under a melody of B♭ and D: the file has no symbol in bars 21 to 25, a chord is missing",
    ("Alexanders Ragtime Band", 34, 1): "the melody ends at home on F, and the file has C: the chord is late or wrong",
}

# The chord figures of music21 that our charts write otherwise; the rest of a figure is read as it is.
SUFFIXES = {
    "major": "",
    "minor": "m",
    "dominant-seventh": "7",
    "minor-seventh": "m7",
    "major-seventh": "maj7",
    "diminished": "dim",
    "diminished-seventh": "dim7",
    "half-diminished": "m7b5",
    "half-diminished-seventh": "m7b5",
    "augmented": "aug",
    "augmented-seventh": "aug7",
    "minor-sixth": "m6",
    "major-sixth": "6",
    "suspended-fourth": "sus4",
    "dominant-ninth": "9",
}
# The same by the half steps above the root, for chords that an analyst wrote as numerals.
BY_TONES = {
    (0, 4, 7): "",
    (0, 3, 7): "m",
    (0, 4, 7, 10): "7",
    (0, 4, 10): "7",
    (0, 3, 7, 10): "m7",
    (0, 3, 10): "m7",
    (0, 4, 7, 11): "maj7",
    (0, 4, 11): "maj7",
    (0, 3, 6): "dim",
    (0, 3, 6, 9): "dim7",
    (0, 3, 6, 10): "m7b5",
    (0, 4, 8): "aug",
    (0, 5, 7): "sus4",
    (0, 3, 7, 11): "mM7",
}


def name(pitch):
    """A name without its octave, flats as b."""
    return pitch.name.replace("-", "b")


def symbol(one):
    """A chord as our charts write it; None for one that has no name."""
    if isinstance(one, harmony.NoChord):
        return "N.C."
    root = name(one.root())
    if isinstance(one, harmony.ChordSymbol):
        suffix = SUFFIXES.get(one.chordKind)
    else:
        tones = sorted({(pitch.midi - one.root().midi) % 12 for pitch in one.pitches})
        suffix = BY_TONES.get(tuple(tones))
    return None if suffix is None else root + suffix


@dataclasses.dataclass
class Melody:
    """A melody in bars of one metre, with a chord for each beat."""

    title: str
    metre: str
    tonic: str
    # (bar, onset in the bar in quarters, length, pitch, whether it is tied to the note before)
    notes: list
    # For each bar a chord a beat, as our charts write it.
    chords: list

    @property
    def beat(self):
        return fractions.Fraction(4, int(self.metre.split("/")[1]))

    @property
    def bar(self):
        return self.beat * int(self.metre.split("/")[0])


def melody(title, part, metre, tonic, chords_in):
    """The melody of `part`; `chords_in` gives the chords that begin in a measure, each with its onset there."""
    made = Melody(title, metre, tonic, [], [])
    bar, filled, begun = -1, made.bar, {}
    for measure in part.getElementsByClass("Measure"):
        length = fractions.Fraction(measure.duration.quarterLength)
        if filled >= made.bar:
            bar, filled = bar + 1, fractions.Fraction(0)
            # A pickup stands at the end of its bar.
            if bar == 0 and length < made.bar:
                filled = made.bar - length
        for event in measure.recurse().notes:
            if isinstance(event, harmony.Harmony):
                continue
            at = filled + fractions.Fraction(event.getOffsetInHierarchy(measure))
            pitch = event.pitch if event.isNote else event.sortAscending().pitches[-1]
            tied = event.tie is not None and event.tie.type in ("continue", "stop")
            made.notes.append((bar, at, fractions.Fraction(event.quarterLength), pitch, tied))
        for at, chord in chords_in(measure):
            begun.setdefault((bar, (filled + at) // made.beat), chord)
        filled += length
    now = None
    for number in range(bar + 1):
        made.chords.append([])
        for beat in range(made.bar // made.beat):
            now = begun.get((number, beat), now)
            made.chords[-1].append(now)
    return made


def with_symbols(title, score):
    """The melody of a score that has chord symbols."""
    part = score.parts[0] if score.parts else score
    metre = part.recurse().getElementsByClass("TimeSignature")[0].ratioString
    key = part.recurse().getElementsByClass("KeySignature")[0]
    key = key if hasattr(key, "tonic") else key.asKey()

    def chords_in(measure):
        symbols = measure.recurse().getElementsByClass(harmony.Harmony)
        return [(fractions.Fraction(one.getOffsetInHierarchy(measure)), symbol(one)) for one in symbols]

    return melody(title, part, metre, name(key.tonic) + ("m" if key.mode == "minor" else ""), chords_in)


def lead_sheets():
    """The four tunes with chord symbols."""
    for path in ("leadSheet/fosterBrownHair", "leadSheet/berlinAlexandersRagtime"):
        score = corpus.parse(path)
        yield with_symbols(score.metadata.bestTitle or path, score)
    text = (pathlib.Path(corpus.__file__).parent / "nottingham-dataset" / "reelsa-c.abc").read_text("utf-8")
    for tune in text.split("\nX:")[0:]:
        # One melody without repeats: they would only be heard again.
        tune = tune if tune.startswith("X:") else "X:" + tune
        score = converter.parse(tune, format="abc")
        yield with_symbols(score.metadata.title, score)


def chorales():
    """The upper voices of the chorales that have an analysis."""
    by_number = lists.ChoraleListRKBWV().byRiemenschneider
    folder = pathlib.Path(corpus.__file__).parent / "bach" / "choraleAnalyses"
    for path in sorted(folder.glob("*.rntxt")):
        number = int("".join(letter for letter in path.stem if letter.isdigit()))
        analysis = converter.parse(path, format="romantext")
        score = corpus.parse(f"bach/bwv{by_number[number]['bwv']}")
        part = score.parts[0]
        metres = {one.ratioString for one in part.recurse().getElementsByClass("TimeSignature")}
        if len(metres) != 1:
            continue
        numerals = list(analysis.recurse().getElementsByClass(roman.RomanNumeral))
        placed = [(fractions.Fraction(one.getOffsetInHierarchy(analysis)), symbol(one)) for one in numerals]

        def chords_in(measure, placed=placed):
            begins, length = fractions.Fraction(measure.offset), fractions.Fraction(measure.duration.quarterLength)
            return [(at - begins, chord) for at, chord in placed if begins <= at < begins + length]

        key = numerals[0].key
        tonic = name(key.tonic) + ("m" if key.mode == "minor" else "")
        yield melody(f"chorale {number}", part, metres.pop(), tonic, chords_in)


def letter(pitch):
    """A pitch in ABC, its accidental always written."""
    alter = int(pitch.alter)
    sign = "^" * alter if alter > 0 else "_" * -alter or "="
    octave = pitch.octave
    step = pitch.step + "," * (4 - octave) if octave < 5 else pitch.step.lower() + "'" * (octave - 5)
    return sign + step


def written(melody, first, last):
    """Bars `first` up to `last` in ABC, every bar full, and the notes in it that begin there."""
    whole = melody.bar
    bars, begun = [], []
    for bar in range(first, last):
        at, text = fractions.Fraction(0), []
        for number, onset, length, pitch, tied in melody.notes:
            if number != bar or onset < at:
                continue
            if onset > at:
                text.append(f"z{onset - at}")
            length = min(length, whole - onset)
            if tied and text == [] and begun and bars:
                bars[-1] = bars[-1].rstrip() + "-" if not bars[-1].endswith("-") else bars[-1]
            elif tied and text and text[-1][0] != "z":
                text[-1] += "-"
            if not tied or not begun:
                begun.append((bar, onset, pitch))
            text.append(f"{letter(pitch)}{length}")
            at = onset + length
        if at < whole:
            text.append(f"z{whole - at}")
        bars.append(" ".join(text))
    body = " | ".join(bars)
    return f"X:1\nT:Melody\nM:{melody.metre}\nL:1/4\nK:C\n{body} |]\n", begun


def chart(melody, first, last):
    """The chords of those bars, one a beat."""
    rows = []
    for row in melody.chords[first:last]:
        words, before = [], None
        for chord in row:
            words.append("/" if chord == before and words else chord or "N.C.")
            before = chord
        rows.append(words[0] if set(words[1:]) <= {"/"} else " ".join(words))
    return f"{melody.metre} " + " | ".join(rows)


def judged(melody, folder):
    """For each note that could be read: its place, name, chord, and what is said where that is "try"."""
    windows, questions = [], []
    bars = len(melody.chords)
    for first in range(0, bars, STEP):
        begins, ends = max(0, first - LEAD), min(bars, first - LEAD + WINDOW)
        text, begun = written(melody, begins, ends)
        if not begun:
            continue
        path = pathlib.Path(folder) / f"{len(questions)}.abc"
        path.write_text(text, encoding="utf-8")
        questions.append(["explain", "--key", melody.tonic, "--metre", melody.metre, "--form", chart(melody, begins, ends), str(path)])
        windows.append((first, begins, begun, text))
    for (first, begins, begun, text), answer in zip(windows, riffloom.ask(questions)):
        if "error" in answer:
            print(f"not judged: {melody.title}, bar {first + 1}: {answer['error']}\n{text}", file=sys.stderr)
            continue
        notes = answer["bars"][0]["notes"]
        assert len(notes) == len(begun), (melody.title, first, text, len(notes), len(begun))
        for note, (bar, onset, pitch) in zip(notes, begun):
            if first <= bar < first + STEP:
                yield bar + 1, float(onset / melody.beat) + 1, note


def table(title, melodies):
    print(f"{title}\n\n{'melody':44}{'notes':>7}{'try':>6}")
    total, tried, listed = 0, 0, []
    kinds = collections.Counter()
    for melody in melodies:
        with tempfile.TemporaryDirectory() as folder:
            notes = list(judged(melody, folder))
        found = [one for one in notes if one[2]["rubs"]]
        total, tried = total + len(notes), tried + len(found)
        kinds.update(note["kind"] for _, _, note in notes)
        print(f"{melody.title[:43]:44}{len(notes):7}{len(found):6}")
        listed += [(melody.title, *one) for one in found]
    print(f"{'all':44}{total:7}{tried:6}  {100 * tried / max(1, total):.1f} %\n")
    print("kinds: " + ", ".join(f"{kind} {count}" for kind, count in kinds.most_common()))
    for place in listed:
        title, bar, beat, note = place
        print(f"  {title}, bar {bar}, beat {beat:g}: {note['note']} over {note['chord']}: {note['sentence']}")
        print(f"    judged: {JUDGED.get((title, bar, beat), 'not yet')}")
    print()


def main():
    warnings.simplefilter("ignore")
    table("Tunes with chord symbols", lead_sheets())
    table("Upper voices of chorales over an analyst's chords", chorales())


if __name__ == "__main__":
    main()
