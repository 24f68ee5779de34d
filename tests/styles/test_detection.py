"""The style judged as, found in short notes: codes in any spelling, names, mis-hearings; not one only mentioned."""

from __future__ import annotations

import pytest

from notes2sheet.pipeline import draft_sheet
from notes2sheet.style_data import load_style, name_index, resolve_style, style_names
from notes2sheet.words import split_list

NOTE = "Right, recording. {} Appearance: gold, white head, three. Aroma: low malt, nine out of twelve. Flavor fourteen."


def detected(opening: str) -> str | None:
    return draft_sheet(NOTE.format(opening)).style.code


CODES = {
    "This is entry four, 21C.": "21C", "Entry four, 21 C.": "21C", "Entry four is a 21c.": "21C",
    "Category twenty-one C.": "21C", "It's a twenty one C.": "21C", "Judged as twenty one see.": "21C",
    "The style is twenty one sea.": "21C", "Entered as 21 charlie.": "21C", "Judging it as 15 bravo.": "15B",
    "Judged as ten alpha.": "10A", "Style ten A.": "10A", "Category 5 dee.": "5D", "Entered as twenty-six D.": "26D",
    "Category nine C.": "9C", "Style 23 golf.": "23G", "Category 25 bee.": "25B",
}  # fmt: skip
NAMES = {
    "Tonight's beer is entered as a NEIPA.": "21C", "We're judging a hefe.": "10A", "Judged as an ESB.": "11C",
    "It's entered as a wee heavy.": "17C", "We judge a Kölsch.": "5B", "This is a Koelsch, entered as such.": "5B",
    "Judged as an imperial stout.": "20C", "We have a Belgian tripel.": "26C", "Judged as a gose.": "23G",
    "Entered as a Czech premium pale lager.": "3B", "This one's judged as a saison.": "25B",
}  # fmt: skip
HEARD = {
    "today it's judged as a coal sh": "5B", "the style is double box": "9A", "we are judging a heifer wizen": "10A",
    "it is entered as a goes a": "23G",
}  # fmt: skip
ONLY_MENTIONED = {
    "Judged as an Irish stout. It is nowhere near as roasty as an export stout.": "15B",
    "It's a German Pils, 5D. Unlike the Hazy IPA we had before, it is clear.": "5D",
    "Judged as a Weissbier. Last week we had a doppelbock.": "10A",
    "This Munich Helles, category 4A, is not a Festbier.": "4A",
    "Not an American IPA, this one is judged as a Double IPA.": "22A",
}  # fmt: skip


@pytest.mark.parametrize(("opening", "code"), [*CODES.items(), *NAMES.items(), *HEARD.items()])
def test_the_style_is_found(opening, code):
    assert detected(opening) == code


@pytest.mark.parametrize(("opening", "code"), ONLY_MENTIONED.items())
def test_a_style_only_mentioned_is_not_taken(opening, code):
    assert detected(opening) == code


@pytest.mark.parametrize(
    "opening",
    [
        "I had a lovely export stout last night, nothing like this.",
        "The dog is called Rufus.",
        "It's the third of six, a big one.",
    ],
)
def test_no_style_is_made_up(opening):
    sheet = draft_sheet(NOTE.format(opening))
    assert sheet.style.code is None
    assert "no-style" in {flag.code for flag in sheet.flags}


def test_an_alcohol_free_beer_is_judged_as_its_base_style():
    sheet = draft_sheet(NOTE.format("Alcohol-free, nought point four percent, judged as a straight Weissbier, ten A."))
    assert (sheet.style.code, sheet.style.name) == ("10A", "Weissbier")


def test_every_name_and_alias_leads_to_its_style():
    wrong = {}
    for code, entry in style_names().items():
        for phrase in [entry["name"], *split_list(entry["aliases"]), *split_list(entry.get("heard", ""))]:
            if {found for found, _ in name_index().get(phrase)} != {code}:
                wrong[phrase] = code
    assert wrong == {}


@pytest.mark.parametrize("code", style_names())
def test_a_plain_introduction_by_name_is_enough(code):
    name = load_style(code).name.split(": ")[-1]
    assert detected(f"This beer is judged as a {name}.") == code


@pytest.mark.parametrize(
    ("said", "code"), [("21c", "21C"), ("21 C", "21C"), ("neipa", "21C"), ("Kolsch", "5B"), ("kölsch", "5B")]
)
def test_a_style_given_by_hand(said, code):
    assert resolve_style(said) == code
