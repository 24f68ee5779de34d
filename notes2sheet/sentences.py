"""Sentence bounds: by punctuation, by line in captions and typed notes, by discourse words where there is neither."""

from __future__ import annotations

import re
from bisect import bisect_left
from dataclasses import dataclass, field
from itertools import islice

from notes2sheet.lexicon import cue_file
from notes2sheet.numbers import number_at
from notes2sheet.transcript import Reading
from notes2sheet.words import index_of, split_list

STOP = re.compile(r"[.!?…]")
LONG_LINE = 30  # words: a line longer than this without a stop is running text, not a caption
LEAST, MOST = 4, 14  # words in a chunk of text without punctuation
ABBREVIATIONS = {
    "mr",
    "mrs",
    "ms",
    "dr",
    "st",
    "vs",
    "no",
    "approx",
    "ca",
    "e.g",
    "i.e",
    "etc",
    "v",
    "prev",
    "cond",
    "min",
    "abv",
}


@dataclass
class Sentence:
    """Words `start` to `end` (end excluded), and what later stages find out about them."""

    start: int
    end: int
    category: str = "opening"
    role: str = "talk"
    time: float | None = None
    role_odds: dict[str, float] = field(default_factory=dict)


_OPENERS = None


def _discourse():
    global _OPENERS
    if _OPENERS is None:
        _OPENERS = index_of({"open": split_list(cue_file("discourse")["opens"]["said"])})
    return _OPENERS


def find_sentences(reading: Reading) -> None:
    """Fill `reading.sentences`. Linear in the words."""
    words, breaks = reading.words, reading.breaks
    bounds = []
    for at in range(len(words)):
        if at == 0:
            bounds.append(at)
            continue
        between = breaks[at]
        if "\n" in between:
            bounds.append(at)
        elif between and STOP.search(between):
            previous = words[at - 1]
            opens_upper = (
                reading.raw[at][:1].isupper() or reading.raw[at][:1].isdigit() or any(c in between for c in "!?…")
            )
            if opens_upper and not (between == "." and previous in ABBREVIATIONS):
                bounds.append(at)
    bounds.append(len(words))
    joined = _joined(reading)
    running = 0  # words in text without stops or lines
    for start, end in zip(bounds, bounds[1:], strict=False):
        if end - start > LONG_LINE and not any(c in ",.;:" for at in range(start + 1, end) for c in breaks[at]):
            reading.sentences += _chunks(reading, start, end, joined)
            running += end - start
        elif end > start:
            reading.sentences.append(Sentence(start, end))
    reading.running = running * 2 > len(words)
    _times(reading)


def _chunks(reading: Reading, start: int, end: int, joined: set[int]) -> list[Sentence]:
    """Text without punctuation, cut before words that open a clause."""
    closes = _figure_ends(reading, start, end)
    opens = {start + hit[0] for hit in _discourse().find(reading.words[start:end])} - joined
    out, begin = [], start
    for at in range(start + 1, end):
        size = at - begin
        if (
            (at in closes and size >= 2)
            or (at in opens and size >= LEAST and end - at >= 2)
            or (size >= MOST and at not in joined)
            or size >= 2 * MOST
        ):
            out.append(Sentence(begin, at))
            begin = at
    out.append(Sentence(begin, end))
    return out


AFTER_FIGURE = {
    "out",
    "outta",
    "of",
    "off",
    "from",
    "over",
    "point",
    "points",
    "mark",
    "marks",
    "gone",
    "less",
    "percent",
    "ibu",
    "on",
    "for",
}


def _figure_ends(reading: Reading, start: int, end: int) -> set[int]:
    """Where a score that stands by itself begins or ends: before a figure that nothing leads to, after its tail."""
    out: set[int] = set()
    first = bisect_left(reading.numbers, start, key=lambda number: number.start)
    for number in islice(reading.numbers, first, None):
        if number.end > end:
            break
        at = number.end
        while at < end and at - number.end < 5 and (reading.words[at] in AFTER_FIGURE or number_at(reading.words, at)):
            at += 1
        if at < end and at - number.end != 1 and reading.words[at] not in ("and", "or", "a"):
            out.add(at)
    return out


def _joined(reading: Reading) -> set[int]:
    """Words that no cut may stand before: inside a number, and what says of a number that it is a score."""
    out: set[int] = set()
    for number in reading.numbers:
        out.update(range(number.start + 1, number.end))
        at = number.end
        while at < len(reading.words) and at - number.end < 4 and reading.words[at] in AFTER_FIGURE:
            out.update((at, at + 1))
            at += 1
        if number.start and reading.words[number.start - 1] not in ("and", "so", "then"):
            out.add(number.start)
    return out


def _times(reading: Reading) -> None:
    times = reading.line_times
    at, now = 0, None
    for sentence in reading.sentences:
        offset = reading.starts[sentence.start]
        while at < len(times) and times[at][0] <= offset:
            now = times[at][1]
            at += 1
        sentence.time = now
