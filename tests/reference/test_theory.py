"""All keys, scales, forms and chords against music21's intervals.

The tables of degrees stand here, written out for this test; music21 (https://www.music21.org/, the version in
requirements.txt) only moves a spelled pitch by a named interval and knows the key signatures. Its own chord-symbol,
numeral and blues-scale classes are not asked, since they mean other things: its numeral I7 is a major seventh, its
blues scale has no lowered fifth.
"""

import functools
import unittest

from music21 import instrument, interval, key, pitch

from riffloom import ask

# Interval names as music21 has them: P perfect, M major, m minor, A augmented, d diminished. Degrees of the scales:
# the blues scales as Aebersold, vol. 1, revised 1970, p. 26, as encyclopaedias quote it; the others from textbooks
# (common practice, no source).
SCALES = {
    "major-pentatonic": "P1 M2 M3 P5 M6",
    "minor-pentatonic": "P1 m3 P4 P5 m7",
    "minor-blues": "P1 m3 P4 d5 P5 m7",
    "major-blues": "P1 M2 m3 M3 P5 M6",
    "mixolydian": "P1 M2 M3 P4 P5 M6 m7",
    "dorian": "P1 M2 m3 P4 P5 M6 m7",
    "major": "P1 M2 M3 P4 P5 M6 M7",
    "natural-minor": "P1 M2 m3 P4 P5 m6 m7",
    "harmonic-minor": "P1 M2 m3 P4 P5 m6 M7",
    "chromatic": "P1 m2 M2 m3 M3 P4 d5 P5 m6 M6 m7 M7",
}

# Chord kinds by their one written form: MusicXML 4.0, `kind-value`, for the kinds and `degree` for alterations;
# a thirteenth chord leaves out the eleventh (common practice, no source).
CHORDS = {
    "": "P1 M3 P5",
    "m": "P1 m3 P5",
    "dim": "P1 m3 d5",
    "aug": "P1 M3 A5",
    "5": "P1 P5",
    "sus2": "P1 M2 P5",
    "sus4": "P1 P4 P5",
    "6": "P1 M3 P5 M6",
    "m6": "P1 m3 P5 M6",
    "69": "P1 M3 P5 M6 M9",
    "m69": "P1 m3 P5 M6 M9",
    "7": "P1 M3 P5 m7",
    "maj7": "P1 M3 P5 M7",
    "m7": "P1 m3 P5 m7",
    "mmaj7": "P1 m3 P5 M7",
    "m7b5": "P1 m3 d5 m7",
    "dim7": "P1 m3 d5 d7",
    "aug7": "P1 M3 A5 m7",
    "augmaj7": "P1 M3 A5 M7",
    "7sus4": "P1 P4 P5 m7",
    "7sus2": "P1 M2 P5 m7",
    "9": "P1 M3 P5 m7 M9",
    "9#5": "P1 M3 A5 m7 M9",
    "maj9": "P1 M3 P5 M7 M9",
    "m9": "P1 m3 P5 m7 M9",
    "9sus4": "P1 P4 P5 m7 M9",
    "11": "P1 M3 P5 m7 M9 P11",
    "m11": "P1 m3 P5 m7 M9 P11",
    "13": "P1 M3 P5 m7 M9 M13",
    "maj13": "P1 M3 P5 M7 M9 M13",
    "m13": "P1 m3 P5 m7 M9 P11 M13",
    "13sus4": "P1 P4 P5 m7 M9 M13",
    "7alt": "P1 M3 m7 m9 A9 A11 m13",
    "(b5)": "P1 M3 d5",
    "7b5": "P1 M3 d5 m7",
    "7b9": "P1 M3 P5 m7 m9",
    "7#9": "P1 M3 P5 m7 A9",
    "7#11": "P1 M3 P5 m7 A11",
    "7b13": "P1 M3 P5 m7 m13",
    "7b9#11": "P1 M3 P5 m7 m9 A11",
    "9#11": "P1 M3 P5 m7 M9 A11",
    "13b9": "P1 M3 P5 m7 m9 M13",
    "13#11": "P1 M3 P5 m7 M9 A11 M13",
    "maj7#11": "P1 M3 P5 M7 A11",
    "add9": "P1 M3 P5 M9",
    "madd9": "P1 m3 P5 M9",
    "add4": "P1 M3 P4 P5",
    "sus24": "P1 M2 P4 P5",
    "6sus4": "P1 P4 P5 M6",
    "maj7sus4": "P1 P4 P5 M7",
    "mmaj9": "P1 m3 P5 M7 M9",
    "dim9": "P1 m3 d5 d7 M9",
    "maj11": "P1 M3 P5 M7 M9 P11",
    "m11b5": "P1 m3 d5 m7 M9 P11",
    "aug7b9": "P1 M3 A5 m7 m9",
    "9no3": "P1 P5 m7 M9",
    "7b9no5": "P1 M3 m7 m9",
    "mb6": "P1 m3 P5 m6",
}

