"""Every flag with notes that raise it and notes that don't; a check without both fails here."""

from __future__ import annotations

import pytest
from frames import HERE, codes, draft, notes

from notes2sheet.checks import CHECKS, SEVERITY
from notes2sheet.lexicon import read_toml
from notes2sheet.model import House
from notes2sheet.pipeline import draft_sheet

TABLE = read_toml(HERE / "cases" / "checks.toml")


def each(kind: str):
    for code, entry in TABLE.items():
        for number, case in enumerate(entry[kind], 1):
            gap = case.get("gap")
            marks = [pytest.mark.xfail(reason=gap, strict=True)] if gap else []
            yield pytest.param(code, case, id=f"{code}-{number}", marks=marks)


def sheet_of(case: dict[str, str]):
    other = ("text", "words", "message", "flags", "gap", "house")
    pieces = {key: said for key, said in case.items() if key not in other}
    house = House.model_validate(case["house"]) if "house" in case else None
    return draft_sheet(case.get("text") or notes(**pieces), house=house)


def raised(sheet, code: str):
    category = TABLE[code].get("category")
    return [f for f in sheet.flags if f.code == code and f.category == category]


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.__name__)
def test_every_check_has_a_firing_and_a_silent_case(check) -> None:
    code = check.__name__.replace("_", "-")
    assert check.__doc__.startswith(f"{code}: "), "the docstring is the check's documentation"
    assert code in TABLE and TABLE[code]["fires"] and TABLE[code]["silent"]


def test_every_table_belongs_to_a_check() -> None:
    assert TABLE.keys() == {check.__name__.replace("_", "-") for check in CHECKS}


@pytest.mark.parametrize(("code", "case"), list(each("fires")))
def test_fires(code: str, case: dict[str, str]) -> None:
    sheet = sheet_of(case)
    flags = raised(sheet, code)
    assert flags, codes(sheet)
    assert {flag.severity for flag in flags} == {TABLE[code]["severity"]}
    assert all(flag.message.endswith((".", "it.")) and "\n" not in flag.message for flag in flags)
    assert len(flags) == case.get("flags", len(flags))
    if "message" in case:
        assert case["message"] in [flag.message for flag in flags]
    if "words" in case:
        assert case["words"] in [sheet.quote(span) for flag in flags for span in flag.spans]


@pytest.mark.parametrize(("code", "case"), list(each("silent")))
def test_stays_silent(code: str, case: dict[str, str]) -> None:
    sheet = sheet_of(case)
    assert not raised(sheet, code), [(f.message, [sheet.quote(s) for s in f.spans]) for f in raised(sheet, code)]


def test_clean_notes_raise_nothing() -> None:
    assert draft().flags == ()


def test_flags_come_worst_first_and_in_the_order_of_the_sheet() -> None:
    sheet = draft(
        aroma_score="", mouthfeel="It has a medium-light body.", appearance="", overall_score="Seven or eight."
    )
    order = [SEVERITY[flag.severity] for flag in sheet.flags]
    assert order == sorted(order) and {0, 1, 2} == set(order)
    assert [f.category for f in sheet.flags if f.severity == "blocker"] == ["aroma", "overall"]


def test_flags_of_different_checks_stand_in_the_order_of_the_sheet() -> None:
    sheet = draft(aroma_score="Nine or ten.", overall_score="", closing="Total 60/50.")
    blockers = [(f.code, f.category) for f in sheet.flags if f.severity == "blocker"]
    assert blockers == [("unsure", "aroma"), ("no-score", "overall")]
    sheet = draft(appearance_score="Four for appearance.", closing="Total 42/50.")
    assert [f.category for f in sheet.flags if f.severity == "blocker"] == ["appearance", None]


def test_what_is_missing_stays_empty_and_is_flagged() -> None:
    """Never a guess: notes with nothing in them hold no score, no style, no total, and say so for every part."""
    sheet = draft_sheet("Hello, is this thing on? Good.")
    assert {p.score for p in sheet.categories.values()} == {None} and sheet.style.code is None
    parts = set(sheet.categories)
    assert {f"no-score:{p}" for p in parts} | {f"no-comment:{p}" for p in parts} | {"no-tasting", "no-style"} <= codes(
        sheet
    )


@pytest.mark.parametrize(
    ("style", "look", "words"),
    [
        ("American IPA", "It is gold and clear, and there's no head.", "no head"),
        ("American IPA", "It is gold and clear, with a white head that collapsed at once.", "collapsed"),
        ("Weissbier", "It is gold and hazy, and the white foam left no lacing.", "no lacing"),
        ("American IPA", "It is gold and clear, with a white head that stays.", ""),
        ("American IPA", "A white head stands tall on it, and there is no head on the sides of the glass.", ""),
        ("Ordinary Bitter", "It is amber and clear, and there's no head.", ""),
        ("Kölsch", "It is gold and clear, with a white head that collapsed at once.", ""),
    ],
)
def test_a_head_that_is_missing_is_a_lack_where_one_is_wanted(style: str, look: str, words: str) -> None:
    """Retention as each style's file has it: a bitter may have hardly any head, a Kölsch loses its own soon."""
    full, short = (
        draft_sheet(f"Copper Gate, judged as {style}. Appearance. {look} {score}")
        for score in ("Three out of three.", "One and a half out of three.")
    )
    flags = [f for f in full.flags if f.code == "unpunished"]
    assert [full.quote(span) for f in flags for span in f.spans] == [words] * bool(words)
    assert not words or not any(f.code == "unexplained" for f in short.flags)


