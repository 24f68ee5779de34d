"""A folder of notes: a result per file, errors that stop nothing, resumed runs, the same bytes whoever works."""

from __future__ import annotations

import csv
import json
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from folder import BROKEN, app, break_some, content, fill
from typer.testing import CliRunner

from notes2sheet.batch import JOURNAL, Done, Settings, Task, draft_task, local_engine, run
from notes2sheet.outputs import EXTENSION

RUNNER = CliRunner()


def batch(folder: Path, out: Path, *options: str):
    return RUNNER.invoke(app, ["batch", str(folder), "--out", str(out), *options])


def test_bad_files_are_listed_and_the_rest_is_done(tmp_path: Path) -> None:
    folder, out = break_some(fill(tmp_path / "notes", 4)), tmp_path / "out"
    result = batch(folder, out, "--workers", "1")
    assert result.exit_code == 2
    errors = [line for line in result.stderr.splitlines() if line.startswith("notes2sheet: ")]
    assert sorted(line.split(": ")[1] for line in errors) == sorted([*BROKEN, "long.txt", "loop.txt"])
    assert sorted(name for name in content(out) if name != JOURNAL) == [
        "flight0/note00000.json", "flight0/note00003.json", "flight1/note00001.json", "flight2/note00002.json",
    ]  # fmt: skip
    assert "Traceback" not in result.output and "drafted now" in result.stdout


@pytest.mark.parametrize("form", EXTENSION)
def test_same_bytes_whatever_the_workers(tmp_path: Path, form: str) -> None:
    if form == "pdf":
        pytest.importorskip("fpdf", reason="the extra 'pdf' is not installed")
    folder = fill(tmp_path / "notes", 3)
    (folder / "panel.txt").write_text("21A\nAda: gold\nBo: amber\nAda: aroma 9\nBo: aroma 7\n")
    for workers in ("1", "2"):
        assert batch(folder, tmp_path / workers, "--workers", workers, "--format", form).exit_code == 0
    one, two = content(tmp_path / "1"), content(tmp_path / "2")
    ending = EXTENSION[form]
    assert one == two and {f"panel.ada.{ending}", f"panel.bo.{ending}", JOURNAL} < set(one)
    assert len(one) == 6 + (form == "csv")


def test_goes_on_by_content(tmp_path: Path) -> None:
    folder, out = fill(tmp_path / "notes", 4), tmp_path / "out"
    drafted: list[str] = []

    def engine(tasks):
        for task in tasks:
            drafted.append(task.source)
            yield draft_task(task)

    def go(settings: Settings = Settings()) -> list[str]:  # noqa: B008
        drafted.clear()
        assert run(folder, out, settings, engine, lambda done, of: None) == []
        return sorted(drafted)

    names = sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*.txt"))
    assert go() == names and go() == []
    (folder / names[0]).touch()
    (folder / names[1]).write_text("other notes, aroma 9 of 12")
    (out / names[2]).with_suffix(".json").unlink()
    assert go() == names[1:3]
    assert go(Settings(style="21A")) == names
    journal = out / JOURNAL
    journal.write_text(journal.read_text()[:-30])  # cut by a crash
    assert go(Settings(style="21A")) == names[-1:]


@pytest.mark.parametrize("workers", ["1", "2"])
def test_an_interrupted_run_goes_on(tmp_path: Path, workers: str) -> None:
    folder, out = fill(tmp_path / "notes", 30), tmp_path / "out"
    code = "import sys; sys.path.insert(0, sys.argv.pop(1)); from folder import app; app()"
    command = [
        sys.executable,
        "-c",
        code,
        str(Path(__file__).parent),
        "batch",
        str(folder),
        "--out",
        str(out),
        "--workers",
        workers,
    ]
    process = subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # a shell's background job ignores it
    )
    while not (out / JOURNAL).exists() or len((out / JOURNAL).read_text().splitlines()) < 3:
        assert process.poll() is None
        time.sleep(0.01)
    os.killpg(process.pid, signal.SIGINT)  # as a terminal does: to the workers too
    _, errors = process.communicate(timeout=30)
    done = len(content(out)) - 1
    assert process.returncode == 130 and "goes on where it stopped" in errors and 3 <= done < 30
    assert "Traceback" not in errors
    assert not list(out.rglob("*.part"))
    result = batch(folder, out, "--workers", "1")
    assert result.exit_code == 0 and re.search(rf"drafted before\D+{done}\b", result.stdout)
    whole = tmp_path / "whole"
    assert batch(folder, whole, "--workers", "1").exit_code == 0
    assert content(out) == content(whole)


def fatal(task: Task) -> Done:
    """Dies as a worker does that the kernel kills, on one of the files."""
    if task.source.endswith("note00002.txt"):
        os.kill(os.getpid(), signal.SIGKILL)
    return Done(task.source, task.key, ((f"{task.stem}.json", "{}"),))


