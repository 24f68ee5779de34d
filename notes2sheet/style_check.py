"""The full check of lexicon/styles: every entry against the lexicon, the scales and the other entries."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from notes2sheet.errors import LexiconError
from notes2sheet.lexicon import (
    KIND_ASPECTS,
    LEVELS,
    Lexicon,
    SheetDefinition,
    default_sheet,
    load_lexicon,
    load_sheet,
    read_toml,
    sheet_files,
    shipped,
)
from notes2sheet.scales import scales
from notes2sheet.words import phrase_words, split_list

LISTS = ("required", "allowed", "unwanted", "forbidden")
STATS = {"og": (0.99, 1.2), "fg": (0.99, 1.1), "ibu": (0, 120), "srm": (0, 60), "abv": (0, 20)}
NAME_KEYS = {"name", "group", "aliases", "heard"}


def find_problems(folder: Path | None = None, lexicon: Lexicon | None = None) -> Iterator[LexiconError]:
    """What is wrong in a folder of styles (default: the shipped one), as errors that name file, key and remedy."""
    folder = folder or shipped() / "styles"
    lexicon = lexicon or load_lexicon()
    yield from _scale_problems(folder, lexicon)
    named: dict[str, str] = {}
    said: dict[tuple[str, ...], tuple[str, str]] = {}
    for path in sorted(folder.glob("names*.toml")):
        for code, entry in read_toml(path).items():
            where = f"{path}: [{code}]"
            if code in named:
                yield LexiconError(f"code {code} is already in {named[code]}", where, "give each style one entry")
                continue
            named[code] = path.name
            yield from _name_problems(code, entry, where, said)
            if not (folder / f"{_stem(code)}.toml").is_file():
                what = f"there is no {_stem(code)}.toml for it"
                yield LexiconError(what, where, "add the file, or take the name out")
    stems = {_stem(code): code for code in named}
    for path in sorted(folder.glob("*.toml")):
        if path.name != "scales.toml" and not path.name.startswith("names"):
            yield from _file_problems(path, stems.get(path.stem), lexicon)


def check_styles(folder: Path | None = None, lexicon: Lexicon | None = None) -> None:
    """Raise the first problem of a folder of styles as a LexiconError."""
    for problem in find_problems(folder, lexicon):
        raise problem


def _stem(code: str) -> str:
    return re.sub(r"[^A-Za-z0-9-]", "-", code)


def _scale_problems(folder: Path, lexicon: Lexicon) -> Iterator[LexiconError]:
    path = folder / "scales.toml"
    if not path.is_file():
        return
    for name, entry in read_toml(path).items():
        steps = split_list(entry.get("steps", ""))
        where = f"{path}: [{name}] steps"
        for step in steps:
            term = f"{step} head" if name == "head_color" else step
            if term not in lexicon.terms:
                yield LexiconError(f"{term!r} is no term of the lexicon", where, "name a descriptor of that kind")
            if steps.count(step) > 1:
                yield LexiconError(f"{step!r} stands there twice", where, "keep one")


def _name_problems(code: str, entry: dict[str, Any], where: str, said: dict) -> Iterator[LexiconError]:
    for key in ("name", "group", "aliases"):
        if not isinstance(entry.get(key), str) or not entry[key].strip():
            yield LexiconError(f"{key} is missing or empty", where, f'write {key} = "..."')
    for key in entry.keys() - NAME_KEYS:
        yield LexiconError(f"unknown key {key!r}", where, f"one of {', '.join(sorted(NAME_KEYS))}")
    for key in ("name", "aliases", "heard"):
        text = str(entry.get(key, ""))
        phrases = [phrase_words(p) for p in ([text] if key == "name" else split_list(text))]
        for phrase in dict.fromkeys(phrases):
            owner, where_first = said.setdefault(phrase, (code, f"{where} {key}"))
            if owner != code:
                what = f"{' '.join(phrase)!r} already means {owner} ({where_first})"
                yield LexiconError(what, f"{where} {key}", "leave it with one style")
            elif phrases.count(phrase) > 1:
                yield LexiconError(f"{' '.join(phrase)!r} stands there twice", f"{where} {key}", "keep one")


def _file_problems(path: Path, code: str | None, lexicon: Lexicon) -> Iterator[LexiconError]:
    data = read_toml(path)
    if code is None:
        yield LexiconError("no entry in a names file belongs to it", str(path), "add its code and name there")
    elif data.get("code") != code:
        what = f"says {data.get('code')!r}, the name of the file says {code!r}"
        yield LexiconError(what, f"{path}: code", "make them agree")
    named = data.get("sheet", default_sheet())
    if named not in sheet_files():
        yield LexiconError(f"{named!r} is no sheet", f"{path}: sheet", f"one of {', '.join(sheet_files())}")
        return
    sheet = load_sheet(named)
    parts = {c.id: c.aspects for c in sheet.categories if c.aspects}
    for key in data.keys() - {"code", "tags", "sheet", "stats", "flaws", *parts}:
        yield LexiconError(f"unknown key {key!r}", str(path), f"code, tags, sheet, stats, flaws, {', '.join(parts)}")
    yield from _stats_problems(data.get("stats", {}), f"{path}: [stats]")
    yield from _flaw_problems(data.get("flaws", {}), f"{path}: [flaws]", lexicon)
    for category, aspects in parts.items():
        given = data.get(category, {})
        for aspect in given.keys() - set(aspects):
            yield LexiconError(f"unknown aspect {aspect!r}", f"{path}: [{category}]", f"one of {', '.join(aspects)}")
        for aspect in aspects:
            where = f"{path}: [{category}.{aspect}]"
            if not given.get(aspect):
                hint = "say what the style calls for, or varies = true"
                yield LexiconError("the aspect is missing or says nothing", where, hint)
            else:
                yield from _aspect_problems(category, aspect, given[aspect], where, lexicon, _scale(sheet, aspect))


def _stats_problems(stats: dict[str, Any], where: str) -> Iterator[LexiconError]:
    for key, value in stats.items():
        if key not in STATS:
            yield LexiconError(f"unknown key {key!r}", where, f"one of {', '.join(STATS)}")
        elif not (isinstance(value, list) and len(value) == 2 and all(isinstance(v, int | float) for v in value)):
            yield LexiconError(f"{value!r} is no pair of numbers", f"{where} {key}", "write [low, high]")
        elif not STATS[key][0] <= value[0] <= value[1] <= STATS[key][1]:
            low, high = STATS[key]
            what = f"{value!r} is inverted or beyond reason"
            yield LexiconError(what, f"{where} {key}", f"low to high, {low} to {high}")


def _flaw_problems(flaws: dict[str, Any], where: str, lexicon: Lexicon) -> Iterator[LexiconError]:
    known = {t.flaw for t in lexicon.terms.values() if t.flaw} | {"brett"}
    for name, level in flaws.items():
        if name not in known and not (name in lexicon.terms and lexicon.terms[name].flaw):
            yield LexiconError(f"{name!r} is no off-flavor of the lexicon", where, f"one of {', '.join(sorted(known))}")
        if level not in LEVELS:
            yield LexiconError(f"{level!r} is no level", f"{where} {name}", f"one of {', '.join(LEVELS)}")


def _scale(sheet: SheetDefinition, aspect: str) -> str | None:
    """The scale whose terms answer a prompt."""
    return next((kind for kind in scales() if kind in KIND_ASPECTS and sheet.aspect_of(kind) == aspect), None)


def _aspect_problems(
    category: str, aspect: str, entry: dict[str, Any], where: str, lexicon: Lexicon, scale: str | None
) -> Iterator[LexiconError]:
    ranges = {"level": "level", "retention": "level", "color": "head_color", "range": scale}
    known = {"level", "varies", *LISTS} | ({"color", "retention"} if aspect == "head" else set())
    known |= {"range"} if scale else set()
    for key in entry.keys() - known:
        yield LexiconError(f"unknown key {key!r}", where, f"one of {', '.join(sorted(known))}")
    for key in ranges.keys() & entry.keys() & known:
        yield from _range_problems(entry[key], ranges[key], f"{where} {key}")
    meant: dict[str, list[tuple[str, int, int]]] = {}
    for key in LISTS:
        for part in split_list(entry.get(key, "")):
            term, _, levels = part.partition(":")
            yield from _term_problems(term, category, f"{where} {key}", lexicon)
            bad = list(_range_problems(levels or "none..very high", "level", f"{where} {key}: {term}"))
            yield from bad
            if not bad:
                low, _, high = (levels or "none..very high").partition("..")
                span = (LEVELS.index(low), LEVELS.index(high or low))
                meant.setdefault(term, []).append((key, *span))
    yield from _contradictions(meant, where)


def _term_problems(term: str, category: str, where: str, lexicon: Lexicon) -> Iterator[LexiconError]:
    known = lexicon.terms.get(term)
    if known is None:
        near = [hit.term.name for hit in lexicon.phrases.get(term)]
        hint = f"its canonical name is {near[0]!r}" if near else "add it to the descriptors, or use another"
        yield LexiconError(f"{term!r} is no term of the lexicon", where, hint)
    elif category == "appearance" and "appearance" not in known.categories:
        yield LexiconError(f"{term!r} is nothing that one sees", where, "use the color, clarity or head term")


def _range_problems(text: Any, scale: str, where: str) -> Iterator[LexiconError]:
    steps = scales()[scale]
    low, _, high = str(text).partition("..")
    ends = (low, high or low)
    for end in dict.fromkeys(ends):
        if end not in steps:
            what = f"{end!r} is not on the {scale.replace('_', ' ')} scale"
            yield LexiconError(what, where, f"one of {', '.join(steps)}")
            return
    if steps.index(ends[0]) > steps.index(ends[1]):
        yield LexiconError(f"{text!r} is inverted", where, f"write {ends[1]}..{ends[0]}")


def _contradictions(meant: dict[str, list[tuple[str, int, int]]], where: str) -> Iterator[LexiconError]:
    for term, entries in meant.items():
        for i, (key, low, high) in enumerate(entries):
            for other, bottom, top in entries[i + 1 :]:
                if low <= top and bottom <= high:
                    hint = "keep one, or give them levels that do not meet"
                    yield LexiconError(f"{term!r} is both {key} and {other} at the same level", where, hint)
