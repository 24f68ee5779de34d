"""Why points are off that nobody counted one by one (common practice: a judge names the faults and gives the score)."""

from __future__ import annotations

import re

import pytest
from frames import codes, draft

from notes2sheet.model import CategoryOut, Lost
from notes2sheet.outputs import csv, html, md, text
from notes2sheet.outputs.text import rest_label


def reasons(sheet, part: str) -> list[str]:
    return [sheet.quote(span) for span in sheet.categories[part].reasons]


def test_the_sentences_that_name_a_fault_or_a_lack_are_quoted() -> None:
    sheet = draft(aroma="I get strong grapefruit. There is clear diacetyl.", aroma_score="Eight out of twelve.")
    assert sheet.categories["aroma"].rest == 4
    assert reasons(sheet, "aroma") == ["There is clear diacetyl."]


def test_without_a_sure_fault_any_lack_is_one() -> None:
    sheet = draft(overall="It is well made. The finish lets it down.", overall_score="Six out of ten overall.")
    assert reasons(sheet, "overall") == ["The finish lets it down."]


def test_a_mere_but_is_no_reason() -> None:
    sheet = draft(mouthfeel="It has a medium-light body, but with medium carbonation.")
    assert sheet.categories["mouthfeel"].rest == 1 and not reasons(sheet, "mouthfeel")


def test_deductions_that_account_for_all_leave_no_rest() -> None:
    sheet = draft(aroma="There is clear diacetyl.", aroma_score="I take two off for the butter. So ten out of twelve.")
    part = sheet.categories["aroma"]
    assert [lost.points for lost in part.lost] == [2] and not part.rest and not part.reasons


def test_deductions_that_account_for_some_leave_the_rest() -> None:
    sheet = draft(aroma="There is clear diacetyl.", aroma_score="I take one off for the hops. So ten out of twelve.")
    part = sheet.categories["aroma"]
    assert [lost.points for lost in part.lost] == [1] and part.rest == 1
    assert reasons(sheet, "aroma") == ["There is clear diacetyl."]


def test_a_deduction_that_points_back_is_shown_with_what_it_points_to() -> None:
    sheet = draft(aroma="I get grapefruit. The malt is a touch muted.", aroma_score="I take two off for that. Ten.")
    (lost,) = sheet.categories["aroma"].lost
    assert lost.reason == "The malt is a touch muted. I take two off for that"
    assert [sheet.quote(span) for span in lost.spans] == ["The malt is a touch muted.", "I take two off for that."]


def test_what_it_points_to_may_stand_before_a_recital() -> None:
    sheet = draft(
        appearance="It is deep gold. The head went down before I could sit. You want a white head that stays.",
        appearance_score="So I take one for that, and we have two.",
    )
    assert not [f for f in sheet.flags if (f.code, f.category) == ("unexplained", "appearance")]


@pytest.mark.parametrize("score", ["", "Twelve out of twelve.", "Forty-nine out of twelve."])
def test_without_points_off_nothing_is_asked(score: str) -> None:
    part = draft(aroma="There is clear diacetyl.", aroma_score=score).categories["aroma"]
    assert not part.rest and not part.reasons


def test_the_rest_is_exact_in_tenths() -> None:
    lost = (Lost(points=0.3, reason="thin", spans=()),)
    assert CategoryOut(cap=3, score=2.7, lost=lost).rest == 0 and CategoryOut(cap=3, score=2.5, lost=lost).rest == 0.2


@pytest.mark.parametrize("form", [text, md, html, csv], ids=lambda form: form.__name__.rsplit(".", 1)[1])
def test_every_form_shows_the_rest_and_its_reasons(form) -> None:
    sheet = draft(aroma="I get grapefruit. There is clear diacetyl.", aroma_score="Eight out of twelve.")
    shown = " ".join(form.render(sheet).split())
    label = rest_label(sheet.categories["aroma"])
    assert re.search(rf"{label}(\W|<[^>]*>)*There is clear diacetyl", shown)
    bare = " ".join(form.render(draft()).split())
    assert "no reason named" in bare and "no figure for each" not in bare


@pytest.mark.parametrize("form", [text, md], ids=lambda form: form.__name__.rsplit(".", 1)[1])
def test_reasons_that_are_the_comment_are_not_written_twice(form) -> None:
    sheet = draft(overall="The finish is a bit sweet, and it holds it back.", overall_score="Eight out of ten.")
    part = sheet.categories["overall"]
    shown = " ".join(form.render(sheet).split())
    assert part.reasons and "holds it back" in part.comment
    assert "no figure for each: told above" in shown and shown.count("holds it back") == 1


def flagged(code: str, **pieces: str) -> bool:
    return code in codes(draft(**pieces))


@pytest.mark.parametrize(
    ("looks", "told"),
    [
        ("It is clear gold with a white head.", False),
        ("It is slightly hazy and gold with a white head.", True),
        ("It is clear gold, and the head was white and gone at once.", True),
    ],
)
def test_haze_and_a_head_that_is_gone_explain_points_of_the_appearance(looks: str, told: bool) -> None:
    flag = flagged("unexplained:appearance", appearance=looks, appearance_score="Two out of three for appearance.")
    assert flag is not told


def test_haze_explains_nothing_where_the_style_wants_it() -> None:
    opening = "This is Copper Gate, and we are judging it as a Hazy IPA, 21C."
    looks = {"opening": opening, "appearance": "It is hazy and gold with a tall white head that lasts."}
    assert flagged("unexplained:appearance", **looks, appearance_score="Two out of three for appearance.")


def test_clear_at_the_edge_of_a_black_beer_is_no_mismatch() -> None:
    looks = {"appearance": "It is black, clear at the edge, with a tall tan head that lasts."}
    stout = "This is Copper Gate, and we are judging it as an Irish Stout, 15B."
    hazy = "This is Copper Gate, and we are judging it as a Hazy IPA, 21C."
    assert not flagged("unpunished:appearance", opening=stout, **looks)
    assert flagged("unpunished:appearance", opening=hazy, **looks)


def test_what_would_make_the_beer_better_explains_the_whole() -> None:
    lack = {"overall": "It is well made. Some more bitterness would carry it."}
    assert flagged("unexplained:overall", overall="It is well made.", overall_score="Six out of ten overall.")
    assert not flagged("unexplained:overall", **lack, overall_score="Six out of ten overall.")
    half = "It is well made, half a pilsner."
    assert not flagged("unexplained:overall", overall=half, overall_score="Six out of ten overall.")


def test_the_first_of_several_deductions_points_back_too() -> None:
    sheet = draft(
        aroma="I get grapefruit. The malt is a touch muted.",
        aroma_score="I take two off for that, and one for the missing hops. Nine.",
    )
    first, second = sheet.categories["aroma"].lost
    assert first.reason == "The malt is a touch muted. I take two off for that"
    assert second.reason.endswith("one for the missing hops")
