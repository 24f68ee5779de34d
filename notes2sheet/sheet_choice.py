"""Which sheet the notes are judged on: that of the style judged, or the one announced; never that of a likeness."""

from __future__ import annotations

from collections import Counter
from functools import cache
from typing import Any

from notes2sheet.compiled import compiled
from notes2sheet.lexicon import sheet_files, shipped
from notes2sheet.transcript import Reading
from notes2sheet.words import PhraseIndex, split_list

OPENING, LATER = 4, 2  # what a style judged counts for its sheet, said while the notes open or only later
LEAST = 2  # less than this leaves the default sheet


@cache
def announcements() -> PhraseIndex:
    """What people say that announces a sheet; the payload is its id."""
    return PhraseIndex(compiled("sheet-announcements", [shipped() / "sheets"], _index))


def _index() -> dict[str, Any]:
    index = PhraseIndex()
    for name, data in sheet_files().items():
        for phrase in split_list(data["announces"]):
            index.add(phrase, name)
    return index.data


def sheet_called_for(reading: Reading) -> str:
    """The id of the sheet that weighs most; the one that the reading began with where no other clearly does."""
    began = reading.sheet.id
    weights = Counter({began: 0})
    weights.update(name for _, _, name in announcements().find(reading.words))
    if reading.style.style:
        opening = [s for s in reading.sentences if s.category == "opening"]
        bounds = [reading.span(s.start, s.end) for s in opening]
        early = any(a <= start < b for start, _ in reading.style.spans for a, b in bounds)
        weights[reading.style.style.sheet] += OPENING if early else LATER
    best = max(weights, key=lambda name: (weights[name], name == began))
    return best if weights[best] >= LEAST else began
