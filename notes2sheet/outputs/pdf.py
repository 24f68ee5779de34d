"""The sheet as a printed form of one or two A4 pages, with fpdf2 and two open fonts from its extra."""

from __future__ import annotations

from datetime import datetime, timezone
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from notes2sheet.errors import Notes2SheetError
from notes2sheet.model import CategoryOut, Sheet
from notes2sheet.outputs import CREATOR
from notes2sheet.outputs.cautions import CAUTIONS
from notes2sheet.outputs.html import BASIS, shown, visible
from notes2sheet.outputs.text import bands, figure, rest_told, taken, where

if TYPE_CHECKING:
    from fpdf.fonts import TTFFont

INK, SOFT, LINE = (25, 23, 20), (95, 89, 80), (205, 200, 190)
MARGIN, WIDTH = 20.0, 170.0  # millimeters, of A4


def faces() -> dict[str, dict[str, str]]:
    """Font files by family and style; Notes2SheetError when the extra is not installed."""
    try:
        import fpdf  # noqa: F401
        from font_source_sans_pro import SourceSansPro, SourceSansProSemibold
        from font_source_serif_pro import SourceSerifPro, SourceSerifProIt, SourceSerifProSemibold
    except ImportError as error:
        raise Notes2SheetError(
            f"PDF needs the package {error.name}", "--format pdf", "pip install 'notes2sheet[pdf]'"
        ) from None
    return {
        "sans": {"": SourceSansPro, "B": SourceSansProSemibold},
        "serif": {"": SourceSerifPro, "I": SourceSerifProIt, "B": SourceSerifProSemibold},
    }


class _Form:
    """The pages as they are filled, top to bottom."""

    def __init__(self, title: str) -> None:
        styles_of = faces()
        from fpdf import FPDF

        self.pdf = FPDF(format="A4")
        self.pdf.set_margins(MARGIN, 18, MARGIN)
        self.pdf.set_auto_page_break(True, 18)
        self.pdf.c_margin = 0
        self.pdf.set_title(title)
        self.pdf.set_lang("en")
        self.pdf.set_creator(CREATOR)
        self.pdf.set_creation_date(datetime.fromtimestamp(0, timezone.utc))  # so that its bytes stay the same
        for family, styles in styles_of.items():
            for style, path in styles.items():
                self.pdf.add_font(family, style, Path(path).with_suffix(".ttf"))
        self.pdf.add_page()

    def say(
        self,
        text: str,
        family: str,
        style: str,
        size: float,
        color: Any = INK,
        indent: float = 0,
        after: float = 0,
    ) -> None:
        """A paragraph over the whole width, less `indent` millimeters."""
        pdf = self.pdf
        self._set(family, style, size, color)
        pdf.set_x(MARGIN + indent)
        pdf.multi_cell(WIDTH - indent, size * 0.47, self._printable(text), align="L", new_x="LMARGIN", new_y="NEXT")
        pdf.set_y(pdf.get_y() + after)

    def pair(self, left: str, right: str, size: float) -> None:
        """A heading at the left and its figure at the right of the same line."""
        self._set("sans", "B", size, INK)
        self.pdf.cell(WIDTH / 2, size * 0.5, self._printable(left))
        self._set("serif", "B", size + 1, INK)
        self.pdf.cell(WIDTH / 2, size * 0.5, self._printable(right), align="R", new_x="LMARGIN", new_y="NEXT")

    def rule(self, share: float | None = None) -> None:
        """A thin line, its first `share` drawn thick."""
        pdf = self.pdf
        y = pdf.get_y() + 1.2
        pdf.set_draw_color(*LINE)
        pdf.set_line_width(0.25)
        pdf.line(MARGIN, y, MARGIN + WIDTH, y)
        if share:
            pdf.set_draw_color(*INK)
            pdf.set_line_width(0.9)
            pdf.line(MARGIN, y, MARGIN + WIDTH * share, y)
        pdf.set_y(y + 2)

    def keep(self, height: float) -> None:
        """Go on to a new page unless `height` millimeters are left on this one."""
        if self.pdf.will_page_break(height):
            self.pdf.add_page()

    def _set(self, family: str, style: str, size: float, color: tuple[int, int, int]) -> None:
        self.pdf.set_font(family, style, size)
        self.pdf.set_text_color(*color)

    def _printable(self, text: str) -> str:
        """The text with characters that the fonts don't have spelled out."""
        known = cast("TTFFont", self.pdf.current_font).cmap
        text = " ".join(visible(text).split())
        return "".join(c if ord(c) in known else f"[U+{ord(c):04X}]" for c in text)


