"""The first words of a reading, as the candidates for the beer's name and its maker see them."""

from __future__ import annotations

import re
from bisect import bisect_right
from functools import cache, cached_property, lru_cache
from itertools import accumulate

from notes2sheet.cues import cue_index, cue_words
from notes2sheet.named_judge import judge_of
from notes2sheet.style_data import named_styles
from notes2sheet.transcript import Reading
from notes2sheet.unlisted import common_words

OPENING_WORDS = 240  # the beer is named near the start
LONGEST = 7  # words of a name
QUOTES = '"“”«»„'
ENDINGS = ("ing", "ed", "ly", "s")  # of rare words that are seldom names
APART = re.compile(r"\s[-–—]+\s|[\t|]")  # between a name and what else stands in its line
PLACES = 200  # of a word behind a name, where it may be said again
Span = tuple[int, int]


@cache
def listed(table: str) -> frozenset[str]:
    """The words of a table of lexicon/cues/entry_words.toml."""
    return cue_words("entry_words", table)


class Opening:
    """The first words of a reading as the candidates see them.

    `gaps[k]` is the kind of break before word k ('_' for none), `marks[k]` the look of word k ('Cap:rare'), `leads[k]`
    and `trails[k]` the kinds of cue phrases that end right before and begin at word k. In running text sentences
    are guessed to begin at the words `guessed`.
    """

    def __init__(self, reading: Reading) -> None:
        words = self.words = reading.words[:OPENING_WORDS]
        count = self.count = len(words)
        self.raw, self.all, self.breaks = reading.raw, reading.words, reading.breaks
        self.begins = {s.start for s in reading.sentences}
        self.sentence = _sentences(reading, count)
        self.judge = _judge_words(reading, count)
        self.styled = {k for s, e, _ in named_styles(reading, count) for k in range(s, e)}
        self.sensory = {
            k
            for m in reading.mentions
            if m.start < count and m.hits[0].how != "context"  # names look like that, too
            for k in range(m.start, m.end)
        }
        self.cased = any(_titled(self.raw[k]) and k not in self.begins for k in range(count))
        self.gaps = [_gap(between) for between in self.breaks[:count]]
        self.apart = {k for k in range(1, count) if APART.search(reading.text[reading.ends[k - 1] : reading.starts[k]])}
        self.gaps.append(_gap(self.breaks[count]) if count < len(self.all) else "end")
        self.guessed = sorted(k for k in self.begins if 0 < k < count and self.gaps[k] == "_")
        self.caps = [self.cased and self.raw[k][:1].isupper() and words[k] != "i" for k in range(count)]
        self.marks = [self._mark(k) for k in range(count)]
        self.kinds = [mark.split(":")[1] for mark in self.marks]
        common = common_words()
        self.seen = [word if word in common else mark for word, mark in zip(words, self.marks, strict=True)]
        self.leads, self.trails = self._anchors()
        self._places: dict[str, list[int]] | None = None

    def _mark(self, k: int) -> str:
        """'case:kind' of a word; the case only where the opening has capitals."""
        if not self.cased:
            case = "any"
        elif not self.caps[k]:
            case = "low"
        else:
            case = "First" if k in self.begins else "Cap"
        kind = _kind(self.words[k], self.raw[k])
        return f"{case}:{kind}{'-style' if k in self.styled else '-sensory' if k in self.sensory else ''}"

    def _anchors(self) -> tuple[dict[int, set[str]], dict[int, set[str]]]:
        leads: dict[int, set[str]] = {}
        trails: dict[int, set[str]] = {}
        for start, end, table in cue_index("entry").find(self.words, overlapping=True):
            leads.setdefault(end, set()).add(table)
            trails.setdefault(start, set()).add(table)
        for k in range(1, self.count):  # 'it is | the X', 'this is | batch 31 | X'
            passed = self.words[k - 1] in ("the", "a", "an", "batch", "number") or (
                k > 1 and self.numeral(k - 1) and self.words[k - 2] in listed("counted")
            )
            if passed and self.gaps[k] == "_":
                leads.setdefault(k, set()).update(t if t[-1] == "+" else t + "+" for t in leads.get(k - 1, ()))
        return leads, trails

    def numeral(self, k: int) -> bool:
        """Whether word `k` is a figure or a number word."""
        return self.kinds[k][:3] in ("num", "fig")

    def at(self, k: int) -> str:
        """Word `k` where it is a common one, else its mark; '<>' outside."""
        return self.seen[k] if 0 <= k < self.count else "<>"

    def kind(self, k: int) -> str:
        """The kind of word `k`; '<>' outside."""
        return self.kinds[k] if 0 <= k < self.count else "<>"

    def numerals(self, span: Span) -> bool:
        """Whether all words of `span` are figures or number words."""
        return all(self.numeral(k) for k in range(*span))

    def whole_number(self, span: Span) -> bool:
        """Whether numerals are one whole number: a single figure, or all of the number words said in a row."""
        start, end = span
        if self.raw[start][:1].isdigit():
            return end == start + 1 and self.raw[start].isdigit()
        before = start > 0 and self.kinds[start - 1][:3] == "num" and self.gaps[start] == "_"
        behind = end < self.count and self.kinds[end][:3] == "num" and self.gaps[end] == "_"
        return not (before or behind or any(self.raw[k][:1].isdigit() for k in range(start, end)))

    def inside_capital(self, k: int) -> bool:
        """Whether word `k` has a capital that the beginning of a sentence does not explain."""
        return self.caps[k] and k not in self.begins

    @cached_property
    def again(self) -> list[int]:
        """For each word what `_said_again` tells."""
        return [self._said_again(k) for k in range(self.count)]

    def _said_again(self, start: int) -> int:
        """How many words from `start`, up to the longest name, are said once more behind them."""
        words, most = self.all, 0
        places = self._places_of(words[start])
        first = bisect_right(places, start)
        for p in places[first : first + PLACES]:
            size = 1
            while size < min(LONGEST, p - start) and p + size < len(words) and words[p + size] == words[start + size]:
                size += 1
            most = max(most, size)
        return most

    def times_said(self, word: str) -> int:
        """How often a word of the opening is said in the whole reading."""
        return len(self._places_of(word))

    def _places_of(self, word: str) -> list[int]:
        if self._places is None:
            self._places = {}
            for k, one in enumerate(self.all):
                self._places.setdefault(one, []).append(k)
        return self._places[word]


