"""From a file of notes to its sheets: one a judge, hearing in doubt flagged."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from notes2sheet.house import HouseFile, find_house, under_house
from notes2sheet.pipeline import draft_sheet
from notes2sheet.readers import Notes, Progress, flag_unsure, read_all
from notes2sheet.readers.notes import own_lines
from notes2sheet.sound import MODEL_VARIABLE

if TYPE_CHECKING:
    from notes2sheet.model import Sheet

Drafted = list[tuple[str, "Sheet"]]


def draft_file(
    path: str,
    style: str | None = None,
    sheet: str | None = None,
    lexicon: Path | None = None,
    model: str | None = None,
    house: str | None = None,
    progress: Progress | None = None,
) -> Drafted:
    """(judge, sheet) for each judge who speaks in the file; the judge is '' where only one does.

    `house` names the house file, or is 'none'; without it the nearest one counts. `progress` is told the seconds of a
    sound file that are transcribed, and its seconds in all. Raises Notes2SheetError children for what cannot be read,
    and for an unknown style or sheet.
    """
    from notes2sheet.review.corrections import carry_over

    rules = house_of(path, house)
    drafted = draft_notes(read_all(path, speech_model(model, rules), progress), style, sheet, lexicon, rules)
    if path == "-":
        return drafted
    return [(judge, carry_over(made, judge_path(Path(path), judge))) for judge, made in drafted]


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
        made = flag_unsure(draft_sheet(notes.text, style, sheet, lexicon, notes.line_times, rules), notes)
        made = under_house(made.model_copy(update={"source_lines": own_lines(notes)}))
        out.append((notes.speaker or "" if len(whole) > 1 else "", made))
    return out


def judge_path(path: Path, judge: str) -> Path:
    """The name that a judge's corrections stand beside: the file's own, or, of several judges, with theirs in it."""
    return path.with_name(f"{path.stem}.{file_name(judge)}{path.suffix}") if judge else path


def file_name(judge: str) -> str:
    """A judge's name as part of a file's name."""
    return "".join(c if c.isalnum() or c in "-_" else "-" for c in judge.casefold()).strip("-") or "judge"
