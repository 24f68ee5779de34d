"""Two judges at one table: what only one of them announces holds for both."""

from __future__ import annotations

from notes2sheet.drafting import draft_file

TALK = """\
Ines: We judge this as an American IPA, 21A. Appearance first: clear gold, tall white head that lasts.
Ruben: Yes. Three.
Ines: Three from me as well. The nose now. Strong grapefruit, low bread from the malt, no esters.
Ruben: I get a bit of sweetcorn actually. So nine.
Ines: No corn for me. Ten. On to the flavor. High bitterness, citrus, clean, dry. Seventeen.
Ruben: Corn again. Sixteen.
Ines: And how does it feel in the mouth? Medium body and carbonation, no warmth. Four.
Ruben: Smooth. Four.
Ines: Overall eight, so forty-two.
Ruben: Seven, so thirty-nine.
"""
SHEETS = {
    "Ines": {"appearance": 3, "aroma": 10, "flavor": 17, "mouthfeel": 4, "overall": 8},
    "Ruben": {"appearance": 3, "aroma": 9, "flavor": 16, "mouthfeel": 4, "overall": 7},
}


def scores(text: str, tmp_path) -> dict[str, dict[str, float | None]]:
    path = tmp_path / "table.txt"
    path.write_text(text, encoding="utf-8")
    drafted = draft_file(str(path))
    return {judge: {name: part.score for name, part in sheet.categories.items()} for judge, sheet in drafted}


def test_an_answer_belongs_to_the_part_that_the_other_asked_about(tmp_path) -> None:
    assert scores(TALK, tmp_path) == SHEETS


def test_one_judge_after_the_other_is_read_as_well(tmp_path) -> None:
    """The whole talk then goes through the parts twice."""
    lines = TALK.splitlines()
    first, second = ([line for line in lines if line.startswith(name)] for name in ("Ines", "Ruben"))
    assert scores("\n".join([*first, *second]), tmp_path)["Ines"] == SHEETS["Ines"]


def test_what_is_said_stays_with_who_said_it(tmp_path) -> None:
    path = tmp_path / "table.txt"
    path.write_text(TALK, encoding="utf-8")
    sheets = dict(draft_file(str(path)))
    words = {judge: {sheet.quote(d.span) for d in sheet.descriptors} for judge, sheet in sheets.items()}
    assert "sweetcorn" in words["Ruben"] and "sweetcorn" not in words["Ines"]


def test_the_style_that_one_says_is_judged_to_by_both(tmp_path) -> None:
    path = tmp_path / "table.txt"
    path.write_text(TALK, encoding="utf-8")
    styles = {judge: (sheet.style.code, sheet.style.basis) for judge, sheet in draft_file(str(path))}
    assert styles == {"Ines": ("21A", "said"), "Ruben": ("21A", "table")}
