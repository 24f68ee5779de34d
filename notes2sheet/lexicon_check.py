"""The full cross-check of a lexicon folder, the shipped one or a user's own additions to it."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from notes2sheet.errors import LexiconError
from notes2sheet.lexicon import (
    KIND_ASPECTS,
    KIND_CATEGORIES,
    LEVELS,
    NO_STRINGS,
    load_sheet,
    read_toml,
    sheet_files,
    shipped,
)  # fmt: skip
from notes2sheet.words import phrase_words, split_list

SHEETS = [load_sheet(name) for name in sheet_files()]
ASPECTS = {*KIND_ASPECTS.values(), *(a for sheet in SHEETS for part in sheet.categories for a in part.aspects)}
CATEGORIES = tuple(dict.fromkeys(part.id for sheet in SHEETS for part in sheet.categories if part.aspects))
INGREDIENT_KINDS = ("hop", "malt", "adjunct", "yeast")
TERM_KEYS = {
    "said", "maybe", "aspects", "categories", "broader", "level", "wheel", "wheel_source", "source", "bare", "sheets",
    "adjectives", "nouns",
}  # fmt: skip
DESCRIPTOR_KEYS = (TERM_KEYS - {"maybe"}) | {"kind", "srm", "srgb", "missed"}
FLAW_NEEDS = ("compound", "origin", "advice", "acceptable", "source")
FLAW_KEYS = TERM_KEYS | {
    *FLAW_NEEDS, "tick", "rule", "threshold", "no_threshold", "caution", "strong", "terms", "alone", "likened",
    "causes", "instead",
}  # fmt: skip
NAMES = ("terms", "alone", "instead")  # keys that list canonical terms
THRESHOLD_KEYS = {"low", "high", "unit", "source", "note"}
UNITS = ("mg/L", "µg/L", "ng/L")
WHEEL = re.compile(r"(0[1-9]|1[0-4])\d\d")
SRGB = re.compile(r"#[0-9A-Fa-f]{6}")


class Problem(NamedTuple):
    """What is wrong in a lexicon file: the file, the key in it (a term or a phrase), and what to do."""

    file: str
    key: str
    hint: str


@dataclass(frozen=True)
class Entry:
    """One table of a lexicon file."""

    file: Path
    name: str
    data: dict[str, Any]
    flaw: bool

    def text(self, key: str) -> str:
        """The string under `key`; empty when there is none, or something else."""
        value = self.data.get(key, "")
        return value if isinstance(value, str) else ""

    def listed(self, key: str) -> list[str]:
        """The parts of the comma-separated string under `key`."""
        return split_list(self.text(key))

    @property
    def categories(self) -> set[str]:
        """The parts of the sheet that the term can stand in."""
        return set(self.listed("categories") or split_list(KIND_CATEGORIES.get(self.text("kind"), "aroma, flavor")))


@dataclass
class Folder:
    """The tables of one lexicon folder, and what could not be read of it."""

    root: Path
    terms: list[Entry] = field(default_factory=list)
    ingredients: list[Entry] = field(default_factory=list)
    ambiguous: list[Entry] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


def check_lexicon(root: Path | None = None) -> list[Problem]:
    """Everything wrong in a lexicon folder, in the order of its files; empty when it is sound.

    Without `root` the shipped lexicon is checked. A user's folder is checked as an addition to the shipped one:
    its phrases are held against the shipped phrases too, and only its own files are reported.
    """
    if root is not None and not root.is_dir():
        raise LexiconError("no such lexicon folder", str(root), "give a folder with descriptors/ or flaws/ in it")
    own = read_folder(root or shipped())
    base = _shipped_folder() if root is not None and root.resolve() != shipped().resolve() else None
    if not (own.terms or own.ingredients or own.problems):
        return [Problem(str(own.root), "", "nothing to add: put TOML files into descriptors/, flaws/ or ingredients/")]
    known = {entry.name: entry for entry in (*(base.terms if base else ()), *own.terms)}
    found = list(own.problems)
    for entry in own.terms:
        checks = _flaw_problems if entry.flaw else _descriptor_problems
        found += _of(entry, _term_problems(entry, known))
        found += _of(entry, checks(entry))
    for entry in own.ingredients:
        found += _of(entry, _ingredient_problems(entry, known))
    found += _name_problems(own, base)
    found += _phrase_problems(own, base)
    return sorted(found, key=lambda problem: problem.file)


@cache
def _shipped_folder() -> Folder:
    return read_folder(shipped())


def _of(entry: Entry, hints: Iterable[str]) -> list[Problem]:
    return [Problem(str(entry.file), entry.name, hint) for hint in hints]


def read_folder(root: Path) -> Folder:
    """All tables of a lexicon folder; files that are no TOML become problems."""
    folder = Folder(root)
    for part, flaw, entries in (
        ("descriptors", False, folder.terms),
        ("flaws", True, folder.terms),
        ("ingredients", False, folder.ingredients),
    ):
        for path in sorted((root / part).glob("*.toml")):
            _read_file(folder, path, flaw, entries)
    if (root / "ambiguous.toml").is_file():
        _read_file(folder, root / "ambiguous.toml", False, folder.ambiguous)
    return folder


def _read_file(folder: Folder, path: Path, flaw: bool, entries: list[Entry]) -> None:
    try:
        tables = read_toml(path)
    except LexiconError as error:
        folder.problems.append(Problem(str(path), "", f"{error.what}; {error.hint}"))
        return
    for name, data in tables.items():
        if isinstance(data, dict):
            entries.append(Entry(path, name, data, flaw))
        else:
            folder.problems.append(Problem(str(path), name, f"is no table: write [{name}] and its keys below"))


def _term_problems(entry: Entry, known: dict[str, Entry]) -> Iterator[str]:
    """What holds for descriptors and off-flavors alike."""
    data = entry.data
    keys = FLAW_KEYS if entry.flaw else DESCRIPTOR_KEYS
    for key in sorted(data.keys() - keys):
        yield f"unknown key {key!r}: one of {', '.join(sorted(keys))}"
    for key in sorted(data.keys() & keys - NO_STRINGS.keys()):
        if not isinstance(data[key], str):
            yield f"{key} is no string: write one string, commas between the parts of a list"
    if not entry.listed("said") and not entry.listed("maybe"):
        yield "nothing in said: list the phrases that people say for it"
    for key, allowed in (("aspects", ASPECTS), ("categories", CATEGORIES), ("sheets", sheet_files())):
        for value in entry.listed(key):
            if value not in allowed:
                yield f"unknown {key} {value!r}: one of {', '.join(sorted(allowed))}"
    for name in (name for key in NAMES for name in entry.listed(key)):
        if name not in known:
            yield f"{name!r} is no canonical term: use one, or add it"
    if "level" in data and data["level"] not in LEVELS:
        yield f"unknown level {data['level']!r}: one of {', '.join(LEVELS)}"
    if "wheel" in data and not (isinstance(data["wheel"], str) and WHEEL.fullmatch(data["wheel"])):
        yield f"wheel {data['wheel']!r} is no number of the 1979 terminology: a string of four digits, 0110 to 1499"
    yield from _broader_problems(entry, known)


def _broader_problems(entry: Entry, known: dict[str, Entry]) -> Iterator[str]:
    seen, name = {entry.name}, entry.text("broader")
    while name:
        if name not in known:
            yield f"broader term {name!r} is defined nowhere: use a canonical name"
            return
        if name in seen:
            yield f"broader terms run in a loop over {name!r}: take one of them out"
            return
        seen.add(name)
        name = known[name].text("broader")


def _descriptor_problems(entry: Entry) -> Iterator[str]:
    data = entry.data
    if entry.text("kind") not in KIND_ASPECTS.keys() - {"flaw"}:
        yield f"unknown kind {data.get('kind')!r}: one of {', '.join(k for k in KIND_ASPECTS if k != 'flaw')}"
    if "srm" in data:
        srm = data["srm"]
        numbers = isinstance(srm, list) and len(srm) == 2 and all(isinstance(v, int | float) for v in srm)
        if not numbers or not 0 <= srm[0] <= srm[1]:
            yield "srm is no range: write [low, high]"
    if "srgb" in data and not (isinstance(data["srgb"], str) and SRGB.fullmatch(data["srgb"])):
        yield 'srgb is no color: write "#RRGGBB"'


def _flaw_problems(entry: Entry) -> Iterator[str]:
    data = entry.data
    for key in FLAW_NEEDS:
        if not entry.text(key).strip():
            yield f"{key} is missing: an off-flavor needs it"
    if entry.listed("maybe") and not entry.text("rule"):
        yield "rule is missing: say when the phrases of maybe are a fault and when a virtue"
    if "threshold" in data:
        yield from _threshold_problems(data["threshold"])
    elif not entry.text("no_threshold"):
        yield "threshold is missing: give low, high, unit and source, or no_threshold with the reason"


def _threshold_problems(threshold: Any) -> Iterator[str]:
    if not isinstance(threshold, dict):
        yield 'threshold is no table: write { low = 10, high = 40, unit = "µg/L", source = "..." }'
        return
    for key in threshold.keys() - THRESHOLD_KEYS:
        yield f"unknown key {key!r} in threshold: one of {', '.join(sorted(THRESHOLD_KEYS))}"
    low, high = threshold.get("low", 0), threshold.get("high")
    if not all(isinstance(v, int | float) for v in (low, high)) or not 0 <= low <= high or not high:
        yield "threshold has no range: low and high are numbers, low not above high"
    if threshold.get("unit") not in UNITS:
        yield f"threshold has the unknown unit {threshold.get('unit')!r}: one of {', '.join(UNITS)}"
    if not threshold.get("source"):
        yield "threshold has no source: name where the figures stand, or 'from memory'"


def _ingredient_problems(entry: Entry, known: dict[str, Entry]) -> Iterator[str]:
    if entry.text("kind") not in INGREDIENT_KINDS:
        yield f"unknown kind {entry.data.get('kind')!r}: one of {', '.join(INGREDIENT_KINDS)}"
    if not entry.listed("said"):
        yield "nothing in said: list how people name it"
    for word in entry.listed("words"):
        if word not in known:
            yield f"its word {word!r} is no canonical term: use one, or add it to descriptors/"


def _name_problems(own: Folder, base: Folder | None) -> Iterator[Problem]:
    """Terms defined twice in one folder, and additions that contradict the term of the same name."""
    first: dict[tuple[str, bool], Entry] = {}
    for entry in own.terms:
        other = first.setdefault((entry.name, entry.flaw), entry)
        if other is not entry:
            yield Problem(str(entry.file), entry.name, f"is defined in {other.file.name} too: join the two tables")
    for other in base.terms if base else ():
        entry = first.get((other.name, other.flaw))
        for key in ("kind", "broader", "tick") if entry else ():
            if key in other.data and entry.data.get(key) != other.data[key]:
                hint = f"takes the place of the shipped term: repeat {key} = {other.data[key]!r}, or use another name"
                yield Problem(str(entry.file), entry.name, hint)


def _phrase_problems(own: Folder, base: Folder | None) -> Iterator[Problem]:
    """Phrases that stand twice under one term, or under terms that nothing tells apart."""
    uses: dict[tuple[str, ...], list[tuple[Entry, str, bool]]] = defaultdict(list)
    for mine, folder in ((False, base), (True, own)):
        for entry in folder.terms if folder else ():
            for how in ("said", "maybe"):
                for words in map(phrase_words, entry.listed(how)):
                    uses[words].append((entry, how, mine))
    listed = {}
    for folder in (base, own):
        for entry in folder.ambiguous if folder else ():
            listed[phrase_words(entry.name)] = set(entry.listed("terms"))
    for words, users in uses.items():
        if len(users) > 1:
            yield from _clashes(" ".join(words), users, listed.get(words, set()))
    for entry in own.ambiguous:
        yield from _of(entry, _listing_problems(entry, uses))


def _clashes(phrase: str, users: list[tuple[Entry, str, bool]], listed: set[str]) -> Iterator[Problem]:
    for i, (entry, how, mine) in enumerate(users):
        for other, other_how, _ in users[:i] if mine else ():
            if entry.name == other.name and entry.flaw == other.flaw:
                if entry.file == other.file:
                    yield Problem(str(entry.file), phrase, f"stands twice under [{entry.name}]: keep one")
            elif not _told_apart(entry, how, other, other_how) and not {entry.name, other.name} <= listed:
                where = f"[{other.name}] in {other.file.parent.name}/{other.file.name}"
                hint = f"under [{entry.name}] and {where}: keep it under one, or list it in ambiguous.toml"
                yield Problem(str(entry.file), phrase, hint)


def _told_apart(one: Entry, how: str, other: Entry, other_how: str) -> bool:
    """Whether the reading follows from the sheet or its part, or is a plain word against a doubtful fault."""
    if one.listed("sheets") != other.listed("sheets"):
        return True
    if one.flaw != other.flaw:
        return (how if one.flaw else other_how) == "maybe"
    return not one.categories & other.categories


def _listing_problems(entry: Entry, uses: dict[tuple[str, ...], list[Any]]) -> Iterator[str]:
    standing = {user.name for user, _, _ in uses.get(phrase_words(entry.name), ())}
    if not entry.listed("terms") or not entry.text("rule"):
        yield "needs terms (canonical names) and rule (what tells them apart)"
    for name in entry.listed("terms"):
        if name not in standing:
            yield f"does not stand under [{name}]: take it off the terms, or add the phrase there"
