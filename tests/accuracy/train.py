"""Train the taggers from the marked transcripts, or cross-validate them by transcript.

    python tests/accuracy/train.py            writes notes2sheet/models/*.npz
    python tests/accuracy/train.py --folds 5  prints what transcripts left out of training are tagged like
    python tests/accuracy/train.py --further 4 --without ww,aa  teaches what is shipped further, on other transcripts

Each transcript is used as written and stripped of punctuation, capitals and line breaks (as automatic captions may be).
The network over words needs torch (`pip install -e '.[train]'`), which nothing else does.
"""

from __future__ import annotations

import argparse
import json
import random
import re
import sys
import tempfile
from bisect import bisect_left
from collections import Counter, defaultdict
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pycrfsuite

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))
import train_entry  # noqa: E402
from crfsuite_file import read_weights  # noqa: E402
from headerless import headerless  # noqa: E402
from marked import Marked, read  # noqa: E402
from plain_talk import made_up  # noqa: E402
from score import Tally, bare, compare  # noqa: E402

from notes2sheet import tagger, word_odds  # noqa: E402
from notes2sheet.bounds import bound_features  # noqa: E402
from notes2sheet.chain import write_chain  # noqa: E402
from notes2sheet.columns import find_columns  # noqa: E402
from notes2sheet.features import sentence_features  # noqa: E402
from notes2sheet.network import read_network  # noqa: E402
from notes2sheet.pipeline import draft_sheet, read_notes  # noqa: E402
from notes2sheet.recut import recut  # noqa: E402
from notes2sheet.roles import find_roles, role_features  # noqa: E402
from notes2sheet.segments import find_segments  # noqa: E402
from notes2sheet.stance import stance_features  # noqa: E402
from notes2sheet.transcript import Reading  # noqa: E402
from notes2sheet.words import norm  # noqa: E402

SETTINGS = {
    "bounds": {"c1": 1.0, "c2": 0.3, "max_iterations": 80, "feature.minfreq": 3},
    "segments": {"c1": 0.2, "c2": 0.5, "max_iterations": 120, "feature.minfreq": 2},
    "roles": {"c1": 0.2, "c2": 0.5, "max_iterations": 120, "feature.minfreq": 2},
    "stance": {"c1": 0.2, "c2": 0.4, "max_iterations": 120, "feature.minfreq": 2},
}
FAINT = 0.13  # features whose weights are all below are left out: half of them, without loss
GRAIN = 32  # steps in one, to which weights are rounded: a third smaller when packed, without loss
INNER_FOLDS, INNER_EPOCHS = 3, 12
BOUND_FOLDS = 5
BOUNDS = tagger.file_name("bounds", True)
STATE = {"+": "P", "-": "A", "x": "M"}
SEED = 5  # of what the copies without headers leave out


def gold_of(doc: Marked, start: int, end: int):
    """The marked sentence that shares most characters with [start, end)."""
    return max(doc.sentences, key=lambda s: min(end, s.end) - max(start, s.start))


def common_in(docs) -> frozenset[str]:
    """The words that at least three of the transcripts share."""
    seen = Counter(word for doc in docs for word in {norm(w) for w in re.findall(r"[\w'’]+", doc.text)})
    return frozenset(word for word, n in seen.items() if n >= 3)


class Prepared(NamedTuple):
    """A transcript's reading with the marked categories and roles set, the label of each mention, and for each question
    of the network the answer of each word."""

    doc: Marked
    reading: Reading
    states: list[str]
    words: dict[str, list[str]]


def prepared(doc: Marked, text: str) -> Prepared:
    reading = read_notes(text, until="descriptors")
    set_truth(doc, reading)
    states = []
    for mention in reading.mentions:
        start, end = reading.span(mention.start, mention.end)
        over = [d for d in doc.descriptors if d.start < end and start < d.end]
        states.append(STATE[over[0].polarity] if over else "O")
    return Prepared(doc, reading, states, word_answers(doc, reading))


def set_truth(doc: Marked, reading: Reading) -> None:
    """Give each sentence of the reading the marked category and role."""
    for sentence in reading.sentences:
        truth = gold_of(doc, *reading.span(sentence.start, sentence.end))
        sentence.category, sentence.role = truth.category, truth.role


