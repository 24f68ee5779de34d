"""From a file of notes to its sheets: one a judge, hearing in doubt flagged."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from notes2sheet.pipeline import draft_sheet
from notes2sheet.readers import Notes, Progress, flag_unsure, read_all
from notes2sheet.readers.notes import own_lines

if TYPE_CHECKING:
    from notes2sheet.model import Sheet

Drafted = list[tuple[str, "Sheet"]]


def draft_file(
    path: str,
    style: str | None = None,
    sheet: str = "beer-50",
    lexicon: Path | None = None,
    model: str | None = None,
    progress: Progress | None = None,
) -> Drafted:
    """(judge, sheet) for each judge who speaks in the file; the judge is '' where only one does.

    `progress` is told the seconds of a sound file that are transcribed, and its seconds in all.

    Raises Notes2SheetError children for what cannot be read, and for an unknown style or sheet.
    """
    from notes2sheet.review.corrections import carry_over

    drafted = draft_notes(read_all(path, model, progress), style, sheet, lexicon)
    if path == "-":
        return drafted
    return [(judge, carry_over(made, judge_path(Path(path), judge))) for judge, made in drafted]


def draft_notes(whole: Iterable[Notes], style: str | None, sheet: str, lexicon: Path | None) -> Drafted:
    """As `draft_file`, of notes already read."""
    whole = list(whole)
    out: Drafted = []
    for notes in whole:
        made = flag_unsure(draft_sheet(notes.text, style, sheet, lexicon, notes.line_times), notes)
        made = made.model_copy(update={"source_lines": own_lines(notes)})
        out.append((notes.speaker or "" if len(whole) > 1 else "", made))
    return out


def judge_path(path: Path, judge: str) -> Path:
    """The name that a judge's corrections stand beside: the file's own, or, of several judges, with theirs in it."""
    return path.with_name(f"{path.stem}.{file_name(judge)}{path.suffix}") if judge else path


def file_name(judge: str) -> str:
    """A judge's name as part of a file's name."""
    return "".join(c if c.isalnum() or c in "-_" else "-" for c in judge.casefold()).strip("-") or "judge"
