"""Several beers judged in one recording: where the talk goes from one to the next, and the notes of each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from notes2sheet.openers import SURE, Opener, begins_at, describes, may_open, openers

if TYPE_CHECKING:
    from notes2sheet.readers import Notes
    from notes2sheet.transcript import Reading

PARTS_TASTED = 3  # parts of the sheet that are told of on both sides of a break
LEAST_DESCRIBED = 2  # parts of a beer that words announce: else scores are only read out
ALL_BUT_ONE = 4  # parts scored from which a tasting is complete, or done twice
OPENED = {"opening", "closing"}
TALKED = ("told", "style")  # kinds that asides are like, too
TELLS = ("observe", "score")  # roles in which a beer is told of


def entries_of(notes: Notes, sheet: str | None, lexicon: Path | None) -> list[Notes]:
    """The notes of each beer, in the order of the talk; the notes themselves where only one is judged.

    A break is a sentence that goes to the next beer, with a whole tasting before it and another one behind it.
    """
    from notes2sheet.pipeline import read_notes

    if notes.entry or not may_open(notes.text):
        return [notes]
    reading = read_notes(notes.text, sheet, lexicon, until="roles")
    breaks = Flight(reading).breaks
    if not breaks:
        return [notes]
    starts = [0, *(_offset(reading, begins_at(reading, opener)) for opener in breaks)]
    ends = [*starts[1:], len(notes.text)]
    return [notes.part(start, end, n) for n, (start, end) in enumerate(zip(starts, ends, strict=True), 1)]


def _offset(reading: Reading, word: int) -> int:
    """Where the text of a word begins, with the signs right before it."""
    start, free = reading.starts[word], reading.ends[word - 1]
    while start > free and not reading.text[start - 1].isspace():
        start -= 1
    return start


class Told(NamedTuple):
    """The part of the sheet that a sentence describes or scores, None for all other talk; and which of both it does."""

    part: str | None = None
    described: bool = False
    scored: bool = False


class Side:
    """The parts that are told of on one side of a sentence, and in how many sentences."""

    def __init__(self, told: Iterable[Told] = ()) -> None:
        self.counts: dict[str, Counter[str]] = {"tasted": Counter(), "described": Counter(), "scored": Counter()}
        for one in told:
            self.add(one)

    def add(self, told: Told, times: int = 1) -> None:
        if told.part:
            for how, holds in (("tasted", True), ("described", told.described), ("scored", told.scored)):
                self.counts[how][told.part] += times * holds

    def parts(self, how: str) -> set[str]:
        """The parts that are tasted, described or scored."""
        return {part for part, count in self.counts[how].items() if count}


class Flight:
    """Where further beers begin in a reading: `breaks`, at which one surely does; `doubts`, sentences at which one may.

    Linear in the sentences: what is told before and behind each of them is counted up.
    """

    def __init__(self, reading: Reading) -> None:
        self.reading = reading
        self.breaks: list[Opener] = []
        self.doubts: list[int] = []
        told = _told(reading)
        found = openers(reading)
        self.quiet = {i for i, opener in found.items() if self._announces(i, opener)}
        self.following = _following([Told() if i in self.quiet else one for i, one in enumerate(told)])
        self.before, self.behind = Side(), Side(told)
        self.unscored = not self.behind.parts("scored")
        self.scored_last = max((i for i, one in enumerate(told) if one.scored), default=-1)
        self.last: str | None = None
        self.styles: frozenset[str] = frozenset()
        for i, one in enumerate(told):
            self._pass(i, one, found.get(i))

    def _pass(self, i: int, told: Told, opener: Opener | None) -> None:
        if opener and self._breaks(i, opener):
            self.breaks.append(opener)
            self.before, self.last, self.styles = Side(), None, frozenset()
        elif self._doubtful(i, opener):
            self.doubts.append(i)
        if opener:
            self.styles |= opener.styles
        self.before.add(told)
        self.behind.add(told, -1)
        self.last = told.part or self.last

    def doubt(self) -> int | None:
        """The first sentence at which a further beer begins, or may; None where one alone is told of."""
        sure = (self.reading.sentence_at(opener.word) for opener in self.breaks)
        return min([*sure, *self.doubts], default=None)

    def _breaks(self, i: int, opener: Opener) -> bool:
        """Whether the beer that is announced has a whole tasting of its own, and the one before it, too. Where scores
        are given, some part has one on both sides: an aside on 'the next one' breaks no tasting in two."""
        least = min(len(side.parts("tasted")) for side in (self.before, self.behind))
        if opener.again or least < PARTS_TASTED or not self._restarts(i):
            return False
        described = len(self.behind.parts("described"))
        if opener.kind in SURE:
            return self.unscored or (self._scored_twice() > 0 and described >= LEAST_DESCRIBED)
        if opener.kind == "style" and (not self.styles or not opener.styles.isdisjoint(self.styles)):
            return False
        return min(self._scored_twice(), described) >= PARTS_TASTED

    def _doubtful(self, i: int, opener: Opener | None) -> bool:
        """Whether a beer may begin that has no whole tasting, or is not announced; not where scores are read out."""
        announced = opener is not None and opener.kind in SURE
        complete = len(self.before.parts("scored")) >= ALL_BUT_ONE
        recited = self.reading.sentences[i].role == "expect"
        if announced and complete and not recited and i < self.scored_last and opener.styles - self.styles:
            return True
        described, twice = len(self.behind.parts("described")), self._scored_twice()
        if not described or not self._restarts(i):
            return False
        if opener and self.unscored:
            return min(described, len(self.before.parts("described"))) >= PARTS_TASTED and opener.kind == "style"
        least = PARTS_TASTED if opener else ALL_BUT_ONE
        return (announced and twice > 0) or (twice >= least and described >= PARTS_TASTED)

    def _scored_twice(self) -> int:
        """How many parts have a score on both sides."""
        return len(self.before.parts("scored") & self.behind.parts("scored"))

    def _restarts(self, i: int) -> bool:
        """Whether a part begins anew that was left before."""
        following = self.following[i]
        again = following in self.before.parts("tasted") and following != self.last
        return again or self.reading.sentences[i].category in OPENED

    def _announces(self, i: int, opener: Opener) -> bool:
        """Whether a sentence only announces, so that the part it was taken for tells nothing."""
        return opener.kind not in TALKED or not describes(self.reading, opener.word, self.reading.sentences[i].end)


def _following(told: list[Told]) -> list[str | None]:
    """The next part that is told of, from each sentence on."""
    out: list[str | None] = []
    following = None
    for one in reversed(told):
        following = one.part or following
        out.append(following)
    return out[::-1]


def _told(reading: Reading) -> list[Told]:
    """What each sentence tells of."""
    known = {c.id for c in reading.sheet.categories}
    described = {m.sentence for m in reading.mentions}
    figures = {reading.sentence_at(n.start) for n in reading.numbers}
    out = []
    for i, s in enumerate(reading.sentences):
        part = s.category if s.category in known and s.role in TELLS else None
        out.append(Told(part, i in described, s.role == "score" and i in figures))
    return out
