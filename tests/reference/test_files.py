"""Written music as files: MusicXML held to its schema; MusicXML and ABC read by music21 and verovio; both read here.

Tunes are drawn at random as ABC. music21 reads the same ABC by itself: its notes are what a file must have. The schema
is version 4.0 as the package `musicxml` ships it, with those that it imports from `xmlschema`.
"""

import base64
import importlib.metadata
import io
import itertools
import pathlib
import random
import re
import tempfile
import unittest
import xml.etree.ElementTree as ET
import zipfile

import mido
import music21
import verovio
import xmlschema
from music21 import articulations, converter, harmony, note, stream

import riffloom
from test_variation import BEATS, DOTTED, KEYS, STEPS, THIRDS, letter

TUNES = 60
CORPUS = pathlib.Path(music21.__file__).parent / "corpus"
CHORALES = 60
# Tunes of each book.
BOOK = 50
BOOKS = ("airdsAirs/book1.abc", "airdsAirs/book2.abc", "essenFolksong/altdeu10.abc", "essenFolksong/ballad10.abc",
         "nottingham-dataset/reelsa-c.abc")
# Where its player's notes sound: half steps from the written pitch, from any table of transposing instruments.
INSTRUMENTS = {"keyboard": 0, "trumpet": -2, "alto-sax": -9, "tenor-sax": -14, "horn": -7, "viola": 0, "bass-guitar": -12,
               "recorder": 12, "baritone-sax": -21, "trombone": 0}
# Symbols as lead sheets have them, and as music21 has them.
CHORDS = {"G7": "G7", "C7": "C7", "Am7": "Am7", "D7b9": "D7b9", "Bb": "B-", "F#m7b5": "F#m7b5", "Ebmaj7": "E-maj7",
          "Cdim7": "Cdim7", "E7#9": "E7#9", "C/E": "C/E", "G9": "G9", "Dm": "Dm", "Faug": "F+", "Dsus4": "Dsus4",
          "C6": "C6", "Am6": "Am6", "Bbm7": "B-m7"}


def schema():
    files = importlib.metadata.files("musicxml")
    path = next(file for file in files if file.name == "musicxml_4_0.xsd").locate()
    # Only of the copies that lie on the disk; nothing is fetched.
    return xmlschema.XMLSchema(str(path), allow="local")


def music(draw, beats, count):
    """Beats of music in ABC with accents and crushed notes; a step that has a sign comes once."""
    free = list(STEPS)

    def one(length, may_crush=True):
        if draw.random() < 0.2:
            return "z" + length
        sign = ""
        if draw.random() < 0.3 and len(free) > 3:
            step = free.pop(draw.randrange(len(free)))
            sign = draw.choice(["^", "_", "="])
        else:
            step = draw.choice(free)
        front = draw.choice(["", "", "", "!>!"])
        crushed = "{" + letter(draw.choice(free), 4) + "}" if may_crush and draw.random() < 0.15 else ""
        return crushed + front + sign + letter(step, draw.choice([4, 4, 4, 5])) + length

    def beat(lengths):
        # music21 counts a crushed note among the three.
        return "(3" + "".join(one("", False) for _ in range(3)) if lengths in THIRDS else "".join(map(one, lengths))

    return [beat(draw.choice(beats)) for _ in range(count)]


def tune(draw, beats):
    """A pickup of no, one or two beats and one or two bars of four, and the key."""
    key = draw.choice(KEYS).replace("-", "b")
    metre = "12/8" if beats is DOTTED else "4/4"
    pickup = draw.choice([0, 0, 1, 2])
    while True:
        parts = music(draw, beats, pickup + 4 * draw.choice([1, 2]))
        steps = [sign.upper() for part in parts for sign in part if sign.upper() in STEPS]
        signed = [part[at + 1].upper() for part in parts for at, sign in enumerate(part) if sign in "^_="]
        # How far a sign reaches differs from reader to reader.
        if len(steps) >= 2 and all(steps.count(step) == 1 for step in signed):
            break
    bars = [parts[:pickup]] if pickup else []
    bars += list(itertools.batched(parts[pickup:], 4)) if hasattr(itertools, "batched") else [
        parts[at:at + 4] for at in range(pickup, len(parts), 4)]
    return f"X:1\nT:Tune & more\nM:{metre}\nL:1/8\nK:{key}\n" + " | ".join(" ".join(bar) for bar in bars) + "|]\n", key


