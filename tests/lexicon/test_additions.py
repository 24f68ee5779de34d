"""A user's own additions: found in the notes, and checked before use with one line a problem."""

from __future__ import annotations

import pytest
import typer
from typer.testing import CliRunner

from notes2sheet.cli_lexicon import lexicon
from notes2sheet.errors import LexiconError
from notes2sheet.lexicon_check import check_lexicon
from notes2sheet.pipeline import draft_sheet

GOOD = """
[pandanus]
kind = "herb"
broader = "herbal"
said = "pandanus, screwpine leaf"
"""
GOOD_FLAW = """
["bung cloth"]
compound = "unknown"
aspects = "other"
said = "bung cloth"
origin = "Old cask bungs."
advice = "Perhaps soak the bungs."
acceptable = "None."
no_threshold = "none published"
source = "common practice"
"""
HERB = '[pandanus]\nkind = "herb"\n'
SAID = f'{HERB}said = "pandanus"\n'
LOOP = '[one]\nkind = "herb"\nbroader = "two"\nsaid = "onesy"\n[two]\nkind = "herb"\nbroader = "one"\nsaid = "twosy"'
TEAL = '[teal]\nkind = "color"\nsaid = "teal"\n'
BAD = {
    "unknown kind": (SAID.replace("herb", "leaf"), "pandanus", "unknown kind 'leaf'"),
    "unknown level": (f'{SAID}level = "lots"', "pandanus", "unknown level 'lots'"),
    "unknown aspect": (f'{SAID}aspects = "hop"', "pandanus", "unknown aspects 'hop'"),
    "unknown part": (f'{SAID}categories = "nose"', "pandanus", "unknown categories"),
    "broader nowhere": (f'{SAID}broader = "palm"', "pandanus", "defined nowhere"),
    "loop": (LOOP, "one", "loop"),
    "wheel": (f'{SAID}wheel = "2310"', "pandanus", "four digits"),
    "misspelled key": (f'{HERB}sayd = "pandanus"', "pandanus", "unknown key 'sayd'"),
    "no phrases": (HERB, "pandanus", "nothing in said"),
    "a list for a string": (f'{HERB}said = ["pandanus"]', "pandanus", "no string"),
    "no table": ('pandanus = "herb"', "pandanus", "is no table"),
    "no TOML": ("[pandanus", "", "not valid TOML"),
    "shipped phrase": (f'{HERB}said = "toffee"', "toffee", "[toffee] in descriptors/malt.toml"),
    "sure fault word": (f'{HERB}said = "wet cardboard"', "wet cardboard", "[oxidized]"),
    "twice in one term": (f'{HERB}said = "pandanus, Pandanus"', "pandanus", "stands twice"),
    "shipped name": ('[toffee]\nkind = "herb"\nsaid = "toffee apple stick"', "toffee", "takes the place"),
    "color range": (f"{TEAL}srm = [9, 2]", "teal", "srm is no range"),
    "screen color": (f'{TEAL}srgb = "teal"', "teal", "#RRGGBB"),
}


def folder(tmp_path, part: str, text: str):
    (tmp_path / part).mkdir(exist_ok=True)
    (tmp_path / part / "own.toml").write_text(text, encoding="utf-8")
    return tmp_path


def run(*args: str):
    app = typer.Typer()
    app.command()(lexicon)
    return CliRunner().invoke(app, list(args), catch_exceptions=False)


def test_additions_are_found_in_notes(tmp_path, monkeypatch) -> None:
    folder(tmp_path, "descriptors", GOOD)
    folder(tmp_path, "flaws", GOOD_FLAW)
    notes = "Aroma: medium screwpine leaf, low bung cloth."
    before = {d.term for d in draft_sheet(notes).descriptors}
    after = {d.term: d.flaw for d in draft_sheet(notes, lexicon=tmp_path).descriptors}
    assert before.isdisjoint({"pandanus", "bung cloth"})
    assert after["pandanus"] is None and after["bung cloth"] == "bung cloth"
    monkeypatch.setenv("NOTES2SHEET_LEXICON", str(tmp_path))
    assert {d.term for d in draft_sheet(notes).descriptors} >= {"pandanus", "bung cloth"}


