"""The commands draft and check as a user meets them: options, files, exit codes, and what is said of bad input."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys

import pytest
from frames import notes
from typer.testing import CliRunner

from notes2sheet import entry, network, tagger, unlisted
from notes2sheet.cli import app
from notes2sheet.model import Sheet

CLEAN = notes()
BLOCKED = notes(mouthfeel_score="")
EXTENSION = {"text": "txt", "json": "json", "md": "md"}


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A working folder with two notes; commands run in it by bare file names."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "clean.txt").write_text(CLEAN, encoding="utf-8")
    (tmp_path / "blocked.txt").write_text(BLOCKED, encoding="utf-8")
    return tmp_path


def run(*args: str, given: str | bytes | None = None):
    return CliRunner().invoke(app, list(args), input=given, catch_exceptions=False)


def test_draft_prints_the_sheet(folder) -> None:
    result = run("draft", "clean.txt")
    assert result.exit_code == 0 and result.stderr == ""
    for wanted in ("Copper Gate", "21A American IPA", "10 / 12", "42 by addition", "42 as said", "excellent"):
        assert wanted in result.stdout


def test_draft_of_several_prints_one_after_the_other(folder) -> None:
    result = run("draft", "clean.txt", "blocked.txt")
    assert result.exit_code == 0 and result.stdout.count("Copper Gate") == 2
    assert "no-score:mouthfeel" in result.stdout


def test_dash_is_standard_input(folder) -> None:
    typed = run("draft", "-", "--format", "json", given=CLEAN)
    read = run("draft", "clean.txt", "--format", "json")
    assert typed.exit_code == 0 and typed.stdout == read.stdout


@pytest.mark.parametrize("form", EXTENSION)
def test_formats_and_out_folder(folder, form: str) -> None:
    printed = run("draft", "clean.txt", "--format", form)
    written = run("draft", "clean.txt", "blocked.txt", "--format", form, "--out", "made/here")
    assert printed.exit_code == written.exit_code == 0 and written.stdout == ""
    made = sorted(path.name for path in (folder / "made" / "here").iterdir())
    assert made == [f"blocked.{EXTENSION[form]}", f"clean.{EXTENSION[form]}"]
    text = (folder / "made" / "here" / made[1]).read_text(encoding="utf-8")
    assert text == printed.stdout and "\x1b" not in text


def test_json_is_the_contract(folder) -> None:
    data = json.loads(run("draft", "clean.txt", "--format", "json").stdout)
    assert Sheet.model_validate(data).categories["flavor"].score == 17
    assert {
        "text",
        "sheet",
        "entry",
        "style",
        "sentences",
        "categories",
        "total",
        "descriptors",
        "flags",
    } <= data.keys()
    assert data["categories"]["appearance"].keys() >= {
        "cap",
        "score",
        "basis",
        "spans",
        "covered",
        "missing",
        "comment",
    }


def test_markdown_escapes_the_notes(folder) -> None:
    (folder / "odd.txt").write_text(
        notes(overall="It's <b>well</b> made, [a link](http://x) | `code`."), encoding="utf-8"
    )
    text = run("draft", "odd.txt", "--format", "md").stdout
    assert "<b>" not in text and "[a link](http://x)" not in text


def test_the_style_can_be_given(folder) -> None:
    (folder / "none.txt").write_text(notes(opening="Here is one.", overall="Well made."), encoding="utf-8")
    assert "style not said" in run("draft", "none.txt").stdout
    assert "10A Weissbier (given)" in run("draft", "none.txt", "--style", "10a").stdout
    assert "21A American IPA (given)" in run("draft", "none.txt", "--style", "american ipa").stdout


def test_the_sheet_can_be_named(folder) -> None:
    assert run("draft", "clean.txt", "--sheet", "beer-50").stdout == run("draft", "clean.txt").stdout


def test_check_exits_by_the_worst_flag(folder) -> None:
    clean, blocked = run("check", "clean.txt"), run("check", "blocked.txt")
    assert (clean.exit_code, clean.stdout) == (0, "Nothing to send back.\n")
    assert blocked.exit_code == 1 and "[no-score:mouthfeel]" in blocked.stdout and "Total" not in blocked.stdout
    assert run("check", "clean.txt", "blocked.txt").exit_code == 1
    assert run("check", "blocked.txt", "missing.txt").exit_code == 2


def test_check_does_not_stop_at_a_warning(folder) -> None:
    (folder / "none.txt").write_text(notes(opening="Here is one.", overall="Well made."), encoding="utf-8")
    result = run("check", "none.txt")
    assert result.exit_code == 0 and "[no-style]" in result.stdout


def test_flags_quote_their_words_with_line_or_time(folder) -> None:
    (folder / "lines.txt").write_text(notes(mouthfeel_score="Six out of five."), encoding="utf-8")
    (folder / "timed.vtt").write_text(
        "WEBVTT\n\n00:01.000 --> 00:04.000\nThis is judged as 21A, American IPA.\n\n"
        "01:05.000 --> 01:09.000\nMouthfeel: medium body. Six out of five.\n",
        encoding="utf-8",
    )
    assert "line 9: “Six out of five”" in run("check", "lines.txt").stdout
    assert "1:05, line 7: “Six out of five”" in run("check", "timed.vtt").stdout


def test_notes_with_no_tasting_give_a_sheet_that_says_so(folder) -> None:
    (folder / "list.txt").write_text("Buy milk, call the plumber, book the car in for Monday.\n", encoding="utf-8")
    result = run("draft", "list.txt")
    assert result.exit_code == 0 and "no-tasting" in result.stdout and result.stderr == ""
    assert run("check", "list.txt").exit_code == 1


BAD = {
    "empty": (b"", "is empty"),
    "blank": (b" \n\n\t\n", "is empty"),
    "binary": (b"\x00\x01\x02gold\x00\xff" * 40, "clean"),
    "picture": (b"\x89PNG\r\n\x1a\n" + bytes(range(256)), "UTF-8"),
    "latin": ("Kölsch, goldgelb, süß".encode("latin-1"), "not UTF-8"),
}


@pytest.mark.parametrize("command", ["draft", "check"])
@pytest.mark.parametrize("name", [*BAD, "folder", "missing"])
def test_bad_input_is_one_line_and_the_rest_is_done(folder, command: str, name: str) -> None:
    if name == "folder":
        (folder / name).mkdir()
    elif name != "missing":
        (folder / name).write_bytes(BAD[name][0])
    result = run(command, name, "clean.txt")
    assert result.exit_code == 2
    lines = result.stderr.splitlines()
    assert len(lines) == 1 and name in lines[0] and "Traceback" not in lines[0]
    assert lines[0].startswith("notes2sheet: ") and lines[0].endswith(")"), "what is wrong, then in brackets what to do"
    if name in ("empty", "blank", "latin"):
        assert BAD[name][1] in lines[0]
    assert ("42 by addition" if command == "draft" else "Nothing to send back.") in result.stdout


@pytest.mark.parametrize(
    ("args", "wanted"),
    [
        (["--style", "99Z"], "unknown style '99Z'"),
        (["--sheet", "wine-20"], "unknown sheet 'wine-20'"),
        (["--sheet", "../styles/21A"], "unknown sheet"),
        (["--lexicon", "nowhere"], "no such lexicon folder"),
        (["--lexicon", "clean.txt"], "no such lexicon folder"),
    ],
)
@pytest.mark.parametrize("command", ["draft", "check"])
def test_a_bad_option_is_one_line(folder, command: str, args: list[str], wanted: str) -> None:
    result = run(command, "clean.txt", *args)
    assert result.exit_code == 2 and result.stdout == ""
    assert len(result.stderr.splitlines()) == 1 and wanted in result.stderr


CACHED = (tagger.tagger, network.read_network, entry.read_weights, unlisted.common_words)


@pytest.mark.parametrize("harm", ["missing", "cut", "other"])
@pytest.mark.parametrize("name", sorted(path.name for path in tagger.MODELS.iterdir()))
def test_a_file_of_the_program_that_is_missing_or_broken_is_one_line(folder, monkeypatch, name: str, harm: str) -> None:
    if name == "common_words.txt" and harm != "missing":
        pytest.skip("any text is a list of words")
    models = folder / "models"
    shutil.copytree(tagger.MODELS, models)
    whole = (models / name).read_bytes()
    (models / name).unlink()
    if harm != "missing":
        (models / name).write_bytes(whole[: len(whole) // 2] if harm == "cut" else b"version 1\nsize 10\n")
    for module in (tagger, unlisted):
        monkeypatch.setattr(module, "MODELS", models)
    for one in CACHED:
        one.cache_clear()
    (folder / "running.txt").write_text("gold and clear i get some pine nine of twelve " * 20, encoding="utf-8")
    try:
        result = run("draft", "clean.txt" if "running" not in name else "running.txt")
    finally:
        for one in CACHED:
            one.cache_clear()
    assert (result.exit_code, result.stdout) == (2, "")
    assert len(result.stderr.splitlines()) == 1 and str(models / name) in result.stderr and "again" in result.stderr


def test_an_unknown_format_is_one_line(folder) -> None:
    result = run("draft", "clean.txt", "--format", "docx")
    assert (result.exit_code, result.stdout) == (2, "")
    assert len(result.stderr.splitlines()) == 1 and "docx" in result.stderr and "json" in result.stderr


def own_lexicon(folder, monkeypatch, *parts: str) -> None:
    """An empty lexicon of the user's own, and a cache apart from the real one."""
    monkeypatch.setenv("NOTES2SHEET_CACHE", str(folder / "cache"))
    for part in parts or ("descriptors", "flaws", "ingredients"):
        (folder / "own" / part).mkdir(parents=True)


