"""How much of something there is, given as a figure out of ten: 'bitterness 7/10' in a part with another cap."""

from __future__ import annotations

from bisect import bisect_left
from operator import attrgetter

from notes2sheet.descriptors import Mention
from notes2sheet.features import START
from notes2sheet.numbers import Number
from notes2sheet.transcript import Reading

END = attrgetter("end")
TEN = 10


def is_intensity(reading: Reading, number: Number, cap: int | None) -> bool:
    """Whether a figure is how much there is of what is named right before it, and so no score of a part with `cap`."""
    if number.over != TEN or cap in (None, TEN) or reading.breaks[number.start].strip():
        return False
    at = bisect_left(reading.mentions, number.start, key=END)
    return at < len(reading.mentions) and reading.mentions[at].end == number.start and reading.mentions[at].term.bare


def intensity_said(reading: Reading, mention: Mention) -> str:
    """The figure right behind a mention that says how much of it there is, as said; '' without one, and outside of the
    sheet's parts."""
    at = bisect_left(reading.numbers, mention.end, key=START)
    number = reading.numbers[at] if at < len(reading.numbers) else None
    if number is None or number.start != mention.end:
        return ""
    category = reading.sentences[mention.sentence].category
    cap = next((part.cap for part in reading.sheet.categories if part.id == category), None)
    if not is_intensity(reading, number, cap):
        return ""
    start, end = reading.span(number.start, number.end)
    return reading.text[start:end]
