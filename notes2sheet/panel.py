"""The sheets of a panel put side by side: spreads, totals too far apart, what is agreed and what is disputed.

The mean is where a panel starts to talk. It is never the consensus: that is the judges' own.
"""

from __future__ import annotations

import shutil
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pydantic import ValidationError

from notes2sheet.disputes import Shared, compare
from notes2sheet.errors import NotesError
from notes2sheet.model import House, Sheet, why_refused

if TYPE_CHECKING:
    from notes2sheet.outputs.text import Page

APART = 7  # points by which totals may differ; BJCP judge procedures manual: panel scores end within 7 points
START = "A starting point for the talk, not the consensus."


@dataclass(frozen=True)
class Row:
    """One part of the sheet, or the total: each judge's figure (None where open), their spread and mean."""

    part: str
    cap: int
    scores: tuple[float | None, ...]
    spread: float | None
    mean: float | None


@dataclass(frozen=True)
class Panel:
    """`agreed` by every judge; `graded` by every judge, at levels a step or two apart; `disputed` where one denies what
    another finds, one calls a fault what another does not, or levels or steps of a scale are far apart; `lone` by some
    and denied by none."""

    judges: tuple[str, ...]
    rows: tuple[Row, ...]
    total: Row
    apart: tuple[tuple[str, str, float], ...]
    agreed: tuple[Shared, ...]
    graded: tuple[Shared, ...]
    disputed: tuple[Shared, ...]
    lone: tuple[Shared, ...]
    warnings: tuple[str, ...]

    @property
    def groups(self) -> tuple[tuple[str, tuple[Shared, ...]], ...]:
        """(title, what was found) in the order in which a panel talks."""
        found = (self.agreed, self.graded, self.disputed, self.lone)
        return tuple(zip(("Agreed", "Agreed, but not on the level", "Disputed", "Not by all"), found, strict=True))

    def as_dict(self) -> dict:
        """Plain data for JSON."""
        return {**asdict(self), "mean_is": START}


def read_sheet(path: str) -> Sheet:
    """A draft saved as JSON. Raises NotesError."""
    try:
        return Sheet.model_validate_json(Path(path).read_bytes())
    except ValidationError as error:
        what, hint = why_refused(error)
        raise NotesError(f"is no draft sheet: {what}", path, hint) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise NotesError(f"cannot be read: {reason}", path, "check the name") from None


def make_panel(sheets: dict[str, Sheet]) -> Panel:
    """The panel of {judge: sheet}. Raises NotesError for fewer than two sheets, or for different kinds of sheet."""
    judges = tuple(sheets)
    if len(judges) < 2:
        raise NotesError("a panel needs two sheets or more", "panel", "give the JSON sheets of all judges")
    if len({(s.sheet, tuple(s.categories)) for s in sheets.values()}) > 1:
        raise NotesError("the sheets are of different kinds", "panel", "draft all of them with the same --sheet")
    first = next(iter(sheets.values()))
    rows = tuple(
        _row(part, first.categories[part].cap, [s.categories[part].score for s in sheets.values()])
        for part in first.categories
    )
    totals = [s.total.said if s.total.sum is None else s.total.sum for s in sheets.values()]
    total = _row("total", sum(row.cap for row in rows), totals)
    known = [(judge, t) for judge, t in zip(judges, totals, strict=True) if t is not None]
    apart = tuple((a, b, abs(x - y)) for k, (a, x) in enumerate(known) for b, y in known[k + 1 :] if abs(x - y) > APART)
    return Panel(judges, rows, total, apart, *compare(sheets), _warnings(sheets))


def _row(part: str, cap: int, scores: list[float | None]) -> Row:
    given = [s for s in scores if s is not None]
    spread = max(given) - min(given) if len(given) > 1 else None
    return Row(part, cap, tuple(scores), spread, round(sum(given) / len(given), 2) if given else None)


def _warnings(sheets: dict[str, Sheet]) -> tuple[str, ...]:
    """What suggests that the sheets are not of one beer."""
    out = []
    styles = {s.style.code: s.style.name for s in sheets.values() if s.style.code}
    if len(styles) > 1:
        out.append("Judged to different styles: " + ", ".join(f"{code} {name}" for code, name in styles.items()) + ".")
    names = {s.entry.name.casefold(): s.entry.name for s in sheets.values() if s.entry.name}
    if len(names) > 1:
        out.append("Different entries are named: " + ", ".join(names.values()) + ".")
    houses = [(s.house or House()).model_copy(update={"author": None}) for s in sheets.values()]
    if any(house != houses[0] for house in houses):
        out.append("Drafted under different house rules.")
    return tuple(out)


