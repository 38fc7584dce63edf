"""Files of sound, measured by ffmpeg's filter `ebur128`: EBU R 128, an implementation of ITU-R BS.1770 that is not ours."""

import itertools
import json
import pathlib
import re
import subprocess
import tempfile
import unittest

import riffloom

# Owed: −16 LUFS within 1 LU, and a true peak of at most −1 dBTP.
TARGET, TOLERANCE, CEILING = -16.0, 1.0, -1.0

RIFF = "X:1\nT:Porch light\nM:4/4\nL:1/8\nK:G\nD2 E_B =B2 !>!G2|z G _BG {^c}D2 z2|\n"
SHORT = "X:1\nT:Ferry bell\nM:4/4\nL:1/4\nK:G\nG_BG2|\n"
VOICES = ("keys", "organ", "guitar", "vibraphone", "reed", "flute")
FEELS = ("1:1", "2:1", "3:1")
PARTS = {
    "full band": "click,drums,bass,comp,solo",
    "band without solo": "drums,bass,comp",
    "solo alone": "solo",
    "drums alone": "drums",
    "bass alone": "bass",
    "chords alone": "comp",
}


def measure(path):
    """Integrated loudness in LUFS and true peak in dBTP."""
    words = ["ffmpeg", "-hide_banner", "-nostats", "-i", str(path), "-af", "ebur128=peak=true", "-f", "null", "-"]
    report = subprocess.run(words, check=True, capture_output=True, text=True).stderr
    summary = report[report.rindex("Summary:") :]
    return tuple(float(re.search(name + r":\s+(-?[\d.]+|-inf)", summary)[1]) for name in ("I", "Peak"))


class Loudness(unittest.TestCase):
    def test_choruses_are_equally_loud_and_never_too_high(self):
        cases = [
            (parts, voice, feel)
            for parts, voice, feel in itertools.product(PARTS, VOICES, FEELS)
            if "solo" in PARTS[parts].split(",") or voice == VOICES[0]
        ]
        with tempfile.TemporaryDirectory() as folder:
            tune = pathlib.Path(folder) / "tune.abc"
            tune.write_text(RIFF)
            out = lambda at: str(pathlib.Path(folder) / f"{at}.wav")
            questions = [
                ["render", str(tune), "--key", "G", "--form", "12-bar", "--tempo", "132", "--feel", feel]
                + ["--parts", PARTS[parts], "--voice", voice, "--seed", str(at), "--out", out(at)]
                for at, (parts, voice, feel) in enumerate(cases)
            ]
            self.check(questions, cases, out)

    def test_a_built_chorus_is_as_loud_as_a_riff(self):
        """Riffs with room between them, on the spot changed, with the band and alone, once and twice through."""
        placements = [
            {"riff": 0, "bar": 1, "quarter": 0},
            {"riff": 0, "bar": 5, "quarter": 0, "change": {"how": "transpose", "steps": 3, "semitones": 5}},
            {"riff": 1, "bar": 9, "quarter": 2},
            {"riff": 0, "bar": 11, "quarter": 0, "change": {"how": "new-ending", "seed": 0}},
        ]
        cases = list(itertools.product(("click,drums,bass,comp,solo", "drums,bass,comp", "solo"), VOICES[::2], "12"))
        with tempfile.TemporaryDirectory() as folder:
            tunes = [pathlib.Path(folder) / name for name in ("one.abc", "two.abc")]
            for tune, text in zip(tunes, (RIFF, SHORT)):
                tune.write_text(text)
            out = lambda at: str(pathlib.Path(folder) / f"{at}.wav")
            questions = [
                ["render", *map(str, tunes), "--key", "G", "--form", "12-bar", "--tempo", "132", "--feel", "2:1"]
                + ["--placements", json.dumps(placements), "--times", times, "--parts", parts, "--voice", voice]
                + ["--seed", str(at), "--out", out(at)]
                for at, (parts, voice, times) in enumerate(cases)
            ]
            self.check(questions, cases, out)

    def check(self, questions, cases, out):
        """Asks for the files, and holds each to the limits."""
        for at, (answer, case) in enumerate(zip(riffloom.ask(questions), cases)):
            with self.subTest(case=case):
                self.assertNotIn("error", answer)
                loudness, peak = measure(out(at))
                self.assertAlmostEqual(loudness, TARGET, delta=TOLERANCE)
                self.assertLessEqual(peak, CEILING)


if __name__ == "__main__":
    unittest.main()
