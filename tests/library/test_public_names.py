"""The public names: typed, documented with examples that run, all on the API page."""

from __future__ import annotations

import doctest
import importlib
import inspect
import json
import subprocess
import sys
from pathlib import Path

import pytest
from frames import HERE
from pydantic import ValidationError
from typer.testing import CliRunner

import notes2sheet
from notes2sheet.archive.record import make_record
from notes2sheet.cli import app
from notes2sheet.model import SCHEMA
from notes2sheet.panel import read_sheet
from notes2sheet.review.desk import read_draft

ROOT = HERE.parent
OBJECTS = [name for name in notes2sheet.__all__ if name != "Span"]  # an alias has no docstring of its own


def run(*args: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", *args], cwd=ROOT, capture_output=True, text=True, timeout=600)


def test_types_hold_and_are_shipped() -> None:
    """mypy, strict, over the files that pyproject.toml lists; py.typed tells other checkers (PEP 561)."""
    pytest.importorskip("mypy")
    checked = run("mypy")
    assert checked.returncode == 0, checked.stdout + checked.stderr
    assert (ROOT / "notes2sheet" / "py.typed").exists()


@pytest.mark.parametrize("module", ["", ".components", ".errors", ".lexicon", ".model", ".pipeline"])
def test_examples_run(module: str) -> None:
    failed, tried = doctest.testmod(importlib.import_module(f"notes2sheet{module}"))
    assert tried > 0 and failed == 0


@pytest.mark.parametrize("name", OBJECTS)
def test_every_public_name_is_documented(name: str) -> None:
    assert inspect.getdoc(getattr(notes2sheet, name)), name


def test_the_api_page_has_every_public_name(tmp_path: Path) -> None:
    pytest.importorskip("pdoc")
    made = run("pdoc", "-o", str(tmp_path), "notes2sheet", "!notes2sheet[.].*", "notes2sheet.components")
    assert made.returncode == 0, made.stderr
    page = (tmp_path / "notes2sheet.html").read_text(encoding="utf-8")
    missing = [name for name in notes2sheet.__all__ if f'id="{name}"' not in page]
    assert not missing and (tmp_path / "notes2sheet" / "components.html").exists()


DRAFT = json.loads(notes2sheet.draft_sheet("Aroma: pine. 9/12").model_dump_json())


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"from_the_future": 1}, "from_the_future"),
        ({"schema_version": SCHEMA + 1}, f"schema {SCHEMA + 1}"),
        ({"schema_version": SCHEMA + 1, "text": {"words": []}, "from_the_future": 1}, f"schema {SCHEMA + 1}"),
    ],
)
def test_a_sheet_of_a_newer_version_is_refused_in_one_line(tmp_path: Path, more: dict, said: str) -> None:
    """The promise in CHANGELOG.md, for each place that takes stored sheets in."""
    newer, path = DRAFT | more, tmp_path / "newer.json"
    path.write_text(json.dumps(newer), encoding="utf-8")
    for load in (lambda: read_sheet(str(path)), lambda: make_record(newer, "newer.json"), lambda: read_draft(path)):
        with pytest.raises(notes2sheet.NotesError, match=said) as refused:
            load()
        told = str(refused.value)
        assert "\n" not in told and "newer.json" in told and "update notes2sheet" in told


COMMANDS = [["review", "--no-browser"], ["panel", "NEWER"], ["archive", "add"], ["archive", "import"]]


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_every_command_refuses_a_newer_sheet(tmp_path: Path, command: list[str]) -> None:
    path, archive = tmp_path / "newer.json", str(tmp_path / "a.sqlite")
    newer = DRAFT | {"schema_version": SCHEMA + 1}
    version = {"added": "2026-01-01T00:00:00+00:00", "current": True, "data": {"sheet": newer, "status": "draft"}}
    exported = {"uid": "x", "added": version["added"], "versions": [version]}
    path.write_text(json.dumps(exported if "import" in command else newer) + "\n", encoding="utf-8")
    args = [str(path) if word == "NEWER" else word for word in command] + [str(path)]
    made = CliRunner().invoke(app, args + (["--archive", archive] if command[0] == "archive" else []))
    assert made.exit_code == 2 and len(made.stderr.splitlines()) == 1, (made.exception, made.output)
    assert f"schema {SCHEMA + 1}" in made.stderr and "update notes2sheet" in made.stderr


@pytest.mark.parametrize("version", ["2", 2.0, 0, -1, None, True])
def test_a_schema_is_a_whole_number_from_one(version: object) -> None:
    with pytest.raises(ValidationError):
        notes2sheet.Sheet.model_validate_json(json.dumps(DRAFT | {"schema_version": version}))


def test_a_sheet_from_before_schemas_were_numbered_is_the_same_sheet() -> None:
    older = {name: value for name, value in DRAFT.items() if name != "schema_version"}
    assert notes2sheet.Sheet.model_validate(older) == notes2sheet.Sheet.model_validate(DRAFT)
    assert make_record(older, "older").hash == make_record(DRAFT, "newer").hash


def test_the_changes_tell_of_this_version() -> None:
    changes = (ROOT / "notes2sheet" / "CHANGELOG.md").read_text(encoding="utf-8")
    assert f"\n## {notes2sheet.__version__}\n" in changes
