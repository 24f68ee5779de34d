"""What typed notes settle plainly: answers, ranges, faults that are not there, the balance."""

from __future__ import annotations

import pytest

from notes2sheet.pipeline import draft_sheet

TYPED = {
    "Appearance": "amber, clear, white head stays. 3/3",
    "Aroma": "medium caramel, low earthy hops, low esters. 10/12",
    "Flavor": "medium toffee, low earthy hops, medium bitterness, low fruit, even balance, dry finish. 16/20",
    "Mouthfeel": "medium body, medium carbonation, no warmth, not creamy, no astringency. 4/5",
    "Overall": "good pub beer, a bit plain. 7/10",
}


def typed(part: str, said: str):
    """The part of the sheet that a typed line is read as, and the flags."""
    lines = [f"{name}: {text}" for name, text in (TYPED | {part: said}).items()]
    sheet = draft_sheet("\n".join(['Best Bitter 11B, "Tin Lantern"', *lines]))
    return sheet.categories[part.lower()], sheet.flags


@pytest.mark.parametrize(
    ("part", "said", "comment"),
    [
        (
            "Aroma",
            "caramel medium to high, hops low to none, esters none. 10/12",
            "Malt: medium-high caramel. Hops: very low hops. Fermentation: no esters.",
        ),
        (
            "Aroma",
            "free of sulfur. Caramel. No hops to speak of. 10",
            "Malt: caramel. Hops: no hops. Fermentation: no sulfur.",
        ),
        ("Aroma", "caramel low. Faults: none. 10/12", "Malt: low caramel. Fermentation: faults none."),
        ("Aroma", "caramel low. Off flavours - none. 10/12", "Malt: low caramel. Fermentation: off flavors none."),
        ("Aroma", "caramel low, no faults. 10/12", "Malt: low caramel. Fermentation: no faults."),
        (
            "Aroma",
            "malt: low caramel, hops: n, esters: -\n10/12",
            "Malt: low caramel. Hops: no hops. Fermentation: no esters.",
        ),
        (
            "Mouthfeel",
            "body medium to full, carbonation medium to high, warm. 4/5",
            "Body: medium to full. Carbonation: medium to high. Warmth: warm.",
        ),
        ("Mouthfeel", "the mouse feel is good, medium body. 4/5", "Body: medium."),
        (
            "Aroma",
            "caramel medium to medium-high, hops low, esters none. 10/12",
            "Malt: medium caramel. Hops: low hops. Fermentation: no esters.",
        ),
        ("Aroma", "should be caramel medium to medium-high, hops low, esters none. 10/12", ""),
        ("Flavor", "toffee, even balance. 16/20", "Malt: toffee. Balance: “even”."),
        ("Aroma", "low caramel but no hops. Diacetyl? No idea. 10/12", "Malt: low caramel. Hops: no hops."),
        ("Flavor", "Metallic tang like blood, -2", "Fermentation: metallic tang like blood."),
    ],
)
def test_comment(part: str, said: str, comment: str) -> None:
    assert typed(part, said)[0].comment == comment


@pytest.mark.parametrize("said", ["malt and hops in balance. 16/20", "toffee, the balance is even. 16/20"])
def test_what_is_said_of_the_balance_covers_it(said: str) -> None:
    assert "balance" not in typed("Flavor", said)[0].missing


def test_a_fault_that_is_named_is_not_ruled_out() -> None:
    assert "faults" not in typed("Aroma", "Faults: diacetyl. None of it is strong. 10/12")[0].comment


def test_a_zero_behind_a_descriptor_is_no_score() -> None:
    aroma, _ = typed("Aroma", "10/12. low caramel, DMS 0, diacetyl 0")
    assert aroma.score == 10
    assert typed("Aroma", "Nothing but vinegar. 0/12")[0].score == 0


def test_a_degree_before_a_fault_is_not_the_level_of_what_stands_before() -> None:
    said = TYPED["Flavor"].replace("medium bitterness", "bitterness a bit harsh")
    assert not [flag for flag in typed("Flavor", said)[1] if "Bitterness is low" in flag.message]
