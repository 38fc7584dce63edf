"""Scoring, beside mir_eval's, and beside the figures that an open study of tapping has published."""

import json
import pathlib
import random
import statistics
import tempfile
import unittest

import mir_eval
import numpy
import riffloom


def scores(cases, windows):
    """What `score` says of each (target, played), lists of seconds, with each window in ms."""
    with tempfile.TemporaryDirectory() as folder:
        questions = []
        for at, lists in enumerate(cases):
            paths = [str(pathlib.Path(folder) / f"{at}-{which}.json") for which in ("target", "played")]
            for path, onsets in zip(paths, lists):
                notes = [{"onset": float(onset), "midi": 60} for onset in onsets]
                pathlib.Path(path).write_text(json.dumps(notes))
            for window in windows:
                questions.append(["score", "--target", paths[0], "--played", paths[1], "--window", str(window)])
        answers = riffloom.ask(questions)
    return [answers[at : at + len(windows)] for at in range(0, len(answers), len(windows))]


class Onsets(unittest.TestCase):
    WINDOWS = (50, 25)

    def test_f_is_that_of_mir_eval(self):
        """Onsets on whole milliseconds, so that many lie on the very edge of a window; mir_eval counts in milliseconds,
        where nothing is rounded (it takes times up to 30 000)."""
        draw = random.Random(1)
        cases = []
        for _ in range(200):
            target = sorted(draw.sample(range(0, 8_000, 5), draw.randint(1, 40)))
            moved = [at + draw.choice((-50, -25, 0, 25, 50, draw.randint(-80, 80))) for at in target]
            moved += [draw.randint(0, 8_000) for _ in range(draw.randint(0, 6))]
            played = sorted(max(0, at) for at in moved if draw.random() > 0.1)
            cases.append((target, played))
        seconds = [[[at / 1e3 for at in onsets] for onsets in case] for case in cases]
        edges = 0
        for (target, played), answers in zip(cases, scores(seconds, self.WINDOWS)):
            for window, answer in zip(self.WINDOWS, answers):
                reference, estimate = numpy.array(target, float), numpy.array(played, float)
                if len(played) == 0:
                    continue
                expected = mir_eval.onset.f_measure(reference, estimate, window=window)
                found = [answer["onsets"][name] for name in ("f", "precision", "recall")]
                for ours, theirs in zip(found, expected):
                    self.assertAlmostEqual(ours, theirs, places=12)
                in_seconds = mir_eval.onset.f_measure(reference / 1e3, estimate / 1e3, window=window / 1e3)
                edges += in_seconds != expected
        # In seconds, binary fractions push some onsets off the edge: the trap is there, and we are not in it.
        self.assertGreater(edges, 20)

    def test_the_edge_in_binary_fractions(self):
        """2.10 − 2.05 is more than 0.05 in binary fractions, and so is 1.05 − 1.00, which mir_eval meets by adding."""
        self.assertFalse(2.10 - 2.05 <= 0.05 or 1.05 - 1.00 <= 0.05)
        one, other = ([2.05], [2.10]), ([1.0], [1.05])
        self.assertEqual(mir_eval.onset.f_measure(*map(numpy.array, one), window=0.05)[0], 0.0)
        self.assertEqual([answer["onsets"]["f"] for (answer,) in scores([one, other], (50,))], [1.0, 1.0])


class Tapping(unittest.TestCase):
    """R. Bååth and G. Madison, "The subjective difficulty of tapping to a slow beat", ICMPC 12, 2012: 30 people tap to a
    click every 600 ms. From their open data: mean asynchrony −40.1 ms, means of people from −102.7 to −4.3 ms, median
    deviation within a person 32.1 ms; shares of taps within ±50 ms 60.8 %, within ±25 ms 33.8 %, and 89.6 % and 61.8 %
    once each person's mean is taken away.

    The data are not at hand, so taps are drawn with these parameters: the persons' means spread evenly in rank between
    the extremes about the mean, and Student's t with 7 degrees of freedom within a person, the whole number for which
    both shares about a person's mean come nearest. The two other shares follow from that and are the test.
    """

    PEOPLE, TAPS, CLICK = 30, 200, 0.6
    MEAN, EXTREMES, DEVIATION, FREEDOM = -40.1, (-102.7, -4.3), 32.1, 7

    @classmethod
    def setUpClass(cls):
        draw = numpy.random.default_rng(2012)
        # Ranks r from 0 to 1 give low + (high − low)·r^p; its mean is low + (high − low)/(p + 1).
        low, high = cls.EXTREMES
        power = (high - low) / (cls.MEAN - low) - 1
        ranks = (numpy.arange(cls.PEOPLE) + 0.5) / cls.PEOPLE
        cls.means = low + (high - low) * ranks**power
        scale = cls.DEVIATION / numpy.sqrt(cls.FREEDOM / (cls.FREEDOM - 2))
        cls.clicks = numpy.arange(cls.TAPS) * cls.CLICK + 1
        off = scale * draw.standard_t(cls.FREEDOM, (cls.PEOPLE, cls.TAPS))
        cls.late = cls.means[:, None] + off
        centred = cls.late - cls.late.mean(axis=1, keepdims=True)
        cases = [(cls.clicks, cls.clicks + late / 1e3) for late in (*cls.late, *centred)]
        answers = scores(cases, (50, 25))
        cls.raw, cls.centred = answers[: cls.PEOPLE], answers[cls.PEOPLE :]

    def share(self, people, window):
        """Per cent of all taps."""
        matched = sum(person[window]["onsets"]["matched"] for person in people)
        return 100 * matched / (self.PEOPLE * self.TAPS)

    def test_all_taps_are_paired_with_their_clicks(self):
        for person, late in zip(self.raw, self.late):
            self.assertEqual(person[0]["right"], self.TAPS)
            self.assertAlmostEqual(person[0]["bias_ms"], float(numpy.median(late)), delta=1e-6)
            self.assertAlmostEqual(person[0]["spread_ms"], float(numpy.std(late, ddof=1)), delta=1e-6)

    def test_published_means(self):
        # Standard errors: about 32.1/√6000 = 0.4 ms and 32.1/√400 = 1.6 ms a person, a third of that for the median.
        bias = statistics.mean(person[0]["bias_ms"] for person in self.raw)
        spread = statistics.median(person[0]["spread_ms"] for person in self.raw)
        self.assertAlmostEqual(bias, self.MEAN, delta=1.5)
        self.assertAlmostEqual(spread, self.DEVIATION, delta=1.5)

    def test_published_shares(self):
        # A standard error of the draw is 0.6 points; the persons' real means and deviations are not known.
        for people, window, published in (
            (self.centred, 0, 89.6),
            (self.centred, 1, 61.8),
            (self.raw, 0, 60.8),
            (self.raw, 1, 33.8),
        ):
            with self.subTest(published=published):
                self.assertAlmostEqual(self.share(people, window), published, delta=3)


if __name__ == "__main__":
    unittest.main()
