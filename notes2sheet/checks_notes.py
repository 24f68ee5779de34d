"""Flags on the notes as a whole: whether they are one beer's, and in a language that is read here."""

from __future__ import annotations

from collections.abc import Iterator

from notes2sheet.model import Flag
from notes2sheet.transcript import Reading
from notes2sheet.unlisted import in_english


def several_beers(reading: Reading, covered) -> Iterator[Flag]:
    """several-beers: a further beer is announced, or the parts are described and scored a second time."""
    from notes2sheet.flight import Flight

    at = Flight(reading).doubt()
    if at is not None:
        span = reading.whole(reading.sentences[at])
        yield Flag(
            code="several-beers", severity="warning", spans=(span,),
            message="A second beer seems to begin here, and both are on this one sheet. One beer told twice? "
            "If not, give each its own notes.",
        )  # fmt: skip


def not_english(reading: Reading, covered) -> Iterator[Flag]:
    """not-english: hardly any of the words are common English ones."""
    if not in_english(reading):
        yield Flag(
            code="not-english", severity="warning",
            message="These notes don't seem to be in English, the only language I read; little of this sheet is sure.",
        )  # fmt: skip


def other_scale(reading: Reading, covered) -> Iterator[Flag]:
    """other-scale: figures grade the beer on a scale that is not this sheet's, and are no scores here."""
    if spans := tuple(reading.other_scale):
        told = ", ".join(dict.fromkeys(reading.text[a:b].strip("()[].,;: ") for a, b in spans))
        yield Flag(
            code="other-scale", severity="warning", spans=spans,
            message=f"On another scale than this sheet's, so not taken for scores: {told}.",
        )  # fmt: skip