def _sentences(reading: Reading, count: int) -> list[int]:
    """The number of the sentence of each of the first `count` words."""
    out: list[int] = []
    for number, sentence in enumerate(reading.sentences):
        if sentence.start >= count:
            break
        out += [number] * (min(sentence.end, count) - sentence.start)
    return out


def _judge_words(reading: Reading, count: int) -> set[int]:
    """The first words on lines that name the judge."""
    lines = reading.text[: reading.ends[count - 1] if count else 0].split("\n")
    starts = [0, *accumulate(len(line) + 1 for line in lines)]
    named = {n for n, line in enumerate(lines) if judge_of(line)}
    return {k for k in range(count) if bisect_right(starts, reading.starts[k]) - 1 in named} if named else set()


def _titled(raw: str) -> bool:
    return len(raw) > 2 and raw[0].isupper() and not raw.isupper()


@lru_cache(maxsize=65536)
def _kind(word: str, raw: str) -> str:
    if raw[:1].isdigit():
        return "code" if re.fullmatch(r"\d\d?[a-z]", word) else "fig3" if raw.isdigit() and len(raw) > 2 else "fig"
    for table in ("number", "time", "small", "maker"):
        if word in listed(table):
            return table if table != "number" else "num"
    if word in common_words():
        return "common"
    ending = next((e for e in ENDINGS if word.endswith(e) and len(word) > len(e) + 2), "")
    return f"rare+{ending}" if ending and not word.endswith("ss") else "rare"


@lru_cache(maxsize=1024)
def _gap(between: str) -> str:
    """The kind of a break: _ none, line, quotation mark, bracket, slash, dash, or its first sign."""
    if "\n" in between:
        return "line"
    signs = between.strip()
    if not signs:
        return "_"
    if signs[-1] in QUOTES or signs[0] in QUOTES or signs in ("'", "‘"):
        return '"'
    if signs[-1] in "([":
        return "("
    if signs[0] in ")]":
        return ")"
    return "/" if "/" in signs else "-" if signs[0] in "-–—" else signs[0] if signs[0] in ",.;:!?" else "~"
