"""From a file of notes to its sheets: one a judge, hearing in doubt flagged."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from notes2sheet.house import HouseFile, find_house, under_house
from notes2sheet.pipeline import draft_sheet
from notes2sheet.readers import Notes, flag_unsure, read_all
from notes2sheet.sound import MODEL_VARIABLE

if TYPE_CHECKING:
    from notes2sheet.model import Sheet

Drafted = list[tuple[str, "Sheet"]]


def draft_file(
    path: str, style: str | None = None, sheet: str | None = None, lexicon: Path | None = None, model: str | None = None,
    house: str | None = None,
) -> Drafted:
    """(judge, sheet) for each judge who speaks in the file; the judge is '' where only one does.

    `house` names the house file, or is 'none'; without it the nearest one counts. Raises Notes2SheetError children for
    what cannot be read, and for an unknown style or sheet.
    """  # fmt: skip
    from notes2sheet.review.corrections import carry_over

    rules = house_of(path, house)
    drafted = draft_notes(read_all(path, speech_model(model, rules)), style, sheet, lexicon, rules)
    if len(drafted) == 1 and path != "-":  # a judge's corrections stand beside the notes
        return [(judge, carry_over(made, Path(path))) for judge, made in drafted]
    return drafted


def house_of(path: str, named: str | None = None) -> HouseFile | None:
    """The house file for a file of notes; for standard input ('-') that of the current folder."""
    return find_house(Path() if path == "-" else Path(path).parent, named)


def speech_model(given: str | None, house: HouseFile | None) -> str | None:
    """The speech model's folder as given, else by the house rules unless NOTES2SHEET_MODEL names one."""
    return given or (house.model if house and not os.environ.get(MODEL_VARIABLE) else None)


def draft_notes(
    whole: Iterable[Notes], style: str | None, sheet: str | None, lexicon: Path | None, house: HouseFile | None = None
) -> Drafted:
    """As `draft_file`, of notes already read. Where several judges speak, the house's author is none of them."""
    whole = list(whole)
    rules = house.rules if house else None
    if rules and len(whole) > 1:
        rules = rules.model_copy(update={"author": None})
    style = style or (house.style if house else None)
    out: Drafted = []
    for notes in whole:
        made = draft_sheet(notes.text, style, sheet, lexicon, notes.line_times, rules)
        out.append((notes.speaker or "" if len(whole) > 1 else "", under_house(flag_unsure(made, notes))))
    return out


def file_name(judge: str) -> str:
    """A judge's name as part of a file's name."""
    return "".join(c if c.isalnum() or c in "-_" else "-" for c in judge.casefold()).strip("-") or "judge"
