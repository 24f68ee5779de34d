"""The sheet for a terminal: header, parts, total, flags with their quoted words. Plain unless `color`."""

from __future__ import annotations

import shutil
import textwrap
import unicodedata
from typing import Any

from notes2sheet.model import CategoryOut, Flag, Sheet
from notes2sheet.outputs.cautions import CAUTIONS

MARK = {"blocker": "!!", "warning": " !", "note": "  "}
COLOR = {"blocker": "31", "warning": "33", "note": "36", "head": "1", "quiet": "2"}
LOW_ALCOHOL = 2.5  # % ABV; the widest published limit for 'low alcohol' (27 CFR 7.65)


def clean(text: str) -> str:
    """The text without control characters, so that notes cannot steer a terminal."""
    return "".join(c if c in "\n" or unicodedata.category(c) not in ("Cc", "Cf") else " " for c in text)


def figure(value: float | None) -> str:
    return "–" if value is None else f"{value:g}"


class _Page:
    def __init__(self, color: bool, width: int) -> None:
        self.color, self.width = color, width
        self.lines: list[str] = []

    def paint(self, text: str, name: str) -> str:
        return f"\x1b[{COLOR[name]}m{text}\x1b[0m" if self.color else text

    def wrap(self, text: str, indent: int, first: str | None = None, name: str | None = None) -> None:
        lead = " " * indent if first is None else first
        for line in textwrap.wrap(
            clean(text), self.width, initial_indent=lead, subsequent_indent=" " * indent, break_long_words=True
        ):
            self.lines.append(self.paint(line, name) if name else line)


def render(sheet: Sheet, color: bool = False, width: int | None = None, **_: Any) -> str:
    """The whole sheet as text, at most `width` columns (the terminal's, 100 at most)."""
    page = _Page(color, max(40, min(width or shutil.get_terminal_size((88, 24)).columns, 100)))
    _header(page, sheet)
    for name, part in sheet.categories.items():
        _part(page, name, part)
    for line in sheet.suggestions:
        page.wrap(line, 4, first="  · ", name="quiet")
    total = sheet.total
    figures = [] if total.sum is None else [f"{figure(total.sum)} by addition"]
    if total.said is not None:
        figures.append(f"{figure(total.said)} as said")
    page.lines.append("")
    page.lines.append(
        page.paint(f"Total       {', '.join(figures) or 'open'}" + (f" · {total.band}" if total.band else ""), "head")
    )
    page.lines.append("")
    page.lines += flag_lines(sheet, page)
    page.lines.append("")
    page.wrap(" ".join(CAUTIONS), 0, name="quiet")
    return "\n".join(page.lines) + "\n"


def _header(page: _Page, sheet: Sheet) -> None:
    entry, style = sheet.entry, sheet.style
    page.lines.append(
        page.paint(clean(f"{entry.name or 'Unnamed entry'}{f' · {entry.maker}' if entry.maker else ''}"), "head")
    )
    judged = f"{style.code} {style.name} ({style.basis})" if style.code else "style not said"
    page.wrap(
        f"Judged as {judged}{f' · {entry.abv:g}% ABV as said' if entry.abv is not None else ''}"
        if style.code
        else judged,
        0,
    )
    if entry.abv is not None and entry.abv < LOW_ALCOHOL:
        page.wrap(
            "A low-alcohol version judged to its full style: nothing is off for lacking warmth or strength.",
            0,
            name="quiet",
        )


def _part(page: _Page, name: str, part: CategoryOut) -> None:
    basis = {
        "said": "",
        "none": "",
        "taken-off": "  by deduction",
        "revised": "  after a correction",
        "unsure": "  left open",
    }
    page.lines.append("")
    page.lines.append(
        page.paint(f"{name.capitalize():<12}{figure(part.score):>4} / {part.cap:<3}{basis[part.basis]}", "head")
    )
    if part.comment:
        page.wrap(part.comment, 2)
    for lost in part.lost:
        page.wrap(f"“{lost.reason}”", 8, first=f"  −{figure(lost.points):<5}", name="quiet")
    if part.missing:
        page.wrap(f"Not covered: {', '.join(part.missing)}", 2, name="quiet")


def where(sheet: Sheet, span: tuple[int, int]) -> str:
    """The time of the words, or their line where the notes have no times."""
    time = next((s.time for s in sheet.sentences if s.span[0] <= span[0] < s.span[1]), None)
    if time is not None:
        return f"{int(time) // 60}:{int(time) % 60:02d}"
    return f"line {sheet.text.count(chr(10), 0, span[0]) + 1}"


def flag_lines(sheet: Sheet, page: _Page | None = None) -> list[str]:
    """The flags, worst first, each with the words it comes from and their time or line."""
    page = page or _Page(False, 100)
    before = len(page.lines)
    if not sheet.flags:
        page.lines.append("Nothing to send back.")
    for flag in sheet.flags:
        page.wrap(f"{flag.message} [{tag(flag)}]", 3, first=f"{MARK[flag.severity]} ", name=flag.severity)
        for span in flag.spans[:3]:
            quoted = sheet.quote(span)
            quoted = quoted if len(quoted) < 140 else quoted[:137] + "…"
            page.wrap(f"{where(sheet, span)}: “{quoted}”", 5)
    lines = page.lines[before:]
    del page.lines[before:]
    return lines


def tag(flag: Flag) -> str:
    return flag.code + (f":{flag.category}" if flag.category else "")
