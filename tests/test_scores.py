"""Stated scores: values, deductions, corrections, hedges, totals, and the figures that are none."""

from __future__ import annotations

import re

import numpy as np
import pytest
from faker import Faker
from frames import HERE, PARTS, SPOKEN, cases, codes, draft, notes

from notes2sheet.lexicon import read_toml
from notes2sheet.pipeline import draft_sheet, read_notes
from notes2sheet.scores import find_scores
from notes2sheet.transcript import Reading
from notes2sheet.word_odds import ROLES

LINE = re.compile(r"(\w+) (\w+)(?: (0\.\d+))?: (.*)")  # part, role, odds that it gives a score, words
WITHOUT = {f"{part}_score": "" for part in PARTS} | {"closing": "Cheers."}
UNTOUCHED = {"appearance": 3, "aroma": 10, "flavor": 17, "mouthfeel": 4, "overall": 8}


def standing(sheet) -> dict[str, float | None]:
    return {name: part.score for name, part in sheet.categories.items()}


@pytest.mark.parametrize("case", cases("scores"))
def test_score(case) -> None:
    part = case["part"]
    sheet = draft(**{f"{part}_score": case["said"]}, closing="Cheers.")
    found = sheet.categories[part]
    assert (found.score, found.basis) == (case.get("value"), case["basis"])
    assert [lost.points for lost in found.lost] == case.get("off", [lost.points for lost in found.lost])
    assert [lost.reason for lost in found.lost] == case.get("reasons", [lost.reason for lost in found.lost])
    if "quoted" in case:
        assert [sheet.quote(span) for span in found.spans] == case["quoted"]
    assert all(sheet.quote(span) in " ".join(case["said"].split()) for span in found.spans) and found.spans
    assert standing(sheet) == UNTOUCHED | {part: case.get("value")}


@pytest.mark.parametrize("case", cases("scores", "never"))
def test_figures_that_are_no_score(case) -> None:
    part = case["part"]
    sheet = draft(**{f"{part}_score": case["said"]}, closing="Cheers.")
    assert standing(sheet) == UNTOUCHED | {part: None}
    assert f"no-score:{part}" in codes(sheet) and sheet.total.sum is None


@pytest.mark.parametrize("case", cases("scores", "total"))
def test_total(case) -> None:
    sheet = draft(closing=case["said"])
    assert sheet.total.said == case.get("total")
    assert [sheet.quote(span) for span in sheet.total.spans] == ([case["quoted"]] if "quoted" in case else [])
    assert sheet.total.sum == 42 and standing(sheet) == UNTOUCHED


def labelled(lines: list[str], sheet: str | None = None, running_odds: float | None = None) -> Reading:
    """The scores of sentences whose part and role are given, so that no tagger has a say; with `running_odds`, as in
    running text in which every word gives a score at these odds."""
    found = [LINE.fullmatch(line).groups() for line in lines]
    reading = read_notes("\n".join(words for *_, words in found), sheet, until="cues")
    for sentence, (part, role, odds, _) in zip(reading.sentences, found, strict=True):
        sentence.category, sentence.role = part, role
        sentence.role_odds = {"expect": 0.0, "observe": 0.0, "talk": 0.0, "score": float(odds or (role == "score"))}
    if running_odds is not None:
        reading.running = True
        reading.word_odds = {"role": np.full((len(reading.words), len(ROLES)), running_odds)}
    find_scores(reading)
    return reading


@pytest.mark.parametrize("case", cases("scores", "labelled"))
def test_sentences_of_known_part_and_role(case) -> None:
    reading = labelled(case["lines"], case.get("sheet"), case.get("running"))
    told = {
        part: s.basis + (f" {float(s.value):g}" if s.value is not None else "")
        for part, s in reading.scores.parts.items()
    }
    assert told == dict.fromkeys(told, "none") | case.get("stands", {})
    total = reading.scores.total
    assert "total" not in case or case["total"] == ("none" if total is None else total)
    for part, quoted in case.get("quoted", {}).items():
        assert [reading.text[a:b] for a, b in reading.scores.parts[part].spans] == quoted
    for part, off in case.get("off", {}).items():
        assert [float(amount) for amount, _, _ in reading.scores.parts[part].taken] == off


def test_nothing_said_nothing_scored() -> None:
    sheet = draft(**WITHOUT)
    assert set(standing(sheet).values()) == {None}
    assert (sheet.total.sum, sheet.total.said, sheet.total.band) == (None, None, None)


def test_a_score_said_at_the_end_fills_its_part() -> None:
    closing = "Oh, I forgot the mouthfeel, that's four out of five. So forty-two in total."
    sheet = draft(mouthfeel_score="", closing=closing)
    assert sheet.categories["mouthfeel"].score == 4 and sheet.total.sum == 42


