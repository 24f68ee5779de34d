"""What stands in the comment on the whole beer: all that is said of it, beside its score too; no small talk, no bare
liking. And what of the typed accounts of points is kept."""

from __future__ import annotations

import pytest
from frames import codes

from notes2sheet.model import CategoryOut, Sheet
from notes2sheet.pipeline import draft_sheet

LINES = {
    "aroma": "Aroma: medium caramel, low earthy hops, low esters. 10/12",
    "flavor": "Flavor: medium toffee, low earthy hops, medium bitterness, low fruit, even balance, dry finish. 16/20",
    "mouthfeel": "Mouthfeel: medium body, medium carbonation, no warmth, not creamy, no astringency. 4/5",
    "overall": "Overall: good pub beer, a bit plain. 7/10",
}


def sheet(part: str, line: str, style: str = "Best Bitter 11B") -> Sheet:
    """Typed notes with one line exchanged."""
    lines = LINES | {part: line}
    head = f'{style}, "Tin Lantern"\nAppearance: amber, clear, white head stays. 3/3'
    return draft_sheet("\n".join([head, *lines.values()]))


def told(part: str, line: str) -> CategoryOut:
    return sheet(part, line).categories[part]


SAID = {
    "7/10. Needs fresher hops.": "Needs fresher hops.",
    "7/10 overall. Infected, check your bottling line.": "Infected, check your bottling line.",
    "Overall: good. 7/10. Ferment cooler.": "Good. Ferment cooler.",
    "7 because it's muddled.": "Because it's muddled.",
    "I like it. But hop it up a notch. 7/10": "But hop it up a notch.",
    "Overall seven, ferment cooler at the start.": "Ferment cooler at the start.",
    "Overall: fine 7/10": "Fine.",
    "Overall: well made. My advice: mash two degrees higher. 7/10": "Well made. My advice: mash two degrees higher.",
    "7/10. Nice winter beer, would suit a fireside.": "Nice winter beer, would suit a fireside.",
    "Overall: drop the crystal malt by half. 7": "Drop the crystal malt by half.",
    "Overall: cut the bitterness by one third. 7": "Cut the bitterness by one third.",
    "Overall: solid, 7/10.": "Solid.",
    "7/10. Boring.": "Boring.",
    "Overall: 7. Pretty decent bitter, a bit tired.": "Pretty decent bitter, a bit tired.",
    "Overall: brewer should lower the mash temperature. 7/10": "Brewer should lower the mash temperature.",
    "Overall: 7/10 - less crystal malt, fresher hops": "Less crystal malt, fresher hops.",
    "Overall eight, a clean lager.": "A clean lager.",
    "7. Not a bad beer.": "Not a bad beer.",
}


@pytest.mark.parametrize(("line", "comment"), list(SAID.items()))
def test_what_is_said_of_the_whole_beer_stands_in_its_comment(line: str, comment: str) -> None:
    drafted = sheet("overall", line)
    part = drafted.categories["overall"]
    assert part.comment == comment and part.score in (7, 8) and not part.lost
    assert "no-comment:overall" not in codes(drafted)


@pytest.mark.parametrize(
    "line",
    [
        "7. Would order again.",
        "Seven out of ten, and my wife would agree.",
        "7/10. I love this stuff, would buy a case.",
        "Overall: a solid seven. My dog is barking.",
        "7/10. The neighbor is mowing his lawn again.",
        "7/10. Done. Next beer.",
        "7/10. Cheers, everybody, and check your corks.",
        "I'd give it a seven because it's late and I want to go home.",
        "Overall: seven. Hold on, phone.",
    ],
)
def test_small_talk_and_bare_liking_stay_out(line: str) -> None:
    drafted = sheet("overall", line)
    assert drafted.categories["overall"].comment == "" and drafted.categories["overall"].score == 7
    assert "no-comment:overall" in codes(drafted)


@pytest.mark.parametrize(
    "line", ["6/10. Infection suspected. Check your bottling equipment.", "6/10. Purge the lines and mash cooler."]
)
def test_a_fault_of_the_whole_and_advice_tell_why_points_are_off(line: str) -> None:
    drafted = sheet("overall", line)
    assert "unexplained:overall" not in codes(drafted) and drafted.categories["overall"].reasons


def test_words_of_advice_are_no_finding() -> None:
    drafted = sheet("overall", "Overall six, chill the wort faster.")
    assert not any("worty" in suggestion for suggestion in drafted.suggestions)
    assert [d.state for d in drafted.descriptors if drafted.quote(d.span) == "wort"] in ([], ["mentioned"])


