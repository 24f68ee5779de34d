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


REVIEW = (
    "Deep gold, a firm white head. Orange and toast on the nose. The taste is bread and orange peel, bitter enough. "
)


@pytest.mark.parametrize(
    ("said", "part"),
    [
        ("Light bodied.", "mouthfeel"),
        ("Prickly carbonation that lifts the orange.", "mouthfeel"),
        ("Nice saison.", "overall"),
        ("An average beer, with just about enough hop.", "overall"),
        ("I'm rather pleased with how it turned out.", "overall"),
        ("Orange peel again, and a nice bitterness.", "flavor"),
    ],
)
def test_without_headings_the_words_tell_what_comes_behind_the_taste(said, part) -> None:
    sheet = draft_sheet(f"{REVIEW}{said}")
    (found,) = (s.category for s in sheet.sentences if sheet.quote(s.span) == said)
    assert found == part


HEADED = {
    "Visual": ("I thought of a wheat field in August.", "appearance"),
    "In the nose": ("Boozy, with chocolate and maple.", "aroma"),
    "In the mouth": ("Booze again, and a sweetness that stays.", "flavor"),
    "Feel": ("Finishing with some chewy grain, it sets off the sourness.", "mouthfeel"),
    "Final thoughts": ("Interesting, the look was dull and the taste the opposite.", "overall"),
}
SHAPES = ("{}: {}\n", "{}\n{}\n\n", "{}\n\n{}\n\n", "{} – {}\n", "• {}:\n    • {}\n", "- {}:\n- {}\n", "**{}**: {}\n")


@pytest.mark.parametrize("shape", SHAPES)
def test_what_stands_under_a_heading_is_of_its_part(shape: str) -> None:
    sheet = draft_sheet("Second keg.\n\n" + "".join(shape.format(head, said) for head, (said, _) in HEADED.items()))
    parts = {said.split()[-1].strip("."): part for said, part in HEADED.values()}
    found = {word: s.category for s in sheet.sentences for word in parts if word in sheet.quote(s.span)}
    assert found == parts


def test_a_total_is_under_no_heading() -> None:
    text = "".join(f"{head}: {found}\n" for head, (found, _) in HEADED.items()) + "Total: 38 of 50."
    assert draft_sheet(text).sentences[-1].category == "closing"


@pytest.mark.parametrize("mark", ["- ", " - ", ": ", " – "])
def test_letters_head_lines_where_look_smell_and_taste_have_one(mark: str) -> None:
    lines = [f"{letter}{mark}{said}\n\n" for letter, (said, _) in zip("ASTMO", HEADED.values(), strict=True)]
    sheet = draft_sheet("Second keg.\n\n" + "".join(lines))
    found = {s.category for s in sheet.sentences if "grain" in sheet.quote(s.span)}
    assert found == {"mouthfeel"}
    assert {s.category for s in sheet.sentences if "maple" in sheet.quote(s.span)} == {"aroma"}
