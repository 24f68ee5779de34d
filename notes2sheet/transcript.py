"""The words of the notes, normalised, each with its place in the text: what every later stage reads."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, TypeVar

from notes2sheet.words import norm

T = TypeVar("T")
Talk = list[tuple[int, Any]]  # (offset in code points, odds of each part of the sheet) as the whole table talks
DECIMAL = re.compile(r"^\.\d+$")
DASHES = "-–−"
SIGNED = re.compile(rf"^[{DASHES}][0-9½¼¾.]+(/[0-9]+)?$")
SIGNS = {"%", "&", "=", "#", "+", "->", "→", "??"}  # tokens without a letter or figure that are words
SERIES_OF_FIGURES = re.compile(r"\d+(?:\.\d+)?(?:/\d+(?:\.\d+)?){3,9}")  # '3/9.5/15/4/8'; a date has fewer
SERIES = re.compile(r"(/)")
GLUED = re.compile(  # between a label and its figure, a figure and its unit: 'A:2.5', 'T=41', '16→17', '41pts'
    r"((?<=[^\W\d])[:;=—→](?=\d)|(?<=\d)[=→;](?=\d)|(?<=\d)[,;](?=[^\W\d]))|(?<=\d)(?=pts?$|points?$)"
)
CLITICS = {"'s", "'m", "'d", "n't", "'re", "'ve", "'ll"}
APOSTROPHES = {"'", "’"}
QUOTED = 8  # words of a quotation
CLIPPED = ("in'", "in’")
QUOTES = {*APOSTROPHES, "‘"}
EDGE = '.,;:!?()[]"*_'


@dataclass
class Reading:
    """The state that the pipeline's stages read and extend, one for a note.

    `words[i]` is a normal word, `starts[i]`/`ends[i]` its code-point offsets in `text`, `breaks[i]` the punctuation
    (and line breaks) that stand between word i-1 and word i. Stages add their findings to the other fields.
    """

    text: str
    lexicon: Any
    sheet: Any
    line_times: list[tuple[int, float]] = field(default_factory=list)
    talk: Talk | None = None
    style_given: str | None = None
    house: Any = None
    sheet_from: str = "open"  # open until it is chosen; then given or notes
    words: list[str] = field(default_factory=list)
    raw: list[str] = field(default_factory=list)
    starts: list[int] = field(default_factory=list)
    ends: list[int] = field(default_factory=list)
    breaks: list[str] = field(default_factory=list)
    flowing: set[tuple[int, int]] = field(default_factory=set)  # words of the text that only guesses cut
    running: bool = False
    sentences: list[Any] = field(default_factory=list)
    numbers: list[Any] = field(default_factory=list)
    mentions: list[Any] = field(default_factory=list)
    cues: dict[str, list[tuple[int, int, Any]]] = field(default_factory=dict)
    seen: Any = None
    symbols: list[str] | None = None
    cut_anywhere: bool | None = None  # whether marks are so few that sentences may end anywhere
    shape: list[str] | None = None
    labels: list[tuple[str, ...]] | None = None
    echoes: list[list[str]] | None = None
    word_odds: dict[str, Any] = field(default_factory=dict)
    style_names: list[tuple[int, int, Any]] | None = None
    levels: list[list[tuple[int, int, str]]] | None = None
    columns: dict[int, tuple[str, Any]] = field(default_factory=dict)
    beside_columns: set[int] = field(default_factory=set)  # numbers of sentences
    excused: set[tuple[int, int]] | None = None  # words of mentions that are let pass
    own_lines: set[int] = field(default_factory=set)  # numbers of sentences in typed lines of a part with its score
    written_sums: dict[int, list[Any]] = field(default_factory=dict)  # by numbers of sentences
    recipe: set[int] | None = None  # words in lines of a recipe
    scores: Any = None
    other_scale: list[tuple[int, int]] = field(default_factory=list)  # spans of figures of another scale
    style: Any = None
    entry: Any = None
    unmarked: list[Any] = field(default_factory=list)
    mismatches: list[Any] | None = None

    def span(self, start: int, end: int) -> tuple[int, int]:
        """Code-point span of the words `start` to `end` (end excluded)."""
        return self.starts[start], self.ends[end - 1]

    def whole(self, sentence: Any) -> tuple[int, int]:
        """Code-point span of a sentence with its marks: the bullet before it, the stop and closing quotes behind."""
        start, end = self.span(sentence.start, sentence.end)
        before = self.text[self.ends[sentence.start - 1] : start] if sentence.start else " " + self.text[:start]
        after = self.text[end : self.starts[sentence.end]] if sentence.end < len(self.starts) else self.text[end:]
        return start - len(before[_closing(before) :].lstrip()), end + _closing(after)

    def asks(self, sentence: Any) -> bool:
        """Whether a sentence ends with a question mark."""
        return sentence.end < len(self.words) and "?" in self.breaks[sentence.end]

    @property
    def caps(self) -> dict[str, int]:
        """{part of the sheet: its cap}"""
        return {part.id: part.cap for part in self.sheet.categories}

    def line_starts(self) -> list[int]:
        """The numbers of the sentences that lines begin with."""
        return [at for at, sentence in enumerate(self.sentences) if not at or "\n" in self.breaks[sentence.start]]

    def numbers_in(self, start: int, end: int) -> list[Any]:
        """The numbers that begin within the words `start` to `end`."""
        first, behind = (bisect_left(self.numbers, word, key=_start) for word in (start, end))
        return self.numbers[first:behind]

    def sentence_at(self, word: int) -> int:
        """The number of the sentence that holds a word."""
        return bisect_right(self.sentences, word, key=_start) - 1

    def grouped(self, items: Iterable[T], begin: Callable[[T], int]) -> list[list[T]]:
        """Items in the order of the words, one list a sentence, by the word that each of them begins at."""
        out: list[list[T]] = [[] for _ in self.sentences]
        at = 0
        for item in items:
            while begin(item) >= self.sentences[at].end:
                at += 1
            out[at].append(item)
        return out


def _closing(gap: str) -> int:
    """How many marks stand right behind a sentence, before any white space."""
    return len(gap.split(maxsplit=1)[0]) if gap[:1].strip() else 0


def _start(sentence: Any) -> int:
    return int(sentence.start)


@lru_cache(maxsize=65536)
def word_in(token: str) -> tuple[str, str, str, str] | None:
    """(normal word, punctuation before it, behind it, its sign) of a token; None where it holds no word."""
    if not any(c.isalnum() for c in token) and token not in SIGNS:
        return None
    word = norm(token[:-1] + "g" if len(token) > 4 and token.endswith(CLIPPED) else token)
    core = word.strip(".,;:!?()[]\"'*_…“”‘’") if len(word) > 1 and word not in CLITICS else word
    if not core:
        return None
    if core != word and DECIMAL.match(word):
        core = word  # '.5'
    sign = ""
    if SIGNED.match(core):  # '-2' takes two off
        sign, core = "-", core[1:]
    lead = token[: len(token) - len(token.lstrip(EDGE))]
    return norm(core) if core != word else word, lead, token[len(token.rstrip(EDGE)) :], sign


@lru_cache(maxsize=65536)
def _pieces(token: str) -> list[str]:
    """The token cut where a label, a figure or a unit is glued to another."""
    cut = SERIES.split(token) if SERIES_OF_FIGURES.fullmatch(token) else GLUED.split(token)
    return [piece for piece in cut if piece]


def _unglued(tokens: Iterable[tuple[str, int]]) -> Iterator[tuple[str, int]]:
    """The (token, its offset) pairs, those cut that GLUED cuts."""
    for token, at in tokens:
        if token.isalpha() or len(token) < 3:
            yield token, at
            continue
        for piece in _pieces(token):
            yield piece, at
            at += len(piece)


def _clipped(reading: Reading, at: int) -> bool:
    """Whether an apostrophe at `at` stands for the last letter of the word before it: "nothin'", "standin'"; not where
    a quotation may have begun."""
    if not reading.words or reading.ends[-1] != at or any(not QUOTES.isdisjoint(b) for b in reading.breaks[-QUOTED:]):
        return False
    return len(reading.words[-1]) > 3 and reading.words[-1].endswith("in")


def read_words(tokens: Iterable[tuple[str, int]], reading: Reading) -> None:
    """Fill the reading's words from (token, its offset) pairs; punctuation becomes a break before the next word."""
    pending = ""
    words, raw, starts, ends, breaks = reading.words, reading.raw, reading.starts, reading.ends, reading.breaks
    for token, at in _unglued(tokens):
        if token.isspace():
            pending += "\n" * token.count("\n")
            continue
        found = word_in(token)
        if found is None and token in APOSTROPHES and _clipped(reading, at):
            words[-1] = norm(words[-1] + "g")
            raw[-1], ends[-1] = raw[-1] + token, at + 1
            continue
        if found is None:
            pending += token
            continue
        word, lead, trail, sign = found
        words.append(word)
        raw.append(token)
        starts.append(at)
        ends.append(at + len(token))
        breaks.append(pending + sign + lead)
        pending = trail
