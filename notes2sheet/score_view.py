"""What the score reader sees of a sentence, and what it finds in it."""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING

from notes2sheet.cues import cue_words
from notes2sheet.features import START
from notes2sheet.numbers import begins_number
from notes2sheet.transcript import DASHES, EDGE, Reading
from notes2sheet.word_odds import ROLES

if TYPE_CHECKING:
    from notes2sheet.sentences import Sentence

ABOVE_CAP = 2  # points that a part is given above its cap at most, by mistake
BREAK = re.compile(r"[,.;:!?\n]")


@cache
def score_words(table: str) -> frozenset[str]:
    """A list of single words of lexicon/cues/score_words.toml."""
    return cue_words("score_words", "words", table)


@cache
def units() -> frozenset[str]:
    """Words and phrases behind figures that are no points."""
    return cue_words("scores", "decoy_after") | {"°", "°c", "°f"}


@dataclass(frozen=True)
class Expression:
    """One score expression in words `start` to `end`.

    `kind`: value, off, up, back (of what was taken off), share (of the cap), maybe or unsure; part, of points already
    taken off; half, which is no score alone. `instead` is the value that it comes instead of, where that is said.
    """

    kind: str
    value: Decimal
    start: int
    end: int
    part: str | None = None
    over: Decimal | None = None
    named: bool = False
    heard: bool = False
    again: bool = False
    imperative: bool = False
    instead: Decimal | None = None

    @property
    def plain(self) -> bool:
        """Whether it is said without a cap, and of no part by its name."""
        return self.over is None and not self.named


@dataclass
class SentenceView:
    """A sentence with its cue hits, as the score reader sees it."""

    reading: Reading
    index: int
    sentence: Sentence
    hits: list[tuple[int, int, str]]
    part_hits: list[tuple[int, int, str]]
    parts: list[str]
    caps: dict[Decimal, tuple[str, ...]]
    own_caps: dict[str, int]
    numbered: frozenset[int] = frozenset()  # words that only number the lines of the notes
    _starts: dict[tuple[str, int], int] = field(init=False)
    _ends: dict[tuple[str, int], int] = field(init=False)
    _tables: set[str] = field(init=False)

    def __post_init__(self) -> None:
        self._starts, self._ends = {}, {}
        for start, end, name in self.hits:
            self._starts[name, start] = max(end, self._starts.get((name, start), end))
            self._ends[name, end] = min(start, self._ends.get((name, end), start))
        self._tables = {name for name, _ in self._starts}

    @property
    def words(self) -> list[str]:
        return self.reading.words

    @property
    def own_cap(self) -> int | None:
        """The cap of the part that the sentence belongs to."""
        return self.own_caps.get(self.sentence.category)

    def over_half(self, value: Decimal) -> bool:
        """Whether a figure is more than half of that cap."""
        return self.own_cap is not None and value * 2 > self.own_cap

    def begins(self, at: int) -> bool:
        """Whether the sentence begins at word `at`, or punctuation stands before it."""
        return at == self.sentence.start or self.breaks(at)

    def closed(self, at: int) -> bool:
        """Whether the sentence ends before word `at`, or punctuation stands there."""
        return at >= self.sentence.end or self.breaks(at)

    def score_ends(self, at: int) -> bool:
        """Whether nothing that a figure may count follows at word `at`."""
        return self.closed(at) or self.words[at] in score_words("behind_score")

    def names_part_at(self, at: int) -> bool:
        """Whether a word for a part begins at word `at`."""
        return any(start == at for start, _, _ in self.part_hits)

    def sensory(self, at: int) -> bool:
        """Whether word `at` is part of a descriptor."""
        mentions = self.reading.mentions
        near = bisect_right(mentions, at, key=START) - 1
        return near >= 0 and mentions[near].start <= at < mentions[near].end

    def holds(self, at: int) -> bool:
        """Whether word `at` stands in the sentence."""
        return self.sentence.start <= at < self.sentence.end

    def beyond_all(self, value: Decimal) -> bool:
        """Whether a figure is more than any part's cap: a total, even where the talk is still at the last part."""
        return value > max(self.own_caps.values())

    def cue(self, *tables: str) -> bool:
        """Whether a phrase of one of the tables stands in the sentence."""
        return not self._tables.isdisjoint(tables)

    def taken_back(self, start: int, end: int) -> bool:
        """Whether one of the words `start` to `end` takes back what was said before it."""
        return not score_words("take_back").isdisjoint(self.words[start:end])

    def named_parts(self) -> set[str]:
        return set(self.parts)

    def starts_at(self, table: str, at: int) -> int | None:
        """The end of the longest phrase of `table` that begins at word `at`."""
        return self._starts.get((table, at))

    def ends_at(self, table: str, at: int) -> int | None:
        """The start of the longest phrase of `table` that ends before word `at`."""
        return self._ends.get((table, at))

    def likely_score(self, start: int, end: int, odds: float) -> bool:
        """Whether words are this likely to give a score, in running text, whose sentences may be cut wrongly."""
        if not self.reading.running:
            return False
        return bool(self.reading.word_odds["role"][start:end, ROLES.index("score")].mean() >= odds)

    def capped(self) -> bool:
        """Whether a figure of the sentence is written with a cap that one part alone has: '17/20'."""
        words = self.words[self.sentence.start : self.sentence.end]
        shares = [word.split("/") for word in words if word.count("/") == 1 and word[:1].isdigit()]
        return any(cap.isdigit() and len(self.caps.get(Decimal(cap), ())) == 1 for _, cap in shares)

    def slash(self, at: int) -> bool:
        """Whether nothing but a slash stands before word `at` of the sentence."""
        return self.sentence.start < at < self.sentence.end and self.reading.breaks[at].strip() == "/"

    def changes_to(self, at: int) -> int | None:
        """The start of words for changing a value that stand before word `at`: 'change that to', 'change flavor to'."""
        if (start := self.ends_at("makes_it", at)) is not None:
            return start
        begin = max(self.sentence.start, at - 5)
        verb = next((k for k in range(at - 1, begin - 1, -1) if self.words[k] in score_words("changes")), None)
        if verb is None or self.words[at - 1] not in ("to", "into") or at <= begin:
            return None
        return verb if all(self._of_score(k) for k in range(verb + 1, at - 1)) else None

    def _of_score(self, at: int) -> bool:
        """Whether word `at` may stand for a score that is changed: 'that', 'the nine', 'the nose', not 'the fridge'."""
        word = self.words[at]
        small = word in score_words("definite") or word in score_words("changing") or word in score_words("scored")
        return small or begins_number(word) or self.names_part_at(at)

    def asks(self) -> bool:
        """Whether the sentence ends with a question mark."""
        return self.reading.asks(self.sentence)

    def breaks(self, at: int) -> bool:
        """Whether punctuation or the line's end stands before word `at`; a line break inside a sentence is none."""
        breaks, inside = self.reading.breaks, self.sentence.start < at < self.sentence.end
        return at < len(breaks) and bool(BREAK.search(breaks[at].replace("\n", " ") if inside else breaks[at]))

    def signed(self, at: int) -> bool:
        """Whether a dash stands right before the word and nothing before that: '-2', '(-½)', not 'aroma - 9', '8-9'."""
        raw, text, start = self.reading.raw[at].lstrip(EDGE), self.reading.text, self.reading.starts[at]
        if raw[0] in DASHES:
            return True
        return text[start - 1 : start] in tuple(DASHES) and not text[max(start - 2, 0) : start - 1].isalnum()
