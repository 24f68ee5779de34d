"""Typed sheets whose scores stand in one place of each line, with the parts named or not."""

from __future__ import annotations

import pytest
from frames import cases

from notes2sheet.pipeline import draft_sheet, read_notes


@pytest.mark.parametrize("case", cases("columns"))
def test_scores_in_one_place_of_each_line(case) -> None:
    sheet = draft_sheet(case["notes"].lstrip())
    given = {part: entry.score for part, entry in sheet.categories.items() if entry.score is not None}
    assert given == case["scores"]


@pytest.mark.parametrize("count", [500, 4000])
def test_a_line_full_of_figures_in_brackets_is_no_column(count: int) -> None:
    assert read_notes("Pale gold, clear. " + "A note (7), " * count, until="columns").columns == {}
