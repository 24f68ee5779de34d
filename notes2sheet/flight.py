"""Several beers judged in one recording: where the talk goes from one to the next, and the notes of each."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

from notes2sheet.cues import cue_index
from notes2sheet.words import phrase_words

if TYPE_CHECKING:
    from notes2sheet.readers import Notes
    from notes2sheet.transcript import Reading

PARTS_TASTED = 3  # parts of the sheet that are described or scored on both sides of a break
OPENED = {"opening", "closing"}
TELLS = ("observe", "score")  # roles in which a beer is told of
LEADING = 8  # words of such a sentence in which the next beer may be named


def entries_of(notes: Notes, sheet: str | None, lexicon: Path | None) -> list[Notes]:
    """The notes of each beer, in the order of the talk; the notes themselves where only one is judged.

    A break is a sentence that goes to the next beer, with a whole tasting before it and another one behind it.
    """
    from notes2sheet.pipeline import read_notes

    if notes.entry or not _may_break(notes.text):
        return [notes]
    reading = read_notes(notes.text, sheet, lexicon, until="roles")
    breaks = _breaks(reading)
    if not breaks:
        return [notes]
    starts = [0, *(reading.starts[reading.sentences[i].start] for i in breaks)]
    ends = [*starts[1:], len(notes.text)]
    return [notes.part(start, end, n) for n, (start, end) in enumerate(zip(starts, ends, strict=True), 1)]


def _may_break(text: str) -> bool:
    """Whether any phrase for going to the next beer is said; cheap, so that single beers cost nothing."""
    return bool(cue_index("flight").find(list(phrase_words(text.replace(",", " ").replace(".", " ")))))


def _breaks(reading: Reading) -> list[int]:
    """The sentences at which a further beer begins. Linear in the sentences: parts before and behind are counted up.

    Where scores are given, some part has one on both sides: an aside on 'the next one' breaks no tasting in two.
    """
    hits = cue_index("flight").find(reading.words)
    named = {reading.sentence_at(begin) for begin, _, _ in hits if _leads(reading, begin)}
    parts = _parts_of(reading)
    ahead = _ahead(parts)
    scored = [part if s.role == "score" else None for part, s in zip(parts, reading.sentences, strict=True)]
    still = Counter(filter(None, scored))  # scores from here to the end
    unscored = not still
    breaks: list[int] = []
    tasted: set[str] = set()
    given: set[str] = set()
    last: str | None = None
    for i, part in enumerate(parts):
        following, left = ahead[i]
        restarts = reading.sentences[i].category in OPENED or (following in tasted and following != last)
        twice = unscored or any(still[part] for part in given)
        if i in named and restarts and twice and min(len(tasted), left) >= PARTS_TASTED:
            breaks.append(i)
            tasted, given, last = set(), set(), None
        if part:
            tasted.add(part)
            last = part
        if scored[i]:
            given.add(part)
            still[part] -= 1
    return breaks


def _leads(reading: Reading, begin: int) -> bool:
    """Whether words for the next beer may lead to it: in what tells of a beer they stand near the beginning ('each sip
    leaves a layer and the next one goes over it')."""
    sentence = reading.sentences[reading.sentence_at(begin)]
    return sentence.role not in TELLS or begin - sentence.start < LEADING


def _ahead(parts: list[str | None]) -> list[tuple[str | None, int]]:
    """(the next part that is tasted, how many are tasted from here to the end) at each sentence."""
    out: list[tuple[str | None, int]] = []
    following, seen = None, set()
    for part in reversed(parts):
        if part:
            following = part
            seen.add(part)
        out.append((following, len(seen)))
    return out[::-1]


def _parts_of(reading: Reading) -> list[str | None]:
    """The part that each sentence describes or scores, None for all other talk."""
    known = {c.id for c in reading.sheet.categories}
    return [s.category if s.category in known and s.role in TELLS else None for s in reading.sentences]
