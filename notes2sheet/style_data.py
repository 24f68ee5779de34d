"""Styles as expectations: names for detection, and one file a style for what it calls for. Knows no spaCy."""

from __future__ import annotations

import re
from bisect import bisect_left
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from notes2sheet.compiled import compiled
from notes2sheet.errors import LexiconError, UnknownName
from notes2sheet.lexicon import LEVELS, Lexicon, Term, cue_file, default_sheet, load_sheet, read_toml, shipped
from notes2sheet.transcript import Reading
from notes2sheet.words import PhraseIndex, phrase_words, split_list

Range = tuple[str, str]


@dataclass(frozen=True)
class Wanted:
    """A term with the levels at which an expectation speaks of it."""

    term: str
    low: str = "none"
    high: str = "very high"


@dataclass(frozen=True)
class Expectation:
    """What a style calls for in one aspect: `level` for quantities, `range` for scales (color, clarity, finish …)."""

    level: Range | None = None
    range: Range | None = None
    required: tuple[Wanted, ...] = ()
    allowed: tuple[Wanted, ...] = ()
    unwanted: tuple[Wanted, ...] = ()
    forbidden: tuple[Wanted, ...] = ()
    more: dict[str, Any] = field(default_factory=dict, compare=False)


@dataclass(frozen=True)
class Style:
    """One style of a guideline, judged on `sheet`. `stats` hold (low, high) of og, fg, ibu, srm, abv (% by volume)."""

    code: str
    name: str
    group: str
    tags: tuple[str, ...]
    stats: dict[str, tuple[float, float]]
    aspects: dict[str, dict[str, Expectation]]
    flaws: dict[str, str]
    sheet: str

    def expectation(self, category: str, aspect: str) -> Expectation | None:
        return self.aspects.get(category, {}).get(aspect)


def _name_files() -> list[Path]:
    return sorted((shipped() / "styles").glob("names*.toml"))


@cache
def style_names() -> dict[str, dict[str, str]]:
    """{code: {name, group, aliases, heard}} of every style."""
    return compiled(
        "style-names", _name_files(), lambda: {k: v for path in _name_files() for k, v in read_toml(path).items()}
    )


@cache
def name_index() -> PhraseIndex:
    """Everything people say for a style; the payload is [code, 'name', 'alias' or 'heard']."""
    files = [*_name_files(), shipped() / "cues" / "spelling.toml"]
    return PhraseIndex(compiled("style-index", files, _index_names))


def named_styles(reading: Reading, end: int | None = None) -> list[tuple[int, int, Any]]:
    """The hits of `name_index` in a reading's words, found once; those of its words before `end` alone."""
    if reading.style_names is None:
        reading.style_names = name_index().find(reading.words)
    hits: list[tuple[int, int, Any]] = reading.style_names
    if end is None or end >= len(reading.words):
        return hits
    whole = [hit for hit in hits if hit[1] <= end]
    over = next((start for start, stop, _ in hits if start < end < stop), end)
    return whole + [(over + a, over + b, found) for a, b, found in name_index().find(reading.words[over:end])]


def styles_at(reading: Reading, word: int) -> list[tuple[int, int, Any]]:
    """The hits of `named_styles` that begin at a word."""
    hits = named_styles(reading)
    return hits[bisect_left(hits, (word,)) : bisect_left(hits, (word + 1,))]


def _index_names() -> dict[str, Any]:
    index = PhraseIndex()
    shortened = cue_file("spelling")["style_words"]
    for code, entry in style_names().items():
        index.add(entry["name"], [code, "name"])
        for how, key in (("alias", "aliases"), ("heard", "heard")):
            for phrase in split_list(entry.get(key, "")):
                index.add(phrase, [code, how])
        for phrase in {entry["name"].casefold(), *split_list(entry.get("aliases", ""))}:
            first, _, rest = phrase.partition(" ")
            for short in split_list(shortened.get(first, "")) if rest else ():
                index.add(f"{short} {rest}", [code, "alias"])
    return index.data


def _wanted(text: str, where: str) -> tuple[Wanted, ...]:
    out = []
    for part in split_list(text):
        term, _, levels = part.partition(":")
        low, high = _range(levels, where) if levels else ("none", "very high")
        out.append(Wanted(term.strip(), low, high))
    return tuple(out)


def _range(text: str, where: str) -> Range:
    low, _, high = text.partition("..")
    return low.strip(), (high or low).strip()


