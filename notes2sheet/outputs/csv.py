"""The sheet as one row for a spreadsheet, under a row of column names."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from typing import Any

from notes2sheet.model import Sheet
from notes2sheet.outputs.cautions import CAUTIONS
from notes2sheet.outputs.text import clean, rest_label, tag

FORMULA = (*"=+-@", *"＝＋－＠")  # the full-width signs begin one in East Asian spreadsheets


def safe(value: object) -> object:
    """A cell that no spreadsheet takes for a formula."""
    if not isinstance(value, str):
        return "" if value is None else value
    text = " ".join(clean(value).split())
    return f"'{text}" if text[:1] in FORMULA else text


def _row(sheet: Sheet, judge: str | None) -> dict[str, object]:
    entry, style, total = sheet.entry, sheet.style, sheet.total
    row: dict[str, object] = {
        "entry": entry.name, "maker": entry.maker, "abv": entry.abv, "style_code": style.code, "style": style.name,
        "style_basis": style.basis, "sheet": sheet.sheet, "judge": judge or (sheet.house and sheet.house.author),
    }  # fmt: skip
    for name, part in sheet.categories.items():
        row |= {name: part.score, f"{name}_cap": part.cap, f"{name}_comment": part.comment}
        lost = [f"{lost.points:g}: {lost.reason}" for lost in part.lost]
        lost += [" ".join([f"{part.rest:g}: {rest_label(part)}", *map(sheet.quote, part.reasons)])] if part.rest else []
        row[f"{name}_lost"] = "; ".join(lost)
        row[f"{name}_missing"] = ", ".join(part.missing)
    row |= {"total": total.sum, "total_said": total.said, "band": total.band, "house_band": total.house_band}
    for severity in ("blocker", "warning", "note"):
        row[f"{severity}s"] = "; ".join(tag(flag) for flag in sheet.flags if flag.severity == severity)
    for state in ("present", "absent"):
        row[state] = ", ".join(
            dict.fromkeys(d.term or sheet.quote(d.span) for d in sheet.descriptors if d.state == state)
        )
    row["caution"] = " ".join(CAUTIONS)
    return row


def render(sheet: Sheet, header: bool = True, judge: str | None = None, **_: Any) -> str:
    """Column names (unless `header` is off) and the sheet's row; empty cells where the notes say nothing."""
    row = _row(sheet, judge)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    if header:
        writer.writerow(row)
    writer.writerow([safe(value) for value in row.values()])
    return out.getvalue()


def render_all(sheets: Iterable[Sheet]) -> str:
    """One table of several sheets: column names once; a part that a kind of sheet does not have is empty there."""
    rows = [_row(sheet, None) for sheet in sheets]
    out = io.StringIO()
    writer = csv.DictWriter(out, dict.fromkeys(name for row in rows for name in row), lineterminator="\n")
    if rows:
        writer.writeheader()
    writer.writerows({name: safe(value) for name, value in row.items()} for row in rows)
    return out.getvalue()
