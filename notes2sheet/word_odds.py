"""What is said around each word, by a network over words: a second opinion on parts, roles and stances.

The taggers see a whole sentence at once, the network a hundred words and more to either side of each word, in their
order, wherever sentences end. Where they err they seldom err together (figures in tests/accuracy/README.md).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Sequence
from typing import Any, TypeVar

import numpy as np

from notes2sheet import tagger
from notes2sheet.bounds import figures_as_signs
from notes2sheet.cues import BEGIN, ROLE_FILE, SCORE_FILE, SHEET_FILE
from notes2sheet.features import START, shape
from notes2sheet.labels import find_labels
from notes2sheet.network import Rows, read_network
from notes2sheet.seen import Blank, Names, Places, Seen
from notes2sheet.tagger import Odds
from notes2sheet.transcript import Reading

T = TypeVar("T")
FILE = "words.npz"
ROLES = ("expect", "observe", "score", "prefer", "talk")
PARTS = ("opening", "appearance", "aroma", "flavor", "mouthfeel", "overall", "closing")
STATES = ("P", "A", "M", "O")  # a descriptor of this beer, of what it lacks, only mentioned; no descriptor
ASKED = {"part": PARTS, "role": ROLES, "state": STATES}
STEM = 4  # first letters of a longer word, which its forms share
LONGEST = 10  # words of a phrase that a block may cut
BLOCK = 4000  # words that are looked at together: memory stays flat in long text
FILES = {"role": ROLE_FILE, "part": SHEET_FILE, "score": SCORE_FILE}


def word_features(reading: Reading, start: int, end: int) -> Seen:
    """What the network is told of each of the words `start` to `end`: itself and what it belongs to, nothing of the
    words around. Linear in the words."""
    seen, rows = Seen(end - start), np.arange(end - start)
    names = Names(figures_as_signs(reading, start, end))
    seen.add("w:{}", rows, names.at(rows))
    seen.add("e:{}", rows, Names(name[-3:] for name in names).at(rows))
    longer = np.array([n for n, name in enumerate(names) if len(name) > STEM and name.isalpha()], dtype=np.int64)
    seen.add("p:{}", longer, Names(name[:STEM] for name in names).at(longer))
    seen.add("y:{}", rows, Names(shape(reading)[start:end]).at(rows))
    seen.add("running:{}", rows, Names([str(reading.running)]).at(np.zeros(len(rows), dtype=np.int64)))
    marks = Names(between.strip(" ")[:1] for between in [*reading.breaks[start : end + 1], "."][: len(rows) + 1])
    seen.add("before:{}", rows, marks.at(rows))
    seen.add("after:{}", rows, marks.at(rows + 1))
    for name, file in FILES.items():
        seen.add(f"{name}:{{}}", *_spread(_inside(reading.cues[file], BEGIN, start, end), start, end))
    seen.add("under:{}", *_spread(_under(reading, start, end), start, end))
    known = [m for m in _inside(reading.mentions, START, start, end) if m.known]
    seen.add("kind:{}", *_spread([(m.start, m.end, m.term.kind) for m in known], start, end))
    places = [(m.start, m.end, category) for m in known for category in m.term.categories]
    seen.add("place:{}", *_spread(places, start, end))
    return seen


def _under(reading: Reading, start: int, end: int) -> list[tuple[int, int, str]]:
    """The cues of the label that each sentence beginning within the words `start` to `end` stands under."""
    first, last = (bisect_left(reading.sentences, at, key=START) for at in (start, end))
    labeled = zip(reading.sentences[first:last], find_labels(reading)[first:last], strict=True)
    return [(sentence.start, sentence.end, cue) for sentence, label in labeled for cue in label]


def _inside(items: Sequence[T], begin: Callable[[T], int], start: int, end: int) -> Sequence[T]:
    """Those of the items, which are in the order of the words, that begin within the words `start` to `end`."""
    return items[bisect_left(items, start, key=begin) : bisect_left(items, end, key=begin)]


def _spread(spans: Sequence[tuple[int, int, str]], start: int, end: int) -> tuple[Places, Blank]:
    """(the rows of all words in the spans, the name of each)."""
    cut = [(low, min(high, end), name) for low, high, name in spans]
    lengths = np.array([high - low for low, high, _ in cut], dtype=np.int64)
    places = np.repeat(np.arange(len(cut)), lengths)
    firsts = np.array([low - start for low, _, _ in cut], dtype=np.int64) - (np.cumsum(lengths) - lengths)
    return np.arange(len(places)) + np.repeat(firsts, lengths), Names(name for _, _, name in cut).at(places)


def find_word_odds(reading: Reading) -> None:
    """Fill `reading.word_odds`: for each question the odds of its answers at each word (words x answers). Linear in
    the words."""
    trained, total = read_network(tagger.MODELS / FILE), len(reading.words)
    found = {question: np.zeros((total, len(answers)), dtype=np.float32) for question, answers in ASKED.items()}
    for start in range(0, total, BLOCK):
        end = min(start + BLOCK, total)
        low, high = max(0, start - trained.view - LONGEST), min(total, end + trained.view + LONGEST)
        for question, odds in trained.odds(word_features(reading, low, high), ASKED).items():
            found[question][start:end] = odds[start - low : end - low]
    reading.word_odds = found


def means(odds: Rows, items: Sequence[Any]) -> Odds:
    """The means of the rows of `odds`, one a word, over the words of each item."""
    sums = np.vstack([np.zeros((1, odds.shape[1])), odds.cumsum(0, dtype=float)])
    begins, ends = (np.array([getattr(item, at) for item in items], dtype=np.int64) for at in ("start", "end"))
    mean: Odds = (sums[ends] - sums[begins]) / (ends - begins)[:, None]
    return mean
