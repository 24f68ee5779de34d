"""Scores and off-flavors that rest on words which the recognizer was unsure of."""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from notes2sheet.model import Sheet, Span
    from notes2sheet.readers.notes import Notes

UNSURE = 0.5  # probability below which a word counts as unsure


def flag_unsure(sheet: Sheet, notes: Notes, below: float = UNSURE) -> Sheet:
    """The sheet with a flag `unsure-hearing` for each score, total and off-flavor that rests on a word heard with a
    probability under `below`. Notes without probabilities leave the sheet as it is."""
    from notes2sheet.model import Flag

    doubtful = sorted((start, end) for start, end, odds in notes.hearing if odds < below)
    if not doubtful:
        return sheet
    claims: list[tuple[str | None, str, tuple[Span, ...]]] = [
        (name, "score", part.spans) for name, part in sheet.categories.items() if part.score is not None
    ]
    claims.append((None, "total", sheet.total.spans))
    named: dict[tuple[str, str], list[Span]] = {}
    for found in sheet.descriptors:
        if found.flaw and found.state != "mentioned":
            named.setdefault((found.category, found.flaw), []).append(found.span)
    claims += [(category, flaw, tuple(spans)) for (category, flaw), spans in named.items()]
    flags = []
    for category, what, spans in claims:
        words = [pair for span in spans for pair in _touching(doubtful, span)]
        if words:
            said = ", ".join(dict.fromkeys(f"“{sheet.quote(pair)}”" for pair in words))
            message = f"{what.capitalize()} rests on a word that was not heard clearly: {said}."
            spans = tuple(dict.fromkeys(words))
            flags.append(
                Flag(code="unsure-hearing", category=category, severity="warning", message=message, spans=spans)
            )
    return sheet.model_copy(update={"flags": (*sheet.flags, *flags)}) if flags else sheet


def _touching(doubtful: list[tuple[int, int]], span: tuple[int, int]) -> list[tuple[int, int]]:
    at = bisect_left(doubtful, (span[0], 0))
    at -= at > 0 and doubtful[at - 1][1] > span[0]
    out = []
    while at < len(doubtful) and doubtful[at][0] < span[1]:
        out.append(doubtful[at])
        at += 1
    return out