def _expectation(entry: dict[str, Any], where: str) -> Expectation:
    level = _range(entry["level"], where) if "level" in entry else None
    if level and not (level[0] in LEVELS and level[1] in LEVELS and LEVELS.index(level[0]) <= LEVELS.index(level[1])):
        raise LexiconError(
            f"level {entry['level']!r} is no range of levels", where, f"low..high of {', '.join(LEVELS)}"
        )
    lists = {key: _wanted(entry.get(key, ""), where) for key in ("required", "allowed", "unwanted", "forbidden")}
    more = {k: v for k, v in entry.items() if k in ("color", "retention", "varies")}
    return Expectation(level, _range(entry["range"], where) if "range" in entry else None, more=more, **lists)


def style_path(code: str):
    return shipped() / "styles" / (re.sub(r"[^A-Za-z0-9-]", "-", code) + ".toml")


@cache
def load_style(code: str) -> Style:
    """The style with this code, read from its own file. UnknownName when there is none."""
    names = style_names().get(code)
    if names is None:
        raise UnknownName(
            f"unknown style {code!r}", "--style", "give a code such as 21C, or a name; see `notes2sheet style`"
        )
    path = style_path(code)
    data = compiled(f"style-{path.stem}", [path], lambda: read_toml(path))
    sheet = data.get("sheet", default_sheet())
    aspects = {
        c.id: {a: _expectation(e, f"{path}: [{c.id}.{a}]") for a, e in data.get(c.id, {}).items()}
        for c in load_sheet(sheet).categories
        if c.aspects
    }
    return Style(
        code,
        names["name"],
        names.get("group", ""),
        tuple(split_list(data.get("tags", ""))),
        {k: (v[0], v[1]) for k, v in data.get("stats", {}).items()},
        aspects,
        dict(data.get("flaws", {})),
        sheet,
    )


def resolve_style(said: str) -> str:
    """The code for a code in any case, a name or an alias; near misses are refused with suggestions."""
    codes = {code.upper(): code for code in style_names()}
    squeezed = re.sub(r"[\s-]", "", said).upper()
    if squeezed in codes:
        return codes[squeezed]
    if said.upper() in codes:
        return codes[said.upper()]
    if found := name_index().get(said):
        return found[0][0]
    from rapidfuzz import fuzz, process

    names = spoken_names()
    near = process.extract(" ".join(phrase_words(said)), names.keys(), scorer=fuzz.ratio, limit=8, score_cutoff=80)
    codes = list(dict.fromkeys(names[phrase] for phrase, _, _ in near))[:3]
    hint = "nearest: " + ", ".join(f"{code} {style_names()[code]['name']}" for code in codes) if codes else ""
    raise UnknownName(f"unknown style {said!r}", "--style", hint or "see `notes2sheet style` for all")


@cache
def spoken_names() -> dict[str, str]:
    """{name or alias in normal words: code} of every style."""
    return {
        " ".join(phrase_words(phrase)): code
        for code, entry in style_names().items()
        for phrase in (entry["name"], *split_list(entry.get("aliases", "")))
    }


def kin(term: Term, lexicon: Lexicon) -> list[str]:
    """The term's name and those of its broader terms, nearest first."""
    out, seen = [term.name], {term.name}
    while term.broader and term.broader not in seen:
        out.append(term.broader)
        seen.add(term.broader)
        term = lexicon.terms.get(term.broader) or term
    return out


def verdict(style: Style, category: str, names: list[str], level: str | None) -> str | None:
    """What the style says of a descriptor in a part: forbidden, unwanted, required, allowed; None where it is silent.

    `names` are the term's name and broader names; a level outside a term's range turns 'allowed' into 'over'.
    """
    at = LEVELS.index(level) if level else None
    for name in names:
        best = None
        for expectation in style.aspects.get(category, {}).values():
            for kind in ("required", "allowed", "forbidden", "unwanted"):
                for wanted in getattr(expectation, kind):
                    if wanted.term != name:
                        continue
                    inside = at is None or LEVELS.index(wanted.low) <= at <= LEVELS.index(wanted.high)
                    if kind in ("required", "allowed"):
                        found = kind if inside or (at is not None and at < LEVELS.index(wanted.low)) else "over"
                    else:
                        found = kind if inside and not (at is None and wanted.low not in ("none", "very low")) else None
                    order = ("required", "allowed", "forbidden", "unwanted", "over")
                    if found and (best is None or order.index(found) < order.index(best)):
                        best = found
        if best:
            return best
    return None