def test_sound_additions_exit_0(tmp_path) -> None:
    folder(tmp_path, "descriptors", GOOD)
    folder(tmp_path, "flaws", GOOD_FLAW)
    assert check_lexicon(tmp_path) == []
    assert run("--check", str(tmp_path)).exit_code == 0


@pytest.mark.parametrize("text, key, hint", BAD.values(), ids=BAD)
def test_each_problem_names_file_key_and_hint(tmp_path, text: str, key: str, hint: str) -> None:
    problems = check_lexicon(folder(tmp_path, "descriptors", text))
    assert any(p.key == key and hint in p.hint and p.file.endswith("own.toml") for p in problems), problems
    result = run("--check", str(tmp_path))
    assert result.exit_code == 2 and len(result.stderr.splitlines()) == len(problems) and result.stdout == ""


@pytest.mark.parametrize("key", ["compound", "origin", "advice", "acceptable", "no_threshold", "source"])
def test_incomplete_flaw(tmp_path, key: str) -> None:
    text = "\n".join(line for line in GOOD_FLAW.splitlines() if not line.startswith(f"{key} "))
    problems = check_lexicon(folder(tmp_path, "flaws", text))
    assert [(p.key, p.hint.split()[0]) for p in problems] == [("bung cloth", key.removeprefix("no_"))]


@pytest.mark.parametrize(
    "threshold, hint",
    [
        ('{ low = 1, high = 2, source = "x" }', "unknown unit"),
        ('{ low = 1, high = 2, unit = "mg/L" }', "no source"),
        ('{ low = 3, high = 2, unit = "mg/L", source = "x" }', "no range"),
        ('{ unit = "mg/L", source = "x" }', "no range"),
        ('"10 mg/L"', "no table"),
    ],
)
def test_broken_threshold(tmp_path, threshold: str, hint: str) -> None:
    problems = check_lexicon(folder(tmp_path, "flaws", f"{GOOD_FLAW}threshold = {threshold}\n"))
    assert [p.key for p in problems] == ["bung cloth"] and hint in problems[0].hint


def test_listed_ambiguity_is_allowed(tmp_path) -> None:
    folder(tmp_path, "descriptors", '[pandanus]\nkind = "herb"\nsaid = "toffee"')
    (tmp_path / "ambiguous.toml").write_text('[toffee]\nterms = "pandanus, toffee"\nrule = "Leaf beside rice."')
    assert check_lexicon(tmp_path) == []
    (tmp_path / "ambiguous.toml").write_text('[toffee]\nterms = "pandanus, fudge"')
    hints = " ".join(p.hint for p in check_lexicon(tmp_path))
    assert "does not stand under [fudge]" in hints and "needs terms" in hints and "under [pandanus]" in hints


def test_a_phrase_of_another_part_needs_no_listing(tmp_path) -> None:
    folder(tmp_path, "descriptors", '["tea color"]\nkind = "color"\nsaid = "tea"')
    assert check_lexicon(tmp_path) == []
    folder(tmp_path, "descriptors", '["tea leaf"]\nkind = "herb"\nsaid = "tea"')
    assert [(p.key, "[tea] in" in p.hint) for p in check_lexicon(tmp_path)] == [("tea", True)]


def test_empty_and_missing_folders(tmp_path) -> None:
    assert "nothing to add" in check_lexicon(tmp_path)[0].hint
    with pytest.raises(LexiconError):
        check_lexicon(tmp_path / "none")
    result = run("--check", str(tmp_path / "none"))
    assert result.exit_code == 2 and len(result.stderr.splitlines()) == 1
