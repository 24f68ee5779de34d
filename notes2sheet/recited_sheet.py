"""The sheet's caps and bands as they are recited aloud: 'aroma out of ten', 'thirty-eight to forty-four is excellent'.

Cautious on purpose, since figures are misheard and scores look much like caps: a cap counts only where a firm word
joins it to the part's name, or in a recital before the first score; nothing counts that speaks of another sheet.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import islice, takewhile

from notes2sheet.cues import BEGIN, SCORE_FILE, SHEET_FILE, by_sentence, cue_index
from notes2sheet.transcript import Reading
from notes2sheet.words import index_of

Span = tuple[int, int]
SEPARATE = re.compile(r"[.;:!?\n]")
WRITTEN_RANGE = re.compile(r"^(\d{1,2})[-–](\d{1,2})$")
LEAST_MATCHES = 3  # figures of a list of all caps that must be right before it counts as one
LOWEST_TOP = 13  # the top of the lowest published band: ranges below it are no bands
PLAIN = {"good", "fair", "problematic"}  # everyday words: bands only where something else shows a recital


@dataclass(frozen=True)
class Cap:
    """A cap as said of a part; `scores` where a score is given out of it."""

    part: str
    value: Decimal
    span: Span
    scores: bool = False


@dataclass(frozen=True)
class Band:
    """A band as recited: its lowest total, and its highest (None: 'and up', or only where it begins)."""

    name: str
    low: Decimal
    high: Decimal | None
    span: Span

    @property
    def said(self) -> str:
        return f"from {self.low:g}" if self.high is None else f"{self.low:g} to {self.high:g}"

    def fits(self, low: float, top: float) -> bool:
        """Whether the recital agrees with a band that reaches from `low` to just under `top`."""
        return self.low == low and (self.high is None or top - 1 <= self.high < top)

    def holds(self, total: Decimal) -> bool:
        return total >= self.low and (self.high is None or total < self.high + 1)


@dataclass
class _Sentence:
    """The words of one sentence that recitals are made of; all indices are those of the reading's words."""

    reading: Reading
    index: int
    start: int
    end: int
    parts: list[tuple[int, int, str]]
    decoys: set[int]
    hits: list[tuple[int, int, str]]

    def __post_init__(self) -> None:
        numbers = self.reading.numbers
        first = bisect_left(numbers, self.start, key=lambda n: n.start)
        within = takewhile(lambda n: n.start < self.end, islice(numbers, first, None))
        self.numbers = [n for n in within if n.end <= self.end]

    def joined(self, start: int, end: int, table: str) -> bool:
        """Whether the words from `start` to `end` are one phrase of the table, unbroken."""
        return (start, end, table) in self.hits and not self.broken(start, end)

    def linked(self, start: int, end: int, table: str) -> bool:
        """Whether the words from `start` to `end`, if any, are phrases of the table."""
        while start < end:
            stops = [b for a, b, t in self.hits if a == start and b <= end and t == table]
            if not stops:
                return False
            start = max(stops)
        return True

    def broken(self, start: int, end: int) -> bool:
        """Whether a sentence-like stop stands before one of the words from `start` to `end`."""
        return any(SEPARATE.search(self.reading.breaks[k]) for k in range(start, min(end + 1, self.end)))

    def has(self, table: str) -> bool:
        return any(t == table for _, _, t in self.hits)

    def at(self, start: int, table: str) -> bool:
        return any(a == start and t == table for a, _, t in self.hits)

    def is_unit(self, at: int) -> bool:
        """Whether the figure before word `at` counts something else: percent, minutes, people."""
        return at in self.decoys and not self.at(at, "point")


def _sentences(reading: Reading) -> Iterator[_Sentence]:
    """Those with a figure in them that speak of this sheet."""
    parts, scores = by_sentence(reading, SHEET_FILE), by_sentence(reading, SCORE_FILE)
    figures = sorted(n.start for n in reading.numbers)
    recited = reading.grouped(cue_index("recited").find(reading.words, overlapping=True), BEGIN)
    ranges = {k for k, word in enumerate(reading.words) if word[:1].isdigit() and WRITTEN_RANGE.match(word)}
    at = 0
    for index, s in enumerate(reading.sentences):
        while at < len(figures) and figures[at] < s.start:
            at += 1
        written = not ranges.isdisjoint(range(s.start, s.end)) if ranges else False
        if not written and (at == len(figures) or figures[at] >= s.end):
            continue
        names = [
            (a, b, t.partition(":")[0])
            for a, b, t in parts[index]
            if t.endswith(":name") and t.partition(":")[0] in reading.scores.parts
        ]
        decoys = {a for a, _, t in scores[index] if t == "decoy_after"}
        hits = [hit for hit in recited[index] if hit[1] <= s.end]
        made = _Sentence(reading, index, s.start, s.end, names, decoys, hits)
        if not made.has("elsewhere"):
            yield made


def recited_caps(reading: Reading) -> Iterator[Cap]:
    """The caps said of a part, right or wrong, in the order of the talk."""
    scored = {at for standing in reading.scores.parts.values() for at in standing.sentences}
    first = min(scored, default=len(reading.sentences))
    for sentence in _sentences(reading):
        told = reading.sentences[sentence.index].role == "expect"
        recital = told and sentence.index < first
        found = [*_caps_behind(sentence, told and sentence.index not in scored), *_caps_scored(sentence)]
        yield from found
        if recital and not found:
            yield from _caps_listed(sentence)
    for part, number in reading.columns.values():  # '9/10' at the end of the aroma's line
        if number.over is not None:
            yield Cap(part, number.over, reading.span(number.start, number.end), scores=True)


