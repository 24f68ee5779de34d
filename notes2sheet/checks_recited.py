"""Flags for what is recited otherwise than it is: of the style, of the sheet's caps, of the bands of the total."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator

from notes2sheet.model import Flag
from notes2sheet.transcript import Reading


def recited_wrong(reading: Reading, covered) -> Iterator[Flag]:
    """recited-wrong: what is said of the style is not what the style calls for."""
    from notes2sheet.recital import recited_wrong as contradictions

    for span, text in contradictions(reading):
        at = bisect_right(reading.sentences, span[0], key=lambda s: reading.starts[s.start]) - 1
        category = reading.sentences[at].category
        part = category if category in reading.scores.parts else None
        yield Flag(code="recited-wrong", category=part, severity="note", spans=(span,), message=text)


def caps_differ(reading: Reading, covered) -> Iterator[Flag]:
    """caps-differ: a cap that is recited, or that a score is given out of, is not the sheet's."""
    from notes2sheet.recited_sheet import recited_caps

    said: dict[str, list] = {}
    for cap in recited_caps(reading):
        if cap.value != reading.sheet.cap(cap.part):
            said.setdefault(cap.part, []).append(cap)
    for part, caps in said.items():
        depends = any(cap.scores for cap in caps) or _rests_on_cap(reading, part, [cap.span for cap in caps])
        values = " and ".join(dict.fromkeys(f"{float(cap.value):g}" for cap in caps))
        yield Flag(
            code="caps-differ", category=part, severity="warning" if depends else "note",
            spans=tuple(dict.fromkeys(cap.span for cap in caps)),
            message=f"Recited as {values} for {part}; the sheet has {reading.sheet.cap(part)}.",
        )  # fmt: skip


def _rests_on_cap(reading: Reading, part: str, caps: list[tuple[int, int]]) -> bool:
    """Whether the part's score was reckoned from the cap: by deduction, as a share of it ('full marks'), or taken from
    the very words of the recital."""
    from notes2sheet.cues import SCORE_FILE
    from notes2sheet.score_terms import SHARES

    standing = reading.scores.parts[part]
    shares = {reading.span(a, b) for a, b, table in reading.cues[SCORE_FILE] if table in SHARES}
    within = any(a < end and start < b for a, b in caps for start, end in standing.spans[-1:])
    return standing.basis == "taken-off" or within or not shares.isdisjoint(standing.spans)


def bands_differ(reading: Reading, covered) -> Iterator[Flag]:
    """bands-differ: a band is recited with other bounds than it has."""
    from notes2sheet.recited_sheet import bounds_in_force, recited_bands

    scores = reading.scores
    values = [s.value for s in scores.parts.values()]
    total = scores.total if None in values else sum(values)
    seen = set()
    for band in recited_bands(reading):
        bounds = bounds_in_force(reading, band.name)
        if any(band.fits(low, top) for low, top in bounds) or (band.name, band.low, band.high) in seen:
            continue
        seen.add((band.name, band.low, band.high))
        low, top = bounds[0]
        depends = total is not None and (low <= total < top) != band.holds(total)
        real = f"{low:g} and up" if top > reading.sheet.total else f"{low:g} to {top - 1:g}"
        yield Flag(
            code="bands-differ", severity="warning" if depends else "note", spans=(band.span,),
            message=f"{band.name.capitalize()} is recited as {band.said}; it is {real}.",
        )  # fmt: skip