def _head(form: _Form, sheet: Sheet, judge: str | None) -> None:
    entry, style, total = sheet.entry, sheet.style, sheet.total
    form.say(entry.name or "Unnamed entry", "serif", "B", 20, after=1)
    facts = [entry.maker] if entry.maker else []
    facts.append(f"judged as {style.code} {style.name} ({style.known})" if style.code else "style not said")
    if entry.abv is not None:
        facts.append(f"{entry.abv:g}% ABV as said")
    form.say(" · ".join(facts), "sans", "", 10.5, SOFT, after=3)
    cap = sum(part.cap for part in sheet.categories.values())
    form.say(f"{figure(total.sum)} of {cap}" + (f", {bands(sheet)}" if total.band else ""), "serif", "B", 17, after=0.5)
    said = "No total said." if total.said is None else f"Total as said: {figure(total.said)}."
    form.say(f"{said} " + (f"Signed by {judge}." if judge else "Draft, not signed."), "sans", "", 9.5, SOFT, after=2)


def _part(form: _Form, sheet: Sheet, name: str, part: CategoryOut) -> None:
    form.keep(24)
    form.pdf.set_y(form.pdf.get_y() + 2.5)
    form.pair(name.capitalize(), f"{figure(part.score)} / {part.cap}", 12)
    form.rule(min(max((part.score or 0) / part.cap, 0), 1) if part.cap else None)
    form.say(part.comment or "No comment.", "serif", "", 10.5, after=0.8)
    for lost in part.lost:
        form.say(f"{taken(lost.points)}: {lost.reason}", "serif", "I", 9.5, indent=4, after=0.3)
    if part.rest:
        form.say(f"−{figure(part.rest)}: {rest_told(sheet, part, shown)}", "serif", "I", 9.5, indent=4, after=0.3)
    told = [f"Score {BASIS[part.basis]}."]
    if part.missing:
        told.append(f"Not covered: {', '.join(part.missing)}.")
    form.say(" ".join(told), "sans", "", 9, SOFT)


def _flags(form: _Form, sheet: Sheet) -> None:
    form.keep(24)
    form.pdf.set_y(form.pdf.get_y() + 4)
    form.say("To look at" if sheet.flags else "Nothing to look at", "sans", "B", 12)
    form.rule()
    for flag in sheet.flags:
        quotes = ", ".join(f"“{shown(sheet, span)}” {where(sheet, span)}" for span in flag.spans[:3])
        told = f"{flag.severity.capitalize()}: {flag.message}" + (f" ({quotes})" if quotes else "")
        form.say(told, "sans", "", 9.5, SOFT if flag.severity == "note" else INK, after=0.8)


def render(sheet: Sheet, judge: str | None = None, **_: Any) -> bytes:
    """The PDF file; `judge` signs it. Raises Notes2SheetError when the extra 'pdf' is not installed."""
    form = _Form(visible(sheet.entry.name or "Unnamed entry"))
    _head(form, sheet, judge)
    for name, part in sheet.categories.items():
        _part(form, sheet, name, part)
    _flags(form, sheet)
    form.keep(18)
    form.pdf.set_y(form.pdf.get_y() + 3)
    form.rule()
    form.say(" ".join(CAUTIONS), "sans", "", 8.5, SOFT)
    return bytes(form.pdf.output())
