"""The crib of a style and the search for styles, through the command."""

from __future__ import annotations

import json

import pytest
import typer
from typer.testing import CliRunner

from notes2sheet.cli_style import style
from notes2sheet.lexicon import load_sheet
from notes2sheet.style_data import style_names

app = typer.Typer()
app.command()(style)
run = CliRunner()


def ask(*args: str):
    return run.invoke(app, list(args))


@pytest.mark.parametrize("code", ["5B", "21B", "27-sahti", "29A"])
@pytest.mark.parametrize("form", ["text", "md"])
def test_a_crib_names_every_prompt_and_cap(code, form):
    told = ask(code, "--format", form).stdout
    assert style_names()[code]["name"] in told
    for category in load_sheet("beer-50").categories:
        assert f"(of {category.cap})" in told
        assert all(aspect in told for aspect in category.aspects)


def test_a_crib_says_what_to_look_for():
    told = ask("kölsch").stdout
    assert "yellow to light gold" in told and "brilliant to bright" in told
    assert "not wanted: roast, caramel" in told
    assert "honey (up to very low)" in told
    assert "OG 1.044–1.050" in told and "4.4–5.2% ABV" in told


def test_a_crib_as_json_holds_the_same():
    crib = json.loads(ask("5B", "--format", "json").stdout)
    assert [part["cap"] for part in crib["parts"]] == [3, 12, 20, 5, 10]
    color = crib["parts"][0]["looks"][0]
    assert (color["aspect"], color["range"]) == ("color", "yellow to light gold")
    assert crib["tolerated"] == {"estery": "low"}


def test_an_unknown_style_is_refused_with_a_hint():
    told = ask("zorbly ale")
    assert told.exit_code == 2 and "unknown style" in told.stderr


def test_without_a_name_all_styles_are_listed():
    assert len(ask().stdout.splitlines()) == len(style_names()) > 123


SEARCHES = {
    "hazy low bitterness": ("21C", "5D"), "banana clove": ("10A", "1A"), "coriander": ("24A", "5B"),
    "smoked lager": ("6B", "8B"),
    "roast no hops": ("15B", "21A"), "sour very high carbonation": ("23A", "4A"), "belgian dark strong": ("26D", "26C"),
    "black dry": ("15B", "5D"), "cloudy": ("24A", "5B"), "salt": ("23G", "5B"),
    "full body low carbonation": ("17D", "1A"),
}  # fmt: skip


@pytest.mark.parametrize("asked", SEARCHES)
def test_a_search_finds_what_answers_and_not_what_does_not(asked):
    told = ask("--search", asked, "--format", "json")
    found = [style["code"] for style in json.loads(told.stdout)]
    wanted, unwanted = SEARCHES[asked]
    assert wanted in found and unwanted not in found


def test_a_search_says_what_it_did_not_understand():
    told = ask("--search", "zorbly banana")
    assert "zorbly" in told.stderr and "10A" in told.stdout


def test_a_search_without_answer_fails_openly():
    told = ask("--search", "jet black very low roast very high bitterness straw")
    assert told.exit_code == 1 and told.stdout == ""
