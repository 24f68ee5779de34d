"""Decimal commas that a text without any punctuation has lost: '2 5' for 2,5.

Who writes decimals with a comma loses it wherever punctuation is taken out; '9 5' then reads as two scores. Where such
pairs stand again and again, and no comma anywhere, each pair is one word.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from notes2sheet.features import function_words
from notes2sheet.score_view import units
from notes2sheet.transcript import Reading

FIGURE = re.compile(r"\d+(?:\.\d+)?(?:/\d+)?")
FEWEST, MANY = 2, 4  # pairs that show it, or one before a unit; those beside decimals with a point
TENTHS = ("5", "0")  # behind a whole number
CAP = 20  # no pair: '20 5' recites caps
UNITS = frozenset(("%", "percent", "vol", "abv", "°c", "c", "g", "euro", "eur"))  # behind the decimals of no score


def join_lost_commas(reading: Reading) -> None:
    """Join the words of each pair into one. Linear in the words."""
    if "," in reading.text or not reading.words:
        return
    runs = list(_runs(reading.words))
    pointed = any("." in word for first, last in runs for word in reading.words[first:last])
    caps = list(reading.caps.values())
    decimals = (run for run in runs if not _lists(reading.words[slice(*run)], caps))
    pairs = [at for first, last in decimals for at in _pairs(reading.words, first, last)]
    plain = sum(not _measured(reading.words, at) for at in pairs)
    if plain < (MANY if pointed else FEWEST) and (pointed or plain == len(pairs)):
        return
    for at in reversed(pairs):
        _join(reading, at)


def _runs(words: list[str]) -> Iterator[tuple[int, int]]:
    """The (first, behind the last) of figures in a row."""
    at = 0
    while at < len(words):
        first = at
        while at < len(words) and FIGURE.fullmatch(words[at]):
            at += 1
        if at > first:
            yield first, at
        at += at == first


def _lists(figures: list[str], caps: list[int]) -> bool:
    """Whether figures in a row are rather the scores of all parts, with their sum or without, than decimals."""
    whole = all(map(str.isdigit, figures)) and len(figures) - len(caps) in (0, 1)
    return whole and all(int(figure) <= cap for figure, cap in zip(figures, caps, strict=False))


def _pairs(words: list[str], first: int, last: int) -> Iterator[int]:
    """The first words of the pairs in a run of figures."""
    at = first
    while at + 1 < last:
        whole = len(words[at]) < 3 and words[at].isdigit() and int(words[at]) != CAP
        tenths = words[at + 1].partition("/")[0]
        lower = tenths == "0" and words[at + 2 : at + 3] == ["5"]  # '3 | 0 5'
        if whole and ((tenths in TENTHS and not lower) or (_measured(words, at) and len(tenths) == 1)):
            if not _counts(words, at + 2, tenths):
                yield at
            at += 1
        at += 1


def _counts(words: list[str], at: int, tenths: str) -> bool:
    """Whether the second figure of a pair counts what follows at word `at`: '15 | 5 more sips', '7 | 0 faults'."""
    behind = words[at] if at < len(words) else ""
    plain = not behind or behind[0].isdigit() or behind in function_words()
    return behind == "more" or (behind in units() and behind not in UNITS) or (tenths == "0" and not plain)


def _measured(words: list[str], at: int) -> bool:
    """Whether a unit stands behind the pair at word `at`."""
    return words[at + 2 : at + 3] != [] and words[at + 2] in UNITS


def _join(reading: Reading, at: int) -> None:
    reading.words[at : at + 2] = [f"{reading.words[at]}.{reading.words[at + 1]}"]
    reading.raw[at : at + 2] = [reading.words[at]]
    reading.ends[at : at + 2] = [reading.ends[at + 1]]
    del reading.starts[at + 1], reading.breaks[at + 1]
