"""Tag counts, one tag's companions, and near sheets, as text, JSON and CSV."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import asdict, dataclass, field
from typing import Any

from notes2sheet.archive.listing import rows_of
from notes2sheet.archive.query import Found
from notes2sheet.archive.store import Archive
from notes2sheet.archive.tagging import FEW, companions, nearest, style_counts, tag_counts
from notes2sheet.outputs.csv import safe
from notes2sheet.outputs.text import clean, figure


@dataclass
class Table:
    """One heading with its columns and rows."""

    title: str
    columns: tuple[str, ...]
    rows: list[tuple]


@dataclass
class Shown:
    """Tables to show, and remarks on the question."""

    tables: list[Table]
    remarks: list[str] = field(default_factory=list)

    def render(self, format: str) -> str:
        """The tables as text, json or csv; csv holds them under one another, each with its header."""
        if format == "json":
            out = {t.title: [dict(zip(t.columns, row, strict=True)) for row in t.rows] for t in self.tables}
            return json.dumps(out, ensure_ascii=False, indent=1) + "\n"
        if format == "csv":
            return "\n".join(_csv(table) for table in self.tables)
        return "\n".join(_text(table) for table in self.tables)


def _csv(table: Table) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(table.columns)
    writer.writerows([safe(value) for value in row] for row in table.rows)
    return out.getvalue()


def _text(table: Table) -> str:
    cells = [[_cell(value) for value in row] for row in table.rows]
    widths = [max(len(row[at]) for row in [list(table.columns), *cells]) for at in range(len(table.columns))]
    left = [all(isinstance(row[at], str) for row in table.rows) for at in range(len(table.columns))]
    lines = [
        "  ".join(
            value.ljust(w) if to_left else value.rjust(w) for value, w, to_left in zip(row, widths, left, strict=True)
        ).rstrip()
        for row in ([list(table.columns), *cells] if cells else [["none"] + [""] * (len(widths) - 1)])
    ]
    return "\n".join([f"{clean(table.title)}:", *lines]) + "\n"


def _cell(value: Any) -> str:
    if isinstance(value, str):
        return clean(value)
    return "–" if value is None else f"{value:.2f}" if isinstance(value, float) else f"{value:,}"


def all_tags(archive: Archive, style: str | None, part: str | None, limit: int | None) -> Shown:
    """The most frequent tags by part."""
    counts, remarks = tag_counts(archive, style, part)
    rows = [tuple(asdict(count).values()) for count in counts[:limit]]
    return Shown([Table("tags, by number of sheets", ("term", "part", "present", "absence noted"), rows)], remarks)


def one_tag(archive: Archive, term: str, limit: int | None) -> Shown:
    """A tag's parts, styles and companions."""
    sheets, others, remarks = companions(archive, term, limit)
    styles = [(f"{code} {name}", n, of, n / of) for code, name, n, of in style_counts(archive, sheets)[:limit]]
    parts = [(name, count) for name, count in _parts(archive, term)]
    return Shown(
        [
            Table(f"{term}, by part", ("part", "sheets"), parts),
            Table(f"{term}, by style", ("style", "sheets", "of", "share"), styles),
            Table(
                f"what stands with {term} in at least {FEW} sheets, and how many times as often as by chance",
                ("term", "sheets", "times"), [(c.term, c.both, round(c.lift, 2)) for c in others],
            ),
        ],
        remarks,
    )  # fmt: skip


def _parts(archive: Archive, term: str) -> list[tuple[str, int]]:
    from notes2sheet.archive.query import Query, Search

    search = Search(archive, Query())
    names = [
        name for (name,) in archive.rows("SELECT DISTINCT name FROM label WHERE id IN (SELECT category FROM part)")
    ]
    counts = [(name, search.tagged(f"{term}:{name}", "present", False).bit_count()) for name in names]
    return sorted(((n, c) for n, c in counts if c), key=lambda row: (-row[1], row[0]))


def near_list(archive: Archive, sheet: dict[str, Any], but: int | None, limit: int | None) -> Shown:
    """The nearest sheets with the shared tags."""
    near = nearest(archive, sheet, but, limit)
    facts = {row["id"]: row for row in rows_of(archive, Found(len(near), [one.sheet for one in near]), "")}
    rows = []
    for one in near:
        fact = facts[one.sheet]
        name = " · ".join(part for part in (fact["entry"] or "Unnamed entry", fact["maker"]) if part)
        rows.append(
            (
                f"#{one.sheet}",
                round(one.nearness, 2),
                name,
                fact["style"] or "–",
                figure(fact["total"]),
                ", ".join(one.shared),
            )
        )
    remarks = [] if near else ["no other sheet shares a tag with this one"]
    return Shown([Table("nearest by tags", ("sheet", "nearness", "beer", "style", "total", "shared"), rows)], remarks)
