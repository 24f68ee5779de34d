"""What each word does, by a tagger over words: a second opinion on the roles of sentences, from a nearer view.

The tagger of sentences sees a whole sentence at once, this one the dozen words around each word, and where in them one
thing ends and another begins. Where they err they seldom err together (figures in tests/accuracy/README.md).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from typing import Any, TypeVar

import numpy as np

from notes2sheet.bounds import PAIRS, figures_as_signs
from notes2sheet.cues import BEGIN, ROLE_FILE, SCORE_FILE, SHEET_FILE
from notes2sheet.features import START, shape
from notes2sheet.seen import Blank, Names, Places, Seen
from notes2sheet.tagger import Odds, look, tagger
from notes2sheet.transcript import Reading
from notes2sheet.unlisted import UNKNOWN

T = TypeVar("T")
NAME = "words"
STATES = ("P", "A", "M", "BI")  # by the first letters of labels: what a descriptor is, or none of it
BLOCK = 4000  # words from which a block of whole sentences ends: memory stays flat in long text
NEAR, REACH = 3, 6  # words around that are seen themselves, and whose cues are
TENTHS = [f"{n}" for n in range(10)]
FILES = {"role": ROLE_FILE, "part": SHEET_FILE, "score": SCORE_FILE}


def word_features(reading: Reading, start: int, end: int) -> Seen:
    """What the tagger sees at each of the words `start` to `end`. Linear in the words."""
    seen, rows = Seen(end - start), np.arange(end - start)
    names, pad = _padded(figures_as_signs(reading, start, end), "<")
    for step in range(-NEAR, NEAR + 1):
        seen.add(f"{step}:{{}}", rows, names.at(rows + pad + step))
    for step, sign in PAIRS.items():
        seen.add(f"{sign}:{{}} {{}}", rows, names.at(rows + pad + step), names.at(rows + pad + step + 1))
    seen.add("e:{}", rows, Names(name[-3:] for name in names).at(rows + pad))
    symbols, pad = _padded(shape(reading)[start:end], "$")
    for step in range(-3, 2):
        seen.add(f"t{step}:{{}} {{}} {{}}", rows, *(symbols.at(rows + pad + step + k) for k in range(3)))
    seen.add("place:{}", rows, Names(TENTHS).at(10 * (rows + start) // len(reading.words)))
    if not reading.running:
        _add_breaks(reading, seen, start, end)
    for name, file in FILES.items():
        hits = _inside(reading.cues[file], BEGIN, start, end)
        seen.add(f"{name}:{{}}", *_spread(((s - REACH, e + REACH, cue) for s, e, cue in hits), start, end))
    found = _inside(reading.mentions, START, start, end)
    kinds = ((m.start, m.end, m.term.kind) for m in found if m.term.kind != UNKNOWN.kind)
    seen.add("kind:{}", *_spread(kinds, start, end))
    return seen


def _padded(names: list[str], edge: str) -> tuple[Names, int]:
    """The names with what stands for the words beyond them, and how much of it stands before."""
    return Names([edge] * REACH + names + [edge] * REACH), REACH


def _add_breaks(reading: Reading, seen: Seen, start: int, end: int) -> None:
    """The first mark of the punctuation that stands before each of the words around."""
    marks = Names(between[:1] for between in reading.breaks[start:end])
    marked = np.array([k for k, mark in enumerate(marks) if mark], dtype=np.int64)
    for step in range(-2, 4):
        there = marked[(marked >= step) & (marked < seen.count + step)]
        seen.add(f"br{step}:{{}}", there - step, marks.at(there))


def _inside(items: Sequence[T], begin: Callable[[T], int], start: int, end: int) -> Sequence[T]:
    """Those of the items, which are in the order of the words, that begin within the words `start` to `end`."""
    return items[bisect_left(items, start, key=begin) : bisect_left(items, end, key=begin)]


def _spread(spans: Iterator[tuple[int, int, str]], start: int, end: int) -> tuple[Places, Blank]:
    """(the rows of all words in the spans, the name of each)."""
    cut = [(max(low, start), min(high, end), name) for low, high, name in spans]
    lengths = np.array([high - low for low, high, _ in cut], dtype=np.int64)
    places = np.repeat(np.arange(len(cut)), lengths)
    firsts = np.array([low - start for low, _, _ in cut], dtype=np.int64) - (np.cumsum(lengths) - lengths)
    return np.arange(len(places)) + np.repeat(firsts, lengths), Names(name for _, _, name in cut).at(places)


def odds_by_word(reading: Reading, roles: Sequence[str]) -> tuple[Odds, Odds]:
    """The odds of each role at each word (words x roles), and of what a descriptor is there: present, absent, only
    mentioned, none of it (words x 4). Linear in the words."""
    chain = tagger(NAME, reading.running)
    of_role = np.array([[label[2:] == role for role in roles] for label in chain.labels], dtype=float)
    of_state = np.array([[label[0] in states for states in STATES] for label in chain.labels], dtype=float)
    by_role, by_state = [of_role[:0]], [of_state[:0]]
    for start, end in _blocks(reading):
        look(NAME, word_features(reading, start, end), reading.running)
        odds = chain.odds()
        by_role.append(odds @ of_role)
        by_state.append(odds @ of_state)
    return np.concatenate(by_role), np.concatenate(by_state)


def means(odds: Odds, items: Sequence[Any]) -> Odds:
    """The means of the rows of `odds`, one a word, over the words of each item."""
    sums = np.vstack([np.zeros((1, odds.shape[1])), odds.cumsum(0)])
    begins, ends = (np.array([getattr(item, at) for item in items], dtype=np.int64) for at in ("start", "end"))
    mean: Odds = (sums[ends] - sums[begins]) / (ends - begins)[:, None]
    return mean


def _blocks(reading: Reading) -> Iterator[tuple[int, int]]:
    """(first word, one behind the last) of runs of sentences with about BLOCK words each."""
    first = 0
    for sentence in reading.sentences:
        if sentence.end - first >= BLOCK or sentence is reading.sentences[-1]:
            yield first, sentence.end
            first = sentence.end