def word_answers(doc: Marked, reading: Reading) -> dict[str, list[str]]:
    """What the network learns of each word: the role and the part of its sentence, whether one begins there, and what
    it is: P, A or M a word of a descriptor that is present, absent or only mentioned, O another."""
    count = len(reading.words)
    answers = {question: [""] * count for question in ("role", "part")}
    answers |= {"begin": ["no"] * count, "state": ["O"] * count}
    ends = [*(bisect_left(reading.starts, s.start) for s in doc.sentences[1:]), count]
    start = 0
    for sentence, end in zip(doc.sentences, ends, strict=True):
        answers["role"][start:end] = [sentence.role] * (end - start)
        answers["part"][start:end] = [sentence.category] * (end - start)
        answers["begin"][start : min(start + 1, end)] = ["yes"] * min(1, end - start)
        start = end
    for mark in doc.descriptors:
        start, end = (bisect_left(reading.starts, at) for at in (mark.start, mark.end))
        answers["state"][start:end] = [STATE[mark.polarity]] * (end - start)
    return answers


def bound_rows(doc: Marked) -> tuple[list[list[str]], list[str]]:
    """The features and labels of the words of a bare transcript: B where a marked sentence begins."""
    reading = read_notes(bare(doc.text), until="numbers")
    labels = ["I"] * len(reading.words)
    for sentence in doc.sentences:
        if (at := bisect_left(reading.starts, sentence.start)) < len(labels):
            labels[at] = "B"
    return bound_features(reading, 0, len(labels)).strings(), labels


def prepare_all(docs, folds: int, folder: Path) -> tuple[list[list], list[list], list[list]]:
    """What `prepared` makes of each transcript and of its copy without headers (or None), running text cut by a tagger
    in folder/<fold> that never saw it; and of the plain talk that is made up for training."""
    rows = [bound_rows(doc) for _, doc in docs]
    keep = tagger.MODELS
    out: list = [None] * len(docs)
    copies: list = [None] * len(docs)
    copied = copies_of([doc for _, doc in docs])
    for fold in range(folds):
        tagger.MODELS = folder / str(fold)
        tagger.MODELS.mkdir(parents=True, exist_ok=True)
        tagger.tagger.cache_clear()
        fit("bounds", [r for i, r in enumerate(rows) if i % folds != fold], tagger.MODELS / BOUNDS)
        for i, (_, doc) in enumerate(docs):
            if i % folds == fold:
                out[i] = in_both_ways(doc)
                copies[i] = copied[i] and in_both_ways(copied[i])
    plain = [in_both_ways(doc) for _, doc in made_up()]
    tagger.MODELS = keep
    tagger.tagger.cache_clear()
    return out, copies, plain


def copies_of(docs: list[Marked]) -> list[Marked | None]:
    """The copy of each transcript without headers."""
    rng = random.Random(SEED)
    return [headerless(doc, rng) for doc in docs]


def in_both_ways(doc: Marked) -> list[Prepared]:
    """What `prepared` makes of a transcript as written, and bare."""
    return [prepared(doc, text) for text in (doc.text, bare(doc.text))]


def fit(name: str, data: list[tuple[list[list[str]], list[str]]], path: Path) -> None:
    trainer = pycrfsuite.Trainer(verbose=False)
    trainer.set_params(SETTINGS[name])
    for rows, labels in data:
        if rows:
            trainer.append(rows, labels)
    with tempfile.TemporaryDirectory() as folder:
        trained = Path(folder, "tagger.crfsuite")
        trainer.train(str(trained))
        labels, features, state, step = read_weights(trained)
    kept = np.flatnonzero(np.abs(state).max(1) >= FAINT)
    # in half precision: a tenth of the space of what the library writes
    rounded = (np.rint(state[kept] * GRAIN) / GRAIN).astype("<f2")
    write_chain(path, labels, [features[n] for n in kept], rounded, step.astype("<f4"))


def documents(folders: list[Path]) -> list[tuple[str, Marked]]:
    return [(p.stem, read(p)) for folder in folders for p in sorted(folder.glob("*.marked.txt"))]


MATERIAL: list = []
PLAIN: list = []
ENTRY: list = []


def _train_fold(folder: Path, fold: int, shape: str) -> None:
    kept = [pair for f, _, _, own in MATERIAL if f != fold for pair in own if pair]
    train(folder, [*kept, *PLAIN], shape)
    left_out = {name.split(".")[0] for f, name, _, _ in MATERIAL if f == fold}
    texts, ids = ENTRY
    train_entry.train(folder, [t for t in texts if t.name not in left_out], ids)


