"""What the score reader sees of a sentence, and what it finds in it."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache

from notes2sheet.lexicon import cue_file
from notes2sheet.transcript import Reading
from notes2sheet.words import split_list

BREAK = re.compile(r"[,.;:!?\n]")


@cache
def score_words(table: str) -> frozenset[str]:
    """A list of single words of lexicon/cues/score_words.toml."""
    return frozenset(split_list(cue_file("score_words")["words"][table]))


@dataclass(frozen=True)
class Expression:
    """One score expression in words `start` to `end`. `kind`: value, off, up, share (of the cap) or unsure."""

    kind: str
    value: Decimal
    start: int
    end: int
    part: str | None = None
    over: Decimal | None = None
    named: bool = False
    heard: bool = False
    again: bool = False
    taken_by_verb: bool = False
    imperative: bool = False


@dataclass
class SentenceView:
    """A sentence with its cue hits, as the score reader sees it."""

    reading: Reading
    index: int
    sentence: object
    hits: list[tuple[int, int, str]]
    part_hits: list[tuple[int, int, str]]
    parts: list[str]
    caps: dict[Decimal, tuple[str, ...]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for category in self.reading.sheet.categories:
            self.caps[Decimal(category.cap)] = (*self.caps.get(Decimal(category.cap), ()), category.id)
        self.caps[Decimal(self.reading.sheet.total)] = ("total",)

    @property
    def words(self) -> list[str]:
        return self.reading.words

    def cue(self, table: str) -> bool:
        return any(hit[2] == table for hit in self.hits)

    def named_parts(self) -> set[str]:
        return set(self.parts)

    def starts_at(self, table: str, at: int) -> int | None:
        """The end of the longest phrase of `table` that begins at word `at`."""
        ends = [end for start, end, name in self.hits if start == at and name == table]
        return max(ends, default=None)

    def ends_at(self, table: str, at: int) -> int | None:
        """The start of the longest phrase of `table` that ends before word `at`."""
        starts = [start for start, end, name in self.hits if end == at and name == table]
        return min(starts, default=None)

    def breaks(self, at: int) -> bool:
        """Whether punctuation or a line break stands before word `at`."""
        breaks = self.reading.breaks
        return at < len(breaks) and bool(BREAK.search(breaks[at]))