# Other spellings of the same chords, as lead sheets have them (common practice, no source).
SPELLINGS = {
    "M": "", "maj": "", "-": "m", "min": "m", "mi": "m", "°": "dim", "o": "dim", "+": "aug", "sus": "sus4",
    "6/9": "69", "M7": "maj7", "Maj7": "maj7", "ma7": "maj7", "Δ": "maj7", "Δ7": "maj7", "-7": "m7", "min7": "m7",
    "mM7": "mmaj7", "m(maj7)": "mmaj7", "ø": "m7b5", "ø7": "m7b5", "-7b5": "m7b5", "m7(b5)": "m7b5", "m7♭5": "m7b5",
    "°7": "dim7", "o7": "dim7", "+7": "aug7", "7#5": "aug7", "7(#5)": "aug7", "7+5": "aug7", "maj7#5": "augmaj7",
    "7sus": "7sus4", "-9": "m9", "M9": "maj9", "+9": "9#5", "9sus": "9sus4", "alt": "7alt", "7(b9)": "7b9",
    "7♭9": "7b9", "7-9": "7b9", "7(#9)": "7#9", "7+9": "7#9", "7♯11": "7#11", "7(b9,#11)": "7b9#11",
    "+7b9": "aug7b9", "7#5b9": "aug7b9", "ø11": "m11b5", "mM9": "mmaj9", "9(omit3)": "9no3", "m(b6)": "mb6",
    "(add9)": "add9", "m(add9)": "madd9",
}  # fmt: skip

MAJOR, MINOR = ("P5", "M3"), ("P5", "m3")

# Degrees of the numerals, above the home note.
NUMERALS = {"I": "P1", "II": "M2", "III": "M3", "IV": "P4", "V": "P5", "VI": "M6", "VII": "M7", "bVI": "m6"}

# The forms' bars, copied from the same publications as tests/it/forms.rs names.
FORMS = {
    "12-bar": "I I I I IV IV I I V IV I I",
    "12-bar-four": "I IV I I IV IV I I V IV I I",
    "12-bar-quick-change": "I IV I I IV IV I I V IV I V",
    "12-bar-turnaround": "I I I I IV IV I I V IV I V",
    "12-bar-five-five": "I I I I IV IV I I V V I I",
    "12-bar-minor": "i i i i iv iv i i V iv i i",
    "12-bar-minor-b6": "i i i i iv iv i i bVI V i i",
    "12-bar-jazz": "I IV I I IV IV I VI ii V I-VI ii-V",
    "8-bar": "I V IV IV I V I V",
    "16-bar": "I I I I I I I I IV IV I I V IV I I",
}


def ascii_name(name):
    """music21 writes flats as '-'."""
    return name.replace("-", "b")


def music21_name(name):
    return name[0] + name[1:].replace("b", "-")


@functools.cache
def above(root, degrees):
    """The names that music21 finds at the named intervals above `root`."""
    start = pitch.Pitch(music21_name(root) + "3")
    return [ascii_name(interval.Interval(name).transposePitch(start).name) for name in degrees.split()]


def keys():
    """The thirty keys, from music21's key signatures."""
    for mode in ("major", "minor"):
        for sharps in range(-7, 8):
            tonic = ascii_name(key.KeySignature(sharps).asKey(mode).tonic.name)
            yield tonic, tonic + ("m" if mode == "minor" else "")