def cross_validate(docs, folds: int, only: str | None, shape: str, worst: int) -> dict[str, list[str]]:
    """Draft each transcript with taggers that never saw it, and print the scorer's table over them."""
    tallies: dict[str, Tally] = defaultdict(Tally)
    misses_of: dict[str, list[str]] = {}
    jobs = []
    ENTRY[:] = train_entry.material()
    with tempfile.TemporaryDirectory() as tmp, ProcessPoolExecutor(mp_context=get_context("fork")) as pool:
        pairs, copies, PLAIN[:] = prepare_all(docs, folds, Path(tmp))
        material = [(i % folds, name, doc, (pairs[i], copies[i])) for i, (name, doc) in enumerate(docs)]
        MATERIAL[:] = material  # inherited by the forked workers: readings do not pickle
        for fold in range(folds):
            folder = Path(tmp, str(fold))
            jobs.append(pool.submit(_train_fold, folder, fold, shape))
        for fold, job in enumerate(jobs):
            job.result()
            tagger.MODELS = Path(tmp, str(fold))
            tagger.tagger.cache_clear()
            for f, name, doc, _ in material:
                if f != fold or (only and not name.startswith(tuple(only))):
                    continue
                text = bare(doc.text) if shape == "bare" else doc.text
                truth = Marked(doc.header, text, doc.sentences, doc.descriptors)
                misses_of[name] = []
                compare(truth, json.loads(draft_sheet(text).model_dump_json()), tallies, misses_of[name])
    for key, tally in sorted(tallies.items()):
        print(f"{tally.f1 if 'F1' in key else tally.ratio:7.1%}  {key}  ({tally.hit} of {tally.want})")
    for name, misses in sorted(misses_of.items(), key=lambda item: -len(item[1]))[:worst]:
        print(f"-- {name}: {len(misses)}: " + "; ".join(misses))
    return misses_of


# what the taggers of sentences and of their roles learn from a transcript
SENTENCE_ROWS = {
    "segments": lambda doc: (
        sentence_features(doc.reading).strings(),
        [s.category for s in doc.reading.sentences],
    ),
    "roles": lambda doc: (role_features(doc.reading).strings(), [s.role for s in doc.reading.sentences]),
}


LESSONS: list = []


def train(folder: Path, material, shape: str | None = None) -> None:
    """Fit all taggers, a process for each network and each way of writing; `material` holds for each transcript what
    `prepared` makes of it as written and bare."""
    LESSONS[:] = material  # inherited by the forked workers: readings do not pickle
    with tempfile.TemporaryDirectory() as tmp, ProcessPoolExecutor(mp_context=get_context("fork")) as pool:
        inner = [Path(tmp, str(fold)) for fold in range(INNER_FOLDS)]
        for own in inner:
            own.mkdir()
        jobs = [pool.submit(_train_network, None, folder)]
        jobs += [pool.submit(_train_network, fold, own) for fold, own in enumerate(inner)]
        for job in jobs:
            job.result()
        ways = [running for running in (False, True) if not shape or running == (shape == "bare")]
        for job in [pool.submit(_train_taggers, running, folder, inner) for running in ways]:
            job.result()


def _train_network(left_out: int | None, folder: Path) -> None:
    """Train the network on all but the inner fold that is left out; a brief one, if any is."""
    rest = [pair for i, pair in enumerate(LESSONS) if left_out is None or i % INNER_FOLDS != left_out]
    fit_words(rest, folder, None if left_out is None else INNER_EPOCHS)


def _train_taggers(running: bool, folder: Path, inner: list[Path]) -> None:
    """Fit the taggers of sentences and of stance for one way of writing."""
    docs = [pair[running] for pair in LESSONS]
    look_around(docs, inner)
    for name, rows in SENTENCE_ROWS.items():
        fit(name, [rows(doc) for doc in docs], folder / tagger.file_name(name, running))
    told = [(rows, doc.states) for rows, doc in zip(stance_rows(docs, inner), docs, strict=True)]
    fit("stance", told, folder / tagger.file_name("stance", running))


def look_around(docs: list[Prepared], inner: list[Path]) -> None:
    """Give each reading the odds by words, of the network in one of the folders `inner` that did not see it, and the
    sentences that running text is cut into by them."""
    keep = tagger.MODELS
    for fold, folder in enumerate(inner):
        tagger.MODELS = folder
        for doc in docs[fold :: len(inner)]:
            word_odds.find_word_odds(doc.reading)
            recut(doc.reading)
            set_truth(doc.doc, doc.reading)
    tagger.MODELS = keep