def test_alcohol_free_beer_is_judged_to_its_full_style() -> None:
    """No fault is made of missing warmth, and the strength stands as said (Brewers Association guidelines)."""
    opening = "This is Copper Nil from Mill Lane Brewing, alcohol free at 0.4 percent, judged as an American IPA, 21A."
    sheet = draft(opening=opening)
    assert sheet.entry.abv == 0.4 and sheet.style.code == "21A"
    assert not any(f.category == "mouthfeel" for f in sheet.flags)


DEPENDS = [
    ("caps-differ", {"aroma_score": "Eight out of ten for the aroma."}),
    ("caps-differ", {"aroma_begins": "Now the aroma, that's out of ten.", "aroma_score": "Two off for the esters."}),
    ("caps-differ", {"aroma_begins": "Now the aroma, worth ten points.", "aroma_score": "Two off for the esters."}),
    ("bands-differ", {"closing": "A total of forty-two out of fifty. Forty-four to fifty is excellent."}),
]


@pytest.mark.parametrize(("code", "pieces"), DEPENDS)
def test_a_recital_on_which_a_score_depends_is_a_warning(code: str, pieces: dict[str, str]) -> None:
    assert [f.severity for f in draft(**pieces).flags if f.code == code] == ["warning"]


def test_a_cap_of_a_column_that_is_not_the_parts_is_a_warning() -> None:
    lines = "Looks: amber. 3/3\nAroma: rusk. 9/10\nFlavor: toffee. 16/20\nMouthfeel: soft. 4/5\nOverall: plain. 7/10"
    found = [f for f in draft_sheet(f"Best Bitter 11B\n{lines}").flags if f.code == "caps-differ"]
    assert [(f.category, f.severity) for f in found] == [("aroma", "warning")]


def test_an_unknown_word_is_told_with_its_nearest_terms() -> None:
    sheet = draft(aroma="There's medium bread, and a whiff of ambergris behind the hops.")
    said = [f.message for f in sheet.flags if f.code == "unknown-word"]
    assert len(said) == 1 and said[0].startswith("I don't know 'ambergris'; nearest: ") and said[0].count(", ") >= 1


def test_a_total_that_is_too_fine_is_no_parts_flag() -> None:
    sheet = draft_sheet(notes(closing="A total of forty-two and a half out of fifty."), house=House(points="whole"))
    found = [(f.category, f.message) for f in sheet.flags if f.code == "fraction"]
    assert found == [(None, "42.5 is given for the total; the house rules allow whole points.")]


def test_a_prompt_of_the_house_rules_has_one_flag() -> None:
    house = House(prompts={"mouthfeel.carbonation": "blocker", "mouthfeel.nothing": "note", "nowhere.body": "note"})
    sheet = draft_sheet(notes(mouthfeel="It has a medium-light body."), house=house)
    assert [f.category for f in sheet.flags if f.code == "required-prompt"] == ["mouthfeel"]
    (open_ones,) = [f for f in sheet.flags if f.code == "missing-prompts" and f.category == "mouthfeel"]
    assert open_ones.message == "Not covered in mouthfeel: warmth, creaminess, astringency."


TYPED = """#12 / 18B
2.5 - deep gold / slight haze / white head
9 - grapefruit / low bready malt
14 - citrus peel / medium bitterness, sweet end
4 - medium body / no warmth
7{remark}
36.5
"""


@pytest.mark.parametrize(
    ("remark", "told"), [(" - less crystal malt, lower mash temperature next time", True), ("", False)]
)
def test_a_remark_beside_its_score_comments_on_the_whole_beer(remark: str, told: bool) -> None:
    sheet = draft_sheet(TYPED.format(remark=remark))
    assert sheet.categories["overall"].score == 7
    assert ("no-comment:overall" in codes(sheet)) != told


@pytest.mark.parametrize(
    ("overall", "told"), [("Drinkable, and I enjoyed it.", True), ("I like it, and I'd drink it after a run.", False)]
)
def test_a_verdict_comments_on_the_whole_beer(overall: str, told: bool) -> None:
    sheet = draft(overall=overall)
    assert ("no-comment:overall" in codes(sheet)) != told
    assert ("Drinkable" in sheet.categories["overall"].comment) == told


@pytest.mark.parametrize(
    ("overall", "named"),
    [
        ("It misses the style by a mile.", True),
        ("It is good, and the worty note is there from start to end.", True),
        ("It is a fine beer, and I could drink it all day.", False),
    ],
)
def test_what_is_named_of_the_whole_beer_explains_its_score(overall: str, named: bool) -> None:
    sheet = draft(overall=overall, overall_score="Six out of ten overall.")
    assert ("unexplained:overall" in codes(sheet)) != named


@pytest.mark.parametrize(("aroma", "flavor", "flagged"), [("Ten", "Seventeen", True), ("Four", "Seven", False)])
def test_the_faults_of_a_poor_beers_parts_are_those_of_the_whole(aroma: str, flavor: str, flagged: bool) -> None:
    """Common practice: whose parts lost much needs no further reason for a low score of the whole."""
    sheet = draft(
        aroma="I get corn and butter.", aroma_score=f"{aroma} out of twelve for the aroma.",
        flavor_score=f"{flavor} out of twenty for flavor.", overall="It is drinkable.",
        overall_score="Five out of ten.", closing="Cheers.",
    )  # fmt: skip
    assert ("unexplained:overall" in codes(sheet)) == flagged
