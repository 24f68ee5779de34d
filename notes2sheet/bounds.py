"""Where a sentence may begin in running text: the odds of it at each word, by a tagger over words alone."""

from __future__ import annotations

from bisect import bisect_left
from itertools import islice

from notes2sheet.tagger import look, odds
from notes2sheet.transcript import Reading

BLOCK = 2000  # words that are looked at together: memory stays flat in long text


def bound_features(reading: Reading, start: int, end: int) -> list[list[str]]:
    """What the tagger sees at each of the words `start` to `end`: the words around it, figures as one sign."""
    words = reading.words[start:end]
    first = bisect_left(reading.numbers, start, key=lambda number: number.start)
    for number in islice(reading.numbers, first, None):
        if number.start >= end:
            break
        if number.end <= end:
            words[number.start - start : number.end - start] = ["N"] + ["n"] * (number.end - number.start - 1)
    seen = ["<", "<", *words, ">", ">"]
    rows = []
    for k in range(2, len(words) + 2):
        before, word, after = seen[k - 1], seen[k], seen[k + 1]
        rows.append(
            [
                f"0:{word}", f"1:{after}", f"2:{seen[k + 2]}", f"-1:{before}", f"-2:{seen[k - 2]}",
                f"0+1:{word} {after}", f"-1+0:{before} {word}", f"-2-1:{seen[k - 2]} {before}",
                f"e-1:{before[-3:]}", f"e0:{word[-3:]}",
            ]
        )  # fmt: skip
    return rows


def bound_odds(reading: Reading, start: int, end: int) -> list[float]:
    """The odds that a sentence begins at each of the words `start` to `end`. Linear in the words."""
    out: list[float] = []
    for begin in range(start, end, BLOCK):
        rows = bound_features(reading, begin, min(begin + BLOCK, end))
        look("bounds", rows, True)
        out += odds("bounds", "B", len(rows), True)
    return out