def fit_words(material, folder: Path, epochs: int | None = None) -> None:
    """Train the network over words on both ways of writing."""
    import train_words

    told = lessons([doc for pair in material for doc in pair])
    train_words.fit(told, folder / word_odds.FILE, epochs or train_words.EPOCHS)


def lessons(docs: list[Prepared]) -> list:
    """What the network learns of each text."""
    from train_words import Lesson

    rows = [word_odds.word_features(doc.reading, 0, len(doc.reading.words)).strings() for doc in docs]
    return [Lesson(own, doc.words) for own, doc in zip(rows, docs, strict=True)]


def stance_rows(docs, inner: list[Path]) -> list[list[list[str]]]:
    """The stance features of each reading under parts and roles predicted by what did not see the transcript: the odds
    that `look_around` left, and taggers that are put beside that network.

    With the marked roles the stance tagger would learn to trust them more than predicted ones deserve.
    """
    out: list[list[list[str]]] = [[] for _ in docs]
    keep = tagger.MODELS
    running = docs[0].reading.running
    for fold, folder in enumerate(inner):
        tagger.MODELS = folder
        tagger.tagger.cache_clear()
        for name, rows in SENTENCE_ROWS.items():
            seen = [rows(doc) for i, doc in enumerate(docs) if i % len(inner) != fold]
            fit(name, seen, folder / tagger.file_name(name, running))
        for i, doc in enumerate(docs):
            if i % len(inner) == fold:
                r = doc.reading
                truth = [(s.category, s.role) for s in r.sentences]
                r.running = running
                for stage in (find_segments, find_roles, find_columns):
                    stage(r)
                out[i] = stance_features(r).strings()
                for s, (s.category, s.role) in zip(r.sentences, truth, strict=True):
                    s.role_odds = {}
    tagger.MODELS = keep
    tagger.tagger.cache_clear()
    return out


def further(docs, epochs: int) -> None:
    """Teach the shipped network further on transcripts and their copies without headers, and fit the tagger that finds
    the parts of running text anew on both."""
    import train_words

    marked = [doc for _, doc in docs]
    pairs = [in_both_ways(doc) for doc in (*marked, *filter(None, copies_of(marked)))]
    train_words.go_on(lessons([doc for pair in pairs for doc in pair]), tagger.MODELS / word_odds.FILE, epochs)
    read_network.cache_clear()
    running = [pair[True] for pair in pairs] + [in_both_ways(doc)[True] for _, doc in made_up()]
    for doc in running:
        word_odds.find_word_odds(doc.reading)
        recut(doc.reading)
        set_truth(doc.doc, doc.reading)
    fit(
        "segments",
        [SENTENCE_ROWS["segments"](doc) for doc in running],
        tagger.MODELS / tagger.file_name("segments", True),
    )


def main() -> None:
    ap = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ap.add_argument("--folds", type=int)
    ap.add_argument("--only", help="report only transcripts whose name begins with one of these letters")
    ap.add_argument("--as", dest="shape", choices=("plain", "bare"), default="plain")
    ap.add_argument("--worst", type=int, default=5)
    ap.add_argument("--dev", action="store_true", help="leave out the project's own transcripts")
    ap.add_argument("--further", type=int, metavar="EPOCHS", help="teach the shipped network so much further")
    ap.add_argument("--without", default="", help="leave out the transcripts whose names begin so: ww,aa")
    args = ap.parse_args()
    docs = documents([HERE / "dev"] if args.dev else [HERE / "dev", HERE / "own"])
    docs = [pair for pair in docs if not (args.without and pair[0].startswith(tuple(args.without.split(","))))]
    if args.further:
        further(docs, args.further)
        return
    if args.folds:
        cross_validate(docs, args.folds, args.only, args.shape, args.worst)
        return
    tagger.MODELS.mkdir(exist_ok=True)
    words = "\n".join(sorted(common_in([doc for _, doc in docs])))
    (tagger.MODELS / "common_words.txt").write_text(words + "\n", encoding="utf-8")
    with tempfile.TemporaryDirectory() as tmp:
        pairs, copies, plain = prepare_all(docs, BOUND_FOLDS, Path(tmp))
    fit("bounds", [bound_rows(doc) for _, doc in docs], tagger.MODELS / BOUNDS)
    tagger.tagger.cache_clear()
    train_entry.train(tagger.MODELS, *train_entry.material())
    train(tagger.MODELS, [*pairs, *filter(None, copies), *plain])
    for path in sorted(tagger.MODELS.glob("*.npz")):
        print(path.name, path.stat().st_size, "bytes")


if __name__ == "__main__":
    main()