BROKEN = {
    "no TOML": '[peach\nkind = "fruit"',
    "unknown kind": '[peachy-keen]\nkind = "furniture"\nsaid = "peachy keen"',
    "no table": 'peach = "peach"',
    "list": '[peachy-keen]\nkind = "fruit"\nsaid = ["peachy keen"]',
    "unknown level": '[peachy-keen]\nkind = "fruit"\nlevel = "a lot"\nsaid = "peachy keen"',
    "not text": "\udcff",
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_lexicon_names_its_file(folder, monkeypatch, name: str) -> None:
    own_lexicon(folder, monkeypatch)
    path = folder / "own" / "descriptors" / "mine.toml"
    path.write_bytes(BROKEN[name].encode("utf-8", "surrogateescape"))
    result = run("draft", "clean.txt", "--lexicon", "own")
    assert (result.exit_code, result.stdout) == (2, "")
    assert len(result.stderr.splitlines()) == 1 and "mine.toml" in result.stderr


def test_own_words_are_added(folder, monkeypatch) -> None:
    own_lexicon(folder, monkeypatch)
    (folder / "own" / "descriptors" / "mine.toml").write_text(
        '[quince]\nkind = "fruit"\nsaid = "quincey wonder"\n', encoding="utf-8"
    )
    (folder / "q.txt").write_text(notes(aroma="I get some quincey wonder here."), encoding="utf-8")
    assert "quincey wonder" not in run("draft", "q.txt").stdout
    assert "quincey wonder" in run("draft", "q.txt", "--lexicon", "own").stdout


def test_an_own_lexicon_may_hold_one_folder(folder, monkeypatch) -> None:
    own_lexicon(folder, monkeypatch, "descriptors")
    assert run("draft", "clean.txt", "--lexicon", str(folder / "own")).exit_code == 0


def test_an_out_folder_that_is_a_file_is_one_line(folder) -> None:
    result = run("draft", "clean.txt", "--out", "blocked.txt")
    assert result.exit_code == 2 and len(result.stderr.splitlines()) == 1 and "blocked.txt" in result.stderr


def test_two_inputs_of_one_stem_do_not_overwrite_each_other(folder) -> None:
    (folder / "b").mkdir()
    (folder / "b" / "clean.txt").write_text(BLOCKED, encoding="utf-8")
    run("draft", "clean.txt", "b/clean.txt", "--out", "made", "--format", "json")
    assert len(list((folder / "made").iterdir())) == 2


def test_no_arguments_show_the_help() -> None:
    assert "draft" in run().output and "check" in run("--help").stdout
    assert run("draft").exit_code == 2


def test_plain_in_a_pipe_and_quiet_on_stderr(folder) -> None:
    """As a process of its own: no color codes in a pipe, the notes on standard input."""
    made = subprocess.run(
        [sys.executable, "-m", "notes2sheet", "draft", "-"], input=CLEAN.encode(), capture_output=True, timeout=60
    )
    assert made.returncode == 0 and made.stderr == b""
    assert b"\x1b" not in made.stdout and b"42 by addition" in made.stdout


@pytest.mark.skipif(sys.platform == "win32", reason="no pseudo-terminal")
def test_in_color_on_a_terminal(folder) -> None:
    import pty

    shown, child = pty.openpty()
    process = subprocess.Popen([sys.executable, "-m", "notes2sheet", "draft", "clean.txt"], stdout=child, stderr=child)
    assert process.wait(timeout=60) == 0
    os.close(child)
    assert b"\x1b[1m" in os.read(shown, 65536)
    os.close(shown)


@pytest.mark.parametrize("width", [5, 20, 33, 40, 60])
def test_no_line_is_wider_than_the_terminal(folder, monkeypatch, width: int) -> None:
    """Of a terminal of 20 columns and more; figures stay in line where they have room."""
    monkeypatch.setenv("COLUMNS", str(width))
    (folder / "mended.txt").write_text(notes(aroma_score="Ten out of twelve. No, make that nine for aroma."))
    for name in ("clean.txt", "mended.txt", "blocked.txt"):
        for command in ("draft", "check"):
            lines = run(command, name).stdout.splitlines()
            assert max(map(len, lines)) <= max(width, 20), (command, name)
    total = " ".join(run("draft", "clean.txt").stdout.split())
    assert "Total 42 by addition, 42 as said · excellent" in total


def test_control_characters_in_notes_do_not_reach_the_terminal(folder) -> None:
    odd = "It is fine.\x1b[31mred\x1b[0m\x07"
    (folder / "odd.txt").write_text(notes(overall=odd, mouthfeel_score=f"Six of five.{odd}"), encoding="utf-8")
    for result in (run("draft", "odd.txt"), run("check", "odd.txt"), run("draft", "odd.txt", "--format", "md")):
        assert "\x1b" not in result.stdout and "\x07" not in result.stdout