def test_a_read_back_fills_what_was_never_scored() -> None:
    sheet = draft(mouthfeel_score="", closing="So: three, ten, seventeen, four, eight, that makes forty-two.")
    assert standing(sheet) == UNTOUCHED and sheet.total.said == 42


@pytest.mark.parametrize(
    "closing",
    [
        "Three and ten is thirteen, and seventeen is thirty, and four and eight, forty-two.",
        "3/10/17/4/8, so forty-two, which is where I had it in twenty twenty-four, at forty.",
    ],
)
def test_a_list_that_adds_up_settles_parts_and_total(closing: str) -> None:
    sheet = draft(mouthfeel_score="", closing=closing)
    assert standing(sheet) == UNTOUCHED and sheet.total.said == 42


def test_a_list_in_the_judges_own_order_fills_what_is_missing() -> None:
    missing = {"appearance_score": "", "overall_score": ""}
    said = "So four, seventeen, ten, two and a half and six, that makes thirty-nine and a half."
    sheet = draft(**missing, closing=said)
    assert standing(sheet) == UNTOUCHED | {"appearance": 2.5, "overall": 6} and sheet.total.said == 39.5


def test_a_list_in_an_order_that_is_not_clear_fills_nothing() -> None:
    missing = {"aroma_score": "", "flavor_score": ""}
    sheet = draft(**missing, closing="So eight, four, three, ten and nine, that makes thirty-four.")
    assert standing(sheet) == UNTOUCHED | {"aroma": None, "flavor": None}


def test_a_slip_in_the_last_sum_of_a_list_is_said_and_flagged() -> None:
    sheet = draft(closing="Three and ten is thirteen, and seventeen is thirty, and four and eight, forty-three.")
    assert standing(sheet) == UNTOUCHED and sheet.total.said == 43 and "sum-differs" in codes(sheet)


READ_BACK = "So: three, ten, seventeen, four, eight, that makes forty-two."


@pytest.mark.parametrize(
    ("missing", "closing", "filled"),
    [
        (["aroma", "flavor", "mouthfeel"], READ_BACK, True),  # two known parts agree
        (["aroma", "flavor", "mouthfeel", "overall"], READ_BACK, True),  # five in their order, with their sum
        (["aroma"], READ_BACK.replace("seventeen", "sixteen"), False),  # it contradicts what was said
        (["aroma"], READ_BACK.replace(", eight", ""), False),  # it leaves a part out
        (["aroma"], f"Cheers. Two, three, four for the next ones. {READ_BACK}", True),
    ],
)
def test_a_read_back_fills_only_what_it_agrees_with(missing: list[str], closing: str, filled: bool) -> None:
    sheet = draft(**{f"{part}_score": "" for part in missing}, closing=closing)
    assert standing(sheet) == UNTOUCHED | ({} if filled else dict.fromkeys(missing))
    assert {sheet.categories[part].basis for part in missing} == {"said" if filled else "none"}
    if filled:
        assert [sheet.quote(span) for span in sheet.categories["aroma"].spans] == ["ten"]


KNOWN = ["appearance score: 3/3", "aroma score: 10/12", "flavor score: 17/20", "mouthfeel score: 4/5"]


@pytest.mark.parametrize(
    ("line", "total", "stands"),
    [
        ("overall prefer: my aunt would adore it with her eggs six and a half", 40.5, ("said", 6.5)),
        ("overall prefer: my aunt would adore it six and a half times", 40.5, ("none", None)),  # not the last words
        ("overall prefer: my aunt would adore it with her eggs six and a half", 41, ("none", None)),
        ("overall observe: that's all well and good four off creamy it is", 40, ("taken-off", 6)),
        ("overall observe: that's all well and good four of creamy it is", 40, ("none", None)),
    ],
)
def test_what_the_total_leaves_for_the_last_part(line: str, total: float, stands: tuple[str, float | None]) -> None:
    reading = labelled([*KNOWN, line, f"closing score: so that makes {total:g} out of fifty"])
    last = reading.scores.parts["overall"]
    assert (last.basis, last.value) == stands and reading.scores.total == total


@pytest.mark.parametrize(("total", "value"), [(42, 4), (42.5, None), (41.5, None)])
def test_a_figure_between_the_scores_around_a_part_that_makes_the_sum_is_its_score(total: float, value) -> None:
    """Its sentence was taken for another part."""
    lines = [*KNOWN[:3], "flavor observe: smooth, four, the glass came with it", "overall score: 8/10"]
    reading = labelled([*lines, f"closing score: so that makes {total:g} out of fifty"])
    assert reading.scores.parts["mouthfeel"].value == value and reading.scores.parts["flavor"].value == 17


