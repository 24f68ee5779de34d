"""The sheet for a terminal: header, parts, total, flags with their quoted words. Plain unless `color`."""

from __future__ import annotations

import shutil
import textwrap
import unicodedata
from bisect import bisect_right
from collections.abc import Callable
from typing import Any

from notes2sheet.house import silenced_lines
from notes2sheet.model import CategoryOut, Flag, Sheet, Span
from notes2sheet.outputs.cautions import CAUTIONS

MARK = {"blocker": "!!", "warning": " !", "note": "  "}
COLOR = {"blocker": "31", "warning": "33", "note": "36", "head": "1", "quiet": "2"}
NARROWEST, WIDEST = 20, 100  # columns
LOW_ALCOHOL = 2.5  # % ABV; the widest published limit for 'low alcohol' (27 CFR 7.65)


def clean(text: str) -> str:
    """The text without control characters, so that notes cannot steer a terminal."""
    return "".join(c if c in "\n" or unicodedata.category(c) not in ("Cc", "Cf") else " " for c in text)


def figure(value: float | None) -> str:
    return "–" if value is None else f"{value:g}"


def taken(points: float) -> str:
    """Points that were taken off, with their sign; those given back are less than nothing."""
    return f"+{figure(-points)}" if points < 0 else f"−{figure(points)}"


def bands(sheet: Sheet) -> str:
    """The published band of the total, and that of the house rules beside it."""
    own = clean(sheet.total.house_band or "")
    return " · ".join(filter(None, (sheet.total.band, own and f"{own} (house)")))


def excerpt(sheet: Sheet, span: Span) -> str:
    """The words of a span, cut to a line or two."""
    said = sheet.quote(span)
    return said if len(said) <= 140 else said[:137] + "…"


def rest_told(sheet: Sheet, part: CategoryOut, show: Callable[[Sheet, Span], str] = excerpt) -> str:
    """The reasons for points off that no deduction accounts for, their sentences quoted by `show` unless the comment
    holds them already."""
    if _told_above(sheet, part):
        return f"{rest_label(part)} told above"
    quotes = " · ".join(f"“{show(sheet, span)}”" for span in part.reasons)
    return f"{rest_label(part)} {quotes}".rstrip()


def rest_label(part: CategoryOut) -> str:
    """What stands before the reasons for points off that no deduction accounts for."""
    return "no figure for each:" if part.reasons else "no reason named"


def _told_above(sheet: Sheet, part: CategoryOut) -> bool:
    """Whether all reasons stand in the comment already, as they do in a part without prompts."""
    comment = _plain(part.comment)
    quotes = [_plain(sheet.quote(span)) for span in part.reasons]
    return bool(quotes and comment) and all(quote in comment or comment in quote for quote in quotes)


def _plain(text: str) -> str:
    return " ".join("".join(c if c.isalnum() else " " for c in text.lower()).split())


def columns(width: int | None = None) -> int:
    """The columns of a line: `width`, or the terminal's, within what can be read."""
    return max(NARROWEST, min(width or shutil.get_terminal_size((88, 24)).columns, WIDEST))


class Page:
    """Lines as they are filled, none of what is wrapped wider than `width`."""

    def __init__(self, color: bool, width: int) -> None:
        self.color, self.width = color, width
        self.lines: list[str] = []

    def paint(self, text: str, name: str) -> str:
        return f"\x1b[{COLOR[name]}m{text}\x1b[0m" if self.color else text

    def wrap(self, text: str, indent: int, first: str | None = None, name: str | None = None) -> None:
        lead = " " * indent if first is None else first
        for line in textwrap.wrap(
            clean(text), self.width, initial_indent=lead, subsequent_indent=" " * indent, break_on_hyphens=False
        ):  # a flag's code stays in one piece
            self.lines.append(self.paint(line, name) if name else line)

    def head(self, text: str) -> None:
        """A line that stands out; wrapped only where it is too long, since its blanks line up figures."""
        if len(text) > self.width:
            self.wrap(text, 2, first="", name="head")
        else:
            self.lines.append(self.paint(clean(text), "head"))


