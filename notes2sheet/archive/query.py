"""Searches: what is asked for, the sheets that answer it, and how many they are."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache, reduce
from itertools import islice
from typing import Any

from notes2sheet.archive.fold import key, tokens
from notes2sheet.archive.postings import has, members, read, to_bits, to_bytes
from notes2sheet.archive.store import Archive

QUOTED = re.compile(r'["“”„«»](.+?)["“”„«»]')
ORDERS = {  # sheets without the figure come last: SQLite counts NULL as the smallest
    "date": "tasted DESC, id DESC",
    "score": "total DESC, id DESC",
    "added": "id DESC",
    "maker": "maker_key = '', maker_key, entry_key, id",
}
FEW = 400  # up to so many sheets are looked up one by one


@dataclass(frozen=True)
class Query:
    """What is asked for; everything given must hold. `parts` and `levels` narrow `tags` and `absent`.

    A tag may also carry its own part and level: `citrus:aroma:high`. `low`/`high` bound the total, `since`/`until`
    (YYYY-MM-DD, both included) the day of tasting; sheets without a total or a day are then left out.
    """

    words: str = ""
    tags: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    absent: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    levels: tuple[str, ...] = ()
    style: str | None = None
    maker: str | None = None
    entry: str | None = None
    judge: str | None = None
    low: float | None = None
    high: float | None = None
    since: str | None = None
    until: str | None = None
    flags: tuple[str, ...] = ()
    status: str | None = None


@dataclass
class Found:
    """The answer: how many sheets, the numbers of those to show in their order, and remarks on the question."""

    count: int = 0
    sheets: list[int] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)


def phrases(words: str) -> list[tuple[list[str], bool]]:
    """What must stand in one field each: (index words in a row, whether the last one may go on).

    "quotes" hold a phrase together, as hyphens and apostrophes do; a * at the end of a word lets it go on. Nothing else
    means anything: and, or, not, near are words like others.
    """
    chunks = QUOTED.findall(words) + QUOTED.sub(" ", words).split()
    out = []
    for chunk in chunks:
        found = [word for _, _, word in tokens(chunk)]
        if found:
            out.append((found, chunk.rstrip('"”').endswith("*")))
    return out


def match_expression(words: str) -> str:
    """The question to the full-text index; empty when the words hold no letter or digit."""
    return " AND ".join(f'"{" ".join(row)}"{"*" if goes_on else ""}' for row, goes_on in phrases(words))


@dataclass(frozen=True)
class Wanted:
    """A tag asked for: the terms it stands for, and where and how strong it must be."""

    terms: tuple[int, ...]
    parts: tuple[int, ...] = ()
    levels: tuple[int, ...] = ()


class Search:
    """Answers one query on one archive. Each condition gives the set of its sheets; these are cut with one another."""

    def __init__(self, archive: Archive, query: Query) -> None:
        self.archive, self.query = archive, query
        self.labels = dict(archive.rows("SELECT name, id FROM label"))
        self.remarks: list[str] = []

    def run(self, order: str = "date", limit: int | None = 20) -> Found:
        """The sheets in `order` (date, score, added, maker), at most `limit` of them."""
        sets, excluded = self._sets(), self._union(self.query.without)
        where, values = self._plain()
        condition = " AND ".join(where) or "1"
        if where:
            sets.append(self._numbers(f"SELECT id AS number FROM sheet WHERE {condition}", values))
        if excluded or not sets:
            sets.append(self._everything() & ~excluded)
        chosen = reduce(int.__and__, sets)
        count = chosen.bit_count()
        # Few are looked up one by one; of many the first soon turn up when all sheets are read in order.
        condition = f"id IN ({','.join(map(str, members(chosen)))})" if count <= FEW else "1"
        inside = to_bytes(chosen)
        ordered = self.archive.stream(f"SELECT id FROM sheet WHERE {condition} ORDER BY {ORDERS[order]}")
        shown = islice((number for (number,) in ordered if has(inside, number)), limit)
        return Found(count, list(shown), self.remarks)

    def _everything(self) -> int:
        """All sheets, as bits; their numbers run from 1 without a gap as long as none is taken out by hand."""
        count, last = self.archive.rows("SELECT count(*), max(id) FROM sheet")[0]
        return (1 << (count + 1)) - 2 if count == (last or 0) else self._numbers("SELECT id AS number FROM sheet")

    def _numbers(self, sql: str, values: Iterable[Any] = ()) -> int:
        """The sheets whose numbers a query gives, as bits; handed over as one text, which is faster than many rows."""
        text = self.archive.rows(f"SELECT group_concat(number) FROM ({sql})", values)[0][0]
        return to_bits(map(int, text.split(","))) if text else 0

    def _sets(self) -> list[int]:
        query, sets = self.query, []
        if query.words:
            sets.append(self._with_words(query.words))
        sets += [self.tagged(text, "present", True) for text in query.tags]
        sets += [self.tagged(text, "absent", True) for text in query.absent]
        sets += [self._flagged(flag) for flag in query.flags]
        return sets

    def _union(self, tags: tuple[str, ...]) -> int:
        return reduce(int.__or__, (self.tagged(text, "present", False) for text in tags), 0)

    def _with_words(self, words: str) -> int:
        expression = match_expression(words)
        if not expression:
            self.remarks.append(f"nothing to search for in {words!r}: it holds no letter or digit")
            return 0
        return self._numbers("SELECT rowid AS number FROM words WHERE words MATCH ?", (expression,))

    def _flagged(self, flag: str) -> int:
        asked = key(flag)
        numbers = [number for name, number in self.labels.items() if key(name) == asked]
        marks = ",".join(map(str, numbers))
        return self._numbers(f"SELECT sheet AS number FROM flag WHERE code IN ({marks}) OR severity IN ({marks})")

    def tagged(self, text: str, state: str, narrowed: bool) -> int:
        """The sheets with a tag in a state, as bits; `narrowed`: within the query's parts and levels."""
        wanted = self._wanted(text, narrowed)
        narrow = "category = 0"
        if wanted.parts or wanted.levels:
            narrow = "category > 0"
        if wanted.parts:
            narrow += f" AND category IN ({','.join(map(str, wanted.parts))})"
        if wanted.levels:
            levels = ",".join(map(str, wanted.levels))
            narrow += f" AND (level IN ({levels}) OR scale IN ({levels}))"
        return self.having(wanted.terms, state, narrow)

    def having(self, terms: tuple[int, ...], state: str, narrow: str = "category = 0") -> int:
        """The sheets with any of these terms, or anything narrower, in a state, as bits."""
        numbers = ",".join(map(str, terms))
        sql = f"SELECT block, sheets FROM posting WHERE term IN ({numbers}) AND state = ? AND {narrow}"
        return read(self.archive.rows(sql, (self.labels.get(state, -1),)))

    def _wanted(self, text: str, narrowed: bool) -> Wanted:
        name, parts, levels = text, [], []
        while ":" in name and (label := self._label(name.rpartition(":")[2])) is not None:
            name, _, last = name.rpartition(":")
            (levels if key(last) in _levels() else parts).append(label)
        found = self.terms(name)
        terms = tuple(sorted({number for number, _ in found}))
        if narrowed and not parts and not levels:
            asked = {key(part) for part in self.query.parts}
            homes = {key(part) for _, categories in found for part in categories.split(",") if part.strip()}
            # A tag that the lexicon never puts in these parts (hazy in the aroma) is looked for everywhere.
            if not asked or not homes or homes & asked or not self._some_tag_fits(asked):
                parts = self._known(self.query.parts)
                levels = self._known(self.query.levels)
        return Wanted(terms, tuple(parts), tuple(levels))

    def _some_tag_fits(self, asked: set[str]) -> bool:
        everything = [
            c
            for text in (*self.query.tags, *self.query.absent)
            for _, c in self.terms(text.partition(":")[0], quiet=True)
        ]
        return any(key(part) in asked for categories in everything for part in categories.split(","))

    def _known(self, names: tuple[str, ...]) -> list[int]:
        """The numbers of labels; one that no sheet has becomes a number that matches nothing."""
        return [number if (number := self._label(name)) is not None else -1 for name in names]

    def _label(self, name: str) -> int | None:
        asked = key(name)
        return next((number for label, number in self.labels.items() if key(label) == asked), None)

    def terms(self, name: str, quiet: bool = False) -> list[tuple[int, str]]:
        """(number, categories) of the terms that `name` stands for; a remark when there are none."""
        sql = "SELECT id, categories FROM term WHERE key = ?"
        found = self.archive.rows(sql, (key(name),))
        for canonical in () if found else _canonical(name):
            found += self.archive.rows(sql, (key(canonical),))
        if not found and not quiet:
            self.remarks.append(f"no sheet here has a tag {name.strip()!r}")
        return found

    def _plain(self) -> tuple[list[str], list[Any]]:
        """Conditions on the sheet's own row."""
        query, where, values = self.query, [], []
        for column, asked in (("maker", query.maker), ("entry", query.entry), ("judge", query.judge)):
            if asked is not None:
                where.append(f"{column}_key <> '' AND instr(' ' || {column}_key || ' ', ?)")
                values.append(f" {key(asked)} ")
        for column, sign, bound in (
            ("total", ">=", query.low), ("total", "<=", query.high), ("tasted", ">=", query.since),
            ("tasted", "<=", query.until),
            ("status", "=", query.status),
        ):  # fmt: skip
            if bound is not None:
                where.append(f"{column} {sign} ?")
                values.append(bound.encode("utf-8", "replace").decode() if isinstance(bound, str) else bound)
        if query.style is not None:
            codes = self.styles(query.style)
            where.append(f"style IN ({','.join('?' * len(codes))})")
            values += codes
        return where, values

    def styles(self, asked: str) -> list[str]:
        """The codes of a style (21C, hazy IPA), of a numbered group (21), or of a family (IPA, wheat beer)."""
        rows = self.archive.rows("SELECT code, name, family, tags FROM style")
        wanted = key(asked)
        for belongs in (
            lambda code, *_: key(code) == wanted,
            lambda code, *_: wanted.isdigit() and re.match(r"\d*", code)[0] == wanted,
            lambda code, name, *_: key(name) == wanted,
            lambda code, name, family, tags: wanted in _families(family, tags),
        ):
            if codes := [row[0] for row in rows if belongs(*row)]:
                return codes
        from notes2sheet.errors import Notes2SheetError
        from notes2sheet.style_data import resolve_style

        try:
            return [resolve_style(asked)]
        except Notes2SheetError as error:
            self.remarks.append(f"{error.what} ({error.hint})")
            return []


def _families(group: str, tags: str) -> set[str]:
    names = {key(group), *(key(tag) for tag in tags.split(","))}
    return names | {name.removesuffix(" family") for name in names}


@cache
def _levels() -> set[str]:
    from notes2sheet.lexicon import LEVELS

    return {key(level) for level in LEVELS}


def _canonical(name: str) -> list[str]:
    """The lexicon's terms for what people say: a phrase, a plural, another spelling."""
    from notes2sheet.lexicon import load_lexicon
    from notes2sheet.words import phrase_words

    index = load_lexicon().phrases
    words = list(phrase_words(name))
    return list(
        dict.fromkeys(hit.term.name for start, end, hit in index.find(words) if (start, end) == (0, len(words)))
    )


def find(archive: Archive, query: Query, order: str = "date", limit: int | None = 20) -> Found:
    """The sheets that answer `query`. Any text is a valid question; one that means nothing finds nothing, with a
    remark."""
    return Search(archive, query).run(order, limit)
