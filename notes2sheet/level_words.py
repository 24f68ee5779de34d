"""The words that say a level, and where they stand among the notes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache
from typing import NamedTuple

from notes2sheet.cues import cue_words
from notes2sheet.descriptors import AND, CLAUSE_BREAK, level_hits
from notes2sheet.features import function_words
from notes2sheet.lexicon import cue_file
from notes2sheet.transcript import Reading
from notes2sheet.words import PhraseIndex, index_of, split_list

OWN = 3  # words behind a mention that hold no level, where the one before is its own
TOWARD = {"to", "toward", "towards"}
WITHIN = {"/", "-"}  # marks that may stand in a level: 'low/medium'


class Level(NamedTuple):
    """Words `start` to `end` that say a level; `degree` is 'weak' or 'strong' where they measure what follows."""

    start: int
    end: int
    level: str
    degree: str


class Levels:
    """The levels of the notes: those that stand before what they measure, those behind it, and where any begin and
    end."""

    def __init__(self, reading: Reading) -> None:
        places = _table("places").find(reading.words)
        taken = [*((start, end) for start, end, _ in places), *((m.start, m.end) for m in reading.mentions)]
        no_level = {k for start, end in taken for k in range(start, end)}
        before, after = ([hit for hit in hits if hit[0] not in no_level] for hits in level_hits(reading))
        self.hits = [hit for hit in before if not _broken(reading, *hit[:2])]
        self.named = {k for hits in level_hits(reading) for start, end, _ in hits for k in range(start, end)}
        self.ranges: dict[int, list[Level]] = {}  # by their first words
        for start, end, level in level_hits(reading)[1]:
            if reading.words[start + 1 : start + 2] == ["to"]:
                self.ranges.setdefault(start, []).append(Level(start, end, level, ""))
        self.begins = {hit[0] for hit in (*before, *after)}
        self.before, self.after = (list(self._said(reading, hits)) for hits in (before, _unlapped(after)))
        longest = list(_longest((*self.before, *self.after)))
        self.at = {level.start: level for level in longest}
        self.ending = {level.end: level for level in longest}
        self.same = {start for start, _, _ in _table("same").find(reading.words)}
        self.opened = dict(measured(reading))
        self.both = {start for start, _, _ in _table("both").find(reading.words)}

    def _said(self, reading: Reading, hits: list[tuple[int, int, str]]) -> Iterator[Level]:
        """Those of the hits that no mark parts, without those within longer ones, and without degrees of another
        level: 'a bit | high'."""
        degrees = _degrees()
        whole = [hit for hit in hits if not _broken(reading, *hit[:2])]
        for start, end, level in _longest(whole):
            degree = degrees.get(" ".join(reading.words[start:end]), "")
            if (
                degree
                and end < len(reading.words)
                and not parts(reading, end)
                and reading.words[end] in cue_words("levels", "comparatives")
            ):
                continue  # 'a bit | higher than I want' measures how far off it is
            if degree and end < len(reading.words) and reading.words[end] in TOWARD and not parts(reading, end):
                continue  # 'balance a bit | to malt' says which way it leans
            if not (degree and end in self.begins and not parts(reading, end)):
                yield Level(start, end, level, degree)


def _broken(reading: Reading, start: int, end: int) -> bool:
    """Whether a mark parts the words of a level: 'bitterness high, | medium body'."""
    return any(reading.breaks[k] not in WITHIN and parts(reading, k) for k in range(start + 1, end))


def _longest(hits: Iterable[tuple]) -> Iterator:
    """Those of the hits that lie within no longer one."""
    reached = -1
    for hit in sorted(hits, key=lambda hit: (hit[0], -hit[1])):
        if hit[1] > reached:
            reached = hit[1]
            yield hit


def _unlapped(hits: list[tuple[int, int, str]]) -> list[tuple[int, int, str]]:
    """The hits whose last word begins no longer one: 'is moderately| low'."""
    ends = {start: end for start, end, _ in hits}  # of the hits that begin at a word, the longest comes last
    return [hit for hit in hits if not any(ends.get(k, 0) > hit[1] for k in range(hit[0] + 1, hit[1]))]


@cache
def _table(name: str) -> PhraseIndex:
    return index_of({name: split_list(cue_file("levels")[name]["said"])})


@cache
def _degrees() -> dict[str, str]:
    """{words that measure the word behind them: 'weak' or 'strong'}"""
    return {phrase: key for key, said in cue_file("levels")["degrees"].items() for phrase in split_list(said)}


def measured(reading: Reading) -> Iterator[tuple[int, Level]]:
    """(first word of a mention, the level right before it) in running text, whose sentences are guessed, where it is no
    word's before it: 'malty up front | medium low bitterness', not 'caramel low | bitterness medium'."""
    if not reading.running:
        return
    before, after = level_hits(reading)
    starts, ends = ({getattr(mention, edge) for mention in reading.mentions} for edge in ("start", "end"))
    words = reading.words
    told = {start for start, end, _ in after if end not in starts or " ".join(words[start:end]) not in _degrees()}
    linking = (function_words() - AND) | set(split_list(cue_file("levels")["both"]["said"]))
    levels: dict[int, Level] = {}
    for start, end, level in before:  # of those that end at a word the longest comes first
        levels.setdefault(end, Level(start, end, level, ""))
    for mention in reading.mentions:
        level = levels.get(mention.start)
        if level is None or level.start in ends or not level.start or parts(reading, mention.start):
            continue
        own = told.isdisjoint(range(mention.end, mention.end + OWN))  # 'medium pepper from yeast low'
        linked = words[level.start - 1] in linking  # 'is medium low | bitterness'
        if own and not linked and not _broken(reading, level.start, level.end):
            yield mention.start, level


def parts(reading: Reading, k: int) -> bool:
    """Whether a mark stands before word `k`; the stop of an abbreviated level is none ('sl. drying')."""
    mark = reading.breaks[k]
    if not CLAUSE_BREAK.search(mark):
        return False
    return mark != "." or reading.raw[k - 1].rstrip(".").lower() not in cue_words("levels", "short")
