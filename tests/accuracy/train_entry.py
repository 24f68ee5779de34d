"""Train what finds the beer's name and its maker, from the marked transcripts and openings.txt.

    python tests/accuracy/train_entry.py                  writes entry.json and names.npz in models/ (15 minutes)
    python tests/accuracy/train_entry.py --without ww,aa  leaves these transcripts out and tries what is taught on them

The network is that of train_names.py. Beside it stands a log-linear choice: of all candidates and 'none', the one that
the notes name is to be likeliest; weights by AdaGrad, averaged over the later half of the epochs. Every text is used as
written, bare, and as lower-case lines.
"""

from __future__ import annotations

import argparse
import json
import random
import re
import sys
import tempfile
from collections import Counter, defaultdict
from dataclasses import dataclass
from pathlib import Path

import numpy as np

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))
import train_names  # noqa: E402
from marked import read  # noqa: E402
from score import bare  # noqa: E402

from notes2sheet import name_odds, naming, tagger  # noqa: E402
from notes2sheet.entry import spoken  # noqa: E402
from notes2sheet.name_choice import FILE, KINDS, Weights, named, read_weights  # noqa: E402
from notes2sheet.network import Network  # noqa: E402
from notes2sheet.opening import Opening, Span  # noqa: E402
from notes2sheet.pipeline import read_notes  # noqa: E402
from notes2sheet.transcript import Reading  # noqa: E402

EPOCHS, RATE, PENALTY, LEAST = 8, 0.15, 1e-2, 2
TINY, TINY_PAIRS = 0.8, 0.3  # weights below are left out: beside the network the faint ones do harm
GRAIN = 20  # steps in one, to which weights are rounded
PAIRS_FROM, TOP = 2, 8  # epoch from which pairs are weighed; candidates of each kind in a pair
SHAPES = ("plain", "bare", "lines")


@dataclass
class Text:
    """One text in one shape, its candidates (None, for nothing named, last), and which of them are right."""

    group: str
    name: str
    shape: str
    reading: Reading
    truth: tuple[str, str]
    opening: Opening = None  # type: ignore[assignment]
    runs: list[Span | None] = None  # type: ignore[assignment]

    def prepare(self, ids: dict[str, int]) -> Text:
        """Number the signs of all candidates."""
        self.opening = Opening(self.reading)
        parts, at = naming.part_signs(self.opening).strings(), naming.Parts(self.opening)
        starts, ends = naming.candidates(self.opening)
        whole = naming.whole_signs(self.opening, starts, ends).strings()
        self.runs, rows = [], []
        for start, end, signs in zip(starts.tolist(), ends.tolist(), whole, strict=True):
            signs = [*parts[at.first[start]], *parts[at.last[end - 1]], *signs]
            for k in range(start, end):
                signs += [*parts[at.inner[k]], *(parts[at.joined[k]] if k > start else ())]
            rows.append([ids[sign] for sign in signs])
            self.runs.append((start, end))
        rows.append([ids[sign] for sign in parts[at.none]])
        self.runs.append(None)
        self.sizes = np.array([len(row) for row in rows])
        self.offsets = np.cumsum(self.sizes) - self.sizes
        self.signs, self.local = np.unique(np.concatenate(rows).astype(np.int64), return_inverse=True)
        said = [key(spoken(self.reading, run)) for run in self.runs]
        self.right = [[k for k, words in enumerate(said) if words == key(self.truth[kind])] for kind in KINDS]
        self.pairs: dict[tuple[int, int], list[str] | None] = {}
        return self

    def scores(self, weights: np.ndarray) -> np.ndarray:
        return np.add.reduceat(weights[self.signs][self.local], self.offsets)

    def pair(self, name: int, maker: int) -> list[str] | None:
        if (name, maker) not in self.pairs:
            self.pairs[name, maker] = naming.pair_signs(self.opening, self.runs[name], self.runs[maker])
        return self.pairs[name, maker]


