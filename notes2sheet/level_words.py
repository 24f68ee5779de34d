"""The words that say a level, and where they stand among the notes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache
from typing import NamedTuple

from notes2sheet.cues import cue_words
from notes2sheet.descriptors import CLAUSE_BREAK, level_hits
from notes2sheet.lexicon import cue_file
from notes2sheet.transcript import Reading
from notes2sheet.words import PhraseIndex, index_of, split_list

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


def parts(reading: Reading, k: int) -> bool:
    """Whether a mark stands before word `k`; the stop of an abbreviated level is none ('sl. drying')."""
    mark = reading.breaks[k]
    if not CLAUSE_BREAK.search(mark):
        return False
    return mark != "." or reading.raw[k - 1].rstrip(".").lower() not in cue_words("levels", "short")
