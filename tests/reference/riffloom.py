"""Asks the command line many questions in one process."""

import json
import os
import pathlib
import subprocess

ROOT = pathlib.Path(__file__).resolve().parents[2]


def program():
    """The built command line: $RIFFLOOM, or where cargo puts it."""
    if "RIFFLOOM" in os.environ:
        return os.environ["RIFFLOOM"]
    target = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
    for profile in ("release", "debug"):
        found = target / profile / "riffloom"
        if found.exists():
            return str(found)
    raise SystemExit("build the command line first: cargo build --bin riffloom")


def ask(questions):
    """The answers to `questions`, each a list of words, in order; an answer is JSON or {"error": …}."""
    lines = "".join(json.dumps(question) + "\n" for question in questions)
    done = subprocess.run([program(), "batch"], input=lines, capture_output=True, text=True, check=True)
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    assert len(answers) == len(questions), (len(answers), len(questions))
    return answers
