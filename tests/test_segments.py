"""Which part of the sheet a sentence belongs to, where no label and no score tells it."""

import pytest

from notes2sheet.pipeline import draft_sheet

SMELLED = "Amber with a white head that stays. Caramel comes up first, then a little floral hop and a pear ester. "


@pytest.mark.parametrize(
    ("said", "part"),
    [
        ("Pretty much the same as in the nose.", "flavor"),
        ("Like the aroma, it is toast before anything else.", "flavor"),
        ("Toast again, it mirrors the nose.", "flavor"),
        ("I like the nose, it is tidy.", "aroma"),
        ("A whiff of damp straw, like the smell of a barn in spring.", "aroma"),
    ],
)
def test_what_is_likened_to_the_smell_is_tasted(said, part) -> None:
    sheet = draft_sheet(f"{SMELLED}{said}")
    (found,) = (s.category for s in sheet.sentences if sheet.quote(s.span) == said)
    assert found == part


@pytest.mark.parametrize("said", ["Aroma: grapefruit and pine. 10/12", "aroma: toast and caramel. Ten."])
def test_a_score_that_ends_the_notes_is_of_the_part_before(said) -> None:
    assert draft_sheet(f"13C English Porter\n{said}").categories["aroma"].score == 10
