"""The scales of the styles' ranges (color, clarity, head color, balance, finish): words in their order, as data."""

from __future__ import annotations

from functools import cache

from notes2sheet.lexicon import LEVELS, Lexicon, Term, read_toml, shipped
from notes2sheet.words import split_list

EBC_PER_SRM = 1.97  # both from absorbance at 430 nm: 25 × against 12.7 × (Oxford Companion to Beer, 2011)
STEPS, SRM = 2, 4.0  # nearer than this two judges may well differ (common practice)


MEASURED = {"body", "carbonation", "warmth", "creaminess", "astringency", "bitterness"}  # aspects that are levels


def measures(term: Term) -> bool:
    """Whether a term measures its aspect itself: by its bare name, or as a level of it ('full-bodied')."""
    return term.bare or (term.kind in MEASURED and bool(term.level))


@cache
def scales() -> dict[str, tuple[str, ...]]:
    """{scale: its steps from first to last}, with the eight levels as the scale 'level'."""
    path = shipped() / "styles" / "scales.toml"
    return {"level": LEVELS} | {name: tuple(split_list(entry["steps"])) for name, entry in read_toml(path).items()}


def steps_outside(scale: str, wanted: tuple[str, str], step: str) -> int | None:
    """How many steps `step` lies below (negative) or above the range `wanted`; 0 inside, None when not on the scale."""
    steps = scales().get(scale, ())
    if step not in steps or wanted[0] not in steps or wanted[1] not in steps:
        return None
    at, low, high = (steps.index(s) for s in (step, *wanted))
    return at - low if at < low else max(0, at - high)


def far(lexicon: Lexicon, wanted: tuple[str, str], aspect: str, step: str) -> bool:
    """Whether a step of a scale lies clearly outside the range that a style wants; colors are compared by their SRM."""
    if aspect != "color":
        return abs(steps_outside(aspect, wanted, step) or 0) >= STEPS
    ends = [lexicon.terms[name].data.get("srm") for name in (*wanted, step) if name in lexicon.terms]
    if len(ends) < 3 or None in ends:
        return False
    (low, _), (_, high), (bottom, top) = ends
    return bottom > high + SRM or top < low - SRM