@pytest.mark.parametrize(
    ("line", "found"), [("Aroma: clean malt, low hops. 10/12", True), ("Aroma: lager malt, chill haze. 10/12", True)]
)
def test_words_that_advice_is_made_of_may_be_findings(line: str, found: bool) -> None:
    drafted = sheet("aroma", line)
    assert any(d.category == "aroma" and d.state == "present" for d in drafted.descriptors) is found


LOST = {
    "Flavor: toffee. Too boozy, minus two, and a bit of burnt, minus one. 17": [
        (2, "Too boozy, minus two"),
        (1, "a bit of burnt, minus one"),
    ],
    "Flavor: toffee. Two off for the soap, one off for the ash. 17": [
        (2, "Two off for the soap"),
        (1, "one off for the ash"),
    ],
    "Flavor: toffee. 2 off, too boozy, 1 off, burnt. 17": [(2, "2 off, too boozy"), (1, "1 off, burnt")],
    "Flavor: nutty. I lose two points because it's one-dimensional and one because it's sweet. 17": [
        (2, "I lose two points because it's one-dimensional"),
        (1, "one because it's sweet"),
    ],
    "Flavor: toffee. Cut two for the hop roughness. 18": [(2, "Cut two for the hop roughness")],
    "Flavor: caramel, butter -2, thin -1, 18": [(2, "Flavor: caramel, butter -2"), (1, "thin -1")],
}


@pytest.mark.parametrize(("line", "lost"), list(LOST.items()))
def test_each_loss_has_its_own_reason(line: str, lost: list[tuple[int, str]]) -> None:
    assert [(one.points, one.reason) for one in told("flavor", line).lost] == lost


def test_hot_alcohol_is_a_fault_where_low_warmth_is_none() -> None:
    """Clean, smooth warmth is tolerated; hot or burning alcohol is a fault (BJCP Beer Fault List, 2012)."""
    line = "Mouthfeel: medium body, medium carbonation, {}, not astringent, not creamy. 3"
    hot, low = (
        sheet("mouthfeel", line.format(said), "American Brown Ale 19C") for said in ("hot alcohol", "low warmth")
    )
    assert "unexplained:mouthfeel" not in codes(hot) and "unexplained:mouthfeel" in codes(low)


def test_how_much_there_is_out_of_ten_is_no_score() -> None:
    part = told("flavor", "Flavor: bitterness 7/10, malt 4/10, hops 2/10")
    assert part.score is None and part.comment == "Malt: malt 4/10. Hops: hops 2/10. Bitterness: bitterness 7/10."
    part = told("flavor", "Flavor: bitterness 7/10, malt 4/10, hops 2/10. 16/20")
    assert part.score == 16 and "bitterness 7/10" in part.comment


CAPTIONS = """okay this is tin lantern a best bitter eleven b
so looking at it it's amber and clear
the head is white and it lasts so three of three
smelling it i get medium caramel
low earthy hops and low esters ten of twelve
tasting it medium toffee and low earthy hops
medium bitterness and a dry finish sixteen of twenty
the body is medium the carbonation is medium
no warmth no astringency so four of five
{}
that's forty in total bye"""
CUT = {
    "overall it's a fresh and a bright beer / and i'd love to try it again in / a month when it has settled / so seven "
    "of ten": "It's a fresh and a bright beer. I'd love to try it again in a month when it has settled.",
    "overall it's a good example of the / style with a clean finish / seven of ten": "It's a good example of the style "
    "with a clean finish.",
    "overall it's well made and balanced / and my wife is calling me and i / seven of ten": "It's well made and "
    "balanced.",
    "overall i like what it's for / the malt is rich and the hops are soft / seven of ten": "I like what it's for. The "
    "malt is rich and the hops are soft.",
    "overall it's clean and bright / is it exciting not really / seven of ten": "It's clean and bright. Is it exciting "
    "not really.",
    "overall it's a nice clean bitter and / the style calls for more hops in / the nose so seven of ten": "It's a nice "
    "clean bitter.",
    "overall what spoils it / is that it's been kept too warm / seven of ten": "What spoils it is that it's been kept "
    "too warm.",
}


@pytest.mark.parametrize(("lines", "comment"), list(CUT.items()))
def test_what_captions_cut_stands_whole_or_not_at_all(lines: str, comment: str) -> None:
    drafted = draft_sheet(CAPTIONS.format(lines.replace(" / ", "\n")))
    assert drafted.categories["overall"].comment == comment and drafted.categories["overall"].score == 7


def test_a_reason_that_captions_cut_is_quoted_whole() -> None:
    lines = "overall it's a tired beer with some of the\nwet cardboard of an old bottle\nseven of ten"
    drafted = draft_sheet(CAPTIONS.format(lines))
    assert [" ".join(drafted.quote(span).split()) for span in drafted.categories["overall"].reasons] == [
        "overall it's a tired beer with some of the wet cardboard of an old bottle"
    ]
