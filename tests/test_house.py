"""House rules: where they are found, what they change, and what is said of a broken file."""

from __future__ import annotations

import json
import os

import pytest
from frames import notes
from typer.testing import CliRunner

from notes2sheet.cli import app
from notes2sheet.errors import HouseError
from notes2sheet.house import FILE, find_house, load_house
from notes2sheet.model import Sheet
from notes2sheet.pipeline import draft_sheet

RULES = """points = "whole"
author = "Ada Probe"

[bands]
"club gold" = 42
"club silver" = 36

[prompts]
mouthfeel.creaminess = "warning"

[flags]
no-style = "blocker"
missing-prompts = { off = "the club's form has no prompts" }
"""
SPOKEN = notes(
    opening="This is Copper Gate.", mouthfeel="It has a light body.", appearance_score="Two and a half out of three.",
    overall="Fresh and drinkable.", closing="That's a total of forty-one and a half out of fifty.",
)  # fmt: skip


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """Notes with house rules beside them, and a configuration folder of our own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    (tmp_path / "notes" / "flight").mkdir(parents=True)
    (tmp_path / "notes" / FILE).write_text(RULES, encoding="utf-8")
    (tmp_path / "notes" / "one.txt").write_text(SPOKEN, encoding="utf-8")
    (tmp_path / "notes" / "flight" / "two.txt").write_text(SPOKEN, encoding="utf-8")
    return tmp_path


def run(*args: str):
    return CliRunner().invoke(app, list(args), catch_exceptions=False)


def drafted(*args: str) -> Sheet:
    return Sheet.model_validate_json(run("draft", *args, "--format", "json").stdout)


def severities(sheet: Sheet) -> dict[str, str]:
    return {flag.code: flag.severity for flag in sheet.flags}


def test_rules_beside_the_notes_are_in_force(folder) -> None:
    sheet = drafted("notes/one.txt")
    flags = severities(sheet)
    assert (flags["fraction"], flags["required-prompt"], flags["no-style"]) == ("warning", "warning", "blocker")
    assert "missing-prompts" not in flags and {flag.code for flag in sheet.silenced} == {"missing-prompts"}
    assert (sheet.total.band, sheet.total.house_band) == ("excellent", "club silver")
    order = ["blocker", "warning", "note"]
    assert [order.index(f.severity) for f in sheet.flags] == sorted(order.index(f.severity) for f in sheet.flags)


def test_without_rules_nothing_changes(folder) -> None:
    plain = drafted("notes/one.txt", "--house", "none")
    assert plain == drafted("notes/flight/two.txt") and plain.flags == draft_sheet(plain.text).flags
    assert plain.house is None and "fraction" not in severities(plain)


def test_a_named_file_goes_before_the_nearest_and_the_user_s_own_comes_last(folder) -> None:
    own = folder / "config" / "notes2sheet"
    own.mkdir(parents=True)
    (own / FILE).write_text('author = "Own Folder"\n')
    (folder / "named.toml").write_text('author = "Named"\n')
    assert drafted("notes/one.txt", "--house", "named.toml").house.author == "Named"
    assert drafted("notes/one.txt").house.author == "Ada Probe"
    assert drafted("notes/flight/two.txt").house.author == "Own Folder"


def test_style_of_the_house_is_for_notes_that_do_not_say_it(folder) -> None:
    (folder / "notes" / FILE).write_text('style = "american ipa"\n')
    assert drafted("notes/one.txt").style.model_dump(include={"code", "basis"}) == {"code": "21A", "basis": "given"}
    assert drafted("notes/one.txt", "--style", "5D").style.code == "5D"


@pytest.mark.parametrize("form", ["text", "md", "html", "csv"])
def test_every_form_shows_the_own_band_beside_the_published_one(folder, form: str) -> None:
    made = run("draft", "notes/one.txt", "--format", form).stdout
    assert "excellent" in made and "club silver" in made
    assert form == "csv" or "form has no prompts" in made.replace("&#39;", "'").replace("\n", " ")


def test_batch_looks_up_to_its_folder_and_drafts_again_under_new_rules(folder) -> None:
    run("batch", "notes", "--out", "made", "--workers", "1")
    made = {path.stem for path in (folder / "made").rglob("*.json")}
    assert made == {"one", "two"}, "the rules themselves are no notes"
    two = folder / "made" / "flight" / "two.json"
    assert Sheet.model_validate_json(two.read_bytes()).house.author == "Ada Probe"
    (folder / "notes" / FILE).write_text('author = "Bo Probe"\n')
    run("batch", "notes", "--out", "made", "--workers", "1")
    assert Sheet.model_validate_json(two.read_bytes()).house.author == "Bo Probe"
    run("batch", "notes", "--out", "made", "--workers", "1", "--house", "none")
    assert Sheet.model_validate_json(two.read_bytes()).house is None


def test_a_draft_read_back_is_the_same_sheet_wherever_it_is_read(folder) -> None:
    from notes2sheet.review.corrections import apply
    from notes2sheet.review.desk import open_desk

    sheet = drafted("notes/one.txt")
    (folder / "draft.json").write_text(sheet.model_dump_json(), encoding="utf-8")
    assert open_desk(folder / "draft.json").draft == sheet == open_desk(folder / "notes" / "one.txt").draft
    assert set(apply(sheet, ()).sheet.flags) == set(sheet.flags)
    assert set(apply(sheet, ()).sheet.silenced) == set(sheet.silenced)


def test_the_archive_takes_the_author_for_the_judge(folder) -> None:
    from notes2sheet.archive.record import read_records

    record = read_records("notes/one.txt")[0]
    assert record.data["judge"] == "Ada Probe" and record.sheet["house"]["points"] == "whole"
    assert read_records("notes/one.txt", judge="Bo Probe")[0].data["judge"] == "Bo Probe"
    assert read_records("notes/one.txt", house="none")[0].data["judge"] is None


BROKEN = {
    'pionts = "whole"': ("pionts", "did you mean 'points'?"),
    'points = "halves"': ("points", "did you mean 'half'?"),
    "author = 3": ("author", 'write author = "..."'),
    'style = "amrican ipa"': ("style", "American IPA"),
    'bands = "gold"': ("bands", "write [bands]"),
    '[bands]\ngold = "high"': ("bands.gold", "0 to 50"),
    "[bands]\ngold = 60": ("bands.gold", "0 to 50"),
    "[bands]\ngold = 40\nred = 40": ("bands.red", "of its own"),
    '[prompts]\n"flavor.balence" = "blocker"': ("prompts.flavor.balence", "did you mean 'flavor.balance'?"),
    '[prompts]\nflavor.balance = "bloker"': ("prompts.flavor.balance", "did you mean 'blocker'?"),
    '[flags]\noff-stile = "note"': ("flags.off-stile", "did you mean 'off-style'?"),
    '[flags]\n"no-score:aromas" = "note"': ("flags.no-score:aromas", "did you mean 'aroma'?"),
    '[flags]\noff-style = "off"': ("flags.off-style", 'write { off = "the reason" }'),
    '[flags]\noff-style = { off = "" }': ("flags.off-style", 'write { off = "the reason" }'),
    "points = whole": ("", "not valid TOML"),
}


@pytest.mark.parametrize("broken", BROKEN)
def test_a_broken_file_is_one_line_with_file_key_and_hint(folder, broken: str) -> None:
    (folder / "notes" / FILE).write_text(broken + "\n", encoding="utf-8")
    result = run("draft", "notes/one.txt")
    key, hint = BROKEN[broken]
    assert (result.exit_code, result.stdout, len(result.stderr.splitlines())) == (2, "", 1)
    assert os.path.join("notes", FILE) in result.stderr and f": {key}" in result.stderr and hint in result.stderr
    batch = run("batch", "notes", "--out", "made")
    assert batch.exit_code == 2 and hint in batch.stderr and not (folder / "made").exists()


def test_a_missing_named_file_is_an_error(folder) -> None:
    with pytest.raises(HouseError, match="gone.toml: cannot be read"):
        find_house(folder, "gone.toml")


def test_the_schema_knows_the_rules() -> None:
    properties = json.loads(run("schema").stdout)
    assert {"house", "silenced"} <= properties["properties"].keys()
    assert {"points", "bands", "prompts", "off"} <= properties["$defs"]["House"]["properties"].keys()


def test_rules_are_read_anew_when_the_file_changes(folder) -> None:
    path = folder / "notes" / FILE
    assert load_house(path).rules.band(45) == "club gold" and load_house(path).rules.band(10) is None
    path.write_text("[bands]\nred = 0\n", encoding="utf-8")
    assert load_house(path).rules.band(45) == "red"
