"""How much of an aspect there is, given as a figure out of ten: 'bitterness 7/10' in a part with another cap."""

from __future__ import annotations

from bisect import bisect_left

from notes2sheet.descriptors import Mention
from notes2sheet.features import START, function_words
from notes2sheet.numbers import Number
from notes2sheet.transcript import Reading

TEN = 10
SAYS_WHO = {"i", "we", "it", "this", "that"}  # give a score, or are given one
REACH = 6  # words from a figure back to its aspect; half as many onward


def is_intensity(reading: Reading, number: Number, cap: int | None) -> bool:
    """Whether a figure is how much there is of an aspect named in its clause, and so no score of a part with `cap`:
    'bitterness 7/10', 'clarity would amount to an 8/10', 'a 7 out of 10 for the head'."""
    if number.over != TEN or cap is None:
        return False
    if cap == TEN:
        return rates_aspect(reading, number)
    before, behind = (
        range(number.start - 1, max(0, number.start - 1 - REACH) - 1, -1),
        range(number.end, len(reading.words)),
    )
    return _reaches_aspect(reading, before, 1) or (
        reading.words[number.end : number.end + 1] == ["for"] and _reaches_aspect(reading, behind[: REACH // 2], 0)
    )


def rates_aspect(reading: Reading, number: Number) -> bool:
    """Whether a figure out of ten stands behind an aspect and nothing else of its clause ('Body 8 out of 10'), or
    behind a sensory word in a row of such ('…, roast 3 out of 10'): how much there is, in any part."""
    if _names_aspect(reading, number):
        return True
    before = reading.mentions[: bisect_left(reading.mentions, number.start, key=START)][-1:]
    if not before or before[0].end < number.start:
        return False
    sentence = reading.sentences[reading.sentence_at(number.start)]
    row = [n for n in reading.numbers_in(sentence.start, sentence.end) if n.start != number.start]
    return any(_of_ten(reading, other) and _names_aspect(reading, other) for other in row)


def _of_ten(reading: Reading, number: Number) -> bool:
    """Whether a figure is written or said out of ten."""
    behind = reading.words[number.end : number.end + 3]
    return number.over == TEN or (behind[:2] == ["out", "of"] and behind[2:] in (["10"], ["ten"]))


def _names_aspect(reading: Reading, number: Number) -> bool:
    """Whether a clause names one aspect before a figure, and has small words at most beside it."""
    first = reading.sentences[reading.sentence_at(number.start)].start
    first = max([first, *(n.end for n in reading.numbers_in(first, number.start) if n.end <= number.start)])
    broken = [k for k in range(first + 1, number.start) if reading.breaks[k].strip()]
    if reading.breaks[number.start].strip().startswith(","):
        return False  # 'balance, 7 out of 10'
    words = set(reading.words[broken[-1] if broken else first : number.start])
    aspects = {w for w in words if any(hit.term.bare for hit in reading.lexicon.phrases.get(w) or ())}
    return len(aspects) == 1 and SAYS_WHO.isdisjoint(words) and function_words() >= words - aspects


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