def judge_names(paths: list[str]) -> list[str]:
    """A short name for each sheet: what sets its file name apart."""
    stems = [Path(path).name.removesuffix(".json") for path in paths]
    tails = [stem.rsplit(".", 1)[-1] for stem in stems]
    for names in (tails, stems, list(paths)):
        if len(set(names)) == len(names):
            return names
    return [f"{k} {path}" for k, path in enumerate(paths, 1)]


def figure(value: float | None) -> str:
    return "–" if value is None else f"{value:g}"


def render_text(panel: Panel, width: int | None = None) -> str:
    """The panel for a terminal, plain, at most `width` columns (the terminal's)."""
    from notes2sheet.outputs.text import Page, columns

    page = Page(False, columns(width))
    table = _table(panel)
    if max(map(len, table)) <= (width or shutil.get_terminal_size((88, 24)).columns):
        page.lines += table
    else:
        _rows(panel, page)
    page.lines.append("")
    page.wrap(f"Mean {figure(panel.total.mean)} of {panel.total.cap}: {START[0].lower()}{START[1:]}", 0)
    for a, b, by in panel.apart:
        page.wrap(f"Totals of {a} and {b} differ by {figure(by)} points; the limit is {APART}.", 3, first="!! ")
    for warning in panel.warnings:
        page.wrap(warning, 3, first=" ! ")
    for title, found in panel.groups:
        page.lines.append("")
        page.wrap(title, 0)
        for said in [_said(shared) for shared in found] or ["nothing"]:
            page.wrap(said, 4, first="  ")
    return "\n".join(page.lines) + "\n"


def _table(panel: Panel) -> list[str]:
    from notes2sheet.outputs.text import clean

    names = [clean(j)[:14] for j in panel.judges]
    widths = [max(6, len(n)) for n in names]
    heads = "  ".join(f"{n:>{w}}" for n, w in zip(names, widths, strict=True))
    lines = [f"{'':<12}{'Cap':>4}  {heads}  Spread    Mean"]
    for row in (*panel.rows, panel.total):
        scores = "  ".join(f"{figure(s):>{w}}" for s, w in zip(row.scores, widths, strict=True))
        lines.append(
            f"{row.part.capitalize():<12}{row.cap:>4}  {scores}  {figure(row.spread):>6}  {figure(row.mean):>6}"
        )
    return lines


def _rows(panel: Panel, page: Page) -> None:
    """What the table tells, for a screen that is narrower."""
    for row in (*panel.rows, panel.total):
        scores = ", ".join(f"{judge} {figure(s)}" for judge, s in zip(panel.judges, row.scores, strict=True))
        told = f"{scores}; spread {figure(row.spread)}, mean {figure(row.mean)}"
        page.wrap(f"{row.part.capitalize()}, of {row.cap}: {told}", 2, first="")


def _said(shared: Shared) -> str:
    from notes2sheet.outputs.text import clean

    who = [f"{clean(judge)}{f' ({level})' if level else ''}" for judge, level in shared.present.items()]
    denied = f"; not found by {', '.join(clean(j) for j in shared.absent)}" if shared.absent else ""
    fault = f"; a fault to {', '.join(clean(j) for j in shared.faults)}" if shared.faults else ""
    levels = f", {' to '.join(shared.levels)}" if len(shared.levels) > 1 else ""
    return f"{shared.category}: {shared.term}{levels} – {', '.join(who) or 'absent'}{fault}{denied}"


def render_md(panel: Panel) -> str:
    """The panel as Markdown."""
    from notes2sheet.outputs.md import escape

    lines = ["# Panel", "", "| Part | Cap | " + " | ".join(escape(j) for j in panel.judges) + " | Spread | Mean |"]
    lines.append("| --- |" + " ---: |" * (len(panel.judges) + 3))
    for row in (*panel.rows, panel.total):
        cells = [row.part.capitalize(), str(row.cap), *map(figure, row.scores), figure(row.spread), figure(row.mean)]
        lines.append("| " + " | ".join(cells) + " |")
    lines += ["", f"Mean {figure(panel.total.mean)} of {panel.total.cap}. {START}", ""]
    lines += [
        f"- **Totals of {escape(a)} and {escape(b)} differ by {figure(by)} points**; the limit is {APART}."
        for a, b, by in panel.apart
    ]
    lines += [f"- {escape(warning)}" for warning in panel.warnings]
    for title, found in panel.groups:
        lines += ["", f"## {title}", ""] + ([f"- {escape(_said(shared))}" for shared in found] or ["Nothing."])
    return "\n".join(lines) + "\n"


def render_json(panel: Panel) -> str:
    """The panel as JSON."""
    import json

    return json.dumps(panel.as_dict(), ensure_ascii=False, indent=1) + "\n"
