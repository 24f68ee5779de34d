"""Reads lexicon/ (TOML), cross-checks it, and hands out one frozen Lexicon. Knows no spaCy."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from notes2sheet.compiled import compiled
from notes2sheet.errors import LexiconError, UnknownName
from notes2sheet.words import PhraseIndex, phrase_words, split_list

if sys.version_info >= (3, 11):
    import tomllib
else:
    import tomli as tomllib

KIND_ASPECTS = {
    "malt": "malt", "roast": "malt", "sugar": "malt",
    "hop": "hops", "citrus": "hops", "tropical": "hops", "floral": "hops", "herb": "hops", "resin": "hops",
    "stonefruit": "fermentation", "berry": "fermentation", "darkfruit": "fermentation", "fruit": "fermentation",
    "spice": "fermentation", "ferment": "fermentation", "sour": "fermentation", "brett": "fermentation",
    "flaw": "fermentation",
    "wood": "other", "adjunct": "other", "water": "other", "savory": "other", "other": "other", "taste": "other",
    "color": "color", "clarity": "clarity", "head": "head",
    "body": "body", "carbonation": "carbonation", "warmth": "warmth", "creaminess": "creaminess",
    "astringency": "astringency", "balance": "balance", "finish": "finish", "bitterness": "bitterness",
}  # fmt: skip
KIND_CATEGORIES = {
    "color": "appearance", "clarity": "appearance", "head": "appearance",
    "body": "mouthfeel", "carbonation": "mouthfeel", "warmth": "mouthfeel", "creaminess": "mouthfeel",
    "astringency": "mouthfeel", "balance": "flavor", "finish": "flavor", "bitterness": "flavor", "taste": "flavor",
}  # fmt: skip
LEVELS = ("none", "very low", "low", "medium-low", "medium", "medium-high", "high", "very high")
CONTRACT_LEVEL = {
    "none": "none", "very low": "low", "low": "low", "medium-low": "low", "medium": "medium",
    "medium-high": "high", "high": "high", "very high": "high",
}  # fmt: skip


def shipped() -> Path:
    """The folder of the shipped lexicon: inside the installed package, or beside it in a checkout."""
    inside = Path(__file__).parent / "lexicon_data"
    return inside if inside.is_dir() else Path(__file__).parent.parent / "lexicon"


TOML_LIMIT = 4 * 1024 * 1024  # bytes of a lexicon file


def read_toml(path: Path) -> dict[str, Any]:
    """One TOML file; LexiconError names the file and the line when it is broken, too big or nested too deep."""
    try:
        with path.open("rb") as file:
            content = file.read(TOML_LIMIT + 1)
        if len(content) > TOML_LIMIT:
            raise LexiconError(f"is over {TOML_LIMIT >> 20} MB", str(path), "split it into several files")
        return tomllib.loads(content.decode("utf-8"))
    except FileNotFoundError:
        raise LexiconError(
            "no such lexicon file", str(path), "reinstall, or point --lexicon to a whole folder"
        ) from None
    except OSError as error:
        raise LexiconError(f"cannot be read: {error.strerror}", str(path), "check the file and its rights") from None
    except RecursionError:
        raise LexiconError("is nested too deep", str(path), "write one table a term") from None
    except ValueError as error:
        raise LexiconError(f"not valid TOML: {error}", str(path), "mend that line; strings need quotes") from None


@cache
def _cue_files() -> dict[str, Any]:
    folder = shipped() / "cues"
    data: dict[str, Any] = compiled(
        "cues", [folder], lambda: {path.stem: read_toml(path) for path in sorted(folder.glob("*.toml"))}
    )
    return data


def cue_file(name: str) -> dict[str, Any]:
    """The tables of lexicon/cues/<name>.toml."""
    table: dict[str, Any] = _cue_files()[name]
    return table


@dataclass(frozen=True)
class Term:
    """One canonical descriptor or off-flavor."""

    name: str
    kind: str
    aspects: tuple[str, ...]
    categories: tuple[str, ...]
    broader: str | None = None
    level: str | None = None
    flaw: str | None = None
    bare: bool = False
    sheets: tuple[str, ...] = ()
    data: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)


@dataclass(frozen=True)
class Hit:
    """What a phrase of the lexicon stands for. `how`: said, maybe (fault or virtue by context), adjectives
    (only near one of the term's nouns), heard or risky; unknown or listed for words outside the lexicon."""

    term: Term
    how: str


@dataclass(frozen=True)
class Category:
    """One part of a sheet: its cap in points and the prompts that a comment answers."""

    id: str
    title: str
    cap: int
    aspects: tuple[str, ...]


@dataclass(frozen=True)
class Declared:
    """What the entrant declares: {value: phrases for it}, and what counts where nothing is declared (None: nothing)."""

    name: str
    values: dict[str, tuple[str, ...]]
    default: str | None


@dataclass(frozen=True)
class SheetDefinition:
    """A scoresheet as data: categories with caps and prompts, and the bands of the total.

    `takes` maps a part that the sheet has not to the one that takes it in; `named` and `answers` a term or a kind
    of the lexicon to the prompts that it answers here; `say` a prompt to what to say aloud; `drink` holds the words for
    what is judged.
    """

    id: str
    title: str
    total: int
    categories: tuple[Category, ...]
    bands: tuple[tuple[float, str], ...]
    takes: dict[str, str] = field(default_factory=dict, compare=False)
    named: dict[str, tuple[str, ...]] = field(default_factory=dict, compare=False)
    answers: dict[str, tuple[str, ...]] = field(default_factory=dict, compare=False)
    say: dict[str, str] = field(default_factory=dict, compare=False)
    drink: tuple[str, ...] = ()
    declared: tuple[Declared, ...] = field(default=(), compare=False)

    def cap(self, category: str) -> int:
        """The most points that a part can have."""
        return next(c.cap for c in self.categories if c.id == category)

    def band(self, total: float) -> str:
        """The published band that `total` has reached."""
        return next(name for low, name in reversed(self.bands) if total >= low)

    def part(self, label: str) -> str:
        """The part of this sheet in which what belongs to `label` stands."""
        return self.takes.get(label, label)

    def parts_of(self, term: Term) -> tuple[str, ...]:
        """The parts of this sheet in which a term can stand."""
        return tuple(dict.fromkeys(self.part(c) for c in term.categories))

    def aspects_of(self, term: Term) -> tuple[str, ...]:
        """The prompts that a term answers: told for its name, for a broader name, for its kind; else its own."""
        if self.id in term.sheets:
            return term.aspects
        told = (self.named.get(term.name), self.named.get(term.broader or ""), self.answers.get(term.kind))
        return next((aspects for aspects in told if aspects), term.aspects)

    def aspect_of(self, kind: str) -> str:
        """The prompt that terms of a kind answer."""
        return self.answers.get(kind, (KIND_ASPECTS[kind],))[0]


@dataclass(frozen=True, eq=False)
class Lexicon:
    """All terms by canonical name and the indexes of what people say for them.

    A name that is both a descriptor and a fault ('sour') stands in `terms` as the descriptor, in `flaws` as the fault.
    `phrases` hands out Hits, `ingredients` (name, kind) lists. The phrases are those of one sheet: terms that name
    `sheets` are found only there, in place of what their phrases mean elsewhere. `extra` is the user's folder.
    """

    terms: dict[str, Term]
    flaws: dict[str, Term]
    phrases: PhraseIndex
    ingredients: PhraseIndex
    extra: Path | None = None


NO_STRINGS = {"bare": bool, "missed": bool, "threshold": dict, "srm": list}


def _check_types(name: str, entry: dict[str, Any], where: str) -> None:
    """LexiconError for values that are not of the type that the program reads them as."""
    for key, value in entry.items():
        wanted = NO_STRINGS.get(key, str)
        if not isinstance(value, wanted):
            called = {str: "string", bool: "true or false", dict: "table", list: "list"}[wanted]
            hint = "write one comma-separated string" if wanted is str else "see the shipped lexicon for one"
            raise LexiconError(f"[{name}] {key} is no {called}", where, hint)
    threshold, srm = entry.get("threshold"), entry.get("srm", [0, 0])
    figures = [threshold.get("low", 0), threshold.get("high")] if threshold else []
    texts = [threshold.get(key, "") for key in ("unit", "source", "note")] if threshold else []
    if not all(_is_figure(v) for v in (*figures, *srm)) or len(srm) != 2 or not all(isinstance(t, str) for t in texts):
        raise LexiconError(f"[{name}] has figures that are none", where, "see threshold and srm in the shipped lexicon")


def _is_figure(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e9


def _term(name: str, entry: dict[str, Any], where: str, flaw: bool) -> Term:
    _check_types(name, entry, where)
    kind = "flaw" if flaw else entry.get("kind")
    if kind not in KIND_ASPECTS:
        raise LexiconError(f"[{name}] has the unknown kind {kind!r}", where, f"one of {', '.join(KIND_ASPECTS)}")
    level = entry.get("level")
    if level is not None and level not in LEVELS:
        raise LexiconError(f"[{name}] has the unknown level {level!r}", where, f"one of {', '.join(LEVELS)}")
    return Term(
        name=name,
        kind=kind,
        aspects=tuple(split_list(entry.get("aspects", KIND_ASPECTS[kind]))),
        categories=tuple(split_list(entry.get("categories", KIND_CATEGORIES.get(kind, "aroma, flavor")))),
        broader=entry.get("broader"),
        level=level,
        flaw=entry.get("tick", name) if flaw else None,
        bare=entry.get("bare", False),
        sheets=tuple(split_list(entry.get("sheets", ""))),
        data=entry,
    )


def _entries(folder: Path, flaw: bool) -> dict[str, dict[str, Any]]:
    """The entries of all files of a folder, each checked as it would be used."""
    out: dict[str, dict[str, Any]] = {}
    for path in sorted(folder.glob("*.toml")):
        for name, entry in read_toml(path).items():
            if not isinstance(entry, dict):
                raise LexiconError(f"{name!r} is no table", str(path), f"write [{name}] and its keys below")
            _term(name, entry, str(path), flaw)
            out[name] = entry
    return out


def load_lexicon(extra: Path | None = None, sheet: str | None = None) -> Lexicon:
    """The shipped lexicon as notes on `sheet` are read (None: the default sheet), with a user's own `extra` folder
    (same layout) added. Raises LexiconError.

    >>> load_lexicon().terms["grapefruit"].broader
    'citrus'
    """
    if extra is None and (named := os.environ.get("NOTES2SHEET_LEXICON")):
        extra = Path(named)
    if extra is not None and not extra.is_dir():
        raise LexiconError("no such lexicon folder", str(extra), "give a folder with descriptors/ or flaws/ in it")
    return _load(extra, sheet or default_sheet())


@cache
def _load(extra: Path | None, sheet: str) -> Lexicon:
    folders = [root / part for root in (shipped(), extra) if root for part in ("descriptors", "flaws", "ingredients")]
    data = compiled(
        f"{sheet}-lexicon",
        [*folders, *(shipped() / "cues" / f"{name}.toml" for name in ("heard", "spelling")), shipped() / "sheets"],
        lambda: _build(extra, sheet),
    )
    terms = {name: _term(name, entry, "lexicon", False) for name, entry in data["descriptors"].items()}
    flaws = {name: _term(name, entry, "lexicon", True) for name, entry in data["flaws"].items()}
    hits: dict[tuple[str, ...], Hit] = {}

    def revive(payload: list[str]) -> Hit:
        key = tuple(payload)
        if key not in hits:
            table, name, how = payload
            hits[key] = Hit((flaws if table == "f" else terms)[name], how)
        return hits[key]

    phrases, ingredients = PhraseIndex(data["phrases"], revive), PhraseIndex(data["ingredients"])
    return Lexicon({**flaws, **terms}, flaws, phrases, ingredients, extra)


def _build(extra: Path | None, sheet: str) -> dict[str, Any]:
    """Everything of the lexicon as JSON-able data, the user's additions last."""
    tables: dict[str, dict[str, Any]] = {"descriptors": {}, "flaws": {}}
    phrases, ingredients = PhraseIndex(), PhraseIndex()
    owners: dict[str, tuple[str, str]] = {}
    roots = [root for root in (shipped(), extra) if root]
    read = [(table, _entries(root / table, table == "flaws")) for root in roots for table in tables]
    taken = _taken([entries for _, entries in read], sheet)
    for table, entries in read:
        tables[table].update(entries)
        for name, entry in entries.items():
            for phrase, how in _said_here(entry, sheet, taken):
                owners.setdefault(phrase, (table[0], name))
                phrases.add(phrase, [table[0], name, how])
    for path in (path for root in roots for path in sorted((root / "ingredients").glob("*.toml"))):
        for name, entry in read_toml(path).items():
            if not isinstance(entry, dict):
                raise LexiconError(f"{name!r} is no table", str(path), f"write [{name}] and its keys below")
            _check_types(name, entry, str(path))
            for phrase in split_list(entry.get("said", name)):
                ingredients.add(phrase, [name, entry.get("kind", "")])
    for how, table in (("heard", "sensory"), ("risky", "risky")):
        for meant, garbles in cue_file("heard").get(table, {}).items():
            owner = (
                ("d", meant)
                if meant in tables["descriptors"]
                else ("f", meant)
                if meant in tables["flaws"]
                else owners.get(meant)
            )
            for garble in split_list(garbles):
                if owner and garble not in owners:
                    phrases.add(garble, [*owner, how])
    return {**tables, "phrases": phrases.data, "ingredients": ingredients.data}


def _taken(tables: list[dict[str, dict[str, Any]]], sheet: str) -> set[tuple[str, ...]]:
    """The phrases that mean something else on a sheet: those of terms bound to it, and the names of the drink."""
    bound = [e for entries in tables for e in entries.values() if sheet in split_list(e.get("sheets", ""))]
    said = [phrase for e in bound for how in ("said", "maybe") for phrase in split_list(e.get(how, ""))]
    return {phrase_words(phrase) for phrase in (*said, *load_sheet(sheet).drink)}


def _said_here(entry: dict[str, Any], sheet: str, taken: set[tuple[str, ...]]) -> Iterator[tuple[str, str]]:
    """(phrase, 'said', 'maybe' or 'adjectives') of an entry as notes on `sheet` are read."""
    bound = split_list(entry.get("sheets", ""))
    for how in ("said", "maybe", "adjectives") if not bound or sheet in bound else ():
        for phrase in split_list(entry.get(how, "")):
            if bound or phrase_words(phrase) not in taken:
                yield phrase, how


@cache
def sheet_files() -> dict[str, dict[str, Any]]:
    """{id: data} of lexicon/sheets/*.toml."""
    folder = shipped() / "sheets"
    files: dict[str, dict[str, Any]] = compiled(
        "sheets", [folder], lambda: {p.stem: read_toml(p) for p in sorted(folder.glob("*.toml"))}
    )
    return files


@cache
def default_sheet() -> str:
    """The sheet for notes that call for no other: the one that says `default = true`."""
    return next(name for name, data in sheet_files().items() if data.get("default"))


@cache
def load_sheet(name: str | None = None) -> SheetDefinition:
    """The sheet definition lexicon/sheets/<name>.toml (None: the default); UnknownName lists those there are.
    Caps are points.

    >>> load_sheet().cap("aroma"), load_sheet().band(42)
    (12, 'excellent')
    """
    known = sheet_files()
    data = known.get(name or default_sheet())
    if data is None:
        raise UnknownName(f"unknown sheet {name!r}", "--sheet", f"one of: {', '.join(known)}")
    categories = [(c, tuple(split_list(c.get("takes", "")))) for c in data["categories"]]
    return SheetDefinition(
        id=data["id"],
        title=data["title"],
        total=data["total"],
        categories=tuple(Category(c["id"], c["title"], c["cap"], tuple(c["aspects"])) for c, _ in categories),
        bands=tuple((b["low"], b["name"]) for b in data["bands"]),
        takes={label: c["id"] for c, taken in categories for label in taken},
        named=_prompts(data.get("terms", {})),
        answers=_prompts(data.get("kinds", {})),
        say=data["say"],
        drink=tuple(split_list(data["drink"])),
        declared=tuple(_declared(name, entry) for name, entry in data.get("declared", {}).items()),
    )


def _prompts(table: dict[str, str]) -> dict[str, tuple[str, ...]]:
    """{prompt: names} the other way round."""
    out: dict[str, tuple[str, ...]] = {}
    for aspect, names in table.items():
        for name in split_list(names):
            out[name] = (*out.get(name, ()), aspect)
    return out


def _declared(name: str, entry: dict[str, Any]) -> Declared:
    values = {value: tuple(split_list(said)) for value, said in entry["said"].items()}
    return Declared(name, values, entry.get("default"))