def notes(score, shift=0):
    """(start, length, sound, accented, crushed notes before) of each note, starts counted from the first one."""
    # A tie may hold two notes together that an accent or a crushed note tells apart: lengths are added up here.
    found, crushed, first = [], [], None
    for one in score.flatten().notes:
        if isinstance(one, harmony.ChordSymbol):
            continue
        if one.duration.isGrace:
            crushed.append(one.pitch.midi + shift)
            continue
        first = one.offset if first is None else first
        at, length = float(one.offset - first), float(one.quarterLength)
        highest = max(pitch.midi for pitch in one.pitches) + shift
        # Books have ties for slurs, too: only what stays on its pitch goes on.
        if found and one.tie is not None and one.tie.type in ("stop", "continue") and found[-1][2] == highest:
            found[-1][1] += length
            continue
        accented = any(isinstance(each, articulations.Accent) for each in one.articulations)
        found.append([at, length, highest, accented, crushed])
        crushed = []
    return [(round(at, 4), round(length, 4), *rest) for at, length, *rest in found]


def carried(text):
    """ABC as music21 reads it rightly. A sign stands again wherever it holds on (the standard, section 11.3: for every octave,
    to the bar line; and on the far side of a tie); music21 lets it hold for one note. It loses a note behind the short signs
    `H` and `T` (section 4.14), and does not play `a>(b` long and short (section 4.4): those signs and slurs are left out."""
    signs, held = {}, {}

    def one(match):
        word = match[0]
        if word.startswith("|"):
            signs.clear()
        if word[-1] not in "ABCDEFGabcdefg" or word[0] in "\"![|":
            return word
        sign, step = word[:-1], word[-1].upper()
        signs[step] = sign or signs.get(step, "")
        sign = signs[step] or held.get(step, "")
        held.pop(step, None)
        if re.match(r"[,']*[\d/]*-", match.string[match.end():]):
            held[step] = sign
        return sign + word[-1]

    def line(text):
        if re.match("[A-Za-z]:|%", text):
            return text
        plain = re.sub(r"\((?!\d)|\)|[HT](?=[\^_=]*[A-Ga-g])", "", text)
        return re.sub(r'"[^"]*"|![^!]*!|\[[A-Za-z]:[^]]*\]|\|[]:|]*|[\^_=]*[A-Ga-g]', one, plain)

    return "\n".join(map(line, text.split("\n")))


def melodies():
    """Melodies that nobody here wrote: names and bytes of files."""
    sources = [(path.name, path.read_bytes()) for path in sorted((CORPUS / "bach").glob("bwv*.mxl"))[:CHORALES]]
    for book in BOOKS:
        tunes = (CORPUS / book).read_text(encoding="utf-8", errors="replace").split("\nX:")[1:BOOK + 1]
        sources += [(f"{pathlib.Path(book).stem}-{at}.abc", f"X:{tune}\n".encode()) for at, tune in enumerate(tunes)]
    return sources


def meant(text):
    """The same of ABC: music21 reads its notes, and passes over its accents, which are read off here."""
    body = text.split("K:", 1)[1].split("\n", 1)[1]
    accents = [bool(accent) for accent in re.findall(r"(?:\{[^}]*\})?(!>!)?[\^_=]*[A-Ga-g]", body)]
    found = notes(converter.parse(text, format="abc"))
    assert len(accents) == len(found), text
    return [(at, length, midi, accent, crushed) for (at, length, midi, _, crushed), accent in zip(found, accents)]