class Theory(unittest.TestCase):
    maxDiff = None

    def check(self, cases):
        """Each case: the words of a question, what to take from the answer, and what it should be."""
        self.assertTrue(cases)
        wrong = []
        for (words, take, expected), answer in zip(cases, ask([words for words, _, _ in cases]), strict=True):
            found = answer if "error" in answer else take(answer)
            if found != expected:
                wrong.append((words, found, expected))
        self.assertEqual(wrong[:10], [], f"{len(wrong)} of {len(cases)} differ")

    def test_every_scale_in_every_key(self):
        self.check(
            [
                (["scale", "--key", name, "--scale", scale], lambda answer: answer["notes"], above(tonic, degrees))
                for tonic, name in keys()
                for scale, degrees in SCALES.items()
            ]
        )

    def test_every_chord_on_every_home_note(self):
        def take(answer):
            return [(chord["symbol"], chord["notes"]) for bar in answer["bars"] for chord in bar["chords"]]

        self.check(
            [
                (["chords", "--key", name, "--form", tonic + suffix], take, [(tonic + suffix, above(tonic, degrees))])
                for tonic, name in keys()
                for suffix, degrees in CHORDS.items()
            ]
        )

    def test_every_spelling_of_a_chord_is_the_same_chord(self):
        def take(answer):
            return answer["bars"][0]["chords"][0]["symbol"], answer["bars"][0]["chords"][0]["notes"]

        self.check(
            [
                (["chords", "--key", "C", "--form", root + suffix], take, (root + canonical, above(root, CHORDS[canonical])))
                for root in ("C", "Bb", "F#")
                for suffix, canonical in SPELLINGS.items()
            ]
        )

    def test_slash_chords_name_their_bass(self):
        def take(answer):
            return answer["bars"][0]["chords"][0]["symbol"], answer["bars"][0]["chords"][0]["notes"]

        self.check(
            [
                (["chords", "--key", "C", "--form", f"{root}7/{bass}"], take, (f"{root}7/{bass}", notes))
                for root in ("C", "Eb", "F#")
                for bass, notes in (
                    # A bass that the chord has adds nothing; another one stands last.
                    (above(root, "M3")[0], above(root, "P1 M3 P5 m7")),
                    (above(root, "P4")[0], above(root, "P1 M3 P5 m7 P4")),
                )
            ]
        )

    def test_every_form_in_every_key(self):
        def take(answer):
            return [
                [(chord["symbol"], chord["function"], chord["notes"], chord["quarter"]) for chord in bar["chords"]]
                for bar in answer["bars"]
            ]

        def chord_of(tonic, numeral, style, quarter):
            small = numeral[-1].islower()
            root = above(tonic, NUMERALS[numeral if numeral in NUMERALS else numeral.upper()])[0]
            suffix = ("m" if small else "") + ("7" if style == "sevenths" else "")
            function = numeral + ("7" if style == "sevenths" else "")
            return root + suffix, function, above(root, CHORDS[suffix]), quarter

        def bars_of(tonic, form, style):
            return [
                [
                    chord_of(tonic, numeral, style, index * 4 // len(bar.split("-")))
                    for index, numeral in enumerate(bar.split("-"))
                ]
                for bar in FORMS[form].split()
            ]

        self.check(
            [
                (["chords", "--key", name, "--form", form, "--chords", style], take, bars_of(tonic, form, style))
                for tonic, name in keys()
                for form in FORMS
                for style in ("sevenths", "triads")
            ]
        )

    def test_instruments_transpose_as_music21_has_it(self):
        classes = {
            "keyboard": instrument.Piano, "flute": instrument.Flute, "oboe": instrument.Oboe,
            "clarinet": instrument.Clarinet, "soprano-sax": instrument.SopranoSaxophone,
            "alto-sax": instrument.AltoSaxophone, "tenor-sax": instrument.TenorSaxophone,
            "baritone-sax": instrument.BaritoneSaxophone, "trumpet": instrument.Trumpet, "horn": instrument.Horn,
            "trombone": instrument.Trombone, "tuba": instrument.Tuba, "violin": instrument.Violin,
            "viola": instrument.Viola, "cello": instrument.Violoncello, "double-bass": instrument.Contrabass,
            "treble-recorder": instrument.Recorder, "ukulele": instrument.Ukulele,
        }  # fmt: skip
        # music21 gives the horn its lowest pedal note; ours is where a school player stops.
        other_low_end = {"horn"}
        rows = {row["name"]: row for row in ask([["instruments", "--key", "C"]])[0]}
        for name, cls in classes.items():
            reference, row = cls(), rows[name]
            down = reference.transposition.semitones if reference.transposition else 0
            self.assertEqual(row["semitones"], -down, name)
            if name not in other_low_end:
                low = ascii_name(reference.lowestNote.nameWithOctave)
                self.assertEqual(row["written"][0], low, name)

    def test_every_written_key_sounds_right(self):
        """The written key, moved down by music21's transposition, sounds as the concert key."""
        names = [name for _, name in keys()]
        for name, rows in zip(names, ask([["instruments", "--key", name] for name in names]), strict=True):
            sounding = pitch.Pitch(music21_name(name.rstrip("m")))
            for row in rows:
                written = pitch.Pitch(music21_name(row["key"].rstrip("m")))
                self.assertEqual((written.pitchClass - row["semitones"]) % 12, sounding.pitchClass, (name, row["name"]))
                signature = key.Key(written.name, "minor" if name.endswith("m") else "major").sharps
                self.assertLessEqual(abs(signature), 7, (name, row["name"]))


if __name__ == "__main__":
    unittest.main()
