"""Several judges at one table: what part the talk as a whole is at while one of them speaks.

One asks 'and the nose?', the other says 'nine': the words of one judge alone do not tell what they are about.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from notes2sheet.readers import Notes
    from notes2sheet.transcript import Talk


class Turn(NamedTuple):
    """A line of the file: whose notes it is in (their number), and where in these (offsets in code points)."""

    line: int
    judge: int
    start: int
    end: int


class Table(NamedTuple):
    """What the whole talk tells each judge's sheet: for each of the notes (offset, odds of each part) where a sentence
    of the talk begins in them, none where one judge speaks alone; and the style, if one beer is judged and anyone says
    it."""

    talks: list[Talk]
    style: str | None


def table_of(whole: Sequence[Notes], sheet: str | None, lexicon: Path | None) -> Table:
    """What the notes of one file, taken together, tell each of them."""
    if len({notes.speaker for notes in whole}) < 2:
        return Table([[] for _ in whole], None)
    from notes2sheet.pipeline import read_notes
    from notes2sheet.segments import part_odds

    turns = sorted(turn for judge, notes in enumerate(whole) for turn in _turns(notes, judge))
    begins, text = [], ""
    for turn in turns:
        begins.append(len(text))
        text += whole[turn.judge].text[turn.start : turn.end].strip() + "\n"
    reading = read_notes(text, sheet, lexicon, until="style")
    talks: list[Talk] = [[] for _ in whole]
    for sentence, odds in zip(reading.sentences, part_odds(reading), strict=True):
        at = reading.starts[sentence.start]
        n = bisect_right(begins, at) - 1
        talks[turns[n].judge].append((turns[n].start + at - begins[n], odds))
    said = reading.style.style if not any(notes.entry for notes in whole) else None
    return Table(talks, said.code if said else None)


def _turns(notes: Notes, judge: int) -> list[Turn]:
    starts = [offset for offset, _ in notes.source_lines]
    ends = [*starts[1:], len(notes.text)]
    return [Turn(line, judge, a, b) for (a, line), b in zip(notes.source_lines, ends, strict=True)]
