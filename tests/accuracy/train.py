"""Train the taggers from the marked transcripts, or cross-validate them by transcript.

    python tests/accuracy/train.py            writes notes2sheet/models/*.crfsuite
    python tests/accuracy/train.py --folds 5  prints what transcripts left out of training are tagged like

Each transcript is used as written and stripped of punctuation, capitals and line breaks (as automatic captions may be).
"""

from __future__ import annotations

import argparse
import re
import sys
import tempfile
from collections import Counter
from pathlib import Path

import pycrfsuite

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))
from marked import Marked, read  # noqa: E402
from score import bare  # noqa: E402

from notes2sheet import tagger  # noqa: E402
from notes2sheet.entry import entry_features  # noqa: E402
from notes2sheet.features import sentence_features  # noqa: E402
from notes2sheet.pipeline import read_notes  # noqa: E402
from notes2sheet.roles import role_features  # noqa: E402
from notes2sheet.stance import stance_features  # noqa: E402
from notes2sheet.words import norm, phrase_words  # noqa: E402

SETTINGS = {
    "segments": {"c1": 0.1, "c2": 0.3, "max_iterations": 120, "feature.minfreq": 2},
    "roles": {"c1": 0.1, "c2": 0.3, "max_iterations": 120, "feature.minfreq": 2},
    "entry": {"c1": 0.05, "c2": 0.1, "max_iterations": 120, "feature.minfreq": 1},
    "stance": {"c1": 0.1, "c2": 0.2, "max_iterations": 120, "feature.minfreq": 2},
}
STATE = {"+": "P", "-": "A", "x": "M"}


def gold_of(doc: Marked, start: int, end: int):
    """The marked sentence that shares most characters with [start, end)."""
    return max(doc.sentences, key=lambda s: min(end, s.end) - max(start, s.start))


def prepared(doc: Marked, text: str):
    """(reading with gold categories and roles set, labels per sentence, label per mention)."""
    reading = read_notes(text, until="descriptors")
    for sentence in reading.sentences:
        truth = gold_of(doc, *reading.span(sentence.start, sentence.end))
        sentence.category, sentence.role = truth.category, truth.role
    states = []
    for mention in reading.mentions:
        start, end = reading.span(mention.start, mention.end)
        over = [d for d in doc.descriptors if d.start < end and start < d.end]
        states.append(STATE[over[0].polarity] if over else "O")
    return reading, states, entry_labels(reading, doc)


def entry_labels(reading, doc: Marked) -> list[str]:
    """B-E/I-E on the words of the first place where the opening says the entry's name, B-K/I-K for the maker's."""
    labels = ["O"] * len(entry_features(reading))
    for key, kind in (("entry", "E"), ("maker", "K")):
        name = [norm(w) for w in re.findall(r"[\w'’.]+", doc.header[key])] if doc.header[key] != "none" else []
        flat = [w for n in name for w in phrase_words(n)]
        for at in range(len(labels) - len(flat) + 1):
            if flat and [w for w in reading.words[at : at + len(flat)]] == flat and set(labels[at : at + len(flat)]) == {"O"}:
                labels[at : at + len(flat)] = [f"B-{kind}"] + [f"I-{kind}"] * (len(flat) - 1)
                break
    return labels


def rows_of(reading, states, names) -> dict[str, tuple[list[list[str]], list[str]]]:
    return {
        "segments": (sentence_features(reading), [s.category for s in reading.sentences]),
        "roles": (role_features(reading), [s.role for s in reading.sentences]),
        "entry": (entry_features(reading), names),
        "stance": (stance_features(reading), states),
    }


def fit(name: str, data: list[tuple[list[list[str]], list[str]]], path: Path) -> None:
    trainer = pycrfsuite.Trainer(verbose=False)
    trainer.set_params(SETTINGS[name])
    for rows, labels in data:
        if rows:
            trainer.append(rows, labels)
    trainer.train(str(path))


def documents(folders: list[Path]) -> list[tuple[str, Marked]]:
    return [(p.stem, read(p)) for folder in folders for p in sorted(folder.glob("*.marked.txt"))]


def cross_validate(docs, folds: int, only: str | None) -> None:
    material = [
        (i % folds, name, doc, [prepared(doc, doc.text), prepared(doc, bare(doc.text))]) for i, (name, doc) in enumerate(docs)
    ]
    hits: Counter[str] = Counter()
    confusions: Counter[tuple[str, str, str]] = Counter()
    with tempfile.TemporaryDirectory() as tmp:
        tagger.MODELS = Path(tmp)
        for fold in range(folds):
            tagger.tagger.cache_clear()
            train = [rows_of(*pair) for f, _, _, pairs in material if f != fold for pair in pairs]
            for name in SETTINGS:
                fit(name, [t[name] for t in train], Path(tmp, f"{name}.crfsuite"))
            for f, docname, _, pairs in material:
                if f != fold or (only and not docname.startswith(only)):
                    continue
                for shape, (reading, states, _) in zip(("plain", "bare"), pairs, strict=True):
                    _score_fold(reading, states, shape, hits, confusions)
    for key in sorted(hits):
        if not key.endswith("/n"):
            print(f"{hits[key] / hits[key + '/n']:7.1%}  {key}  (of {hits[key + '/n']})")
    for (what, truth, got), n in confusions.most_common(24):
        print(f"  {what}: {truth} taken for {got}: {n}")


def _score_fold(reading, states, shape, hits, confusions) -> None:
    truth = [(s.category, s.role) for s in reading.sentences]
    sizes = [s.end - s.start for s in reading.sentences]
    for s, label in zip(reading.sentences, tagger.tag("segments", sentence_features(reading)), strict=True):
        s.category = label
    for s, label in zip(reading.sentences, tagger.tag("roles", role_features(reading)), strict=True):
        s.role = label
    found = tagger.tag("stance", stance_features(reading))
    for (cat, role), s, size in zip(truth, reading.sentences, sizes, strict=True):
        for what, a, b in ((f"{shape} category", cat, s.category), (f"{shape} role", role, s.role)):
            hits[what] += size * (a == b)
            hits[what + "/n"] += size
            if a != b and shape == "plain":
                confusions[what, a, b] += size
    for a, b in zip(states, found, strict=True):
        hits[f"{shape} stance {a}"] += a == b
        hits[f"{shape} stance {a}/n"] += 1
        hits[f"{shape} stance {b} right"] += a == b
        hits[f"{shape} stance {b} right/n"] += 1
    for s, (cat, role) in zip(reading.sentences, truth, strict=True):
        s.category, s.role = cat, role


def main() -> None:
    ap = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ap.add_argument("--folds", type=int)
    ap.add_argument("--only", help="report only transcripts whose name begins so")
    ap.add_argument("--dev", action="store_true", help="leave out the project's own transcripts")
    args = ap.parse_args()
    docs = documents([HERE / "dev"] if args.dev else [HERE / "dev", HERE / "own"])
    if args.folds:
        cross_validate(docs, args.folds, args.only)
        return
    data = [rows_of(*prepared(doc, text)) for _, doc in docs for text in (doc.text, bare(doc.text))]
    tagger.MODELS.mkdir(exist_ok=True)
    for name in SETTINGS:
        fit(name, [d[name] for d in data], tagger.MODELS / f"{name}.crfsuite")
        print(name, (tagger.MODELS / f"{name}.crfsuite").stat().st_size, "bytes")


if __name__ == "__main__":
    main()