def render(sheet: Sheet, color: bool = False, width: int | None = None, **_: Any) -> str:
    """The whole sheet as text, at most `width` columns (the terminal's, from 20 to 100)."""
    page = Page(color, columns(width))
    _header(page, sheet)
    for name, part in sheet.categories.items():
        _part(page, sheet, name, part)
    for line in sheet.suggestions:
        page.wrap(line, 4, first="  · ", name="quiet")
    total = sheet.total
    figures = [] if total.sum is None else [f"{figure(total.sum)} by addition"]
    if total.said is not None:
        figures.append(f"{figure(total.said)} as said")
    page.lines.append("")
    line = " · ".join(filter(None, (", ".join(figures) or "open", bands(sheet))))
    page.head(f"Total       {line}")
    page.lines.append("")
    page.lines += flag_lines(sheet, page)
    page.lines.append("")
    page.wrap(" ".join(CAUTIONS), 0, name="quiet")
    return "\n".join(page.lines) + "\n"


def _header(page: Page, sheet: Sheet) -> None:
    entry, style = sheet.entry, sheet.style
    page.head(f"{entry.name or 'Unnamed entry'}{f' · {entry.maker}' if entry.maker else ''}")
    judged = f"{style.code} {style.name} ({style.known})" if style.code else "style not said"
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


def _part(page: Page, sheet: Sheet, name: str, part: CategoryOut) -> None:
    basis = {
        "said": "",
        "none": "",
        "taken-off": "  by deduction",
        "revised": "  after a correction",
        "unsure": "  left open",
    }
    page.lines.append("")
    page.head(f"{name.capitalize():<12}{figure(part.score):>4} / {part.cap:<3}{basis[part.basis]}")
    if part.comment:
        page.wrap(part.comment, 2)
    for lost in part.lost:
        page.wrap(f"“{lost.reason}”", 8, first=f"  {taken(lost.points):<6}", name="quiet")
    if part.rest:
        page.wrap(rest_told(sheet, part), 8, first=f"  −{figure(part.rest):<5}", name="quiet")
    if part.missing:
        page.wrap(f"Not covered: {', '.join(part.missing)}", 2, name="quiet")


def clock(seconds: float) -> str:
    """m:ss, or h:mm:ss from an hour on."""
    whole = int(seconds)
    hours, minutes = whole // 3600, whole // 60 % 60
    return f"{hours}:{minutes:02d}:{whole % 60:02d}" if hours else f"{minutes}:{whole % 60:02d}"


def where(sheet: Sheet, span: tuple[int, int]) -> str:
    """The time of the words, or their line where the notes have no times; both where the file's lines are other ones
    than those of the text, as with captions."""
    at = bisect_right(sheet.sentences, span[0], key=lambda s: s.span[0]) - 1
    time = sheet.sentences[at].time if at >= 0 else None
    line = f"line {sheet.source_line(span[0])}"
    if time is None:
        return line
    return f"{clock(time)}, {line}" if sheet.source_lines else clock(time)


def flag_lines(sheet: Sheet, page: Page | None = None) -> list[str]:
    """The flags, worst first, each with the words it comes from and their time or line."""
    page = page or Page(False, columns())
    before = len(page.lines)
    if not sheet.flags:
        page.wrap("Nothing to send back.", 0)
    for flag in sheet.flags:
        page.wrap(f"{flag.message} [{tag(flag)}]", 3, first=f"{MARK[flag.severity]} ", name=flag.severity)
        for span in flag.spans[:3]:
            page.wrap(f"{where(sheet, span)}: “{excerpt(sheet, span)}”", 5)
    for line in silenced_lines(sheet):
        page.wrap(line, 3, name="quiet")
    lines = page.lines[before:]
    del page.lines[before:]
    return lines


def tag(flag: Flag) -> str:
    return flag.code + (f":{flag.category}" if flag.category else "")
