"""Whether the notes are a tasting at all, and not a shopping list or a letter with figures in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from notes2sheet.cues import SHEET_FILE
from notes2sheet.score_booking import Scores, Standing

if TYPE_CHECKING:
    from notes2sheet.transcript import Reading

TASTED = 2  # descriptors of this beer from which notes without a score are a tasting
LEAST_TOTAL = 13  # what is less is rather the time of day
TWO = 2  # short labels ('A', 'Fl') of different parts, or scores with their caps, are no accident
SENSED = {  # kinds of which nobody speaks in a kitchen or an office, as they do of honey and coffee
    "color", "clarity", "head", "body", "carbonation", "bitterness", "balance", "finish", "warmth", "creaminess",
    "astringency",
}  # fmt: skip


def let_stand(reading: Reading) -> None:
    """Take back the scores of notes that are no tasting."""
    if not is_tasting(reading):
        reading.scores = Scores({category.id: Standing() for category in reading.sheet.categories})


def is_tasting(reading: Reading) -> bool:
    """Whether the notes score or describe a drink, in words that are said of one."""
    scored = any(s.value is not None or s.basis == "unsure" for s in reading.scores.parts.values())
    described = sum(m.state != "mentioned" for m in reading.mentions) >= TASTED
    total = reading.scores.total
    if described and total is not None and total >= LEAST_TOTAL:
        return True
    return (scored or described) and _speaks_of_a_drink(reading)


def _speaks_of_a_drink(reading: Reading) -> bool:
    """Whether the notes name a style or a part of the sheet, or sense what is sensed of drinks alone."""
    if (reading.style and reading.style.style) or any(m.term.bare or m.term.kind in SENSED for m in reading.mentions):
        return True
    parts = {category.id for category in reading.sheet.categories}
    named = {table.partition(":")[::2] for _, _, table in reading.cues[SHEET_FILE]}
    labels = {part for part, how in named if part in parts and how == "short"}
    caps = set(reading.caps.values())
    whole = [number for number in reading.numbers if number.over in caps]
    return any(part in parts and how != "short" for part, how in named) or max(len(labels), len(whole)) >= TWO