def test_a_dying_worker_costs_one_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("notes2sheet.batch.draft_task", fatal)
    folder, out = fill(tmp_path / "notes", 9), tmp_path / "out"
    failed = run(folder, out, Settings(), local_engine(2), lambda done, of: None)
    assert [done.source for done in failed] == ["flight2/note00002.txt"] and "the worker died" in failed[0].error
    assert len(content(out)) == 9


@pytest.mark.parametrize(
    ("options", "wanted"),
    [
        (["--format", "odt"], "unknown format"),
        (["--style", "99Z"], "99Z"),
        (["--sheet", "mead"], "unknown sheet"),
        (["--engine", "dask"], "--scheduler"),
        (["--engine", "spark"], "unknown engine"),
        (["--lexicon", "nowhere"], "no such lexicon"),
    ],
)
def test_wrong_options_stop_before_the_first_file(tmp_path: Path, options: list[str], wanted: str) -> None:
    result = batch(fill(tmp_path / "notes", 1), tmp_path / "out", *options)
    assert result.exit_code == 2 and wanted in result.stderr and len(result.stderr.splitlines()) == 1
    assert not content(tmp_path / "out")


def test_no_folder_and_no_rights(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    fill(tmp_path / "notes", 1)
    for folder, out, wanted in (
        (tmp_path / "none", tmp_path / "o", "no such folder"),
        (tmp_path / "notes", tmp_path / "file" / "o", "check --out"),
    ):
        result = batch(folder, out)
        assert result.exit_code == 2 and wanted in result.stderr and len(result.stderr.splitlines()) == 1


def test_files_that_share_a_stem_keep_their_endings(tmp_path: Path) -> None:
    folder = tmp_path / "notes"
    folder.mkdir()
    for name in ("talk.txt", "Talk.md", "else.txt"):
        (folder / name).write_text("aroma 9 of 12, floral")
    assert batch(folder, folder / "out", "--workers", "1").exit_code == 0
    assert batch(folder, folder / "out", "--workers", "1").exit_code == 0  # its own results are no notes
    assert batch(folder, folder / "texts", "--workers", "1", "--format", "text").exit_code == 0
    assert len(content(folder / "texts")) == 4  # nor are those of another run
    assert set(content(folder / "out")) == {JOURNAL, "talk.txt.json", "Talk.md.json", "else.json"}
    assert json.loads((folder / "out" / "else.json").read_text())["categories"]["aroma"]["score"] == 9


@pytest.mark.parametrize("form", ["html", "pdf", "text", "md"])
def test_every_format_of_a_draft(tmp_path: Path, form: str) -> None:
    if form == "pdf":
        pytest.importorskip("fpdf", reason="the extra 'pdf' is not installed")
    folder, out = fill(tmp_path / "notes", 1), tmp_path / "out"
    assert batch(folder, out, "--workers", "1", "--format", form).exit_code == 0
    made = (out / f"flight0/note00000.{EXTENSION[form]}").read_bytes()
    assert made.startswith({"html": b"<!doctype html>", "pdf": b"%PDF-", "md": b"# "}.get(form, b""))
    assert form != "pdf" or b"D:19700101000000" in made  # no time of the run, which would change the bytes
    assert form == "pdf" or b"Alcohol is not for minors" in made


def test_csv_is_gathered_in_one_table(tmp_path: Path) -> None:
    folder, out = tmp_path / "notes", tmp_path / "out"
    folder.mkdir()
    (folder / "sheets.txt").write_text("aroma 9 of 12, floral")
    (folder / "=panel.txt").write_text("21A\nAda: gold\nBo: amber\nAda: aroma 8\nBo: aroma 7\n")
    for again in range(2):  # the second run drafts nothing and still writes the whole table
        assert batch(folder, out, "--workers", "1", "--format", "csv").exit_code == 0, again
        with (out / "sheets.csv").open(newline="") as file:
            rows = list(csv.DictReader(file))
        assert [(row["file"], row["aroma"]) for row in rows] == [
            ("'=panel.ada.csv", "8.0"), ("'=panel.bo.csv", "7.0"), ("sheets.txt.csv", "9.0"),
        ]  # fmt: skip
        (out / "sheets.csv").unlink()
    (folder / "cider.txt").write_text("Judging cider. This cider is gold. Appearance: 5 of 6. Aroma: apple, 8 of 10.")
    assert batch(folder, out, "--workers", "1", "--format", "csv").exit_code == 0
    with (out / "sheets.csv").open(newline="") as file:
        row = next(row for row in csv.DictReader(file) if row["file"] == "cider.csv")
    assert (row["sheet"], row["overall_cap"], row["mouthfeel_cap"]) == ("cider-50", "10", "")
