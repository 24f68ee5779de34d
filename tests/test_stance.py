"""Present, absent or only mentioned, for each sensory word."""

from __future__ import annotations

import pytest
from frames import cases, codes, draft

STATES = ("present", "absent", "mentioned")


@pytest.mark.parametrize("case", cases("stance"))
def test_stance(case) -> None:
    sheet = draft(**{case["part"]: case["said"]})
    begin = sheet.text.index(case["said"])
    got = {sheet.quote(d.span): d.state for d in sheet.descriptors if begin <= d.span[0] < begin + len(case["said"])}
    wanted = {words: state for state in STATES for words in case.get(state, ())}
    assert {words: got.get(words) for words in wanted} == wanted


def test_what_is_absent_has_the_level_none() -> None:
    sheet = draft()
    absent = [d for d in sheet.descriptors if d.state == "absent"]
    assert {d.level for d in absent} == {"none"} and len(absent) == 4


def test_a_recital_is_no_comment() -> None:
    assert "no-comment:aroma" in codes(draft(aroma="The style calls for mango and pine."))


def test_what_is_only_mentioned_stays_out_of_the_comment_and_covers_nothing() -> None:
    said = "The style calls for mango and pine."
    sheet = draft(aroma=said)
    aroma = sheet.categories["aroma"]
    assert not any(d.state != "mentioned" for d in sheet.descriptors if d.category == "aroma")
    assert aroma.comment == "" and aroma.covered == {} and aroma.missing == ("malt", "hops", "fermentation")


def test_an_absence_covers_its_prompt_and_stands_in_the_comment() -> None:
    sheet = draft(mouthfeel="Medium body, medium carbonation, no alcohol warmth.")
    mouthfeel = sheet.categories["mouthfeel"]
    assert set(mouthfeel.covered) == {"body", "carbonation", "warmth"}
    assert "no alcohol warmth" in mouthfeel.comment


def test_the_bare_name_of_what_ought_to_be_measured_is_no_descriptor() -> None:
    sheet = draft(aroma="The malt should be moderate, and the hops may be low.")
    assert not [d for d in sheet.descriptors if d.category == "aroma" and d.state != "mentioned"]


def flaws(part: str, said: str) -> dict[str, str | None]:
    sheet = draft(**{part: said})
    return {sheet.quote(d.span): d.flaw for d in sheet.descriptors if d.category == part}


def test_what_an_off_flavor_is_likened_to_is_no_other_one() -> None:
    assert "musty" not in flaws("aroma", "Bread. There's TCP, it's like my nan's bathroom cabinet.").values()
    assert "musty" in flaws("aroma", "Bread. There's a low damp cellar note.").values()


def test_sharp_bitterness_is_not_sour() -> None:
    assert flaws("flavor", "The bitterness is medium, and it's kinda sharp.")["sharp"] is None
    assert flaws("flavor", "It's sharp, like vinegar.")["sharp"] == "sour"


def test_what_another_beer_that_is_named_shows_is_only_mentioned() -> None:
    opening = (
        "Hello. This is Copper Gate from Mill Lane Brewing, an American IPA, 21A. "
        "The other one is a thing called Peach Verandah, and it isn't entered."
    )
    said = "It is a clear gold with a white head. Peach Verandah next to it is cloudy, with a head like dishwater."
    sheet = draft(opening=opening, appearance=said)
    assert not {"cloudy", "dishwater"} & {sheet.quote(d.span) for d in sheet.descriptors if d.state == "present"}
    assert "clear" in sheet.categories["appearance"].comment and "cloudy" not in sheet.categories["appearance"].comment
    own = "Copper Gate here is a clear gold with a white head, and Hazy Gate is beside it."
    sheet = draft(opening=opening.replace("Peach Verandah", "Hazy Gate"), appearance=own)
    assert {"clear", "gold"} <= {sheet.quote(d.span) for d in sheet.descriptors if d.state == "present"}
