"""Train the taggers from the marked transcripts, or cross-validate them by transcript.

    python tests/accuracy/train.py            writes notes2sheet/models/*.crfsuite
    python tests/accuracy/train.py --folds 5  prints what transcripts left out of training are tagged like

Each transcript is used as written and stripped of punctuation, capitals and line breaks (as automatic captions may be).
"""

from __future__ import annotations

import argparse
import json
import re
import sys
import tempfile
from collections import defaultdict
from pathlib import Path

import pycrfsuite

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))
from marked import Marked, read  # noqa: E402
from score import Tally, bare, compare  # noqa: E402

from notes2sheet import tagger  # noqa: E402
from notes2sheet.entry import entry_features  # noqa: E402
from notes2sheet.features import sentence_features  # noqa: E402
from notes2sheet.pipeline import draft_sheet, read_notes  # noqa: E402
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


def cross_validate(docs, folds: int, only: str | None, shape: str, worst: int) -> dict[str, list[str]]:
    """Draft each transcript with taggers that never saw it, and print the scorer's table over them."""
    material = [(i % folds, name, doc, [rows_of(*prepared(doc, text)) for text in variants(doc)]) for i, (name, doc) in enumerate(docs)]
    tallies: dict[str, Tally] = defaultdict(Tally)
    misses_of: dict[str, list[str]] = {}
    with tempfile.TemporaryDirectory() as tmp:
        tagger.MODELS = Path(tmp)
        for fold in range(folds):
            held = [(name, doc) for f, name, doc, _ in material if f == fold and (not only or name.startswith(tuple(only)))]
            if not held:
                continue
            tagger.tagger.cache_clear()
            train(Path(tmp), [pair for f, _, _, pair in material if f != fold])
            for name, doc in held:
                text = bare(doc.text) if shape == "bare" else doc.text
                truth = Marked(doc.header, text, doc.sentences, doc.descriptors)
                misses_of[name] = []
                compare(truth, json.loads(draft_sheet(text).model_dump_json()), tallies, misses_of[name])
    for key, tally in sorted(tallies.items()):
        print(f"{tally.f1 if 'F1' in key else tally.ratio:7.1%}  {key}  ({tally.hit} of {tally.want})")
    for name, misses in sorted(misses_of.items(), key=lambda item: -len(item[1]))[:worst]:
        print(f"-- {name}: {len(misses)}: " + "; ".join(misses))
    return misses_of


def train(folder: Path, data) -> None:
    """Fit all taggers; `data` holds for each transcript its rows as written and its rows bare."""
    for running in (False, True):
        for name in SETTINGS:
            fit(name, [pair[running][name] for pair in data], folder / tagger.file_name(name, running))


def variants(doc: Marked) -> list[str]:
    """A transcript as written, and bare."""
    return [doc.text, bare(doc.text)]


def main() -> None:
    ap = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ap.add_argument("--folds", type=int)
    ap.add_argument("--only", help="report only transcripts whose name begins with one of these letters")
    ap.add_argument("--as", dest="shape", choices=("plain", "bare"), default="plain")
    ap.add_argument("--worst", type=int, default=5)
    ap.add_argument("--dev", action="store_true", help="leave out the project's own transcripts")
    args = ap.parse_args()
    docs = documents([HERE / "dev"] if args.dev else [HERE / "dev", HERE / "own"])
    if args.folds:
        cross_validate(docs, args.folds, args.only, args.shape, args.worst)
        return
    tagger.MODELS.mkdir(exist_ok=True)
    train(tagger.MODELS, [[rows_of(*prepared(doc, text)) for text in variants(doc)] for _, doc in docs])
    for path in sorted(tagger.MODELS.glob("*.crfsuite")):
        print(path.name, path.stat().st_size, "bytes")


if __name__ == "__main__":
    main()
