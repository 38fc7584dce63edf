"""Standard MIDI Files, by mido and music21: what `export` writes, and what `import` reads.

Tunes are drawn at random as ABC. music21 reads the same ABC by itself: its notes are what a file must have.
"""

import pathlib
import random
import tempfile
import unittest

import mido
from music21 import converter

import riffloom
from test_variation import BEATS, DOTTED, THIRDS, read, tune

TUNES = 40


def placed(text):
    """(start, length, MIDI number) in quarters of each note that music21 reads in ABC."""
    at, notes = 0.0, []
    for pitch, length in read(text):
        if pitch:
            notes.append((round(at, 4), round(float(length), 4), pitch.midi))
        at += float(length)
    return notes


def track_notes(file, track):
    """The same of a track of a file that mido reads."""
    at, held, notes = 0, {}, []
    for message in track:
        at += message.time
        if message.type == "note_on" and message.velocity > 0:
            held[message.note] = at
        elif message.type in ("note_on", "note_off"):
            begin = held.pop(message.note)
            quarter = file.ticks_per_beat
            notes.append((round(begin / quarter, 4), round((at - begin) / quarter, 4), message.note))
    return sorted(notes)


class Files(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.addCleanup(self.folder.cleanup)
        draw = random.Random(15)
        kinds = [BEATS, BEATS + THIRDS, DOTTED]
        self.tunes = [tune(draw, kinds[at % 3], False) for at in range(TUNES)]
        self.paths = []
        for at, (text, _) in enumerate(self.tunes):
            path = pathlib.Path(self.folder.name) / f"{at}.abc"
            path.write_text(text)
            self.paths.append(path)

    def export(self, *more):
        words = [
            ["export", str(path), "--key", name.replace("-", "b"), "--form", "12-bar", "--tempo", str(60 + at)]
            + ["--metre", "12/8" if "12/8" in text else "4/4", "--out", str(path.with_suffix(".mid")), *more]
            for at, (path, (text, name)) in enumerate(zip(self.paths, self.tunes))
        ]
        answers = riffloom.ask(words)
        self.assertEqual([answer["error"] for answer in answers if "error" in answer], [])
        return [mido.MidiFile(path.with_suffix(".mid")) for path in self.paths]

    def test_a_riff_has_the_notes_that_music21_reads(self):
        for at, file in enumerate(self.export("--alone", "--straight")):
            text, name = self.tunes[at]
            head, solo = file.tracks
            self.assertEqual(track_notes(file, solo), placed(text), text)
            meta = {message.type: message for message in head}
            self.assertEqual(meta["track_name"].name, "Tune")
            self.assertEqual(solo.name, "Tune")
            self.assertEqual(round(mido.tempo2bpm(meta["set_tempo"].tempo), 2), 60 + at)
            self.assertEqual(meta["key_signature"].key, name.replace("-", "b"))
            signature = meta["time_signature"]
            self.assertEqual((signature.numerator, signature.denominator), (12, 8) if "12/8" in text else (4, 4))

    def test_music21_reads_the_file_as_it_reads_the_abc(self):
        for at, _ in enumerate(self.export("--alone", "--straight")):
            text, _ = self.tunes[at]
            score = converter.parse(self.paths[at].with_suffix(".mid"), quantizePost=False).flatten()
            found = [(round(float(n.offset), 4), n.pitch.midi) for n in score.notes]
            self.assertEqual(found, [(begin, midi) for begin, _, midi in placed(text)], text)

    def test_swing_moves_the_second_half_of_a_beat(self):
        """2:1 puts what is written halfway at two thirds."""
        straight = self.export("--alone", "--straight", "--feel", "2:1")
        played = self.export("--alone", "--feel", "2:1")
        moved = 0
        for (text, _), one, other in zip(self.tunes, straight, played):
            if "12/8" in text or "(3" in text:
                continue
            pairs = zip(track_notes(one, one.tracks[1]), track_notes(other, other.tracks[1]))
            for (even, _, midi), (swung, _, same) in pairs:
                self.assertEqual(midi, same)
                if even % 1 == 0.5:
                    moved += 1
                    self.assertAlmostEqual(swung % 1, 2 / 3, delta=0.002)
                elif even % 1 == 0:
                    self.assertAlmostEqual(swung, even, delta=0.002)
        self.assertGreater(moved, 10)

    def test_the_band_is_what_render_plays(self):
        """Every part of the file against the events that `render` prints, in seconds, within two ticks of 960."""
        path = self.paths[0]
        common = [str(path), "--key", "G", "--form", "12-bar", "--tempo", "92", "--feel", "2:1", "--seed", "3"]
        wav, mid = path.with_suffix(".wav"), path.with_suffix(".mid")
        rendered, exported = riffloom.ask([["render", *common, "--out", str(wav)], ["export", *common, "--out", str(mid)]])
        file = mido.MidiFile(mid)
        names = {"solo": "Tune", "comp": "Chords", "bass": "Bass", "drums": "Drums", "click": "Click"}
        for part, name in names.items():
            track = next(track for track in file.tracks[1:] if track.name == name)
            found = sorted((begin, midi) for begin, _, midi in track_notes_of_drums(file, track))
            quarter = 60 / 92
            events = [event for event in rendered["events"] if event["part"] == part]
            expected = sorted(((event["at"] - rendered["start"]) / quarter, event["midi"]) for event in events)
            lead = file_lead(expected)
            self.assertEqual(len(found), len(expected), part)
            for (begin, midi), (at, same) in zip(found, expected):
                self.assertAlmostEqual(begin, at + lead, delta=2 / 960)
                self.assertEqual(midi, same)

    def test_what_mido_writes_is_read(self):
        """Files as another program writes them: 96 to the quarter, running status, chords above and below."""
        words, expected = [], []
        draw = random.Random(7)
        for at in range(TUNES):
            file = mido.MidiFile(ticks_per_beat=96)
            head, track = mido.MidiTrack(), mido.MidiTrack()
            file.tracks += [head, track]
            head.append(mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(100)))
            head.append(mido.MetaMessage("key_signature", key="F"))
            track.append(mido.MetaMessage("track_name", name="Lead"))
            notes, time = [], 0
            for beat in range(8):
                for parts in [draw.choice([[96], [48, 48], [32, 32, 32], [24, 24, 48], [48, 24, 24]])]:
                    for length in parts:
                        midi = draw.randint(55, 79)
                        track.append(mido.Message("note_on", note=midi, velocity=80, time=time))
                        track.append(mido.Message("note_on", note=midi - 12, velocity=70, time=0))
                        track.append(mido.Message("note_off", note=midi - 12, time=length))
                        track.append(mido.Message("note_on", note=midi, velocity=0, time=0))
                        time = 0
                        notes.append((length, midi))
            path = pathlib.Path(self.folder.name) / f"mido-{at}.mid"
            file.save(path)
            words.append(["import", str(path)])
            expected.append(notes)
        for notes, answer in zip(expected, riffloom.ask(words)):
            self.assertNotIn("error", answer)
            self.assertEqual((answer["tempo"], answer["key"]), (100, "F"))
            self.assertEqual(answer["lost"]["under"], len(notes))
            found = [(round(length, 4), midi) for _, length, midi in placed(answer["abc"])]
            self.assertEqual(found, [(round(length / 96, 4), midi) for length, midi in notes], answer["abc"])


def track_notes_of_drums(file, track):
    """Starts alone: of two strokes of a drum the first may still ring when the next begins."""
    at, notes = 0, []
    for message in track:
        at += message.time
        if message.type == "note_on" and message.velocity > 0:
            notes.append((at / file.ticks_per_beat, 0, message.note))
    return notes


def file_lead(expected):
    """Whole bars of four before the first bar line, where something sounds before it."""
    earliest = min((at for at, _ in expected), default=0)
    return 0 if earliest > -1e-9 else 4


if __name__ == "__main__":
    unittest.main()