class Files(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.addCleanup(self.folder.cleanup)

    def path(self, name):
        return pathlib.Path(self.folder.name) / name

    def drawn(self, seed, count=TUNES):
        draw = random.Random(seed)
        tunes = [tune(draw, [BEATS, BEATS + THIRDS, DOTTED][at % 3]) for at in range(count)]
        paths = []
        for at, (text, _) in enumerate(tunes):
            paths.append(self.path(f"{at}.abc"))
            paths[-1].write_text(text)
        return [(path, text, key) for path, (text, key) in zip(paths, tunes)]

    def export(self, tunes, ending, *more):
        """The files of tunes, each for an instrument in turn."""
        names = itertools.cycle(INSTRUMENTS)
        chosen = [(path, text, key, next(names)) for path, text, key in tunes]
        answers = riffloom.ask([
            ["export", str(path), "--key", key, "--form", "12-bar", "--tempo", "92", "--feel", "2:1"]
            + ["--metre", "12/8" if "12/8" in text else "4/4", "--instrument", name, *more]
            + ["--out", str(path.with_suffix(ending))]
            for path, text, key, name in chosen
        ])
        self.assertEqual([answer["error"] for answer in answers if "error" in answer], [])
        return [(path.with_suffix(ending), text, key, name) for path, text, key, name in chosen]

    def test_musicxml_is_valid_and_has_the_notes_that_music21_reads(self):
        valid = schema()
        accents = crushed = pickups = 0
        for path, text, key, name in self.export(self.drawn(15), ".musicxml"):
            for error in valid.iter_errors(str(path)):
                self.fail(f"{error.reason} at {error.path}\n{text}")
            expected = meant(text)
            score = converter.parse(path)
            self.assertEqual(notes(score, INSTRUMENTS[name]), expected, f"{name}\n{text}")
            self.assertEqual(score.metadata.title, "Tune & more")
            sounding = score.toSoundingPitch()
            self.assertEqual(notes(sounding), expected, f"{name} as it sounds\n{text}")
            signature = sounding.recurse().getElementsByClass("KeySignature").first()
            expected_key = converter.parse(text, format="abc").recurse().getElementsByClass("KeySignature").first()
            self.assertEqual(signature.sharps % 12, expected_key.sharps % 12, f"{name} {key}")
            # A pickup's bar lacks what comes before it.
            beats = len(text.split("\n")[5].split("|")[0].split())
            missing = (4 - beats) * (1.5 if "12/8" in text else 1)
            self.assertEqual(score.parts[0].getElementsByClass(stream.Measure).first().paddingLeft, missing, text)
            pickups += missing > 0
            accents += sum(one[3] for one in expected)
            crushed += sum(len(one[4]) for one in expected)
        self.assertTrue(accents > 50 and crushed > 20 and pickups > 10, (accents, crushed, pickups))

    def test_verovio_plays_the_same_notes(self):
        self.plays_the_same(self.export(self.drawn(16), ".musicxml"), "xml")

    def test_verovio_plays_the_same_notes_of_abc(self):
        self.plays_the_same(self.export(self.drawn(18), ".out.abc"), "abc")

    def plays_the_same(self, files, form):
        compared = 0
        for path, text, _, name in files:
            # verovio's reader of ABC ends a triplet at a rest, and knows none of two notes; where a key has no signature it
            # keeps the one of the file before.
            if form == "abc" and (re.search("K:(C|Am)\n", text) or re.search(r"\(3[^ |]*z", text) or "(3:2:2" in path.read_text()):
                continue
            toolkit = verovio.toolkit()
            toolkit.setInputFrom(form)
            self.assertTrue(toolkit.loadData(path.read_text()), text)
            file = mido.MidiFile(file=io.BytesIO(base64.b64decode(toolkit.renderToMIDI())))
            found = []
            for track in file.tracks:
                at = 0
                for message in track:
                    at += message.time
                    if message.type == "note_on" and message.velocity > 0:
                        found.append((at / file.ticks_per_beat, message.note))
            expected = meant(text)
            # A crushed note takes time from a note beside it there: tunes without one are compared.
            if not any(one[4] for one in expected):
                compared += 1
                begin = min(at for at, _ in found)
                self.assertEqual([midi for _, midi in sorted(found)], [one[2] for one in expected], f"{name}\n{text}")
                for (at, _), one in zip(sorted(found), expected):
                    # Its clock has 120 ticks to the quarter and cuts off what is left.
                    self.assertAlmostEqual(at - begin, one[0], delta=2 / 120, msg=f"{name}\n{text}")
            mei = toolkit.getMEI()
            self.assertEqual(mei.count('artic="acc"'), sum(one[3] for one in expected), text)
        self.assertGreater(compared, 10)

    def test_chords_are_those_of_the_form(self):
        path = self.path("chords.abc")
        bars = list(CHORDS)
        path.write_text("X:1\nT:Chords\nM:4/4\nL:1/4\nK:C\nCDEF|]\n")
        words = ["export", str(path), "--key", "C", "--tempo", "92", "--out", str(path.with_suffix(".musicxml"))]
        for at in range(0, len(bars), 2):
            pair = (bars[at:at + 2] * 2)[:2]
            [answer] = riffloom.ask([[*words, "--form", f"{pair[0]} {pair[1]} | C"]])
            self.assertNotIn("error", answer)
            score = converter.parse(path.with_suffix(".musicxml"))
            found = list(score.recurse().getElementsByClass(harmony.ChordSymbol))
            self.assertEqual([float(one.offset) for one in found], [0.0, 2.0], pair)
            for symbol, one in zip(pair, found):
                expected = harmony.ChordSymbol(CHORDS[symbol])
                self.assertEqual(set(one.pitchClasses), set(expected.pitchClasses), symbol)
                self.assertEqual(one.root().name, expected.root().name, symbol)

    def test_abc_has_the_notes_that_music21_reads(self):
        for path, text, key, _ in self.export(self.drawn(17), ".out.abc"):
            # music21 passes over accents and words that it does not know.
            expected = [one[:3] + one[4:] for one in meant(text)]
            found = [one[:3] + one[4:] for one in notes(converter.parse(path.read_text(), format="abc"))]
            self.assertEqual(found, expected, f"{text}\n{path.read_text()}")

    def test_words_stand_under_the_notes_that_they_are_sung_with(self):
        riff = self.path("eighths.abc")
        riff.write_text("X:1\nT:Eighths\nM:4/4\nL:1/8\nK:G\nGGGG GGGG|GGGG GGGG|]\n")
        placements = '[{"riff":0,"bar":1,"quarter":0},{"riff":0,"bar":9,"quarter":0}]'
        words = "Left my um-*brel-la on the ear-ly train//Snow on the line"
        expected = [("Left", "single"), ("my", "single"), ("um", "begin"), ("brel", "middle"), ("la", "end"), ("on", "single"),
                    ("the", "single"), ("ear", "begin"), ("ly", "end"), ("train", "single"),
                    ("Snow", "single"), ("on", "single"), ("the", "single"), ("line", "single")]
        for ending, form in ((".musicxml", "musicxml"), (".out.abc", "abc")):
            out = riff.with_suffix(ending)
            [answer] = riffloom.ask([["export", str(riff), "--key", "G", "--form", "12-bar", "--tempo", "92", "--placements", placements,
                                      "--words", words, "--out", str(out)]])
            self.assertNotIn("error", answer)
            if form == "musicxml":
                for error in schema().iter_errors(str(out)):
                    self.fail(error.reason)
            score = converter.parse(out.read_text() if form == "abc" else out, format=form)
            lyrics = [(note.offset + note.getContextByClass("Measure").offset, lyric.text, lyric.syllabic)
                      for note in score.recurse().notes for lyric in note.lyrics]
            if form == "musicxml":
                self.assertEqual([lyric[1:] for lyric in lyrics], expected)
                self.assertEqual([lyric[0] for lyric in lyrics[:3]], [0, 0.5, 1.5])

    def test_words_come_back_from_files(self):
        """Written by music21 as MusicXML, and as the standard's section 5.1 has it in ABC."""
        part = stream.Part()
        for syllable in ["Left", "my", "um-", "-brel-", "-la", "on", "the", "train"]:
            one = note.Note("G4")
            one.lyric = syllable
            part.append(one)
        path = self.path("words.musicxml")
        stream.Score([part]).write("musicxml", path)
        tune = self.path("words.abc")
        tune.write_text("X:1\nT:Words\nM:4/4\nL:1/4\nK:C\nGGGG|GG zG|G4|]\nw:Left my um-brel-|la on the|train\nw:and a sec-ond verse\n")
        answers = riffloom.ask([["import", str(path)], ["import", str(tune)]])
        self.assertEqual([answer.get("words", answer) for answer in answers], ["Left my um-brel-la on the train"] * 2)

    def test_packed_musicxml_is_what_zipfile_and_music21_read(self):
        for path, text, _, name in self.export(self.drawn(19, 12), ".mxl"):
            with zipfile.ZipFile(path) as packed:
                self.assertIsNone(packed.testzip())
                container = ET.fromstring(packed.read("META-INF/container.xml"))
                [listed] = [one.get("full-path") for one in container.iter("rootfile")]
                self.assertIn(listed, packed.namelist())
            self.assertEqual(notes(converter.parse(path), INSTRUMENTS[name]), meant(text), f"{name}\n{text}")

    def test_melodies_that_nobody_here_wrote(self):
        """Tunes of books in ABC and the upper voices of chorales in packed MusicXML, all as music21's corpus has them,
        note by note as far as a riff goes. What the reader refuses is listed with its reason."""
        sources = melodies()
        for name, source in sources:
            self.path(name).write_bytes(source)
        answers = riffloom.ask([["import", str(self.path(name))] for name, _ in sources])
        read, refused, other = 0, [], []
        for (name, _), answer in zip(sources, answers):
            if "error" in answer:
                refused.append(f"{name}: {answer['error'].split(name + ': ')[-1]}")
                continue
            path = self.path(name)
            source = (converter.parse(path).parts[0] if name.endswith(".mxl")
                      else converter.parse(carried(path.read_text()), format="abc"))
            expected = [one[:3] for one in notes(source)]
            found = [one[:3] for one in notes(converter.parse(carried(answer["abc"]), format="abc"))]
            if answer["lost"]["beyond"] or answer["lost"]["cut"]:
                # The last one may have been cut where the riff ends.
                found[-1] = (found[-1][0], expected[len(found) - 1][1], found[-1][2])
            read += 1
            if len(found) + answer["lost"]["beyond"] != len(expected) or found != expected[:len(found)]:
                other.append(f"{name}: {[pair for pair in zip(found, expected) if pair[0] != pair[1]][:1]}")
        print(f"{read} of {len(sources)} melodies read, {len(other)} otherwise than music21; refused: {len(refused)}")
        print("\n".join(refused))
        print("\n".join(other))
        self.assertGreaterEqual(read, 200)
        self.assertEqual(other, [])

    def test_what_is_written_says_how_it_swings(self):
        [(path, *_)] = self.export(self.drawn(3, 1), ".musicxml")
        swing = ET.parse(path).find(".//sound/swing")
        self.assertEqual([child.text for child in swing], ["2", "1", "eighth"])


if __name__ == "__main__":
    unittest.main()
