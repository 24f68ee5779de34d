"""Which style the beer is judged as: by code, name or alias; given by the caller; or never said."""

from __future__ import annotations

import pytest
from frames import cases, codes, draft, notes

from notes2sheet.errors import UnknownName
from notes2sheet.pipeline import draft_sheet
from notes2sheet.style_data import load_style, resolve_style, style_names

NEUTRAL = {"overall": "Well made, with no faults anywhere."}


@pytest.mark.parametrize("case", cases("styles"))
def test_style_in_the_opening(case) -> None:
    sheet = draft(opening=case["said"], **NEUTRAL)
    style = sheet.style
    assert (style.code, style.basis) == (case.get("code"), "said" if "code" in case else "none")
    assert ("no-style" in codes(sheet)) == ("code" not in case)
    if "code" in case:
        assert style.name == style_names()[case["code"]]["name"]
        assert case["quoted"] in [sheet.quote(span).rstrip(".") for span in style.spans]


@pytest.mark.xfail(strict=True, reason="a full stop that the tokenizer leaves on a code ends up in its quoted words")
def test_the_quoted_words_of_a_code_hold_no_full_stop() -> None:
    sheet = draft(opening="This is Copper Gate from Mill Lane, judged as 21A.")
    assert [sheet.quote(span) for span in sheet.style.spans] == ["21A"]


def test_the_given_style_wins() -> None:
    sheet = draft_sheet(notes(), style="10a")
    assert (sheet.style.code, sheet.style.basis) == ("10A", "given")
    assert "no-style" not in codes(draft_sheet(notes(opening="Here is one more."), style="21A"))


@pytest.mark.parametrize("said", ["21A", "21a", "21 A", "21-a", "American IPA", "american ipa"])
def test_a_style_by_code_or_name(said: str) -> None:
    assert resolve_style(said) == "21A"


@pytest.mark.parametrize("said", ["99Z", "Amercan IPAA", "", "21", "../../etc"])
def test_unknown_styles_are_refused(said: str) -> None:
    with pytest.raises(UnknownName) as error:
        resolve_style(said)
    assert error.value.hint and "\n" not in str(error.value)


def test_a_near_miss_names_its_neighbors() -> None:
    with pytest.raises(UnknownName, match="21A American IPA"):
        resolve_style("Amercan IPA")


def test_every_style_loads_and_is_found_by_its_name() -> None:
    for code, entry in style_names().items():
        style = load_style(code)
        assert style.name == entry["name"] and resolve_style(code) == code
        assert set(style.aspects["flavor"]) or code[:2] in ("27", "28", "29", "30", "31", "32", "33", "34"), code


def test_a_style_that_is_only_heard_alike_is_no_guess() -> None:
    sheet = draft(opening="This is Copper Gate, a Berlinner Weiser.", **NEUTRAL)
    assert sheet.style.code == "23A" and "style-unclear" not in [flag.code for flag in sheet.flags]
