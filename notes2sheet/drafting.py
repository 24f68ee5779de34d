"""From a file of notes to its sheets: one a judge and beer, hearing in doubt flagged."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from notes2sheet.dialog import table_of
from notes2sheet.errors import UnknownName
from notes2sheet.flight import entries_of
from notes2sheet.house import HouseFile, find_house, under_house
from notes2sheet.named_judge import named_judge
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
    entry: int | None = None,
    progress: Progress | None = None,
) -> Drafted:
    """(whose, sheet) for each judge who speaks in the file and each beer judged; '' where there is only one of each.

    `entry` picks one beer of several, from 1. `house` names the house file, or is 'none'; without it the nearest one
    counts. `progress` is told the seconds of a sound file that are transcribed, and its seconds in all. Raises
    Notes2SheetError children for what cannot be read, and for an unknown style, sheet or entry.
    """
    rules = house_of(path, house)
    whole = split_entries(read_all(path, speech_model(model, rules), progress), sheet, lexicon)
    drafted = draft_notes(picked(whole, entry), style, sheet, lexicon, rules)
    if path == "-":
        return drafted
    return [(judge, carry_over(made, judge_path(Path(path), judge))) for judge, made in drafted]


def carry_over(draft: Sheet, beside: Path) -> Sheet:
    """A fresh draft of the notes or draft file `beside`, with the corrections of the journal that stands there."""
    from notes2sheet.review.journal import Journal, journal_path

    path = journal_path(beside)
    if not path.exists():
        return draft
    from notes2sheet.review.corrections import apply

    return apply(draft, Journal(path).changes()).sheet


def split_entries(whole: Iterable[Notes], sheet: str | None, lexicon: Path | None) -> list[Notes]:
    """The notes of each judge and beer."""
    return [part for notes in whole for part in entries_of(notes, sheet, lexicon)]


def picked(whole: list[Notes], entry: int | None) -> list[Notes]:
    """The notes of the beer `entry`, counted from 1; all without one. Raises UnknownName."""
    found = [notes for notes in whole if entry in (None, notes.entry or 1)]
    if not found:
        most = max(notes.entry or 1 for notes in whole)
        held = f"the notes hold {most}" if most > 1 else "the notes hold one beer"
        raise UnknownName(f"no entry {entry}", "--entry", held)
    return found


def house_of(path: str, named: str | None = None) -> HouseFile | None:
    """The house file for a file of notes; for standard input ('-') that of the current folder."""
    return find_house(Path() if path == "-" else Path(path).parent, named)


def speech_model(given: str | None, house: HouseFile | None) -> str | None:
    """The speech model's folder as given, else by the house rules unless NOTES2SHEET_MODEL names one."""
    return given or (house.model if house and not os.environ.get(MODEL_VARIABLE) else None)


def draft_notes(
    whole: Iterable[Notes], style: str | None, sheet: str | None, lexicon: Path | None, house: HouseFile | None = None
) -> Drafted:
    """As `draft_file`, of notes read and split. Where several judges speak, the house's author is none of them."""
    from notes2sheet.model import House

    whole = list(whole)
    several = len({notes.speaker for notes in whole}) > 1
    rules = house.rules if house else None
    if rules and several:
        rules = rules.model_copy(update={"author": None})
    style = style or (house.style if house else None)
    out: Drafted = []
    table = table_of(whole, sheet, lexicon)
    for notes, talk in zip(whole, table.talks, strict=True):
        if not several and (judge := named_judge(notes.text)):  # of the beers behind it, too
            rules = (rules or House()).model_copy(update={"author": judge})
        made = draft_sheet(notes.text, style, sheet, lexicon, notes.line_times, rules, talk)
        if made.style.code is None and table.style:
            made = draft_sheet(notes.text, table.style, sheet, lexicon, notes.line_times, rules, talk)
            made = made.model_copy(update={"style": made.style.model_copy(update={"basis": "table"})})
        made = flag_unsure(made, notes)
        made = under_house(made.model_copy(update={"source_lines": own_lines(notes)}))
        whose = (notes.speaker if several else None, f"entry {notes.entry}" if notes.entry else None)
        out.append((" ".join(filter(None, whose)), made))
    return out


def judge_path(path: Path, judge: str) -> Path:
    """The name that a judge's corrections stand beside: the file's own, or, of several judges, with theirs in it."""
    return path.with_name(f"{path.stem}.{file_name(judge)}{path.suffix}") if judge else path


def file_name(judge: str) -> str:
    """A judge's name as part of a file's name."""
    return "".join(c if c.isalnum() or c in "-_" else "-" for c in judge.casefold()).strip("-") or "judge"
