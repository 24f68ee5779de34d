"""Decimal commas that are lost where a text's punctuation is taken out (common practice: decimals have a comma in most
of Europe)."""

from __future__ import annotations

import pytest
from frames import notes

from notes2sheet.pipeline import draft_sheet, read_notes


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("look 2 5 nose 9 5 taste 13 5 mouth 3 5 whole 7", "2.5 9.5 13.5 3.5 7"),
        ("2 5 3 10 5 12 16 5 20", "2.5 3 10.5 12 16.5 20"),
        ("12 1 5 10 5 and 3 0 5 foam 2 5", "12 1.5 10.5 3 0.5 2.5"),
        ("a bitter of 4 8 % with a nose of 9", "4.8 9"),
        ("look 2 5/3 nose 9 5/12", "2.5/3 9.5/12"),
        # these are no decimals
        ("look 2 5 nose 9", "2 5 9"),  # once is chance
        ("3 12 20 5 10 and 2 9 15 5 8", "3 12 20 5 10 2 9 15 5 8"),  # caps, scores
        ("taste 15 5 more sips mouth 4 5 minutes ago 7 0 faults", "15 5 4 5 7 0"),
        ("look 2.5 nose 9 5 taste 13 5", "2.5 9 5 13 5"),  # points are written
        ("look 2 5, nose 9 5", "2 5 9 5"),  # so are commas
    ],
)
def test_pairs(text: str, words: str) -> None:
    reading = read_notes(text, until="numbers")
    assert " ".join(word for word in reading.words if word[0].isdigit()) == words
    assert all(
        reading.text[a:b].split() == word.replace(".", " ").split()
        for word, a, b in zip(reading.words, reading.starts, reading.ends, strict=True)
        if word[0].isdigit() and "." not in reading.text
    )


def test_a_sheet_whose_commas_are_lost() -> None:
    said = notes(aroma_score="aroma 9,5", flavor_score="flavor 16,5")
    lost = "".join(c if c.isalnum() or c in "'-" else " " for c in said.lower())
    sheet = draft_sheet(lost)
    assert (sheet.categories["aroma"].score, sheet.categories["flavor"].score) == (9.5, 16.5)
