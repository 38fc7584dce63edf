"""How hard the sentences on the page are to read, and whether one thing has one word.

Every sentence that a person can read is taken from the sources: strings of Rust in src/view and in the errors that are
shown, and of JavaScript and HTML in www, of at least four words. What is put into a sentence while it runs stands as "G".
They are judged by textstat's Flesch reading ease (100 is easiest) and Flesch-Kincaid grade (years of school).

    target/venv/bin/pip install --requirement tests/reference/requirements-reading.txt
    target/venv/bin/python tests/reference/reading_age.py [REVISION ...]

prints a row for each revision of the repository that is named and one for what is here now, then the hardest sentences
of now. scripts/bench reading does both, with the words as they were before and after they were gone through.
"""

import html
import pathlib
import re
import subprocess
import sys

import textstat

textstat.set_rounding(False)

ROOT = pathlib.Path(__file__).resolve().parents[2]
LEAST_WORDS = 4
SHOWN = 12

# Words that mean one thing here, and the one that was chosen.
ONE_WORD = {
    "a written rest": ("rest", ["pause"]),
    "how much is empty": ("space", ["silence", "room"]),
    "a riff": ("riff", ["piece", "lick", "phrase"]),
    "chord change": ("chord change", ["harmony"]),
    "time through": ("times through", ["repetition", "one time after another"]),
    "keeping": ("keep", ["store", "save"]),
    "throwing away": ("delete", ["throw away", "put away", "remove", "erase"]),
    "a note that clashes": ("clash", ["rub", "fray"]),
    "tempo": ("tempo", ["speed", "pace"]),
    "a suggested chorus": ("suggestion", ["proposal"]),
}


def git(*words):
    return subprocess.run(["git", "-C", str(ROOT), *words], capture_output=True, text=True, check=True).stdout


def files(revision):
    """Path and text of every source that has words for people, at a revision or as it is here now."""
    listed = git("ls-tree", "-r", "--name-only", revision or "HEAD").split("\n")
    for path in listed:
        is_rust = path.startswith("src/view/") and path.endswith(".rs")
        is_page = path.startswith("www/") and path.endswith((".js", ".html")) and "/pkg/" not in path
        if is_rust or is_page or path in ("src/chorus/kept.rs", "src/riff/edit.rs", "src/form/chart.rs"):
            text = git("show", f"{revision}:{path}") if revision else (ROOT / path).read_text("utf-8")
            yield path, text


def strings(path, text):
    """The strings of a source."""
    if path.endswith(".html"):
        text = re.sub(r"<(script|style)\b.*?</\1>|<!--.*?-->", " ", text, flags=re.S)
        inside = re.findall(r">([^<>]+)<", text)
        labels = re.findall(r"(?:aria-label|title|placeholder|content)=\"([^\"]+)\"", text)
        return [html.unescape(part) for part in inside + labels]
    if path.endswith(".rs"):
        # Tests stand at the foot of a file.
        text = text.split("#[cfg(test)]")[0]
        text = "\n".join(line for line in text.split("\n") if not line.lstrip().startswith(("//", "#[")))
        return [re.sub(r"\\\s*\n\s*", "", part) for part in re.findall(r"\"((?:[^\"\\]|\\.)*)\"", text, flags=re.S)]
    text = re.sub(r"/\*.*?\*/", " ", text, flags=re.S)
    text = "\n".join(re.sub(r"^\s*//.*|\s//\s.*", "", line) for line in text.split("\n"))
    quoted = re.findall(r"\"((?:[^\"\\\n]|\\.)*)\"", text) + re.findall(r"`((?:[^`\\]|\\.)*)`", text, flags=re.S)
    return quoted


def sentences(revision):
    """Every sentence once."""
    found = {}
    for path, text in files(revision):
        for part in strings(path, text):
            # What comes in while it runs.
            part = re.sub(r"\$\{[^}]*\}|\{[^}]*\}", "G", part)
            part = re.sub(r"\s+", " ", part).strip()
            for sentence in re.split(r"(?<=[.!?:;])\s+", part):
                words = re.findall(r"[A-Za-z’'♯♭]+", sentence)
                is_code = re.search(r"[<>=_\\/#]|\w\.\w|--|\bhttps?\b|[a-z][A-Z]|\bM\d|^[a-z-]+( [a-z]+-[a-z-]+)+$", sentence)
                if len(words) >= LEAST_WORDS and not is_code and re.search(r"[a-z]{2}", sentence):
                    found.setdefault(sentence if sentence[-1] in ".!?:;" else sentence + ".", path)
    return found


def figures(found):
    words = [len(re.findall(r"[A-Za-z’'♯♭]+", sentence)) for sentence in found]
    grades = sorted(textstat.flesch_kincaid_grade(sentence) for sentence in found)
    whole = " ".join(found)
    return {
        "sentences": len(found),
        "words each": sum(words) / len(words),
        "longest": max(words),
        "reading ease": textstat.flesch_reading_ease(whole),
        "grade": textstat.flesch_kincaid_grade(whole),
        "over grade 5": sum(grade > 5 for grade in grades),
        "grade, 9 in 10": grades[len(grades) * 9 // 10],
    }


def main(revisions):
    rows = [(revision, sentences(revision)) for revision in revisions] + [("now", sentences(None))]
    names = list(figures(rows[-1][1]))
    print(f"{'':14}" + "".join(f"{name:>16}" for name in names))
    for revision, found in rows:
        row = figures(found)
        print(f"{revision[:12]:14}" + "".join(f"{row[name]:16.1f}" if isinstance(row[name], float) else f"{row[name]:16}" for name in names))
    now = rows[-1][1]
    print("\nThe longest now")
    for sentence in sorted(now, key=lambda one: -len(one.split()))[:SHOWN]:
        print(f"  {len(sentence.split()):3}  {sentence}  ({now[sentence]})")
    print("\nThe hardest now, of at least six words")
    longer = [one for one in now if len(one.split()) >= 6]
    for sentence in sorted(longer, key=lambda one: -textstat.flesch_kincaid_grade(one))[:SHOWN]:
        print(f"  {textstat.flesch_kincaid_grade(sentence):5.1f}  {sentence}  ({now[sentence]})")
    print("\nOne word for one thing: how often the chosen one, and others, stand in a sentence")
    for what, (chosen, others) in ONE_WORD.items():
        count = lambda word, found: sum(bool(re.search(rf"\b{word}(s|es|d|ed|ing)?\b", one, re.I)) for one in found)
        shown = [", ".join(f"{word} {count(word, found)}" for word in (chosen, *others)) for _, found in rows]
        print(f"  {what:20}" + "  →  ".join(shown))


if __name__ == "__main__":
    main(sys.argv[1:])
