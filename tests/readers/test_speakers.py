"""One Notes per judge, and labels of typed notes are never taken for judges."""

from __future__ import annotations

import pytest

from notes2sheet.errors import NotesError
from notes2sheet.readers import parse, parse_all


def split(source: str) -> dict[str | None, str]:
    return {n.speaker: n.text for n in parse_all(source)}


@pytest.mark.parametrize(
    ("source", "wanted"),
    [
        (
            "21A IPA\nAda: gold\nBo: amber\nAda: dry\nfirm\nBo: sweet\n",
            {"Ada": "21A IPA\ngold\ndry\nfirm\n", "Bo": "21A IPA\namber\nsweet\n"},
        ),
        (
            "**Ada:** gold\n**Bo**: amber\n- Ada: dry\nADA: firm\nBo: sweet",
            {"Ada": "gold\ndry\nfirm\n", "Bo": "amber\nsweet\n"},
        ),
        ("Amber: gold\nBo: tan\nAmber: dry\nBo: firm", {"Amber": "gold\ndry\n", "Bo": "tan\nfirm\n"}),
        (
            "Judge 1: gold\nJudge 2: tan\nJudge 1: dry\nJudge 2: firm",
            {"Judge 1": "gold\ndry\n", "Judge 2": "tan\nfirm\n"},
        ),
        (
            "Ada: gold\nBo: tan\nAda: dry\nBo: firm\nCleo: sweet",
            {"Ada": "gold\ndry\n", "Bo": "tan\nfirm\n", "Cleo": "sweet\n"},
        ),
        (
            "[SPEAKER_00] gold. [SPEAKER_01] Tan.\n[SPEAKER_00]: dry",
            {"SPEAKER_00": "gold.\ndry\n", "SPEAKER_01": "Tan.\n"},
        ),
        ("SPEAKER_00: gold\nSPEAKER_00: dry", {"SPEAKER_00": "gold\ndry\n"}),
        (
            "[0:01] Ada: gold\n[0:04] Bo: tan\n[0:07] Ada: dry\n[0:09] Bo: firm",
            {"Ada": "gold\ndry\n", "Bo": "tan\nfirm\n"},
        ),
        ("[Ada] gold\n[Bo] tan\n[Ada] dry\n[Bo] firm", {"Ada": "gold\ndry\n", "Bo": "tan\nfirm\n"}),
        ("Ada: gold\nno name recurs\nBo: tan", {None: "Ada: gold\nno name recurs\nBo: tan\n"}),
        ("Ada: gold\nAda: dry", {None: "Ada: gold\nAda: dry\n"}),
        (
            "WEBVTT\n\n00:01.000 --> 00:02.000\n<v Ada>Gold.</v> <v Bo>Tan.\n\n00:03.000 --> 00:04.000\ndry\n",
            {"Ada": "Gold.\n", "Bo": "Tan.\ndry\n"},
        ),
        (
            "the head: Ada: gold\nsays Bo: tan\nfor Ada: dry\nand Bo: firm",
            {None: "the head: Ada: gold\nsays Bo: tan\nfor Ada: dry\nand Bo: firm\n"},
        ),
    ],
)
def test_speakers(source: str, wanted: dict[str | None, str]) -> None:
    assert split(source) == wanted


LABELS = [
    "Aroma",
    "Appearance",
    "App",
    "AR",
    "MF",
    "M",
    "F",
    "OI",
    "Flavor",
    "Flavour",
    "Mouthfeel",
    "Overall",
    "Overall Impression",
    "Total",
    "Tot",
    "Malt",
    "Hops",
    "Caramel",
    "Pine",
    "Bitterness",
    "Head",
    "Color",
    "Finish",
    "Style",
    "Beer",
    "Entry",
    "Note",
    "Score",
    "Diacetyl",
    "Off Flavors",
    "Final Score",
    "Body",
    "Carbonation",
    "Verdict",
    "Saaz",
    "Stout",
    "American IPA",
    "Wait",
    "Advice",
    "Http",
    "Beer 1",
    "Flight 2",
    "Nose",
]


@pytest.mark.parametrize("label", LABELS)
def test_labels_are_no_speakers(label: str) -> None:
    """Beside another label, and beside judges."""
    typed = f"{label}: gold\nAroma: tan\n{label}: dry\nAroma: firm\n"
    assert split(typed) == {None: typed}
    panel = f"Ada: gold\n{label}: 7\nBo: tan\n{label}: 8\nAda: dry\nBo: firm\n"
    assert split(panel) == {"Ada": f"gold\n{label}: 7\ndry\n", "Bo": f"tan\n{label}: 8\nfirm\n"}


def test_all_words_of_a_panel_as_one() -> None:
    assert parse("Ada: gold\nBo: tan\nAda: dry\nBo: firm").text == "gold\ntan\ndry\nfirm\n"


@pytest.mark.parametrize(
    "source",
    [
        "[SPEAKER_00] the head is [SPEAKER_01] tan\n[SPEAKER_00] dry",
        "WEBVTT\n\n00:01.000 --> 00:02.000\n<v Ada>the head is <v Bo>tan and thin\n",
    ],
)
def test_a_change_in_mid_sentence_is_refused(source: str) -> None:
    with pytest.raises(NotesError, match=r"line \d+ changes the speaker in mid-sentence"):
        parse_all(source)