def key(name: str | None) -> frozenset[str]:
    """A name as the scorer compares it, 'and' and '&' equal."""
    return frozenset(re.findall(r"\w+", (name or "none").lower())) - {"the", "a", "and"}


def texts() -> list[Text]:
    """Every marked transcript and opening in its shapes."""
    out = []
    for group in ("dev", "own"):
        for path in sorted((HERE / group).glob("*.marked.txt")):
            doc = read(path)
            lines = [doc.text[s.start : s.end] for s in doc.sentences]
            truth = doc.header["entry"], doc.header["maker"]
            out += _shapes(group, path.name.split(".")[0], doc.text, lines, truth)
    blocks = re.split(r"\n\s*\n", (HERE / "openings.txt").read_text(encoding="utf-8").strip())
    for number, block in enumerate(blocks[1:], 1):  # the first tells what the file is
        head, *lines = block.splitlines()
        name, _, maker = (part.strip() for part in head.partition("|"))
        talk = all(line[-1] in ".?!" for line in lines)
        out += _shapes("openings", f"x{number}", (" " if talk else "\n").join(lines), lines, (name, maker))
    return out


def _shapes(group: str, name: str, text: str, lines: list[str], truth: tuple[str, str]) -> list[Text]:
    shapes = (text, bare(text), "\n".join(" ".join(bare(line).split()) for line in lines))
    return [
        Text(group, name, shape, read_notes(words, until="descriptors"), truth)
        for shape, words in zip(SHAPES, shapes, strict=True)
    ]


def chances(scores: np.ndarray) -> np.ndarray:
    raised = np.exp(scores - scores.max())
    return raised / raised.sum()


class Training:
    """Weights under training."""

    def __init__(self, count: int, seen: np.ndarray) -> None:
        self.alone = [np.zeros(count) for _ in KINDS]
        self.sum = [np.zeros(count) for _ in KINDS]
        self.squares = [np.full(count, 1e-2) for _ in KINDS]
        self.pairs: dict[str, float] = defaultdict(float)
        self.pair_squares: dict[str, float] = defaultdict(lambda: 0.1)
        self.used = seen >= LEAST * len(SHAPES)

    def step(self, text: Text, pairs: bool) -> None:
        """Move towards the right candidates of one text."""
        scores = [text.scores(self.alone[kind]) for kind in KINDS]
        if pairs and all(text.right):
            self._weigh_pairs(text, scores)
        for kind in KINDS:
            right = text.right[kind]
            if not right:
                continue
            off = chances(scores[kind])
            off[right] -= chances(scores[kind][right])
            if np.abs(off).max() < 0.01:
                continue
            slope = np.bincount(text.local, weights=np.repeat(off, text.sizes), minlength=len(text.signs))
            slope = slope * self.used[text.signs] + PENALTY * self.alone[kind][text.signs]
            self.squares[kind][text.signs] += slope * slope
            self.alone[kind][text.signs] -= RATE * slope / np.sqrt(self.squares[kind][text.signs])

    def _weigh_pairs(self, text: Text, scores: list[np.ndarray]) -> None:
        none = len(text.runs) - 1
        top = [sorted({*np.argsort(-scores[kind])[:TOP].tolist(), none}) for kind in KINDS]
        both = [(n, m) for n in top[0] for m in top[1] if text.pair(n, m) is not None]
        right = np.array([n in text.right[0] and m in text.right[1] for n, m in both])
        if not right.any():
            return
        sums = np.array([scores[0][n] + scores[1][m] + sum(self.pairs[s] for s in text.pair(n, m)) for n, m in both])
        off = chances(sums)
        off[right] -= chances(sums[right])
        slopes: dict[str, float] = defaultdict(float)
        for pair, much in zip(both, off, strict=True):
            if abs(much) > 1e-3:
                for sign in text.pair(*pair):
                    slopes[sign] += much
        for sign, slope in slopes.items():
            self.pair_squares[sign] += slope * slope
            self.pairs[sign] -= RATE * slope / self.pair_squares[sign] ** 0.5