def _caps_behind(sentence: _Sentence, told: bool) -> Iterator[Cap]:
    """'aroma is out of ten', 'appearance, worth five points'; in a recital also 'flavor, that's twenty points'."""
    for _, end, part in sentence.parts:
        for number in sentence.numbers:
            start, stop = number.start, number.end
            firm = sentence.joined(end, start, "cap_firm")
            loose = told and sentence.joined(end, start, "cap_loose") and sentence.at(stop, "point")
            if (firm or loose) and not sentence.is_unit(stop) and number.over is None and number.value % 1 == 0:
                yield Cap(part, number.value, sentence.reading.span(end, stop))


def _caps_scored(sentence: _Sentence) -> Iterator[Cap]:
    """'eight out of ten for the aroma': a score out of a figure, with the part's name right behind it."""
    for value, number in zip(sentence.numbers, sentence.numbers[1:], strict=False):
        words = sentence.reading.words[value.end : number.start]
        if words not in (["out", "of"], ["out", "of", "the"], ["out", "of", "a", "possible"]) or number.value % 1:
            continue
        for start, _, part in sentence.parts:
            span = sentence.reading.span(value.start, number.end)
            fits = sentence.joined(number.end, start, "cap_of") and value.value <= number.value
            if fits and not _given_to_another(sentence.reading, part, span):
                yield Cap(part, number.value, span, scores=True)


def _given_to_another(reading: Reading, part: str, span: Span) -> bool:
    """Whether a score stands for a part other than the one named right behind it, which only begins there: 'two and a
    half out of three on the nose banana and clove' in running text."""
    others = (standing for name, standing in reading.scores.parts.items() if name != part)
    return any(start < span[1] and span[0] < end for standing in others for start, end in standing.spans)


def _caps_listed(sentence: _Sentence) -> list[Cap]:
    """'three for looks, twelve for smell, …': caps with their parts, in a list of which most are right."""
    out = [
        Cap(part, number.value, sentence.reading.span(number.start, end))
        for number in sentence.numbers
        for start, end, part in sentence.parts
        if sentence.joined(number.end, start, "cap_of") and number.value % 1 == 0
    ]
    right = {cap.part for cap in out if cap.value == sentence.reading.sheet.cap(cap.part)}
    return out if len(right) >= LEAST_MATCHES else []


def recited_bands(reading: Reading) -> Iterator[Band]:
    """The bands recited with their bounds, right or wrong, in the order of the talk."""
    ours = [name for _, name in reading.house.bands] if reading.house else []
    index = index_of({name: [name] for name in dict.fromkeys(ours)})
    for sentence in _sentences(reading):
        words = reading.words[sentence.start : sentence.end]
        names = [(sentence.start + a, sentence.start + b, n) for a, b, n in (*_band_names(words), *index.find(words))]
        found = list(_paired(sentence, names))
        if len(found) > 1 or sentence.has("table") or all(band.name not in PLAIN for band in found):
            yield from found


def _band_names(words: list[str]) -> list[tuple[int, int, str]]:
    from notes2sheet.totals import band_index

    return band_index().find(words)


def _paired(sentence: _Sentence, names: list[tuple[int, int, str]]) -> Iterator[Band]:
    """Each range with the name beside it: in a list all names stand on the same side, the side of the first."""
    ranges = list(_ranges(sentence))
    behind = bool(names and ranges) and ranges[0][0] < names[0][0]
    for start, end, low, high in ranges:
        for a, b, name in names:
            after = end <= a and sentence.linked(end, a, "between") and not sentence.broken(end, a)
            before = b <= start and sentence.linked(b, start, "between") and not sentence.broken(b, start)
            if after if behind else before:
                yield Band(name, low, high, sentence.reading.span(min(start, a), max(end, b)))
                break


def _ranges(sentence: _Sentence) -> Iterator[tuple[int, int, Decimal, Decimal | None]]:
    """(start, end, low, high) of '38 to 44', '38-44', 'forty-five and up', 'begins at thirty-eight'."""
    limit = sentence.reading.sheet.total
    for at in range(sentence.start, sentence.end):
        if match := WRITTEN_RANGE.match(sentence.reading.words[at]):
            low, high = Decimal(match[1]), Decimal(match[2])
            if LOWEST_TOP <= high <= limit and low < high:
                yield at, at + 1, low, high
    for n, number in enumerate(sentence.numbers):
        low, after = number.value, sentence.numbers[n + 1] if n + 1 < len(sentence.numbers) else None
        if low >= limit or number.over is not None or sentence.is_unit(number.end):
            continue
        ups = [b for a, b, t in sentence.hits if a == number.end and t == "upward"]
        if after and _is_range(sentence, number, after) and LOWEST_TOP <= after.value <= limit and low < after.value:
            if not sentence.is_unit(after.end):
                yield number.start, after.end, low, after.value
        elif ups:
            yield number.start, max(ups), low, None
        elif any(b == number.start and t == "opens" for _, b, t in sentence.hits):
            yield number.start, number.end, low, None


def _is_range(sentence: _Sentence, number, after) -> bool:
    dash = number.end == after.start and sentence.reading.breaks[after.start].strip() in ("-", "–")
    return dash or sentence.joined(number.end, after.start, "range_word")


def bounds_in_force(reading: Reading, name: str) -> list[tuple[float, float]]:
    """[(lowest total, first total above)] of the bands of that name: the published one, then the house's own."""
    out = []
    for bands in (reading.sheet.bands, reading.house.bands if reading.house else ()):
        tops = [*(low for low, _ in bands[1:]), reading.sheet.total + 1]
        out += [(low, top) for (low, own), top in zip(bands, tops, strict=False) if own == name]
    return out