@pytest.mark.parametrize(("odds", "value"), [(0.3, 4), (0.05, None)])
def test_in_running_text_a_part_without_a_score_gets_the_figure_that_may_well_be_one(odds: float, value) -> None:
    lines = [*KNOWN[:3], "mouthfeel observe: nothing rough in it four with a smile", "overall score: 8/10"]
    assert labelled(lines, running_odds=odds).scores.parts["mouthfeel"].value == value


@pytest.mark.parametrize(("figure", "running", "value"), [("15", 0.5, None), ("14", 0.5, 14), ("15", None, 15)])
def test_in_running_text_a_figure_far_above_the_cap_was_cut_off_from_another_part(figure, running, value) -> None:
    found = labelled([f"aroma score: {figure}"], running_odds=running).scores.parts["aroma"]
    assert found.value == value and found.basis == ("none" if value is None else "said")


@pytest.mark.parametrize(("total", "value"), [(40.5, 6.5), (44, 10), (42, 10)])
def test_a_cap_named_in_passing_gives_way_to_the_figure_that_makes_the_sum(total: float, value: float) -> None:
    lines = [
        "overall observe 0.36: overall impression 10",
        "overall prefer: but that's between me and the cup six and a half",
    ]
    reading = labelled([*KNOWN, *lines, f"closing score: so that makes {total:g} out of fifty"])
    assert reading.scores.parts["overall"].value == value


def test_a_read_back_does_not_settle_a_hedge() -> None:
    sheet = draft(aroma_score="Nine or ten.", closing=READ_BACK)
    assert (sheet.categories["aroma"].score, sheet.categories["aroma"].basis) == (None, "unsure")


def test_a_deduction_made_at_the_end_counts_for_the_part_named() -> None:
    sheet = draft(aroma_score="", closing="I forgot the aroma, take two off there. So forty-two.")
    assert standing(sheet) == UNTOUCHED and sheet.categories["aroma"].basis == "taken-off"


def test_a_score_said_in_another_part_goes_to_its_own() -> None:
    aroma = "The appearance, by the way, gets two and a half out of three. And the aroma ten out of twelve."
    sheet = draft(appearance_score="", aroma_score=aroma, closing="Cheers.")
    assert standing(sheet) == UNTOUCHED | {"appearance": 2.5}


def test_a_return_to_a_part_revises_its_score() -> None:
    closing = "Back on the aroma for a second, I want to change that to nine out of twelve. So a total of forty-one."
    sheet = draft(closing=closing)
    assert standing(sheet) == UNTOUCHED | {"aroma": 9} and sheet.categories["aroma"].basis == "revised"
    assert sheet.total.said == sheet.total.sum == 41


def test_typed_lines() -> None:
    text = (
        "21A American IPA\nApp: gold, clear, white head. 3\nAroma: grapefruit, pine, low bread. 10\n"
        "Flavor: bitter, dry finish, caramel. 17\n"
        "MF: medium-light body, medium carb. 4\nOverall: fine example. 8\nTotal 42"
    )
    sheet = draft_sheet(text)
    assert standing(sheet) == UNTOUCHED and sheet.total.said == 42


def test_captions_without_stops() -> None:
    text = "\n".join(line.strip().lower().rstrip(".") for line in notes().replace(",", "").split(". "))
    assert standing(draft_sheet(text)) == UNTOUCHED


def test_renaming_the_beer_changes_the_name_alone() -> None:
    """Thirty invented names, from Faker."""
    fake = Faker("en_US")
    fake.seed_instance(50)
    wanted = None
    for _ in range(30):
        name = f"{fake.last_name()} {fake.city_suffix().capitalize()}"
        sheet = draft(opening=SPOKEN["opening"].replace("Copper Gate", name))
        told = (
            standing(sheet),
            sheet.total.said,
            sheet.style.code,
            codes(sheet),
            [(d.term, d.state, d.level) for d in sheet.descriptors],
        )
        wanted = wanted or told
        assert told == wanted, name


def test_a_figure_is_no_last_digit_behind_a_half() -> None:
    """Half and eight make no thirteen: a list that is read back keeps its figures, and fills what is missing."""
    known = {"appearance": "two and a half", "aroma": "eight", "flavor": "thirteen", "mouthfeel": "four"}
    lines = [f"{part} score: {value}" for part, value in known.items()]
    lines.append("closing score: two and a half eight thirteen four six and a half")
    assert labelled(lines, running_odds=0.9).scores.parts["overall"].value == 6.5


@pytest.mark.parametrize("case", read_toml(HERE / "cases" / "checks.toml")["other-scale"]["fires"])
def test_grades_on_another_scale_are_no_scores(case) -> None:
    sheet = draft_sheet(case["text"])
    assert set(standing(sheet).values()) == {None} and sheet.total.said is None and sheet.total.sum is None