def fit(material: list[Text], ids: dict[str, int]) -> Weights:
    seen = np.zeros(len(ids))
    for text in material:
        seen[text.signs] += 1
    training, rng, order = Training(len(ids), seen), random.Random(0), list(material)
    for epoch in range(EPOCHS):
        rng.shuffle(order)
        for text in order:
            training.step(text, epoch >= PAIRS_FROM)
        if epoch >= EPOCHS // 2:
            for kind in KINDS:
                training.sum[kind] += training.alone[kind]
    name, maker = (total / (EPOCHS - EPOCHS // 2) for total in training.sum)
    alone = {
        sign: (rounded(float(name[at])), rounded(float(maker[at])))
        for sign, at in sorted(ids.items())
        if max(abs(name[at]), abs(maker[at])) >= TINY
    }
    pairs = {s: rounded(w) for s, w in sorted(training.pairs.items()) if abs(w) >= TINY_PAIRS}
    return Weights(alone, pairs)


def rounded(weight: float) -> float:
    """The weight in steps of 1/GRAIN: a sixth smaller when packed, without loss."""
    return round(round(weight * GRAIN) / GRAIN, 2)


def material() -> tuple[list[Text], dict[str, int]]:
    """All texts, prepared, and the numbers of their signs."""
    ids: dict[str, int] = defaultdict(lambda: len(ids))
    return [text.prepare(ids) for text in texts()], dict(ids)


def write(path: Path, known: Weights) -> None:
    data = {"alone": known.alone, "pairs": known.pairs}
    path.write_text(json.dumps(data, ensure_ascii=False, indent=0, separators=(",", ":")) + "\n", "utf-8")
    print(path.name, path.stat().st_size, "bytes,", len(known.alone), "signs,", len(known.pairs), "of pairs")


def train(folder: Path, texts: list[Text], ids: dict[str, int]) -> None:
    """Write weights and network, taught on the texts, into a folder."""
    write(folder / FILE, fit(texts, ids))
    train_names.fit(texts, folder / name_odds.FILE)


def show(left: list[Text], known: Weights, trained: Network, misses: bool) -> None:
    """Print how often entry and maker of texts that were left out of training are right."""
    right: Counter[tuple[str, str]] = Counter()
    count: Counter[tuple[str, str]] = Counter()
    for t in left:
        got = [spoken(t.reading, span) for span in named(t.opening, known, trained)[:2]]
        for kind, what in enumerate(("entry", "maker")):
            hit = key(got[kind]) == key(t.truth[kind])
            count[what, t.shape] += 1
            right[what, t.shape] += hit
            if misses and not hit:
                print(f"  {t.name} {t.shape}: {what} {got[kind]!r}, truth {t.truth[kind]!r}")
    for line in sorted(count):
        print(f"{right[line] / count[line]:7.1%}  {' '.join(line)}  ({right[line]} of {count[line]})")


def main() -> None:
    ap = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ap.add_argument("--without", help="leave out the transcripts whose names begin so, and try them: ww,aa")
    ap.add_argument("--write", action="store_true", help="with --without: write what is taught, too, as it is shipped")
    ap.add_argument("--misses", action="store_true", help="list what is wrong of them")
    args = ap.parse_args()
    prepared, ids = material()
    out = tuple(args.without.split(",")) if args.without else ()
    kept = [t for t in prepared if not (out and t.name.startswith(out))]
    with tempfile.TemporaryDirectory() as other:
        folder = tagger.MODELS if args.write or not out else Path(other)
        train(folder, kept, ids)
        if out:
            left, known = [t for t in prepared if t.name.startswith(out)], read_weights(folder)
            show(left, known, Network(folder / name_odds.FILE), args.misses)


if __name__ == "__main__":
    main()
