"""Sheets beside beer's are data alone: their caps, the sheet that notes are judged on, and what comes out of it."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

import pytest

import notes2sheet
from notes2sheet.lexicon import default_sheet, load_lexicon, load_sheet, sheet_files
from notes2sheet.model import Sheet
from notes2sheet.pipeline import draft_sheet
from notes2sheet.style_data import load_style, style_names

ROOT = Path(__file__).parent.parent
# Mead: BJCP structured mead sheet; cider: the same caps, from memory.
CAPS = {"appearance": 6, "aroma": 10, "flavor": 24, "overall": 10}
OTHERS = sorted(set(sheet_files()) - {default_sheet()})
DEMOS = {  # scores as the notes say them, in the order of the sheet
    "cider": ("C1B", "Lantern Keeper", (5, 8, 19, 8)),
    "mead": ("M2E", "Beekeeper's Holiday", (6, 8, 18, 7)),
}


def demo(kind: str) -> Sheet:
    return draft_sheet((ROOT / "demo_notes" / f"{kind}.txt").read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", OTHERS)
def test_sections_and_caps_are_the_published_ones(name: str) -> None:
    sheet = load_sheet(name)
    assert {c.id: c.cap for c in sheet.categories} == CAPS
    assert sheet.total == sum(CAPS.values()) == 50


def test_bands_are_those_of_the_beer_sheet() -> None:
    # BJCP cider sheet, reproduced; for mead common practice.
    assert len(OTHERS) == 2 and {load_sheet(name).bands for name in OTHERS} == {load_sheet().bands}


def test_mead_counts_what_is_not_declared_as_the_published_defaults() -> None:
    # BJCP structured mead sheet: petillant, medium, standard.
    declared = {d.name: d.default for d in load_sheet("mead-50").declared}
    assert declared == {"carbonation": "petillant", "sweetness": "medium", "strength": "standard"}
    told = next(f.message for f in demo("mead").flags if f.code == "declared")
    assert "sweetness sweet" in told and "strength not said, counts as standard" in told


@pytest.mark.parametrize("kind", DEMOS)
def test_demo_notes_draft_to_their_own_sheet(kind: str) -> None:
    code, name, scores = DEMOS[kind]
    sheet = demo(kind)
    assert sheet.sheet == f"{kind}-50" and sheet.style.code == code and sheet.entry.name == name
    assert tuple(part.score for part in sheet.categories.values()) == scores
    assert sheet.total.sum == sheet.total.said == sum(scores) and sheet.total.band == "excellent"
    assert {"body", "warmth"} <= set(sheet.categories["flavor"].covered)
    assert not [f for f in sheet.flags if f.severity != "note"]


@pytest.mark.parametrize("form", ["html", "md", "text", "csv", "json"])
@pytest.mark.parametrize("kind", DEMOS)
def test_every_format_shows_the_parts(kind: str, form: str) -> None:
    made = import_module(f"notes2sheet.outputs.{form}").render(demo(kind))
    assert DEMOS[kind][1].split("'")[0] in made and "mouthfeel" not in made.casefold().replace('"mouthfeel"', "")
    assert all(part in made.casefold() for part in CAPS)


def test_no_module_names_a_sheet() -> None:
    words = {*sheet_files(), *(name.partition("-")[0] for name in OTHERS)}
    for path in Path(notes2sheet.__file__).parent.rglob("*.py"):
        text = path.read_text(encoding="utf-8").casefold()
        assert not [word for word in words if word in text.replace("meadow", "")], path


BEER = (
    "{opening}Appearance is gold and clear, three out of three. The aroma has medium malt and low hops, ten out of "
    "twelve. The flavor is malty, sixteen out of twenty. It has a medium body, four out of five. Overall a good beer, "
    "eight out of ten. That's forty-one out of fifty."
)


@pytest.mark.parametrize(
    "opening",
    [
        "This is a Helles. It smells like a cider. ",
        "We had a New World Cider before, but this beer is judged as a Munich Helles. ",
        "Judging a saison. It reminds me of an English cider, or a dry mead. ",
        "My neighbor has a cider. ",
    ],
)
def test_a_passing_likeness_changes_no_sheet(opening: str) -> None:
    sheet = draft_sheet(BEER.format(opening=opening))
    assert sheet.sheet == default_sheet() and sheet.categories["mouthfeel"].score == 4


@pytest.mark.parametrize("opening", ["The cider sheet. This cider has no style. ", "It's an English Cider. "])
def test_notes_that_announce_a_sheet_are_judged_on_it(opening: str) -> None:
    said = "Appearance five out of six. Aroma eight out of ten. Flavor twenty out of twenty-four. Overall nine."
    sheet = draft_sheet(opening + said)
    assert sheet.sheet == "cider-50"
    assert [part.score for part in sheet.categories.values()] == [5, 8, 20, 9]


def test_a_style_given_brings_its_sheet_and_a_sheet_given_stands() -> None:
    assert draft_sheet("Aroma nine out of ten.", style="C1A").sheet == "cider-50"
    assert draft_sheet("This cider, this cider.", sheet=default_sheet()).sheet == default_sheet()


def test_of_two_parts_with_one_cap_the_one_talked_about_gets_the_score() -> None:
    sheet = draft_sheet("On the nose, ripe apple, high. Nine out of ten for the aroma.", sheet="cider-50")
    assert sheet.categories["aroma"].score == 9 and sheet.categories["overall"].score is None


def test_words_bound_to_a_sheet_mean_something_else_elsewhere() -> None:
    here, elsewhere = (load_lexicon(sheet=name).phrases.get("green apple") for name in ("cider-50", None))
    assert [hit.term.flaw for hit in here] == [None] and "acetaldehyde" in [hit.term.flaw for hit in elsewhere]
    assert not load_lexicon(sheet="cider-50").phrases.get("cider"), "the drink's own name describes nothing"


@pytest.mark.parametrize("code", [code for code in style_names() if load_style(code).sheet != default_sheet()])
def test_a_style_speaks_to_every_prompt_of_its_sheet(code: str) -> None:
    style = load_style(code)
    for category in load_sheet(style.sheet).categories:
        assert all(style.expectation(category.id, aspect) for aspect in category.aspects), category.id
