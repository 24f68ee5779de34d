"""How much of an aspect there is, given as a figure out of ten: 'bitterness 7/10' in a part with another cap."""

from __future__ import annotations

from bisect import bisect_left

from notes2sheet.descriptors import Mention
from notes2sheet.features import START
from notes2sheet.numbers import Number
from notes2sheet.transcript import Reading

TEN = 10
REACH = 6  # words from a figure back to its aspect; half as many onward


def is_intensity(reading: Reading, number: Number, cap: int | None) -> bool:
    """Whether a figure is how much there is of an aspect named in its clause, and so no score of a part with `cap`:
    'bitterness 7/10', 'clarity would amount to an 8/10', 'a 7 out of 10 for the head'."""
    if number.over != TEN or cap in (None, TEN):
        return False
    before, behind = (
        range(number.start - 1, max(0, number.start - 1 - REACH) - 1, -1),
        range(number.end, len(reading.words)),
    )
    return _reaches_aspect(reading, before, 1) or (
        reading.words[number.end : number.end + 1] == ["for"] and _reaches_aspect(reading, behind[: REACH // 2], 0)
    )


def _reaches_aspect(reading: Reading, places: range, after: int) -> bool:
    """Whether one of the words at `places`, without a mark on the way, names an aspect; the mark that parts a word from
    the way stands `after` it."""
    for k in places:
        if reading.breaks[k + after].strip():
            return False
        if any(hit.term.bare for hit in reading.lexicon.phrases.get(reading.words[k]) or ()):
            return True
    return False


def intensity_said(reading: Reading, mention: Mention) -> str:
    """The figure right behind a mention that says how much of it there is, as said; '' without one, and outside of the
    sheet's parts."""
    at = bisect_left(reading.numbers, mention.end, key=START)
    number = reading.numbers[at] if at < len(reading.numbers) else None
    if number is None or number.start != mention.end:
        return ""
    category = reading.sentences[mention.sentence].category
    if not is_intensity(reading, number, reading.caps.get(category)):
        return ""
    start, end = reading.span(number.start, number.end)
    return reading.text[start:end]
