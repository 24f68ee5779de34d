"""Where a sentence may begin in running text: the odds of it at each word, by a tagger over words alone."""

from __future__ import annotations

from bisect import bisect_left

import numpy as np

from notes2sheet.seen import Names, Seen
from notes2sheet.tagger import look, odds
from notes2sheet.transcript import Reading

BLOCK = 2000  # words that are looked at together: memory stays flat in long text
PAIRS = {-2: "-2-1", -1: "-1+0", 0: "0+1"}  # two words that stand together, by the place of the first


def figures_as_signs(reading: Reading, start: int, end: int) -> list[str]:
    """The words `start` to `end`, those of each number as N and then n."""
    words = reading.words[start:end]
    first, last = (bisect_left(reading.numbers, at, key=lambda number: number.start) for at in (start, end))
    for number in reading.numbers[first:last]:
        if number.end <= end:
            words[number.start - start : number.end - start] = ["N"] + ["n"] * (number.end - number.start - 1)
    return words


def bound_features(reading: Reading, start: int, end: int) -> Seen:
    """What the tagger sees at each of the words `start` to `end`: the words around it, figures as one sign."""
    words = figures_as_signs(reading, start, end)
    names = Names(["<", "<", *words, ">", ">"])
    endings = Names(name[-3:] for name in names)
    rows = np.arange(len(words))
    here = {step: names.at(rows + 2 + step) for step in range(-2, 3)}
    seen = Seen(len(words))
    for step in here:
        seen.add(f"{step}:{{}}", rows, here[step])
    for step in (-2, -1, 0):
        seen.add(f"{PAIRS[step]}:{{}} {{}}", rows, here[step], here[step + 1])
    for step in (-1, 0):
        seen.add(f"e{step}:{{}}", rows, endings.at(here[step].places))
    return seen


def bound_odds(reading: Reading, start: int, end: int) -> list[float]:
    """The odds that a sentence begins at each of the words `start` to `end`. Linear in the words."""
    out: list[float] = []
    for begin in range(start, end, BLOCK):
        seen = bound_features(reading, begin, min(begin + BLOCK, end))
        look("bounds", seen, True)
        out += odds("bounds", "B", True)[:, 0].tolist()
    return out
