"""Results stay in the output folder, whatever files, links, judges and journals are called."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from typer.testing import CliRunner

from notes2sheet.batch import JOURNAL, Settings, local_engine, run
from notes2sheet.cli import app
from notes2sheet.outputs import EXTENSION
from notes2sheet.placing import inside, safe_name, write_whole

NOTE = "Aroma: high grapefruit, ten out of twelve.\n"


def draft_all(folder: Path, out: Path) -> list:
    return run(folder, out, Settings(), local_engine(1), lambda done, of: None)


@pytest.mark.parametrize("name", ["../x", "a/../../x", "/etc/x", "a\0b", ".."])
def test_a_name_that_leads_out_is_refused(tmp_path, name: str) -> None:
    with pytest.raises(ValueError, match="leads out|null"):
        write_whole(tmp_path / "out", name, b"")


@pytest.mark.parametrize(
    ("name", "kept"),
    [("CON", "_CON"), ("nul.txt", "_nul.txt"), ("com1/note", "_com1/note"), ("a:b", "a-b"), ("dot.", "dot"), ("a\nb", "a-b"),
     ("Kölsch 1", "Kölsch 1"), ("console", "console")],
)  # fmt: skip
def test_names_that_some_system_reserves(name: str, kept: str) -> None:
    assert safe_name(name) == kept


def test_links_in_the_output_folder_are_not_followed(tmp_path) -> None:
    out, away = tmp_path / "out", tmp_path / "away"
    out.mkdir(), away.mkdir()
    victim = away / "victim.txt"
    victim.write_text("kept")
    (out / "note.json").symlink_to(victim)
    (out / "deep").symlink_to(away)
    write_whole(out, "note.json", b"new")
    assert victim.read_text() == "kept" and not (out / "note.json").is_symlink()
    with pytest.raises(ValueError, match="leads out"):
        inside(out, "deep/x.json")


def test_draft_replaces_a_link(tmp_path) -> None:
    notes, victim, out = tmp_path / "note.txt", tmp_path / "victim", tmp_path / "out"
    notes.write_text(NOTE), victim.write_text("kept"), out.mkdir()
    (out / "note.json").symlink_to(victim)
    made = CliRunner().invoke(app, ["draft", str(notes), "--format", "json", "--out", str(out)])
    assert made.exit_code == 0 and victim.read_text() == "kept"
    assert json.loads((out / "note.json").read_text())["sheet"] == "beer-50"


def test_a_journal_cannot_remove_files_elsewhere(tmp_path) -> None:
    folder, out = tmp_path / "notes", tmp_path / "out"
    folder.mkdir(), out.mkdir()
    (folder / "a.txt").write_text(NOTE)
    victim = tmp_path / "victim.json"
    victim.write_text("kept")
    lines = [
        {"source": "a.txt", "key": "old", "results": ["../victim.json"], "total": None, "blockers": 0},
        {"source": "a.txt"}, {"source": 5, "key": [], "results": "x", "total": 0, "blockers": 0}, [], 7,
    ]  # fmt: skip
    (out / JOURNAL).write_text("\n".join(map(json.dumps, lines)) + "\n" + "[" * 100_000)
    assert draft_all(folder, out) == [] and victim.read_text() == "kept" and (out / "a.json").is_file()


def test_odd_names_in_a_batch(tmp_path) -> None:
    folder, out = tmp_path / "notes", tmp_path / "out"
    folder.mkdir()
    names = ["con.txt", "a\x1b[31mb.txt", "..txt..txt", "red [red].txt"]
    for name in names:
        (folder / name).write_text(NOTE)
    (Path(os.fsdecode(os.fsencode(folder) + b"/\xff.txt"))).write_text(NOTE)
    failed = draft_all(folder, out)
    assert [done.error for done in failed] == ["\\udcff.txt"] or "not UTF-8" in failed[0].error
    made = sorted(p.name for p in out.rglob("*.json") if p.is_file())
    assert {"_con.json", "a-[31mb.json", "red [red].json"} <= set(made)
    assert {p.name for p in tmp_path.iterdir()} == {"notes", "out"}


@pytest.mark.parametrize("command", [["draft"], ["check"], ["panel"], ["archive", "like"]])
def test_a_nul_in_a_path_is_one_line(command: list[str], tmp_path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    args = [*command, "a\0b.json"] + (["c.json"] if command == ["panel"] else [])
    if command[0] == "archive":
        args += ["--archive", str(tmp_path / "none.sqlite")]
    made = CliRunner().invoke(app, args)
    assert made.exit_code == 2 and len(made.stderr.strip().splitlines()) == 1, (made.exception, made.output)


@pytest.fixture
def inbox(tmp_path, monkeypatch):
    """A working folder with a folder of notes in it."""
    monkeypatch.chdir(tmp_path)
    folder = tmp_path / "inbox"
    folder.mkdir()
    for name in ("n.txt", "c.md"):
        (folder / name).write_text(NOTE)
    return folder


def refused(*args: str) -> str:
    """The one line that a command is refused with."""
    made = CliRunner().invoke(app, list(args), catch_exceptions=False)
    lines = made.stderr.splitlines()
    assert made.exit_code == 2 and len(lines) == 1 and lines[0].endswith(")"), made.output
    return lines[0]


@pytest.mark.parametrize(
    ("note", "form", "out"),
    [("n.txt", "text", "inbox"), ("n.txt", "text", "inbox/../inbox"), ("c.md", "md", "inbox"), ("n.txt", "text", "link"),
     ("c.md", "text", "inbox")],
)  # fmt: skip
def test_a_sheet_never_takes_the_place_of_notes(inbox, note: str, form: str, out: str) -> None:
    """Not that of the notes it comes from, and not that of others, which no command was told of."""
    (inbox.parent / "link").symlink_to(inbox)
    (inbox / "c.txt").write_text("kept")
    line = refused("draft", f"inbox/{note}", "--format", form, "--out", out)
    assert note.split(".")[0] + "." in line and "another --out folder" in line
    assert {path.name: path.read_text() for path in inbox.iterdir()} == {"n.txt": NOTE, "c.md": NOTE, "c.txt": "kept"}


def test_a_sheet_never_takes_the_place_of_notes_read_later(inbox) -> None:
    assert "n.txt" in refused("draft", "inbox/c.md", "inbox/n.txt", "--out", "inbox")
    (inbox.parent / "away.txt").symlink_to(inbox / "n.txt")
    refused("draft", "away.txt", "--out", ".")
    assert (inbox.parent / "away.txt").is_symlink() and (inbox / "n.txt").read_text() == NOTE


@pytest.mark.parametrize("form", EXTENSION)
def test_a_sheet_takes_the_place_of_an_earlier_one(inbox, form: str) -> None:
    if form == "pdf":
        pytest.importorskip("fpdf", reason="the extra 'pdf' is not installed")
    for text in (NOTE, NOTE + "Flavor: low rose, nine out of twenty.\n"):
        (inbox / "n.txt").write_text(text)
        made = CliRunner().invoke(app, ["draft", "inbox/n.txt", "--format", form, "--out", "out"])
        assert made.exit_code == 0, made.output
    if form not in ("pdf", "csv"):
        assert "rose" in (inbox.parent / "out" / f"n.{EXTENSION[form]}").read_text()


@pytest.mark.parametrize("command", ["batch", "watch"])
@pytest.mark.parametrize("out", ["inbox", "./inbox/../inbox", "link", "."])
@pytest.mark.parametrize("form", ["text", "json"])
def test_no_sheets_where_notes_are_read(inbox, command: str, out: str, form: str) -> None:
    """'.': the notes in inbox/inbox would be drafted to inbox."""
    if command == "watch":
        pytest.importorskip("watchfiles", reason="the extra 'watch' is not installed")
    (inbox.parent / "link").symlink_to(inbox)
    if out == ".":
        (inbox / "inbox").mkdir()
        (inbox / "inbox" / "n.md").write_text(NOTE)
    before = sorted(inbox.parent.rglob("*"))
    assert "another --out folder" in refused(command, "inbox", "--out", out, "--format", form)
    assert sorted(inbox.parent.rglob("*")) == before and (inbox / "n.txt").read_text() == NOTE


def test_a_result_that_would_lead_out_by_a_link_costs_one_file(inbox) -> None:
    away, out = inbox.parent / "away", inbox.parent / "out"
    away.mkdir(), out.mkdir(), (inbox / "deep").mkdir()
    (inbox / "deep" / "d.txt").write_text(NOTE)
    (out / "deep").symlink_to(away)
    assert [done.source for done in draft_all(inbox, out)] == ["deep/d.txt"] and not list(away.iterdir())


def test_a_batch_keeps_files_that_are_no_sheets(inbox) -> None:
    out = inbox.parent / "out"
    out.mkdir()
    (out / "n.json").write_text('{"my": "own"}')
    line = {"source": "c.md", "key": "old", "results": ["mine.json"], "total": None, "blockers": 0}
    (out / JOURNAL).write_text(json.dumps(line) + "\n")
    (out / "mine.json").write_text("also my own")
    failed = draft_all(inbox, out)
    assert [done.source for done in failed] == ["c.md", "n.txt"] and all("no sheet of ours" in d.error for d in failed)
    assert (out / "n.json").read_text() == '{"my": "own"}' and (out / "mine.json").read_text() == "also my own"
    (out / "n.json").unlink(), (out / "mine.json").unlink()
    assert draft_all(inbox, out) == [] and (out / "n.json").is_file()
