"""A style's expectations as a speaking crib for the judge, and the search for styles by what they call for."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator
from dataclasses import asdict, dataclass, field

from notes2sheet.lexicon import load_sheet
from notes2sheet.scales import EBC_PER_SRM
from notes2sheet.style_data import Expectation, Style, Wanted

UNITS = {"og": "", "fg": "", "ibu": " IBU", "srm": " SRM", "abv": "% ABV"}


@dataclass(frozen=True)
class Look:
    """One prompt: what to say, and what the style calls for there. All for reading out."""

    aspect: str
    say: str
    range: str = ""
    wanted: tuple[str, ...] = ()
    may: tuple[str, ...] = ()
    unwanted: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    by_base: bool = False


@dataclass(frozen=True)
class Part:
    title: str
    cap: int
    looks: tuple[Look, ...]


@dataclass(frozen=True)
class Crib:
    """What a judge reads before recording. `stats` are texts with units; EBC is reckoned from SRM."""

    code: str
    name: str
    group: str
    stats: tuple[str, ...]
    parts: tuple[Part, ...]
    tolerated: dict[str, str] = field(default_factory=dict)


def make_crib(style: Style, sheet: str | None = None) -> Crib:
    """The crib of a style along the prompts of a sheet (None: the style's own)."""
    parts = []
    definition = load_sheet(sheet or style.sheet)
    for category in definition.categories:
        looks = [_look(a, definition.say[a], style.expectation(category.id, a)) for a in category.aspects]
        looks = looks or [Look(category.id, definition.say[category.id])]
        parts.append(Part(category.title, category.cap, tuple(looks)))
    return Crib(style.code, style.name, style.group, tuple(_stats(style)), tuple(parts), dict(style.flaws))


def span(bounds: tuple[str, str]) -> str:
    """A range for reading: 'low to medium', or the one step."""
    return bounds[0] if bounds[0] == bounds[1] else f"{bounds[0]} to {bounds[1]}"


def _stats(style: Style) -> Iterator[str]:
    for key, (low, high) in style.stats.items():
        name, unit, shape = (f"{key.upper()} ", "", ".3f") if key in ("og", "fg") else ("", UNITS[key], "g")
        yield f"{name}{low:{shape}}–{high:{shape}}{unit}"
        if key == "srm":
            yield f"{low * EBC_PER_SRM:.0f}–{high * EBC_PER_SRM:.0f} EBC"


def _look(aspect: str, say: str, wants: Expectation | None) -> Look:
    if wants is None:
        return Look(aspect, say)
    told = [span(bounds) for bounds in (wants.range, wants.level) if bounds]
    for key, words in (("color", "{}"), ("retention", "{} retention")):
        if key in wants.more:
            low, _, high = str(wants.more[key]).partition("..")
            told.append(words.format(span((low, high or low))))
    return Look(
        aspect, say, ", ".join(told), _read(wants.required), _read(wants.allowed),
        _read(wants.unwanted), _read(wants.forbidden), bool(wants.more.get("varies")),
    )  # fmt: skip


def _read(entries: tuple[Wanted, ...]) -> tuple[str, ...]:
    return tuple(_term(w) for w in entries)


def _term(wanted: Wanted) -> str:
    low, high = wanted.low, wanted.high
    if (low, high) == ("none", "very high"):
        return wanted.term
    if low == "none":
        return f"{wanted.term} (up to {high})"
    return f"{wanted.term} ({low} and up)" if high == "very high" else f"{wanted.term} ({span((low, high))})"


def _rows(look: Look) -> list[tuple[str, str]]:
    """(label, words) of a prompt's expectations, in the order for reading out."""
    rows = [("", look.range)] if look.range else []
    named = (
        ("look for", look.wanted),
        ("may have", look.may),
        ("not wanted", look.unwanted),
        ("out of place", look.never),
    )
    rows += [(label, ", ".join(words)) for label, words in named if words]
    return rows + ([("", "otherwise as in the base style")] if look.by_base else [])


def _tolerated(crib: Crib) -> str:
    listed = ", ".join(f"{name} up to {level}" for name, level in crib.tolerated.items())
    return listed or "none named; the usual faults count"


def render_crib(crib: Crib, form: str = "text") -> str:
    """The crib as text, md or json."""
    if form == "json":
        return json.dumps(asdict(crib), indent=1, ensure_ascii=False) + "\n"
    md = form == "md"
    title = f"{crib.code} {crib.name}"
    lines = [f"# {title}" if md else title, "", f"{crib.group}: {', '.join(crib.stats) or 'the numbers vary'}", ""]
    for part in crib.parts:
        lines += [f"## {part.title} (of {part.cap})", ""] if md else [f"{part.title.upper()} (of {part.cap})"]
        for look in part.looks:
            lines += _look_lines(look, md)
        lines.append("")
    lines.append(f"Off-flavors with room: {_tolerated(crib)}.")
    lines.append("Say the style first, one number for each part, and what is missing as well as what is there.")
    return "\n".join(lines) + "\n"


def _look_lines(look: Look, md: bool) -> list[str]:
    head = f"- **{look.aspect}**: {look.say}" if md else f"  {look.aspect:<13}{look.say}"
    rows = [f"{label + ': ' if label else ''}{words}" for label, words in _rows(look)]
    if md:
        return [head, *(f"  - {row}" for row in rows)]
    indent = " " * 15
    return [head, *(textwrap.fill(row, 100, initial_indent=indent, subsequent_indent=indent + "  ") for row in rows)]
