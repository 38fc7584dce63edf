"""How well notes are heard: transcribes a folder of clips and scores the notes as mir_eval does. No test; it prints a table:

    scripts/bench listening [FOLDER] [--live]

The folder has `audio/NAME.wav` or `.flac` and `truth/NAME.json`: {"notes":[{"onset":seconds,"offset":seconds,"midi":…}]},
and where known "clicks", the times of a click that is no note, "instrument" and "variant". With `--live` the notes are those
that are told while the clip sounds.

F is the F-measure of all clips pooled: of onsets alone within 50 and 25 ms, and of notes, whose pitch must be right within
50 cents too (mir_eval.transcription). The mean and SD are of how late the onsets are found. A clip is perfect where every
note is right and none is extra.
"""

import argparse
import collections
import json
import pathlib
import resource
import subprocess
import tempfile

import mir_eval
import numpy
from riffloom import ROOT, program

HEAD = "clips notes | onset F50   F25 |  mean    SD ms | note F50 | octaves | perfect"


def transcribed(audio, clicks, live):
    with tempfile.TemporaryDirectory() as folder:
        if audio.suffix != ".wav":
            wav = pathlib.Path(folder) / "clip.wav"
            command = ["ffmpeg", "-loglevel", "error", "-i", str(audio), "-c:a", "pcm_s24le", str(wav)]
            subprocess.run(command, check=True)
            audio = wav
        words = [program(), "transcribe", str(audio), *(["--live"] if live else [])]
        if clicks:
            words += ["--clicks", ",".join(map(str, clicks))]
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        done = subprocess.run(words, capture_output=True, text=True, check=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        return json.loads(done.stdout), after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def hertz(midi):
    return 440 * 2 ** ((numpy.asarray(midi, float) - 69) / 12)


def compared(meant, heard):
    """What one clip came to: counts, and the errors of matched onsets in ms."""
    onsets = [numpy.array([note["onset"] for note in notes]) for notes in (meant, heard)]
    row = collections.Counter(clips=1, meant=len(meant), heard=len(heard))
    if not meant or not heard:
        row["perfect"] = int(not meant and not heard)
        return row, [], []
    pairs = mir_eval.util.match_events(*onsets, 0.05)
    row["onsets50"] = len(pairs)
    row["onsets25"] = len(mir_eval.util.match_events(*onsets, 0.025))
    spans = [[[note["onset"], max(note["offset"] or 0, note["onset"] + 0.001)] for note in notes] for notes in (meant, heard)]
    pitches = [hertz([note["midi"] for note in meant]), hertz([note["midi"] + note["cents"] / 100 for note in heard])]
    matched = mir_eval.transcription.match_notes(
        numpy.array(spans[0]), pitches[0], numpy.array(spans[1]), pitches[1],
        onset_tolerance=0.05, pitch_tolerance=50, offset_ratio=None,
    )  # fmt: skip
    row["notes"] = len(matched)
    row["perfect"] = int(len(matched) == len(meant) == len(heard))
    for one, other in pairs:
        apart = 12 * numpy.log2(pitches[1][other] / pitches[0][one])
        row["octaves"] += int(abs(apart) > 6 and abs((apart + 6) % 12 - 6) <= 0.5)
    cents = [1200 * numpy.log2(pitches[1][other] / pitches[0][one]) for one, other in matched]
    return row, [1000 * (onsets[1][other] - onsets[0][one]) for one, other in pairs], cents


def f(shared, row):
    return 2 * shared / max(1, row["meant"] + row["heard"])


def line(name, results):
    row, errors = collections.Counter(), []
    for one, late, _ in results:
        row.update(one)
        errors += late
    errors = errors or [0]
    return (
        f"{name:24} {row['clips']:5} {row['meant']:5} |    {f(row['onsets50'], row):.3f} {f(row['onsets25'], row):.3f} |"
        f" {numpy.mean(errors):5.1f} {numpy.std(errors):5.1f}    |    {f(row['notes'], row):.3f} | {row['octaves']:7} |"
        f" {row['perfect']:7}"
    )


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("folder", nargs="?", type=pathlib.Path, default=ROOT / "tests/data/listening")
    arguments.add_argument("--live", action="store_true")
    options = arguments.parse_args()
    groups, seconds, sound, told = collections.defaultdict(list), 0, 0, []
    for path in sorted((options.folder / "truth").glob("*.json")):
        truth = json.loads(path.read_text())
        audio = [options.folder / "audio" / (path.stem + ending) for ending in (".wav", ".flac")]
        audio = next(file for file in audio if file.exists())
        heard, took = transcribed(audio, truth.get("clicks", []), options.live)
        result = compared(truth["notes"], heard)
        for key in ("all", *(truth[kind] for kind in ("instrument", "variant") if kind in truth)):
            groups[key].append(result)
        seconds += took
        sound += truth["duration_s"]
        told += [note["told"] - note["onset"] for note in heard if note.get("told")]
    print(" " * 24, HEAD)
    for name in ("all", *sorted(set(groups) - {"all"})):
        print(line(name, groups[name]))
    off = [abs(cents) for _, _, all_cents in groups["all"] for cents in all_cents]
    print(f"\npitch: median {numpy.median(off or [0]):.1f} cents off · {seconds / sound:.4f} CPU seconds a second of sound")
    if told:
        print(f"told after the onset: median {1000 * numpy.median(told):.0f} ms, at most {1000 * max(told):.0f} ms")


if __name__ == "__main__":
    main()
