"""Running text cut anew where what is said changes its role: only guesses part its sentences, and where one tells what
ought to be and then what is, the words themselves know better (figures in tests/accuracy/README.md). Sentences that
have stops of their own are left alone."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator
from itertools import pairwise

import numpy as np

from notes2sheet.cues import SCORE_FILE, SHEET_FILE
from notes2sheet.descriptors import place
from notes2sheet.level_words import measured
from notes2sheet.numbers import Number, misheard_unit
from notes2sheet.score_view import score_words
from notes2sheet.sentences import Sentence, set_times
from notes2sheet.transcript import Reading

CHANGE = 1.5  # what a change of role costs, in logarithms of odds: a doubtful word among others makes none
NEAR = 1  # words: a guess beside a change gives way to it
BEFORE, BEHIND = {"take_before"}, {"off_after", "over", "decoy_after"}  # cues beside a figure
TOTAL = {"total:name", "total:short"}  # the same that name a total
WOULD, HAVE = ("would", "'d"), {"have", "be"}
SMALL = 3  # small words between what takes off and its figure
LEAST = 1e-6  # of any role's odds


def recut(reading: Reading) -> None:
    """Cut the sentences of running text where its words change their role. Linear in the words."""
    if not reading.running:
        return
    found = (at for stretch in sorted(reading.flowing) for at in _changes(reading.word_odds["role"], *stretch))
    figures = [(_with_point(reading.words, number), number.end) for number in reading.numbers]
    changes = sorted(set(_moved(found, _held(reading, figures))) - {len(reading.words)})
    inside = {at for start, end in figures for at in range(start + 1, end)}
    opened = {start: level.start for start, level in measured(reading)}
    begins = (opened.get(s.start, s.start) for s in reading.sentences if s.start not in inside)
    sure = {0, *(edge for stretch in reading.flowing for edge in stretch)}
    kept = sorted({*changes, *(at for at in begins if at in sure or not _near(changes, at))} - {len(reading.words)})
    reading.sentences = [Sentence(start, end) for start, end in pairwise([*kept, len(reading.words)])]
    set_times(reading)
    place(reading)
    reading.labels = None  # of the sentences before


def _held(reading: Reading, figures: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """The words that no cut may part, in order, none overlapping: a descriptor; one of the `figures` with its cap, its
    unit, and what gives it, takes it off or calls it a total ('that ran them two', 'ten out of twelve', 'four points
    gone', 'six percent', 'total 31'); what would have been given ('I'd have gone twelve')."""
    starts = {number.start: number.end for number in reading.numbers}
    ends = {number.end: number.start for number in reading.numbers}
    out = [*figures, *((mention.start, mention.end) for mention in reading.mentions)]
    parts = {start: end for start, end, _ in reading.cues[SHEET_FILE]}
    for start, end, cue in reading.cues[SCORE_FILE]:
        figure = _behind_small(reading.words, end) if cue in BEFORE else -1
        if figure in starts:
            out.append((start, starts[figure]))
        elif cue in BEHIND and start in ends and start not in parts:  # '6.5 | F bready'
            out.append((ends[start], starts.get(end, end)))
    totals = (end for _, end, cue in reading.cues[SHEET_FILE] if cue in TOTAL and end in starts)
    out += [(end - 1, starts[end]) for end in totals]
    who = score_words("who")
    would = (at for at, word in enumerate(reading.words) if word in WOULD and at and reading.words[at - 1] in who)
    out += [(at - 1, _would_give(reading.words, at + 1, starts, parts)) for at in would]
    merged: list[tuple[int, int]] = []
    for start, end in sorted(out):
        if merged and start < merged[-1][1]:
            begin, last = merged.pop()
            start, end = begin, max(end, last)
        merged.append((start, end))
    return merged


def _with_point(words: list[str], number: Number) -> int:
    """The word that a figure begins with: 'another | point and a half', '| to point five', misheard."""
    at = number.start
    if number.value >= 1 or not at:
        return at
    if words[at] == "point" and misheard_unit(words[at - 1]) is not None:
        return at - 1
    begin = at - (words[at - 1] == "a")
    pointed = begin > 1 and words[begin - 1] == "and" and words[begin - 2] in score_words("unit")
    return begin - 2 if pointed else at


def _behind_small(words: list[str], at: int) -> int:
    """The word at `at`, or the first one behind the small words there: 'take | off just | two'."""
    end = min(at + SMALL, len(words))
    return next((k for k in range(at, end) if words[k] not in score_words("small")), end)


def _would_give(words: list[str], at: int, figures: dict[int, int], parts: dict[int, int]) -> int:
    """Where the last of the figures ends that 'would', before word `at`, leads to: 'I'd have | gone twelve for flavor,
    two for mouthfeel'; `at` where it leads to none. Figures and names of parts begin at the words that are told."""
    leading = score_words("joins") | score_words("given") | HAVE
    found = at
    while at < len(words) and (at in figures or at in parts or words[at] in leading):
        figure = figures.get(at)
        at = figure or parts.get(at) or at + 1
        found = figure or found
    return found


def _moved(changes: Iterable[int], held: list[tuple[int, int]]) -> Iterator[int]:
    """The changes, each that would part words that are held at the nearer edge of them, behind them if both are."""
    for at in changes:
        start, end = held[max(bisect_left(held, (at,)) - 1, 0)] if held else (at, at)
        yield min(end, start, key=lambda edge, at=at: abs(edge - at)) if start < at < end else at


def _changes(odds: np.ndarray, start: int, end: int) -> list[int]:
    """The words from `start` to `end` at which another role begins on the likeliest way through the odds of roles
    (words x roles), by the algorithm of Viterbi; every change costs the same, so only the best role so far is left for
    another."""
    rows = np.log(odds[start:end] + LEAST).tolist()
    sums, kept = rows[0], []
    for row in rows[1:]:
        most = max(sums)
        best, left = sums.index(most), most - CHANGE
        kept.append([role if own >= left else best for role, own in enumerate(sums)])
        sums = [max(own, left) + odd for own, odd in zip(sums, row, strict=True)]
    role, out = sums.index(max(sums)), []
    for at in range(len(kept), 0, -1):
        before = kept[at - 1][role]
        if before != role:
            out.append(start + at)
        role = before
    return out[::-1]


def _near(changes: list[int], at: int) -> bool:
    """Whether one of the changes, which are in order, is near a word."""
    first = bisect_left(changes, at - NEAR)
    return first < len(changes) and changes[first] <= at + NEAR
