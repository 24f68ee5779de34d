"""The commands, as they are typed."""

from __future__ import annotations

import csv
import io
import json

import pytest
from typer.testing import CliRunner

from notes2sheet import draft_sheet
from notes2sheet.archive import listing
from notes2sheet.cli_archive import app
from notes2sheet.lexicon import load_sheet


@pytest.fixture
def run(path, monkeypatch):
    def call(*words: str, code: int = 0, text: str | None = None):
        result = CliRunner().invoke(app, [*words, "--archive", str(path)], input=text)
        assert result.exit_code == code, result.output
        return result

    return call


@pytest.fixture
def added(run, tmp_path, wrappers):
    files = []
    for n, wrapper in enumerate(wrappers):
        files.append(tmp_path / f"s{n}.finished.json")
        files[-1].write_text(json.dumps(wrapper))
    run("add", *map(str, files))
    return files


def test_add_says_what_became_of_each(run, added, tmp_path):
    notes = tmp_path / "n.txt"
    notes.write_text("A hazy IPA. The nose has big grapefruit, no diacetyl. Aroma ten.")
    out = run("add", str(notes), str(added[0]), "--judge", "Ada Brandt", "--date", "2025-02-03").stdout
    assert "#41" in out and "added (draft)" in out
    assert "is there already" in run("add", str(added[1])).stdout
    bad = run("add", str(tmp_path / "none.json"), str(added[2]), code=2)
    assert "no such file" in bad.stderr and "is there already" in bad.stdout
    assert run(
        "find", "--judge", "ada", "--since", "2025-02-03", "--until", "2025-02-03", "grapefruit"
    ).stdout.startswith("1 sheet\n")


def test_notes_without_a_tasting_are_refused(run, tmp_path):
    letter, note = tmp_path / "letter.txt", tmp_path / "n.txt"
    letter.write_text("Dear Hanne, the meeting moves to four o'clock. The heating man comes at 10. Regards, Pim")
    note.write_text("A hazy IPA. The nose has big grapefruit, no diacetyl. Aroma ten.")
    draft = tmp_path / "draft.json"
    draft.write_text(draft_sheet(letter.read_text()).model_dump_json())
    result = run("add", str(letter), str(note), str(draft), code=2)
    refused = result.stderr.splitlines()
    assert [line.split(":")[1].strip() for line in refused] == [str(letter), str(draft)]
    assert all("no tasting is found" in line and line.endswith(")") for line in refused)
    assert result.stdout.startswith("#1") and run("find").stdout.startswith("1 sheet\n")


def test_what_a_judge_finished_is_no_note_without_a_tasting(run, tmp_path, wrappers):
    file = tmp_path / "s.finished.json"
    flag = {"code": "no-tasting", "severity": "note", "message": "x"}
    file.write_text(json.dumps({**wrappers[0], "sheet": {**wrappers[0]["sheet"], "flags": [flag]}}))
    assert wrappers[0]["finished_at"] and "#1" in run("add", str(file)).stdout


def test_find_in_every_format(run, added, wrappers):
    found = json.loads(run("find", "--format", "json", "--limit", "0").stdout)
    assert found["count"] == len(found["sheets"]) == 40
    rows = list(csv.DictReader(io.StringIO(run("find", "--format", "csv", "--limit", "5").stdout)))
    assert len(rows) == 5 and {c.id for c in load_sheet().categories} < set(rows[0])
    assert "40 sheets, the first 20 shown" in run("find").stdout
    hit = json.loads(run("find", "flavour", "--format", "json", "--limit", "1").stdout)["sheets"][0]["hits"][0]
    assert hit["hit"].lower() in ("flavour", "flavor", "flavors", "flavours")


@pytest.mark.parametrize(
    "words", ['"', "AND", "NEAR(", "a:b", "*", "-x", "'; DROP TABLE sheet; --", "\x00", "café's", "^a", "%"]
)
def test_odd_words_are_no_error(run, added, path, words):
    result = CliRunner().invoke(app, ["find", "--archive", str(path), "--limit", "1", "--", words])
    assert (result.exit_code, "sheet" in result.stdout) == (0, True)


def test_a_cell_is_no_formula():
    assert listing.safe("=1+1") == "'=1+1"


def test_tags_like_report_export_import(run, added, tmp_path):
    assert json.loads(run("tags", "--format", "json", "--limit", "3").stdout)
    assert "citrus, by style" in run("tags", "citrus").stdout
    by_number, by_file = (
        json.loads(run("like", it, "--format", "json").stdout)["nearest by tags"] for it in ("3", str(added[2]))
    )
    assert by_file[0]["sheet"] == "#3"
    assert by_number[:9] == by_file[1:]
    pytest.importorskip("matplotlib")
    page = tmp_path / "page.html"
    run("report", "--out", str(page), "--status", "finished")
    assert "Finished sheets only." in page.read_text()
    lines = tmp_path / "all.jsonl"
    run("export", str(lines))
    assert len(lines.read_text().splitlines()) == 40
    assert "40 there already" in run("import", str(lines)).stdout
    lines.write_text(lines.read_text()[:-200])
    assert "line 40" in run("import", str(lines), code=2).stderr


@pytest.mark.parametrize(
    "words",
    [
        ["find", "--sort", "x"],
        ["find", "--format", "x"],
        ["find", "--since", "May"],
        ["find", "--status", "x"],
        ["like", "99"],
        ["report", "--out", "/no/such/folder/x"],
    ],
)
def test_wrong_values_are_one_line(run, added, words):
    assert run(*words, code=2).stderr.count("\n") == 1


def test_no_archive_yet_is_told(run):
    assert "no such archive" in run("find", code=2).stderr


def test_an_export_into_no_folder_is_refused(run, tmp_path):
    run("import", "-", text="")
    made = run("export", str(tmp_path / "none" / "x.jsonl"), code=2)
    assert made.stderr.startswith(f"notes2sheet: {tmp_path / 'none'}: no such folder")
