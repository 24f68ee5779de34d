"""Tags counted: where they stand, in which styles, what goes along with them; and the sheets nearest to one by them."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import Any

from notes2sheet.archive.postings import has, members, to_bytes
from notes2sheet.archive.query import Query, Search
from notes2sheet.archive.store import Archive

CANDIDATES = 300  # sheets that share most with the one given; the nearest are chosen among them
FEW = 8  # no claim from fewer sheets


@dataclass(frozen=True)
class TagCount:
    """In how many sheets a term is present, and in how many it is said to be absent, in one part."""

    term: str
    category: str
    present: int
    absent: int


@dataclass(frozen=True)
class Companion:
    """A term that stands with another: in how many sheets both, and how many times as often as chance would have it."""

    term: str
    both: int
    lift: float


@dataclass(frozen=True)
class Near:
    """A sheet near another: `nearness` from 0 to 1 and the terms that both have, the rarest first."""

    sheet: int
    nearness: float
    shared: tuple[str, ...]


def tag_counts(archive: Archive, style: str | None = None, part: str | None = None) -> tuple[list[TagCount], list[str]]:
    """Every term by part, the most frequent first, and remarks on the question."""
    where, values, remarks = ["1"], [], []
    if style is not None:
        search = Search(archive, Query(style=style))
        codes = search.styles(style)
        remarks = search.remarks
        where.append(f"t.sheet IN (SELECT id FROM sheet WHERE style IN ({','.join('?' * len(codes))}))")
        values += codes
    if part is not None:
        where.append("c.name = ?")
        values.append(part)
    rows = archive.rows(
        "SELECT w.name, c.name, s.name, count(DISTINCT t.sheet) FROM tag t JOIN term w ON w.id = t.term "
        "JOIN label c ON c.id = t.category JOIN label s ON s.id = t.state "
        f"WHERE {' AND '.join(where)} GROUP BY t.term, t.state, t.category",
        values,
    )
    counts: dict[tuple[str, str], dict[str, int]] = {}
    for term, category, state, count in rows:
        counts.setdefault((term, category), {})[state] = count
    out = [TagCount(*place, found.get("present", 0), found.get("absent", 0)) for place, found in counts.items()]
    out = [c for c in out if c.present or c.absent]
    return sorted(out, key=lambda c: (-c.present, -c.absent, c.term, c.category)), remarks


def style_counts(archive: Archive, sheets: int) -> list[tuple[str, str, int, int]]:
    """(code, name, how many of `sheets` (bits) are of the style, how many the style has), the most frequent first."""
    mine: Counter[str] = Counter()
    everything: Counter[str] = Counter()
    inside = to_bytes(sheets)
    for sheet, style in archive.stream("SELECT id, style FROM sheet WHERE style IS NOT NULL"):
        everything[style] += 1
        mine[style] += has(inside, sheet)
    names = dict(archive.rows("SELECT code, name FROM style"))
    return [(code, names[code], count, everything[code]) for code, count in mine.most_common() if count]


def companions(archive: Archive, tag: str, limit: int | None = 20) -> tuple[int, list[Companion], list[str]]:
    """The sheets with a tag (bits), what stands with it in at least eight of them, by lift, and remarks.

    Terms broader or narrower than the tag are left out: they stand with it by definition.
    """
    search = Search(archive, Query())
    sheets = search.tagged(tag, "present", False)
    own = ",".join(str(number) for number, _ in search.terms(tag, quiet=True))
    everyone, count = archive.rows("SELECT count(*) FROM sheet")[0][0], sheets.bit_count()
    others = archive.rows(
        f"SELECT id, name FROM term WHERE id NOT IN (SELECT broader FROM broader WHERE term IN ({own})) "
        f"AND id NOT IN (SELECT term FROM broader WHERE broader IN ({own}))"
    )
    out = []
    for number, name in others if sheets else ():
        having = search.having((number,), "present")
        both = (having & sheets).bit_count()
        if both >= FEW:
            out.append(Companion(name, both, both * everyone / having.bit_count() / count))
    # A lift from few sheets is less sure, so it weighs less.
    out.sort(key=lambda c: (-c.lift * min(1, c.both / 30), -c.both, c.term))
    return sheets, out[:limit], search.remarks


def nearest(archive: Archive, sheet: dict[str, Any], but: int | None = None, limit: int = 10) -> list[Near]:
    """The sheets that share most with `sheet`: its present terms and their broader ones, the rarer the heavier.

    Nearness is the weight of what both have over the weight of what either has; a term that only the other sheet has
    weighs as much as the given sheet's terms do on average.
    """
    above = _closures(archive)
    mine = _features(sheet, above)
    everyone = archive.rows("SELECT count(*) FROM sheet")[0][0]
    search = Search(archive, Query())
    weights, shared = {}, Counter()
    for term in sorted(mine):
        having = search.tagged(term, "present", False)
        weights[term] = math.log((everyone + 1) / (having.bit_count() + 0.5))
        for number in members(having):
            shared[number] += weights[term]
    if not weights:
        return []
    shared.pop(but, None)
    best = sorted(shared, key=lambda number: (-shared[number], -number))[:CANDIDATES]
    average = sum(weights.values()) / len(weights)
    out = []
    for number, data in archive.read_many(best, spans=False).items():
        theirs = _features(data["sheet"], above)
        both = mine & theirs
        common = sum(weights[term] for term in both)
        whole = sum(weights.values()) + average * len(theirs - mine)
        out.append(Near(number, common / whole if whole else 0.0, _explained(both, weights, above)))
    return sorted(out, key=lambda near: (-near.nearness, -near.sheet))[:limit]


def _explained(both: set[str], weights: dict[str, float], above: dict[str, set[str]]) -> tuple[str, ...]:
    """The shared terms, the rarest first, without those that a shared narrower one implies."""
    implied = set().union(*(above.get(term, ()) for term in both))
    return tuple(sorted(both - implied, key=lambda term: (-weights[term], term)))


def _closures(archive: Archive) -> dict[str, set[str]]:
    above: dict[str, set[str]] = {}
    for term, broader in archive.rows("SELECT term, broader FROM broader_terms"):
        above.setdefault(term, set()).add(broader)
    return above


def _features(sheet: dict[str, Any], above: dict[str, set[str]]) -> set[str]:
    own = {d["term"] or d.get("flaw") for d in sheet["descriptors"] if d["state"] == "present"} - {None}
    return own.union(*(above.get(term, ()) for term in own))
