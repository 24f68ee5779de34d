"""A panel's sheets side by side; figures worked out by hand. Limit of seven points: BJCP judge procedures manual."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from folder import app
from typer.testing import CliRunner

from notes2sheet import draft_sheet
from notes2sheet.errors import NotesError
from notes2sheet.model import CategoryOut, DescriptorOut, Entry, House, Sheet, StyleRef, Total
from notes2sheet.panel import judge_names, make_panel, render_md, render_text

CAPS = {"appearance": 3, "aroma": 12, "flavor": 20, "mouthfeel": 5, "overall": 10}


def sheet(
    scores: list[float | None],
    found: dict[str, tuple[str, str | None]] | None = None,
    said: float | None = None,
    **more,
) -> Sheet:
    words = tuple(
        DescriptorOut(span=(0, 1), term=term, category="aroma", state=state, level=None, scale=level)
        for term, (state, level) in (found or {}).items()
    )
    given = sum(scores) if None not in scores else None
    parts = {name: CategoryOut(cap=cap, score=score) for (name, cap), score in zip(CAPS.items(), scores, strict=True)}
    fields = {"entry": Entry(), "style": StyleRef(), **more}
    return Sheet(
        text="x",
        sheet="beer-50",
        sentences=(),
        categories=parts,
        total=Total(sum=given, said=said),
        descriptors=words,
        flags=(),
        **fields,
    )


def test_spreads_means_and_the_limit() -> None:
    panel = make_panel({"a": sheet([3, 10, 16, 4, 8]), "b": sheet([2, 9, 14, 4, 5]), "c": sheet([2.5, 8, 15, 4, 7])})
    assert [row.spread for row in panel.rows] == [1, 2, 2, 0, 3]
    assert [row.mean for row in panel.rows] == [2.5, 9, 15, 4, 6.67]
    assert (panel.total.scores, panel.total.spread, panel.total.mean) == ((41, 34, 36.5), 7, 37.17)
    assert panel.apart == ()  # seven is within the limit
    wider = make_panel({"a": sheet([3, 10, 16, 4, 8]), "b": sheet([2, 9, 14, 3.5, 5])})
    assert wider.apart == (("a", "b", 7.5),)
    assert "differ by 7.5 points" in render_text(wider) and "7.5 points" in render_md(wider)
    assert "not the consensus" in render_text(panel) and "not the consensus" in render_md(panel)


def test_open_scores_are_left_out() -> None:
    panel = make_panel({"a": sheet([None, 10, 16, 4, 8], said=40), "b": sheet([2, None, 14, 4, 5])})
    assert [row.spread for row in panel.rows] == [None, None, 2, 0, 3]
    assert (panel.rows[0].mean, panel.total.scores) == (2, (40, None))


def test_descriptors_agreed_and_disputed() -> None:
    full, no = [3, 10, 16, 4, 8], ("absent", None)
    one = {
        "pine": ("present", "low"),
        "diacetyl": no,
        "mango": ("present", None),
        "rose": ("present", "low"),
        "dms": no,
    }
    two = {"pine": ("present", "medium"), "diacetyl": ("present", "low"), "rose": ("present", "high"), "dms": no}
    panel = make_panel(
        {"a": sheet(full, {**one, "rose": ("present", "low")}), "b": sheet(full, {**two, "hay": ("mentioned", None)})}
    )
    names = [[found.term for found in group] for _, group in panel.groups]
    assert names == [["dms"], ["pine"], ["diacetyl", "rose"], ["mango"]]
    assert "Agreed, but not on the level\n  aroma: pine, low to medium – a (low), b (medium)\n" in render_text(panel)
    assert "pine, low to medium" in render_md(panel)
    assert panel.disputed[0].absent == ("a",) and panel.disputed[0].present == {"b": "low"}


def words(category: str, *said: str) -> Sheet:
    """A sheet with these terms in one part; 'no x' is one whose absence was noted, 'x!:low' a fault that is low."""
    found = []
    for one in said:
        term, _, level = one.removeprefix("no ").partition(":")
        name, state = term.removesuffix("!"), "absent" if one.startswith("no ") else "present"
        flaw = name if term.endswith("!") else None
        found.append(
            DescriptorOut(span=(0, 1), term=name, category=category, state=state, scale=level or None, flaw=flaw)
        )
    return sheet([3, 10, 16, 4, 8]).model_copy(update={"descriptors": tuple(found)})


@pytest.mark.parametrize(
    ("category", "one", "two", "disputed"),
    [
        ("appearance", ["clear"], ["hazy"], "clarity"),
        ("appearance", ["clear"], ["slightly hazy"], None),  # one step
        ("appearance", ["clear", "slightly hazy"], ["hazy"], None),  # a range that reaches next to it
        ("appearance", ["pale straw"], ["brown"], "color"),
        ("appearance", ["gold"], ["deep gold"], None),
        ("appearance", ["white head"], ["tan head"], "head color"),
        ("flavor", ["sweet finish"], ["dry"], "finish"),
        ("mouthfeel", ["light body"], ["full body"], "body"),
        ("mouthfeel", ["medium body"], ["medium-full body"], None),
        ("mouthfeel", ["flat"], ["high carbonation"], "carbonation"),
        ("aroma", ["grapefruit"], ["no citrus"], "citrus"),
        ("aroma", ["grapefruit"], ["no citrus", "lemon"], None),
        ("aroma", ["no grapefruit"], ["citrus"], None),
    ],
)
def test_disputes_over_scales_and_broader_terms(category, one, two, disputed) -> None:
    panel = make_panel({"a": words(category, *one), "b": words(category, *two)})
    assert [found.term for found in panel.disputed] == ([disputed] if disputed else [])
    assert disputed is None or panel.disputed[0].category == category
    assert disputed is None or panel.lone == () or category != "aroma"


def test_a_narrower_term_agrees_with_a_broader_one() -> None:
    panel = make_panel({"a": words("aroma", "grapefruit"), "b": words("aroma", "citrus")})
    assert [found.term for found in panel.agreed] == ["citrus"]
    assert [found.term for found in panel.lone] == ["grapefruit"]


@pytest.mark.parametrize(
    ("one", "two", "terms"),
    [  # terms: agreed, graded, disputed, lone; x! is a fault
        (["roast"], ["burnt!"], [[], [], [], ["burnt", "roast"]]),
        (["roast:low"], ["burnt!:low"], [[], [], [], ["burnt", "roast"]]),
        (["roast"], ["burnt"], [["roast"], [], [], ["burnt"]]),  # no fault in this beer
        (["roast", "burnt"], ["burnt!", "roast"], [["roast"], [], ["burnt"], []]),
        (["burnt!"], ["burnt!"], [["burnt"], [], [], []]),
        (["burnt!", "burnt"], ["burnt!"], [["burnt"], [], [], []]),  # both call it a fault
        (["burnt!"], ["no roast"], [[], [], ["roast"], []]),
        (["caramel:medium"], ["caramel:medium"], [["caramel"], [], [], []]),
        (["caramel:medium"], ["caramel"], [["caramel"], [], [], []]),  # no level said is no other level
        (["caramel:medium"], ["caramel:medium-high"], [[], ["caramel"], [], []]),
        (["caramel:medium"], ["caramel:high"], [[], ["caramel"], [], []]),
        (["caramel:low"], ["caramel:medium-high"], [[], [], ["caramel"], []]),
    ],
)
def test_faults_and_levels(one: list[str], two: list[str], terms: list[list[str]]) -> None:
    panel = make_panel({"a": words("flavor", *one), "b": words("flavor", *two)})
    assert [[found.term for found in group] for _, group in panel.groups] == terms


def test_a_fault_to_one_judge_only_is_told() -> None:
    panel = make_panel({"a": words("flavor", "burnt!:low"), "b": words("flavor", "burnt")})
    assert "Disputed\n  flavor: burnt – a (low), b; a fault to a\n" in render_text(panel)


@pytest.mark.parametrize("width", [20, 24, 40, 60, 88])
def test_nothing_is_wider_than_the_terminal(monkeypatch, width: int) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    long, more = "Bartholomea Quickfingers", {"entry": Entry(name="A beer of a rather long name")}
    panel = make_panel(
        {long: sheet([3, 10, 16, 4, 8], {"slightly hazy": ("present", "low"), "dms": ("absent", None)}, **more),
         "Bo": sheet([2, 9, 6, 4, 5], {"dms": ("present", "medium-high")}, entry=Entry(name="Another"))}
    )  # fmt: skip
    lines = render_text(panel).splitlines()
    assert max(map(len, lines)) <= width
    told = " ".join(render_text(panel).split())
    assert "Quickfingers" in told and "limit is 7" in told and (width >= 60 or "spread 10, mean 11" in told)


def test_sheets_that_are_not_of_one_beer() -> None:
    one = sheet([3, 10, 16, 4, 8], style=StyleRef(code="21A", name="American IPA"), entry=Entry(name="Fog"))
    two = sheet([3, 10, 16, 4, 8], style=StyleRef(code="13C", name="English Porter"), entry=Entry(name="Soot"))
    assert len(make_panel({"a": one, "b": two}).warnings) == 2
    assert make_panel({"a": one, "b": one}).warnings == ()
    for sheets in ({"a": one}, {"a": one, "b": two.model_copy(update={"sheet": "other"})}):
        with pytest.raises(NotesError):
            make_panel(sheets)


def test_names() -> None:
    assert judge_names(["o/n.ada.json", "o/n.bo.json"]) == ["ada", "bo"]
    assert judge_names(["a.x.json", "b.x.json"]) == ["a.x", "b.x"]
    assert judge_names(["p/x.json", "q/x.json"]) == ["p/x.json", "q/x.json"]
    assert len(set(judge_names(["x.json", "x.json"]))) == 2


def test_from_notes_to_panel(tmp_path: Path) -> None:
    runner, paths = CliRunner(), []
    for judge, flavor in (("ada", 16), ("bo", 8)):
        path = tmp_path / f"note.{judge}.json"
        text = f"American IPA, 21A.\nApp 3/3\nAroma 9/12, pine\nFlavor {flavor}/20\nMouthfeel 4/5\nOverall 7/10\n"
        path.write_text(draft_sheet(text).model_dump_json())
        paths.append(str(path))
    result = runner.invoke(app, ["panel", *paths])
    assert result.exit_code == 1 and "Totals of ada and bo differ by 8 points" in result.stdout
    data = json.loads(runner.invoke(app, ["panel", *paths, "--format", "json"]).stdout)
    assert data["total"]["scores"] == [39, 31] and data["total"]["mean"] == 35
    assert runner.invoke(app, ["panel", paths[0], paths[0]]).exit_code == 0


@pytest.mark.parametrize("content", ["{", "[]", '{"text": 3}', "notes", "\0", None])
def test_files_that_are_no_sheets(tmp_path: Path, content: str | None) -> None:
    path = tmp_path / "a.json"
    if content is not None:
        path.write_text(content)
    result = CliRunner().invoke(app, ["panel", str(path), str(path)])
    assert result.exit_code == 2 and len(result.stderr.splitlines()) == 1 and "a.json" in result.stderr


def test_sheets_under_different_house_rules_are_warned_of() -> None:
    """Steps and bands count; who judged does not."""
    scores, warning = [3, 10, 16, 4, 8], "Drafted under different house rules."
    ada, bo = (House(points="whole", author=name) for name in ("Ada Probe", "Bo Probe"))
    assert warning not in make_panel({"a": sheet(scores, house=ada), "b": sheet(scores, house=bo)}).warnings
    assert warning in make_panel({"a": sheet(scores, house=ada), "b": sheet(scores)}).warnings
