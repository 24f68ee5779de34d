"""Found sheets as text, JSON and CSV."""

from __future__ import annotations

import csv
import io
import json
from typing import Any

from notes2sheet.archive.query import Found
from notes2sheet.archive.snippets import contexts
from notes2sheet.archive.store import Archive
from notes2sheet.lexicon import load_sheet
from notes2sheet.outputs.csv import safe
from notes2sheet.outputs.text import clean, figure

COLUMNS = ("id", "status", "entry", "maker", "style", "style_name", "judge", "tasted", "total", "band")


def rows_of(archive: Archive, found: Found, words: str) -> list[dict[str, Any]]:
    """One dict a found sheet, in order: the columns, `scores` by part, and `hits` where words were searched."""
    if not found.sheets:
        return []
    marks = ",".join(map(str, found.sheets))
    facts = {
        row[0]: dict(zip(COLUMNS, row, strict=True))
        for row in archive.rows(f"SELECT {', '.join(COLUMNS)} FROM sheets WHERE id IN ({marks})")
    }
    for row in facts.values():
        row["scores"] = {}
    for sheet, category, score in archive.rows(f"SELECT sheet, category, score FROM parts WHERE sheet IN ({marks})"):
        facts[sheet]["scores"][category] = score
    if words:
        for at in range(0, len(found.sheets), 500):
            for sheet, data in archive.read_many(found.sheets[at : at + 500], spans=False).items():
                facts[sheet]["hits"] = contexts(data["sheet"], words)
    return [facts[sheet] for sheet in found.sheets]


def as_json(rows: list[dict[str, Any]], found: Found) -> str:
    return json.dumps({"count": found.count, "sheets": rows}, ensure_ascii=False, indent=1) + "\n"


def as_csv(rows: list[dict[str, Any]]) -> str:
    """A header and a line a sheet; scores by part. A cell that a spreadsheet would take for a formula gets a '."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    parts = [c.id for c in load_sheet().categories]
    names = list(dict.fromkeys([*parts, *(name for row in rows for name in row["scores"])]))
    writer.writerow([*COLUMNS, *map(safe, names)])
    for row in rows:
        writer.writerow([safe(row[c]) for c in COLUMNS] + [row["scores"].get(name) for name in names])
    return out.getvalue()


def as_text(rows: list[dict[str, Any]], found: Found, color: bool = False) -> str:
    """Two lines a sheet, its hits below; plain unless `color`."""
    out = [_counted(found)]
    for row in rows:
        name = " · ".join(clean(part) for part in (row["entry"] or "Unnamed entry", row["maker"]) if part)
        facts = [
            f"{row['style']} {row['style_name']}" if row["style"] else "style not said",
            row["judge"] or "judge not said",
            row["tasted"] or "no date",
        ]
        out += ["", f"#{row['id']:<6} {_paint(name, '1', color)}"]
        total = clean(f"{figure(row['total'])} {row['band'] or ''}".strip()) if row["total"] is not None else "no total"
        out.append(
            f"        {total} · {' · '.join(clean(f) for f in facts)}{' · draft' if row['status'] == 'draft' else ''}"
        )
        for hit in row.get("hits", ()):
            marked = _paint(hit["hit"], "1;33", True) if color else f"[{hit['hit']}]"
            out.append(
                f"        {clean(hit['where'])}: {clean(hit['before'])}"
                f"{marked if color else clean(marked)}{clean(hit['after'])}"
            )
    return "\n".join(out) + "\n"


def _paint(text: str, code: str, color: bool) -> str:
    return f"\x1b[{code}m{clean(text)}\x1b[0m" if color else clean(text)


def _counted(found: Found) -> str:
    shown = "" if found.count == len(found.sheets) else f", the first {len(found.sheets)} shown"
    return f"{found.count:,} {'sheet' if found.count == 1 else 'sheets'}{shown}"
