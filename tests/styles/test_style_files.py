"""All 123 entries load and pass the full check, and the check refuses each kind of mistake by file, key and hint."""

from __future__ import annotations

import shutil
import time
from pathlib import Path

import pytest

from notes2sheet.errors import LexiconError
from notes2sheet.lexicon import default_sheet, load_sheet, shipped
from notes2sheet.scales import scales
from notes2sheet.style_check import check_styles, find_problems
from notes2sheet.style_data import load_style, style_names

STYLES = shipped() / "styles"
BEER = [code for code in style_names() if load_style(code).sheet == default_sheet()]


def test_every_shipped_style_passes():
    assert [str(problem) for problem in find_problems()] == []


def test_all_entries_of_the_2021_edition_are_there():
    # Categories 1 to 34, with the nine historical styles and the seven named kinds of specialty IPA: 123 entries.
    assert len(BEER) == 123
    assert {load_style(code).code for code in style_names()} == set(style_names())
    assert sum(code.startswith("27-") for code in style_names()) == 9
    assert sum(code.startswith("21B-") for code in style_names()) == 7


@pytest.mark.parametrize("code", BEER)
def test_a_style_speaks_to_every_prompt_of_the_sheet(code):
    style = load_style(code)
    for category in load_sheet().categories:
        for aspect in category.aspects:
            wants = style.expectation(category.id, aspect)
            said = wants and (
                wants.level or wants.range or wants.more or wants.required or wants.allowed or wants.unwanted
            )
            assert said, f"{code} says nothing of {category.id} {aspect}"


BROKEN = {  # file: (the words to change, what for), and what the refusal must name
    "unknown term": ("21A.toml", 'allowed = "grain"', 'allowed = "zorbleberry"', "[aroma.malt] allowed", "zorbleberry"),
    "phrase, not term": ("21A.toml", 'allowed = "grain"', 'allowed = "sponge finger"', "[aroma.malt] allowed", "canon"),
    "inverted level": ("21A.toml", "low..medium-low", "medium-low..low", "[aroma.malt] level", "low..medium-low"),
    "inverted scale": ("21A.toml", "gold..reddish amber", "reddish amber..gold", "[appearance.color] range", "gold.."),
    "inverted clarity": ("21A.toml", "brilliant..slightly", "hazy..slightly", "[appearance.clarity] range", "slightly"),
    "inverted head": ("21A.toml", "white..off-white", "off-white..white", "[appearance.head] color", "white..off"),
    "inverted retention": ("21A.toml", "medium-high..high", "high..low", "[appearance.head] retention", "low..high"),
    "off the scale": ("21A.toml", "dry..off-dry", "dry..crunchy", "[flavor.finish] range", "bone dry"),
    "inverted numbers": ("21A.toml", "[40, 70]", "[70, 40]", "[stats] ibu", "low to high"),
    "term level": ("21A.toml", "caramel:none..low", "caramel:low..none", "allowed: caramel", "none..low"),
    "no aspect": ("21A.toml", "[flavor.balance]", "[flavor.scales]", "[flavor.balance]", "varies = true"),
    "twofold": ("21A.toml", "[flavor.balance]", '[flavor.balance]\nallowed = "tar"\nforbidden = "tar"', "e]", "level"),
    "unknown key": ("21A.toml", "allowed =", "tolerated =", "[aroma.malt]", "forbidden"),
    "unknown fault": ("21A.toml", "estery =", "gremlins =", "[flaws]", "diacetyl"),
    "not to see": ("21A.toml", "[appearance.clarity]", '[appearance.clarity]\nallowed = "lime"', "] allowed", "color"),
    "wrong code": ("21A.toml", 'code = "21A"', 'code = "21C"', "21A.toml: code", "agree"),
    "alias twice": ("names-1.toml", '"cream ale, american', '"american lager, american', "[1C] aliases", "one style"),
    "code twice": ("names-1.toml", '["1D"]', '["21A"]', "[21A]", "one entry"),
    "no file": ("names-1.toml", '["1D"]', '["1E"]', "[1E]", "add the file"),
}  # fmt: skip


@pytest.mark.parametrize("mistake", BROKEN)
def test_a_mistake_is_refused_by_file_key_and_hint(mistake, tmp_path):
    name, old, new, where, hint = BROKEN[mistake]
    folder = Path(shutil.copytree(STYLES, tmp_path / "styles"))
    text = (folder / name).read_text(encoding="utf-8")
    assert old in text
    (folder / name).write_text(text.replace(old, new, 1), encoding="utf-8")
    found = [str(problem) for problem in find_problems(folder)]
    told = [line for line in found if where in line and hint in line]
    assert told, found
    assert any(file in told[0] for file in (name, "names-"))
    with pytest.raises(LexiconError):
        check_styles(folder)


def test_an_unnamed_file_is_refused(tmp_path):
    folder = Path(shutil.copytree(STYLES, tmp_path / "styles"))
    (folder / "99Z.toml").write_text('code = "99Z"\n')
    assert any("99Z.toml" in str(p) and "names file" in str(p) for p in find_problems(folder))


def test_the_color_scale_runs_from_pale_to_dark():
    from notes2sheet.lexicon import load_lexicon

    middles = [sum(load_lexicon().terms[step].data["srm"]) for step in scales()["color"]]
    assert middles == sorted(middles)


def test_loading_one_style_takes_under_5_ms():
    style_names()
    best = 1.0
    for _ in range(3):
        load_style.cache_clear()
        began = time.process_time()
        for code in style_names():
            load_style(code)
        best = min(best, (time.process_time() - began) / len(style_names()))
    assert best < 0.005
